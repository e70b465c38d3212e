package sheet

import (
	"math"
	"strings"
	"testing"

	"nodespan/expr/notation"
	"nodespan/solver"
)

// checkReports solves the sheet and holds what it reports to closed forms: each claim of an error covers the miss, and is small.
func (f *sheetFile) checkReports(t *testing.T, s *Sheet) {
	if s.HasReports() != (f.reports != nil) {
		t.Fatalf("reports: %v, want %q", s.HasReports(), f.reports)
	}
	if f.reports == nil {
		return
	}
	sol := solver.Solve(s.Problem(), solver.Options{Tol: 1e-10})
	if sol.Status != solver.Solved {
		t.Fatal(sol.Message)
	}
	got := s.Reports(sol)
	if len(got) != len(f.reports) {
		t.Fatalf("%d reports, want %d", len(got), len(f.reports))
	}
	names := &notation.Names{Constants: map[string]bool{}}
	for _, c := range s.Constants {
		names.Constants[c.Name] = true
	}
	for i, r := range got {
		if name, why, ok := strings.Cut(f.reports[i], ": "); ok {
			if r.Name != name || r.Fault != why || !math.IsNaN(r.Value) {
				t.Errorf("%s: %q, want %s", r.Name, r.Fault, f.reports[i])
			}
			continue
		}
		name, formula, _ := strings.Cut(f.reports[i], " = ")
		n, err := notation.ParseExpr(formula, names)
		if err != nil {
			t.Fatal(err)
		}
		want, e := s.model.base.values.number(n)
		if e != nil {
			t.Fatal(e)
		}
		miss := math.Abs(r.Value - want)
		// The closed form itself is rounded: 2e-15. A claim of more than 1e-6 would be useless.
		if r.Name != name || r.Fault != "" || !(miss <= r.Error+2e-15*math.Abs(want)) || !(r.Error <= 1e-6*math.Max(1, math.Abs(want))) {
			t.Errorf("%s = %.17g ± %.1e %s, want %s = %.17g (off by %.1e)", r.Name, r.Value, r.Error, r.Fault, name, want, miss)
		}
		t.Logf("%s = %.12g ± %.1e (off by %.1e)", r.Name, r.Value, r.Error, miss)
	}
}
