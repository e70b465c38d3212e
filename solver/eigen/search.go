package eigen

import (
	"fmt"
	"math"
	"slices"

	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
	"nodespan/solver/nodes"
)

// rung is a dense discretisation: one polynomial (one between breaks), or uniform pieces, which for the same number of
// nodes see finer detail amid the interval.
type rung struct{ nodes, pieces int }

var rungs = []rung{{20, 1}, {28, 1}, {40, 1}, {56, 1}, {80, 1}, {112, 1}, {160, 1}, {224, 1}, {240, 15}, {352, 22}}

// mostEquispaced is how many equispaced nodes an element has: more make the equations singular to within rounding.
const mostEquispaced = 10

// mostFailures is how many discretisations may be singular, or agree on nothing with the one before, until no more are
// tried.
const mostFailures = 5

// search is one run.
type search struct {
	original *bvp.Problem
	p        *bvp.Problem // with w = λ^q in the place of λ, when only that power occurs
	o        Options
	dep      dependence
	unit     float64
}

func (s *search) mesh(r rung) collocation.Mesh {
	x := append(append([]float64{s.p.A}, s.p.Breaks...), s.p.B)
	if r.pieces > 1 {
		var fine []float64
		for i := range len(x) - 1 {
			n := max(1, int(math.Round(float64(r.pieces)*(x[i+1]-x[i])/(s.p.B-s.p.A))))
			for j := range n {
				fine = append(fine, x[i]+(x[i+1]-x[i])*float64(j)/float64(n))
			}
		}
		return collocation.Uniform(append(fine, s.p.B), r.nodes/r.pieces, s.o.Family)
	}
	k := r.nodes
	return collocation.Uniform(x, max(8, k/int(math.Ceil(math.Sqrt(float64(len(x)-1))))), s.o.Family)
}

func (s *search) pencil(r rung) *pencil {
	centre := 0.0
	if q := s.p.Parameters[0]; q.HasGuess {
		centre = q.Guess / s.unit
	}
	// Any shift serves that is not an eigenvalue itself; a negative one is rarely near one.
	for _, shift := range []float64{-0.3173, -0.7391, 0.4177, -2.917, 3.731, -31.7, 53.9} {
		if pc, ok := newPencil(s.p, s.mesh(r), s.dep.degree, s.unit, centre+shift); ok {
			return pc
		}
	}
	return nil
}

func (s *search) run() *Answer {
	s.unit = naturalUnit(s.p)
	c := &climb{search: s, best: &Answer{Message: "no eigenvalue was found"}, lacking: math.Inf(1)}
	for i, r := range rungs {
		if s.o.Family == nodes.Equispaced {
			r.pieces = max(r.pieces, (r.nodes+mostEquispaced-1)/mostEquispaced)
		}
		if budget.Over(s.o.Context) {
			c.best.Message = budget.Reason(s.o.Context)
			break
		}
		if r.nodes < s.o.Count+8 && i+2 < len(rungs) {
			continue
		}
		if s.o.Progress != nil {
			s.o.Progress(fmt.Sprintf("eigenvalues of the discretisation with %d nodes", r.nodes))
		}
		if c.step(r) {
			break
		}
	}
	c.best.Work = c.work
	return c.best
}

// climb is a search on its way up the rungs.
type climb struct {
	*search
	best     *Answer
	coarse   []complex128 // eigenvalues of the rung before
	have     bool         // there are such
	work     float64
	failures int     // rungs with no eigenvalue in common with the one before
	lacking  float64 // the error of the last answer that only lacked accuracy
}

// step tries one rung, and reports whether the search ends with it.
func (c *climb) step(r rung) (done bool) {
	pc := c.pencil(r)
	if pc == nil {
		c.best.Message = fmt.Sprintf("the equations are singular for every value of %s that was tried: the "+
			"conditions do not hold the solution, or an equation cannot be evaluated", c.p.Parameters[0].Name)
		c.have = false
		c.failures++
		return c.failures > mostFailures
	}
	cube := math.Pow(float64(pc.grid.Unknowns()*max(1, c.dep.degree)), 3)
	c.work += cube
	budget.Spend(c.o.Context, eigenWork*cube)
	fine, ok := pc.values()
	if !ok {
		c.have = false
		return false
	}
	before, have := c.coarse, c.have
	if c.coarse, c.have = fine, true; !have {
		return false
	}
	pairs, alone := match(before, fine, c.unit)
	c.dropPowers(pairs)
	chosen, ok := c.choose(pairs, alone, r.nodes)
	if !ok {
		return c.unresolved(pairs, len(chosen.reals), r.nodes)
	}
	return c.polished(c.polish(pc, r, chosen))
}

// dropPowers takes the negative ones out of the real eigenvalues λ^q of an even q: their λ are not real.
func (c *climb) dropPowers(pairs []matched) {
	if c.dep.power == 0 || c.dep.power%2 != 0 {
		return
	}
	for j, m := range pairs {
		if real(m.value) < -10*m.moved-1e-7*c.unit {
			pairs[j].real = false
		}
	}
}

