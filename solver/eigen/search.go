package eigen

import (
	"fmt"
	"math"
	"slices"

	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// rung is a dense discretisation: one polynomial (one between breaks), or uniform pieces, which for the same number of
// nodes see finer detail amid the interval.
type rung struct{ nodes, pieces int }

var rungs = []rung{{20, 1}, {28, 1}, {40, 1}, {56, 1}, {80, 1}, {112, 1}, {160, 1}, {224, 1}, {240, 15}, {352, 22}}

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

func (s *search) run() (best *Answer) {
	best = &Answer{Message: "no eigenvalue was found"}
	s.unit = naturalUnit(s.p)
	guess := s.p.Parameters[0]
	var coarse []complex128
	have := false
	work, failures := 0.0, 0
	defer func() { best.Work = work }()
	shortBefore := math.Inf(1) // the error of the last answer that only lacked accuracy
	for i, r := range rungs {
		k := r.nodes
		if s.o.Context != nil && s.o.Context.Err() != nil {
			best.Message = budget.Reason(s.o.Context)
			break
		}
		if k < s.o.Count+8 && i+2 < len(rungs) {
			continue
		}
		if s.o.Progress != nil {
			s.o.Progress(fmt.Sprintf("eigenvalues of the discretisation with %d nodes", k))
		}
		pc := s.pencil(r)
		if pc == nil {
			best.Message = fmt.Sprintf("the equations are singular for every value of %s that was tried: the "+
				"conditions do not hold the solution, or an equation cannot be evaluated", guess.Name)
			have = false
			if failures++; failures > mostFailures {
				break
			}
			continue
		}
		cube := math.Pow(float64(pc.grid.Unknowns()*max(1, s.dep.degree)), 3)
		work += cube
		budget.Spend(s.o.Context, eigenWork*cube)
		fine, ok := pc.values()
		if !ok {
			have = false
			continue
		}
		before := coarse
		coarse = fine
		if !have {
			have = true
			continue
		}
		pairs, alone := match(before, fine, s.unit)
		if s.dep.power > 0 && s.dep.power%2 == 0 {
			for j, m := range pairs {
				if real(m.value) < -10*m.moved-1e-7*s.unit {
					pairs[j].real = false // λ^q < 0
				}
			}
		}
		reals := realsOf(pairs)
		lo, hi, which, ok := choose(reals, alone, s.o.Count, guess.Guess, guess.HasGuess, k >= 80)
		all := false
		if !ok && len(alone) == 0 && len(reals) > 0 && len(reals) <= s.o.Count {
			lo, hi, ok, all = 0, len(reals), true, true
		}
		if !ok && k >= 80 {
			if lo, hi, ok = amongComplex(pairs, reals, alone, s.o.Count, guess.Guess); ok {
				which = complexOthers
			}
		}
		if !ok {
			if len(best.Values) == 0 {
				switch {
				case len(pairs) == 0:
					if failures++; failures > mostFailures {
						return best
					}
					best.Message = "no real eigenvalue was found: discretisations of different degrees agree on " +
						"none, so that the problem may have none"
				case len(reals) == 0:
					best.Message = "no real eigenvalue was found; those on which discretisations of different " +
						"degrees agree are complex"
					if len(pairs) >= s.o.Count+2 && k >= 112 {
						return best
					}
				default:
					best.Message = fmt.Sprintf("the eigenvalues are not resolved by %d nodes", k)
				}
			}
			continue
		}
		a, ok := s.polish(pc, r, reals, lo, hi, which, all)
		a.Iterations += best.Iterations
		if ok || len(a.Values) > len(best.Values) || len(a.Values) == len(best.Values) && a.Error < best.Error {
			best = a
		} else {
			best.Iterations = a.Iterations
		}
		if ok {
			break
		}
		if a.Mode != nil && !math.IsInf(a.Error, 1) {
			if a.Error > shortBefore/2 {
				break // as good as it gets
			}
			shortBefore = a.Error
		}
	}
	return best
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
