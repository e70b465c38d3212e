package collocation

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"nodespan/solver/blocks"
)

// Assembler writes residuals and Jacobians of a grid. It has scratch space: one per goroutine.
type Assembler struct {
	g        *Grid
	in, f    []float64   // one point
	df       []float64   // n × (J + P)
	jets     []float64   // one element: k × J
	values   []float64   // one element: k
	c, dc    []float64   // continuity, left
	c2, dc2  []float64   // continuity, right
	scale    [][]float64 // row scales of each element, set by Assemble
	power    []float64   // h^d
	finite   bool
	gin, gdg []float64
	defect   []float64    // coefficients of one element and more, see Defect
	four     [][4]float64 // likewise

	own, point1, off1 []float64 // of a bound of rounding at one point, see quieten
}

// NewAssembler returns an assembler for the grid.
func (g *Grid) NewAssembler() *Assembler {
	J := g.jet + g.par
	most, total := 0, 0
	for e, k := range g.Mesh.Nodes {
		most = max(most, k)
		total += g.n*k + g.s + len(g.tapOf[e])
	}
	store := make([]float64, J+g.n+g.n*J+most*(g.jet+1)+2*g.s+2*g.s*J+g.maxOrder+1+total)
	cut := func(n int) (part []float64) {
		part, store = store[:n:n], store[n:]
		return part
	}
	a := &Assembler{g: g, in: cut(J), f: cut(g.n), df: cut(g.n * J), jets: cut(most * g.jet), values: cut(most),
		c: cut(g.s), c2: cut(g.s), dc: cut(g.s * J), dc2: cut(g.s * J), power: cut(g.maxOrder + 1),
		scale: make([][]float64, g.Elements())}
	for e, k := range g.Mesh.Nodes {
		a.scale[e] = cut(g.n*k + g.s + len(g.tapOf[e]))
	}
	return a
}

// Residual writes minus the residual of v to rhs, with the row scales of the last Assemble. It reports whether all is
// finite.
func (a *Assembler) Residual(v *blocks.Solution, rhs *blocks.RHS) bool { return a.run(v, nil, rhs) }

// Assemble writes the Jacobian at v into sys (which must be fresh) and minus the residual to rhs. Rows are scaled so
// that their terms are of order one when y^(d) is of the order of h^−d. It reports whether all is finite.
//
//go:noinline
func (a *Assembler) Assemble(v *blocks.Solution, sys *blocks.System, rhs *blocks.RHS) bool {
	return a.run(v, sys, rhs)
}

func (a *Assembler) run(v *blocks.Solution, sys *blocks.System, rhs *blocks.RHS) bool {
	a.finite = true
	for e := range a.g.bases {
		a.runElement(e, v, sys, rhs.Element[e])
		if !a.finite {
			return false
		}
	}
	a.runConditions(v, sys, rhs.Closing)
	return a.finite
}

// elementJets writes the jets at the nodes of element e.
func (a *Assembler) elementJets(e int, v *blocks.Solution, jets []float64) {
	g := a.g
	b := g.bases[e]
	_, h := g.element(e)
	z, k := v.Z[e], b.k
	for i, u := range g.P.Unknowns {
		m := u.Order
		uu := v.U[e][i*k : (i+1)*k]
		state := z[g.stateAt[i] : g.stateAt[i]+m]
		inv := 1.0
		for d := 0; d <= m; d++ {
			if d > 0 {
				inv /= h
			}
			values := uu
			if d < m {
				values = a.values[:k]
				blocks.DotRows(values, b.integral[m-d], k, uu)
			}
			for node, v := range values {
				jets[node*g.jet+g.jetAt[i]+d] = v*inv + taylor(state[d:], h*b.s[node])
			}
		}
	}
}

// taylor returns Σ z_j t^j / j!, by Horner's rule.
func taylor(z []float64, t float64) float64 {
	sum := 0.0
	for j := len(z) - 1; j >= 0; j-- {
		sum = sum*t/float64(j+1) + z[j]
	}
	return sum
}

