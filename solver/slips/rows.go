package slips

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"nodespan/solver/bvp"
)

// This file tells of single rows: one that alone is wrong, two that are exchanged, and rows outside the interval.

// Limits of what is said of single rows.
const (
	fewestRight = 3 // rows that are right, and not by a condition alone, beside one that is not
	fewestOfTwo = 6 // the same beside two
)

// prescribed reports whether a condition gives the number of a row outright.
func (j *judge) prescribed(r Row) bool {
	for _, c := range j.p.Conditions {
		if len(c.At) == 1 && c.At[0].X == r.X &&
			bvp.Derivative(j.p.Unknowns[c.At[0].Unknown].Name, c.At[0].Derivative) == r.Column {
			return true
		}
	}
	return false
}

// odd looks for one or two rows that are wrong where the rest is right, and returns what to say of them, "" where there
// are none.
func (j *judge) odd() string {
	rest := 0
	var wrong []int // numbers
	rows := map[int]bool{}
	for i, r := range j.v.Rows {
		switch {
		case !r.Right:
			wrong = append(wrong, i)
			rows[i%j.rows] = true
		case !j.prescribed(r):
			rest++
		}
	}
	if len(rows) > 2 || rest < fewestRight {
		return ""
	}
	for r := range rows {
		j.v.Odd = append(j.v.Odd, r+1)
	}
	slices.Sort(j.v.Odd)
	if len(rows) == 2 {
		if j.exchanged(wrong) {
			return fmt.Sprintf("rows %d and %d are exchanged, the rest is right", j.v.Odd[0], j.v.Odd[1])
		}
		if rest < fewestOfTwo {
			j.v.Odd = nil
			return ""
		}
	}
	var parts []string
	for _, i := range wrong {
		parts = append(parts, j.off(i, j.v.Rows[i].Error)+j.miswritten(i, j.v.Rows[i].Solution))
	}
	return strings.Join(parts, ", ") + "; the rest is right"
}

// off says by how much a number is off.
func (j *judge) off(i int, by float64) string {
	of := ""
	if len(j.v.Rows) > j.rows {
		of = " of " + j.v.Rows[i].Column
	}
	return fmt.Sprintf("row %d%s is off by %s", i%j.rows+1, of, toUnit(math.Abs(by), j.numbers[i].unit))
}

// toUnit writes a number to the digits that a unit gives it, at most four.
func toUnit(v, unit float64) string {
	if r := math.Round(v/unit) * unit; r != 0 {
		v = r
	}
	return number4(v)
}

// exchanged reports whether the wrong numbers are those of two rows, each with the other's.
func (j *judge) exchanged(wrong []int) bool {
	for _, i := range wrong {
		k := slices.IndexFunc(wrong, func(k int) bool { return k != i && k/j.rows == i/j.rows })
		if k < 0 || !j.same(i, j.v.Rows[wrong[k]].Solution) {
			return false
		}
	}
	return true
}

// same reports whether a number of the table is v to the digits given.
func (j *judge) same(i int, v float64) bool {
	return math.Abs(j.numbers[i].value-v) <= j.numbers[i].tolerance(allowed)
}

// miswritten says how a number was written down wrongly, if that would make it the right one.
func (j *judge) miswritten(i int, right float64) string {
	n := j.numbers[i]
	t := n.tolerance(allowed)
	if math.Abs(right) <= clearly*t {
		return ""
	}
	if j.same(i, -right) {
		return " (its sign is wrong)"
	}
	for _, places := range []float64{1, 2, 3} {
		if f := math.Pow(10, places); math.Abs(n.value/f-right) <= t || math.Abs(n.value*f-right) <= t*f {
			return " (its decimal point is in the wrong place)"
		}
	}
	digits := []byte(strconv.FormatFloat(math.Abs(n.value), 'f', max(0, int(math.Round(-math.Log10(n.unit)))), 64))
	for k := 1; k < len(digits); k++ {
		a := k - 1
		if digits[a] == '.' {
			a--
		}
		if a < 0 || digits[k] == '.' || digits[a] == digits[k] {
			continue
		}
		digits[a], digits[k] = digits[k], digits[a]
		v, err := strconv.ParseFloat(string(digits), 64)
		digits[a], digits[k] = digits[k], digits[a]
		if err == nil && math.Abs(v-math.Abs(right)) <= t {
			return " (two of its digits are exchanged)"
		}
	}
	return ""
}

