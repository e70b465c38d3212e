package main

import (
	"testing"

	"nodespan/solver"
	"nodespan/solver/cmd/batch"
)

// TestExtremeTolerances: at the loosest and the tightest tolerances no claim may be below the true error. A run may end
// short of a tolerance that rounding forbids, and then says so; it may not fail.
func TestExtremeTolerances(t *testing.T) {
	for _, file := range []string{problems, "../../../testdata/literature.json"} {
		entries, err := batch.Load[Entry](file)
		if err != nil {
			t.Fatal(err)
		}
		short := 0
		for _, e := range entries {
			for _, tol := range tolerances(1e-3, 1e-11, 1e-12, 1e-13) {
				o := e.Check(solver.Options{Tol: tol})
				switch {
				case o.Uncovered != "":
					t.Errorf("%s at %.0e: %s (%s)", e.ID, tol, o.Uncovered, o.Status)
				case o.Status == solver.Short && tol < 1e-10:
					short++
				case o.Fault != "":
					t.Errorf("%s at %.0e: %s (%s)", e.ID, tol, o.Fault, o.Status)
				}
			}
		}
		t.Logf("%s: %d of %d runs short of their tolerance", file, short, 4*len(entries))
		if short > len(entries)/3 {
			t.Errorf("%s: %d runs are short of their tolerance", file, short)
		}
	}
}
