package tape

import (
	"math"
	"testing"

	"nodespan/expr/notation"
)

// TestOverflow: values and derivatives are right where parts of a formula are no doubles. The truth is by hand, or from
// the same function of a smaller argument.
func TestOverflow(t *testing.T) {
	for _, c := range []struct {
		formula         string
		x, value, slope float64
	}{
		{"exp(800 x)/(1 + exp(800 x))", 1, 1, 0},
		{"exp(800 x)/(1 + exp(800 x))", -1, 0, 0},
		{"1/(1 + exp(800 x))^2", 1, 0, 0},
		{"800 exp(800 x)/(1 + exp(800 x))^2", 1, 0, 0},
		{"(exp(800 x) - exp(-800 x))/(exp(800 x) + exp(-800 x))", -1, -1, 0},
		{"sinh(800 x)/cosh(800 x)", 1, 1, 0},
		{"sinh(800 x)/cosh(801 x)", 1, math.Exp(-1), -math.Exp(-1)},
		{"exp(-800 x)/exp(-799 x)", 1, math.Exp(-1), -math.Exp(-1)},
		{"exp(1000 x)/exp(999 x)", -1, math.Exp(-1), math.Exp(-1)},
		{"exp(-x^2)*exp(x^2 + x)", 30, math.Exp(30), math.Exp(30)},
		{"ln(exp(800 x) + exp(799 x))", 2, 1600 + math.Log1p(math.Exp(-2)), 800 - 1/(1+math.Exp(2))},
		{"sqrt(exp(1500 x))/exp(740 x)", 1, math.Exp(10), 10 * math.Exp(10)},
		{"(x^40)^10/(x^39)^10", 1e5, 1e50, 10 * 1e45},
		{"max(exp(900 x), 1)/max(exp(899 x), 2)", 1, math.E, math.E},
	} {
		n, err := notation.ParseExpr(c.formula, &notation.Names{Constants: map[string]bool{"x": true}})
		if err != nil {
			t.Fatal(err)
		}
		tp, err := Compile([]notation.Node{n}, 1, inputs("x"))
		if err != nil {
			t.Fatal(err)
		}
		out, jac := make([]float64, 1), make([]float64, 1)
		// An exponential function has the relative error of its argument, here up to 1600 units.
		near := func(got, want float64) bool { return math.Abs(got-want) <= 2e-12*(1+math.Abs(want)) }
		tp.Eval([]float64{c.x}, out)
		if !near(out[0], c.value) {
			t.Errorf("%s at %g is %v, want %v", c.formula, c.x, out[0], c.value)
		}
		tp.Jacobian([]float64{c.x}, out, jac)
		if !near(out[0], c.value) || !near(jac[0], c.slope) {
			t.Errorf("%s at %g is %v with slope %v, want %v and %v", c.formula, c.x, out[0], jac[0], c.value, c.slope)
		}
	}
	// What has no value keeps none.
	for _, formula := range []string{"1/x", "ln(x)", "sqrt(x - 1)", "x/x", "exp(900 + x)",
		"exp(900 + x) - exp(900 + x)*1.5"} {
		n, err := notation.ParseExpr(formula, &notation.Names{Constants: map[string]bool{"x": true}})
		if err != nil {
			t.Fatal(err)
		}
		tp, err := Compile([]notation.Node{n}, 1, inputs("x"))
		if err != nil {
			t.Fatal(err)
		}
		out := make([]float64, 1)
		if tp.Eval([]float64{0}, out); isFinite(out[0]) {
			t.Errorf("%s at 0 is %v", formula, out[0])
		}
	}
}
