package adapt

import (
	"fmt"
	"math"
	"slices"

	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
	"nodespan/solver/newton"
	"nodespan/solver/nodes"
)

// Limits of the piecewise method.
const (
	leastNodes   = 4     // per element
	mostElements = 20000 // an answer that needs more is reported as unresolved
	mostRounds   = 90    // a root at an end needs about two halvings for each binary digit
	// nodesPerWave is where a first mesh begins; π is the least with which a polynomial converges (J. P. Boyd,
	// Chebyshev and Fourier Spectral Methods, 2nd ed., 2001, section 2.14).
	nodesPerWave = 5
	// mostlyFloor is how many times its rounding an error may be that refinement is not to make smaller, and hopeless
	// how many times the tolerance rounding may be where it does not matter any more.
	mostlyFloor, hopeless = 1.2, 100
	// mostCoarsenings bounds the rounds that merge: merging and splitting must not chase each other.
	mostCoarsenings = 12
)

// mainShare is the part of the work that may go into one way to the solution; the rest is for other ways, and for
// finding out why there is none.
const mainShare = 0.7

// mostNodes is the degree to which elements climb before they split: more digits pay for higher degrees.
func mostNodes(tol float64) int {
	digits := -math.Log10(tol)
	return min(max(int(4+1.2*digits), 6), 20)
}

// Pieces solves on a mesh that is adapted to the solution, or on a uniform one of the size asked for. Where Newton's
// iteration does not get there by itself, it goes over easier problems.
func Pieces(p *bvp.Problem, o Options) *Answer {
	var a *Answer
	o.of(p)
	if o.Elements > 0 {
		a = piecesGiven(p, o)
	} else {
		a = pieces(p, o.part(mainShare), nil)
		if a.Unresolved && o.Family == nodes.Radau {
			blameFamily(p, a, o)
		}
	}
	stuck := a.Outcome == newton.Stalled || a.Outcome == newton.NotFinite ||
		(a.Outcome == newton.Singular && a.Curve == nil)
	if stuck && !o.Near {
		if why := singularVerdict(p, o); why != "" {
			a.Reason, a.Singular = why, true // there is no solution to reach
			return a
		}
		if b := follow(p, o); b != nil {
			b.Iterations += a.Iterations
			explain(p, b, o)
			return b
		}
	}
	explain(p, a, o)
	return a
}

// blameFamily says so where it is the family of nodes that keeps a solution from being resolved. Nodes that lie nearer
// to one end of their elements make what is left of a layer grow from each element longer than the layer to the next,
// by Π (1 − s)/s over the nodes: for Radau's their number and one. The discrete solution is then one with a layer at
// the other end, whatever the mesh.
func blameFamily(p *bvp.Problem, a *Answer, o Options) {
	symmetric := o.part(mainShare)
	symmetric.Family = nodes.Legendre
	if pieces(p, symmetric, nil).Met {
		a.Reason = "the nodes of Radau's family, which lie nearer to one end of each piece, " +
			"do not resolve the solution; those of another family do"
	}
}

// pieces adapts a mesh. start, when not nil, is an approximation to begin from; its mesh, cut to the breaks, is the
// first one.
func pieces(p *bvp.Problem, o Options, start *collocation.Curve) *Answer {
	r := newRefinement(p, o, start)
	if len(r.mesh.Nodes) > mostElements/2 {
		r.unresolved("the solution is not resolved: the equation makes about %.2g waves in the interval, too many for "+
			"%d pieces", r.o.waves(p), mostElements)
		return r.best
	}
	for round := range mostRounds {
		if o.cancelled() {
			r.best.Outcome, r.best.Reason = newton.Cancelled, budget.Reason(o.Context)
			break
		}
		o.say("%d pieces, round %d", len(r.mesh.Nodes), round+1)
		if r.round(round >= fewRounds) {
			break
		}
	}
	best := r.best
	best.Iterations = r.iterations
	if !best.Met && best.Curve != nil && !best.Unresolved && best.Outcome == newton.Converged &&
		loud*worstGrain(best.Curve) > o.Tol/4 {
		best.Reason = "rounding errors exceed the tolerance: the equation changes by more than that from one number " +
			"x to the next"
	}
	if !best.Met && best.Reason == "" {
		r.unresolved("the solution is not resolved after %d changes of the mesh, now of %d pieces", mostRounds,
			len(r.mesh.Nodes))
	}
	return best
}

