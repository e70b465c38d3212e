package unbounded

import (
	"context"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/mat"

	"nodespan/solver/adapt"
	"nodespan/solver/blocks"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
	"nodespan/solver/nodes"
)

// This file asks whether a problem is well posed at infinity. The linearised equations have modes that grow, stay or
// fall as infinity is approached; a truncation is a good approximation only where the conditions at infinity hold every
// growing mode and no falling one (F. R. de Hoog and R. Weiss, "An approximation theory for boundary value problems on
// infinite intervals", Computing 24, 1980, 227–239; Lentini and Keller, as above). Counting the modes takes limits of
// coefficients that nobody can take for certain. What they do can be measured instead: how the solution responds to a
// change of each condition, on the shorter interval and on the longer one.
//
// A condition at infinity that holds a growing mode, exp(k x), moves the solution near the other end by exp(−k b); one
// that sets a limit moves it by an amount that settles. One that holds a falling mode, exp(−k x), moves it by exp(k b):
// the condition is met in the limit whatever that mode's coefficient is, and there are infinitely many solutions.
// (Responses alone do not tell: a limit of one unknown may drive another one, and the response then grows like b
// although the solution is unique. Hence the function hold.) Turned round, a condition at a finite point that leaves a
// growing mode free moves the solution at the far end by exp(k b): the solution has no limit unless the data are
// exactly right.

// Outcomes of the question.
type posedness int

const (
	undecided posedness = iota
	wellPosed
	surplus  // modes that fall at infinity are held by nothing but the truncation
	growing  // modes that grow at infinity are held by nothing
	singular // there are no responses: the linearised problem is singular to rounding, as it becomes on long intervals
)

const (
	settledRatio = 1.1 // a factor, from one interval to the next one, within which a limit is being approached
	freeRatio    = 1.5 // the factor by which what is held by nothing falls at least
	noHold       = 1e-8
	unheard      = 1e-6
	bursts       = 100 // more growth is no power's; waves that meet the last point in another phase may make a few
	modeLengths  = 6   // so many times its own length must an interval be to show a mode
)

// response is how the solution moves when the value of one condition moves by one.
type response struct {
	near  []float64 // samples near the finite end of all entries of the state, relative to their sizes
	far   []float64 // samples far out of the entries that the conditions at infinity name
	size  float64   // the largest near
	entry []float64 // the largest far out, by entries of the jet, absolute
}

// window is the part of an interval near its finite end (or its middle) and the part far from it, as distances.
type window struct{ near, far float64 }

// responses returns the responses to all conditions, nil where the linearised problem is singular.
func responses(ctx context.Context, p *bvp.Problem, a *Answer, step float64, w window, size []float64) []response {
	g := a.modeGrid(p, step)
	asm, sys := g.NewAssembler(), g.System()
	rhs := sys.NewRHS()
	at := g.NewVector()
	g.Fill(at, a.Curve.At)
	copy(g.Parameters(at), a.Curve.Grid().Parameters(a.Curve.V))
	assembly, residual := g.Work()
	factor, substitution := sys.Work()
	budget.Spend(ctx, assembly+factor+float64(len(p.Conditions))*(substitution+residual))
	if !asm.Assemble(at, sys, rhs) || !sys.Factor() {
		return nil
	}
	named := namedAtInfinity(p)
	v := g.NewVector()
	out := make([]response, len(p.Conditions))
	for r := range out {
		for e := range rhs.Element {
			clear(rhs.Element[e])
		}
		clear(rhs.Closing)
		rhs.Closing[r] = 1
		sys.SolveTo(v, rhs)
		out[r] = sampled(p, g.Curve(v), w, size, named)
	}
	return out
}

// sampled reads one response off its curve. Samples count by the length that they stand for.
func sampled(p *bvp.Problem, c *collocation.Curve, w window, size []float64, named [2][]int) (out response) {
	g, from, jet := c.Grid(), base(p), make([]float64, p.Jet())
	out.entry = make([]float64, p.Jet())
	const samples = 8
	for e := range g.Mesh.Nodes {
		x0, x1 := g.Mesh.X[e], g.Mesh.X[e+1]
		for j := range samples {
			x := x0 + (x1-x0)*(float64(j)+0.5)/samples
			d := math.Abs(x - from)
			if d > w.near && d < w.far {
				continue
			}
			c.In(e, x, jet)
			if d <= w.near {
				out.addNear(p, jet, size, math.Sqrt((x1-x0)/samples/w.near))
				continue
			}
			side := 0
			if x > from {
				side = 1
			}
			out.addFar(jet, size, math.Sqrt((x1-x0)/samples/w.far), named[side])
		}
	}
	return out
}

