package collocation

import (
	"math"

	"nodespan/solver/blocks"
)

// Curve is a discrete solution read back as a function: on each element a Legendre series for each entry of the jet.
type Curve struct {
	g *Grid
	// series[e][entry] holds the Legendre coefficients of the jet's entry on element e.
	series [][][]float64
	V      *blocks.Solution
}

// Curve reads a vector back as a function.
func (g *Grid) Curve(v *blocks.Solution) *Curve {
	c := &Curve{g: g, V: v, series: make([][][]float64, g.Elements())}
	// One store for all coefficients and one for the slices: a mesh may have a hundred thousand elements.
	total := 0
	for _, b := range g.bases {
		for _, u := range g.P.Unknowns {
			total += (u.Order+1)*b.k + u.Order*(u.Order+1)/2
		}
	}
	store := make([]float64, total)
	entries := make([][]float64, g.Elements()*g.jet)
	cut := func(n int) []float64 {
		part := store[:n:n]
		store = store[n:]
		return part
	}
	for e, b := range g.bases {
		_, h := g.element(e)
		k := b.k
		c.series[e] = entries[e*g.jet : (e+1)*g.jet]
		for i, u := range g.P.Unknowns {
			m := u.Order
			uu := v.U[e][i*k : (i+1)*k]
			top := cut(k)
			scale := math.Pow(h, float64(-m))
			blocks.DotRows(top, b.coef, k, uu)
			for r := range top {
				top[r] *= scale
			}
			c.series[e][g.jetAt[i]+m] = top
			for d := m - 1; d >= 0; d-- {
				up := c.series[e][g.jetAt[i]+d+1]
				low := cut(len(up) + 1)
				integrateSeriesTo(low, up, h, v.Z[e][g.stateAt[i]+d])
				c.series[e][g.jetAt[i]+d] = low
			}
		}
	}
	return c
}

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
	for i, series := range c.series[e] {
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
		for i, series := range c.series[e] {
			var s0, s1, s2, s3 float64
			q := p[:len(series)]
			for n := len(series) - 1; n >= 0; n-- {
				v, at := series[n], &q[n]
				s0 += v * at[0]
				s1 += v * at[1]
				s2 += v * at[2]
				s3 += v * at[3]
			}
			jets[i], jets[J+i], jets[2*J+i], jets[3*J+i] = s0, s1, s2, s3
		}
	}
	for j, v := range x {
		c.In(e, v, jets[j*J:(j+1)*J])
	}
}

// Series returns the Legendre coefficients of the jet's entry on element e; not to be changed.
func (c *Curve) Series(e, entry int) []float64 { return c.series[e][entry] }

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
