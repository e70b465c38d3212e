package table

import (
	"fmt"
	"math"

	"nodespan/solver"
	"nodespan/solver/bvp"
)

// Table is a table of a solution: one row per point, the point first.
type Table struct {
	// Columns names the columns: the variable, then each unknown with its derivatives below its order.
	Columns []string
	// Rows holds the numbers as they were computed, one row per point, len(Columns) each; where a condition prescribes
	// 0 it is 0, and its error too. Where an unknown does not count, as that of another layer, it is NaN.
	Rows [][]float64
	// Errors holds the estimated error of each entry, NaN where the unknown does not count; rows as above without the
	// first column.
	Errors [][]float64
}

// A curve is a solution as a function; *solver.Solution is one.
type curve interface {
	Points() []float64
	At(x float64, jet []float64)
	ErrorAt(x float64, err []float64)
}

var _ curve = (*solver.Solution)(nil)

// New tabulates a solution at the points at, in their order, or at its nodes when at is nil.
// A solution that is not usable gives a table with columns and no rows.
// Points outside the interval panic; Problem.Inside tells which are inside.
func New(s *solver.Solution, at []float64) *Table {
	if !s.Usable() {
		return &Table{Columns: Columns(s.Problem)}
	}
	return build(s.Problem, s, at)
}

func build(p *solver.Problem, c curve, at []float64) *Table {
	if at == nil {
		at = c.Points()
	}
	t := &Table{Columns: Columns(p)}
	jet, err := make([]float64, p.Jet()), make([]float64, p.Jet())
	for _, x := range at {
		if !p.Inside(x) {
			panic(fmt.Sprintf("table: %v is outside the interval", x))
		}
		c.At(x, jet)
		c.ErrorAt(x, err)
		row, errors := make([]float64, 1, len(t.Columns)), make([]float64, 0, len(t.Columns)-1)
		row[0] = x
		for i, u := range p.Unknowns {
			from := p.JetOffset(i)
			row = append(row, jet[from:from+u.Order]...)
			errors = append(errors, err[from:from+u.Order]...)
			if lo, hi := p.Counts(i); x < lo || x > hi {
				for k := range u.Order {
					row[len(row)-u.Order+k], errors[len(errors)-u.Order+k] = math.NaN(), math.NaN()
				}
				continue
			}
			for k := range u.Order {
				if _, zero := p.Fixed(bvp.PointValue{X: x, Unknown: i, Derivative: k}); zero {
					row[len(row)-u.Order+k], errors[len(errors)-u.Order+k] = 0, 0
				}
			}
		}
		t.Rows = append(t.Rows, row)
		t.Errors = append(t.Errors, errors)
	}
	return t
}

// Columns names the columns of a table of the problem: x, y, y', …
func Columns(p *solver.Problem) []string {
	columns := []string{p.VariableName()}
	for _, u := range p.Unknowns {
		for k := range u.Order {
			columns = append(columns, bvp.Derivative(u.Name, k))
		}
	}
	return columns
}

// blank reports whether an entry is that of an unknown which does not count there.
func (t *Table) blank(row, column int) bool {
	return column > 0 && math.IsNaN(t.Rows[row][column]) && math.IsNaN(t.Errors[row][column-1])
}

// Cell prints one entry with its honest digits, nothing where the unknown does not count; column 0 is the point, which
// has no error.
func (t *Table) Cell(row, column int) Digits {
	if column == 0 {
		return Honest(t.Rows[row][0], 0)
	}
	if t.blank(row, column) {
		return Digits{}
	}
	return Honest(t.Rows[row][column], t.Errors[row][column-1])
}

// fewest is how many digits of a point tell a reader where it is.
const fewest = 8

// Place prints the point of a row for reading: with eight digits, or with as many as tell it from its neighbours.
func (t *Table) Place(row int) Digits {
	x := t.Rows[row][0]
	for digits := fewest; digits < AllDigits; digits++ {
		short := Rounded(x, digits)
		apart := true
		for _, next := range []int{row - 1, row + 1} {
			if next >= 0 && next < len(t.Rows) && t.Rows[next][0] != x {
				apart = apart && Rounded(t.Rows[next][0], digits) != short
			}
		}
		if apart {
			return Honest(short, 0)
		}
	}
	return Honest(x, 0)
}

// ExactError returns the largest difference of any unknown from its exact solution, over the points
// of the node table and four more between each two of them; ok is false when exact knows no value.
// exact returns the value of an unknown (counted from 0) at x, and whether it knows one.
func ExactError(s *solver.Solution, exact func(x float64, unknown int) (float64, bool)) (largest float64, ok bool) {
	if !s.Usable() {
		return 0, false
	}
	return exactError(s.Problem, s, exact)
}

func exactError(p *solver.Problem, c curve, exact func(x float64, unknown int) (float64, bool)) (largest float64,
	ok bool) {
	jet := make([]float64, p.Jet())
	compare := func(x float64) {
		if math.IsInf(x, 0) || math.IsNaN(x) { // beyond the last finite point of a half line
			return
		}
		c.At(x, jet)
		for i := range p.Unknowns {
			v, known := exact(x, i)
			if !known || math.IsNaN(v) { // NaN: a removable singularity of the formula, such as sin(x)/x at 0
				continue
			}
			largest, ok = math.Max(largest, math.Abs(jet[p.JetOffset(i)]-v)), true
		}
	}
	const between = 5
	points := c.Points()
	for i, x := range points {
		compare(x)
		if i+1 < len(points) {
			for k := 1; k < between; k++ {
				compare(x + (points[i+1]-x)*float64(k)/between)
			}
		}
	}
	return largest, ok
}