// addNear takes a sample near the finite end, or the middle.
func (r *response) addNear(p *bvp.Problem, jet, size []float64, weight float64) {
	for i, u := range p.Unknowns {
		for k := range u.Order {
			o := p.JetOffset(i) + k
			r.near = append(r.near, jet[o]/size[o]*weight)
			r.size = most(r.size, math.Abs(jet[o])/size[o])
		}
	}
}

// addFar takes a sample far out, of the entries that the conditions there name.
func (r *response) addFar(jet, size []float64, weight float64, named []int) {
	for _, o := range named {
		r.far = append(r.far, jet[o]/size[o]*weight)
	}
	for o, v := range jet {
		r.entry[o] = most(r.entry[o], math.Abs(v))
	}
}

// namedAtInfinity lists the entries of the jet that conditions name at either infinite end.
func namedAtInfinity(p *bvp.Problem) (out [2][]int) {
	for _, c := range p.Conditions {
		for _, v := range c.At {
			side := 0
			if v.X > 0 {
				side = 1
			}
			o := p.JetOffset(v.Unknown) + v.Derivative
			if math.IsInf(v.X, 0) && !slices.Contains(out[side], o) {
				out[side] = append(out[side], o)
			}
		}
	}
	return out
}

// svdWork is the work of the singular values of a tall matrix over its rows and the square of its columns. Measured.
const svdWork = 6

// hold is how firmly the conditions at infinity hold the solution: of all solutions of the linearised problem that meet
// the conditions at finite points without their right sides, and are of size one near the finite end, the least that
// one is far out, in what the conditions at infinity name. It falls to zero with the distance if and only if a mode
// that falls is free. Infinite where there are no such solutions or no such conditions.
func hold(ctx context.Context, p *bvp.Problem, all []response) float64 {
	var use []response
	for r, c := range p.Conditions {
		if q := all[r]; atInfinity(c) && q.size > 0 {
			use = append(use, q)
		}
	}
	for i, q := range use {
		// What is tiny near the finite end is held as firmly as can be; its rounding says nothing.
		for _, v := range q.far {
			use[i].size = math.Max(use[i].size, 1e-9*math.Abs(v))
		}
	}
	n := len(use)
	if n == 0 || len(use[0].far) == 0 {
		return math.Inf(1)
	}
	near, far := mat.NewDense(max(len(use[0].near), n), n, nil), mat.NewDense(len(use[0].far), n, nil)
	for j, q := range use {
		if math.IsInf(q.size, 0) {
			return 0
		}
		for i, v := range q.near {
			near.Set(i, j, v/q.size)
		}
		for i, v := range q.far {
			far.Set(i, j, v/q.size)
		}
	}
	budget.Spend(ctx, svdWork*float64((len(use[0].near)+len(use[0].far))*n*n))
	// Near = Q R with R = S Vᵀ of its singular value decomposition. The least singular value of far R⁻¹ is one over the
	// largest of R far⁺, which does no harm where R is nearly singular.
	_, sizes, turned, ok := blocks.SVD(near)
	if !ok {
		return 0
	}
	r := mat.NewDense(n, n, nil)
	for i, size := range sizes {
		for j := range n {
			r.Set(i, j, size*turned.At(j, i))
		}
	}
	_, values, v, ok := blocks.SVD(far)
	if !ok {
		return 0
	}
	rank := 0
	for _, v := range values {
		if v > 1e-14*values[0] {
			rank++
		}
	}
	if rank < n {
		return 0 // some solution vanishes far out altogether
	}
	for j, w := range values {
		for i := range n {
			v.Set(i, j, v.At(i, j)/w)
		}
	}
	_, norms, _, ok := blocks.SVD(blocks.Product(r, v))
	if !ok {
		return 0
	}
	return 1 / norms[0]
}

// Elements that show modes: nodes of each, how many decay lengths of the fastest one it may hold (12 nodes give
// exp(−12) to eight digits), and how many there may be. With more than that the fastest are not resolved; they then
// grow or fall by less from element to element, but still by as much again on an interval that is twice as long,
// because the elements are as long there.
const (
	modeNodes    = 12
	modeDecays   = 12
	modeElements = 150
)

