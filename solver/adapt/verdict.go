package adapt

import (
	"fmt"
	"math"
	"slices"

	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
	"nodespan/solver/newton"
)

// This file says why there is no answer. Every verdict rests on a computation of its own; where none applies the reason
// that the method gave stands.

// explain replaces the reason of an answer that fell short by a better founded one.
func explain(p *bvp.Problem, a *Answer, o Options) {
	if o.Brief || a.Met || o.cancelled() {
		return
	}
	if why := singularVerdict(p, o); why != "" {
		a.Reason, a.Singular = why, true
		return
	}
	if a.Curve != nil && (o.Nodes > 0 || o.Elements > 0) {
		return // they are too few, and that was said
	}
	if x, ok := vanishingLead(p); ok {
		end := ""
		if x == p.A || x == p.B {
			end = ", an end of the interval; a condition that keeps the solution regular there may be missing, or " +
				"one may ask for what the equation does not allow"
		} else {
			end = ", inside the interval; solutions may have a pole or a jump there"
		}
		a.Reason = fmt.Sprintf("the coefficient of the highest derivative, once quotients are multiplied out, "+
			"vanishes at %s = %.6g%s", p.VariableName(), x, end)
		return
	}
	if x, ok := noValue(p); ok {
		a.Reason = fmt.Sprintf("the equation has no real value at %s = %.4g, whatever the unknowns are; look at its "+
			"roots, logarithms and quotients", p.VariableName(), x)
		return
	}
	if o.linear(p) {
		const nothing = 0.1 // of rounding, and no digit is sure
		lost := a.Estimate != nil && a.Curve != nil && floorOf(a.Estimate, a.Curve.Grid()) > nothing
		if lost || a.Outcome == newton.Singular || a.Outcome == newton.Stalled {
			a.Reason = "the problem is too sensitive for the arithmetic: its solutions grow or fall by so large a " +
				"factor across the interval that a change of the last digit of the data changes everything; a " +
				"condition at the other end or a shorter interval may be what is meant"
		}
		return
	}
	if x, ok := blowUp(p, o); ok {
		a.Reason = fmt.Sprintf("the solution that starts from these conditions grows without bound near %s = %.2g: "+
			"there is a pole inside the interval", p.VariableName(), x)
		return
	}
	if initial(p) && (a.Outcome == newton.Stalled || a.Outcome == newton.Singular) {
		a.Reason = "everything is given at one point, and Newton's iteration does not reach from there across the " +
			"whole interval; a shorter one, or a guess line, may help"
		return
	}
	if a.Outcome == newton.Stalled && !o.cancelled() {
		a.Reason = "Newton's iteration did not converge, neither from the first guess nor by continuation"
		if len(constants(p)) > 0 {
			a.Reason += " in the constants or in the size of the highest derivatives"
		}
		a.Reason += " nor by a homotopy; there may be no solution, or a guess line nearer to it is needed"
	}
}

// noValue looks for a point of the interval where the equations are not finite for any of several jets.
func noValue(p *bvp.Problem) (float64, bool) {
	in, f := make([]float64, p.Jet()+len(p.Parameters)), make([]float64, len(p.Unknowns))
	const points = 50
	for j := range points {
		x := p.A + (p.B-p.A)*(float64(j)+0.5)/points
		some := false
		for _, c := range []float64{0, 1, -1, 0.1, 10, -10} {
			for i := range in {
				in[i] = c * (1 + 0.13*float64(i))
			}
			p.Equations(x, in, f, nil)
			ok := true
			for _, v := range f {
				ok = ok && !math.IsNaN(v) && !math.IsInf(v, 0)
			}
			some = some || ok
		}
		if !some {
			return x, true
		}
	}
	return 0, false
}

// vanishingLead looks for a point where the coefficient of a highest derivative vanishes: at an end, or inside by a
// change of sign.
func vanishingLead(p *bvp.Problem) (float64, bool) {
	J := p.Jet() + len(p.Parameters)
	n := len(p.Unknowns)
	in, f, df := make([]float64, J), make([]float64, n), make([]float64, n*J)
	for i := range in {
		in[i] = 0.3 + 0.17*float64(i)
	}
	for r := range n {
		// Only for equations each led by its own unknown: the usual form.
		lead := func(x float64) float64 {
			p.Equations(x, in, f, df)
			return df[r*J+p.JetOffset(r)+p.Unknowns[r].Order]
		}
		if x, ok := zeroOf(lead, p.A, p.B); ok {
			return x, true
		}
	}
	// The other way to write the same: another coefficient grows without bound at an end.
	for r := range n {
		for _, end := range []float64{p.A, p.B} {
			p.Equations(end, in, f, df)
			if !math.IsNaN(f[r]) && !math.IsInf(f[r], 0) {
				continue
			}
			near := p.A + (p.B-p.A)*1e-9
			if end == p.B {
				near = p.B - (p.B-p.A)*1e-9
			}
			p.Equations(near, in, f, df)
			if !math.IsNaN(f[r]) && math.Abs(f[r]) > 1e6 {
				return end, true
			}
		}
	}
	return 0, false
}

