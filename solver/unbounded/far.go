package unbounded

import (
	"math"

	"nodespan/solver/adapt"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// Far continues an answer beyond its last mesh points: each unknown as a polynomial (a limit: degree 0; a limiting
// slope: degree 1), with the higher derivatives zero. Measure finds the degrees, and what the continuation may be wrong
// by, from a solution on a longer interval.
type Far struct {
	A, B   float64
	p      *bvp.Problem
	degree []int
	scale  []float64 // of each entry; nil when not known
	floor  []float64 // effect of rounding on each entry
	fixed  []bool    // entries of the jet that a condition at infinity sets by itself
	// power says for each unknown with which power of the distance an error at the end grows.
	power []int
	// tails are those beyond A and beyond B; validTo is up to which distance nothing was found there that the
	// continuation leaves out.
	tails   [2]tail
	validTo [2]float64
}

// tail is by how much an answer's continuation beyond one end differs from a longer solution, for each entry of the
// jet.
type tail struct {
	reach float64   // the length over which the two were compared; 0 when they were not
	seen  []float64 // largest difference over that length
	noise []float64 // estimated error of the longer solution there
	ratio []float64 // of seen to that of the pair of intervals half as long; NaN when not known
	bound []float64 // what the difference may become at any distance: infinite when it does not fall
}

// newFar reads the degrees off the conditions.
func newFar(p *bvp.Problem, a, b float64) *Far {
	f := &Far{A: a, B: b, p: p, degree: make([]int, len(p.Unknowns)), power: make([]int, len(p.Unknowns)),
		floor: make([]float64, p.Jet()), fixed: make([]bool, p.Jet()), validTo: [2]float64{math.Inf(1), math.Inf(1)}}
	for i, u := range p.Unknowns {
		lowest := u.Order + 1
		for _, c := range p.Conditions {
			for _, v := range c.At {
				if v.Unknown == i && math.IsInf(v.X, 0) {
					lowest = min(lowest, v.Derivative)
				}
			}
		}
		if lowest <= u.Order {
			f.degree[i] = lowest
		}
		f.power[i] = f.degree[i]
	}
	for _, c := range p.Conditions {
		if len(c.At) == 1 && math.IsInf(c.At[0].X, 0) {
			f.fixed[p.JetOffset(c.At[0].Unknown)+c.At[0].Derivative] = true
		}
	}
	return f
}

// Extend continues the jet at the distance dx from the end where it was taken.
func (f *Far) Extend(dx float64, jet []float64) {
	for i, u := range f.p.Unknowns {
		y := jet[f.p.JetOffset(i):][:u.Order+1]
		extend(y, f.degree[i], dx)
	}
}

// extend continues one unknown with its derivatives as a polynomial of degree k.
func extend(y []float64, k int, dx float64) {
	for d := 0; d < k; d++ {
		t, sum := 1.0, 0.0
		for j := d; j <= k; j++ {
			if y[j] != 0 {
				sum += y[j] * t
			}
			t *= dx / float64(j-d+1)
		}
		y[d] = sum
	}
	for j := k + 1; j < len(y); j++ {
		y[j] = 0
	}
}

// Grow turns the errors of the jet at the end into those of its continuation over the distance dx.
func (f *Far) Grow(dx float64, err []float64) {
	side := 1
	if dx < 0 {
		side = 0
	}
	dx = math.Abs(dx)
	t := &f.tails[side]
	for i, u := range f.p.Unknowns {
		at := f.p.JetOffset(i)
		e := err[at:][:u.Order+1]
		k := min(max(f.degree[i], f.power[i]), u.Order)
		for d := range k {
			power, sum := 1.0, e[d]
			for j := d + 1; j <= k; j++ {
				power *= dx / float64(j-d)
				w := e[j]
				switch {
				case f.fixed[at+j] || j > f.degree[i]:
					w = f.floor[at+j] // how far it departs near the end is part of the tail
				case dx > t.reach && t.reach > 0:
					w += t.bound[at+j] // at the end it has not come to its limit yet
				}
				sum += w * power
			}
			e[d] = sum
		}
		for d := range e {
			switch {
			case t.reach == 0 || dx > math.Max(t.reach, f.validTo[side]): // not measured, or not to be relied on
				e[d] = math.Inf(1)
			case dx <= t.reach:
				e[d] += beyond*t.seen[at+d] + t.noise[at+d]
			default:
				e[d] += t.bound[at+d]
			}
		}
	}
}

// from returns a function that reads a curve and continues it, as a start for a longer interval.
func (f *Far) from(c *collocation.Curve) func(x float64, jet []float64) {
	return func(x float64, jet []float64) {
		in := math.Min(math.Max(x, f.A), f.B)
		c.At(in, jet)
		if in == x {
			return
		}
		for i, s := range f.scale {
			if math.Abs(jet[i]) <= 1e-9*s {
				jet[i] = 0 // rounding: a power of it may not be real
			}
		}
		f.Extend(x-in, jet)
	}
}

// worstRatio is taken for the ratio of neighbouring differences where it is not known; differences that fall more
// slowly add up to no bound.
const worstRatio = 0.9

// measure compares the continuation of a short answer with a longer answer: it chooses the degrees that continue it
// best, and fills the tails in. before, when not nil, is what was measured for intervals half as long to the same
// tolerance.
func (f *Far) measure(short, long *adapt.Answer, before *Far) {
	f.floor = short.Estimate.Floor
	// Differences for every unknown, side and degree of continuation.
	diff := make([][2][][]float64, len(f.p.Unknowns))
	for _, side := range f.sides() {
		at := f.tail(side, long)
		for i, u := range f.p.Unknowns {
			diff[i][side] = make([][]float64, u.Order+1)
			for k := range diff[i][side] {
				diff[i][side][k] = make([]float64, u.Order+1)
			}
		}
		f.compare(side, at, short, long, diff)
	}
	for i := range f.p.Unknowns {
		f.choose(i, diff[i], short, long)
	}
	for _, side := range f.sides() {
		t := &f.tails[side]
		b := &tail{seen: f.fallOff(long, side), noise: t.noise}
		if before != nil && before.tails[side].reach > 0 {
			b = &before.tails[side]
		}
		t.sum(b)
	}
}

// tail begins the tail of one side: how far a longer answer reaches beyond the end, and its noise there. It returns
// points out there.
func (f *Far) tail(side int, long *adapt.Answer) (at []float64) {
	g, end, jet := long.Curve.Grid(), f.end(side), f.p.Jet()
	x := g.Mesh.X
	t := &f.tails[side]
	*t = tail{seen: make([]float64, jet), noise: make([]float64, jet), ratio: make([]float64, jet),
		bound: make([]float64, jet)}
	for e := range g.Mesh.Nodes {
		lo, hi := x[e], x[e+1]
		if side == 1 {
			lo = math.Max(lo, end)
		} else {
			hi = math.Min(hi, end)
		}
		if !(lo < hi) {
			continue
		}
		t.reach = math.Max(t.reach, math.Max(end-lo, hi-end))
		at = append(at, lo, hi) // what falls is largest at the end
		for j := range 8 {
			at = append(at, lo+(hi-lo)*(float64(j)+0.5)/8)
		}
		for i, v := range long.Estimate.Local[e] {
			t.noise[i] = math.Max(t.noise[i], v+long.Estimate.Floor[i])
		}
	}
	return at
}

// compare writes to diff[unknown][side][degree][derivative] the most by which the continuation of the short answer
// differs from the longer one at the given points.
func (f *Far) compare(side int, at []float64, short, long *adapt.Answer, diff [][2][][]float64) {
	jet := f.p.Jet()
	start, now, y := make([]float64, jet), make([]float64, jet), make([]float64, jet)
	end := f.end(side)
	short.Curve.At(end, start)
	for _, s := range at {
		long.Curve.At(s, now)
		for i, u := range f.p.Unknowns {
			o, n := f.p.JetOffset(i), u.Order+1
			for k, most := range diff[i][side] {
				copy(y, start[o:o+n])
				extend(y[:n], k, s-end)
				raise(most, y[:n], now[o:o+n])
			}
		}
	}
}

// raise raises most to the differences of a and b. NaN stays.
func raise(most, a, b []float64) {
	for d, v := range a {
		if off := math.Abs(v - b[d]); !(off <= most[d]) {
			most[d] = off
		}
	}
}

// fallOff returns what the continuation from half the distance would leave out over the other half, as the longer
// solution has it.
func (f *Far) fallOff(long *adapt.Answer, side int) []float64 {
	out := make([]float64, f.p.Jet())
	from := base(f.p)
	end := f.end(side)
	start, now, cont := make([]float64, len(out)), make([]float64, len(out)), make([]float64, len(out))
	half := from + (end-from)/2
	long.Curve.At(half, start)
	const samples = 64
	for j := 1; j <= samples; j++ {
		x := half + (end-half)*float64(j)/samples
		long.Curve.At(x, now)
		copy(cont, start)
		f.Extend(x-half, cont)
		for i, v := range now {
			out[i] = math.Max(out[i], math.Abs(v-cont[i]))
		}
	}
	return out
}

// fall is the largest ratio of the entries of the state, as far as they are known; worstRatio where none is.
func (f *Far) fall() float64 {
	worst := math.NaN()
	for _, side := range f.sides() {
		for i, u := range f.p.Unknowns {
			for d := range u.Order {
				if r := f.tails[side].ratio[f.p.JetOffset(i)+d]; !math.IsNaN(r) && !(r <= worst) {
					worst = r
				}
			}
		}
	}
	if math.IsNaN(worst) {
		return worstRatio
	}
	return math.Min(worst, worstRatio)
}

// sides lists the ends of the interval that are infinite: 0 the left one, 1 the right one.
//
//go:noinline
func (f *Far) sides() (out []int) {
	if math.IsInf(f.p.A, -1) {
		out = append(out, 0)
	}
	if math.IsInf(f.p.B, 1) {
		out = append(out, 1)
	}
	return out
}

// end returns the last mesh point on a side.
func (f *Far) end(side int) float64 {
	if side == 0 {
		return f.A
	}
	return f.B
}

// steady is the part of itself that the derivative next to a limit may still change by over a doubling of the distance.
const steady = 0.2

// lasts reports that derivative k of unknown i is the same, nearly, at the ends of a short answer and of a longer one.
// One that falls is no limit, and a continuation with it strays without bound.
func (f *Far) lasts(i, k int, short, long *adapt.Answer) bool {
	near, far := make([]float64, f.p.Jet()), make([]float64, f.p.Jet())
	o := f.p.JetOffset(i) + k
	for _, side := range f.sides() {
		x := long.Curve.Grid().Mesh.X
		short.Curve.At(f.end(side), near)
		long.Curve.At(x[side*(len(x)-1)], far)
		if math.Abs(far[o]-near[o]) > steady*math.Abs(near[o]) {
			return false
		}
	}
	return true
}

// choose takes the lowest degree that continues unknown i as well as any, as far as the longer solution can tell.
func (f *Far) choose(i int, diff [2][][]float64, short, long *adapt.Answer) {
	u, o := f.p.Unknowns[i], f.p.JetOffset(i)
	size := make([]float64, u.Order+1)
	best := math.Inf(1)
	noise := 0.0
	for k := range size {
		if k > 0 && !f.lasts(i, k, short, long) {
			size[k] = math.Inf(1)
			continue
		}
		for _, side := range f.sides() {
			for d := range u.Order {
				if s := long.Estimate.Scale[o+d]; s > 0 {
					size[k] = math.Max(size[k], diff[side][k][d]/s)
					noise = math.Max(noise, f.tails[side].noise[o+d]/s)
				}
			}
		}
		best = math.Min(best, size[k])
	}
	for k := range size {
		if size[k] <= 3*best+noise {
			f.degree[i] = k
			break
		}
	}
	for _, side := range f.sides() {
		copy(f.tails[side].seen[o:], diff[side][f.degree[i]])
	}
}

// sum bounds the differences at any distance by a geometric series, each doubling of the distance adding less than the
// one before.
func (t *tail) sum(before *tail) {
	for i, d := range t.seen {
		t.ratio[i] = math.NaN()
		r := worstRatio
		switch {
		case d <= 2*t.noise[i]:
			r = 0 // the two agree as far as can be told
		case before != nil && before.seen[i] > 4*before.noise[i]:
			r = d / before.seen[i]
			t.ratio[i] = r
		}
		t.bound[i] = beyond*d + t.noise[i]
		switch {
		case r > worstRatio:
			t.bound[i] = math.Inf(1)
		case r > 0:
			t.bound[i] += d * r / (1 - r)
		}
	}
}

// tailError is the largest bound of a tail relative to the size of its entry, and the unknown that it belongs to.
func (f *Far) tailError(est *adapt.Estimate) (worst float64, unknown int) {
	return f.largest(est, func(t *tail) []float64 { return t.bound })
}

// seenError is the largest difference seen beyond the ends, likewise.
func (f *Far) seenError(est *adapt.Estimate) float64 {
	worst, _ := f.largest(est, func(t *tail) []float64 { return t.seen })
	return worst
}

func (f *Far) largest(est *adapt.Estimate, of func(t *tail) []float64) (worst float64, unknown int) {
	noise := make([]float64, f.p.Jet())
	for _, side := range f.sides() {
		for i, v := range f.tails[side].noise {
			noise[i] = math.Max(noise[i], v)
		}
	}
	size := yardsticks(f.p, est, noise, f.B-f.A)
	for i, u := range f.p.Unknowns {
		o := f.p.JetOffset(i)
		for d := range u.Order {
			for _, side := range f.sides() {
				if v := of(&f.tails[side])[o+d] / size[o+d]; v > worst {
					worst, unknown = v, i
				}
			}
		}
	}
	return worst, unknown
}

// yardsticks returns what a change of each entry of the jet is held against: its scale, and where a derivative is
// zero as far as its noise tells, the scale of the unknown over powers of the length.
func yardsticks(p *bvp.Problem, est *adapt.Estimate, noise []float64, length float64) []float64 {
	size := make([]float64, p.Jet())
	for i, u := range p.Unknowns {
		o := p.JetOffset(i)
		natural := est.Scale[o]
		for d := range u.Order + 1 {
			s := math.Max(est.Scale[o+d], 1e-9*natural)
			if d > 0 && est.Scale[o+d] <= 4*noise[o+d] {
				s = math.Max(s, natural)
			}
			if s == 0 {
				s = 1
			}
			size[o+d] = s
			natural /= length
		}
	}
	return size
}
