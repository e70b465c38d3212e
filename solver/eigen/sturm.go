package eigen

import (
	"math"
	"nodespan/solver/bvp"
)

// sturm reports whether Sturm's oscillation theorem applies: one equation of second order, linear in λ with a
// coefficient of y alone that has the sign of the coefficient of y” throughout, and one condition, free of λ, at each
// end.
func (s *search) sturm() bool {
	p := s.p
	if len(p.Unknowns) != 1 || p.Unknowns[0].Order != 2 || s.dep.degree != 1 {
		return false
	}
	seenA, seenB := false, false
	for _, c := range p.Conditions {
		k := len(c.At)
		at := math.NaN()
		for j, pv := range c.At {
			if j > 0 && pv.X != at || pv.Derivative > 1 {
				return false
			}
			at = pv.X
			v, dg := make([]float64, k+1), make([]float64, k+1)
			v[j] = 1
			c.Residual(v, dg)
			if dg[k] != 0 {
				return false
			}
		}
		seenA = seenA || at == p.A
		seenB = seenB || at == p.B
	}
	if !seenA || !seenB {
		return false
	}
	in, f, df := make([]float64, 4), make([]float64, 1), make([]float64, 4)
	const points = 200
	for i := range points {
		x := p.A + (p.B-p.A)*(float64(i)+0.5)/points
		for j := range 3 {
			clear(in)
			in[j] = 1
			p.Equations(x, in, f, df)
			if j > 0 && df[3] != 0 {
				return false
			}
			if j == 0 {
				v := df[3] * df[2] // the sign of the weight relative to the highest derivative
				if !(v > 0) {
					return false
				}
			}
		}
	}
	return true
}

// below counts the eigenvalues below mu of a problem to which Sturm's theorem applies. The solution that meets the left
// condition is followed through steps on each of which the coefficients are constant (S. Pruess, "Estimating the
// eigenvalues of Sturm-Liouville problems by approximating the differential equation", SIAM J. Numer. Anal. 10, 1973,
// 55–68): its angle atan(y/y') grows by pi at every zero, and an eigenvalue is passed whenever the angle at the right
// end passes that of the right condition. ok is false when a coefficient is not finite.
func (s *search) below(mu float64) (n int, ok bool) {
	p := s.p
	left, right := conditionsAt(p, mu)
	c := &crossing{p: p, y: left[1], v: -left[0], in: make([]float64, 4)}
	c.in[3] = mu
	x := append(append([]float64{p.A}, p.Breaks...), p.B)
	for piece := range len(x) - 1 {
		if !c.through(x[piece], x[piece+1]) || p.Continuity != nil && piece+2 < len(x) && !c.across(x[piece+1]) {
			return 0, false
		}
	}
	theta := float64(c.zeros)*math.Pi + angle(c.y, c.v)
	goal := angle(right[1], -right[0])
	if goal == 0 {
		goal = math.Pi // y = 0 at the right end is first met after half a turn
	}
	return int(math.Floor((theta-goal)/math.Pi)) + 1, true
}

// conditionsAt returns the conditions a y + b y' = 0 at either end, as a and b.
func conditionsAt(p *bvp.Problem, mu float64) (left, right [2]float64) {
	for _, c := range p.Conditions {
		k := len(c.At)
		v, dg := make([]float64, k+1), make([]float64, k+1)
		v[k] = mu
		c.Residual(v, dg)
		end := &left
		if c.At[0].X == p.B {
			end = &right
		}
		for j, pv := range c.At {
			end[pv.Derivative] += dg[j]
		}
	}
	return left, right
}

// angle is that of a state, in [0, pi).
func angle(y, v float64) float64 {
	if y < 0 || y == 0 && v < 0 {
		y, v = -y, -v
	}
	return math.Atan2(y, v)
}

// crossing follows a solution from left to right and counts its zeros.
type crossing struct {
	p     *bvp.Problem
	y, v  float64 // value and slope, up to a common factor
	zeros int
	in    []float64 // a jet and mu
}

// through goes through a stretch without breaks; false where a coefficient has no value.
func (c *crossing) through(from, to float64) bool {
	const steps = 1500
	h := (to - from) / steps
	f, df := make([]float64, 1), make([]float64, 4)
	for i := range steps {
		c.p.Equations(from+h*(float64(i)+0.5), c.in, f, df)
		b, a := df[1]/df[2], df[0]/df[2]
		if !bvp.AllFinite([]float64{a, b}) || !c.step(a, b, h) {
			return false
		}
	}
	return true
}

// step goes on by h with y” + b y' + a y = 0, where y = exp(−b x/2) u and u” + q u = 0.
func (c *crossing) step(a, b, h float64) bool {
	q := a - b*b/4
	u, du := c.y, c.v+b/2*c.y // u and its slope
	var u1, du1 float64       // after the step
	if q > 0 {
		w := math.Sqrt(q)
		sin, cos := math.Sincos(w * h)
		u1, du1 = u*cos+du/w*sin, -u*w*sin+du*cos
		// The phase with u = sin(phase): in [0, pi) at the start, from one zero to the next.
		phase := angle(u, du/w)
		c.zeros += int(math.Floor((phase + w*h) / math.Pi))
	} else {
		w := math.Sqrt(-q)
		t := math.Tanh(w * h)
		ratio := h // tanh(w h)/w
		if w*h > 1e-8 {
			ratio = t / w
		}
		u1, du1 = u+du*ratio, u*w*t+du // over cosh(w h)
		if u != 0 && (u1 > 0) != (u > 0) || u1 == 0 {
			c.zeros++
		}
	}
	y, v := u1, du1-b/2*u1
	m := math.Max(math.Abs(y), math.Abs(v))
	if m == 0 || math.IsNaN(m) {
		return false
	}
	c.y, c.v = y/m, v/m
	return true
}

// across goes across a break, where the continuous quantities say how the slope goes on.
func (c *crossing) across(x float64) bool {
	q, dq := make([]float64, 2), make([]float64, 8)
	c.in[0], c.in[1], c.in[2] = c.y, c.v, 0
	c.p.Continuity(math.Nextafter(x, math.Inf(-1)), c.in, q, dq)
	want := append([]float64(nil), q...)
	clear(c.in[:3])
	c.p.Continuity(math.Nextafter(x, math.Inf(1)), c.in, q, dq)
	det := dq[0]*dq[5] - dq[1]*dq[4]
	if det == 0 || math.IsNaN(det) {
		return false
	}
	y, v := (want[0]*dq[5]-dq[1]*want[1])/det, (dq[0]*want[1]-want[0]*dq[4])/det
	if y*c.y < 0 || y == 0 != (c.y == 0) {
		return false
	}
	c.y, c.v = y, v
	return true
}