// zeroOf looks for a zero of a function at an end of [a, b], or inside by a change of sign.
func zeroOf(f func(x float64) float64, a, b float64) (float64, bool) {
	const points = 64
	typical := 0.0
	for j := range points {
		typical = math.Max(typical, math.Abs(f(a+(b-a)*(float64(j)+0.5)/points)))
	}
	if typical == 0 {
		return 0, false
	}
	for _, end := range []float64{a, b} {
		if v := f(end); math.Abs(v) < 1e-14*typical {
			return end, true
		}
	}
	x0 := a
	v0 := f(x0)
	for j := 1; j <= points; j++ {
		x1 := a + (b-a)*float64(j)/points
		v1 := f(x1)
		if v0 == 0 && j > 1 {
			return x0, true
		}
		if v0*v1 < 0 {
			lo, hi := bisect(f, x0, x1, v0)
			// A jump through zero is no zero.
			if math.Abs(f(lo)) < 1e-6*typical {
				return hi, true
			}
		}
		x0, v0 = x1, v1
	}
	return 0, false
}

// bisect closes in on a change of sign between lo and hi; at lo the function has the sign of v.
func bisect(f func(x float64) float64, lo, hi, v float64) (float64, float64) {
	for range 60 {
		m := lo + (hi-lo)/2
		if f(m)*v > 0 {
			lo = m
		} else {
			hi = m
		}
	}
	return lo, hi
}

// blowUp recognises a pole when all conditions stand at one end: the problem is solved on shorter and shorter stretches
// from there, until the place where the solution grows without bound is known to three digits.
func blowUp(p *bvp.Problem, o Options) (float64, bool) {
	at := math.NaN()
	for _, c := range p.Conditions {
		for _, v := range c.At {
			if !math.IsNaN(at) && v.X != at {
				return 0, false
			}
			at = v.X
		}
	}
	if at != p.A && at != p.B {
		return 0, false
	}
	o.Tol, o.Nodes, o.Elements = 1e-3, 0, 0
	sign := 1.0
	if at == p.B {
		sign = -1
	}
	jet := make([]float64, p.Jet())
	grows := func(length float64) (ok bool, size float64) {
		q := *p
		q.Breaks = nil
		if sign > 0 {
			q.B = p.A + length
		} else {
			q.A = p.B - length
		}
		for _, b := range p.Breaks {
			if b > q.A && b < q.B {
				q.Breaks = append(q.Breaks, b)
			}
		}
		a := pieces(&q, o, nil)
		if !a.Met {
			return false, 0
		}
		a.Curve.At(at+sign*length, jet)
		for i := range p.Unknowns {
			size = math.Max(size, math.Abs(jet[p.JetOffset(i)]))
		}
		return true, size
	}
	whole := p.B - p.A
	lo, hi := 0.0, whole
	first := math.NaN()
	size := 0.0
	for k := 0; k < 14 && hi-lo > 1e-3*whole; k++ {
		if o.cancelled() {
			return 0, false
		}
		m := lo + (hi-lo)/2
		if ok, s := grows(m); ok {
			lo, size = m, s
			if math.IsNaN(first) {
				first = s
			}
		} else {
			hi = m
		}
	}
	if lo == 0 || math.IsNaN(first) || size < 20*math.Max(first, 1e-300) && size < 50 {
		return 0, false
	}
	return at + sign*hi, true
}

// Jump looks for a place where the equation jumps in x without a declared break. Adaptation has put a mesh point near
// it; the residual for one and the same jet is compared on both sides of each.
func Jump(p *bvp.Problem, c *collocation.Curve) (float64, bool) {
	g := c.Grid()
	x := g.Mesh.X
	whole := x[len(x)-1] - x[0]
	J := p.Jet() + len(p.Parameters)
	n := len(p.Unknowns)
	in, f0, f1, df := make([]float64, J), make([]float64, n), make([]float64, n), make([]float64, n*J)
	copy(in[p.Jet():], g.Parameters(c.V))
	// Where all terms are as good as zero (the tail of a pulse, where its exponential underflows), nothing that they do
	// is a jump.
	largest := make([]float64, n)
	for e := range g.Elements() {
		c.In(e, x[e]+(x[e+1]-x[e])/2, in[:p.Jet()])
		p.Equations(x[e]+(x[e+1]-x[e])/2, in, f0, df)
		for r := range n {
			for i := range J {
				if v := math.Abs(df[r*J+i] * in[i]); v < math.Inf(1) {
					largest[r] = math.Max(largest[r], v)
				}
			}
		}
	}
	// size is the jump between two points, relative to the terms of the equation.
	size := func(a, b float64) float64 {
		p.Equations(a, in, f0, nil)
		p.Equations(b, in, f1, df)
		worst := 0.0
		for r := range n {
			terms := math.Abs(f0[r]) + math.Abs(f1[r]) + 1e-12*largest[r]
			for i := range J {
				terms += math.Abs(df[r*J+i] * in[i])
			}
			if terms > 0 {
				worst = math.Max(worst, math.Abs(f1[r]-f0[r])/terms)
			}
		}
		return worst
	}
	const least = 1e-3
	for e := 1; e < len(x)-1; e++ {
		if slices.Contains(p.Breaks, x[e]) {
			continue
		}
		reach := math.Min(2e-3*whole, math.Min(x[e]-x[e-1], x[e+1]-x[e]))
		lo, hi := x[e]-reach, x[e]+reach
		c.In(e-1, x[e], in[:p.Jet()])
		if !(size(lo, hi) > least) {
			continue
		}
		for range 80 {
			m := lo + (hi-lo)/2
			if m <= lo || m >= hi {
				break
			}
			left, right := size(lo, m), size(m, hi)
			if left >= right {
				hi = m
			} else {
				lo = m
			}
			if math.Max(left, right) < least/8 {
				break // what is smooth may hide a part of a jump, but not so much of it
			}
		}
		// What is left between neighbouring doubles is a jump; a steep slope is not.
		if size(lo, hi) > least {
			return hi, true
		}
	}
	return 0, false
}