const (
	// fewRounds are refined before elements are merged.
	fewRounds = 3
	// mostMeshFailures is how many meshes may have no solution.
	mostMeshFailures = 2
)

// refinement is a mesh that is being adapted.
type refinement struct {
	p           *bvp.Problem
	o           Options
	gaps        *reading
	first, most int     // nodes of an element of the first mesh, and the most
	target      float64 // what each element's own indicator must meet
	mesh        collocation.Mesh
	at          attempt  // on this mesh
	from        *attempt // where Newton's iteration starts
	best        *Answer
	noise       noise
	placed      bool // the first mesh has elements for layers, maybe more than the solution needs

	iterations, failures, coarsenings int
}

func newRefinement(p *bvp.Problem, o Options, start *collocation.Curve) *refinement {
	if p.Formulas == nil {
		own := *o.of(p)
		own.features = nil // the refinement will add to it
		o.known = &own
	}
	gaps := o.reading(p)
	r := &refinement{p: p, o: o, gaps: gaps, target: o.Tol / 4, best: &Answer{Error: math.Inf(1)}}
	r.most = mostNodes(o.Tol)
	r.first = max(leastNodes, r.most/2)
	if o.Nodes > 0 {
		r.most, r.first = o.Nodes, o.Nodes
	}
	switch {
	case start != nil:
		r.from = &attempt{curve: start}
		r.mesh = start.Grid().Mesh
		if o.Nodes > 0 {
			r.mesh = collocation.Uniform(r.mesh.X, o.Nodes, o.Family)
		}
	case o.Mesh != nil:
		r.mesh = withBreaks(*o.Mesh, p.Breaks)
	default:
		points := o.spread(p, float64(r.first)/nodesPerWave)
		graduated := o.layered(p, points)
		r.placed = len(graduated) > len(points)
		r.mesh = collocation.Uniform(r.gaps.first(graduated, r.first), r.first, o.Family)
	}
	return r
}

// unresolved says that the limit of pieces, or of rounds, was reached.
func (r *refinement) unresolved(format string, args ...any) {
	r.best.Unresolved, r.best.Reason = true, fmt.Sprintf(format, args...)
}

// round solves on the mesh and changes it, or, once all of it is resolved, judges the solution. Later rounds merge
// elements too. It reports whether the refinement ends.
func (r *refinement) round(later bool) (done bool) {
	var ok bool
	r.at, ok = rung(r.p, r.mesh, r.from, &r.o)
	r.iterations += r.at.result.Iterations
	if !ok {
		return r.failed(r.at.result.Outcome)
	}
	r.from = &r.at
	// Coarsening goes on for a few rounds after everything is resolved, then a finer solution judges.
	coarsen := (later || r.placed) && r.coarsenings < mostCoarsenings
	if coarsen && r.p.Formulas == nil {
		r.gaps.remember(r.mesh.X)
	}
	next, resolved, merged := refine(r.at.curve, r.gaps, r.target, r.most, r.o.Nodes > 0, coarsen)
	if len(next.Nodes) > mostElements {
		r.unresolved("the solution is not resolved by %d pieces: it has too many waves, or it is not smooth anywhere",
			len(r.mesh.Nodes))
		return true
	}
	if merged > 0 {
		r.coarsenings++
	}
	if rough := r.noise.reached(r.at.curve, next); !rough && (!resolved || 5*merged > len(r.mesh.Nodes)) {
		r.mesh = next
		return false
	}
	if next, some := r.gaps.along(r.at.curve).split(r.at.curve, r.target); some {
		r.mesh = next
		return false
	}
	return r.judge()
}

