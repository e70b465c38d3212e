// Package singular treats the ends of an interval at which an equation is singular: the coefficient of the highest
// derivative vanishes there, or another coefficient or the right side grows without bound. It knows no text.
//
// Near such an end, at distance t, a linear equation of order m is to leading order one of Euler's, Σ C_d t^d y^(d) =
// 0, whose solutions are powers t^r. The exponents r are the roots of the indicial polynomial Σ C_d r (r − 1) … (r − d
// + 1) (E. L. Ince, Ordinary Differential Equations, 1926, chapter XVI). What they say is used threefold:
//
//   - Which conditions count. A solution with Re r < 0, or a logarithm, is shut out by being bounded, and a value at
//     the end says nothing of solutions that vanish there anyway (Underdetermined).
//   - What the equation itself asks at the end of a solution that is regular there (Natural).
//   - How to compute a bounded solution whose slope is not: in the variable s with t = L s^q a power t^r is s^(q r),
//     which is smooth, or at least smoother (Stretch). The slope by s is the slope by x in the weight t^(1 − 1/q), so
//     that errors measured in s are those of the unknown itself, and of its slopes in this weight.
package singular

import (
	"math"

	"nodespan/solver/bvp"
)

// End is an end of the interval at which the equation is singular.
type End struct {
	X    float64
	Side float64 // +1: the interval lies on the right of X (left end); −1: on its left
	// Exponents of the solutions of the homogeneous linearised equation, ascending; nil when they could not be found.
	Exponents []complex128
	// powers are further powers of t that the solution may hold: of the right side and of the coefficients.
	powers []float64
	// source is the power of t that the right side brings into the solution; 0 when there is none or it is not known.
	source float64
}

// reach is how near the end, as a part of the interval, coefficients are read: their relative rounding is then below
// 1e-7 for an end of the size of the interval, and what is left of the next power below 1e-7 too.
const reach = 1.0 / (1 << 24)

// Ends lists the singular ends of a problem.
func Ends(p *bvp.Problem) []End {
	var out []End
	for _, e := range []End{{X: p.A, Side: 1}, {X: p.B, Side: -1}} {
		if !math.IsInf(p.A, 0) && !math.IsInf(p.B, 0) && isSingular(p, e) {
			e.exponents(p)
			out = append(out, e)
		}
	}
	return out
}

// point returns the point at a distance from the end.
func (e End) point(t float64) float64 { return e.X + e.Side*t }

// probes are jets at which nonlinear equations are looked at.
func probes(p *bvp.Problem) [][]float64 {
	var out [][]float64
	for _, c := range []float64{1, 0.37} {
		in := make([]float64, p.Jet()+len(p.Parameters))
		for i := range in {
			in[i] = c * (1 + 0.17*float64(i))
		}
		for i, q := range p.Parameters {
			if q.HasGuess {
				in[p.Jet()+i] = q.Guess
			}
		}
		out = append(out, in)
	}
	return out
}

// isSingular reports whether an equation has no finite value at the end or none smooth there, or whether its highest
// derivatives lose their coefficient there.
func isSingular(p *bvp.Problem, e End) bool {
	n, J := len(p.Unknowns), p.Jet()+len(p.Parameters)
	f, df := make([]float64, n), make([]float64, n*J)
	lead := func(x float64, in []float64, r int) (float64, bool) {
		p.Equations(x, in, f, df)
		for i := range p.Jet() {
			if v := df[r*J+i]; math.IsNaN(v) || math.IsInf(v, 0) {
				return 0, false
			}
		}
		top := 0.0
		for i, u := range p.Unknowns {
			top = math.Max(top, math.Abs(df[r*J+p.JetOffset(i)+u.Order]))
		}
		return top, !math.IsNaN(f[r]) && !math.IsInf(f[r], 0)
	}
	for _, in := range probes(p) {
		for r := range n {
			near, fine := lead(e.point((p.B-p.A)*0.01), in, r)
			if !fine {
				continue
			}
			at, fine := lead(e.X, in, r)
			if !fine || at <= 1e-14*near || rough(p, e, in, r) {
				return true
			}
		}
	}
	return false
}

// rough reports whether an equation, finite at the end, leaves its value there by a power of t that is no whole number.
func rough(p *bvp.Problem, e End, in []float64, r int) bool {
	f := make([]float64, len(p.Unknowns))
	value := func(x float64) float64 {
		p.Equations(x, in, f, nil)
		return f[r]
	}
	at := value(e.X)
	g := func(t float64) float64 { return value(e.point(t)) - at }
	_, mu, ok := power(g, (p.B-p.A)*reach)
	// Of what is rounding of the terms no power can be told.
	df := make([]float64, len(p.Unknowns)*len(in))
	p.Equations(e.X, in, f, df)
	size := math.Abs(at)
	for i, v := range in {
		size += math.Abs(df[r*len(in)+i] * v)
	}
	ok = ok && math.Abs(g((p.B-p.A)*reach/4)) > 1e-13*size
	return ok && mu > 0 && mu < 3 && math.Abs(mu-math.Round(mu)) > 0.05
}

// power fits g(t) ~ c t^mu as t → 0, from three distances each half of the one before; ok is false where g vanishes or
// is no power.
func power(g func(t float64) float64, t float64) (c, mu float64, ok bool) {
	g0, g1, g2 := g(t), g(t/2), g(t/4)
	if g0 == 0 || g1 == 0 || g2 == 0 || math.Signbit(g0) != math.Signbit(g2) {
		return 0, 0, false
	}
	m0, m1 := math.Log2(g0/g1), math.Log2(g1/g2)
	if math.IsNaN(m0) || math.IsInf(m0, 0) || math.IsNaN(m1) || math.IsInf(m1, 0) || math.Abs(m1-m0) > 0.02 {
		return 0, 0, false
	}
	mu = snap(2*m1 - m0)
	// What is left falls in proportion to t, mostly: one step of Richardson's extrapolation.
	c1, c2 := g1*math.Pow(t/2, -mu), g2*math.Pow(t/4, -mu)
	return 2*c2 - c1, mu, true
}

// snap moves a number to a near fraction with a small denominator.
func snap(v float64) float64 {
	for _, q := range []float64{1, 2, 3, 4, 5, 6, 7, 8} {
		if r := math.Round(v*q) / q; math.Abs(v-r) < 2e-5 {
			return r
		}
	}
	return v
}
