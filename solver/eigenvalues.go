package solver

import (
	"nodespan/solver/budget"
	"nodespan/solver/eigen"
	"nodespan/solver/singular"
)

// eigenvalues solves a problem with one condition too few, if it is an eigenvalue problem.
func eigenvalues(s *Solution, p *Problem, o Options) {
	if o.Method == Differences {
		s.Message = "finite differences are not offered for eigenvalues; choose one polynomial or pieces"
		return
	}
	first := singular.Fractional(singular.Ends(p))
	if first && s.stretchedEigen(p, o) {
		return
	}
	a := eigen.Solve(p, o.eigen())
	if !a.Met && !first && s.stretchedEigen(p, o) {
		return
	}
	s.eigen(p, a, o.Mode)
}

// stretchedEigen is the counterpart of stretched for eigenvalues.
func (s *Solution) stretchedEigen(p *Problem, o Options) bool {
	if o.Nodes > 0 || o.Elements > 0 || o.Method == One {
		return false
	}
	for _, st := range singular.Stretches(p) {
		if budget.Over(o.Context) {
			break
		}
		within := o
		within.Context = budget.Part(o.Context, 0.4)
		a := eigen.Solve(st.Problem, within.eigen())
		if !a.Met {
			continue
		}
		s.eigen(st.Problem, a, o.Mode)
		s.pull(p, st)
		return true
	}
	return false
}

// eigen returns what package eigen is told.
func (o *Options) eigen() eigen.Options {
	form := map[Method]eigen.Form{One: eigen.OnePolynomial, Pieces: eigen.Pieces}[o.Method]
	return eigen.Options{Options: o.adapt(), Count: o.Count, Mode: o.Mode, Form: form}
}

// eigen records an eigenvalue answer.
func (s *Solution) eigen(p *Problem, a *eigen.Answer, mode int) {
	s.Iterations, s.Message = a.Iterations, a.Message
	for _, v := range a.Values {
		s.Eigenvalues = append(s.Eigenvalues, Found{Name: p.Parameters[0].Name, Value: v.Value, Error: v.Error})
	}
	if a.Mode == nil {
		return
	}
	s.Error, s.Condition = a.Error, a.Mode.Condition
	s.mode = max(mode, 1)
	s.describe(a.Mode.Curve.Grid())
	s.Method = Pieces
	if s.Elements == 1+len(p.Breaks) {
		s.Method = One
	}
	s.curve = &collocated{a.Mode, s.Method == One}
	s.Status = Short
	if a.Met {
		s.Status = Solved
	}
}