// modeStep returns the length of the elements that show the modes on an interval.
func modeStep(p *bvp.Problem, a *Answer) float64 {
	fastest := 0.0
	length := a.Far.B - a.Far.A
	for j := range 9 {
		if r := a.rates(a.Far.A + length*(float64(j)+0.5)/9); len(r) > 0 {
			fastest = math.Max(fastest, r[len(r)-1])
		}
	}
	return math.Max(modeDecays/fastest, length/modeElements)
}

// modeGrid is a grid that resolves the modes, and not only the solution: the solution's own mesh points, steps of one
// length, and steps that grow with the distance, as powers of it ask for.
func (a *Answer) modeGrid(p *bvp.Problem, step float64) *collocation.Grid {
	lo, hi, from := a.Far.A, a.Far.B, base(p)
	x := slices.Clone(a.Curve.Grid().Mesh.X)
	for d := step; from+d < hi || from-d > lo; d += step {
		x = append(x, from+d, from-d)
	}
	for d := lengthScale(p); from+d < hi || from-d > lo; d *= 2 {
		x = append(x, from+d, from-d)
	}
	slices.Sort(x)
	mesh := x[:0]
	for _, v := range x {
		if v < lo || v > hi || len(mesh) > 0 && v-mesh[len(mesh)-1] < 1e-12*(hi-lo) {
			continue
		}
		mesh = append(mesh, v)
	}
	if mesh[len(mesh)-1] != hi {
		mesh[len(mesh)-1] = hi
	}
	return collocation.NewGrid(a.Problem, collocation.Uniform(mesh, modeNodes, nodes.Legendre))
}

// most is the larger one, and infinite where one is not a number.
func most(a, b float64) float64 {
	if math.IsNaN(a) || math.IsNaN(b) {
		return math.Inf(1)
	}
	return math.Max(a, b)
}

// base is where distances are counted from.
func base(p *bvp.Problem) float64 {
	switch {
	case !math.IsInf(p.A, 0):
		return p.A
	case !math.IsInf(p.B, 0):
		return p.B
	}
	return middle(p)
}

// atInfinity reports whether a condition names infinity.
//
//go:noinline
func atInfinity(c bvp.Condition) bool {
	for _, v := range c.At {
		if math.IsInf(v.X, 0) {
			return true
		}
	}
	return false
}

// sizes returns what each entry of the jet is measured in: its largest value, or where it vanishes that of the unknown
// over a length.
func sizes(p *bvp.Problem, est *adapt.Estimate, length float64) []float64 {
	out := make([]float64, p.Jet())
	for i, u := range p.Unknowns {
		o := p.JetOffset(i)
		natural := est.Scale[o]
		if natural == 0 {
			natural = 1
		}
		for d := range u.Order + 1 {
			out[o+d] = math.Max(est.Scale[o+d], 1e-3*natural)
			natural = math.Max(natural/length, 1e-3*est.Scale[o+d])
		}
	}
	return out
}

// pose compares the responses of a shorter solution and one on an interval twice as long. It writes into far with which
// power of the distance errors at the end grow.
func pose(ctx context.Context, p *bvp.Problem, short, long *Answer) posedness {
	length := short.length()
	size := sizes(p, long.Estimate, lengthScale(p))
	step := modeStep(p, short)
	one := responses(ctx, p, short, step, window{length / 4, length / 2}, size)
	two := responses(ctx, p, long, step, window{length / 4, long.length() / 2}, size)
	if one == nil || two == nil {
		return singular
	}
	stretch := math.Max(math.Log2(long.length()/short.length()), 0.1)
	for r, c := range p.Conditions {
		if !atInfinity(c) && !short.Far.grows(one[r], two[r], stretch, size) {
			return growing
		}
	}
	h1, h2 := hold(ctx, p, one), hold(ctx, p, two)
	switch {
	case h2 < 1 && h2 <= math.Max(h1/freeRatio, noHold):
		return surplus
	case h2 >= h1/settledRatio || h2 >= 1:
		return wellPosed
	}
	return undecided
}

// grows notes with which power of the distance the response to a condition at a finite point grows far out, which is
// how errors grow. It reports false where that is no power that an unknown's own order explains: modes grow freely.
func (f *Far) grows(short, long response, stretch float64, size []float64) bool {
	for i, u := range f.p.Unknowns {
		o := f.p.JetOffset(i)
		if long.entry[o] <= unheard*size[o]*math.Max(long.size, 1e-300) {
			continue
		}
		power := math.Log2(long.entry[o]/short.entry[o]) / stretch
		k := int(math.Ceil(math.Min(power, 100) - 0.3))
		if math.IsNaN(power) || k > u.Order-1 && long.entry[o] > bursts*short.entry[o] {
			return false
		}
		f.power[i] = max(f.power[i], k)
	}
	return true
}