// failed goes on to another mesh where this one has no solution: a finer one may see what this one does not.
func (r *refinement) failed(outcome newton.Outcome) (done bool) {
	r.best.Outcome, r.best.Reason = outcome, r.o.failure(outcome)
	r.failures++
	if outcome == newton.Cancelled || r.failures > mostMeshFailures {
		return true
	}
	r.mesh = collocation.Uniform(bvp.Divide(r.mesh.X, 2), r.first, r.o.Family)
	if outcome == newton.Singular && r.failures == 1 && r.o.linear(r.p) && singularVerdict(r.p, r.o) == "" {
		nodes := keep(r.o.Nodes > 0, r.first, max(r.first, 8))
		r.mesh = collocation.Uniform(towardsEnds(r.p.Stretches()), nodes, r.o.Family)
	}
	return false
}

// judge holds the solution against a finer one.
func (r *refinement) judge() (done bool) {
	fine, ok := rung(r.p, finerMesh(r.mesh), &r.at, &r.o)
	r.iterations += fine.result.Iterations
	if !ok {
		r.best.Outcome, r.best.Reason = fine.result.Outcome, r.o.failure(fine.result.Outcome)
		r.failures++
		r.mesh = collocation.Uniform(bvp.Divide(r.mesh.X, 2), r.first, r.o.Family)
		return r.failures > mostMeshFailures
	}
	a := judge(&r.at, &fine, math.Inf(1), falls(&r.at, &fine, &r.o), &r.o)
	if a.Error < r.best.Error || r.best.Curve == nil {
		r.best = a
	}
	if a.Met {
		return true
	}
	// What is not rounding is made small beside it, and then the rest is seen.
	tol := r.o.Tol
	floor := floorOf(a.Estimate, r.at.curve.Grid())
	if r.noise.found || floor > tol/2 && a.Error < mostlyFloor*floor || floor > hopeless*tol {
		a.Reason = "rounding errors, enlarged by the problem's own sensitivity, exceed the tolerance"
		return true
	}
	if r.target < 1e-5*tol {
		return true
	}
	r.target *= math.Max(1e-2, math.Min(0.5, tol/(4*a.Error)))
	r.mesh, _, _ = refine(r.at.curve, r.gaps, r.target, r.most, r.o.Nodes > 0, false)
	if a.Estimate.remnant > tol/10 {
		r.mesh = graded(r.mesh)
		r.coarsenings = mostCoarsenings // merging would hide it again
	}
	r.from = &fine
	return false
}

// withBreaks cuts a mesh at the breaks.
func withBreaks(m collocation.Mesh, breaks []float64) collocation.Mesh {
	out := collocation.Mesh{X: slices.Clone(m.X), Nodes: slices.Clone(m.Nodes), Family: m.Family}
	for _, b := range breaks {
		if i, ok := slices.BinarySearch(out.X, b); !ok && i > 0 && i < len(out.X) {
			out.X = slices.Insert(out.X, i, b)
			out.Nodes = slices.Insert(out.Nodes, i, out.Nodes[i-1])
		}
	}
	return out
}

