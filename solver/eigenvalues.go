package solver

import (
	"nodespan/solver/eigen"
)

// eigenvalues solves a problem with one condition too few, if it is an eigenvalue problem.
func eigenvalues(s *Solution, p *Problem, o Options) {
	if o.Method == Differences {
		s.Message = "finite differences are not offered for eigenvalues; choose one polynomial or pieces"
		return
	}
	eo := eigen.Options{Count: o.Count, Mode: o.Mode}
	eo.Options = o.adapt()
	s.eigen(p, eigen.Solve(p, eo), max(o.Mode, 1))
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
	s.mode = mode
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
