package derived

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"nodespan/solver"
	"nodespan/solver/bvp"
	"nodespan/solver/nodes"
)

// Extreme is the largest value of a function.
type Extreme struct {
	// Best is where the function is largest.
	Best Point
	// Places are, ascending, all the ones whose values cannot be told from the largest one and that are not the same
	// place, Best among them; there is more than one where, say, two peaks are equally high.
	Places []Point
	// Unbounded says that there is no largest value: the function grows without bound towards Best.X.
	Unbounded bool
	// Open says that it cannot be told which side of a switch holds at Best.X, and that the largest value depends on
	// it.
	Open bool
}

// Largest finds where f is largest in [a, b], either of which may be infinite. Where f jumps, the values on both sides
// count.
func (f Function) Largest(s *solver.Solution, a, b float64) Extreme {
	p := newAlong(s)
	lo, hi := p.reach(&f, a, b)
	if hi < b && p.climbs(&f, lo, hi) {
		return Extreme{Best: Point{X: Number{Value: b}}, Unbounded: true}
	}
	if lo > a && p.climbs(&f, hi, lo) {
		return Extreme{Best: Point{X: Number{Value: a}}, Unbounded: true}
	}
	toward := []float64{}
	if hi < b {
		toward = append(toward, 1)
	}
	if lo > a {
		toward = append(toward, -1)
	}
	a, b = lo, hi
	parts, open := p.stretches(&f, a, b)
	h := &heights{along: p, f: &f, parts: parts, m: p.samples(&f, parts, middles(open)), a: a, b: b}
	h.ends()
	for _, side := range toward {
		h.farAway(side)
	}
	if f.Slope != nil {
		h.level()
	}
	h.peaks()
	e := h.best()
	if !e.Unbounded {
		h.higher(&e, open)
		h.otherwise(&e, open)
	}
	return e
}

// heights looks for a largest value.
type heights struct {
	*along
	f         *Function
	parts     []stretch
	m         []sample
	a, b      float64
	places    []Point
	unbounded []float64
}

// apart is the share of the interval below which two places are one.
const apart = 1e-7

func (h *heights) add(x, dx float64) { h.place(x, dx, h.told(h.f, x)) }

func (h *heights) place(x, dx float64, n Number) {
	h.places = append(h.places, Point{X: Number{x, dx}, Value: n})
}

// ends adds both ends of the interval, both sides of every place where f jumps or bends, and what f tends to where it
// has no value.
func (h *heights) ends() {
	for i := range h.parts {
		s := &h.parts[i]
		last := i+1 == len(h.parts)
		first := i == 0
		jumps := !last && h.jumps(i)
		before := i > 0 && h.jumps(i-1)
		if h.singular(h.f, s.l) {
			h.limit(end{s.l, s.r, s.movedA})
		} else if first || before {
			h.side(s.l, s.movedA)
		}
		if h.singular(h.f, s.r) {
			h.limit(end{s.r, s.l, s.movedB})
		} else if last || jumps {
			h.side(s.r, s.movedB)
		}
	}
}

// jumps reports whether f jumps or bends between stretch i and the next.
func (h *heights) jumps(i int) bool {
	left, right := &h.parts[i], &h.parts[i+1]
	if left.movedB > 0 || right.movedA > 0 {
		return true
	}
	l, r := h.number(h.f, left.r), h.number(h.f, right.l)
	return math.Abs(l.Value-r.Value) > l.Error+r.Error
}

// side adds the value on one side of a place that is known to within moved.
func (h *heights) side(x, moved float64) {
	n := h.told(h.f, x)
	if moved > 0 {
		n.Error += moved * math.Abs(h.slope(x, moved))
	}
	h.place(x, moved, n)
}

// slope is that of f at x; where it is not known a difference over a step.
func (h *heights) slope(x, step float64) float64 {
	if h.f.Slope != nil {
		return h.value(h.f.Slope.F, x)
	}
	step = math.Max(step, 1e-6*(h.b-h.a))
	l, r := math.Max(h.a, x-step), math.Min(h.b, x+step)
	return (h.value(h.f.F, r) - h.value(h.f.F, l)) / (r - l)
}

