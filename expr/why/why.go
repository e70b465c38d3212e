// Package why looks for what a sheet without an answer lacks: a branch of solutions that turns back before the value of
// one of its constants, or of a number in its equations. It tells so in the words of the sheet.
package why

import (
	"fmt"

	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/solver/branches"
)

// Answer returns a solution with the reason in its message: a copy of s, which solver.Solve gave for the problem of the
// sheet. Where a branch of solutions arrives at the sheet's own values after all, it returns the solution there; and s
// itself where nothing is learnt. read is how the sheet was read.
func Answer(sh *sheet.Sheet, s *solver.Solution, o solver.Options, read sheet.Options) *solver.Solution {
	if s.Status == solver.Solved || sh.Linear {
		return s
	}
	p := s.Problem
	found, why := branches.Why(p, s, o)
	if found != nil {
		return found
	}
	because := func(r *branches.Reason, what string) *solver.Solution {
		told := *s
		told.Message = r.Sentence(what, Middle(p))
		return &told
	}
	if why != nil {
		return because(why, fmt.Sprintf("%s = %.6g", why.Constant, why.Value))
	}
	for _, l := range sh.Literals(read) {
		q := l.Sheet.Problem()
		for i, c := range q.Constants {
			if c.Name != l.Name {
				continue
			}
			if _, why := branches.WhyOf(q, i, s, o); why != nil {
				return because(why, fmt.Sprintf("the %s in line %d", l.Text, l.Line))
			}
		}
	}
	return s
}

// Middle names what branches are drawn against where nothing else is said: the first unknown in the middle.
//
//go:noinline
func Middle(p *solver.Problem) string {
	return fmt.Sprintf("%s(%.6g)", p.Unknowns[0].Name, p.A+(p.B-p.A)/2)
}
