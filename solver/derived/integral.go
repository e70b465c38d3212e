package derived

import (
	"math"

	"nodespan/solver"
	"nodespan/solver/bvp"
	"nodespan/solver/nodes"
)

// rule is the number of Gauss points on each part; the check uses as many again on both halves.
const rule = 12

// Limits of an integral. A part is halved at most deepest times, and at most mostParts are looked at. Where a part of
// the smallest size still adds more than vanishing of the whole, the integral is not taken to exist.
const (
	deepest   = 52
	mostParts = 20_000
	vanishing = 1e-6
)

// Integral integrates f over [a, b]; either may be infinite where the problem's interval is: see beyond. The second
// result is false where f does not fall to nothing there, or grows without bound inside: then the integral does not
// exist, or cannot be told. a > b gives the negative of the integral from b to a.
func (f Function) Integral(s *solver.Solution, a, b float64) (Number, bool) {
	if a > b {
		n, ok := f.Integral(s, b, a)
		return Number{-n.Value, n.Error}, ok
	}
	p := newAlong(s)
	first, last := s.Mesh[0], s.Mesh[len(s.Mesh)-1]
	from, to := a, b
	if math.IsInf(a, 0) {
		from = math.Min(first, b)
	}
	if math.IsInf(b, 0) {
		to = math.Max(last, a)
	}
	n := Number{}
	for _, part := range [][2]float64{
		{from, math.Min(first, to)}, {math.Max(from, first), math.Min(to, last)}, {math.Max(from, last), to},
	} {
		if !n.add(p.integral(&f, part[0], part[1])) {
			return none, false
		}
	}
	if math.IsInf(a, 0) && !p.beyond(&f, &n, to, from, math.Max(last-first, math.Abs(to-from))) {
		return none, false
	}
	if math.IsInf(b, 0) && !p.beyond(&f, &n, from, to, math.Max(last-first, math.Abs(to-from))) {
		return none, false
	}
	return n, true
}

// none is what stands where there is no number.
var none = Number{math.NaN(), math.Inf(1)}

// add adds another number; false where there is none.
func (n *Number) add(m Number, ok bool) bool {
	n.Value, n.Error = n.Value+m.Value, n.Error+m.Error
	return ok
}

// mostDoublings bounds how far an integral goes on beyond the mesh, and how far beyond features of the formula are
// looked for.
const mostDoublings = 20

// beyond adds what lies beyond an end, up to infinity, to an integral that ends there. As long as what is left may
// matter, and the solution is known well enough to make it less, the integral goes on over twice the length; then it
// goes on where the formula has a feature of its own further out. It is false where f does not fall fast enough: see
// rest.
func (p *along) beyond(f *Function, n *Number, start, end, length float64) bool {
	if end < start {
		length = -length
	}
	left, _ := p.rest(f, end, length)
	for k := 0; k < mostDoublings && left > 0.1*n.Error; k++ {
		m, ok := p.integral(f, math.Min(end, end+length), math.Max(end, end+length))
		next, heard := p.rest(f, end+length, 2*length)
		known := heard && m.Error < 0.1*p.area(f, end, end+length).Value ||
			!math.IsInf(left, 1) && m.Error+next < left
		if !ok || !known {
			break
		}
		n.add(m, ok)
		end, length, left = end+length, 2*length, next
	}
	if math.IsInf(left, 1) || math.IsNaN(left) {
		return false
	}
	n.Error += left
	for range mostDoublings {
		l, r := math.Min(end, end+length), math.Max(end, end+length)
		if parts := narrowed(f, l, r); len(parts) > 2 {
			m, ok := p.integral(f, l, r)
			switch {
			case !ok:
				return false
			case m.Error < 0.3*math.Abs(m.Value): // else it is what the solution's error makes of it
				n.add(m, ok)
			}
		}
		end, length = end+length, 2*length
	}
	return true
}

// rest is how much of the integral of |f| may lie beyond an end. Where f falls exponentially, the last quarter of a
// length before the end adds at most a fourth of the quarter before it, and what lies beyond is less than the last
// quarter; with x^-3 it is less than twice that, with x^-1.5 less than seven times, and a quarter then adds 0.596 of
// the one before it. Where f falls more slowly there is no telling, and it is infinite (common practice, no source).
// Where f is nothing to within its error, and so is not heard, no more is said than that.
func (p *along) rest(f *Function, end, length float64) (most float64, heard bool) {
	before, last := p.area(f, end-length/2, end-length/4), p.area(f, end-length/4, end)
	switch {
	case last.Value <= 3*last.Error:
		return last.Value + last.Error, false
	case last.Value <= 0.25*before.Value:
		return last.Value + last.Error, true
	case last.Value <= 0.45*before.Value:
		return 2*last.Value + last.Error, true
	case last.Value <= 0.6*before.Value:
		return 7*last.Value + last.Error, true
	}
	return math.Inf(1), true
}

