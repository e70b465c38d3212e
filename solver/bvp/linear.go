package bvp

import "math"

// Linear reports whether equations and conditions are linear in the unknowns and the sought parameters together: none
// of these multiplies another.
func (p *Problem) Linear() bool {
	jet, inputs := p.Jet(), p.Jet()+len(p.Parameters)
	in := threeJets(inputs, inputs)
	return p.sameSlopes(in, inputs) &&
		p.sameConditions([3][]float64{in[0][jet:], in[1][jet:], in[2][jet:]}, true)
}

// LinearEquations reports whether the equations are linear in the unknowns at given values of the sought parameters.
func (p *Problem) LinearEquations(parameters []float64) bool {
	jet := p.Jet()
	in := threeJets(jet, jet+len(p.Parameters))
	for _, v := range in {
		copy(v[jet:], parameters)
	}
	return p.sameSlopes(in, jet)
}

// LinearConditions does so of the conditions.
//
//go:noinline
func (p *Problem) LinearConditions(parameters []float64) bool {
	return p.sameConditions([3][]float64{parameters, parameters, parameters}, false)
}

// sameSlopes reports whether the derivatives of the equations by the first count of their inputs are the same at three
// different inputs, of either sign, at points out of step with anything that a formula may single out.
func (p *Problem) sameSlopes(in [3][]float64, count int) bool {
	n, inputs := len(p.Unknowns), len(in[0])
	f, first, d := make([]float64, n), make([]float64, n*inputs), make([]float64, n*inputs)
	const points = 7
	for j := range points {
		x := p.A + (p.B-p.A)*(float64(j)+0.4142)/points
		p.Equations(x, in[0], f, first)
		for _, v := range in[1:] {
			p.Equations(x, v, f, d)
			for r := range n {
				if at := r * inputs; !same(first[at:at+count], d[at:at+count]) {
					return false
				}
			}
		}
	}
	return true
}

// sameConditions does so of the conditions, at three sets of sought parameters, whose derivatives count too where all
// do.
func (p *Problem) sameConditions(parameters [3][]float64, all bool) bool {
	for _, c := range p.Conditions {
		k := len(c.At)
		inputs := k + len(parameters[0])
		in := threeJets(k, inputs)
		count := k
		if all {
			count = inputs
		}
		first, d := make([]float64, inputs), make([]float64, inputs)
		for i, v := range in {
			copy(v[k:], parameters[i])
			if i == 0 {
				c.Residual(v, first)
				continue
			}
			if c.Residual(v, d); !same(first[:count], d[:count]) {
				return false
			}
		}
	}
	return true
}

// threeJets returns three times n inputs of which the first count are set, to different numbers of either sign.
func threeJets(count, n int) (in [3][]float64) {
	for k, line := range [3][2]float64{{0.3, 0.17}, {1.1, -0.23}, {-0.7, -0.19}} {
		in[k] = make([]float64, n)
		for i := range count {
			in[k][i] = line[0] + line[1]*float64(i)
		}
	}
	return in
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
//
//go:noinline
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
//
//go:noinline
func Divide(x []float64, n int) []float64 {
	out := make([]float64, 0, (len(x)-1)*n+1)
	for i := range len(x) - 1 {
		for j := range n {
			out = append(out, x[i]+(x[i+1]-x[i])*float64(j)/float64(n))
		}
	}
	return append(out, x[len(x)-1])
}
