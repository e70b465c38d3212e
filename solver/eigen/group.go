package eigen

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"nodespan/solver/adapt"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// mostPolish is the number of nodes up to which an eigenfunction stays one polynomial.
const mostPolish = 120

// polish solves for the selected eigenvalues anew. It reports whether all is within the tolerance and nothing speaks
// against it.
func (s *search) polish(pc *pencil, r rung, chosen selection) (*Answer, bool) {
	a := &Answer{}
	reals, lo, hi := chosen.reals, chosen.lo, chosen.hi
	first, last := lo, hi
	for first > 0 && s.coincide(reals[first-1], reals[first]) {
		first-- // the whole of a multiple eigenvalue, although a part of it is wanted
	}
	for last < len(reals) && s.coincide(reals[last-1], reals[last]) {
		last++
	}
	size := 1e-3 * s.unit
	for _, m := range reals[first:last] {
		size = math.Max(size, math.Abs(real(m.value)))
	}
	var found []mode
	for at := first; at < last; {
		m := 1
		for at+m < last && s.coincide(reals[at+m-1], reals[at+m]) {
			m++
		}
		group, ok := s.solveGroup(pc, r, reals[at:at+m], size, s.o.Mode-1-(at-lo), a)
		if !ok {
			return a, false
		}
		found = append(found, group...)
		at += m
	}
	sort.SliceStable(found, func(i, j int) bool { return cmp.Less(found[i].w, found[j].w) })
	a.modes, a.part, a.all = found[lo-first:lo-first+(hi-lo)], chosen.part, chosen.all
	if last == hi && hi < len(reals) {
		next := real(reals[hi].value)
		a.next = &next
	}
	return a, s.report(a)
}

// Continue solves p, which differs a little from the problem of an answer (a longer interval), for the same
// eigenvalues: each by itself, from its eigenfunction, read by guess. The eigenfunctions are pieces. It returns nil
// where that is no safe way: for multiple eigenvalues, and when a value has come nearer to another one than to its own.
func Continue(p *bvp.Problem, from *Answer, guess func(c *collocation.Curve) func(x float64, jet []float64),
	o Options) *Answer {
	dep, err := recognise(p)
	if err != nil || dep.degree == 0 || from.Mode == nil || o.Form == OnePolynomial {
		return nil
	}
	o.Mode = max(o.Mode, 1)
	s := &search{original: p, p: p, o: o, dep: dep}
	if dep.power > 1 {
		s.p = linearIn(p, dep.power)
		s.dep.degree = 1
	}
	n := min(o.Count, len(from.modes))
	size := 0.0
	for _, f := range from.modes[:n] {
		size = math.Max(size, math.Abs(f.w))
		if f.multiplicity > 1 {
			return nil
		}
	}
	a := &Answer{part: from.part, all: from.all, next: from.next}
	ao := o.Options
	given := ao.Nodes > 0 || ao.Elements > 0
	if given {
		ao.Elements = max(ao.Elements, 1)
	}
	for i, f := range from.modes[:n] {
		gap := math.Inf(1)
		if i > 0 {
			gap = f.w - from.modes[i-1].w
		}
		if i+1 < len(from.modes) {
			gap = math.Min(gap, from.modes[i+1].w-f.w)
		}
		unit := math.Max(math.Abs(f.w), 1e-3*size)
		if gap < 1e-4*unit {
			return nil
		}
		points, combine, ok := anchorsFor(s.p, []*collocation.Curve{f.sol.Curve})
		if !ok {
			return nil
		}
		read := guess(f.sol.Curve)
		scaled := func(x float64, jet []float64) {
			read(x, jet)
			for j := range jet {
				jet[j] *= combine[0][0]
			}
		}
		q := (&border{p: s.p, lambda: f.w, unit: unit}).problem([]anchor{{points[0], 1}}, scaled)
		sol := adapt.Pieces(q, ao)
		a.Iterations += sol.Iterations
		if sol.Curve == nil {
			return nil
		}
		modes, _ := separate([]*adapt.Answer{sol}, f.w, unit)
		if !(math.Abs(modes[0].w-f.w) < 0.25*gap) {
			return nil
		}
		a.modes = append(a.modes, modes[0])
	}
	if !s.report(a) && math.IsInf(a.Error, 1) {
		return nil
	}
	return a
}

// mode is a polished eigenvalue (of λ^q) with its eigenfunction.
type mode struct {
	w, err       float64
	rounded      float64 // the part of err that is rounding
	multiplicity int
	sol          *adapt.Answer
}

// coincide reports whether two neighbours are better treated together: a multiple eigenvalue, or one so nearly multiple
// that each eigenfunction alone is hard to tell from the others.
func (s *search) coincide(a, b matched) bool {
	size := math.Max(math.Abs(real(a.value)), 1e-2*s.unit)
	gap := math.Abs(real(a.value) - real(b.value))
	if s.dep.degree == 1 {
		return gap <= 1e-4*size
	}
	uncertain := math.Max(1e-9*size, 3*math.Max(a.moved, b.moved))
	return gap <= math.Min(uncertain, 1e-4*size)
}

// group is the work of solving for one eigenvalue, or for several that lie together, as ordinary boundary value
// problems.
type group struct {
	s      *search
	o      adapt.Options
	given  bool // the caller gave the numbers of nodes or elements
	wanted int  // the place in the group of the eigenfunction that must meet the tolerance too

	// The values lie about the mean, spread so far, and moved so much between two discretisations; unit is their size.
	mean, spread, moved, unit float64
	points                    []bvp.PointValue // where the eigenfunctions are held
	basis                     []*collocation.Curve

	best       []mode
	quality    float64 // of the best
	settled    bool    // more nodes do not help
	iterations int
}

