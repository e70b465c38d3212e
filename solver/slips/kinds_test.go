package slips

import (
	"os"
	"slices"
	"strings"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// TestCandidates: the slips that are tried, each with its sentence, are those of testdata/slips/candidates.txt: a line
// "= sheet", and a line for each in the order in which they are tried.
func TestCandidates(t *testing.T) {
	data, err := os.ReadFile("../../testdata/slips/candidates.txt")
	if err != nil {
		t.Fatal(err)
	}
	parts := strings.Split("\n"+strings.TrimSuffix(string(data), "\n"), "\n= ")[1:]
	if len(parts) != 2 {
		t.Fatalf("%d sheets", len(parts))
	}
	for _, part := range parts {
		lines := strings.Split(strings.TrimSuffix(part, "\n"), "\n")
		sh := sheettest.Read(t, lines[0])
		p := sh.Problem()
		s := solver.MustSolve(p, solver.Options{})
		var got []string
		for _, k := range candidates(p, inspect(p, s.At), nil) {
			got = append(got, k.name+": "+k.sentence)
		}
		if !slices.Equal(got, lines[1:]) {
			t.Errorf("%s:\n%s", lines[0], strings.Join(got, "\n"))
		}
	}
}
