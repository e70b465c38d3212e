package adapt

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// This file counts the waves of a problem before they are resolved: the equations, linearised and with their
// coefficients frozen at a point, have solutions exp(λ x), and the imaginary part of λ is the phase that they run
// through per length.

// frozen is a linearisation with room for one point.
type frozen struct {
	p       *bvp.Problem
	in      []float64
	f, df   []float64
	lead    *mat.Dense // derivatives by the highest derivatives
	lower   *mat.Dense // derivatives by the state
	matrix  *mat.Dense // of the equivalent system of first order
	leadAt  []int      // columns of the highest derivatives in a jet
	stateAt []int      // columns of the state

	last  []float64 // the derivatives at the point before, and their rates: often they are the same at the next one
	known rates
}

// rates are the largest imaginary part of λ, the smallest and the largest real part; 0 where there are none.
type rates struct{ frequency, least, most float64 }

func newFrozen(p *bvp.Problem) *frozen {
	n, S, J := len(p.Unknowns), p.State(), p.Jet()+len(p.Parameters)
	z := &frozen{p: p, in: make([]float64, J), f: make([]float64, n), df: make([]float64, n*J),
		lead: mat.NewDense(n, n, nil), lower: mat.NewDense(n, S, nil), matrix: mat.NewDense(S, S, nil)}
	for i, u := range p.Unknowns {
		at := p.JetOffset(i)
		for d := range u.Order {
			z.stateAt = append(z.stateAt, at+d)
		}
		z.leadAt = append(z.leadAt, at+u.Order)
	}
	return z
}

// rates returns the rates at x, where z.in holds the jet and the parameters.
func (z *frozen) rates(x float64) rates {
	z.p.Equations(x, z.in, z.f, z.df)
	if z.last == nil || !slices.Equal(z.df, z.last) {
		z.last = append(z.last[:0], z.df...)
		z.known = z.solve()
	}
	return z.known
}

// solve returns the rates of the derivatives at hand.
func (z *frozen) solve() (none rates) {
	n, J := len(z.p.Unknowns), len(z.in)
	for r := range n {
		for c, at := range z.leadAt {
			z.lead.Set(r, c, z.df[r*J+at])
		}
		for c, at := range z.stateAt {
			z.lower.Set(r, c, -z.df[r*J+at])
		}
	}
	for _, v := range z.df {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return none
		}
	}
	var lu blocks.LU
	lu.Factorize(z.lead)
	high, ok := lu.Solve(z.lower)
	if !ok || !lu.Regular() {
		return none // a singular point
	}
	z.matrix.Zero()
	row := 0
	for i, u := range z.p.Unknowns {
		for d := range u.Order {
			if d+1 < u.Order {
				z.matrix.Set(row, row+1, 1)
			} else {
				z.matrix.SetRow(row, high.RawRowView(i))
			}
			row++
		}
	}
	values, ok := blocks.Eigenvalues(z.matrix)
	if !ok {
		return none
	}
	out := rates{0, math.Inf(1), math.Inf(-1)}
	for _, v := range values {
		out.frequency = math.Max(out.frequency, imag(v))
		out.least, out.most = math.Min(out.least, real(v)), math.Max(out.most, real(v))
	}
	return out
}

// samplesWaves is the number of places in each stretch between breaks where the frequency is looked at.
const samplesWaves = 64

// part is one of equal parts of a stretch between breaks, with the rates in its middle.
type part struct {
	x0, x1 float64
	rates
}

// waves returns the number of waves in the part.
func (t part) waves() float64 { return (t.x1 - t.x0) * t.frequency / (2 * math.Pi) }

// parts returns the parts of every stretch of p, its equations linearised around the first guess.
func (o *Options) parts(p *bvp.Problem) []part {
	k := o.of(p)
	if k.parts == nil {
		k.parts = parts(p, nil)
	}
	return k.parts
}

// parts returns the parts of every stretch, the equations linearised around a curve; nil stands for the first guess.
func parts(p *bvp.Problem, c *collocation.Curve) []part {
	z := newFrozen(p)
	x := bvp.Divide(p.Stretches(), samplesWaves)
	out := make([]part, len(x)-1)
	J := p.Jet()
	for i, par := range p.Parameters {
		z.in[J+i] = 1
		if par.HasGuess {
			z.in[J+i] = par.Guess
		}
	}
	if c != nil {
		copy(z.in[J:], c.Grid().Parameters(c.V))
	}
	for i := range out {
		at := x[i] + (x[i+1]-x[i])/2
		if c != nil {
			c.At(at, z.in[:J])
		} else if p.Guess != nil {
			p.Guess(at, z.in[:J])
		}
		out[i] = part{x[i], x[i+1], z.rates(at)}
	}
	return out
}

// growthAhead returns for each element by about how much an error there may grow on the way to the other end, at least
// 1, from initial values at the left end (side 1) or the right one (−1).
func growthAhead(c *collocation.Curve, side int) []float64 {
	p, m := c.Grid().P, c.Grid().Mesh
	var x, logs []float64 // of each part, the logarithm of the growth
	for _, t := range parts(p, c) {
		rate := t.most
		if side < 0 {
			rate = -t.least
		}
		x, logs = append(x, (t.x0+t.x1)/2), append(logs, rate*(t.x1-t.x0))
	}
	// From the far end: what comes after either adds to the growth or takes nothing away from what there was before.
	for j := range logs {
		i, after := len(logs)-1-j, len(logs)-j
		if side < 0 {
			i, after = j, j-1
		}
		if after >= 0 && after < len(logs) {
			logs[i] += logs[after]
		}
		logs[i] = math.Max(0, logs[i])
	}
	out := make([]float64, len(m.Nodes))
	at := 0
	for e := range out {
		mid := (m.X[e] + m.X[e+1]) / 2
		for at+1 < len(x) && x[at+1] <= mid {
			at++
		}
		out[e] = math.Exp(math.Min(logs[at], 700))
	}
	return out
}

// waves returns the number of waves on the whole interval.
func (o *Options) waves(p *bvp.Problem) float64 {
	sum := 0.0
	for _, t := range o.parts(p) {
		sum += t.waves()
	}
	return sum
}

// spread returns a mesh for the first look: four elements in each stretch, and more where waves stand so close that
// they need them, at about the given number of waves in each.
func (o *Options) spread(p *bvp.Problem, each float64) []float64 {
	out := []float64{p.A}
	sum := 0.0
	for i, t := range o.parts(p) {
		w := t.waves()
		// The boundary belongs to the breaks and to the four quarters in any case.
		if parts := int(math.Min(w/each, mostElements/samplesWaves)); parts > 1 {
			for j := 1; j < parts; j++ {
				out = append(out, t.x0+(t.x1-t.x0)*float64(j)/float64(parts))
			}
			sum = each
		}
		sum += w
		if sum >= each || (i+1)%(samplesWaves/4) == 0 {
			out = append(out, t.x1)
			sum = 0
		}
	}
	return out
}
