package branches

import (
	"math"

	"nodespan/solver"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
)

// familyPoints is the number of values of the constant at which eigenvalues are worked out.
const familyPoints = 41

// Crossing is where two neighbouring eigenvalues come closest.
type Crossing struct {
	// Lower is the number of the lower one, from 1.
	Lower    int
	Constant float64
	// Gap is the distance of the two there, Error that of the distance: they cross as far as the errors tell where it
	// is not larger.
	Gap, Error float64
	Value      float64 // of the lower one
}

// Crosses reports whether the eigenvalues cannot be told apart where they come closest.
func (c Crossing) Crosses() bool { return c.Gap <= c.Error }

// Family works out the eigenvalues of a problem while a constant moves: a branch for each, in ascending order at every
// value, and where neighbours come close.
func Family(p *bvp.Problem, o Options) (*Trace, []Crossing, error) {
	t, err := newTracer(p, o)
	if err != nil {
		return nil, nil, err
	}
	solve := func(v float64) []solver.Found {
		q := t.lift.of(v)
		if q == nil {
			return nil
		}
		so := t.o.Solve
		so.Context = budget.Part(t.within, 0.2)
		s, err := solver.Solve(q, so)
		if err != nil || s.Status != solver.Solved {
			return nil
		}
		return s.Eigenvalues
	}
	var rows [][]solver.Found
	var at []float64
	for i := range familyPoints {
		if budget.Over(t.within) {
			t.out.Ended = true
			break
		}
		v := o.From + (o.To-o.From)*float64(i)/(familyPoints-1)
		at, rows = append(at, v), append(rows, solve(v))
	}
	for i, row := range rows {
		for k, e := range row {
			if k == len(t.out.Branches) {
				t.out.Branches = append(t.out.Branches, nil)
			}
			t.out.Branches[k] = append(t.out.Branches[k], Point{Constant: at[i], Value: e.Value, Error: e.Error})
		}
	}
	var crossings []Crossing
	for i := 1; i+1 < len(rows); i++ {
		for k := range min(len(rows[i-1]), len(rows[i]), len(rows[i+1])) - 1 {
			gap := func(row []solver.Found) float64 { return row[k+1].Value - row[k].Value }
			a, b, c := gap(rows[i-1]), gap(rows[i]), gap(rows[i+1])
			if b <= a && b < c && b < closeGap*math.Min(a, c) {
				if c, ok := closest(solve, k, at[i-1], at[i], at[i+1]); ok {
					crossings = append(crossings, c)
				}
			}
		}
	}
	return &t.out, crossings, nil
}

// closeGap is by how much the distance of two eigenvalues falls, from one value of the constant to the next, where it
// is worth looking for the smallest.
const closeGap = 0.9

// closest looks for the smallest distance of eigenvalues k and k+1 between a and c, by golden sections.
func closest(solve func(float64) []solver.Found, k int, a, b, c float64) (best Crossing, ok bool) {
	const golden = 0.3819660112501051
	best.Gap = math.Inf(1)
	try := func(v float64) float64 {
		e := solve(v)
		if len(e) < k+2 {
			return math.Inf(1)
		}
		gap := e[k+1].Value - e[k].Value
		if gap < best.Gap {
			best = Crossing{k + 1, v, gap, e[k].Error + e[k+1].Error, e[k].Value}
		}
		return gap
	}
	fb := try(b)
	const most = 40
	for range most {
		if math.Abs(c-a) <= 1e-9*math.Max(math.Abs(a), math.Abs(c)) || best.Gap <= best.Error {
			break
		}
		x := b + golden*(c-b)
		if math.Abs(b-a) > math.Abs(c-b) {
			x = b + golden*(a-b)
		}
		fx := try(x)
		switch {
		case fx < fb && (x-b)*(c-b) > 0:
			a, b, fb = b, x, fx
		case fx < fb:
			c, b, fb = b, x, fx
		case (x-b)*(c-b) > 0:
			c = x
		default:
			a = x
		}
	}
	// What the last step may have left of a crossing at an angle counts as error.
	e := solve(best.Constant + (c - a))
	if len(e) >= k+2 {
		best.Error += math.Abs(e[k+1].Value - e[k].Value - best.Gap)
	}
	return best, !math.IsInf(best.Gap, 1)
}
