package adapt

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"nodespan/solver/blocks"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
	"nodespan/solver/newton"
	"nodespan/solver/nodes"
)

// This file tells a linear problem without a unique solution from one that is only too sensitive for the arithmetic.
// Both have discrete equations that are singular to rounding. By Fredholm's alternative the first has a null function,
// a solution of the homogeneous equations that meets the homogeneous conditions, and has many solutions or none as the
// right sides suit the null vectors on the left or not. The second has a function that seems to be one because it grows
// so fast that nothing is left of it where a condition stands.

// fredholm is what is known of a linear problem.
type fredholm int

const (
	regular   fredholm = iota // the discrete equations are not singular
	sensitive                 // singular to rounding, by growth alone as far as can be seen
	unclear                   // singular to rounding
	many
	none
)

// Limits of the judgement.
const (
	nullSize = 1e-13 // singular values below it, relative to the largest, count as zero to working precision
	// nullRounding is what rounding leaves of one that is zero. Measured: at most 5e-17 with up to 314 unknowns.
	nullRounding = 5e-16
	nullGap      = 1e-10 // and there must be none up to here
	// a null function that is smaller than this part of itself at a condition's points tells nothing
	leastLocal = 1e-7
	// of any solution of the homogeneous equations across the interval; errors then stay far below nullGap
	mostGrowth = 1e6
	mostLog    = 18 // the logarithm of the changes of size of a null function that contains no growth beyond mostGrowth
	// mostRough is the part of a null function in its last coefficients that means that it is none: layers much thinner
	// than the elements make waves with a zero at every node, which meet every condition nearly.
	mostRough = 0.1
	// the right sides along a left null vector, relative to the terms of the sum, that count as zero
	suits        = 1e-9
	suitsNot     = 1e-6 // and those that do not
	leastNull    = 24   // nodes of an element of the first mesh on which null functions are looked for
	largestDense = 560  // unknowns of the dense equations
	samplesNull  = 200
)

// singularity judges a linear problem on two meshes.
func singularity(p *bvp.Problem, o Options) fredholm {
	if !o.linear(p) || initial(p) && !hasSingularPoint(p) {
		return regular
	}
	var found [2]null
	for i, k := range []int{leastNull, 32} {
		var ok bool
		if found[i], ok = nullOf(p, k, o); !ok || found[i].dimension == 0 {
			return regular
		}
	}
	a, b := &found[0], &found[1]
	switch {
	case a.dimension != b.dimension || !a.gap || !b.gap:
		return unclear
	case math.Min(a.local, b.local) < leastLocal || math.Max(a.rough, b.rough) > mostRough:
		return sensitive
	case !(a.changes <= mostLog && b.changes <= mostLog && a.dimension == 1) && !(growth(p) <= mostGrowth):
		return unclear
	case !a.exact || !b.exact:
		return unclear
	case a.left <= suits && b.left <= suits:
		return many
	case a.left >= suitsNot && math.Abs(a.left-b.left) <= 0.1*a.left:
		return none
	}
	return unclear
}

// singularVerdict says why a linear problem has no unique solution. Empty when it is regular as far as can be seen, or
// too sensitive.
func singularVerdict(p *bvp.Problem, o Options) string { return singularity(p, o).sentence() }

// sentence says why there is no unique solution; empty where there may be one.
func (f fredholm) sentence() string {
	const why = "the homogeneous problem has a non-zero solution"
	switch f {
	case many:
		return "there are infinitely many solutions: " + why + ", which may be added freely; change a condition"
	case none:
		return "there is no solution: " + why + " (resonance), and the right sides excite it; change a condition"
	case unclear:
		return "the conditions do not fix one solution to working precision"
	}
	return ""
}

// hasSingularPoint reports whether a highest derivative's coefficient vanishes somewhere: initial values then need not
// fix a solution.
func hasSingularPoint(p *bvp.Problem) bool {
	_, ok := vanishingLead(p)
	return ok
}

// initial reports whether the conditions are initial values: all stand at one point, and fix the state there. A linear
// equation with regular coefficients then has exactly one solution, however sensitive it is (E. A. Coddington and N.
// Levinson, Theory of Ordinary Differential Equations, 1955, chapter 3).
func initial(p *bvp.Problem) bool {
	S := p.State()
	if len(p.Parameters) > 0 || len(p.Conditions) != S {
		return false
	}
	at := math.NaN()
	m := mat.NewDense(S, S, nil)
	for r, c := range p.Conditions {
		in, dg := make([]float64, len(c.At)), make([]float64, len(c.At))
		for i := range in {
			in[i] = 0.3 + 0.17*float64(i)
		}
		c.Residual(in, dg)
		big := 0.0
		for i, v := range c.At {
			if v.Derivative >= p.Unknowns[v.Unknown].Order || !math.IsNaN(at) && v.X != at {
				return false
			}
			at = v.X
			col := p.JetOffset(v.Unknown) - v.Unknown + v.Derivative
			m.Set(r, col, m.At(r, col)+dg[i])
			big = math.Max(big, math.Abs(dg[i]))
		}
		if big == 0 {
			return false
		}
		for j := range S {
			m.Set(r, j, m.At(r, j)/big)
		}
	}
	scaleColumns(m)
	c := blocks.Condition(m)
	return c < 1e10
}

