package main

import (
	"fmt"

	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/solver/branches"
)

// reason looks for what a sheet without an answer lacks: a branch of solutions that turns back before the value of one
// of its constants, or of a number in its equations. What is found stands in the message of the solution; where the
// branch arrives after all, the solution is that.
func reason(sh *sheet.Sheet, p *solver.Problem, s *solver.Solution, o *options) *solver.Solution {
	if s.Status == solver.Solved || sh.Linear {
		return s
	}
	found, why := branches.Why(p, s, o.solve)
	if found != nil {
		return found
	}
	if why != nil {
		s.Message = why.Sentence(fmt.Sprintf("%s = %.6g", why.Constant, why.Value), middle(p))
		return s
	}
	for _, l := range sh.Literals(sheet.Options{Set: o.set}) {
		q := l.Sheet.Problem()
		for i, c := range q.Constants {
			if c.Name != l.Name {
				continue
			}
			if _, why := branches.WhyOf(q, i, s, o.solve); why != nil {
				s.Message = why.Sentence(fmt.Sprintf("the %s in line %d", l.Text, l.Line), middle(p))
				return s
			}
		}
	}
	return s
}

// middle names what branches are tabulated against where nothing else is said: the first unknown in the middle.
func middle(p *solver.Problem) string {
	return fmt.Sprintf("%s(%.6g)", p.Unknowns[0].Name, p.A+(p.B-p.A)/2)
}
