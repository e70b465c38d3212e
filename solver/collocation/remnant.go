package collocation

import (
	"math"

	"nodespan/solver/blocks"
)

// longer is how many times longer than a neighbour an element must be to count as long.
const longer = 4

// Gauss's rule with three points on (0, 1).
var (
	gaussPoints  = [3]float64{0.5 - 0.3872983346207417, 0.5, 0.5 + 0.3872983346207417}
	gaussWeights = [3]float64{5.0 / 18, 8.0 / 18, 5.0 / 18}
)

// Remnants writes to rhs what a solution leaves of its equations near the ends of long elements, next to much shorter
// ones, where its own nodes hardly look: the tail of a layer, say. The residual is integrated over stretches that grow
// from the short neighbour's half to half the element, and its mean over the element stands in the rows of all its
// nodes; the answer of the linearised problem is what the tail does to the solution. It reports whether there are such
// elements, with finite residuals.
func (a *Assembler) Remnants(c *Curve, rhs *blocks.RHS) bool {
	g := a.g
	some := false
	clear(rhs.Closing)
	copy(a.in[g.jet:], g.Parameters(c.V))
	mean := make([]float64, g.n)
	for e, k := range g.Mesh.Nodes {
		clear(rhs.Element[e])
		clear(mean)
		x0, h := g.element(e)
		if e > 0 {
			a.addRemnant(c, e, x0, 1, g.Mesh.X[e]-g.Mesh.X[e-1], mean)
		}
		if e+1 < g.Elements() {
			a.addRemnant(c, e, x0+h, -1, g.Mesh.X[e+2]-g.Mesh.X[e+1], mean)
		}
		for r, v := range mean {
			if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
				continue
			}
			some = true
			for node := range k {
				rhs.Element[e][r*k+node] = -v / h * a.scale[e][r*k+node]
			}
		}
	}
	return some
}

// addRemnant adds the integrals of the residuals of element e from its end at x in the given direction over half of it,
// if the neighbour there is short.
func (a *Assembler) addRemnant(c *Curve, e int, x, direction, neighbour float64, sum []float64) {
	g := a.g
	_, h := g.element(e)
	if longer*neighbour > h {
		return
	}
	for from, to := 0.0, neighbour/2; from < h/2; from, to = to, 2*to {
		to = min(to, h/2)
		for i, s := range gaussPoints {
			at := x + direction*(from+(to-from)*s)
			c.In(e, at, a.in[:g.jet])
			g.P.Equations(at, a.in, a.f, nil)
			for r, f := range a.f {
				sum[r] += f * gaussWeights[i] * (to - from)
			}
		}
	}
}
