package main

import (
	"os"
	"testing"

	"nodespan/solver/cmd/batch"
)

// TestSeveral holds the search to published problems with several solutions: all of them, none besides, each within its
// claim, and by little enough work for two seconds natively.
func TestSeveral(t *testing.T) {
	all, err := batch.Load[Several]("../../../testdata/several.json")
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 14 {
		t.Fatalf("%d entries, expected 14", len(all))
	}
	for i, e := range all {
		if os.Getenv("PART") != "" && i%4 != 0 {
			continue // the race detector makes everything about ten times slower
		}
		o := e.Check(1e-8)
		if o.Fault != "" {
			t.Errorf("%s: %s", e.ID, o.Fault)
		}
		t.Logf("%s: %d solutions from %d starts in %v, work %d", e.ID, o.Found, o.Starts, o.Time, o.Work)
		if o.Work > 1_200_000_000 {
			t.Errorf("%s took work of %d", e.ID, o.Work)
		}
	}
}
