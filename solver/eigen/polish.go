package eigen

import (
	"math"

	"nodespan/solver/adapt"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
	"nodespan/solver/nodes"
)

// anchor is a normalisation: a point value and what it is set to.
type anchor struct {
	bvp.PointValue
	value float64
}

// border closes an eigenvalue problem to an ordinary one about λ₀: the sought number is ρ with λ = λ₀ + unit (ρ − 1),
// near 1 also for an eigenvalue 0, and anchors fix the eigenfunction. For an m-fold eigenvalue there are m anchors, and
// m − 1 further numbers ν (as 1 + ν, for the same reason) that multiply the λ-derivative of the equations at the other
// eigenfunctions: at an exactly m-fold eigenvalue they vanish, and the linearised problem is regular all the same.
type border struct {
	p            *bvp.Problem
	lambda, unit float64
	others       []*collocation.Curve
}

// problem returns the closed problem.
func (b *border) problem(anchors []anchor, guess func(x float64, jet []float64)) *bvp.Problem {
	p := b.p
	out := &bvp.Problem{Variable: p.Variable, A: p.A, B: p.B, Unknowns: p.Unknowns, Breaks: p.Breaks, Guess: guess}
	out.Formulas = p.Formulas.Still()
	out.Parameters = []bvp.Parameter{{Name: p.Parameters[0].Name, Guess: 1, HasGuess: true}}
	for range b.others {
		out.Parameters = append(out.Parameters, bvp.Parameter{Name: "multiplicity", Guess: 1, HasGuess: true})
	}
	out.Equations = b.residuals(p.Equations, len(p.Unknowns))
	if p.Continuity != nil {
		out.Continuity = b.residuals(p.Continuity, p.State())
	}
	for _, c := range p.Conditions {
		out.Conditions = append(out.Conditions, b.condition(c))
	}
	for _, a := range anchors {
		out.Conditions = append(out.Conditions, bvp.Condition{At: []bvp.PointValue{a.PointValue},
			Residual: func(in, dg []float64) float64 {
				if dg != nil {
					clear(dg)
					dg[0] = 1
				}
				return in[0] - a.value
			}})
	}
	return out
}

// residuals closes count residual functions.
func (b *border) residuals(r bvp.Residuals, count int) bvp.Residuals {
	jet := b.p.Jet()
	all := jet + 1 + len(b.others)
	v, d := make([]float64, jet+1), make([]float64, count*(jet+1))
	f2, d2 := make([]float64, count), make([]float64, count*(jet+1))
	return func(x float64, in, f, df []float64) {
		copy(v, in[:jet])
		v[jet] = b.lambda + b.unit*(in[jet]-1)
		if df == nil {
			r(x, v, f, nil)
		} else {
			r(x, v, f, d)
			for i := range count {
				copy(df[i*all:], d[i*(jet+1):(i+1)*(jet+1)])
				df[i*all+jet] *= b.unit
			}
		}
		for l, c := range b.others {
			c.At(x, v[:jet])
			v[jet] = b.lambda
			r(x, v, f2, d2)
			for i := range count {
				slope := b.unit * d2[i*(jet+1)+jet]
				f[i] += (in[jet+1+l] - 1) * slope
				if df != nil {
					df[i*all+jet+1+l] = slope
				}
			}
		}
	}
}

// condition closes a condition.
func (b *border) condition(c bvp.Condition) bvp.Condition {
	k, old := len(c.At), c.Residual
	jet := make([]float64, b.p.Jet())
	slopes := make([]float64, len(b.others))
	for l, o := range b.others {
		v, dg := make([]float64, k+1), make([]float64, k+1)
		for j, w := range c.At {
			o.At(w.X, jet)
			v[j] = jet[b.p.JetOffset(w.Unknown)+w.Derivative]
		}
		v[k] = b.lambda
		old(v, dg)
		slopes[l] = b.unit * dg[k]
	}
	c.Rounding = nil
	c.Residual = func(in, dg []float64) float64 {
		v := append([]float64(nil), in[:k+1]...)
		v[k] = b.lambda + b.unit*(in[k]-1)
		var d []float64
		if dg != nil {
			d = dg[:k+1]
		}
		g := old(v, d)
		if dg != nil {
			dg[k] *= b.unit
		}
		for l, s := range slopes {
			g += (in[k+1+l] - 1) * s
			if dg != nil {
				dg[k+1+l] = s
			}
		}
		return g
	}
	return c
}