// piecesGiven solves on a uniform mesh with the numbers asked for.
func piecesGiven(p *bvp.Problem, o Options) *Answer {
	k := o.Nodes
	if k == 0 {
		k = mostNodes(o.Tol)
	}
	x := p.Stretches()
	// Spread the pieces over the stretches between breaks in proportion to their length.
	total := p.B - p.A
	var points []float64
	for i := range len(x) - 1 {
		n := max(1, int(math.Round(float64(o.Elements)*(x[i+1]-x[i])/total)))
		for j := range n {
			points = append(points, x[i]+(x[i+1]-x[i])*float64(j)/float64(n))
		}
	}
	points = append(points, p.B)
	m := collocation.Uniform(points, k, o.Family)
	at, ok := rung(p, m, nil, &o)
	if !ok {
		return &Answer{Error: math.Inf(1), Outcome: at.result.Outcome, Reason: o.failure(at.result.Outcome),
			Iterations: at.result.Iterations}
	}
	at.result.System, at.result.Assembler = nil, nil // factors are not needed any more, and are large
	fine, ok := rung(p, finerMesh(m), &at, &o)
	if !ok {
		return &Answer{Error: math.Inf(1), Outcome: fine.result.Outcome, Reason: o.failure(fine.result.Outcome),
			Iterations: at.result.Iterations}
	}
	a := judge(&at, &fine, math.Inf(1), falls(&at, &fine, &o), &o)
	a.Iterations = at.result.Iterations + fine.result.Iterations
	if !a.Met {
		a.Reason = fmt.Sprintf("%d pieces with %d nodes are too few for the tolerance", len(m.Nodes), k)
	}
	return a
}

// finerMesh halves every element and adds two nodes to each.
func finerMesh(m collocation.Mesh) collocation.Mesh {
	out := collocation.Mesh{X: bvp.Divide(m.X, 2), Family: m.Family, Nodes: make([]int, 2*len(m.Nodes))}
	for e, k := range m.Nodes {
		out.Nodes[2*e], out.Nodes[2*e+1] = k+2, k+2
	}
	return out
}

// thinnest is the shortest element of towardsEnds, as a part of its stretch.
const thinnest = 1e-10

// towardsEnds divides every stretch into elements that shrink fourfold from its middle towards both ends. Layers at the
// ends that are much thinner than the elements make the equations singular to rounding: waves with a zero at every node
// meet all conditions nearly.
func towardsEnds(x []float64) []float64 {
	out := []float64{x[0]}
	for i := range len(x) - 1 {
		a, h := x[i], x[i+1]-x[i]
		n := 0
		for t := 0.5; t > thinnest; t /= 4 {
			n++
		}
		for j := range n {
			out = append(out, a+h*0.5*math.Pow(4, float64(j-n+1)))
		}
		for j := 1; j < n; j++ {
			out = append(out, x[i+1]-h*0.5*math.Pow(4, float64(-j)))
		}
		out = append(out, x[i+1])
	}
	return slices.Compact(out)
}

// graded cuts elements that are much longer than a neighbour so that lengths at most double from one to the next there:
// the tail of a layer is seen in them.
func graded(m collocation.Mesh) collocation.Mesh {
	out := collocation.Mesh{Family: m.Family, X: []float64{m.X[0]}}
	for e, k := range m.Nodes {
		x0, x1 := m.X[e], m.X[e+1]
		var cuts []float64
		if e > 0 {
			for t := 2 * (x0 - m.X[e-1]); t < (x1-x0)/2; t *= 2 {
				cuts = append(cuts, x0+t)
			}
		}
		n := len(cuts)
		if e+1 < len(m.Nodes) {
			for t := 2 * (m.X[e+2] - x1); t < (x1-x0)/2; t *= 2 {
				cuts = append(cuts, x1-t)
			}
		}
		slices.Reverse(cuts[n:])
		for _, x := range append(cuts, x1) {
			out.X, out.Nodes = append(out.X, x), append(out.Nodes, k)
		}
	}
	return out
}

// vanishing is the size of a derivative, relative to the unknown over the length of the interval, below which it is
// rounding: a few hundred units, which is what integration over the interval and a condition number of order ten make.
const vanishing = 1e-13