// limit adds what f tends to at an end of a stretch where it may have no value. It grows without bound where its
// increments over equal ratios of the distance do not shrink: those of a logarithm stay the same, those of a power
// below 0 grow.
func (h *heights) limit(e end) {
	rises := func(x float64) float64 {
		near, far := h.value(h.f.F, x), h.value(h.f.F, e.at+approach*(x-e.at))
		return math.Max(0, near-far)
	}
	if h.persists(end{e.at, e.at + (e.other-e.at)/approach, e.moved}, rises) {
		h.unbounded = append(h.unbounded, e.at)
		return
	}
	best := h.number(h.f, e.at)
	if math.IsNaN(best.Value) || math.IsNaN(best.Error) {
		best = Number{math.NaN(), math.Inf(1)}
	}
	last := h.value(h.f.F, e.other)
	for d := (e.other - e.at) / 2; e.at+d != e.at; d /= 2 {
		n := h.number(h.f, e.at+d)
		if miss := n.Error + 2*math.Abs(n.Value-last); miss < best.Error {
			best = Number{n.Value, miss}
		}
		last = n.Value
	}
	if !math.IsNaN(best.Value) {
		h.place(e.at, e.moved, best)
	}
}

// farAway adds what f tends to towards infinity, on the right for side 1 and on the left for −1.
func (h *heights) farAway(side float64) {
	x := h.b
	if side < 0 {
		x = h.a
	}
	d := side * (h.b - h.a)
	best, last := Number{math.NaN(), math.Inf(1)}, h.value(h.f.F, x)
	for range mostDoublings {
		x, d = x+d, 2*d
		n := h.number(h.f, x)
		if miss := n.Error + 2*math.Abs(n.Value-last); miss < best.Error {
			best = Number{n.Value, miss}
		}
		last = n.Value
	}
	if !math.IsNaN(best.Value) {
		h.places = append(h.places, Point{X: Number{Value: math.Inf(int(side))}, Value: best})
	}
}

// level adds the places where the slope is 0.
func (h *heights) level() {
	c := h.changes(h.f.Slope, h.parts, nil)
	rounded := rounding * math.Max(math.Abs(h.a), math.Abs(h.b))
	for _, z := range c.list {
		if z.from < 0 {
			continue // a least value
		}
		if z.between {
			h.side(z.lo, math.Max(z.miss, h.parts[z.part].movedB))
		}
		h.add(z.hi, z.miss+rounded)
	}
	for _, z := range c.doubtful { // f may be level all along
		m := z.a + (z.b-z.a)/2
		for _, x := range []float64{z.a, m, z.b} {
			h.add(x, rounded)
		}
	}
	for _, z := range c.ends {
		if z.a <= h.a {
			h.add(h.a, z.b-z.a)
		} else {
			h.add(h.b, z.b-z.a)
		}
	}
}

// peaks adds the largest samples' neighbourhoods that are not known yet: all of them where the slope is not known.
func (h *heights) peaks() {
	known := math.Inf(-1)
	for _, q := range h.places {
		known = math.Max(known, q.Value.Value)
	}
	m := h.m
	for i := 1; i+1 < len(m); i++ {
		if m[i].part != m[i-1].part || m[i].part != m[i+1].part || !(m[i].v >= m[i-1].v && m[i].v >= m[i+1].v) {
			continue
		}
		if h.f.Slope != nil && !(m[i].v > known+m[i].e) {
			continue
		}
		x := nodes.Maximum(func(x float64) float64 { return h.value(h.f.F, x) }, m[i-1].x, m[i+1].x, sections)
		if h.value(h.f.F, x) < m[i].v {
			x = m[i].x
		}
		h.add(x, h.uncertainty(i, x))
	}
	if h.f.Slope != nil {
		return
	}
	for i, s := range m { // the ends of stretches, inside which there is nothing larger
		if i > 0 && i+1 < len(m) && (m[i-1].part != s.part || m[i+1].part != s.part) && s.v > known {
			h.add(s.x, math.Max(s.x-m[i-1].x, m[i+1].x-s.x))
		}
	}
}