// largest returns where an unknown of the curve is largest in absolute value, and the value there.
func largest(c *collocation.Curve, unknown int) (at, value float64) {
	g := c.Grid()
	jet := make([]float64, g.P.Jet())
	entry := g.P.JetOffset(unknown)
	y := func(e int, x float64) float64 {
		c.In(e, x, jet)
		return jet[entry]
	}
	var top, lo, hi float64
	element, found := 0, false
	for e, k := range g.Mesh.Nodes {
		x0, x1 := g.Mesh.X[e], g.Mesh.X[e+1]
		n := 2*k + 8
		place := func(j int) float64 { return x0 + (x1-x0)*(1-math.Cos(math.Pi*float64(j)/float64(n)))/2 }
		for j := 0; j <= n; j++ {
			if v := y(e, place(j)); !found || math.Abs(v) > math.Abs(top) {
				at, top, lo, hi, element, found = place(j), v, place(max(j-1, 0)), place(min(j+1, n)), e, true
			}
		}
	}
	// The top of the hump, between the neighbours.
	x := nodes.Maximum(func(x float64) float64 { return math.Abs(y(element, x)) }, lo, hi, 40)
	if v := y(element, x); math.Abs(v) > math.Abs(top) {
		return x, v
	}
	return at, top
}

// leading returns the first unknown that does not vanish on the curve, compared with the others.
func leading(c *collocation.Curve) int {
	n := len(c.Grid().P.Unknowns)
	tops := make([]float64, n)
	for i := range n {
		_, v := largest(c, i)
		tops[i] = math.Abs(v)
	}
	for i, v := range tops {
		if v > 1e-6*bvp.Largest(tops) {
			return i
		}
	}
	return 0
}

// anchorsFor chooses normalisations for the m functions that span an eigenspace, and returns them with the m
// combinations (rows of coefficients) that have the value 1 at one anchor and 0 at the others. A simple eigenfunction
// is held where it is largest; the functions of a multiple one by their states at the left end (so that cosine and sine
// come out as such), or by values inside.
func anchorsFor(p *bvp.Problem, curves []*collocation.Curve) (points []bvp.PointValue, combine [][]float64, ok bool) {
	m := len(curves)
	if m == 1 {
		u := leading(curves[0])
		at, value := largest(curves[0], u)
		if value == 0 {
			return nil, nil, false
		}
		return []bvp.PointValue{{X: at, Unknown: u}}, [][]float64{{1 / value}}, true
	}
	list, size := anchorCandidates(p, curves)
	picked, ok := independent(list, m, size)
	if !ok {
		return nil, nil, false
	}
	g := make([][]float64, m) // g[i][j]: value of curve j at anchor i
	for i, at := range picked {
		points = append(points, list[at].pv)
		g[i] = valuesAt(p, curves, list[at].pv)
	}
	combine, ok = solveIdentity(g)
	return points, combine, ok
}

// anchorCandidate is a point value that may normalise, with that of every curve, scaled by its derivative.
type anchorCandidate struct {
	pv   bvp.PointValue
	row  []float64
	late bool // taken only where no other serves
}

// valuesAt returns a point value of every curve.
func valuesAt(p *bvp.Problem, curves []*collocation.Curve, pv bvp.PointValue) []float64 {
	jet, out := make([]float64, p.Jet()), make([]float64, len(curves))
	for j, c := range curves {
		c.At(pv.X, jet)
		out[j] = jet[p.JetOffset(pv.Unknown)+pv.Derivative]
	}
	return out
}

// anchorCandidates lists the state at the left end, and then values at inner points; size is the largest of their rows.
func anchorCandidates(p *bvp.Problem, curves []*collocation.Curve) (list []anchorCandidate, size float64) {
	x := curves[0].Grid().Mesh.X
	a, b := x[0], x[len(x)-1]
	add := func(pv bvp.PointValue, late bool) {
		row := valuesAt(p, curves, pv)
		for j := range row {
			row[j] *= math.Pow((b-a)/math.Pi, float64(pv.Derivative))
		}
		size = math.Max(size, bvp.Largest(row))
		list = append(list, anchorCandidate{pv, row, late})
	}
	for u, q := range p.Unknowns {
		for d := range q.Order {
			add(bvp.PointValue{X: a, Unknown: u, Derivative: d}, false)
		}
	}
	const inner = 61
	for j := 1; j < inner; j++ {
		for u := range p.Unknowns {
			add(bvp.PointValue{X: a + (b-a)*float64(j)/inner, Unknown: u}, true)
		}
	}
	return list, size
}

// independent picks m candidates whose rows are independent, by elimination.
func independent(list []anchorCandidate, m int, size float64) (picked []int, ok bool) {
	work := make([][]float64, len(list))
	for i, c := range list {
		work[i] = append([]float64(nil), c.row...)
	}
	for range m {
		best := -1
		for i, c := range list {
			if !c.late && bvp.Largest(work[i]) > 0.02*size {
				best = i
				break
			}
			if best < 0 || bvp.Largest(work[i]) > bvp.Largest(work[best]) {
				best = i
			}
		}
		pivot := 0
		for j, v := range work[best] {
			if math.Abs(v) > math.Abs(work[best][pivot]) {
				pivot = j
			}
		}
		head := append([]float64(nil), work[best]...)
		if head[pivot] == 0 {
			return nil, false
		}
		for _, row := range work { // column operations clear the picked row
			f := row[pivot] / head[pivot]
			for j := range row {
				if j != pivot {
					row[j] -= f * head[j]
				}
			}
			row[pivot] = 0
		}
		picked = append(picked, best)
	}
	return picked, true
}