// tail is how the Legendre coefficients of the highest derivatives on an element fall, in the units of the tolerance:
// tail[n] bounds the part of the solution's relative error that coefficients n and later make, in any derivative below
// the order.
func tail(g *collocation.Grid, coef func(unknown int) []float64, h float64, scale []float64) []float64 {
	var out []float64
	for i, u := range g.P.Unknowns {
		c := coef(i)
		if out == nil {
			out = make([]float64, len(c))
		}
		at := g.P.JetOffset(i)
		natural := scale[at]
		length := g.Mesh.X[len(g.Mesh.X)-1] - g.Mesh.X[0]
		for d := range u.Order {
			s := math.Max(scale[at+d], 1e-9*natural)
			if scale[at+d] <= vanishing*natural {
				s = natural // rounding, of a derivative that vanishes
			}
			natural /= length
			if s == 0 {
				continue
			}
			for n, v := range c {
				// Each integration over the element divides P_n by about 2n + 1, in units of h.
				q := math.Abs(v) / s
				for range u.Order - d {
					q *= h / float64(2*n+1)
				}
				if !(q <= out[n]) {
					out[n] = q
				}
			}
		}
	}
	for n := len(out) - 2; n >= 0; n-- {
		if !(out[n+1] <= out[n]) {
			out[n] = out[n+1]
		}
	}
	return out
}

// scales returns the largest absolute value of each entry of the jet at the mesh points and nodes.
func scales(c *collocation.Curve) []float64 {
	var w widening
	out := make([]float64, c.Grid().P.Jet())
	for e := range c.Grid().Elements() {
		w.scale(out, c, e)
	}
	return out
}

// widening is the scratch space of scale.
type widening struct {
	at   points
	jets []float64
}

// scale raises a scale to the largest values on one element.
func (w *widening) scale(scale []float64, c *collocation.Curve, e int) {
	m := c.Grid().Mesh
	x := w.at.equal(m.X[e], m.X[e+1], m.Nodes[e])
	w.jets = room(w.jets, len(x)*len(scale))
	c.AtAll(e, x, w.jets)
	raise(scale, w.jets, 1)
}

// measures returns what the error on each element is measured against: the largest values on the whole interval. From
// initial values an error may grow on its way, and so it is what may grow to these; but no less than what the solution
// has been up to there.
func measures(c *collocation.Curve) [][]float64 {
	g := c.Grid()
	E := g.Elements()
	out := make([][]float64, E)
	side := startOf(g.P)
	if side == 0 {
		all := scales(c)
		for e := range out {
			out[e] = all
		}
		return out
	}
	var w widening
	all, ahead := scales(c), growthAhead(c, side)
	so := make([]float64, g.P.Jet())
	for j := range E {
		e := j
		if side < 0 {
			e = E - 1 - j
		}
		w.scale(so, c, e)
		out[e] = slices.Clone(so)
		for i, v := range all {
			out[e][i] = math.Max(out[e][i], v/ahead[e])
		}
	}
	return out
}

// While the largest indicator is above coarse, nothing is resolved anywhere: a layer that the mesh does not see yet
// sends waves through every element. Then only elements within a factor leading of the worst are split; the waves die
// with their source. Measured on eps y” + x y' = 0, eps = 1e-7: 1122 elements without this rule.
const (
	coarse  = 1e-3
	leading = 0.3
	// hysteresis keeps what was merged from being split again at once.
	hysteresis = 0.1
	// lenient is by how many times the target an element that stands for two may differ from them where nothing tells
	// of a kink. Measured on eps y” + x y' = 0, eps = 1e-7: 76 elements, 134 with 4.
	lenient = 8
)

// noise watches for rounding in the highest derivatives: their last coefficients are small, and halving every element
// does not lower them as it lowers those of a polynomial of many nodes.
type noise struct {
	before float64 // the largest indicator in the round before, if that divided nearly every element; else 0
	found  bool
}

// reached reports whether the refinement to come would follow rounding errors.
func (z *noise) reached(c *collocation.Curve, next collocation.Mesh) bool {
	g := c.Grid()
	const small, fall = 1e-7, 1.0 / 8
	if 10*len(next.Nodes) < 19*g.Elements() || slices.Min(g.Mesh.Nodes) < 8 {
		z.before = 0
		return false
	}
	now := worstIndicator(c, scales(c))
	z.found = z.before > 0 && z.before < small && now > fall*z.before
	z.before = now
	return z.found
}

