package working

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"nodespan/solver/bvp"
)

// Matrix is a matrix of the working; a vector has one column.
type Matrix struct {
	// Name is an identifier, the same in the scripts.
	Name string
	// Rows and Columns are the labels.
	Rows, Columns []string
	// Values holds len(Rows) rows of len(Columns) numbers. NaN marks a place without a number: a row that is left to a
	// condition.
	Values [][]float64

	origin func(row, col int) Origin
	// terms holds what the terms of each entry come to without their signs, with the terms of those that they are made
	// of; nil where entries are no sums.
	terms [][]float64
}

// rounding is the share of its terms that an entry's rounding may come to: 64 units of it, for sums of some tens of
// terms (common practice, no source).
const rounding = 64 * 0x1p-53

// Shown returns an entry as it is shown to people: rounded to the last decimal place that is above its own rounding
// error, so that a zero is a zero. No place is given up that is more than 10⁻⁹ of the largest entry: where the
// classroom route loses more digits than that, it is to be seen.
func (m *Matrix) Shown(row, col int) float64 {
	v := m.Values[row][col]
	if m.terms == nil {
		return v
	}
	noise := rounding * m.terms[row][col]
	if noise > 1e-9*math.Abs(v) { // else more digits are right than are ever shown
		top := 0.0
		for _, r := range m.Values {
			top = math.Max(top, bvp.Largest(r))
		}
		noise = math.Min(noise, 1e-9*top)
	}
	place := -int(math.Ceil(math.Log10(noise)))
	if place > 300 || noise == 0 || !bvp.Finite(v) {
		return v
	}
	r, err := strconv.ParseFloat(strconv.FormatFloat(v*math.Pow10(place), 'f', 0, 64)+"e"+strconv.Itoa(-place), 64)
	if err != nil {
		return v
	}
	return r
}

// Origin tells how an entry came about.
type Origin struct {
	// Formula is the rule in symbols, Numbers the same with its numbers (may be empty).
	Formula, Numbers string
	// From are the entries that it came from.
	From []Entry
}

// Entry is a place in a matrix of the working, counted from 0.
type Entry struct {
	Matrix   string
	Row, Col int
}

// Explain tells how an entry came about. It panics where the matrix or the place does not exist.
func (w *Working) Explain(matrix string, row, col int) Origin {
	m := w.byName[matrix]
	if m == nil || row < 0 || col < 0 || row >= len(m.Rows) || col >= len(m.Columns) {
		panic(fmt.Sprintf("working: no entry %d, %d of %s", row, col, matrix))
	}
	return m.origin(row, col)
}

// num prints a number for a person: six figures.
//
//go:noinline
func num(v float64) string { return Figures(v, 6) }

// short prints a number for a label: four figures.
//
//go:noinline
func short(v float64) string { return Figures(v, 4) }

// Figures prints a number with at most n figures: – for none, 1e-5 and 1e6 for 1e-05 and 1e+06.
func Figures(v float64, n int) string {
	switch {
	case math.IsNaN(v):
		return "–"
	case v == 0:
		return "0" // and not -0
	}
	return strings.NewReplacer("e-0", "e-", "e+0", "e", "e+", "e").Replace(strconv.FormatFloat(v, 'g', n, 64))
}

// factor prints a number as a factor: in brackets where it is negative.
func factor(v float64) string {
	if v < 0 {
		return "(" + num(v) + ")"
	}
	return num(v)
}

// sumOf prints Σ a_k b_k = total; long sums are cut in the middle.
func sumOf(a, b []float64, total float64) string {
	var terms []string
	for k := range a {
		terms = append(terms, num(a[k])+"·"+factor(b[k]))
	}
	if len(terms) > 8 {
		terms = append(append(terms[:4:4], "…"), terms[len(terms)-2:]...)
	}
	if len(terms) == 0 {
		return num(total)
	}
	return strings.Join(terms, " + ") + " = " + num(total)
}
