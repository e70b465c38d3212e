package collocation

import (
	"math"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
)

// Quadrature is a rule on an element: points, weights of sum 1, and whether some points are closer together than the
// nodes.
type Quadrature struct {
	X, W   []float64
	Narrow bool
}

// Defect writes to the rows of element e of rhs what its equations would have to change by for the curve c to be their
// solution: minus the residual of c, as the rule q sees it, projected to the polynomials through the element's nodes.
// Answering it by the linearised system gives what c lacks of the solution to first order, also where its residual lies
// between the nodes. ce is the element of c that holds this one. The assembler must have assembled. Points where the
// equations have no value are left out.
//
// Where the rule is narrow, the residual may hold what no polynomial of the element does. detail (J numbers, else zero)
// then receives what that changes in the jet on the element: the largest values of the integrals of the rest, which
// vanish at the element's end. noise, which a narrow rule needs and which may be nil else, holds how far each entry of
// the jet may be off by rounding: a residual that this explains counts as zero.
func (a *Assembler) Defect(c *Curve, ce, e int, q *Quadrature, noise, detail []float64, rhs *blocks.RHS) {
	g := a.g
	b := g.bases[e]
	x0, h := g.element(e)
	k, n := b.k, g.n
	copy(a.in[g.jet:], c.g.Parameters(c.V))
	N := len(q.X)
	if need := (n+1)*k + N*(g.jet+n*(n+1)); len(a.defect) < need {
		a.defect = make([]float64, 2*need)
	}
	left := a.defect
	cut := func(n int) (part []float64) {
		part, left = left[:n:n], left[n:]
		return part
	}
	coef, p, jets, points := cut(n*k), cut(k), cut(N*g.jet), cut(N*n*(n+1))
	clear(coef)
	clear(detail)
	c.AtAll(ce, q.X, jets)
	if len(a.four) < k {
		a.four = make([][4]float64, k)
	}
	four := a.four[:k] // the Legendre polynomials at four points
	for j, at := range q.X {
		copy(a.in, jets[j*g.jet:(j+1)*g.jet])
		if noise == nil {
			g.P.Equations(at, a.in, a.f, nil)
		} else {
			g.P.Equations(at, a.in, a.f, a.df)
			a.quieten(at, noise)
		}
		if q.Narrow {
			a.lead(points[j*n*(n+1):(j+1)*n*(n+1)], 4*q.W[j]*h)
		}
		if j%4 == 0 {
			s := func(i int) float64 { return (q.X[min(i, N-1)] - x0) / h }
			legendreFour(four, s(j), s(j+1), s(j+2), s(j+3))
		}
		for r, f := range a.f {
			if f = f * q.W[j]; math.IsNaN(f) || math.IsInf(f, 0) {
				continue
			}
			row := coef[r*k : (r+1)*k]
			for m := range four {
				row[m] += float64(2*m+1) * four[m][j%4] * f
			}
		}
	}
	for r := range n {
		rows := rhs.Element[e][r*k : (r+1)*k]
		blocks.DotRows(rows, b.legendre, k, coef[r*k:(r+1)*k])
		for node, v := range rows {
			rows[node] = -v * a.scale[e][r*k+node]
		}
	}
	if q.Narrow {
		a.detail(detail, q, points, coef, p, x0, h)
	}
}

// quieten sets the residuals at x to zero that rounding explains, where the entries of the jet are off by noise.
func (a *Assembler) quieten(x float64, noise []float64) {
	J := len(a.in)
	if a.own == nil {
		a.own, a.point1, a.off1 = make([]float64, len(a.f)), make([]float64, J+1), make([]float64, J+1)
	}
	clear(a.own)
	if a.g.P.Rounding != nil {
		copy(a.point1, a.in)
		copy(a.off1, noise)
		a.point1[J], a.off1[J] = x, halfUnit*math.Abs(x)
		a.g.P.Rounding(a.point1, a.off1, a.own, nil)
	}
	for r, f := range a.f {
		size := 0.0
		for i, v := range noise {
			size += math.Abs(a.df[r*J+i]) * v
		}
		const sure = 2 // the bound is of the size of several independent errors together
		if math.Abs(f) <= max(size, sure*a.own[r]) {
			a.f[r] = 0
		}
	}
}