// refine proposes the next mesh and reports whether every element already meets the target. With fixed, degrees stay.
// With coarsen, resolved neighbours that one element could stand for become one; merged counts them.
func refine(c *collocation.Curve, gaps *reading, target float64, most int, fixed, coarsen bool) (next collocation.Mesh,
	resolved bool, merged int) {
	g := c.Grid()
	scale := measures(c)
	E := g.Elements()
	tails := make([][]float64, E)
	worst := 0.0
	for e := range E {
		x0, x1 := g.Mesh.X[e], g.Mesh.X[e+1]
		tails[e] = tail(g, func(i int) []float64 { return c.Series(e, g.P.JetOffset(i)+g.P.Unknowns[i].Order) }, x1-x0,
			scale[e])
		if x1-x0 > smallestElement(x0, x1) {
			worst = math.Max(worst, indicator(tails[e]))
		}
	}
	from := target
	if worst > coarse {
		from = math.Max(target, leading*worst)
	}
	next = collocation.Mesh{Family: g.Mesh.Family, X: []float64{g.Mesh.X[0]}}
	resolved = true
	grain := newGrain(g.P)
	add := func(x float64, k int) {
		next.X = append(next.X, x)
		next.Nodes = append(next.Nodes, k)
	}
	for e := 0; e < E; e++ {
		k, t := g.Mesh.Nodes[e], tails[e]
		x0, x1 := g.Mesh.X[e], g.Mesh.X[e+1]
		size := indicator(t)
		if size <= target {
			if coarsen && worst <= coarse && e+1 < E && indicator(tails[e+1]) <= target && !isBreak(g, x1) {
				if need := mergedNeed(c, gaps, e, most, target*hysteresis, scale[e]); need <= most {
					add(g.Mesh.X[e+2], keep(fixed, most, max(need, leastNodes)))
					merged++
					e++
					continue
				}
			}
			add(x1, k)
			continue
		}
		if x1-x0 <= smallestElement(x0, x1) {
			add(x1, k) // nothing left to halve
			continue
		}
		need := needed(t, target)
		if (fixed || need > most || need <= k) && size <= loud*grain.on(c, e, scale[e]) {
			add(x1, k)
			continue
		}
		resolved = false
		if size < from {
			add(x1, k)
			continue
		}
		if !fixed && need <= most && need > k {
			add(x1, need)
			continue
		}
		kk := keep(fixed, k, max(k, most*2/3))
		mid := x0 + (x1-x0)/2
		add(mid, kk)
		add(x1, kk)
	}
	return next, resolved, merged
}

func keep(fixed bool, k, otherwise int) int {
	if fixed {
		return k
	}
	return otherwise
}

// indicator is the size of the last two coefficients: one alone vanishes for odd and even solutions.
func indicator(t []float64) float64 { return t[max(len(t)-2, 0)] }

// smallestElement is the length below which an element between a and b is not divided.
func smallestElement(a, b float64) float64 { return 1e-14 * math.Max(math.Abs(a), math.Abs(b)) }

func isBreak(g *collocation.Grid, x float64) bool { return slices.Contains(g.P.Breaks, x) }

// needed predicts how many coefficients bring the tail below the target, from how it falls: a large number when it does
// not.
func needed(t []float64, target float64) int {
	k := len(t)
	last := t[k-2]
	if last <= target {
		for n, v := range t {
			if v <= target {
				return n + 2
			}
		}
		return k
	}
	half := k / 2
	if t[half-1] <= last || math.IsNaN(last) {
		return math.MaxInt32
	}
	rate := math.Log(t[half-1]/last) / float64(k-1-half)
	if rate < 0.15 {
		return math.MaxInt32
	}
	return k + 1 + int(math.Ceil(math.Log(last/target)/rate))
}

