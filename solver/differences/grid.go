package differences

import (
	"math"
	"slices"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
)

// stretch is a uniform part of the mesh between two breaks.
type stretch struct {
	a, h  float64
	n     int // intervals
	first int // number of its first mesh point
}

// at returns the point at t mesh widths from the left end.
func (s stretch) at(t float64) float64 { return s.a + s.h*t }

// site is a place where equations are imposed.
type site struct {
	stretch int
	twice   int // twice the distance from the left end of the stretch, in mesh widths
	shape   *shape
	element int
	row     int // of the first of them, in its element
}

// shape holds the stencils of every entry of the jet at a site, relative to the mesh point at or left of it.
type shape struct {
	lo, hi   int   // window of all of them
	eqs      []int // the equations imposed here
	stencils []stencil
}

// local is a row that ties point values of a break or of a condition to their neighbours.
type local struct {
	element, row int
	stretch      int // of a break: the one on its left
	value        bvp.PointValue
	stencil      stencil // of a tap; start is a global point number
}

// grid is a problem on a mesh, laid out as a bordered block system: states are the values at width consecutive
// points.
type grid struct {
	p              *bvp.Problem
	order          int
	n, jet, par, s int
	maxOrder       int
	jetAt          []int
	stretches      []stretch
	points         int
	sites          []site
	breaks         []local // one for each break; s rows each
	taps           []local
	width          int   // points of a block state
	start          []int // first point of each block state
	rows           []int // rows of each element
	ends           [][]place
	sides          []side // of each break
}

// side holds the one-sided stencils of the state's entries on both sides of a break; starts are global point numbers.
type side struct{ left, right []stencil }

// place says where a point value of a condition comes from: a stencil inside the first or last block state, or a
// border unknown.
type place struct {
	tap     int // −1: none
	last    bool
	stencil stencil // start is relative to the state's first point
}

// work returns the units of work (package budget) of assembling the difference equations once.
func (g *grid) work() float64 {
	points := float64(len(g.sites))
	return points * (g.p.EvaluationWork() + 10*float64(g.jet*(g.width+g.order)))
}

// fewest returns the least number of intervals of a stretch for derivatives up to m at order p.
func fewest(m, p int) int { return m + p - 1 }

// newGrid lays the problem out with the given numbers of intervals between the breaks.
func newGrid(p *bvp.Problem, intervals []int, order int, settles []int) *grid {
	g := &grid{p: p, order: order, n: len(p.Unknowns), jet: p.Jet(), par: len(p.Parameters), s: p.State()}
	at := 0
	for _, u := range p.Unknowns {
		g.jetAt = append(g.jetAt, at)
		at += u.Order + 1
		g.maxOrder = max(g.maxOrder, u.Order)
	}
	x := append(append([]float64{p.A}, p.Breaks...), p.B)
	for i, n := range intervals {
		g.stretches = append(g.stretches, stretch{x[i], (x[i+1] - x[i]) / float64(n), n, g.points})
		g.points += n + 1
	}
	g.placeSites(settles)
	g.placeBreaks()
	conditions := make([][]stencil, len(p.Conditions))
	for i, c := range p.Conditions {
		for _, v := range c.At {
			conditions[i] = append(conditions[i], g.pointStencil(v))
		}
	}
	g.layBlocks(conditions)
	g.placeConditions(conditions)
	return g
}