// lead writes the derivatives of the equations by the highest entries of the jet, and the residuals, row by row. They
// are enlarged to what the lower entries weigh on changes over the given length: in eps y” + y' = f it is y' that
// answers unless the length is below eps.
func (a *Assembler) lead(m []float64, length float64) {
	g := a.g
	J, w := len(a.in), g.n+1
	for r, f := range a.f {
		top, all := 0.0, 0.0
		for i, u := range g.P.Unknowns {
			scale := 1.0
			for d := u.Order; d >= 0; d-- {
				v := math.Abs(a.df[r*J+g.jetAt[i]+d]) * scale
				all = max(all, v)
				if d == u.Order {
					top = max(top, v)
				}
				scale *= length
			}
		}
		grow := 1.0
		if top > 0 {
			grow = all / top
		}
		for i, u := range g.P.Unknowns {
			m[r*w+i] = a.df[r*J+g.jetAt[i]+u.Order] * grow
		}
		m[r*w+g.n] = f
	}
}

// detail writes to out the largest values of the repeated integrals of what the projection leaves of the residual, as
// changes of the highest derivatives.
func (a *Assembler) detail(out []float64, q *Quadrature, points, coef, p []float64, x0, h float64) {
	g := a.g
	n, k := g.n, len(p)
	running := a.jets[:g.jet] // the integrals up to the point
	clear(running)
	for j, x := range q.X {
		m := points[j*n*(n+1) : (j+1)*n*(n+1)]
		legendreTo(p, (x-x0)/h)
		for r := range n {
			m[r*(n+1)+n] -= blocks.Dot(p, coef[r*k:(r+1)*k])
		}
		Eliminate(m, n)
		step := q.W[j] * h
		for i, u := range g.P.Unknowns {
			at := g.jetAt[i]
			up := m[i*(n+1)+n]
			if math.IsNaN(up) || math.IsInf(up, 0) {
				up = 0
			}
			out[at+u.Order] = max(out[at+u.Order], math.Abs(up))
			for d := u.Order - 1; d >= 0; d-- {
				old := running[at+d]
				running[at+d] += step * up
				out[at+d] = max(out[at+d], math.Abs(running[at+d]))
				up = (old + running[at+d]) / 2
			}
		}
	}
}

// Eliminate solves n equations whose rows of n + 1 numbers end with the right side, which becomes the solution (Gauss
// and Jordan, with row exchanges). What is not determined becomes infinite or NaN.
func Eliminate(m []float64, n int) {
	w := n + 1
	for i := range n {
		p := i
		for r := i + 1; r < n; r++ {
			if math.Abs(m[r*w+i]) > math.Abs(m[p*w+i]) {
				p = r
			}
		}
		for j := range w {
			m[i*w+j], m[p*w+j] = m[p*w+j], m[i*w+j]
		}
		over := 1 / m[i*w+i]
		for j := range w {
			m[i*w+j] *= over
		}
		for r := range n {
			if f := m[r*w+i]; r != i && f != 0 {
				for j := range w {
					m[r*w+j] -= f * m[i*w+j]
				}
			}
		}
	}
}

// Enclose bounds the jet of element el on a stretch a…b of it: each entry with its derivative, from the values in the
// middle and a bound of the derivative of the highest one on the whole element.
func (c *Curve) Enclose(el int, a, b float64, jet []bvp.Enclosure) {
	g := c.g
	mid, half := a+(b-a)/2, (b-a)/2
	var store [64]float64
	values := store[:]
	if g.jet > len(values) {
		values = make([]float64, g.jet)
	}
	c.In(el, mid, values[:g.jet])
	_, h := g.element(el)
	for i, u := range g.P.Unknowns {
		at := g.jetAt[i] + u.Order
		steep := 0.0
		for n, v := range c.Series(el, at) {
			steep += math.Abs(v) * float64(n*(n+1)) / h // |P_n'| ≤ n (n + 1)/2, and t = 2s − 1
		}
		lo, hi := -steep, steep
		for ; at >= g.jetAt[i]; at-- {
			v := values[at]
			r := half * max(math.Abs(lo), math.Abs(hi))
			jet[at] = bvp.Enclosure{Lo: v - r, Hi: v + r, SlopeLo: lo, SlopeHi: hi, Mid: v}
			lo, hi = v-r, v+r
		}
	}
}
