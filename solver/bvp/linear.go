package bvp

import "math"

// LinearEquations reports whether the equations are linear in the unknowns at given values of the sought parameters:
// their derivatives are the same at three different jets, of either sign, at points out of step with anything that a
// formula may single out.
func (p *Problem) LinearEquations(parameters []float64) bool {
	n, jet := len(p.Unknowns), p.Jet()
	inputs := jet + len(p.Parameters)
	one, two, three := make([]float64, inputs), make([]float64, inputs), make([]float64, inputs)
	threeJets(one[:jet], two[:jet], three[:jet])
	for _, in := range [][]float64{one, two, three} {
		copy(in[jet:], parameters)
	}
	f, d1, d2 := make([]float64, n), make([]float64, n*inputs), make([]float64, n*inputs)
	d3 := make([]float64, n*inputs)
	const points = 7
	for j := range points {
		x := p.A + (p.B-p.A)*(float64(j)+0.4142)/points
		p.Equations(x, one, f, d1)
		p.Equations(x, two, f, d2)
		p.Equations(x, three, f, d3)
		for r := range n {
			at := r * inputs
			if !same(d1[at:at+jet], d2[at:at+jet]) || !same(d1[at:at+jet], d3[at:at+jet]) {
				return false
			}
		}
	}
	return true
}

// LinearConditions does so of the conditions.
func (p *Problem) LinearConditions(parameters []float64) bool {
	for _, c := range p.Conditions {
		k := len(c.At)
		room := k + len(parameters)
		one, two, three := make([]float64, k, room), make([]float64, k, room), make([]float64, k, room)
		threeJets(one, two, three)
		one, two, three = append(one, parameters...), append(two, parameters...), append(three, parameters...)
		g1, g2, g3 := make([]float64, room), make([]float64, room), make([]float64, room)
		c.Residual(one, g1)
		c.Residual(two, g2)
		c.Residual(three, g3)
		if !same(g1[:k], g2[:k]) || !same(g1[:k], g3[:k]) {
			return false
		}
	}
	return true
}

func threeJets(one, two, three []float64) {
	for i := range one {
		one[i], two[i], three[i] = 0.3+0.17*float64(i), 1.1-0.23*float64(i), -0.7-0.19*float64(i)
	}
}

// same reports whether derivatives agree to rounding.
func same(a, b []float64) bool {
	for i := range a {
		if !(math.Abs(a[i]-b[i]) <= 1e-12*(math.Abs(a[i])+math.Abs(b[i]))) {
			return false
		}
	}
	return true
}

// Finite reports whether v is a number, and no infinity.
func Finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// AllFinite reports whether all of v are.
func AllFinite(v []float64) bool {
	for _, x := range v {
		if !Finite(x) {
			return false
		}
	}
	return true
}

// Largest returns the largest size of the entries of v, 0 where there is none.
func Largest(v []float64) float64 {
	top := 0.0
	for _, x := range v {
		top = math.Max(top, math.Abs(x))
	}
	return top
}

// Stretches returns the ends of the interval with the breaks between them.
func (p *Problem) Stretches() []float64 {
	x := append([]float64{p.A}, p.Breaks...)
	return append(x, p.B)
}

// Divide cuts each of the parts between neighbouring points into n equal ones.
func Divide(x []float64, n int) []float64 {
	out := make([]float64, 0, (len(x)-1)*n+1)
	for i := range len(x) - 1 {
		for j := range n {
			out = append(out, x[i]+(x[i+1]-x[i])*float64(j)/float64(n))
		}
	}
	return append(out, x[len(x)-1])
}
