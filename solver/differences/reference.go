package differences

import (
	"context"
	"math"

	"nodespan/solver/budget"
)

// Reference is a solution of the same problem by an independent method, with errors that are known.
type Reference struct {
	Jet   func(x float64, jet []float64)
	Error func(x float64, err []float64)
	// Points ascend from one end of the interval to the other; between two of them the solution is smooth.
	Points []float64
	// Parameters are the sought numbers, and ParameterErrors their errors.
	Parameters, ParameterErrors []float64
}

// between is the number of places between two of the reference's points where a difference solution is held against
// it.
const between = 8

// margin enlarges the difference to the reference, whose own error may be larger than it claims: where the reference is
// far better, a part of the difference covers that.
const margin = 1.05

// mostPlaces bounds the places inside a stretch: away from the ends the error varies over many mesh widths.
const mostPlaces = 4000

// perPlace is the work of evaluating both solutions at one place, for each entry of the jet.
const perPlace = 150

// compareWith measures a solution against the reference: the error of each cell, and of the sought parameters, is the
// largest difference and the reference's own error.
func compareWith(d *discrete, ref *Reference, ctx context.Context) *Estimate {
	g := d.g
	c := &Curve{d.g, d.v}
	e := &Estimate{stretches: g.stretches, scale: make([]float64, g.jet), reference: ref, curve: c}
	e.floor, e.edge = make([]float64, g.jet), make([]float64, g.jet)
	for _, s := range g.stretches {
		l := make([][]float64, min(cells, s.n))
		for i := range l {
			l[i] = make([]float64, g.jet)
		}
		e.local = append(e.local, l)
	}
	jet, want, err := make([]float64, g.jet), make([]float64, g.jet), make([]float64, g.jet)
	r := c.reader()
	places := 0
	at := func(stretch int, t, x float64) {
		places++
		r.at(stretch, t, jet)
		ref.Jet(x, want)
		ref.Error(x, err)
		l := e.local[stretch]
		cell := l[cellOf(t, g.stretches[stretch].n, len(l))]
		for k, v := range jet {
			if miss := margin*math.Abs(v-want[k]) + err[k]; !(miss <= cell[k]) { // NaN counts
				cell[k] = miss
			}
			e.scale[k] = math.Max(e.scale[k], math.Abs(want[k]))
		}
	}
	reach := 2 * (g.maxOrder + g.order + 1)
	for i, s := range g.stretches {
		stride := max(1, 2*s.n/mostPlaces)
		for twice := 0; twice <= 2*s.n; {
			t := float64(twice) / 2
			x := math.Min(s.at(t), c.end(i))
			if twice == 0 && i > 0 {
				x = math.Nextafter(x, math.Inf(1)) // the reference takes a break for the end of the stretch on its left
			}
			at(i, t, x)
			if step := twice + stride; twice < 2*reach || step > 2*(s.n-reach) {
				twice++
			} else {
				twice = step
			}
		}
	}
	r = &reader{c: c} // no two of the following places are alike
	for k := range len(ref.Points) - 1 {
		a, b := ref.Points[k], ref.Points[k+1]
		for j := range between {
			x := a + (b-a)*(1-math.Cos(math.Pi*(float64(j)+0.5)/between))/2
			i := findStretch(g.stretches, x)
			s := g.stretches[i]
			at(i, math.Min(math.Max((x-s.a)/s.h, 0), float64(s.n)), x)
		}
	}
	budget.Spend(ctx, float64(places*g.jet)*perPlace)
	for i, v := range c.Parameters() {
		e.Parameters = append(e.Parameters, margin*math.Abs(v-ref.Parameters[i])+ref.ParameterErrors[i])
	}
	return e
}

// cellOf returns the cell of a place t mesh widths from the left end of a stretch of n intervals in count cells.
func cellOf(t float64, n, count int) int {
	return min(max(int(t/float64(n)*float64(count)), 0), count-1)
}

// atReference writes the error of each entry at x: the largest of its cell, and not less than the difference at x
// itself.
func (e *Estimate) atReference(x float64, err []float64) {
	i := findStretch(e.stretches, x)
	s, l := e.stretches[i], e.local[i]
	jet, want := make([]float64, len(err)), make([]float64, len(err))
	e.curve.At(x, jet)
	e.reference.Jet(x, want)
	e.reference.Error(x, err)
	cell := l[cellOf((x-s.a)/s.h, s.n, len(l))]
	for k := range err {
		err[k] = math.Max(cell[k], err[k]+margin*math.Abs(jet[k]-want[k]))
	}
}