// worstIndicator is the largest indicator of any element.
func worstIndicator(c *collocation.Curve, scale []float64) float64 {
	g := c.Grid()
	worst := 0.0
	for e := range g.Elements() {
		h := g.Mesh.X[e+1] - g.Mesh.X[e]
		t := tail(g, func(i int) []float64 { return c.Series(e, g.P.JetOffset(i)+g.P.Unknowns[i].Order) }, h, scale)
		worst = math.Max(worst, indicator(t))
	}
	return worst
}

// falls returns the factor by which the largest indicator falls from a mesh to the finer one: the part of the error
// that the finer one still has. Near a singular point (a root at an end) it is not small, and the difference of the two
// is then much less than the error. 0 when what is left is far below the tolerance.
func falls(coarse, fine *attempt, o *Options) float64 {
	scale := scales(fine.curve)
	left := worstIndicator(fine.curve, scale)
	if left < 1e-3*o.Tol {
		return 0
	}
	return left / worstIndicator(coarse.curve, scale)
}

// mergedNeed returns how many nodes one element in the place of e and e + 1 would need to hold the curve to the target;
// more than most when most are not enough.
func mergedNeed(c *collocation.Curve, gaps *reading, e, most int, target float64, scale []float64) int {
	g := c.Grid()
	a, b := g.Mesh.X[e], g.Mesh.X[e+2]
	x, toCoef := collocation.Reference(g.Mesh.Family, most)
	jet := make([]float64, g.P.Jet())
	values := make([][]float64, len(g.P.Unknowns))
	for i := range values {
		values[i] = make([]float64, most)
	}
	for j, s := range x {
		c.At(a+(b-a)*s, jet)
		for i, u := range g.P.Unknowns {
			values[i][j] = jet[g.P.JetOffset(i)+u.Order]
		}
	}
	series := make([][]float64, len(values))
	for i, v := range values {
		series[i] = make([]float64, most)
		for r := range most {
			for j, w := range v {
				series[i][r] += toCoef[r*most+j] * w
			}
		}
	}
	t := tail(g, func(i int) []float64 { return series[i] }, b-a, scale)
	if t[most-2] > target {
		return most + 1
	}
	// What oscillates on the elements together averages out in part; where the formulas tell of something narrow,
	// nothing is let pass.
	limit := lenient * target / hysteresis
	if narrowestIn(gaps.x, a, b) < spacing(b-a, most) {
		limit /= lenient
	}
	if !stands(c, e, series, limit, scale) {
		return most + 1
	}
	return needed(t, target)
}

// stands reports whether one element with the given series of the highest derivatives could stand for the elements e
// and e + 1 of the curve also between its own nodes: what it changes, integrated from the left end to anywhere, is
// within the target. A kink that two elements hold is otherwise merged away where it falls between the nodes of one.
func stands(c *collocation.Curve, e int, series [][]float64, target float64, scale []float64) bool {
	g := c.Grid()
	a, h := g.Mesh.X[e], g.Mesh.X[e+2]-g.Mesh.X[e]
	sums, worst := make([]float64, len(series)), make([]float64, len(series))
	p := make([]float64, len(series[0]))
	jet := make([]float64, g.P.Jet())
	var q quadrature
	for _, el := range []int{e, e + 1} {
		q.X, q.W = q.X[:0], q.W[:0]
		q.panels(g.Mesh.X[el], g.Mesh.X[el+1], float64(g.Mesh.Nodes[el]), h)
		for j, x := range q.X {
			c.In(el, x, jet)
			nodes.LegendreTo(p, 2*(x-a)/h-1)
			for i, u := range g.P.Unknowns {
				d := jet[g.P.JetOffset(i)+u.Order]
				for n, v := range series[i] {
					d -= v * p[n]
				}
				sums[i] += d * q.W[j] * h
				if (j+1)%len(eightPoints.x) == 0 { // the end of a panel
					worst[i] = math.Max(worst[i], math.Abs(sums[i]))
				}
			}
		}
	}
	return newSampler(c).relative(worst, h, scale) <= target
}