// nodeAt returns the number x next to the node s of an element with k nodes at x0, how far beyond the node it lies,
// and how far it may be from where it is said to be. Where numbers are so sparse that the distance is not small beside
// that of the nodes, it is taken for zero, and so it is in an element as long as its
// distance from 0, where it is rounding like any other.
func nodeAt(x0, h, s float64, k int) (x, beyond, off float64) {
	hs := h * s
	x = x0 + hs
	from := x - x0
	beyond = (from - hs) - (x0 - (x - from)) // what the sum has lost, exactly (D. E. Knuth)
	off = 2 * halfUnit * hs                  // s is rounded, and so is the product
	const small = 1.0 / 64
	if lost := math.Abs(beyond); math.Abs(x0) <= h || lost*float64(k*k) > small*h {
		return x, 0, off + lost
	}
	return x, beyond, off
}

// moveToPlaces carries the jets at the nodes of element e on to the numbers next to them, at which the equations are
// evaluated, to first order: far from 0, and where the equations change fast, they are not the same. The Jacobian
// leaves this out; a step of it is a part of 1e-13 or so.
func (a *Assembler) moveToPlaces(e int, v *blocks.Solution, jets []float64) {
	g := a.g
	b := g.bases[e]
	x0, h := g.element(e)
	over := 1 / h
	for node, s := range b.s {
		_, beyond, _ := nodeAt(x0, h, s, b.k)
		if beyond == 0 {
			continue
		}
		jet := jets[node*g.jet : (node+1)*g.jet]
		row := b.slope[node*b.k : (node+1)*b.k]
		for i, u := range g.P.Unknowns {
			at := g.jetAt[i]
			by := beyond * over
			for d := range u.Order {
				jet[at+d] += beyond * jet[at+d+1]
				by *= over
			}
			jet[at+u.Order] += by * blocks.Dot(row, v.U[e][i*b.k:(i+1)*b.k])
		}
	}
}

func (a *Assembler) runElement(e int, v *blocks.Solution, sys *blocks.System, rhs []float64) {
	g := a.g
	b := g.bases[e]
	x0, h := g.element(e)
	k, n := b.k, g.n
	a.elementJets(e, v, a.jets)
	a.moveToPlaces(e, v, a.jets)
	a.power[0] = 1
	for d := 1; d <= g.maxOrder; d++ {
		a.power[d] = a.power[d-1] / h // h^−d
	}
	df := a.df
	if sys == nil {
		df = nil
	}
	copy(a.in[g.jet:], g.Parameters(v))
	for node := range k {
		copy(a.in, a.jets[node*g.jet:(node+1)*g.jet])
		x, _, _ := nodeAt(x0, h, b.s[node], k)
		g.P.Equations(x, a.in, a.f, df)
		for r := range n {
			row := r*k + node
			if sys != nil && !a.scaleRow(e, row, r) {
				a.finite = false
				return
			}
			rhs[row] = -a.f[r] * a.scale[e][row]
			if math.IsNaN(rhs[row]) || math.IsInf(rhs[row], 0) {
				a.finite = false
				if sys != nil {
					return
				}
			}
			if sys != nil {
				a.writeRow(e, node, r, sys)
			}
		}
	}
	a.runStates(e, v, sys, rhs[n*k:])
}

// derivatives returns those of equation r at the node at hand.
func (a *Assembler) derivatives(r int) []float64 {
	J := a.g.jet + a.g.par
	return a.df[r*J : (r+1)*J]
}

// scaleRow chooses the scale of a row, the one of equation r at a node: 1 over the size of its largest entry. It
// reports whether that is finite.
func (a *Assembler) scaleRow(e, row, r int) bool {
	g := a.g
	dr := a.derivatives(r)
	big := 0.0
	for i, u := range g.P.Unknowns {
		for d := 0; d <= u.Order; d++ {
			big = max(big, math.Abs(dr[g.jetAt[i]+d])*a.power[d])
		}
	}
	a.scale[e][row] = blocks.PowerOfTwo(big)
	return !math.IsNaN(big) && !math.IsInf(big, 0)
}

