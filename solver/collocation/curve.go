package collocation

import (
	"math"

	"nodespan/solver/blocks"
)

// Curve is a discrete solution read back as a function: on each element a Legendre series for each entry of the jet.
type Curve struct {
	g *Grid
	// series holds, for each element and each entry of the jet, the Legendre coefficients of that entry there.
	series [][]float64
	V      *blocks.Solution
}

// Curve reads a vector back as a function.
func (g *Grid) Curve(v *blocks.Solution) *Curve {
	// One store for all coefficients and one for the slices: a mesh may have a hundred thousand elements.
	c := &Curve{g: g, V: v, series: make([][]float64, g.Elements()*g.jet)}
	total := 0
	for _, b := range g.bases {
		total += g.coefficients(b)
	}
	store := make([]float64, total)
	for e := range g.bases {
		store = g.read(e, v, c.on(e), store)
	}
	return c
}

// coefficients returns the number of Legendre coefficients on an element.
func (g *Grid) coefficients(b *basis) int {
	n := 0
	for _, u := range g.P.Unknowns {
		n += (u.Order+1)*b.k + u.Order*(u.Order+1)/2
	}
	return n
}

// read sets the Legendre coefficients of the jet on element e, in a store of zeros, and returns what is left of that.
func (g *Grid) read(e int, v *blocks.Solution, series [][]float64, store []float64) (left []float64) {
	cut := func(n int) (part []float64) {
		part, store = store[:n:n], store[n:]
		return part
	}
	b := g.bases[e]
	_, h := g.element(e)
	k := b.k
	for i, u := range g.P.Unknowns {
		m := u.Order
		uu := v.U[e][i*k : (i+1)*k]
		top := cut(k)
		scale := math.Pow(h, float64(-m))
		blocks.DotRows(top, b.coef, k, uu)
		for r := range top {
			top[r] *= scale
		}
		series[g.jetAt[i]+m] = top
		for d := m - 1; d >= 0; d-- {
			up := series[g.jetAt[i]+d+1]
			low := cut(len(up) + 1)
			integrateSeriesTo(low, up, h, v.Z[e][g.stateAt[i]+d])
			series[g.jetAt[i]+d] = low
		}
	}
	return store
}

// on returns the series on element e.
func (c *Curve) on(e int) [][]float64 { return c.series[e*c.g.jet : (e+1)*c.g.jet] }

// Grid returns the grid of the curve.
func (c *Curve) Grid() *Grid { return c.g }

// At writes the jet at x. At a mesh point the element on its left counts.
func (c *Curve) At(x float64, jet []float64) { c.In(c.g.Find(x), x, jet) }

// In writes the jet at x as element e has it.
func (c *Curve) In(e int, x float64, jet []float64) {
	a, h := c.g.element(e)
	s := (x - a) / h
	var store [64]float64
	p := store[:]
	if n := c.g.Mesh.Nodes[e] + c.g.maxOrder; n > len(p) {
		p = make([]float64, n)
	}
	legendreTo(p[:c.g.Mesh.Nodes[e]+c.g.maxOrder], s)
	for i, series := range c.on(e) {
		sum := 0.0
		for n := len(series) - 1; n >= 0; n-- { // the small ones first, so that little is lost
			sum += series[n] * p[n]
		}
		jet[i] = sum
	}
}

// AtAll writes the jets at several points of element e, one behind the other: what In says of each. Four points are
// summed side by side, which takes a third of the time.
func (c *Curve) AtAll(e int, x, jets []float64) {
	a, h := c.g.element(e)
	var store [48][4]float64
	p := store[:]
	n := c.g.Mesh.Nodes[e] + c.g.maxOrder
	if n > len(p) {
		p = make([][4]float64, n)
	}
	p = p[:n]
	J := c.g.jet
	for ; len(x) >= 4; x, jets = x[4:], jets[4*J:] {
		legendreFour(p, (x[0]-a)/h, (x[1]-a)/h, (x[2]-a)/h, (x[3]-a)/h)
		for i, series := range c.on(e) {
			jets[i], jets[J+i], jets[2*J+i], jets[3*J+i] = sumFour(series, p)
		}
	}
	for j, v := range x {
		c.In(e, v, jets[j*J:(j+1)*J])
	}
}

// sumFour sums a Legendre series at four points.
func sumFour(series []float64, p [][4]float64) (s0, s1, s2, s3 float64) {
	q := p[:len(series)]
	for n := len(series) - 1; n >= 0; n-- {
		v, at := series[n], &q[n]
		s0 += v * at[0]
		s1 += v * at[1]
		s2 += v * at[2]
		s3 += v * at[3]
	}
	return s0, s1, s2, s3
}

// Sampler reads several vectors of a grid at the same points, as their curves would.
type Sampler struct {
	g              *Grid
	e, count, each int          // the element, the number of points, of Legendre polynomials at each
	p              [][4]float64 // these, at four points after four
	series         [][]float64  // of one vector
	store          []float64
}

// NewSampler returns a sampler of the grid's vectors.
func (g *Grid) NewSampler() *Sampler {
	most := 0
	for _, b := range g.bases {
		most = max(most, g.coefficients(b))
	}
	return &Sampler{g: g, series: make([][]float64, g.jet), store: make([]float64, most)}
}

// Place chooses the points, on element e.
func (s *Sampler) Place(e int, x []float64) {
	a, h := s.g.element(e)
	s.e, s.count, s.each = e, len(x), s.g.Mesh.Nodes[e]+s.g.maxOrder
	if need := (len(x) + 3) / 4 * s.each; cap(s.p) < need {
		s.p = make([][4]float64, need)
	}
	s.p = s.p[:cap(s.p)]
	at := func(j int) float64 { return (x[min(j, len(x)-1)] - a) / h }
	for j, p := 0, s.p; j < len(x); j, p = j+4, p[s.each:] {
		legendreFour(p[:s.each], at(j), at(j+1), at(j+2), at(j+3))
	}
}

// Jets writes the jets of a vector at the points, one behind the other.
func (s *Sampler) Jets(v *blocks.Solution, jets []float64) {
	clear(s.store)
	s.g.read(s.e, v, s.series, s.store)
	J := s.g.jet
	for j, p := 0, s.p; j < s.count; j, p = j+4, p[s.each:] {
		for i, series := range s.series {
			s0, s1, s2, s3 := sumFour(series, p)
			to := jets[j*J+i:]
			switch to[0] = s0; min(4, s.count-j) {
			case 4:
				to[3*J] = s3
				fallthrough
			case 3:
				to[2*J] = s2
				fallthrough
			case 2:
				to[J] = s1
			}
		}
	}
}

// Series returns the Legendre coefficients of the jet's entry on element e; not to be changed.
func (c *Curve) Series(e, entry int) []float64 { return c.series[e*c.g.jet+entry] }

// Points returns the mesh points and the collocation nodes, ascending.
func (c *Curve) Points(withNodes bool) []float64 {
	var out []float64
	for e := range c.g.bases {
		a, h := c.g.element(e)
		out = append(out, a)
		if withNodes {
			for _, s := range c.g.bases[e].s {
				out = append(out, a+h*s)
			}
		}
	}
	return append(out, c.g.Mesh.X[len(c.g.Mesh.X)-1])
}
