package report

import (
	"math"
	"testing"

	"nodespan/expr/sheet"
	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// A formula is worked out with the value that the constant is given, not with that of the sheet: of y = k x, k y(1) is
// k².
func TestAgainst(t *testing.T) {
	const text = "y'' = 0; y(0) = 0; y(1) = k; k = 3"
	at, err := Against(text, "k y(1)", "k", sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	_, s := sheettest.Solved(t, "y'' = 0; y(0) = 0; y(1) = k; k = 2", solver.Options{})
	if v, e := at(s, 2); math.Abs(v-4) > e+1e-12 || e > 1e-8 {
		t.Errorf("%g ± %g, want 4", v, e)
	}
	set := map[string]string{"m": "5"}
	at, err = Against("y'' = 0; y(0) = 0; y(1) = k; k = 3; m = 1", "m k", "k", sheet.Options{Set: set})
	if v, _ := at(s, 2); err != nil || v != 10 || len(set) != 1 {
		t.Errorf("%g, %v, with %v", v, err, set)
	}
	if _, err := Against(text, "z(1)", "k", sheet.Options{}); err == nil {
		t.Error("a formula of what is not there was taken")
	}
}
