package report

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"nodespan/expr/notation"
	"nodespan/expr/sheet/sheettest"
	"nodespan/expr/tape"
	"nodespan/solver"
)

// TestFiles takes the reports of every sheet in testdata/sheets that says what they are ("reports: name = formula", the
// closed form in the sheet's constants, or "reports: name: " and the sentence that says why there is none). Each claim
// of an error covers the miss, and is small.
func TestFiles(t *testing.T) {
	names, err := filepath.Glob("../../testdata/sheets/*.sheet")
	if err != nil {
		t.Fatal(err)
	}
	count := 0
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		head, body, _ := strings.Cut(string(data), "\n\n")
		var wanted []string
		for _, line := range strings.Split(head, "\n") {
			if w, ok := strings.CutPrefix(line, "reports: "); ok {
				wanted = append(wanted, strings.TrimSpace(w))
			}
		}
		if wanted == nil {
			continue
		}
		count++
		t.Run(strings.TrimSuffix(filepath.Base(name), ".sheet"), func(t *testing.T) { checkReports(t, body, wanted) })
	}
	if count < 15 {
		t.Errorf("%d sheets with reports", count)
	}
}

// checkReports solves the sheet and holds what it reports to closed forms.
func checkReports(t *testing.T, text string, wanted []string) {
	s := sheettest.Read(t, text)
	sol := solver.MustSolve(s.Problem(), solver.Options{Tol: 1e-10})
	if sol.Status != solver.Solved {
		t.Fatal(sol.Message)
	}
	got := All(s, sol)
	if len(got) != len(wanted) {
		t.Fatalf("%d reports, want %d", len(got), len(wanted))
	}
	names := &notation.Names{Constants: map[string]bool{}}
	values := map[string]float64{"pi": math.Pi, "e": math.E}
	for _, c := range s.Constants {
		names.Constants[c.Name] = true
		values[c.Name] = c.Value
	}
	for i, r := range got {
		if name, why, ok := strings.Cut(wanted[i], ": "); ok {
			if r.Name != name || r.Fault != why || !math.IsNaN(r.Value) {
				t.Errorf("%s: %q, want %s", r.Name, r.Fault, wanted[i])
			}
			continue
		}
		name, formula, _ := strings.Cut(wanted[i], " = ")
		n, err := notation.ParseExpr(formula, names)
		if err != nil {
			t.Fatal(err)
		}
		want, err := tape.Evaluate(n, func(n notation.Node) (float64, bool) {
			m, ok := n.(*notation.Name)
			if !ok {
				return 0, false
			}
			v, ok := values[m.Name]
			return v, ok
		})
		if err != nil {
			t.Fatal(err)
		}
		miss := math.Abs(r.Value - want)
		// The closed form itself is rounded: 2e-15. A claim of more than 1e-6 would be useless.
		if r.Name != name || r.Fault != "" || !(miss <= r.Error+2e-15*math.Abs(want)) ||
			!(r.Error <= 1e-6*math.Max(1, math.Abs(want))) {
			t.Errorf("%s = %.17g ± %.1e %s, want %s = %.17g (off by %.1e)", r.Name, r.Value, r.Error, r.Fault, name,
				want, miss)
		}
		t.Logf("%s = %.12g ± %.1e (off by %.1e)", r.Name, r.Value, r.Error, miss)
	}
}
