package differences

import (
	"math"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
	"nodespan/solver/newton"
)

// What meshes of other widths tell of the error is true in the asymptotic range alone: where the difference
// equations have come near the differential ones, and the differences of solutions fall as their order says. This
// file asks for three signs of it, since none sees everything.
//
//   - The differences between neighbouring meshes fall.
//   - The linearised equations answer one and the same change of the data alike on the two finer meshes, and so
//     does one step of inverse iteration, which brings out the solution that is nearest to meeting them without
//     data. Near resonance, meshes whose width squared is far above the distance to it all settle at the same
//     wrong amplitude, while these answers still grow with every mesh.
//   - The equations hold between the mesh points too: their residual at places that no mesh shares, taken for
//     data, must not ask for a larger correction than the estimate allows. An oscillation that all meshes mistake
//     for a slower one is seen there.
//
// What lies between all these places is seen where the problem tells of its formulas: none of them may bend on a
// scale below the mesh width.

// mostBend is by how much a formula of x alone may bend within a mesh interval, relative to its range: the change
// of its slope times the width. A sine's bend by that much on eight intervals a wave.
const mostBend = 1.0

// narrow looks for a place where a formula of x alone bends on a scale below the mesh width. What is unbounded
// there says nothing.
func (g *grid) narrow() (float64, bool) {
	f := g.p.Formulas
	if f == nil {
		return 0, false
	}
	n := len(f.Moving)
	lo, hi, bend, at := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		lo[i], hi[i] = math.Inf(1), math.Inf(-1)
	}
	out := make([]bvp.Enclosure, n)
	for _, s := range g.stretches {
		for k := range s.n {
			a, b := s.at(float64(k)), s.at(float64(k+1))
			f.Enclose(a, b, nil, out)
			for i, e := range out {
				change := (e.SlopeHi - e.SlopeLo) * s.h
				if f.Moving[i] || !bvp.Finite(e.Lo) || !bvp.Finite(e.Hi) || !bvp.Finite(change) {
					continue
				}
				lo[i], hi[i] = math.Min(lo[i], e.Lo), math.Max(hi[i], e.Hi)
				if change > bend[i] {
					bend[i], at[i] = change, a+(b-a)/2
				}
			}
		}
	}
	for i := range n {
		if bend[i] > 0 && bend[i] > mostBend*(hi[i]-lo[i]) {
			return at[i], true
		}
	}
	return 0, false
}

// mostChange is how much of itself an answer of the linearised equations may change by over one doubling: near
// resonance this bounds the change of the distance to it, to half of it.
const mostChange = 0.25

// spoiled is how far above the estimate of rounding a difference may still be rounding: Newton's iteration ends
// there (settled).
const spoiled = 10

// doubtful returns why the three solutions, with the differences d1 and d2 of neighbouring ones, say nothing about
// the error; empty when they do. Rounding of the finest is not held against them.
func (w *work) doubtful(three [3]*discrete, d1, d2 *difference) Cause {
	g := three[2].g
	e := &Estimate{stretches: g.stretches, scale: d2.scale, Parameters: make([]float64, g.par)}
	e.addRounding(three[2])
	entry := 0
	for _, u := range three[0].g.p.Unknowns {
		for d := 0; d <= u.Order; d++ {
			if d < u.Order && d2.most[entry] > spoiled*e.edge[entry] &&
				!(d1.most[entry] >= leastFalling*d2.most[entry]) {
				return Cause{Kind: Unsettled}
			}
			entry++
		}
	}
	least := math.Inf(1)
	for _, d := range three {
		least = math.Min(least, d.sys.Condition())
	}
	if least > newton.SingularCondition {
		return Cause{Kind: SingularEquations}
	}
	if c := w.below(three[2]); c.Kind != None {
		return c
	}
	coarse, fine := three[1], three[2]
	sizes := fine.sizes()
	a, b := coarse.answerTo(sizes), fine.answerTo(sizes)
	for range 2 {
		d := compare(&Curve{coarse.g, a}, &Curve{fine.g, b})
		for i := range coarse.g.p.Unknowns {
			at := coarse.g.jetAt[i]
			if !(d.most[at] <= mostChange*d.scale[at]) {
				return Cause{Kind: Resonant}
			}
		}
		a, b = coarse.inverse(a), fine.inverse(b)
	}
	return Cause{}
}

// admitRounding raises the estimate of rounding of the finest solution to its difference from the one before, where
// that may be rounding: such a difference does not fall any more, and a part of it would be too little.
func (e *Estimate) admitRounding(d *difference) {
	for k, v := range d.most {
		if v <= spoiled*e.edge[k] {
			e.floor[k], e.edge[k] = math.Max(e.floor[k], safety*v), math.Max(e.edge[k], safety*v)
		}
	}
}

