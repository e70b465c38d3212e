package adapt

import (
	"context"
	"math"
	"slices"

	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// This file reads in the formulas of a problem where something happens at a small scale, which no sampling finds
// reliably: by interval evaluation (bvp.Formulas) the interval is bisected into gaps on each of which every node of the
// formulas changes by a fraction of its own range and keeps its slope likewise. Where gaps are narrower than the
// spacing of the collocation nodes, collocation alone may not have seen what is there.

// Limits of a reading.
const (
	// valueShare and slopeShare are the parts of a node's range, and of that of its slope, by which it may change on a
	// gap.
	valueShare = 0.25
	slopeShare = 0.35
	// narrowest is the width, as a part of the interval, down to which gaps are divided.
	narrowest = 1.0 / (1 << 24)
	// crowd is the number of gaps that one node may ask to divide at once. A node that asks for more oscillates; it is
	// followed no further, so that the others are.
	crowd = 256
	// mostReads bounds the evaluations of one reading.
	mostReads = 1 << 13
	// valueless is the width down to which a node without a finite value is divided.
	valueless = 1.0 / 64
	// blind is the number of gaps where the formulas are not known.
	blind = 24
	// enclosureWork is the work of the bounds of one operation of a formula, in units of package budget.
	enclosureWork = 10
)

// reading is a division of the interval into gaps.
type reading struct {
	p   *bvp.Problem
	ctx context.Context // whose budget pays for what is read and integrated
	// x holds the ends of the gaps, ascending, from A to B; the breaks are among them.
	x []float64
	// crowded tells of each gap whether some node changes on it by more than the reading followed.
	crowded []bool
	room    *scratch
}

// read divides the interval by what the formulas do that depend on x alone. It is done once for a solve.
func read(p *bvp.Problem, ctx context.Context) *reading {
	f := p.Formulas
	if f == nil {
		r := &reading{p: p, x: bvp.Divide(p.Stretches(), blind), room: new(scratch)}
		r.crowded = make([]bool, len(r.x)-1)
		return r
	}
	still := nodesOf(f, false)
	b := &bisection{whole: p.B - p.A, nodes: still,
		enclose: func(a, b float64, out []bvp.Enclosure) { f.Enclose(a, b, nil, out) }}
	b.out = make([]bvp.Enclosure, len(f.Moving))
	x := p.Stretches()
	if len(still) > 0 {
		x = bvp.Divide(x, 4)
	}
	return b.run(p, ctx, x)
}

// remember adds the ends of elements to the gaps: where the formulas are not known, the mesh before elements are merged
// is what tells of small scales.
func (r *reading) remember(x []float64) {
	r.x = union(r.x, x)
	r.crowded = make([]bool, len(r.x)-1)
}

// along adds the gaps that the nodes make which depend on the unknowns, as they are along the curve.
func (r *reading) along(c *collocation.Curve) *reading {
	p, f := r.p, r.p.Formulas
	g := c.Grid()
	if f == nil || f.Inputs != p.Jet()+len(p.Parameters) || len(g.P.Unknowns) != len(p.Unknowns) {
		return r
	}
	moving := nodesOf(f, true)
	if len(moving) == 0 {
		return r
	}
	in := make([]bvp.Enclosure, f.Inputs)
	for i, v := range g.Parameters(c.V) {
		in[p.Jet()+i] = bvp.Enclosure{Lo: v, Hi: v, Mid: v}
	}
	e := 0
	b := &bisection{whole: p.B - p.A, nodes: moving, enclose: func(lo, hi float64, out []bvp.Enclosure) {
		for e > 0 && g.Mesh.X[e] > lo {
			e--
		}
		for e+1 < g.Elements() && g.Mesh.X[e+1] <= lo {
			e++
		}
		c.Enclose(e, lo, hi, in[:p.Jet()])
		f.Enclose(lo, hi, in, out)
	}}
	b.out = make([]bvp.Enclosure, len(f.Moving))
	out := b.run(p, r.ctx, union(r.x, g.Mesh.X))
	out.inherit(r)
	out.room = r.room
	return out
}

// inherit takes over which gaps another reading found crowded.
func (r *reading) inherit(other *reading) {
	i := 0
	for j := range r.crowded {
		for i+1 < len(other.crowded) && other.x[i+1] <= r.x[j] {
			i++
		}
		r.crowded[j] = r.crowded[j] || other.crowded[i]
	}
}

// nodesOf lists the nodes that move, or those that do not.
func nodesOf(f *bvp.Formulas, moving bool) []int {
	var list []int
	for i, m := range f.Moving {
		if m == moving {
			list = append(list, i)
		}
	}
	return list
}

// union merges two ascending lists with the same ends; points that differ by rounding count once.
func union(a, b []float64) []float64 {
	all := append(slices.Clone(a), b...)
	slices.Sort(all)
	last := all[len(all)-1]
	apart := 1e-12 * (last - all[0])
	out := all[:1]
	for _, x := range all[1:] {
		if x-out[len(out)-1] > apart {
			out = append(out, x)
		}
	}
	out[len(out)-1] = last
	return out
}

// bisection divides stretches until all nodes are steady on each.
type bisection struct {
	whole   float64
	nodes   []int
	enclose func(a, b float64, out []bvp.Enclosure)
	out     []bvp.Enclosure
	reads   int
	dropped []bool          // nodes that are followed no further
	value   []interval      // of each node over the whole interval
	slope   []interval      // likewise
	asked   []int           // gaps that each node asks to divide
	leaves  []leaf          // ascending
	store   []bvp.Enclosure // of the leaves' bounds
}

// leaf is a stretch with the bounds of the nodes on it.
type leaf struct {
	a, b   float64
	bounds []bvp.Enclosure
}

// interval is a range of finite numbers; empty while lo > hi.
type interval struct{ lo, hi float64 }

func (v *interval) add(lo, hi float64) {
	if math.IsInf(lo, 0) || math.IsInf(hi, 0) {
		return
	}
	v.lo, v.hi = math.Min(v.lo, lo), math.Max(v.hi, hi)
}

func (b *bisection) read(lo, hi float64) leaf {
	n := len(b.nodes)
	if len(b.store) < n {
		b.store = make([]bvp.Enclosure, 32*n)
	}
	l := leaf{lo, hi, b.store[:n:n]}
	b.store = b.store[n:]
	// A jump or a kink at the end of a stretch, but for rounding, is outside.
	inset := 1e-9 * (hi - lo)
	b.enclose(lo+inset, hi-inset, b.out)
	for i, at := range b.nodes {
		l.bounds[i] = b.out[at]
	}
	b.reads++
	return l
}

// run bisects from the given points on.
func (b *bisection) run(p *bvp.Problem, ctx context.Context, x []float64) *reading {
	n := len(b.nodes)
	b.dropped, b.asked = make([]bool, n), make([]int, n)
	b.value, b.slope = make([]interval, n), make([]interval, n)
	if n > 0 {
		for i := range len(x) - 1 {
			b.leaves = append(b.leaves, b.read(x[i], x[i+1]))
		}
		for b.reads < mostReads && b.round() {
		}
		x = x[:0:0]
		for _, l := range b.leaves {
			x = append(x, l.a)
		}
		x = append(x, p.B)
	}
	budget.Spend(ctx, float64(b.reads*len(b.out))*enclosureWork)
	r := &reading{p: p, ctx: ctx, x: evened(x, p.Breaks), room: new(scratch)}
	r.crowded = make([]bool, len(r.x)-1)
	e := 0
	for i := range r.crowded {
		for e+1 < len(b.leaves) && b.leaves[e].b <= r.x[i] {
			e++
		}
		if e < len(b.leaves) {
			r.crowded[i] = b.unfollowed(&b.leaves[e])
		}
	}
	return r
}

// round bisects every gap on which some node is not steady, and reports whether there was one.
func (b *bisection) round() bool {
	for i := range b.nodes {
		b.value[i], b.slope[i], b.asked[i] = interval{math.Inf(1), math.Inf(-1)}, interval{math.Inf(1), math.Inf(-1)}, 0
	}
	for _, l := range b.leaves {
		for i, e := range l.bounds {
			b.value[i].add(e.Lo, e.Hi)
			b.slope[i].add(e.SlopeLo, e.SlopeHi)
		}
	}
	for j := range b.leaves {
		for i := range b.nodes {
			if !b.dropped[i] && !b.steady(&b.leaves[j], i) {
				b.asked[i]++
			}
		}
	}
	some := false
	for i, k := range b.asked {
		b.dropped[i] = b.dropped[i] || k > crowd
		some = some || k > 0 && !b.dropped[i]
	}
	if !some {
		return false
	}
	next := make([]leaf, 0, 2*len(b.leaves))
	for j := range b.leaves {
		l := &b.leaves[j]
		divide := false
		for i := range b.nodes {
			divide = divide || !b.dropped[i] && !b.steady(l, i)
		}
		if !divide {
			next = append(next, *l)
			continue
		}
		mid := l.a + (l.b-l.a)/2
		next = append(next, b.read(l.a, mid), b.read(mid, l.b))
	}
	b.leaves = next
	return true
}

// steady reports whether node i needs no division of a gap.
func (b *bisection) steady(l *leaf, i int) bool {
	width := l.b - l.a
	if width < narrowest*b.whole || width < 1e-12*math.Max(math.Abs(l.a), math.Abs(l.b)) {
		return true
	}
	e := &l.bounds[i]
	if math.IsNaN(e.Mid) || math.IsInf(e.Mid, 0) {
		return width < valueless*b.whole
	}
	return !b.changes(e, i)
}

// changes reports whether node i changes on a gap by more than its share of what it does over the whole interval.
func (b *bisection) changes(e *bvp.Enclosure, i int) bool {
	v, s := &b.value[i], &b.slope[i]
	size := math.Max(math.Abs(v.lo), math.Abs(v.hi))
	all := v.hi - v.lo
	if !(e.Hi-e.Lo < math.Inf(1)) {
		return true
	}
	if !(all > 1e-12*size) {
		return false // a constant but for rounding
	}
	if e.Hi-e.Lo > valueShare*all {
		return true
	}
	if !(e.SlopeHi-e.SlopeLo < math.Inf(1)) {
		return true
	}
	turn := s.hi - s.lo
	return turn > 1e-6*all/b.whole && e.SlopeHi-e.SlopeLo > slopeShare*turn
}

// unfollowed reports whether a node that was dropped is not steady on a gap.
func (b *bisection) unfollowed(l *leaf) bool {
	for i := range b.nodes {
		if b.dropped[i] && !b.steady(l, i) {
			return true
		}
	}
	return false
}

// evened divides gaps further, until none is more than about twice as wide as its neighbour: what is left of a feature
// fades over some times its width. Breaks part what needs not be graded. A gap of almost no width, between two
// neighbouring numbers, asks for nothing.
func evened(x, breaks []float64) []float64 {
	const ratio = 2.5
	thin := narrowest / 2 * (x[len(x)-1] - x[0])
	for {
		out := make([]float64, 0, 2*len(x))
		divided := false
		for i := range len(x) - 1 {
			w := x[i+1] - x[i]
			least := math.Inf(1)
			if i > 0 && !has(breaks, x[i]) {
				least = x[i] - x[i-1]
			}
			if i+2 < len(x) && !has(breaks, x[i+1]) {
				least = math.Min(least, x[i+2]-x[i+1])
			}
			out = append(out, x[i])
			if w > ratio*math.Max(least, thin) {
				out = append(out, x[i]+w/2)
				divided = true
			}
		}
		out = append(out, x[len(x)-1])
		if !divided {
			return out
		}
		x = out
	}
}

func has(list []float64, x float64) bool {
	_, ok := slices.BinarySearch(list, x)
	return ok
}

// first returns the points of a mesh that follows the gaps: where those are narrower than what nodes in each of the
// given elements would see, elements of a few gaps each.
func (r *reading) first(points []float64, nodes int) []float64 {
	out := []float64{points[0]}
	i := 0
	for e := range len(points) - 1 {
		for i < len(r.x)-1 && r.x[i+1] <= points[e] {
			i++
		}
		j := i
		for j < len(r.x)-1 && r.x[j] < points[e+1] {
			j++
		}
		out = append(out, grouped(r.x[i:j+1], points[e], points[e+1], nodes)...)
	}
	return out
}

// grouped returns the points at which an element from a to b is cut, and b: none inside where its nodes see all the
// gaps x.
func grouped(x []float64, a, b float64, nodes int) []float64 {
	const together = 4.0 // an element is at most this many times as wide as its narrowest gap
	if !(narrowestIn(x, a, b) < spacing(b-a, nodes)) {
		return []float64{b}
	}
	var out []float64
	from, narrow := a, math.Inf(1)
	for i := range len(x) - 1 {
		lo, hi := math.Max(x[i], a), math.Min(x[i+1], b)
		if !(hi > lo) {
			continue
		}
		if w := math.Min(narrow, x[i+1]-x[i]); hi-from > together*w*1.001 && lo > from {
			out = append(out, lo)
			from, narrow = lo, math.Inf(1)
		}
		narrow = math.Min(narrow, x[i+1]-x[i])
	}
	return append(out, b)
}

// spacing is the widest distance of neighbouring nodes in an element.
func spacing(h float64, nodes int) float64 { return h * math.Pi / 2 / float64(nodes+1) }

// narrowestIn returns the width of the narrowest of the gaps x that reach into a…b.
func narrowestIn(x []float64, a, b float64) float64 {
	w := math.Inf(1)
	i, _ := slices.BinarySearch(x, a)
	for i = max(i-1, 0); i+1 < len(x) && x[i] < b; i++ {
		if x[i+1] > a {
			w = math.Min(w, x[i+1]-x[i])
		}
	}
	return w
}
