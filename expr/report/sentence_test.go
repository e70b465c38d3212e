package report_test

import (
	"testing"

	"nodespan/expr/report"
	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// The place of a largest value is told with it, wherever it is asked for. The beam clamped at both ends under a uniform
// load: q L^4/(384 E I), as handbooks have it.
func TestSentence(t *testing.T) {
	const beam = "y'''' = 1; y(0) = 0; y'(0) = 0; y(1) = 0; y'(1) = 0; report "
	const top = "y is largest, 0.002604, at x = 0.5; error below 2e-7."
	for asked, want := range map[string]string{
		"largest_at(y), largest(y)":         top,
		"largest(y), largest_at(y), y(1/2)": top + " y(1/2) = 0.002604; error below 2e-7.",
		"smallest_at(y''), smallest(y'')":   "y'' is smallest, -0.04167, at x = 0.5; error below 4e-6.",
		"smallest_at(y), smallest(y'')": "smallest_at(y): smallest_at(y) has more than one place: " +
			"x = 0 and 1, for two. smallest(y'') = -0.04167; error below 4e-6.",
	} {
		sh := sheettest.Read(t, beam+asked)
		got := report.Sentence(sh, solver.MustSolve(sh.Problem(), solver.Options{}), 4)
		if got != want {
			t.Errorf("%s: %s", asked, got)
		}
	}
}