//go:noinline
func (a *Answer) length() float64 { return a.Far.length() }

// length is that from where distances are counted from.
//
//go:noinline
func (f *Far) length() float64 {
	if math.IsInf(f.p.A, 0) && math.IsInf(f.p.B, 0) {
		return (f.B - f.A) / 2
	}
	return f.B - f.A
}

// Eigenvalues of the linearised equations below this part of the largest one count as zero: what rounding makes of a
// zero that is double.
const zeroMode = 1e-6

// slowest returns the length that the slowest mode of the limit needs to show itself: a few times 1/|λ| for the
// smallest eigenvalue of the linearised equations other than zero, far out, that does not itself fall with the
// distance. 0 where there is none, or no telling.
func slowest(p *bvp.Problem, a *Answer) float64 {
	need := 0.0
	for _, side := range a.Far.sides() {
		end := a.Far.end(side)
		step := 15 * a.length()
		if side == 0 {
			step = -step
		}
		here, there := a.rates(end), a.rates(end+step)
		if len(here) == 0 || len(here) != len(there) {
			continue
		}
		top := there[len(there)-1]
		for i, v := range there {
			if v > zeroMode*top && v > 0.5*here[i] {
				need = math.Max(need, modeLengths/v)
				break
			}
		}
	}
	return need
}

// rates returns the absolute values of the eigenvalues of the equations linearised at a jet (and sought numbers),
// ascending; nil where there are none.
func rates(p *bvp.Problem, x float64, in []float64) []float64 {
	return eigenvalues(linearised(p, x, in))
}

// linearised returns the matrix M of the linearised equations s' = M s, s the state; nil where there is none.
func linearised(p *bvp.Problem, x float64, in []float64) *mat.Dense {
	n, S, J := len(p.Unknowns), p.State(), p.Jet()+len(p.Parameters)
	f, df := make([]float64, n), make([]float64, n*J)
	p.Equations(x, in, f, df)
	top, low := mat.NewDense(n, n, nil), mat.NewDense(n, S, nil)
	for r := range n {
		at := 0
		for i, u := range p.Unknowns {
			row := df[r*J+p.JetOffset(i):]
			for d := range u.Order {
				low.Set(r, at+d, -row[d])
			}
			top.Set(r, i, row[u.Order])
			at += u.Order
		}
	}
	for _, v := range df {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil
		}
	}
	var lu blocks.LU
	lu.Factorize(top)
	lead, ok := lu.Solve(low)
	if !ok || !lu.Regular() {
		return nil
	}
	m := mat.NewDense(S, S, nil)
	at := 0
	for i, u := range p.Unknowns {
		for d := range u.Order - 1 {
			m.Set(at+d, at+d+1, 1)
		}
		m.SetRow(at+u.Order-1, lead.RawRowView(i))
		at += u.Order
	}
	return m
}

// eigenvalues returns the absolute values of those of a matrix, which may be nil, ascending.
func eigenvalues(m *mat.Dense) []float64 {
	if m == nil {
		return nil
	}
	values, ok := blocks.Eigenvalues(m)
	if !ok {
		return nil
	}
	var out []float64
	for _, v := range values {
		out = append(out, cmplx.Abs(v))
	}
	slices.Sort(out)
	return out
}

// rates are those at x, on or beyond the interval.
func (a *Answer) rates(x float64) []float64 {
	in := make([]float64, a.Far.p.Jet()+len(a.Far.p.Parameters))
	a.jet(x, in)
	return rates(a.Far.p, x, in)
}

// jet writes the jet of an answer or its continuation at x, with what is zero as far as can be told as zero, and then
// the sought numbers.
func (a *Answer) jet(x float64, in []float64) {
	far := a.Far
	end := math.Min(math.Max(x, far.A), far.B)
	jet := in[:far.p.Jet()]
	a.Curve.At(end, jet)
	if x != end {
		far.Extend(x-end, jet)
	}
	claimed := make([]float64, len(jet))
	a.Estimate.At(end, claimed)
	for i, v := range jet {
		if math.Abs(v) <= 4*claimed[i]+1e-9*a.Estimate.Scale[i] {
			jet[i] = 0
		}
	}
	copy(in[len(jet):], a.Curve.Grid().Parameters(a.Curve.V))
}
