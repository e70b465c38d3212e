package report

import (
	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/solver/table"
)

// Reply puts an answer together for other programs: a table of the solution, the numbers that the sheet asks for, and
// how far the exact solution is from it where the sheet has one.
func Reply(sh *sheet.Sheet, s *solver.Solution, t *table.Table) *table.Reply {
	var exact *float64
	if e, ok := table.ExactError(s, sh.Exact); ok {
		exact = &e
	}
	r := table.NewReply(s, t, exact)
	for _, n := range All(sh, s) {
		r.Reports = append(r.Reports, table.Reported{Name: n.Name,
			Value: table.Value{Value: table.Number(n.Value), Error: table.Number(n.Error)}, Message: n.Fault})
	}
	return r
}