// startOf returns 1 where the conditions are initial values at the left end, −1 where they are at the right end, and
// else 0.
func startOf(p *bvp.Problem) int {
	if !initial(p) {
		return 0
	}
	switch p.Conditions[0].At[0].X {
	case p.A:
		return 1
	case p.B:
		return -1
	}
	return 0
}

// scaleColumns divides every column by its largest entry and returns these.
func scaleColumns(m *mat.Dense) []float64 {
	rows, cols := m.Dims()
	out := make([]float64, cols)
	for j := range cols {
		for i := range rows {
			out[j] = math.Max(out[j], math.Abs(m.At(i, j)))
		}
		if out[j] == 0 {
			out[j] = 1
		}
		for i := range rows {
			m.Set(i, j, m.At(i, j)/out[j])
		}
	}
	return out
}

// null is the null space of the discrete equations on one mesh.
type null struct {
	dimension int
	gap       bool    // no singular value is neither zero nor far from it
	exact     bool    // those that count as zero are no larger than rounding makes them
	local     float64 // the least size of the null functions at the points of any condition, relative to their largest
	changes   float64 // the sum of the changes of the logarithm of the null function's size over the interval
	// the largest of the last Legendre coefficients of a highest derivative, relative to the largest of all its
	// coefficients
	rough float64
	left  float64 // the right sides along the left null vectors, relative to the terms of the sum: the largest
}

// nullMesh returns a mesh with k nodes on each element on which a null function shows as one to rounding: at least two
// elements, and more for waves.
func (o *Options) nullMesh(p *bvp.Problem, k int) collocation.Mesh {
	// Gauss collocation carries a wave over an element of phase θ with the error of the diagonal Padé approximant,
	// θ^(2k+1) (k!)²/((2k)! (2k+1)!): below 1e-16 for k = 24 and 32 at two thirds of k (E. Hairer and G. Wanner,
	// Solving Ordinary Differential Equations II, section IV.3).
	each := float64(k) * 2 / 3 / (2 * math.Pi)
	x := bvp.Divide(p.Stretches(), 2)
	if o.waves(p) > each {
		x = o.spread(p, each)
	}
	return collocation.Uniform(x, k, nodes.Legendre)
}

// nullOf looks for null functions on elements of k nodes; false where the equations cannot be evaluated.
func nullOf(p *bvp.Problem, k int, o Options) (null, bool) {
	var n null
	m := o.nullMesh(p, k)
	if len(m.Nodes) > mostElements/10 {
		return n, false
	}
	g := collocation.NewGrid(p, m)
	asm, sys := g.NewAssembler(), g.System()
	rhs := sys.NewRHS()
	assembly, _ := g.Work()
	budget.Spend(o.Context, assembly)
	if !asm.Assemble(g.NewVector(), sys, rhs) {
		return n, false
	}
	N := g.Unknowns()
	if N > largestDense {
		if !sys.Factor() || sys.Condition() > newton.SingularCondition {
			n.dimension = 1 // at least: more is not known of so many equations
		}
		return n, true
	}
	budget.Spend(o.Context, 3*math.Pow(float64(N), 3))
	a := sys.Dense()
	scale := scaleColumns(a)
	u, values, v, ok := blocks.SVD(a)
	if !ok {
		return n, false
	}
	for n.dimension < N && values[N-1-n.dimension] <= nullSize*values[0] {
		n.dimension++
	}
	if n.dimension == 0 || n.dimension == N {
		return n, n.dimension == 0
	}
	n.gap = values[N-1-n.dimension] > nullGap*values[0]
	n.exact = values[N-n.dimension] <= nullRounding*values[0]
	b := rhs.Dense()
	var functions []*collocation.Curve
	for d := range n.dimension {
		n.left = math.Max(n.left, along(blocks.Column(u, N-1-d), b))
		w := blocks.Column(v, N-1-d)
		for j := range w {
			w[j] /= scale[j]
		}
		x := g.NewVector()
		x.SetDense(w)
		functions = append(functions, g.Curve(x))
	}
	if soughtAlone(functions) {
		n.local = 1 // nothing of the null function grows or falls
		return n, true
	}
	n.sizes(p, functions)
	for _, f := range functions {
		n.rough = math.Max(n.rough, roughness(f))
	}
	return n, true
}

// soughtAlone reports whether the null functions vanish, to rounding, beside the sought numbers that go with them:
// these are then what is not fixed.
func soughtAlone(functions []*collocation.Curve) bool {
	const nothing = 1e-9
	for _, f := range functions {
		if !(bvp.Largest(scales(f)) <= nothing*bvp.Largest(f.Grid().Parameters(f.V))) {
			return false
		}
	}
	return true
}