// selection is what was chosen of the real eigenvalues: reals[lo:hi], ascending.
type selection struct {
	reals  []matched
	lo, hi int
	part   part
	all    bool // there are no more than these
}

// choose selects those that are wanted, where they can be told from the others.
func (c *climb) choose(pairs []matched, alone []complex128, nodes int) (s selection, ok bool) {
	guess := c.p.Parameters[0]
	s.reals = realsOf(pairs)
	s.lo, s.hi, s.part, ok = choose(s.reals, alone, c.o.Count, guess.Guess, guess.HasGuess, nodes >= fine)
	if !ok && len(alone) == 0 && len(s.reals) > 0 && len(s.reals) <= c.o.Count {
		s.lo, s.hi, s.all, ok = 0, len(s.reals), true, true
	}
	if !ok && nodes >= fine {
		if s.lo, s.hi, ok = amongComplex(pairs, s.reals, alone, c.o.Count, guess.Guess); ok {
			s.part = complexOthers
		}
	}
	return s, ok
}

const (
	// fine is the number of nodes from which on a discretisation shows what the spectrum is like.
	fine = 80
	// finest is that from which on nothing real is expected of further ones where many complex ones agree.
	finest = 112
)

// unresolved says why nothing can be chosen, and reports whether that will stay so.
func (c *climb) unresolved(pairs []matched, reals, nodes int) (done bool) {
	if len(c.best.Values) > 0 {
		return false
	}
	switch {
	case len(pairs) == 0:
		if c.failures++; c.failures > mostFailures {
			return true
		}
		c.best.Message = "no real eigenvalue was found: discretisations of different degrees agree on none, so that " +
			"the problem may have none"
	case reals == 0:
		c.best.Message = "no real eigenvalue was found; those on which discretisations of different degrees agree " +
			"are complex"
		return len(pairs) >= c.o.Count+2 && nodes >= finest
	default:
		c.best.Message = fmt.Sprintf("the eigenvalues are not resolved by %d nodes", nodes)
	}
	return false
}

// polished takes an answer, met or not, in the place of a worse one, and reports whether it is as good as it gets.
func (c *climb) polished(a *Answer, met bool) (done bool) {
	a.Iterations += c.best.Iterations
	if met || len(a.Values) > len(c.best.Values) || len(a.Values) == len(c.best.Values) && a.Error < c.best.Error {
		c.best = a
	} else {
		c.best.Iterations = a.Iterations
	}
	if met {
		return true
	}
	if a.Mode != nil && !math.IsInf(a.Error, 1) {
		if a.Error > c.lacking/2 {
			return true
		}
		c.lacking = a.Error
	}
	return false
}

// naturalUnit is a size that eigenvalues may have: where the terms with the parameter balance those without, for a half
// wave over the interval.
func naturalUnit(p *bvp.Problem) float64 {
	jet, n := p.Jet(), len(p.Unknowns)
	in, f, df := make([]float64, jet+1), make([]float64, n), make([]float64, n*(jet+1))
	slope := make([]float64, n)
	length := (p.B - p.A) / math.Pi
	var ratios []float64
	for _, x := range samplePoints(p) {
		clear(in)
		p.Equations(x, in, f, df)
		for r := range n {
			still, moving := 0.0, 0.0
			for i, u := range p.Unknowns {
				hd := 1.0
				for d := 0; d <= u.Order; d++ {
					j := p.JetOffset(i) + d
					still = math.Max(still, math.Abs(df[r*(jet+1)+j])*hd)
					moving = math.Max(moving, math.Abs(slopeOf(p, x, j, r, in, slope))*hd)
					hd /= length
				}
			}
			if moving > 0 && still > 0 && !math.IsInf(still/moving, 0) {
				ratios = append(ratios, still/moving)
			}
		}
	}
	if len(ratios) == 0 {
		for _, c := range p.Conditions {
			k := len(c.At)
			v, dg, dg1 := make([]float64, k+1), make([]float64, k+1), make([]float64, k+1)
			c.Residual(v, dg)
			v[k] = 1
			c.Residual(v, dg1)
			still, moving := 0.0, 0.0
			for j, pv := range c.At {
				hd := math.Pow(length, -float64(pv.Derivative))
				still = math.Max(still, math.Abs(dg[j])*hd)
				moving = math.Max(moving, math.Abs(dg1[j]-dg[j])*hd)
			}
			if moving > 0 && still > 0 {
				ratios = append(ratios, still/moving)
			}
		}
	}
	if len(ratios) == 0 {
		return 1
	}
	slices.Sort(ratios)
	return ratios[len(ratios)/2]
}

// slopeOf returns the derivative by the parameter of the coefficient of jet entry j in equation r, at λ = 1.
func slopeOf(p *bvp.Problem, x float64, j, r int, in, f []float64) float64 {
	jet, n := p.Jet(), len(p.Unknowns)
	df := make([]float64, n*(jet+1))
	v := append([]float64(nil), in...)
	v[j], v[jet] = 1, 1
	p.Equations(x, v, f, df)
	return df[r*(jet+1)+jet]
}