// newGroup prepares the group with the eigenspace that the pencil has; size is that of the largest wanted value.
func (s *search) newGroup(pc *pencil, values []matched, size float64, wanted int) (*group, bool) {
	m := len(values)
	g := &group{s: s, o: s.o.Options, wanted: wanted, quality: math.Inf(1)}
	g.o.Near = true
	g.given = g.o.Nodes > 0 || g.o.Elements > 0
	for _, v := range values {
		g.mean += real(v.value) / float64(m)
		g.moved = math.Max(g.moved, v.moved)
	}
	g.spread = real(values[m-1].value) - real(values[0].value)
	g.unit = math.Max(math.Abs(g.mean), 1e-3*size)
	curves, ok := pc.space(g.mean, m)
	if !ok {
		return nil, false
	}
	points, combine, ok := anchorsFor(s.p, curves)
	if !ok {
		return nil, false
	}
	g.points = points
	for _, c := range combine {
		g.basis = append(g.basis, blend(curves, c))
	}
	return g, true
}

// solveGroup solves for a group on one polynomial, with more nodes until the tolerance is met; for a single value then
// on pieces.
func (s *search) solveGroup(pc *pencil, r rung, values []matched, size float64, wanted int, a *Answer) ([]mode, bool) {
	g, ok := s.newGroup(pc, values, size, wanted)
	if !ok {
		return nil, false
	}
	defer func() { a.Iterations += g.iterations }()
	single := len(values) == 1
	switch {
	case g.given:
		g.try(g.o.Nodes, max(g.o.Elements, 1))
	case (s.o.Form == Pieces || r.pieces > 1) && single:
		if g.try(0, 0); g.best == nil && r.pieces == 1 {
			g.climb(r) // the mesh that pieces begin with is too coarse for it
		}
	case r.pieces > 1:
		g.try(r.nodes/r.pieces, r.pieces)
	default:
		if !g.climb(r) {
			return nil, false
		}
		if g.best != nil && !g.settled && single && s.o.Form != OnePolynomial {
			// A sharp eigenfunction: pieces, from what there is.
			g.basis[0] = g.best[0].sol.Curve
			g.try(0, 0)
		}
	}
	return g.best, g.best != nil
}

// climb tries one polynomial with more and more nodes. It reports false when the work was cancelled.
func (g *group) climb(r rung) bool {
	for n := r.nodes; n == r.nodes || n <= mostPolish; n = n*3/2 + 2 {
		before := g.quality
		// When it is good, or when it is rounding that is left, more nodes do not help.
		if g.try(n, r.pieces) || g.best != nil && g.quality > before/2 {
			g.settled = true
			return true
		}
		if g.o.Context != nil && g.o.Context.Err() != nil {
			return false
		}
	}
	return true
}

// try solves with so many nodes and elements, 0 meaning as many as it takes, and keeps what is better than the best so
// far. It reports whether that is good.
func (g *group) try(nodes, elements int) (good bool) {
	g.o.Nodes, g.o.Elements = nodes, elements
	sols, ok := g.pass()
	if ok && len(g.basis) > 1 && !g.given {
		// Again, about the eigenfunctions just found.
		for i, sol := range sols {
			g.basis[i] = sol.Curve
		}
		sols, ok = g.pass()
	}
	if !ok {
		return false
	}
	modes, ok := separate(sols, g.mean, g.unit)
	if !ok {
		return false
	}
	good, quality := true, 0.0
	for i, f := range modes {
		value, err := g.s.root(f.w, f.safe())
		q := g.s.relative(value, err, f.safe())
		if i == g.wanted {
			q = math.Max(q, FunctionError(f.sol))
		}
		good = good && q <= 0.5*g.s.o.Tol
		quality = math.Max(quality, q)
	}
	if g.best == nil || quality < g.quality {
		g.best, g.quality = modes, quality
	}
	return good
}

// pass solves for every eigenfunction of the group once, each held at its own anchor and absent at the others'.
func (g *group) pass() ([]*adapt.Answer, bool) {
	m := len(g.basis)
	sols := make([]*adapt.Answer, m)
	for i := range m {
		anchors := make([]anchor, m)
		for j, pv := range g.points {
			anchors[j] = anchor{pv, 0}
		}
		anchors[i].value = 1
		others := slices.Delete(slices.Clone(g.basis), i, i+1)
		closed := (&border{g.s.p, g.mean, g.unit, others}).problem(anchors, g.basis[i].At)
		sol := adapt.Pieces(closed, g.o)
		g.iterations += sol.Iterations
		if sol.Curve == nil {
			return nil, false
		}
		w := g.mean + g.unit*(sol.Curve.Grid().Parameters(sol.Curve.V)[0]-1)
		if !g.given && math.Abs(w-g.mean) > 20*g.moved+g.spread+1e-6*g.unit {
			return nil, false // another eigenvalue
		}
		sols[i] = sol
	}
	return sols, true
}

// blend returns a combination of curves on one grid.
func blend(curves []*collocation.Curve, c []float64) *collocation.Curve {
	g := curves[0].Grid()
	v := g.NewVector()
	for j, f := range c {
		w := curves[j].V
		addScaled(v.U, f, w.U)
		addScaled(v.Z, f, w.Z)
		addScaled([][]float64{v.Q}, f, [][]float64{w.Q})
	}
	return g.Curve(v)
}

func addScaled(dst [][]float64, f float64, src [][]float64) {
	for i := range dst {
		for j, v := range src[i] {
			dst[i][j] += f * v
		}
	}
}
