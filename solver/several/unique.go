package several

import (
	"fmt"
	"math"

	"nodespan/solver"
	"nodespan/solver/bvp"
)

// unique names the theorem that makes a solution the only one; empty where none is known to hold. Where its conditions
// were looked at in samples alone, it says in how many.
func unique(p *bvp.Problem, s *solver.Solution, sizes []float64) string {
	if s.Status != solver.Solved || len(p.Parameters) > 0 {
		return ""
	}
	if p.LinearEquations(nil) && p.LinearConditions(nil) {
		return "equations and conditions are linear, and the homogeneous problem has no solution but zero " +
			"(Fredholm's alternative)"
	}
	if math.IsInf(p.A, 0) || math.IsInf(p.B, 0) || len(p.Breaks) > 0 || len(p.Unknowns) != 1 ||
		p.Unknowns[0].Order != 2 || !sturm(p) {
		return ""
	}
	n, most, ok := monotone(p, s, sizes[0])
	if !ok {
		return ""
	}
	name := p.Unknowns[0].Name
	return fmt.Sprintf("the right side does not fall as %s grows, as far as %d samples with |%s| up to %.2g tell, and "+
		"the conditions are of Sturm's kind (by the maximum principle; H. B. Keller, Numerical Methods for Two-Point "+
		"Boundary-Value Problems, 1968, section 1.2)", name, n, name, most)
}

// sturm reports whether the conditions are a y(A) − b y'(A) = α and c y(B) + d y'(B) = β with a, b and c, d of one
// sign, and a or c not 0.
func sturm(p *bvp.Problem) bool {
	if !p.LinearConditions(nil) || len(p.Conditions) != 2 {
		return false
	}
	held, seen := false, map[float64]bool{}
	for _, c := range p.Conditions {
		in, dg := make([]float64, len(c.At)), make([]float64, len(c.At))
		c.Residual(in, dg)
		var k [2]float64
		if len(c.At) == 0 {
			return false
		}
		end := c.At[0].X
		for i, v := range c.At {
			if v.X != end || v.Derivative > 1 {
				return false
			}
			k[v.Derivative] += dg[i]
		}
		if end == p.A {
			k[1] = -k[1]
		} else if end != p.B {
			return false
		}
		if seen[end] || k[0]*k[1] < 0 || k[0] == 0 && k[1] == 0 {
			return false
		}
		seen[end] = true
		held = held || k[0] != 0
	}
	return held
}

// monotone reports whether the right side f of y″ = f(x, y, y') does not fall with y and has a bounded slope in y' on a
// wide range of both; n is the number of samples.
func monotone(p *bvp.Problem, s *solver.Solution, size float64) (n int, most float64, ok bool) {
	in, f, df := make([]float64, 3), make([]float64, 1), make([]float64, 3)
	jet := make([]float64, 3)
	whole := p.B - p.A
	most = 1000 * size
	levels := []float64{0}
	for a := most; a > 1e-4*size; a /= 2.15 {
		levels = append(levels, a, -a)
	}
	// at looks at one jet.
	at := func(x, y, dy, ddy float64, near bool) bool {
		in[0], in[1], in[2] = y, dy, ddy
		p.Equations(x, in, f, df)
		// f_y = −F_y/F_y″, f_y' likewise. Exponentials may be too large to be told.
		fy, fs := -df[0]/df[2], -df[1]/df[2]
		if !bvp.Finite(fy) || !bvp.Finite(fs) {
			return !near
		}
		n++
		return fy >= 0
	}
	const points = 12
	for j := range points {
		x := p.A + whole*(float64(j)+0.4142)/points
		s.At(x, jet)
		for _, y := range levels {
			for _, slope := range []float64{0, 1, -1, 0.03, -0.03, 30, -30} {
				dy, near := slope*size/whole, math.Abs(y) <= size
				if !at(x, y, dy, jet[2], near) || !at(x, jet[0]+y, jet[1]+dy, jet[2], near) {
					return n, most, false
				}
			}
		}
	}
	return n, most, true
}