// roughness returns the largest of the last two Legendre coefficients of any highest derivative on any element,
// relative to its largest coefficient on all elements.
func roughness(c *collocation.Curve) float64 {
	worst, top := 0.0, 0.0
	p := c.Grid().P
	for entry := range p.Jet() {
		top = math.Max(top, largestCoefficient(c, entry))
	}
	for i, u := range p.Unknowns {
		last, most := 0.0, 0.0
		for e := range c.Grid().Elements() {
			series := c.Series(e, p.JetOffset(i)+u.Order)
			most = math.Max(most, bvp.Largest(series))
			last = math.Max(last, bvp.Largest(series[max(0, len(series)-2):]))
		}
		// A highest derivative that vanishes is all rounding, and so is all of an unknown that does.
		own := largestCoefficient(c, p.JetOffset(i))
		if own > 1e-9*top && most > 1e-9*own/math.Pow(p.B-p.A, float64(u.Order)) {
			worst = math.Max(worst, last/most)
		}
	}
	return worst
}

// largestCoefficient returns the largest Legendre coefficient of an entry of the jet on any element.
func largestCoefficient(c *collocation.Curve, entry int) float64 {
	most := 0.0
	for e := range c.Grid().Elements() {
		most = math.Max(most, bvp.Largest(c.Series(e, entry)))
	}
	return most
}

// along returns |u·b| relative to the sum of the sizes of its terms; 0 where these are rounding.
func along(u, b []float64) float64 {
	sum, terms := 0.0, 0.0
	for i, v := range b {
		sum += u[i] * v
		terms += math.Abs(u[i] * v)
	}
	if terms <= 1e-13*bvp.Largest(b) {
		return 0
	}
	return math.Abs(sum) / terms
}

// sizes measures null functions: at the conditions, and by how much their size changes.
func (n *null) sizes(p *bvp.Problem, functions []*collocation.Curve) {
	J := p.Jet()
	jet, most := make([]float64, J), make([]float64, J)
	point := func(j int) float64 { return p.A + (p.B-p.A)*(float64(j)+0.5)/samplesNull }
	for _, f := range functions {
		for j := range samplesNull {
			f.At(point(j), jet)
			for i, v := range jet {
				most[i] = math.Max(most[i], math.Abs(v))
			}
		}
	}
	top := 0.0
	for _, v := range most {
		top = math.Max(top, v)
	}
	// The size at a point: of every entry relative to its own largest, but for what vanishes.
	size := func(x float64) float64 {
		s := 0.0
		for _, f := range functions {
			f.At(x, jet)
			for i, v := range jet {
				if most[i] > 1e-9*top {
					s = math.Max(s, math.Abs(v)/most[i])
				}
			}
		}
		return s
	}
	n.local = math.Inf(1)
	for _, c := range p.Conditions {
		local := 0.0
		for _, v := range c.At {
			local = math.Max(local, size(v.X))
		}
		n.local = math.Min(n.local, local)
	}
	last := math.NaN()
	for j := range samplesNull {
		now := math.Log(size(point(j)))
		if j > 0 {
			n.changes += math.Abs(now - last)
		}
		last = now
	}
}

// growth returns by how much a solution of the homogeneous equations grows at most across the interval, from either
// end. Derivatives count in units of the length of the interval.
func growth(p *bvp.Problem) float64 {
	worst := 0.0
	S := p.State()
	for _, end := range []float64{p.A, p.B} {
		q := *p
		q.Conditions = nil
		for i, u := range p.Unknowns {
			for d := range u.Order {
				q.Conditions = append(q.Conditions,
					bvp.Condition{At: []bvp.PointValue{{X: end, Unknown: i, Derivative: d}}, Residual: itself})
			}
		}
		g := collocation.NewGrid(&q, collocation.Uniform(bvp.Divide(p.Stretches(), 4), 24, nodes.Legendre))
		asm, sys := g.NewAssembler(), g.System()
		rhs := sys.NewRHS()
		if !asm.Assemble(g.NewVector(), sys, rhs) || !sys.Factor() {
			return math.Inf(1)
		}
		units := make([]float64, 0, S)
		for _, u := range p.Unknowns {
			for d := range u.Order {
				units = append(units, math.Pow(p.B-p.A, float64(d)))
			}
		}
		for r := range S {
			worst = math.Max(worst, grownFrom(g, sys, r, units))
		}
	}
	return worst
}

// itself is the residual of a condition that a point value vanishes.
func itself(in, dg []float64) float64 {
	if dg != nil {
		dg[0] = 1
	}
	return in[0]
}

// grownFrom returns the largest entry of the state, in the given units, at any mesh point of the solution that starts
// with entry r alone.
func grownFrom(g *collocation.Grid, sys *blocks.System, r int, units []float64) float64 {
	v, b := g.NewVector(), sys.NewRHS()
	b.Closing[r] = 1
	sys.SolveTo(v, b)
	most := 0.0
	for _, z := range v.Z {
		for i, x := range z {
			if s := math.Abs(x) * units[i] / units[r]; !(s <= most) {
				most = s
			}
		}
	}
	return most
}
