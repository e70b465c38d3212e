package eigen

import "math"

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
	// a y + b y' = 0 at either end.
	var left, right [2]float64
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
	// angle of a state, in [0, pi).
	angle := func(y, v float64) float64 {
		if y < 0 || y == 0 && v < 0 {
			y, v = -y, -v
		}
		return math.Atan2(y, v)
	}
	y, v := left[1], -left[0]
	zeros := 0
	x := append(append([]float64{p.A}, p.Breaks...), p.B)
	in, f, df := make([]float64, 4), make([]float64, 1), make([]float64, 4)
	in[3] = mu
	for piece := range len(x) - 1 {
		const steps = 1500
		h := (x[piece+1] - x[piece]) / steps
		for i := range steps {
			p.Equations(x[piece]+h*(float64(i)+0.5), in, f, df)
			b, c := df[1]/df[2], df[0]/df[2]
			if math.IsNaN(b) || math.IsInf(b, 0) || math.IsNaN(c) || math.IsInf(c, 0) {
				return 0, false
			}
			// y = exp(−b x/2) u, u'' + q u = 0; u and its slope after the step.
			q := c - b*b/4
			u, du := y, v+b/2*y
			var u1, du1 float64
			if q > 0 {
				w := math.Sqrt(q)
				sin, cos := math.Sincos(w * h)
				u1, du1 = u*cos+du/w*sin, -u*w*sin+du*cos
				// The phase with u = sin(phase): in [0, pi) at the start, from one zero to the next.
				phase := angle(u, du/w)
				zeros += int(math.Floor((phase + w*h) / math.Pi))
			} else {
				w := math.Sqrt(-q)
				t := math.Tanh(w * h)
				ratio := h // tanh(w h)/w
				if w*h > 1e-8 {
					ratio = t / w
				}
				u1, du1 = u+du*ratio, u*w*t+du // over cosh(w h)
				if u != 0 && (u1 > 0) != (u > 0) || u1 == 0 {
					zeros++
				}
			}
			y, v = u1, du1-b/2*u1
			m := math.Max(math.Abs(y), math.Abs(v))
			if m == 0 || math.IsNaN(m) {
				return 0, false
			}
			y, v = y/m, v/m
		}
		if p.Continuity != nil && piece+2 < len(x) {
			// The continuous quantities say how the slope goes on.
			at := x[piece+1]
			c, dc := make([]float64, 2), make([]float64, 8)
			in[0], in[1], in[2] = y, v, 0
			p.Continuity(math.Nextafter(at, math.Inf(-1)), in, c, dc)
			want := append([]float64(nil), c...)
			clear(in[:3])
			p.Continuity(math.Nextafter(at, math.Inf(1)), in, c, dc)
			det := dc[0]*dc[5] - dc[1]*dc[4]
			if det == 0 || math.IsNaN(det) {
				return 0, false
			}
			ny, nv := (want[0]*dc[5]-dc[1]*want[1])/det, (dc[0]*want[1]-want[0]*dc[4])/det
			if ny*y < 0 || ny == 0 != (y == 0) {
				return 0, false
			}
			y, v = ny, nv
		}
	}
	theta := float64(zeros)*math.Pi + angle(y, v)
	goal := angle(right[1], -right[0])
	if goal == 0 {
		goal = math.Pi // y = 0 at the right end is first met after half a turn
	}
	return int(math.Floor((theta-goal)/math.Pi)) + 1, true
}
