package adapt

import (
	"math"
	"slices"

	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
	"nodespan/solver/nodes"
)

// This file measures what two collocation solutions may both have missed: the residual is integrated over the gaps that
// the formulas make (features.go), wherever the nodes are.

// rule is a Gauss rule on 0…1.
type rule struct{ x, w []float64 }

func gauss(n int) rule {
	x, w := nodes.Gauss(n)
	r := rule{make([]float64, n), make([]float64, n)}
	for i := range x {
		r.x[i], r.w[i] = (1+x[i])/2, w[i]/2
	}
	return r
}

var fourPoints, eightPoints = gauss(4), gauss(8)

// quadrature is a composite rule on an element.
type quadrature struct{ collocation.Quadrature }

// over sets the rule for an element from a to b with k nodes: a few points in each of the gaps x, from gap *at on, and
// more where a gap holds several nodes. It moves at on to the last gap that reaches into the element.
func (q *quadrature) over(x []float64, at *int, a, b float64, k int) {
	q.X, q.W, q.Narrow = q.X[:0], q.W[:0], false
	for *at > 0 && x[*at] > a {
		*at--
	}
	for *at+2 < len(x) && x[*at+1] <= a {
		*at++
	}
	for lo := a; lo < b; {
		hi := b
		if x[*at+1] < b && *at+2 < len(x) {
			hi = x[*at+1]
		}
		if hi > lo {
			q.panels(lo, hi, float64(k)*(hi-lo)/(b-a), b-a)
		}
		lo = hi
		if hi < b {
			*at++
		}
	}
}

// narrow is the width of a gap, in mean distances of nodes, from which on polynomials through the nodes may not show
// what is on it.
const narrow = 0.7

// panels adds a gap on which about the given number of nodes lie.
func (q *quadrature) panels(lo, hi, nodes, h float64) {
	r, n := &fourPoints, 1
	if nodes <= 1 {
		q.Narrow = q.Narrow || nodes <= narrow
	} else {
		r, n = &eightPoints, int(math.Ceil(nodes/5))
	}
	d := (hi - lo) / float64(n)
	for i := range n {
		for j, s := range r.x {
			q.X = append(q.X, lo+d*(float64(i)+s))
			q.W = append(q.W, d*r.w[j]/h)
		}
	}
}

// response is what a coarse solution lacks of the true one to first order.
type response struct {
	// curve is the answer of the linearised problem, as the finer mesh has it, to the residual of the coarse solution
	// as the gaps see it: the error with the problem's own conditioning, with what neither mesh has seen.
	curve *collocation.Curve
	// detail holds, for each element of the finer mesh, what its polynomials cannot show of it.
	detail [][]float64
}

// response measures a coarse solution by its residual. quiet leaves out of it what rounding explains, everywhere and
// not only where gaps are narrow.
func (r *reading) response(coarse, fine *attempt, scale []float64, quiet bool) response {
	const roundings = 16.0 / (1 << 53)
	noise := make([]float64, len(scale))
	for i, v := range scale {
		noise[i] = roundings * v
	}
	g, f := coarse.curve.Grid(), fine.curve.Grid()
	rhs := fine.result.System.NewRHS()
	out := response{detail: rows(f.Elements(), len(scale))}
	q := &r.room.rule
	e, at := 0, 0
	for fe, k := range f.Mesh.Nodes {
		x0, x1 := f.Mesh.X[fe], f.Mesh.X[fe+1]
		for g.Mesh.X[e+1] <= x0 {
			e++
		}
		q.over(r.x, &at, x0, x1, k)
		off := noise
		if !q.Narrow && !quiet {
			off = nil
		}
		r.spend(len(q.X), k)
		fine.result.Assembler.Defect(coarse.curve, e, fe, &q.Quadrature, off, out.detail[fe], rhs)
	}
	v := f.NewVector()
	fine.result.System.SolveTo(v, rhs)
	out.curve = f.Curve(v)
	return out
}

// spend counts the work of residuals at points of an element with k nodes: series that are summed, and evaluations.
func (r *reading) spend(points, k int) {
	budget.Spend(r.ctx, float64(points)*(r.p.EvaluationWork()+float64(k*r.p.Jet())))
}

// mostUnseen is the part of a solution's size beyond which what was not seen is not small: to first order is then not
// enough.
const mostUnseen = 0.1

