package derived

import (
	"math"

	"nodespan/solver"
	"nodespan/solver/nodes"
)

// rule is the number of Gauss points on each part; the check uses as many again on both halves.
const rule = 12

// Limits of an integral. A part is halved at most deepest times, and at most mostParts are looked at. Where a part of the smallest size
// still adds more than vanishing of the whole, the integral is not taken to exist.
const (
	deepest   = 52
	mostParts = 20_000
	vanishing = 1e-6
)

// Integral integrates f over [a, b]; either may be infinite where the problem's interval is. Beyond its last mesh point a solution is
// at its limit to within its error, so an integral to infinity ends there. What is left out is put at no more than what the last quarter
// of the mesh adds, as is so where f falls exponentially (common practice, no source). The second result is false where f does not fall to
// nothing there, or grows without bound inside: then the integral does not exist, or cannot be told. a > b gives the negative of the
// integral from b to a.
func (f Function) Integral(s *solver.Solution, a, b float64) (Number, bool) {
	if a > b {
		n, ok := f.Integral(s, b, a)
		return Number{-n.Value, n.Error}, ok
	}
	none := Number{math.NaN(), math.Inf(1)}
	p := newAlong(s)
	first, last := s.Mesh[0], s.Mesh[len(s.Mesh)-1]
	from, to := math.Max(a, first), math.Min(b, last)
	n, ok := p.integral(&f, from, to)
	if !ok {
		return none, false
	}
	for _, end := range []struct{ outside, inner, outer float64 }{{a, first + (last-first)/4, first}, {b, last - (last-first)/4, last}} {
		switch {
		case end.outside == math.Max(first, math.Min(last, end.outside)):
			continue
		case !math.IsInf(end.outside, 0): // some point beyond the mesh
			m, ok := p.integral(&f, math.Min(end.outer, end.outside), math.Max(end.outer, end.outside))
			if !ok {
				return none, false
			}
			n = Number{n.Value + m.Value, n.Error + m.Error}
			continue
		case !p.quiet(&f, end.outer, from, to):
			return none, false
		}
		m, ok := p.integral(&f, math.Max(from, math.Min(end.inner, end.outer)), math.Min(to, math.Max(end.inner, end.outer)))
		if !ok {
			return none, false
		}
		n.Error += math.Abs(m.Value) + m.Error
	}
	return n, true
}

// quiet reports whether f is nothing at the end of the mesh, compared with its largest size and its error.
func (p *along) quiet(f *Function, end, from, to float64) bool {
	size := 0.0
	for _, x := range divide(append([]float64{from}, inside(p.s.Mesh, from, to)...), 4) {
		size = math.Max(size, math.Abs(p.value(f.F, x)))
	}
	n := p.number(f, end)
	return math.Abs(n.Value) <= 100*n.Error+1e3*p.s.Tol*size
}

// inside lists the mesh points in (a, b], and b.
func inside(mesh []float64, a, b float64) []float64 {
	var out []float64
	for _, x := range mesh {
		if x > a && x < b {
			out = append(out, x)
		}
	}
	return append(out, b)
}

