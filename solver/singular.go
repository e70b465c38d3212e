package solver

import (
	"fmt"
	"math"
	"slices"

	"nodespan/solver/budget"
	"nodespan/solver/singular"
)

// stretched solves a problem that is singular at an end in a variable that stretches the neighbourhood of
// this end. It reports whether that met the tolerance, and records the solution then. iterations were spent before.
func (s *Solution) stretched(p *Problem, o Options, iterations int) bool {
	if o.Nodes > 0 || o.Elements > 0 || o.Method == One {
		return false // the caller chose how it is to be solved
	}
	for _, st := range singular.Stretches(p) {
		if budget.Over(o.Context) {
			break
		}
		ao := o.adapt()
		ao.Values, ao.Least = true, st.Least()
		ao.Context = budget.Part(o.Context, 0.4)
		a, one := collocate(st.Problem, o.Method, ao)
		iterations += a.Iterations
		if !a.Met {
			continue
		}
		a.Iterations = iterations
		s.st = st
		s.record(st.Problem, o, a, one)
		s.pull(p, st)
		return true
	}
	return false
}

// pull brings what was recorded in a stretched variable back to the problem's own.
func (s *Solution) pull(p *Problem, st *singular.Stretch) {
	s.Message += "; " + st.Sentence(p.VariableName())
	s.curve = &pulled{s.curve, st}
	s.Mesh = st.Mesh(s.Mesh)
	s.Elements = len(s.Mesh) - 1
}

// underdetermined says why a problem with singular ends has many solutions although its linearised equations were
// regular; empty when it has not.
func underdetermined(p *Problem, ends []singular.End) string {
	x, under := singular.Underdetermined(p, ends)
	if !under {
		return ""
	}
	return fmt.Sprintf("there are infinitely many solutions: the equation is singular at %s = %.6g, and there the "+
		"conditions do not choose among its bounded solutions; a condition elsewhere is needed", p.VariableName(), x)
}

// pulled is a curve in a stretched variable.
type pulled struct {
	curve
	st *singular.Stretch
}

func (c *pulled) at(x float64, jet []float64) { c.st.Jet(x, c.curve.at, jet) }

// errorAt takes the estimated error in the weights in which it was measured.
func (c *pulled) errorAt(x float64, err []float64) {
	jet := make([]float64, c.st.Problem.Jet())
	c.st.Errors(x, func(v float64, err []float64) {
		c.curve.errorAt(v, err)
		c.curve.at(v, jet)
		for i, y := range jet {
			err[i] += summation * c.st.Power() * math.Abs(y)
		}
	}, err)
}

// summation is the relative rounding error of a solution that is a polynomial in the stretched variable, over the power
// of the stretch. Measured: 7e-15 for t^(5/2) as s^15, at a point where its value was given.
const summation = 1.2e-15

func (c *pulled) points() []float64 {
	var out []float64
	for _, v := range c.curve.points() {
		out = append(out, c.st.From(v))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// hopeless is the relative error beyond which a solution that fell short beside a singular end is no estimate of
// anything.
const hopeless = 1e-2

// unclaim takes claims away from a solution that fell short, where the equation is singular at an end: those of the
// derivatives next to this end, and all where the error is large. Two meshes that both miss a root at an end may agree
// on a wrong solution.
func unclaim(p *Problem, mesh []float64, relative, x float64, err []float64) {
	for _, e := range singular.Ends(p) {
		near := mesh[0] == e.X && x <= mesh[1] || mesh[len(mesh)-1] == e.X && x >= mesh[len(mesh)-2]
		for i, u := range p.Unknowns {
			for d := range u.Order + 1 {
				if !(relative < hopeless) || near && d > 0 {
					err[p.JetOffset(i)+d] = math.Inf(1)
				}
			}
		}
	}
}