// area is the integral of |f| by the plain rule, with that of its error.
func (p *along) area(f *Function, a, b float64) Number {
	var n Number
	x, w := nodes.Gauss(rule)
	judged := newFiner(p)
	cuts := append([]float64{math.Min(a, b)}, inside(p.s.Mesh, math.Min(a, b), math.Max(a, b))...)
	for i := range len(cuts) - 1 {
		h := (cuts[i+1] - cuts[i]) / 2
		for j, u := range x {
			x := cuts[i] + h*(1+u)
			v, e, doubt := p.parts(f, x)
			n.Value += h * w[j] * math.Abs(v)
			n.Error += h * w[j] * (judged.sure(p, f, x, v, e) + doubt)
		}
	}
	return n
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

// integral integrates f over [a, b], finite, stretch by stretch, by Gauss quadrature (M. Abramowitz, I. A. Stegun,
// 25.4.30): a part is halved until the rule on the whole and on both halves agree to what the solution's error and
// rounding leave of it. The error is the sum of what the solution's error may do, of the differences that are left, and
// at a switch of the jump times what its place may be off. The second result is false where halving finds no end.
func (p *along) integral(f *Function, a, b float64) (Number, bool) {
	if !(a < b) {
		return Number{}, true
	}
	parts, open := p.stretches(f, a, b)
	q := quadrature{along: p, f: f, finer: newFiner(p), a: a, b: b}
	q.x, q.w = nodes.Gauss(rule)
	var pieces []piece
	for i := range parts {
		s := &parts[i]
		// One element of a high degree needs more parts than one.
		cuts := bvp.Divide(narrowed(f, s.a, s.b), max(1, (p.s.Degree+7)/8))
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
	return Number{q.sum.value(), q.err + math.Min(q.bound, q.finer.error(&q.cancelled)+q.rest)}, true
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
	for _, x := range bvp.Divide([]float64{l, r}, 4) {
		most = math.Max(most, math.Abs(p.value(u.of.Other, x)-p.value(f.F, x)))
	}
	return most * (r - l)
}

// quadrature gathers an integral.
type quadrature struct {
	*along
	f     *Function
	a, b  float64
	x, w  []float64
	sum   sum
	err   float64 // all errors but that of the solution
	bound float64 // the most that the solution's error does where nothing of it cancels
	// What the integral of the finer solution differs by, where errors cancel, and the part that does not; see finer.
	cancelled moments
	rest      float64
	finer     *finer
	size      float64 // of what is added, about
	parts     int
}

// piece is a part of the interval, with what the rule gives on it.
type piece struct {
	a, b        float64
	value, size float64 // the integrals of f and of |f|
	doubt       float64 // of all errors but that of the solution
	bound       float64 // of the solution's error where nothing cancels
	differs     moments // of the difference to the finer solution
	rest        float64 // of the error that this difference does not show
}

// whole applies the rule.
func (q *quadrature) whole(c *piece) {
	h := (c.b - c.a) / 2
	// Each point is rounded, where f is steep or the part short that counts.
	off := ulp(math.Max(math.Abs(c.a), math.Abs(c.b))) / 2
	before := math.NaN()
	for i, u := range q.x {
		x := c.a + h*(1+u)
		v, e, doubt := q.along.parts(q.f, x)
		w := h * q.w[i]
		if step := math.Abs(v - before); step < math.Inf(1) {
			c.doubt += off * step
		}
		before = v
		c.value += w * v
		c.size += w * math.Abs(v)
		c.doubt += w * doubt
		c.bound += w * e
		differs, rest := q.finer.at(q.along, q.f, x, v, e)
		c.differs.add(differs, w, ((x-q.a)-(q.b-x))/(q.b-q.a))
		c.rest += w * rest
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
	share := math.Min(left.rest+right.rest, left.bound+right.bound) + left.doubt + right.doubt
	met := diff <= 1e-15*q.size+0.02*share+4e-16*(left.size+right.size)
	coarse := c.b-c.a <= (1<<10)*ulp(math.Max(math.Abs(c.a), math.Abs(c.b))) // the points hardly part any more
	if !met && depth > 0 && q.parts <= mostParts && !coarse && !math.IsNaN(diff) {
		return q.refine(&left, depth-1) && q.refine(&right, depth-1)
	}
	for _, half := range []*piece{&left, &right} {
		q.sum.add(half.value)
		q.cancelled.include(&half.differs)
		q.err += half.doubt
		q.bound += half.bound
		q.rest += half.rest
	}
	// At an end where f has no derivative the halves are off by more than they differ from the whole: by three times
	// that for x^-0.6.
	q.err += 4 * diff
	if met {
		return true
	}
	return math.Abs(c.value) <= vanishing*q.size && diff <= vanishing*q.size
}

// ulp is the distance from x > 0 to the next number.
func ulp(x float64) float64 { return math.Nextafter(x, math.Inf(1)) - x }

// sum adds with compensation (W. Kahan, Comm. ACM 8, 1965, 40).
type sum struct{ s, c float64 }

func (k *sum) add(v float64) {
	y := v - k.c
	t := k.s + y
	k.c = (t - k.s) - y
	k.s = t
}

func (k *sum) value() float64 { return k.s }