// sizes returns the largest size of the terms of each equation, then of each condition.
func (d *discrete) sizes() []float64 {
	g, a := d.g, d.asm
	sizes := make([]float64, g.n+len(g.p.Conditions))
	for i := range g.sites {
		s := &g.sites[i]
		for k, r := range s.shape.eqs {
			sizes[r] = math.Max(sizes[r], a.data[s.element][s.row+k]/a.scale[s.element][s.row+k])
		}
	}
	copy(sizes[g.n:], a.data[len(g.rows)])
	most := 0.0
	for _, v := range sizes[:g.n] {
		most = math.Max(most, v)
	}
	for r := range g.n { // an equation whose terms all vanish is disturbed like another
		if sizes[r] == 0 {
			sizes[r] = most
		}
		if most == 0 {
			sizes[r] = 1
		}
	}
	return sizes
}

// withData solves the linearised equations for data of the equations, data(r, x, site), and the conditions.
func (d *discrete) withData(data func(r int, s *site) float64, condition func(r int) float64) *vector {
	g := d.g
	rhs := d.sys.NewRHS()
	for i := range g.sites {
		s := &g.sites[i]
		for k, r := range s.shape.eqs {
			rhs.Element[s.element][s.row+k] = data(r, s) * d.asm.scale[s.element][s.row+k]
		}
	}
	if condition != nil {
		fillClosing(rhs, condition)
	}
	v := g.newVector()
	d.sys.SolveTo(v.blocks, rhs)
	return v
}

func fillClosing(rhs *blocks.RHS, condition func(r int) float64) {
	for r := range rhs.Closing {
		rhs.Closing[r] = condition(r)
	}
}

// answerTo returns the answer to smooth data of the given sizes, the same on every mesh and without any symmetry.
func (d *discrete) answerTo(sizes []float64) *vector {
	g := d.g
	n, length := g.n, g.p.B-g.p.A
	return d.withData(func(r int, s *site) float64 {
		t := (g.stretches[s.stretch].at(float64(s.twice)/2) - g.p.A) / length
		return sizes[r] * (math.Cos(1.7*float64(r+1)*t+0.3) + 0.5*math.Sin(7.3*t+float64(r)))
	}, func(r int) float64 { return sizes[n+r] * math.Cos(2.3*float64(r)+0.4) })
}

// inverse returns the answer to v taken for the data of the equations: one step of inverse iteration.
func (d *discrete) inverse(v *vector) *vector {
	g := d.g
	most := bvp.Largest(v.y)
	return d.withData(func(r int, s *site) float64 {
		point := g.stretches[s.stretch].first + s.twice/2
		sten := &s.shape.stencils[g.jetAt[r]]
		value, _ := sten.apply(v.y, point, g.n, r, 0)
		return value / math.Max(most, math.SmallestNonzeroFloat64)
	}, nil)
}

// betweenPoints raises the estimate of a solution where the residual between the mesh points asks for a larger
// correction.
func (e *Estimate) betweenPoints(d *discrete) {
	g := d.g
	J := g.jet + g.par
	in, f := make([]float64, J), make([]float64, g.n)
	c := &Curve{d.g, d.v}
	r := c.reader()
	count := 0
	v := d.withData(func(row int, s *site) float64 {
		// Sixteen places between mesh points in turn, by the golden ratio.
		count++
		_, offset := math.Modf(float64(count%16) * math.Phi)
		st := g.stretches[s.stretch]
		t := math.Min(math.Max(float64(s.twice)/2+0.9*(offset-0.5), 0), float64(st.n))
		r.at(s.stretch, t, in[:g.jet])
		copy(in[g.jet:], c.Parameters())
		g.p.Equations(st.at(t), in, f, nil)
		return f[row]
	}, nil)
	most := make([]float64, g.jet)
	jet := make([]float64, g.jet)
	r = (&Curve{g, v}).reader()
	for i, s := range g.stretches {
		stride := max(1, s.n/1000)
		for k := 0; k <= s.n; k += stride {
			r.at(i, float64(k), jet)
			for j, x := range jet {
				if !(math.Abs(x) <= most[j]) {
					most[j] = math.Abs(x)
				}
			}
		}
	}
	entry := 0
	for _, u := range g.p.Unknowns {
		for k := 0; k <= u.Order; k++ {
			if k < u.Order {
				e.raise(entry, most[entry])
			}
			entry++
		}
	}
	for i, q := range g.parameters(v) {
		e.Parameters[i] = math.Max(e.Parameters[i], math.Abs(q))
	}
}

// raise makes the largest error of an entry at least v, beyond what rounding explains; where the error is large it
// stays large.
func (e *Estimate) raise(entry int, v float64) {
	most := 0.0
	for _, l := range e.local {
		for _, c := range l {
			most = math.Max(most, c[entry])
		}
	}
	if v <= most+e.edge[entry] {
		return
	}
	for _, l := range e.local {
		for _, c := range l {
			if most > 0 {
				c[entry] *= v / most
			} else {
				c[entry] = v
			}
		}
	}
}