// layBlocks chooses the block states and gives every site and break its rows. conditions are the stencils of the
// conditions' point values: those at the ends widen the block states so that they fit.
func (g *grid) layBlocks(conditions [][]stencil) {
	longest := 1
	for _, s := range g.sites {
		longest = max(longest, s.shape.hi-s.shape.lo+1)
	}
	for _, s := range g.sides {
		lo, hi := s.window()
		longest = max(longest, hi-lo+1)
	}
	g.width = min(longest-1, g.points/2)
	for _, s := range slices.Concat(conditions...) {
		if end := s.start + len(s.weights); s.start == 0 || end == g.points {
			g.width = max(g.width, len(s.weights))
		} else {
			g.width = max(g.width, len(s.weights)-1)
		}
	}
	g.width = max(1, min(g.width, g.points/2))
	// Blocks: about as many points between two states as make the elimination cheapest (measured: within 10 % from
	// 6 to 12 points).
	span := g.width + max(8/g.n, g.width/2, 2)
	E := max(1, (g.points-g.width)/span)
	for e := 0; e <= E; e++ {
		g.start = append(g.start, (g.points-g.width)*e/E)
	}
	g.rows = make([]int, E)
	for i := range g.sites {
		s := &g.sites[i]
		first := g.stretches[s.stretch].first + s.twice/2
		s.element = g.elementOf(first + s.shape.hi)
		s.row = g.rows[s.element]
		g.rows[s.element] += len(s.shape.eqs)
	}
	for i := range g.breaks {
		_, hi := g.sides[i].window()
		b := &g.breaks[i]
		b.element = g.elementOf(hi)
		b.row = g.rows[b.element]
		g.rows[b.element] += g.s
	}
}

// placeConditions says where the point values of the conditions come from; what lies inside neither end state becomes
// a border unknown with a row of its own.
func (g *grid) placeConditions(conditions [][]stencil) {
	known := map[bvp.PointValue]int{}
	last := g.points - g.width
	for i, c := range g.p.Conditions {
		places := make([]place, len(c.At))
		for k, s := range conditions[i] {
			end := s.start + len(s.weights)
			switch {
			case end <= g.width:
				places[k] = place{tap: -1, stencil: s}
			case s.start >= last:
				places[k] = place{tap: -1, last: true, stencil: stencil{s.start - last, s.weights}}
			default:
				t, ok := known[c.At[k]]
				if !ok {
					t = len(g.taps)
					known[c.At[k]] = t
					e := g.elementOf(end - 1)
					g.taps = append(g.taps, local{element: e, row: g.rows[e], value: c.At[k], stencil: s})
					g.rows[e]++
				}
				places[k] = place{tap: t}
			}
		}
		g.ends = append(g.ends, places)
	}
}

