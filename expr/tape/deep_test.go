package tape

import (
	"math"
	"testing"

	"nodespan/expr/notation"
)

// TestDeep works on trees as high as the reader lets through. Under Node's default stack
// (which Go's test runner enlarges) it shows that nothing here recurses deeper than that stack allows.
func TestDeep(t *testing.T) {
	const height = 400 // the reader's limit
	x := name("x")
	sum, nested, signs := notation.Node(x), notation.Node(x), notation.Node(x)
	for range height {
		sum = bin('+', sum, x)
		nested = fn("sin", nested)
		signs = neg(signs)
	}
	for _, c := range []struct {
		n           notation.Node
		at, v, want float64 // value and derivative
	}{
		{sum, 2, 2 * (height + 1), height + 1},
		{nested, 0, 0, 1},
		{signs, 2, 2, 1},
	} {
		out, jac := make([]float64, 1), make([]float64, 1)
		compile(t, c.n, "x").Jacobian([]float64{c.at}, out, jac)
		g, err := Evaluate(c.n, values([]string{"x"}, []float64{c.at}))
		if out[0] != c.v || jac[0] != c.want || g != c.v || err != nil {
			t.Errorf("tape %g, derivative %g, govaluate %g, %v; want %g, %g", out[0], jac[0], g, err, c.v, c.want)
		}
		if d := valueAt(t, Total(c.n, "x"), c.at); d != c.want {
			t.Errorf("derivative as a tree %g, want %g", d, c.want)
		}
	}
}

// TestManyDerivatives takes the eighth derivative of a balance: parts are shared, so it does not grow out of hand.
func TestManyDerivatives(t *testing.T) {
	x := name("x")
	n := Expand(&notation.Diff{Order: 8, X: bin('*', fn("exp", bin('*', num(2), x)), fn("sin", x))}, "x")
	// (e^(2x) sin x)⁽⁸⁾ = 5⁴ e^(2x) sin(x + 8 atan(1/2)), from e^((2+i)x).
	want := 625 * math.Exp(1.4) * math.Sin(0.7+8*math.Atan(0.5))
	tp := compile(t, n, "x")
	out := make([]float64, 1)
	tp.Eval([]float64{0.7}, out)
	g, err := Evaluate(n, values([]string{"x"}, []float64{0.7}))
	if !near(out[0], want, 1e-12) || !near(g, out[0], 1e-14) || err != nil {
		t.Errorf("%.15g, govaluate %.15g, %v; want %.15g", out[0], g, err, want)
	}
	if len(tp.code) > 400 {
		t.Errorf("%d instructions", len(tp.code))
	}
}
