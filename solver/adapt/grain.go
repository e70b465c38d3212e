package adapt

import (
	"math"

	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// loud is how far above the grain of an equation an indicator must be to mean that the solution is not resolved.
const loud = 10

// grain is what the spacing of numbers does to the equations: far from 0, and where a formula changes fast,
// neighbouring x give different values, and no mesh resolves that.
type grain struct {
	p              *bvp.Problem
	in, f0, f1, df []float64
	changed        []float64
}

func newGrain(p *bvp.Problem) *grain {
	n, J := len(p.Unknowns), p.Jet()+len(p.Parameters)
	return &grain{p: p, in: make([]float64, J), f0: make([]float64, n), f1: make([]float64, n),
		df: make([]float64, n*J), changed: make([]float64, n)}
}

// on returns the indicator (see tail) that the grain makes on element e of a curve.
func (z *grain) on(c *collocation.Curve, e int, scale []float64) float64 {
	g := c.Grid()
	J := len(z.in)
	x0, x1 := g.Mesh.X[e], g.Mesh.X[e+1]
	copy(z.in[z.p.Jet():], g.Parameters(c.V))
	clear(z.changed)
	for _, s := range []float64{0.21, 0.47, 0.83} { // not in step with anything periodic
		x := x0 + (x1-x0)*s
		c.In(e, x, z.in[:z.p.Jet()])
		z.p.Equations(x, z.in, z.f0, z.df)
		z.p.Equations(math.Nextafter(x, math.Inf(1)), z.in, z.f1, nil)
		for i, u := range z.p.Unknowns {
			at := z.p.JetOffset(i) + u.Order
			for r, v := range z.f1 {
				if lead := math.Abs(z.df[r*J+at]); lead > 0 {
					z.changed[i] = math.Max(z.changed[i], math.Abs(v-z.f0[r])/lead)
				}
			}
		}
	}
	t := tail(g, func(i int) []float64 {
		out := make([]float64, g.Mesh.Nodes[e])
		for n := range out {
			out[n] = z.changed[i]
		}
		return out
	}, x1-x0, scale)
	return indicator(t)
}

// worstGrain returns the largest indicator of the grain on any element.
func worstGrain(c *collocation.Curve) float64 {
	z, scale := newGrain(c.Grid().P), measures(c)
	worst := 0.0
	for e := range c.Grid().Elements() {
		worst = math.Max(worst, z.on(c, e, scale[e]))
	}
	return worst
}
