package derived

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"nodespan/solver/bvp"
	"nodespan/solver/nodes"
)

// sections is how many golden sections find the place of an extreme to rounding.
const sections = 80

// stretch is a part of the interval in which a function is smooth.
type stretch struct {
	a, b float64 // its ends
	// l and r are where it is evaluated first and last: the next numbers inside, where the value at the end belongs to
	// the neighbour.
	l, r float64
	// movedA and movedB say how far the ends may be off: the place of a switch is known to the solution's error.
	movedA, movedB float64
}

// zone is where a function cannot be told from 0 to within its error though it need not change its sign.
type zone struct{ a, b float64 }

// unsure is a zone of a switch: there the function may be as it is or as the switch's other side has it.
type unsure struct {
	zone
	of *Switch
}

// elements cuts [a, b], finite, at the mesh points.
func (p *along) elements(a, b float64) []stretch {
	var out []stretch
	from := a
	for _, x := range append(slices.Clone(p.s.Mesh), b) {
		if x <= from || x > b {
			continue
		}
		out = append(out, stretch{a: from, b: x, l: from, r: x})
		from = x
	}
	// At a mesh point the element on its left counts.
	for i := range out {
		if _, on := slices.BinarySearch(p.s.Mesh, out[i].a); on && out[i].a != p.s.Mesh[0] {
			out[i].l = math.Min(math.Nextafter(out[i].a, out[i].b), out[i].r)
		}
	}
	return out
}

// stretches cuts [a, b] where f is not smooth.
func (p *along) stretches(f *Function, a, b float64) (parts []stretch, open []unsure) {
	parts = p.elements(a, b)
	for k := range f.Switches {
		w := &f.Switches[k]
		c := p.changes(&w.Argument, parts, middles(open))
		if w.Other == nil { // f may have no value where the argument touches 0
			for _, z := range c.doubtful {
				c.list = append(c.list, touch(parts, z)...)
			}
		}
		parts = cut(parts, c.list)
		for _, z := range append(c.doubtful, c.ends...) {
			open = append(open, unsure{z, w})
		}
	}
	return parts, open
}

// touch makes the middle of a zone a place to cut at.
func touch(parts []stretch, z zone) []change {
	x := z.a + (z.b-z.a)/2
	for i, s := range parts {
		if s.l < z.a && z.b < s.r { // else it is cut there
			return []change{{lo: math.Nextafter(x, s.l), hi: x, after: x, miss: (z.b - z.a) / 2, part: i}}
		}
	}
	return nil
}

// middles returns a point of each zone.
func middles(open []unsure) []float64 {
	var out []float64
	for _, u := range open {
		out = append(out, u.a+(u.b-u.a)/2)
	}
	return out
}

// cut cuts stretches at changes of sign. Of a stretch that would be a single point nothing is left.
func cut(parts []stretch, list []change) []stretch {
	var out []stretch
	next := 0.0 // how far the beginning of the next stretch may be off
	sort.Slice(list, func(i, j int) bool { return cmp.Less(list[i].hi, list[j].hi) })
	for i, s := range parts {
		s.movedA = math.Max(s.movedA, next)
		next = 0
		for _, c := range list {
			switch {
			case c.part != i:
			case c.between:
				s.movedB = math.Max(s.movedB, c.miss)
				next = math.Max(next, c.miss)
			case c.after >= s.r:
				s.r, s.movedB = c.lo, math.Max(s.movedB, c.miss)
				next = math.Max(next, c.miss)
			case c.lo <= s.l:
				s.l, s.movedA = c.after, math.Max(s.movedA, c.miss)
			default:
				left := s
				left.b, left.r, left.movedB = c.hi, c.lo, c.miss
				out = append(out, left)
				s.a, s.l, s.movedA = c.hi, c.after, c.miss
			}
		}
		out = append(out, s)
	}
	return out
}

// sample is a function at a point of a stretch.
type sample struct {
	x, v, e float64
	part    int
}

// sign is that of the sample's value, 0 where its error leaves it open.
func (m *sample) sign() int {
	switch {
	case m.v > m.e:
		return 1
	case m.v < -m.e:
		return -1
	}
	return 0
}

// grid lists the points at which f is looked at on a stretch: close enough together to see what the degree of the
// elements allows, and what the formula of f may do.
func (p *along) grid(f *Function, s *stretch) []float64 {
	n := 2*p.s.Degree + 6
	parts := narrowed(f, s.l, s.r)
	if len(parts) > 2 {
		n = max(12, n/(len(parts)-1))
	}
	x := bvp.Divide(parts, n)
	x[0], x[len(x)-1] = s.l, s.r
	return x
}

// mostNarrow bounds the parts into which a stretch is cut for a formula.
const mostNarrow = 1 << 12

// narrowed halves [l, r] until f does nothing in a part that a dozen points do not show.
func narrowed(f *Function, l, r float64) []float64 {
	if f.Narrow == nil {
		return []float64{l, r}
	}
	out := []float64{l}
	var halve func(l, r float64, depth int)
	halve = func(l, r float64, depth int) {
		m := l + (r-l)/2
		if depth > 0 && len(out) < mostNarrow && m > l && m < r && f.Narrow(l, r) {
			halve(l, m, depth-1)
			halve(m, r, depth-1)
			return
		}
		out = append(out, r)
	}
	halve(l, r, 60)
	return out
}

// rounding is that of a sum of a few terms, in units of the largest.
const rounding = 4e-16