// listed writes row numbers in words.
func listed(rows []int) string {
	if len(rows) == 1 {
		return fmt.Sprintf("row %d lies", rows[0])
	}
	if rows[len(rows)-1]-rows[0] == len(rows)-1 && len(rows) > 2 {
		return fmt.Sprintf("rows %d to %d lie", rows[0], rows[len(rows)-1])
	}
	words := make([]string, len(rows))
	for i, r := range rows {
		words[i] = strconv.Itoa(r)
	}
	return "rows " + strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1] + " lie"
}

// unitsOfX are the powers of ten by which x may be too large, with what to call them.
var unitsOfX = []struct {
	power int
	what  string
}{
	{3, "thousandths of the sheet's unit, as mm for m"}, {2, "hundredths of the sheet's unit, as cm for m"},
	{1, "tenths of the sheet's unit, as mm for cm"}, {6, "millionths of the sheet's unit, as µm for m"},
	{-3, "thousands of the sheet's unit, as m for mm"}, {-2, "hundreds of the sheet's unit, as m for cm"},
	{-1, "tens of the sheet's unit, as cm for mm"}, {-6, "millions of the sheet's unit, as m for µm"},
}

// known says that a verdict explains the numbers.
func (v *Verdict) known() bool { return v.Right || v.Coarse || v.Slip != "" || len(v.Odd) > 0 }

// outside judges a table with rows outside the interval: in another unit of x, as it stands, and without these rows.
func (f *Search) outside(t *Table, columns []column) *Verdict {
	var rows, inside []int
	for i, x := range t.X {
		if f.p.Inside(x.Value) {
			inside = append(inside, i)
		} else {
			rows = append(rows, i+1)
		}
	}
	for _, u := range unitsOfX {
		scaled := f.scaled(t, u.power)
		if scaled == nil {
			continue
		}
		if v := f.judge(scaled, columns); v.known() {
			v.Sentence = f.p.VariableName() + " is in " + u.what + "; so taken, " + v.Sentence
			return v
		}
	}
	whole := f.judge(t, columns)
	if whole.Slip != "" || whole.Right || len(inside) == 0 {
		return whole
	}
	v := f.judge(t.only(inside), columns)
	where := fmt.Sprintf("%s outside the interval from %s to %s; ", listed(rows), number4(f.p.A), number4(f.p.B))
	if v.Right {
		v.Sentence = where + "the rest is right to the digits given"
	} else {
		v.Sentence = where + "of the rest, " + v.Sentence
	}
	for k := range v.Odd {
		v.Odd[k] = inside[v.Odd[k]-1] + 1
	}
	var values []float64
	for i, r := range whole.Rows { // the judged rows take the places of theirs
		k := slices.Index(inside, i%len(t.X))
		if k < 0 {
			values = append(values, math.NaN())
			continue
		}
		k += i / len(t.X) * len(inside)
		if whole.Rows[i] = v.Rows[k]; v.Values != nil {
			values = append(values, v.Values[k])
		}
		whole.Rows[i].X = r.X
	}
	if v.Rows, v.Right = whole.Rows, false; v.Values != nil {
		v.Values = values
	}
	return v
}

// scaled returns the table with x divided by a power of ten; nil where x does not lie in the interval then, or on a
// small part of it.
func (f *Search) scaled(t *Table, power int) *Table {
	out := *t
	out.X = nil
	least, most := math.Inf(1), math.Inf(-1)
	slack := 1e-9 * (f.p.B - f.p.A)
	for _, c := range t.X {
		// Divided or multiplied by a whole number: 0.3 is no other than 300/1000.
		if power > 0 {
			c.Value /= math.Pow10(power)
		} else {
			c.Value *= math.Pow10(-power)
		}
		c.Decimals += power
		for _, end := range []float64{f.p.A, f.p.B} {
			if math.Abs(c.Value-end) <= slack {
				c.Value = end
			}
		}
		least, most = math.Min(least, c.Value), math.Max(most, c.Value)
		out.X = append(out.X, c)
	}
	if !f.p.Inside(least) || !f.p.Inside(most) || !(most-least >= 0.1*(f.p.B-f.p.A)) {
		return nil
	}
	return &out
}

// only returns some rows of a table.
func (t *Table) only(rows []int) *Table {
	out := &Table{Header: t.Header, Y: make([][]Cell, len(t.Y))}
	for _, r := range rows {
		out.X = append(out.X, t.X[r])
		for k := range t.Y {
			out.Y[k] = append(out.Y[k], t.Y[k][r])
		}
	}
	return out
}
