package worker

import (
	"math"
	"strconv"
	"strings"

	"nodespan/expr/sheet"
	"nodespan/wasm/wire"
)

// movable is the constant that a line of the reading declares; nil where it declares none, and where its value follows
// from other constants.
func movable(sh *sheet.Sheet, l sheet.Line) *wire.Constant {
	if l.Kind != sheet.KindConstant {
		return nil
	}
	for _, c := range sh.Constants {
		if c.Name == l.Name && !c.Derived {
			w := &wire.Constant{Name: c.Name, Value: c.Value, At: span(c.ValueSpan)}
			if c.Range != nil {
				w.Range = c.Range[:]
			}
			return w
		}
	}
	return nil
}

// slide writes a range behind a constant's value, or behind its unit. The sheet as it would be is read, and must say
// the same with the range; nil where no place will do.
func slide(text, name string) *wire.Edit {
	sh, err := sheet.Read(text, sheet.Options{})
	if err != nil {
		return nil
	}
	for _, c := range sh.Constants {
		if c.Name != name || c.Derived || c.Range != nil {
			continue
		}
		low, high := around(c.Value)
		words := " in [" + decimal(low) + ", " + decimal(high) + "]"
		for _, at := range []int{c.Span.To, restOf(text, c.Span.To)} {
			with, err := sheet.Read(text[:at]+words+text[at:], sheet.Options{})
			if err != nil || len(with.Constants) != len(sh.Constants) {
				continue
			}
			for _, w := range with.Constants {
				if w.Name == name && w.Range != nil && w.Value == c.Value {
					return &wire.Edit{At: wire.Span{From: at, To: at}, Text: words}
				}
			}
		}
	}
	return nil
}

// restOf is where what stands behind a value ends, such as a unit.
func restOf(text string, from int) int {
	rest := text[from:]
	if i := strings.IndexAny(rest, "\n#,;&$\\"); i >= 0 {
		rest = rest[:i]
	}
	return from + len(strings.TrimRight(rest, " \t\r"))
}

// around is the range that a constant is given before anybody has said another: from a fifth of its value to twice it,
// in few digits, so that it keeps its sign.
func around(v float64) (low, high float64) {
	if v == 0 {
		return -1, 1
	}
	const digits = 3
	power := math.Pow(10, math.Floor(math.Log10(math.Abs(v)))-digits+1)
	v = math.Round(v/power) * power
	low, high = v/5, 2*v
	if v < 0 {
		low, high = high, low
	}
	return low, high
}

// decimal writes a number in as few digits as tell it from its neighbours in twelve digits: no rounding shows.
func decimal(v float64) string {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	return strconv.FormatFloat(v, 'g', -1, 64)
}