// samples evaluates f on the grid of each stretch, and at further points.
func (p *along) samples(f *Function, parts []stretch, also []float64) []sample {
	var out []sample
	for i := range parts {
		grid := p.grid(f, &parts[i])
		for _, x := range also {
			if x > parts[i].l && x < parts[i].r {
				grid = append(grid, x)
			}
		}
		slices.Sort(grid)
		for _, x := range slices.Compact(grid) {
			n := p.open(f, x)
			out = append(out, sample{x, n.Value, n.Error, i})
		}
	}
	return out
}

// change is a change of sign.
type change struct {
	lo, hi float64 // neighbouring numbers: the sign of the computed function changes from one to the other
	after  float64 // hi, or the next number where the computed function is not 0
	miss   float64 // how far the true place may be from them
	part   int     // the stretch of lo
	from   int     // the sign before
	// between: that of hi is the next one.
	between bool
}

// changes are the changes of sign of a function.
type changes struct {
	list []change
	// doubtful are the zones in which it cannot be told whether the sign changes: where the function is not told from 0
	// between values of the same sign, or in a large part of the whole at an end.
	doubtful []zone
	// ends are the zones beside the ends. An end where the function is 0 to within its error is no change of sign.
	ends []zone
}

// beside is how much of the whole a zone beside an end may take up to count as that end (common practice, no source).
const beside = 0.05

// changes finds where g changes its sign on neighbouring stretches. also lists further points to look at.
func (p *along) changes(g *Function, parts []stretch, also []float64) (c changes) {
	if len(parts) == 0 {
		return c
	}
	m := p.dips(g, p.samples(g, parts, also))
	end := len(m) - 1
	whole := m[end].x - m[0].x
	atEnd := func(z zone) {
		if z.b-z.a > beside*whole {
			c.doubtful = append(c.doubtful, z)
		} else {
			c.ends = append(c.ends, z)
		}
	}
	last := -1
	for i := range m {
		sign := m[i].sign()
		switch {
		case sign == 0:
			continue
		case last < 0:
			if i > 0 {
				atEnd(zone{m[0].x, p.edge(g, m[i-1].x, &m[i])})
			}
		case sign != m[last].sign():
			c.list = append(c.list, p.locate(g, m[last:i+1]))
		case i > last+1:
			c.doubtful = append(c.doubtful, zone{p.edge(g, m[last+1].x, &m[last]), p.edge(g, m[i-1].x, &m[i])})
		}
		last = i
	}
	switch {
	case last < 0:
		if slices.ContainsFunc(m, func(s sample) bool { return s.v != 0 || s.e != 0 }) { // else it has no sign at all
			c.doubtful = append(c.doubtful, zone{m[0].x, m[end].x})
		}
	case last < end:
		atEnd(zone{p.edge(g, m[last+1].x, &m[last]), m[end].x})
	}
	return c
}

// dips adds samples at the least sizes between samples of the same sign, where a pair of sign changes, or a touching
// zero, may hide.
func (p *along) dips(g *Function, m []sample) []sample {
	var out []sample
	for i, s := range m {
		out = append(out, s)
		if i == 0 || i+1 == len(m) || m[i-1].part != s.part || m[i+1].part != s.part {
			continue
		}
		v, before, after := math.Abs(s.v), math.Abs(m[i-1].v), math.Abs(m[i+1].v)
		if !(m[i-1].v*s.v > 0 && m[i+1].v*s.v > 0 && v <= before && v <= after && 4*v <= math.Max(before, after)) {
			continue
		}
		side := math.Copysign(1, -s.v)
		x := nodes.Maximum(func(x float64) float64 { return side * p.value(g.F, x) }, m[i-1].x, m[i+1].x, sections)
		n := p.open(g, x)
		dip := sample{x, n.Value, n.Error, s.part}
		if x < s.x {
			out[len(out)-1], dip = dip, s
		}
		out = append(out, dip)
	}
	return out
}

// locate finds the change of sign between samples, of which the first and the last alone are told from 0.
func (p *along) locate(g *Function, m []sample) change {
	s := float64(m[0].sign())
	j := 0
	for m[j+1].v*s > 0 {
		j++
	}
	c := change{lo: m[j].x, hi: m[j+1].x, from: m[0].sign(), part: m[j].part, between: m[j].part != m[j+1].part}
	for range 1100 { // down to neighbouring numbers
		x := c.lo + (c.hi-c.lo)/2
		if c.between || x <= c.lo || x >= c.hi {
			break
		}
		if p.value(g.F, x)*s > 0 {
			c.lo = x
		} else {
			c.hi = x
		}
	}
	c.after = c.hi
	end := m[len(m)-1].x
	step := math.Nextafter(c.hi, math.Inf(1)) - c.hi
	for !c.between && p.value(g.F, c.after)*s >= 0 && c.after < end {
		c.after = math.Min(c.hi+step, end)
		step *= 2
	}
	c.miss = math.Abs(c.hi) / (1 << 52) // the place itself is rounded
	c.miss = math.Max(c.miss, p.edge(g, c.hi, &m[len(m)-1])-c.hi)
	c.miss = math.Max(c.miss, c.lo-p.edge(g, c.lo, &m[0]))
	return c
}

// edge returns a place close to from, on the way to a sample that is told from 0, where g is told from 0 too and has
// the same sign.
func (p *along) edge(g *Function, from float64, to *sample) float64 {
	s := float64(to.sign())
	told := func(x float64) bool {
		n := p.open(g, x)
		return n.Value*s > n.Error
	}
	if told(from) {
		return from
	}
	d := to.x - from
	for range 1100 {
		if x := from + d/2; x == from || !told(x) {
			break
		}
		d /= 2
	}
	for _, share := range []float64{0.625, 0.75, 0.875} {
		if x := from + share*d; told(x) {
			return x
		}
	}
	return from + d
}
