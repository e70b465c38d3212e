package tape

import (
	"math"
	"testing"

	"nodespan/expr/notation"
)

// Formulas whose parts overflow or vanish in doubles and whose values do not, with their values and derivatives in
// closed form.
func TestBeyondDoubles(t *testing.T) {
	x := name("x")
	n := func(v float64) notation.Node { return &notation.Number{Value: v} }
	op := func(a notation.Node, o byte, b notation.Node) notation.Node {
		return &notation.Binary{Op: o, X: a, Y: b}
	}
	exp := func(a notation.Node) notation.Node { return fn("exp", a) }
	for _, c := range []struct {
		what  string
		tree  notation.Node
		at    float64
		value float64
		slope float64
	}{
		{"exp(x)/(1 + exp(x))", op(exp(x), '/', op(n(1), '+', exp(x))), 800, 1, math.Exp(-800)},
		{"its derivative as a tree", Partial(op(n(1), '/', op(n(1), '+', exp(x))), x), 720, -math.Exp(-720),
			math.Exp(-720)},
		{"exp(x)/exp(x - 3)", op(exp(x), '/', exp(op(x, '-', n(3)))), 5000, math.Exp(3), 0},
		{"1/cosh(x)^2", op(n(1), '/', op(fn("cosh", x), '^', n(2))), 1920, 0, 0},
		{"its derivative as a tree", Partial(op(n(1), '/', op(fn("cosh", x), '^', n(2))), x), 500, 0, 0},
		{"cosh(x)/sinh(x - 1)", op(fn("cosh", x), '/', fn("sinh", op(x, '-', n(1)))), 900, math.E, 0},
		{"sinh(-x)/exp(x)", op(fn("sinh", op(n(0), '-', x)), '/', exp(x)), 900, -0.5, 0},
		{"sech(x) exp(x)", op(fn("sech", x), '*', exp(x)), 1e5, 2, 0},
		{"csch(x) exp(x)", op(fn("csch", x), '*', exp(x)), 1e5, 2, 0},
		{"sqrt(exp(x))/exp(x/2 - 1)", op(fn("sqrt", exp(x)), '/', exp(op(op(x, '/', n(2)), '-', n(1)))), 3001, math.E,
			0},
		{"cbrt(exp(x))/exp(x/3 - 1)", op(fn("cbrt", exp(x)), '/', exp(op(op(x, '/', n(3)), '-', n(1)))), 3001, math.E,
			0},
		{"ln(exp(x))", fn("ln", exp(x)), 2500, 2500, 1},
		{"log10(exp(x))", fn("log10", exp(x)), 2500, 2500 / math.Ln10, 1 / math.Ln10},
		{"exp(x)^3/exp(3 x - 1)", op(op(exp(x), '^', n(3)), '/', exp(op(op(n(3), '*', x), '-', n(1)))), 700, math.E, 0},
		{"exp(x)^2.5/exp(2.5 x - 1)", op(op(exp(x), '^', n(2.5)), '/', exp(op(op(n(2.5), '*', x), '-', n(1)))), 700,
			math.E, 0},
		{"min(exp(x), exp(2 x))/exp(x)", op(fn("min", exp(x), exp(op(n(2), '*', x))), '/', exp(x)), 800, 1, 0},
		{"max(exp(x), exp(2 x))/exp(2 x)", op(fn("max", exp(x), exp(op(n(2), '*', x))), '/', exp(op(n(2), '*', x))),
			800, 1, 0},
		{"if(x < 900, exp(x), 0)/exp(x - 1)", op(choose(x, "<", n(900), exp(x), n(0)), '/', exp(op(x, '-', n(1)))), 800,
			math.E, 0},
		{"exp(x) - exp(x)", op(op(exp(x), '-', exp(x)), '+', x), 800, 800, 1},
		{"no value", fn("ln", op(n(0), '-', exp(x))), 800, math.NaN(), math.NaN()},
		{"infinite", exp(x), 800, math.Inf(1), math.Inf(1)},
	} {
		tp, err := Compile([]notation.Node{c.tree}, 1, inputs("x"))
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		out, jac := []float64{0}, []float64{0}
		// The argument of an exponential near 1000 has a unit of 1e-13 in its last place.
		close := func(got, want float64) bool {
			return got == want || got != got && want != want || math.Abs(got-want) <= 2e-12*math.Abs(want)+
				1e-12*math.Abs(c.value)
		}
		if tp.Eval([]float64{c.at}, out); !close(out[0], c.value) {
			t.Errorf("%s at %g is %.15g, want %.15g", c.what, c.at, out[0], c.value)
		}
		if tp.Jacobian([]float64{c.at}, out, jac); !close(out[0], c.value) || !close(jac[0], c.slope) {
			t.Errorf("%s at %g is %.15g with the slope %.15g, want %.15g and %.15g", c.what, c.at, out[0], jac[0],
				c.value, c.slope)
		}
	}
}

// After the first time nothing is allocated.
func TestBeyondAllocates(t *testing.T) {
	x := name("x")
	tree := &notation.Binary{Op: '/', X: fn("exp", x), Y: fn("cosh", x)}
	tp, err := Compile([]notation.Node{tree}, 1, inputs("x"))
	if err != nil {
		t.Fatal(err)
	}
	in, out, jac := []float64{900}, []float64{0}, []float64{0}
	if n := testing.AllocsPerRun(10, func() { tp.Jacobian(in, out, jac) }); n > 0 {
		t.Errorf("%g allocations", n)
	}
}