// uncertainty is how far the place of a maximum found by comparing values may be off: as far as f is not certainly
// less. Sample i is the closest.
func (h *heights) uncertainty(i int, x float64) float64 {
	top := h.number(h.f, x)
	less := func(x float64) bool {
		n := h.number(h.f, x)
		return n.Value+n.Error < top.Value-top.Error
	}
	most := 0.0
	for _, step := range []int{-1, 1} {
		j := i + step
		for j+step >= 0 && j+step < len(h.m) && !less(h.m[j].x) {
			j += step
		}
		d := h.m[j].x - x
		for range 60 {
			if !less(x + d/2) {
				break
			}
			d /= 2
		}
		most = math.Max(most, math.Abs(d))
	}
	return most
}

// best chooses the largest place.
func (h *heights) best() Extreme {
	if len(h.unbounded) > 0 {
		return Extreme{Best: Point{X: Number{Value: h.unbounded[0]}}, Unbounded: true}
	}
	// Where f has no value there is no place.
	h.places = slices.DeleteFunc(h.places, func(q Point) bool { return math.IsNaN(q.Value.Value) })
	best := Point{Value: Number{math.NaN(), math.Inf(1)}}
	for _, q := range h.places {
		if math.IsNaN(best.Value.Value) || q.Value.Value > best.Value.Value {
			best = q
		}
	}
	e := Extreme{Places: []Point{best}}
	for _, q := range h.places {
		indistinct := best.Value.Value-q.Value.Value <= best.Value.Error+q.Value.Error
		if indistinct && math.Abs(q.X.Value-best.X.Value) > 4*(q.X.Error+best.X.Error)+apart*(h.b-h.a) {
			e.Places = append(e.Places, q)
		}
	}
	sort.SliceStable(e.Places, func(i, j int) bool { return cmp.Less(e.Places[i].X.Value, e.Places[j].X.Value) })
	// Another place may be larger than it looks.
	most := best.Value.Value + best.Value.Error
	for _, q := range h.places {
		if most = math.Max(most, q.Value.Value+q.Value.Error); math.IsNaN(most) {
			most = math.Inf(1)
			break
		}
	}
	best.Value.Error = most - best.Value.Value
	e.Best = best
	return e
}

// higher widens the error of the largest value to what f may be where it is seen at all and not known well, apart from
// where a switch cannot be told from 0.
func (h *heights) higher(e *Extreme, open []unsure) {
	for _, q := range h.m {
		doubted := slices.ContainsFunc(open, func(u unsure) bool { return q.x >= u.zone.a && q.x <= u.zone.b })
		if up := q.v + q.e - e.Best.Value.Value; !doubted && up > e.Best.Value.Error {
			e.Best.Value.Error = up
		}
	}
}

// otherwise considers what f may be where a switch cannot be told from 0.
func (h *heights) otherwise(e *Extreme, open []unsure) {
	for _, u := range open {
		if u.of.Other == nil {
			continue
		}
		other := Function{F: u.of.Other, Doubt: h.f.Doubt}
		for _, x := range bvp.Divide([]float64{math.Max(u.zone.a, h.a), math.Min(u.zone.b, h.b)}, 4) {
			n := h.number(&other, x)
			more := n.Value - e.Best.Value.Value
			switch {
			case u.of.Jumps && more > 4*(n.Error+e.Best.Value.Error):
				*e = Extreme{Best: Point{X: Number{Value: x}, Value: n}, Open: true}
				return
			case u.of.Jumps && more > -(n.Error+e.Best.Value.Error) &&
				math.Abs(x-e.Best.X.Value) > 4*e.Best.X.Error+apart*(h.b-h.a):
				e.Places = append(e.Places, Point{X: Number{x, u.zone.b - u.zone.a}, Value: n})
			}
			e.Best.Value.Error = math.Max(e.Best.Value.Error, more+n.Error)
		}
	}
}