// solveIdentity returns rows t_i with g t_i = e_i (Gauss-Jordan with pivoting; tiny systems).
func solveIdentity(g [][]float64) ([][]float64, bool) {
	m := len(g)
	a := make([][]float64, m)
	for i := range a {
		a[i] = make([]float64, 2*m)
		copy(a[i], g[i])
		a[i][m+i] = 1
	}
	for j := range m {
		p := j
		for i := j; i < m; i++ {
			if math.Abs(a[i][j]) > math.Abs(a[p][j]) {
				p = i
			}
		}
		if a[p][j] == 0 {
			return nil, false
		}
		a[j], a[p] = a[p], a[j]
		for i := range m {
			if i == j {
				continue
			}
			f := a[i][j] / a[j][j]
			for c := range a[i] {
				a[i][c] -= f * a[j][c]
			}
		}
	}
	out := make([][]float64, m)
	for i := range m {
		out[i] = make([]float64, m)
		for j := range m {
			out[i][j] = a[j][m+i] / a[j][j]
		}
	}
	return out, true
}

// normalise scales an answer, in place: the largest |y| of the first unknown that does not vanish is 1, and its first
// departure from zero is positive.
func normalise(a *adapt.Answer) {
	g := a.Curve.Grid()
	u := leading(a.Curve)
	_, top := largest(a.Curve, u)
	if top == 0 || math.IsNaN(top) {
		return
	}
	jet := make([]float64, g.P.Jet())
	entry := g.P.JetOffset(u)
	sign := 0.0
	for e, k := range g.Mesh.Nodes {
		n := 4*k + 20
		for j := 0; j <= n && sign == 0; j++ {
			a.Curve.In(e, g.Mesh.X[e]+(g.Mesh.X[e+1]-g.Mesh.X[e])*float64(j)/float64(n), jet)
			if math.Abs(jet[entry]) > 1e-6*math.Abs(top) {
				sign = math.Copysign(1, jet[entry])
			}
		}
	}
	factor := sign / math.Abs(top)
	v := a.Curve.V
	scale := func(w []float64) {
		for i := range w {
			w[i] *= factor
		}
	}
	for e := range v.U {
		scale(v.U[e])
	}
	for e := range v.Z {
		scale(v.Z[e])
	}
	scale(v.Q[:len(v.Q)-len(g.P.Parameters)])
	a.Curve = g.Curve(v)
	// The error at the top goes into the factor.
	est := a.Estimate
	size := math.Abs(factor)
	most := est.Floor[entry]
	for _, l := range est.Local {
		most = math.Max(most, l[entry]+est.Floor[entry])
	}
	for i := range est.Floor {
		est.Scale[i] *= size
		est.Floor[i] *= size
	}
	relative := most * size
	if len(g.P.Parameters) == 1 {
		// Held where it is largest already: the scale is off by what the top has moved only.
		relative *= relative
	}
	for e := range est.Local {
		for i := range est.Local[e] {
			est.Local[e][i] = est.Local[e][i]*size + relative*est.Scale[i]
		}
	}
}

// FunctionError returns the largest estimated error of the state over the interval, each entry relative to its own
// largest value.
func FunctionError(a *adapt.Answer) float64 {
	g, est := a.Curve.Grid(), a.Estimate
	length := g.Mesh.X[len(g.Mesh.X)-1] - g.Mesh.X[0]
	worst, at := 0.0, 0
	largest := 0.0
	for i := range g.P.Unknowns {
		largest = math.Max(largest, est.Scale[g.P.JetOffset(i)])
	}
	for _, u := range g.P.Unknowns {
		natural := est.Scale[at]
		if natural <= 4*est.Floor[at] || natural < 1e-290 {
			natural = largest // an unknown that vanishes in this eigenfunction
		}
		for d := range u.Order {
			most := 0.0
			for _, l := range est.Local {
				if !(l[at+d] <= most) {
					most = l[at+d]
				}
			}
			most += est.Floor[at+d]
			scale := math.Max(est.Scale[at+d], 1e-9*natural)
			if est.Scale[at+d] <= 4*most {
				// An entry that is zero as far as can be told: measured against the unknown over the length.
				scale = math.Max(scale, natural)
			}
			if scale > 0 {
				worst = math.Max(worst, most/scale)
			}
			natural /= length
		}
		at += u.Order + 1
	}
	return worst
}
