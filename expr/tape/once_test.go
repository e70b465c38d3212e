package tape

import (
	"math"
	"testing"

	"nodespan/expr/notation"
)

// TestByTape holds the page's way of evaluating a tree once to the library's.
func TestByTape(t *testing.T) {
	names := &notation.Names{Variable: "x", Unknowns: map[string]bool{"y": true}, Constants: map[string]bool{"a": true, "e": true}}
	value := func(n notation.Node) (float64, bool) {
		switch n := n.(type) {
		case *notation.Name:
			v, ok := map[string]float64{"x": 0.7, "a": 1.9, "e": math.E, "pi": math.Pi}[n.Name]
			return v, ok
		case *notation.Jet:
			return 0.4 + float64(n.Order), n.Order < 3
		}
		return 0, false
	}
	for _, text := range []string{
		"1", "a + x", "2^3^2", "-x^2", "sin(x) exp(-a x) + e^x", "if(x < 1, a, 1/0)", "y' x + y", "J0(x) + gamma(a)", "min(x, a) - max(x, 2)",
	} {
		n, err := notation.ParseExpr(text, names)
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		for range 2 { // the second time from the kept tape
			got, err := byTape(n, value)
			want, err2 := Govaluate(n, value)
			// A power of e goes through pow here and through exp there: two ulps.
			if err != nil || err2 != nil || math.Abs(got-want) > 5e-16*math.Abs(want) {
				t.Errorf("%s: %v, %v; the library %v, %v", text, got, err, want, err2)
			}
		}
	}
	n, err := notation.ParseExpr("x + y'''", names)
	if err != nil {
		t.Fatal(err)
	}
	_, err = byTape(n, value)
	_, err2 := Govaluate(n, value)
	if err == nil || err2 == nil || err.Error() != err2.Error() {
		t.Errorf("a leaf without a value: %v; the library %v", err, err2)
	}
}