// writeRow writes the derivatives of equation r at a node into its row.
func (a *Assembler) writeRow(e, node, r int, sys *blocks.System) {
	g := a.g
	b := g.bases[e]
	_, h := g.element(e)
	k, S := b.k, g.s
	own := g.n * k
	width := own + 2*S + g.border()
	row := r*k + node
	dr, sc := a.derivatives(r), a.scale[e][row]
	line := sys.Element(e)[row*width : (row+1)*width]
	for i, u := range g.P.Unknowns {
		m := u.Order
		for d := 0; d <= m; d++ {
			c := dr[g.jetAt[i]+d] * sc
			if c == 0 {
				continue
			}
			l := m - d
			cu := c * a.power[d]
			if l == 0 {
				line[i*k+node] += cu
				continue
			}
			dst := line[i*k : (i+1)*k]
			for j, w := range b.integral[l][node*k : (node+1)*k] {
				dst[j] += cu * w
			}
			t, hs := c, h*b.s[node]
			for j := range l {
				line[own+g.stateAt[i]+d+j] += t
				t *= hs / float64(j+1)
			}
		}
	}
	for q := range g.par {
		line[own+2*S+len(g.taps)+q] += dr[g.jet+q] * sc
	}
}

// point writes the jet of v at s in element e and, when rows is not nil, the derivatives of each entry: row by row
// over (u, z_e), in the jet's layout.
func (a *Assembler) point(e int, v *blocks.Solution, s float64, jet []float64, weights [][]float64) {
	g := a.g
	b := g.bases[e]
	_, h := g.element(e)
	z, k := v.Z[e], b.k
	for i, u := range g.P.Unknowns {
		m := u.Order
		uu := v.U[e][i*k : (i+1)*k]
		state := z[g.stateAt[i] : g.stateAt[i]+m]
		inv := 1.0
		for d := 0; d <= m; d++ {
			if d > 0 {
				inv /= h
			}
			l := m - d
			val := 0.0
			for j, w := range weights[l] {
				val += w * uu[j]
			}
			t, hs := 0.0, h*s
			for j := l - 1; j >= 0; j-- {
				t = t*hs/float64(j+1) + state[d+j]
			}
			jet[g.jetAt[i]+d] = val*inv + t
		}
	}
}

// addPoint adds factor × the derivative of jet entry (unknown i, derivative d) at s to a matrix row of element e.
func (a *Assembler) addPoint(e int, line []float64, i, d int, s, factor float64, weights [][]float64) {
	g := a.g
	b := g.bases[e]
	_, h := g.element(e)
	k := b.k
	own := g.n * k
	l := g.P.Unknowns[i].Order - d
	cu := factor * math.Pow(h, float64(-d))
	for j, w := range weights[l] {
		line[i*k+j] += cu * w
	}
	t, hs := factor, h*s
	for j := range l {
		line[own+g.stateAt[i]+d+j] += t
		t *= hs / float64(j+1)
	}
}

// runStates writes the rows that carry the state to the next mesh point, and the taps.
func (a *Assembler) runStates(e int, v *blocks.Solution, sys *blocks.System, rhs []float64) {
	g := a.g
	b := g.bases[e]
	_, h := g.element(e)
	S := g.s
	own := g.n * b.k
	width := own + 2*S + g.border()
	var mat []float64
	if sys != nil {
		mat = sys.Element(e)[own*width:]
	}
	jet := a.in[:g.jet]
	a.point(e, v, 1, jet, b.end)
	next := v.Z[e+1]
	if g.isBreak[e+1] {
		a.runBreak(e, v, sys, rhs, mat)
	} else {
		for i, u := range g.P.Unknowns {
			hd := 1.0
			for d := range u.Order {
				row := g.stateAt[i] + d
				val := next[row] - jet[g.jetAt[i]+d]
				rhs[row] = -val * hd
				if math.IsNaN(val) || math.IsInf(val, 0) {
					a.finite = false
					return
				}
				if sys != nil {
					line := mat[row*width : (row+1)*width]
					line[own+S+row] += hd
					a.addPoint(e, line, i, d, 1, -hd, b.end)
				}
				hd *= h
			}
		}
	}
	for c, ti := range g.tapOf[e] {
		t := g.taps[ti]
		w := t.weights
		i, d := t.value.Unknown, t.value.Derivative
		a.point(e, v, t.s, jet, w)
		hd := math.Pow(h, float64(d))
		val := v.Q[ti] - jet[g.jetAt[i]+d]
		rhs[S+c] = -val * hd
		if math.IsNaN(val) || math.IsInf(val, 0) {
			a.finite = false
			return
		}
		if sys != nil {
			line := mat[(S+c)*width : (S+c+1)*width]
			line[own+2*S+ti] += hd
			a.addPoint(e, line, i, d, t.s, -hd, w)
		}
	}
}

