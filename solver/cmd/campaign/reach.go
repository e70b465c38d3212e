package main

import (
	"math"

	"nodespan/solver"
	"nodespan/solver/bvp"
)

// roundedResidual measures what the equations as they stand in the sheet, evaluated in doubles, leave of the truth,
// rounded to doubles: at each point that is nothing but rounding. With independent errors, as a claim has to suppose,
// at as many points as the answer has nodes, the integral of the residual is off by the root of the sum of squares,
// and the solution by what its integration makes of that. The result is relative, as tolerances are: the largest over
// the solution and its derivatives below the order; 0 where it is not known. Only the integration of the highest
// derivatives counts here, not what the problem's conditioning adds.
func (c *Case) roundedResidual(s *solver.Solution) float64 {
	p := s.Problem
	if c.truth == nil || s.Interior == 0 || len(s.Mesh) < 2 || len(p.Parameters) > 0 || math.IsInf(p.A+p.B, 0) {
		return 0
	}
	n := len(p.Unknowns)
	squares, scale := make([]float64, n), make([]float64, p.Jet())
	const most = 200 // elements that are looked at
	stride := (len(s.Mesh)-2)/most + 1
	for e := 0; e+1 < len(s.Mesh); e += stride {
		h := (s.Mesh[e+1] - s.Mesh[e]) / float64(s.Interior)
		for j := range s.Interior {
			delta := c.truth.left(p, s.Mesh[e]+h*(float64(j)+0.5), scale)
			for i, d := range delta {
				if d *= h; !math.IsNaN(d) && !math.IsInf(d, 0) {
					squares[i] += d * d * float64(stride)
				}
			}
		}
	}
	worst := 0.0
	for i, u := range p.Unknowns {
		// Green's function is between a quarter of the length (two values given) and all of it (initial values).
		size := 0.25 * math.Sqrt(squares[i])
		for k := u.Order - 1; k >= 0; k-- {
			if of := scale[p.JetOffset(i)+k]; of > 0 {
				worst = math.Max(worst, size/of)
			}
			size *= (p.B - p.A) / float64(u.Order-k)
		}
	}
	return worst
}

// left is by how much the highest derivative of each unknown would have to change for its equation to hold at x in
// doubles, where everything has its true value. It widens scale to the sizes of the jet.
func (t *truth) left(p *bvp.Problem, x float64, scale []float64) []float64 {
	n, m := len(p.Unknowns), p.Jet()
	in, f, df := make([]float64, m), make([]float64, n), make([]float64, n*m)
	for u := range p.Unknowns {
		for k := 0; k <= p.Unknowns[u].Order; k++ {
			in[p.JetOffset(u)+k] = t.value(p, u, k, x)
		}
	}
	for i, v := range in {
		scale[i] = math.Max(scale[i], math.Abs(v))
	}
	p.Equations(x, in, f, df)
	for i := range f {
		f[i] /= df[i*m+p.JetOffset(i)+p.Unknowns[i].Order]
	}
	return f
}

// value is the true value of a derivative of an unknown of a problem.
func (t *truth) value(p *bvp.Problem, unknown, order int, x float64) float64 {
	for i, name := range t.names {
		if name == p.Unknowns[unknown].Name {
			return float(t.at(i, order, of(x), map[*formula]num{}))
		}
	}
	return math.NaN()
}

// sure is how many standard deviations of rounding a claim must hold to be true of every case.
const sure = 3

// withinReach reports whether rounding leaves room for the tolerance of a case that was not solved.
func (c *Case) withinReach(s *solver.Solution) bool {
	return !(sure*c.roundedResidual(s) > s.Tol)
}
