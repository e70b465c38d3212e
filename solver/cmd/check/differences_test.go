package main

import (
	"slices"
	"strings"
	"testing"

	"nodespan/solver"
	"nodespan/solver/cmd/batch"
)

// Finite differences on every published problem: those with smooth solutions are solved to the tolerance, and whatever
// is claimed of any other covers the true error.
func TestDifferences(t *testing.T) {
	entries, err := batch.Load[Entry]("../../../testdata/problems.json")
	if err != nil {
		t.Fatal(err)
	}
	smooth := []string{"smooth", "condition", "system", "discontinuous", "infinite", "multiple"}
	run, failed := 0, 0
	for _, e := range entries {
		if e.Kind == "eigenvalue" || e.Kind == "high-order" && !strings.Contains(e.ID, "joist") {
			continue // of sixth order and more rounding ends second-order differences at three digits
		}
		run++
		// The thinnest layers ask for a mesh of 65536 points: fewer are asked for there, and must say how far they are
		// off.
		o := solver.Options{Method: solver.Differences, Tol: 1e-4}
		if !slices.Contains(smooth, e.Kind) {
			o.Nodes = 500
		}
		out := e.Check(o)
		switch {
		case out.Fault == "":
		case strings.Contains(out.Fault, "claims"):
			t.Errorf("%s: %s", e.ID, out.Fault)
		case slices.Contains(smooth, e.Kind):
			t.Errorf("%s: %s", e.ID, out.Fault)
		default:
			if out.Status == solver.Solved {
				t.Errorf("%s: called solved, and %s", e.ID, out.Fault)
			}
			failed++
		}
	}
	t.Logf("%d problems, %d not resolved by the mesh", run, failed)
	if run < 115 {
		t.Errorf("%d problems only", run)
	}
	if failed > 33 { // 31 at the time of writing
		t.Errorf("%d of %d problems are not resolved", failed, run)
	}
}