// continuity writes the continuous quantities at the break behind element e to c from its left and to c2 from its
// right, and where asked for their derivatives to dc and dc2. They are evaluated at the numbers next to the break, and
// so are the jets: where a conductivity changes fast, even that is a difference.
func (a *Assembler) continuity(e int, v *blocks.Solution, dc, dc2 []float64) {
	g := a.g
	x := g.Mesh.X[e+1]
	side := func(jet []float64, at float64) {
		copy(jet[g.jet:], g.Parameters(v))
		for i, u := range g.P.Unknowns {
			for d := g.jetAt[i]; d < g.jetAt[i]+u.Order; d++ {
				jet[d] += (at - x) * jet[d+1]
			}
		}
	}
	// What changes along the solution from x to its neighbours is taken back: it is at x that the sides agree.
	along := func(c, jet []float64, e int, dir, by float64) {
		for row, r := range a.rates(e, x, dir, jet) {
			if !math.IsNaN(r) && !math.IsInf(r, 0) {
				c[row] += r * by
			}
		}
	}
	jet := a.in
	a.point(e, v, 1, jet[:g.jet], g.bases[e].end)
	left := slices.Clone(jet[:g.jet])
	before := math.Nextafter(x, math.Inf(-1))
	side(jet, before)
	g.P.Continuity(before, jet, a.c, dc)
	along(a.c, left, e, -1, x-before)
	b := g.bases[e+1]
	_, h := g.element(e + 1)
	for i, u := range g.P.Unknowns {
		at := g.jetAt[i]
		copy(jet[at:], v.Z[e+1][g.stateAt[i]:g.stateAt[i]+u.Order])
		jet[at+u.Order] = blocks.Dot(b.start, v.U[e+1][i*b.k:(i+1)*b.k]) * math.Pow(h, float64(-u.Order))
	}
	right := slices.Clone(jet[:g.jet])
	behind := math.Nextafter(x, math.Inf(1))
	side(jet, behind)
	g.P.Continuity(behind, jet, a.c2, dc2)
	along(a.c2, right, e+1, 1, x-behind)
}

// rates returns the derivatives along the solution of the quantities that are continuous across a break at x, on its
// left (side -1, at the end of element e) or its right (1, at its beginning): a flux changes less than its factors do.
func (a *Assembler) rates(e int, x, side float64, jet []float64) []float64 {
	g := a.g
	J := g.jet + g.par
	const short = 1.0 / (1 << 26) // of the element: half the digits
	_, h := g.element(e)
	at := x + side*short*h
	in := append(slices.Clone(jet), a.in[g.jet:]...)
	out, c, dc := make([]float64, g.s), make([]float64, g.s), make([]float64, g.s*J)
	g.P.Continuity(at, in, out, nil)
	x = math.Nextafter(x, side*math.Inf(1))
	g.P.Continuity(x, in, c, dc)
	for row := range out {
		if (at-x)*side > 0 {
			out[row] = (out[row] - c[row]) / (at - x)
		} else {
			out[row] = 0
		}
		for i, u := range g.P.Unknowns {
			for d := range u.Order {
				k := g.jetAt[i] + d
				out[row] += dc[row*J+k] * jet[k+1]
			}
		}
	}
	return out
}

