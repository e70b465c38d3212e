package adapt

import (
	"math"

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
}

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

// rates returns the largest imaginary part of λ at x, the smallest and the largest real part, where z.in holds the jet
// and the parameters; 0 where there are none.
func (z *frozen) rates(x float64) (frequency, least, most float64) {
	n, J := len(z.p.Unknowns), len(z.in)
	z.p.Equations(x, z.in, z.f, z.df)
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
			return 0, 0, 0
		}
	}
	var lu blocks.LU
	lu.Factorize(z.lead)
	high, ok := lu.Solve(z.lower)
	if !ok || !lu.Regular() {
		return 0, 0, 0 // a singular point
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
		return 0, 0, 0
	}
	least, most = math.Inf(1), math.Inf(-1)
	for _, v := range values {
		frequency = math.Max(frequency, imag(v))
		least, most = math.Min(least, real(v)), math.Max(most, real(v))
	}
	return frequency, least, most
}

// samplesWaves is the number of places in each stretch between breaks where the frequency is looked at.
const samplesWaves = 64

// alongParts calls visit for each of equal parts of every stretch, with the rates in its middle, of the equations
// linearised around a curve; nil stands for the first guess.
func alongParts(p *bvp.Problem, c *collocation.Curve, visit func(x0, x1, frequency, least, most float64)) {
	z := newFrozen(p)
	x := bvp.Divide(p.Stretches(), samplesWaves)
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
	for i := range len(x) - 1 {
		at := x[i] + (x[i+1]-x[i])/2
		if c != nil {
			c.At(at, z.in[:J])
		} else if p.Guess != nil {
			p.Guess(at, z.in[:J])
		}
		frequency, least, most := z.rates(at)
		visit(x[i], x[i+1], frequency, least, most)
	}
}

// turns returns points that cut every stretch into equal parts, and for each part the number of waves in it.
func turns(p *bvp.Problem, c *collocation.Curve) (x, waves []float64) {
	x = []float64{p.A}
	alongParts(p, c, func(x0, x1, frequency, _, _ float64) {
		x, waves = append(x, x1), append(waves, (x1-x0)*frequency/(2*math.Pi))
	})
	return x, waves
}

// growthAhead returns for each element by about how much an error there may grow on the way to the other end, at least
// 1, from initial values at the left end (side 1) or the right one (−1).
func growthAhead(c *collocation.Curve, side int) []float64 {
	p, m := c.Grid().P, c.Grid().Mesh
	var x, logs []float64 // of each part, the logarithm of the growth
	alongParts(p, c, func(x0, x1, _, least, most float64) {
		rate := most
		if side < 0 {
			rate = -least
		}
		x, logs = append(x, (x0+x1)/2), append(logs, rate*(x1-x0))
	})
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

// wavesOf returns the number of waves on the whole interval.
func wavesOf(p *bvp.Problem, c *collocation.Curve) float64 {
	_, waves := turns(p, c)
	sum := 0.0
	for _, w := range waves {
		sum += w
	}
	return sum
}

// spread returns a mesh for the first look: four elements in each stretch, and more where waves stand so close that
// they need them, at about the given number of waves in each.
func spread(p *bvp.Problem, each float64) []float64 {
	x, waves := turns(p, nil)
	out := []float64{p.A}
	sum := 0.0
	for i, w := range waves {
		// The boundary belongs to the breaks and to the four quarters in any case.
		if parts := int(math.Min(w/each, mostElements/samplesWaves)); parts > 1 {
			for j := 1; j < parts; j++ {
				out = append(out, x[i]+(x[i+1]-x[i])*float64(j)/float64(parts))
			}
			sum = each
		}
		sum += w
		if sum >= each || (i+1)%(samplesWaves/4) == 0 {
			out = append(out, x[i+1])
			sum = 0
		}
	}
	return out
}