// exceeds reports whether what a solution lacks is more than a small part of its scale, in any entry below the highest.
func (r response) exceeds(scale []float64, p *bvp.Problem) bool {
	est := &Estimate{Mesh: r.curve.Grid().Mesh.X, Floor: make([]float64, len(scale)), Scale: slices.Clone(scale),
		Local:      make([][]float64, len(r.detail)),
		Parameters: make([]float64, len(p.Parameters)), room: new(scratch)}
	for e := range est.Local {
		est.Local[e] = make([]float64, len(scale))
	}
	est.addResponse(r.curve, r, 1, 0)
	largest := 0.0
	for i := range p.Unknowns {
		largest = math.Max(largest, est.Scale[p.JetOffset(i)])
	}
	for i, u := range p.Unknowns {
		// Where an unknown does not change, or vanishes beside others, what is left of it is rounding: nothing is
		// unseen in that.
		natural := 1e-9 * largest
		for d := range u.Order {
			at := p.JetOffset(i) + d
			if most(est.Local, at) > mostUnseen*math.Max(est.Scale[at], natural) {
				return true
			}
			natural /= p.B - p.A
		}
	}
	return false
}

// addUnseen widens an estimate to what the residual of the coarse solution tells along the gaps, and returns those.
func (est *Estimate) addUnseen(coarse, fine *attempt, cover float64, o *Options) *reading {
	g := coarse.curve.Grid()
	r := o.reading(g.P).along(coarse.curve)
	before, besides, size := copied(est.Local), copied(est.Besides), est.relative(g)
	scale, parameters := slices.Clone(est.Scale), slices.Clone(est.Parameters)
	est.addResponse(coarse.curve, r.response(coarse, fine, est.Scale, false), cover, 1)
	if size <= o.Tol && est.relative(g) > o.Tol {
		// It decides, so it is worth to look whether it is more than rounding. Measured: eps y” + a y' − y = f, eps =
		// 1e-5, with 48 nodes answers to the rounding errors of its own highest coefficients with 3.6 times the floor.
		const floors = 4
		est.Local, est.Besides, est.Response, est.Scale, est.Parameters = before, besides, nil, scale, parameters
		quiet := r.response(coarse, fine, est.Scale, true)
		// Where no formulas tell where to look, what sampling finds between the nodes counts when it is not small: near
		// singular ends rounding in coefficients, which nothing bounds, looks like more than the difference of two
		// solutions.
		if g.P.Formulas != nil || quiet.exceeds(est.Scale, g.P) {
			est.addResponse(coarse.curve, quiet, cover, floors)
		}
	}
	return r
}

// addResponse widens an estimate to what the response tells, beyond the given number of times rounding, which is in the
// floor.
func (est *Estimate) addResponse(coarse *collocation.Curve, r response, safety, floors float64) {
	g, f := coarse.Grid(), r.curve.Grid()
	J := g.P.Jet()
	at := &est.room.at
	nothing := vanishes(g.P, est) // a solution may be nothing but what was not seen
	widen := func(e, i int, v, detail float64) {
		if nothing {
			est.Scale[i] = math.Max(est.Scale[i], v)
		}
		d := safety * (v - floors*est.Floor[i])
		if d <= est.Local[e][i] {
			return
		}
		est.Local[e][i] = d
		if est.Besides != nil {
			est.Besides[e][i] = math.Max(est.Besides[e][i], safety*detail)
			est.Response = r.curve
		}
	}
	e := 0
	for fe, k := range f.Mesh.Nodes {
		x0, x1 := f.Mesh.X[fe], f.Mesh.X[fe+1]
		for g.Mesh.X[e+1] <= x0 {
			e++
		}
		x := at.equal(x0, x1, k+2)
		est.room.a = room(est.room.a, len(x)*J)
		jets := est.room.a
		r.curve.AtAll(fe, x, jets)
		for j, v := range jets {
			i := j % J
			widen(e, i, math.Abs(v)+r.detail[fe][i], r.detail[fe][i])
		}
	}
	for i, v := range f.Parameters(r.curve.V) {
		est.Parameters[i] = math.Max(est.Parameters[i], safety*math.Abs(v))
	}
}

// effects returns, for each element that holds gaps narrower than its nodes see or crowded ones, the size of the
// residual on it in the units of the tolerance, as refine measures the coefficients: as a change of the highest
// derivatives, integrated in absolute value. 0 for the others.
func (r *reading) effects(c *collocation.Curve, scale []float64) []float64 {
	g := c.Grid()
	out := make([]float64, g.Elements())
	s := newSampler(c)
	sums := make([]float64, len(g.P.Unknowns))
	q := &r.room.rule
	at, from := 0, 0
	for e, k := range g.Mesh.Nodes {
		x0, x1 := g.Mesh.X[e], g.Mesh.X[e+1]
		for from+2 < len(r.x) && r.x[from+1] <= x0 {
			from++
		}
		to := from
		narrow, crowded := math.Inf(1), false
		for ; to+1 < len(r.x) && r.x[to] < x1; to++ {
			narrow = math.Min(narrow, r.x[to+1]-r.x[to])
			crowded = crowded || r.crowded[to]
		}
		if !crowded && !(narrow < spacing(x1-x0, k)) {
			continue
		}
		clear(sums)
		q.over(r.x, &at, x0, x1, k)
		r.spend(len(q.X), k)
		for j, x := range q.X {
			for i, d := range s.change(e, x) {
				sums[i] += math.Abs(d) * q.W[j] * (x1 - x0)
			}
		}
		out[e] = s.relative(sums, x1-x0, scale)
	}
	return out
}

