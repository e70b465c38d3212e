package plot

// Symbols and numbers as runs of text: subscripts, superscripts and Greek letters.

import (
	"strconv"
	"strings"
	"unicode"

	"nodespan/solver/table/greek"
)

// run is a piece of a label that is set in one style.
type run struct {
	text   string
	italic bool
	family Family
	level  int // 0 on the line, +1 superscript, -1 subscript
}

// symbol sets a name of the sheet: theta as θ, T_s or T_{s} with a subscript, y' with a prime.
// A name longer than longest characters is cut, with an ellipsis.
func symbol(name string) []run {
	const longest = 24
	primes := 0
	for strings.HasSuffix(name, "'") || strings.HasSuffix(name, "′") {
		name = strings.TrimSuffix(strings.TrimSuffix(name, "'"), "′")
		primes++
	}
	base, sub, _ := strings.Cut(name, "_")
	sub = strings.TrimSuffix(strings.TrimPrefix(sub, "{"), "}")
	runs := []run{letters(base, longest, 0)}
	if primes > 0 {
		if primes > 3 { // y⁗ and beyond are counted
			runs = append(runs, run{text: "(" + strconv.Itoa(primes) + ")", family: Serif, level: 1})
		} else {
			runs = append(runs, run{text: strings.Repeat("′", primes), family: Serif})
		}
	}
	if sub != "" {
		runs = append(runs, letters(sub, longest, -1))
	}
	return runs
}

// labelled sets a name with its unit, as T in °C.
func labelled(name, unit string) []run {
	runs := symbol(name)
	if unit != "" {
		runs = append(runs, run{text: " in " + unit, family: Serif})
	}
	return runs
}

func letters(s string, longest, level int) run {
	if s == "eps" {
		s = "epsilon"
	}
	if g, ok := greek.Of(s); ok {
		s = string(g.Letter)
	}
	if r := []rune(s); len(r) > longest {
		s = string(r[:longest-1]) + "…"
	}
	upright := strings.IndexFunc(s, unicode.IsLetter) < 0
	return run{text: s, italic: !upright, family: Serif, level: level}
}

// plain returns runs as plain text, a subscript with its underscore.
func plain(runs []run) string {
	var b strings.Builder
	for _, r := range runs {
		if r.level < 0 {
			b.WriteString("_")
		}
		b.WriteString(r.text)
	}
	return b.String()
}

// powerOfTen sets 10ᵉ, with a leading "×" where times is asked for.
func powerOfTen(e int, times bool) []run {
	t := "10"
	if times {
		t = "×10"
	}
	return []run{{text: t}, {text: minus(strconv.Itoa(e)), level: 1}}
}

// minus replaces hyphens by minus signs.
//
//go:noinline
func minus(s string) string { return strings.ReplaceAll(s, "-", "−") }

// decimal writes v with so many digits after the point; zero never has a sign.
func decimal(v float64, digits int) string {
	s := strconv.FormatFloat(v, 'f', digits, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return minus(s)
}

const (
	small = 0.74 // size of sub- and superscripts, of the size on the line
	rise  = 0.36 // how far a superscript is raised, of the size on the line
	fall  = 0.18 // how far a subscript is lowered
)

func (r run) style(size float64, color string) TextStyle {
	if r.level != 0 {
		size *= small
	}
	return TextStyle{Size: size, Family: r.family, Italic: r.italic, Color: color, Alpha: 1}
}

// runsWidth returns the width of runs in CSS pixels.
func runsWidth(m Measurer, runs []run, size float64) float64 {
	w := 0.0
	for _, r := range runs {
		w += m.TextWidth(r.text, r.style(size, ""))
	}
	return w
}

// drawRuns writes runs of the given width with their baseline at y, x being their start, middle or end. What is
// one run is left to the painter to align.
func drawRuns(p Painter, x, y float64, runs []run, width float64, align Align, size float64, color string,
	alpha float64) {
	if len(runs) == 1 {
		t := runs[0].style(size, color)
		t.Alpha, t.Align = alpha, align
		p.Text(x, y, runs[0].text, t)
		return
	}
	switch align {
	case Middle:
		x -= width / 2
	case End:
		x -= width
	}
	for _, r := range runs {
		t := r.style(size, color)
		t.Alpha = alpha
		dy := 0.0
		switch {
		case r.level > 0:
			dy = -rise * size
		case r.level < 0:
			dy = fall * size
		}
		p.Text(x, y+dy, r.text, t)
		x += p.TextWidth(r.text, t)
	}
}

// finite reports whether v is a number.
func finite(v float64) bool { return v-v == 0 }