// elementOf returns the first element that reaches to the given point.
func (g *grid) elementOf(point int) int {
	lo, hi := 0, len(g.rows)-1
	for lo < hi {
		mid := (lo + hi) / 2
		if point < g.start[mid+1]+g.width {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo
}

// placeSites lists the places of the equations in ascending order. settles[r] is the order of equation r.
func (g *grid) placeSites(settles []int) {
	type key struct{ twice, left, right int }
	shapes := map[key]*shape{}
	reach := g.maxOrder + g.order + 1
	g.sites = make([]site, 0, 2*g.points)
	var inside [2]*shape // the same everywhere away from the ends
	for si, s := range g.stretches {
		for twice := 1; twice < 2*s.n; twice++ {
			j := twice / 2
			k := key{twice % 2, min(j, reach), min(s.n-j, reach)}
			sh := inside[twice%2]
			if sh == nil || k.left < reach || k.right < reach {
				sh = shapes[k]
			}
			if sh == nil {
				sh = g.shapeAt(s, twice, settles)
				shapes[k] = sh
				if k.left == reach && k.right == reach {
					inside[twice%2] = sh
				}
			}
			if len(sh.eqs) > 0 {
				g.sites = append(g.sites, site{stretch: si, twice: twice, shape: sh})
			}
		}
	}
}

// shapeAt makes the shape of a site whose distance from the left end of a stretch is twice/2 mesh widths.
func (g *grid) shapeAt(s stretch, twice int, settles []int) *shape {
	sh := &shape{}
	for r, m := range settles {
		if (twice+m)%2 == 0 && twice >= m && twice <= 2*s.n-m {
			sh.eqs = append(sh.eqs, r)
		}
	}
	for _, u := range g.p.Unknowns {
		for d := 0; d <= u.Order; d++ {
			st := stencilAt(float64(twice)/2, d, g.order, s.n)
			st.start -= twice / 2
			sh.lo, sh.hi = min(sh.lo, st.start), max(sh.hi, st.start+len(st.weights)-1)
			sh.stencils = append(sh.stencils, st)
		}
	}
	return sh
}

// placeBreaks finds the one-sided stencils on both sides of each break.
func (g *grid) placeBreaks() {
	for i := range len(g.stretches) - 1 {
		l, r := g.stretches[i], g.stretches[i+1]
		var s side
		for _, u := range g.p.Unknowns {
			for d := range u.Order {
				a, b := stencilAt(float64(l.n), d, g.order, l.n), stencilAt(0, d, g.order, r.n)
				a.start += l.first
				b.start += r.first
				s.left, s.right = append(s.left, a), append(s.right, b)
			}
		}
		g.sides = append(g.sides, s)
		g.breaks = append(g.breaks, local{stretch: i})
	}
}

func (s side) window() (lo, hi int) {
	lo = math.MaxInt
	for i := range s.left {
		lo = min(lo, s.left[i].start)
		hi = max(hi, s.right[i].start+len(s.right[i].weights)-1)
	}
	return lo, hi
}

// pointStencil returns the stencil of a point value, scaled; start is a global point number.
func (g *grid) pointStencil(v bvp.PointValue) stencil {
	i := findStretch(g.stretches, v.X)
	s := g.stretches[i]
	t := (v.X - s.a) / s.h
	if r := math.Round(t); math.Abs(t-r) < 1e-9 { // a mesh point, but for rounding
		t = r
	}
	st := stencilAt(math.Min(math.Max(t, 0), float64(s.n)), v.Derivative, g.order, s.n)
	w := make([]float64, len(st.weights))
	f := math.Pow(s.h, -float64(v.Derivative))
	for k, c := range st.weights {
		w[k] = c * f
	}
	return stencil{s.first + st.start, w}
}

// findStretch returns the stretch of x; a break belongs to the one on its left.
func findStretch(s []stretch, x float64) int {
	i := 0
	for i+1 < len(s) && x > s[i+1].a {
		i++
	}
	return i
}

// vector holds the discrete unknowns: y point by point, n values each, and the border unknowns q (taps, then the
// parameters). blocks is the same storage cut into the pieces of the block system.
type vector struct {
	y, q   []float64
	blocks *blocks.Solution
}

func (g *grid) newVector() *vector {
	v := &vector{y: make([]float64, g.points*g.n), q: make([]float64, g.border())}
	v.blocks = &blocks.Solution{Q: v.q}
	w := g.width
	for e, a := range g.start {
		v.blocks.Z = append(v.blocks.Z, v.y[a*g.n:(a+w)*g.n:(a+w)*g.n])
		if e+1 < len(g.start) {
			v.blocks.U = append(v.blocks.U, v.y[(a+w)*g.n:g.start[e+1]*g.n:g.start[e+1]*g.n])
		}
	}
	return v
}

func (g *grid) border() int { return len(g.taps) + g.par }

func (g *grid) parameters(v *vector) []float64 { return v.q[len(g.taps):] }

// system returns an empty block system of the right shape.
func (g *grid) system() *blocks.System {
	E := len(g.rows)
	k, t := make([]int, E), make([]int, E)
	S := g.n * g.width
	for e := range k {
		k[e] = g.n * (g.start[e+1] - g.start[e] - g.width)
		t[e] = g.rows[e] - k[e] - S
	}
	return blocks.New(S, g.border(), k, t)
}

// fill sets a vector from a function that writes the jet at x, and the parameters.
func (g *grid) fill(v *vector, jet func(x float64, jet []float64), par []float64) {
	j := make([]float64, g.jet)
	for _, s := range g.stretches {
		for k := 0; k <= s.n; k++ {
			jet(s.at(float64(k)), j)
			for i := range g.n {
				v.y[(s.first+k)*g.n+i] = j[g.jetAt[i]]
			}
		}
	}
	copy(g.parameters(v), par)
	for i, t := range g.taps {
		v.q[i], _ = t.stencil.apply(v.y, 0, g.n, t.value.Unknown, t.value.Derivative)
	}
}