// split returns the curve's mesh with those elements divided, along the gaps, on which the nodes have not seen a
// residual above the target, and reports whether there are any.
func (r *reading) split(c *collocation.Curve, target float64) (m collocation.Mesh, some bool) {
	g := c.Grid()
	m = collocation.Mesh{Family: g.Mesh.Family, X: []float64{g.Mesh.X[0]}}
	for e, v := range r.effects(c, scales(c)) {
		x0, x1, k := g.Mesh.X[e], g.Mesh.X[e+1], g.Mesh.Nodes[e]
		points := []float64{x1}
		if v > target && x1-x0 > smallestElement(x0, x1) {
			some = true
			if points = grouped(r.x, x0, x1, k); len(points) == 1 {
				points = []float64{x0 + (x1-x0)/2, x1}
			}
		}
		for _, x := range points {
			m.X, m.Nodes = append(m.X, x), append(m.Nodes, k)
		}
	}
	return m, some
}

// sampler evaluates the residual along a curve.
type sampler struct {
	c         *collocation.Curve
	in, f, df []float64
	lead      []float64 // n × (n + 1)
	whole     float64
}

func newSampler(c *collocation.Curve) *sampler {
	g := c.Grid()
	n := len(g.P.Unknowns)
	all := g.P.Jet() + len(g.P.Parameters)
	s := &sampler{c: c, in: make([]float64, all), f: make([]float64, n), df: make([]float64, n*all),
		lead: make([]float64, n*(n+1))}
	copy(s.in[g.P.Jet():], g.Parameters(c.V))
	s.whole = g.Mesh.X[g.Elements()] - g.Mesh.X[0]
	return s
}

// change returns by how much the highest derivatives would have to change at x for the equations to hold there; 0
// within rounding, and where the equations have no value or do not determine them.
func (s *sampler) change(e int, x float64) []float64 {
	p := s.c.Grid().P
	n, all := len(p.Unknowns), len(s.in)
	s.c.In(e, x, s.in[:p.Jet()])
	p.Equations(x, s.in, s.f, s.df)
	const noise = 32.0 / (1 << 53)
	for r := range n {
		terms := math.Abs(s.f[r])
		for i := range p.Jet() {
			terms += math.Abs(s.df[r*all+i] * s.in[i])
		}
		if !(math.Abs(s.f[r]) > noise*terms) {
			s.f[r] = 0
		}
		for i, u := range p.Unknowns {
			s.lead[r*(n+1)+i] = s.df[r*all+p.JetOffset(i)+u.Order]
		}
		s.lead[r*(n+1)+n] = s.f[r]
	}
	collocation.Eliminate(s.lead, n)
	for i := range n {
		v := s.lead[i*(n+1)+n]
		if math.IsNaN(v) || math.IsInf(v, 0) {
			v = 0
		}
		s.f[i] = v
	}
	return s.f
}

// relative turns integrals of changes of the highest derivatives over a length h into relative changes of what is below
// them.
func (s *sampler) relative(sums []float64, h float64, scale []float64) float64 {
	p := s.c.Grid().P
	worst := 0.0
	for i, u := range p.Unknowns {
		at := p.JetOffset(i)
		natural := scale[at]
		for d := range u.Order {
			size := math.Max(scale[at+d], 1e-9*natural)
			natural /= s.whole
			if size == 0 {
				continue
			}
			v := sums[i] / size
			for l := range u.Order - 1 - d {
				v *= h / float64(l+1)
			}
			worst = math.Max(worst, v)
		}
	}
	return worst
}

// followed reports whether nothing is left that the reading could not follow: where formulas oscillate too fast to be
// read, the residual itself must be small everywhere, as its integral is not known.
func followed(r *reading, c *collocation.Curve, est *Estimate, tol float64) bool {
	if !slices.Contains(r.crowded, true) {
		return true
	}
	for _, v := range r.effects(c, est.Scale) {
		if v > tol {
			return false
		}
	}
	return true
}