// integral integrates f over [a, b], finite, stretch by stretch, by Gauss quadrature (M. Abramowitz, I. A. Stegun, 25.4.30): a part is halved until the
// rule on the whole and on both halves agree to what the solution's error and rounding leave of it. The error is the sum of what the
// solution's error may do, of the differences that are left, and at a switch of the jump times what its place may be off. The second result
// is false where halving finds no end.
func (p *along) integral(f *Function, a, b float64) (Number, bool) {
	if !(a < b) {
		return Number{}, true
	}
	parts, open := p.stretches(f, a, b)
	q := quadrature{along: p, f: f}
	q.x, q.w = nodes.Gauss(rule)
	var pieces []piece
	for i := range parts {
		s := &parts[i]
		// One element of a high degree needs more parts than one.
		cuts := divide(narrowed(f, s.a, s.b), max(1, (p.s.Degree+7)/8))
		for j := range len(cuts) - 1 {
			c := piece{a: cuts[j], b: cuts[j+1]}
			q.whole(&c)
			pieces = append(pieces, c)
			q.size += math.Abs(c.value)
		}
		if i > 0 {
			if miss := math.Max(parts[i-1].movedB, s.movedA); miss > 0 {
				jump := math.Abs(p.value(f.F, s.l) - p.value(f.F, parts[i-1].r))
				if !math.IsInf(jump, 0) && !math.IsNaN(jump) {
					q.err += miss * jump
				}
			}
		}
	}
	for i := range parts {
		s := &parts[i]
		for _, e := range [2]end{{s.l, s.r, s.movedA}, {s.r, s.l, s.movedB}} {
			// One over the distance, and what grows faster, has no integral.
			if p.singular(f, e.at) && p.persists(e, func(x float64) float64 { return (x - e.at) * p.value(f.F, x) }) {
				return Number{}, false
			}
		}
	}
	for i := range pieces {
		if !q.refine(&pieces[i], deepest) {
			return Number{}, false
		}
	}
	for _, u := range open {
		q.err += p.otherwise(f, u, a, b)
	}
	return Number{q.sum.value(), q.err}, true
}

// otherwise returns how much an integral over a zone of a switch may be off.
func (p *along) otherwise(f *Function, u unsure, a, b float64) float64 {
	if u.of.Other == nil {
		return 0
	}
	l, r := math.Max(u.zone.a, a), math.Min(u.zone.b, b)
	if !(l < r) {
		return 0
	}
	most := 0.0
	for _, x := range divide([]float64{l, r}, 4) {
		most = math.Max(most, math.Abs(p.value(u.of.Other, x)-p.value(f.F, x)))
	}
	return most * (r - l)
}

// quadrature gathers an integral.
type quadrature struct {
	*along
	f     *Function
	x, w  []float64
	sum   sum
	err   float64
	size  float64 // of what is added, about
	parts int
}

// piece is a part with the rule's value on the whole of it, what the solution's error does to that, and the size of the values.
type piece struct{ a, b, value, doubt, size float64 }

// whole applies the rule.
func (q *quadrature) whole(c *piece) {
	h := (c.b - c.a) / 2
	for i, u := range q.x {
		n := q.number(q.f, c.a+h*(1+u))
		c.value += h * q.w[i] * n.Value
		c.doubt += h * q.w[i] * n.Error
		c.size += h * q.w[i] * math.Abs(n.Value)
	}
}

// refine adds a part, halved as often as it needs; false where that finds no end.
func (q *quadrature) refine(c *piece, depth int) bool {
	m := c.a + (c.b-c.a)/2
	left, right := piece{a: c.a, b: m}, piece{a: m, b: c.b}
	q.whole(&left)
	q.whole(&right)
	q.parts++
	diff := math.Abs(left.value + right.value - c.value)
	doubt := left.doubt + right.doubt
	if diff <= 1e-15*q.size+0.02*doubt+4e-16*(left.size+right.size) {
		q.sum.add(left.value)
		q.sum.add(right.value)
		q.err += doubt + diff
		return true
	}
	if depth == 0 || q.parts > mostParts || m <= c.a || m >= c.b || math.IsNaN(diff) {
		q.sum.add(left.value)
		q.sum.add(right.value)
		q.err += doubt + 2*diff
		return math.Abs(c.value) <= vanishing*q.size && diff <= vanishing*q.size
	}
	return q.refine(&left, depth-1) && q.refine(&right, depth-1)
}

// sum adds with compensation (W. Kahan, Comm. ACM 8, 1965, 40).
type sum struct{ s, c float64 }

func (k *sum) add(v float64) {
	y := v - k.c
	t := k.s + y
	k.c = (t - k.s) - y
	k.s = t
}

func (k *sum) value() float64 { return k.s }