// runBreak writes the rows of a break point: the continuous quantities from both sides agree.
func (a *Assembler) runBreak(e int, v *blocks.Solution, sys *blocks.System, rhs, mat []float64) {
	g := a.g
	b := g.bases[e]
	_, h := g.element(e)
	S := g.s
	own := g.n * b.k
	width := own + 2*S + g.border()
	J := g.jet + g.par
	var dc, dc2 []float64
	if sys != nil {
		dc, dc2 = a.dc, a.dc2
	}
	a.continuity(e, v, dc, dc2)
	for row := range S {
		if sys != nil {
			big := 0.0
			for i, u := range g.P.Unknowns {
				hd := 1.0
				for d := range u.Order {
					big = max(big, max(math.Abs(a.dc[row*J+g.jetAt[i]+d]),
						math.Abs(a.dc2[row*J+g.jetAt[i]+d]))*hd)
					hd /= h
				}
			}
			a.scale[e][own+row] = blocks.PowerOfTwo(big)
		}
		sc := a.scale[e][own+row]
		rhs[row] = -(a.c2[row] - a.c[row]) * sc
		if math.IsNaN(rhs[row]) || math.IsInf(rhs[row], 0) {
			a.finite = false
			return
		}
		if sys == nil {
			continue
		}
		line := mat[row*width : (row+1)*width]
		for i, u := range g.P.Unknowns {
			for d := range u.Order {
				if c := a.dc2[row*J+g.jetAt[i]+d]; c != 0 {
					line[own+S+g.stateAt[i]+d] += c * sc
				}
				if c := a.dc[row*J+g.jetAt[i]+d]; c != 0 {
					a.addPoint(e, line, i, d, 1, -c*sc, b.end)
				}
			}
		}
		for q := range g.par {
			line[own+2*S+len(g.taps)+q] += (a.dc2[row*J+g.jet+q] - a.dc[row*J+g.jet+q]) * sc
		}
	}
}

// closingValue returns an entry of (z_0, z_E, q).
func (a *Assembler) closingValue(v *blocks.Solution, column int) float64 {
	switch s := a.g.s; {
	case column < s:
		return v.Z[0][column]
	case column < 2*s:
		return v.Z[len(v.Z)-1][column-s]
	default:
		return v.Q[column-2*s]
	}
}

// runConditions writes the closing rows.
func (a *Assembler) runConditions(v *blocks.Solution, sys *blocks.System, rhs []float64) {
	g := a.g
	S := g.s
	width := 2*S + g.border()
	par := g.Parameters(v)
	for r, c := range g.P.Conditions {
		a.gin = a.gin[:0]
		for _, pl := range g.where[r] {
			a.gin = append(a.gin, a.closingValue(v, pl.column))
		}
		a.gin = append(a.gin, par...)
		var dg []float64
		if sys != nil {
			a.gdg = append(a.gdg[:0], a.gin...)
			dg = a.gdg
		}
		val := c.Residual(a.gin, dg)
		rhs[r] = -val
		if math.IsNaN(val) || math.IsInf(val, 0) {
			a.finite = false
			return
		}
		if sys == nil {
			continue
		}
		line := sys.Closing()[r*width : (r+1)*width]
		for i, pl := range g.where[r] {
			line[pl.column] += dg[i]
		}
		for q := range par {
			line[2*S+len(g.taps)+q] += dg[len(g.where[r])+q]
		}
	}
}

// weightsAt returns, for each fold l, the l-fold integrals up to s of the Lagrange polynomials of the nodes.
func (b *basis) weightsAt(s float64, fold int) [][]float64 {
	// Through the Legendre coefficients of the Lagrange polynomials: column j of coef.
	out := make([][]float64, fold+1)
	for l := range out {
		out[l] = make([]float64, b.k)
	}
	most := b.k + fold
	p, room := make([]float64, most), [2][]float64{make([]float64, most), make([]float64, most)}
	legendreTo(p, s)
	for j := range b.k {
		series := room[0][:b.k]
		for i := range series {
			series[i] = b.coef[i*b.k+j]
		}
		for l := 0; l <= fold; l++ {
			if l > 0 {
				whole := room[l%2][:len(series)+1]
				clear(whole)
				integrateSeriesTo(whole, series, 1, 0)
				series = whole
			}
			out[l][j] = floats.Dot(series, p[:len(series)])
		}
	}
	return out
}
