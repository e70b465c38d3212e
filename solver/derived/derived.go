// Package derived takes numbers from a solution: values, integrals, extremes and places where a sign changes. Each
// comes with an error estimate that includes the solution's own. It knows no text and no browser.
//
// A function along a solution is smooth between the mesh points and the places where one of its switches (the argument
// of an abs, the two sides of a comparison) changes its sign. Everything is worked out stretch by stretch between
// these, so that a kink costs no accuracy and a jump has a value on each side.
package derived

import (
	"math"
	"slices"

	"nodespan/solver"
)

// Number is a derived number with its estimated error.
type Number struct{ Value, Error float64 }

// Integrand is a function of the point, the jet there (package bvp has its layout) and nothing else. It writes its
// derivatives with respect to the entries of the jet to d (same length as the jet, cleared before) and returns its
// value.
type Integrand func(x float64, jet, d []float64) float64

// Entry returns the integrand weight(x) · jet[entry]; a nil weight is 1. With x or x² it gives integrals over cylinders
// and spheres.
func Entry(entry int, weight func(x float64) float64) Integrand {
	return func(x float64, jet, d []float64) float64 {
		w := 1.0
		if weight != nil {
			w = weight(x)
		}
		d[entry] = w
		return w * jet[entry]
	}
}

// Function is a function along a solution.
type Function struct {
	// F is the function with its derivatives by the jet.
	F Integrand
	// Slope is dF/dx along the solution; nil where it is not known: then places of extremes are sought by comparing
	// values, and known less well.
	Slope *Function
	// Doubt is an error of F at a point that does not come from the solution's error, such as that of a sought number
	// in it; nil: none.
	Doubt func(x float64, jet []float64) float64
	// Switches are what F depends on by its sign alone, and where it has no derivative: those inside another come
	// before it.
	Switches []Switch
	// Narrow reports whether F may do more between l and r than its values at a dozen points show; nil: nowhere.
	Narrow func(l, r float64) bool
}

// Switch is an argument whose sign decides what a function is.
type Switch struct {
	Argument Function
	// Other is the function as it would be with the other sign, where that has a meaning; nil: the function has no
	// value or no derivative where the argument is 0, as a quotient or a root.
	Other Integrand
	// Jumps says that the function may jump where the argument is 0; else it has a kink there.
	Jumps bool
	// Pole says that the function may grow without bound towards where the argument is 0.
	Pole bool
}

// rough reports that a function may do more at a switch than have a kink.
func (w Switch) rough() bool { return w.Jumps || w.Pole || w.Other == nil }

// along is a solution with scratch space for evaluating functions of it.
type along struct {
	s                          *solver.Solution
	jet, d, err, moved, beside []float64
	highest                    []bool // of the entries of the jet: the next one is not its derivative
}

func newAlong(s *solver.Solution) *along {
	n := s.Problem.Jet()
	p := &along{s: s, highest: make([]bool, n)}
	for _, scratch := range []*[]float64{&p.jet, &p.d, &p.err, &p.moved, &p.beside} {
		*scratch = make([]float64, n)
	}
	for i, u := range s.Problem.Unknowns {
		p.highest[s.Problem.JetOffset(i)+u.Order] = true
	}
	return p
}

// value returns f at x.
func (p *along) value(f Integrand, x float64) float64 {
	p.s.At(x, p.jet)
	clear(p.d)
	return f(x, p.jet, p.d)
}

// number returns f at x with its error: the errors of the jet times the derivatives by it, or the change that they make
// together where that is more (y² where y is 0); rounding, that of the point included; and the function's own doubt.
//
//go:noinline
func (p *along) number(f *Function, x float64) Number {
	v, e, doubt := p.parts(f, x)
	return Number{v, e + doubt}
}

// parts returns a number's value, and its error in two parts: the solution's, and what else there is.
func (p *along) parts(f *Function, x float64) (v, e, doubt float64) {
	v = p.value(f.F, x)
	p.s.ErrorAt(x, p.err)
	size := math.Abs(v)
	for j, d := range p.d {
		if d != 0 {
			e += math.Abs(d) * p.err[j]
			size = math.Max(size, math.Abs(d*p.jet[j]))
			if !p.highest[j] && !math.IsInf(x, 0) {
				size = math.Max(size, math.Abs(d*p.jet[j+1]*x))
			}
		}
	}
	doubt = 2e-16 * size
	if math.IsInf(size, 0) {
		doubt = 2e-16 * math.Abs(v)
	}
	if f.Doubt != nil {
		doubt += f.Doubt(x, p.jet)
	}
	if len(f.Switches) == 0 && e > 0 || len(f.Switches) > 0 && !slices.ContainsFunc(f.Switches, Switch.rough) {
		e = p.spread(f.F, x, v, e)
	}
	return v, e, doubt
}

// spread returns the larger of e and the change of f where every entry of the jet is off by its error, to one side and
// to the other. An infinite e (a root at 0) gives way to the change.
func (p *along) spread(f Integrand, x, v, e float64) float64 {
	change := 0.0
	var sign [64]bool
	for j, d := range p.d {
		sign[j%64] = d < 0
	}
	for _, side := range []float64{1, -1} {
		for j := range p.moved {
			dj := side * p.err[j]
			if sign[j%64] {
				dj = -dj
			}
			p.moved[j] = p.jet[j] + dj
		}
		if c := math.Abs(f(x, p.moved, p.beside) - v); c > change {
			change = c
		}
	}
	if math.IsInf(e, 0) || math.IsNaN(e) {
		return change
	}
	return math.Max(e, change)
}

// told returns f at x with its error, to which it adds the rounding of the point and of the formula: what f changes by
// from x to the next number, on the side where that is less, as there may be a jump on the other.
func (p *along) told(f *Function, x float64) Number {
	left, right := p.value(f.F, math.Nextafter(x, math.Inf(-1))), p.value(f.F, math.Nextafter(x, math.Inf(1)))
	n := p.number(f, x)
	step := math.Abs(left - n.Value)
	if r := math.Abs(right - n.Value); !(r >= step) {
		step = r
	}
	if !math.IsNaN(step) {
		n.Error += 2 * step
	}
	return n
}

// open returns f at x with its error, to which it adds what f would change by where a switch cannot be told from 0.
func (p *along) open(f *Function, x float64) Number {
	n := p.told(f, x)
	for k := range f.Switches {
		w := &f.Switches[k]
		if w.Other == nil {
			continue
		}
		if g := p.open(&w.Argument, x); math.Abs(g.Value) <= g.Error {
			n.Error += math.Abs(p.value(w.Other, x) - n.Value)
		}
	}
	return n
}

// At returns f at x.
func (f Function) At(s *solver.Solution, x float64) Number { return newAlong(s).told(&f, x) }
