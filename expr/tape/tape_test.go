package tape

import (
	"errors"
	"math"
	"testing"

	"nodespan/expr/notation"
)

// near reports whether two values agree within a relative tolerance; NaN agrees with NaN, an infinity with itself.
func near(a, b, tol float64) bool {
	if a == b || a != a && b != b {
		return true
	}
	return math.Abs(a-b) <= tol*math.Max(math.Abs(a), math.Abs(b))
}

func compile(t testing.TB, n notation.Node, keys ...string) *Tape {
	t.Helper()
	tp, err := Compile([]notation.Node{n}, len(keys), inputs(keys...))
	if err != nil {
		t.Fatal(err)
	}
	return tp
}

// TestPoints holds values and derivatives at the places where formulas are apt to go wrong. The
// expected numbers are limits of elementary functions, worked out by hand.
func TestPoints(t *testing.T) {
	x, y := name("x"), name("y")
	nan, inf := math.NaN(), math.Inf(1)
	pow := func(p, q notation.Node) notation.Node { return bin('^', p, q) }
	for _, c := range []struct {
		what         string
		n            notation.Node
		x, y         float64
		v, vx, vy    float64
		notGovaluate bool
	}{
		{"x^2 at 0", pow(x, num(2)), 0, 0, 0, 0, 0, false},
		{"x^3 at 0", pow(x, num(3)), 0, 0, 0, 0, 0, false},
		{"x^1 at 0", pow(x, num(1)), 0, 0, 0, 1, 0, false},
		{"x^0 at 0", pow(x, num(0)), 0, 0, 1, 0, 0, false},
		{"x^y at 0^0", pow(x, y), 0, 0, 1, 0, math.Inf(-1), false},
		{"x^y at 0^2", pow(x, y), 0, 2, 0, 0, 0, false},
		{"x^y at 0^1", pow(x, y), 0, 1, 0, 1, 0, false},
		{"x^y at 2^3", pow(x, y), 2, 3, 8, 12, 8 * math.Ln2, false},
		{"0^y at 2", pow(num(0), y), 0, 2, 0, 0, 0, false},
		{"x^y at (-2)^3", pow(x, y), -2, 3, -8, 12, nan, false},
		{"x^3 at -2", pow(x, num(3)), -2, 0, -8, 12, 0, false},
		{"x^-1 at -2", pow(x, num(-1)), -2, 0, -0.5, -0.25, 0, false},
		{"x^0.5 at -2", pow(x, num(0.5)), -2, 0, nan, nan, 0, false},
		{"x^1.5 at 0", pow(x, num(1.5)), 0, 0, 0, 0, 0, false},
		{"x^1.5 at 4", pow(x, num(1.5)), 4, 0, 8, 3, 0, false},
		{"sqrt at 0", fn("sqrt", x), 0, 0, 0, inf, 0, false},
		{"sqrt at -1", fn("sqrt", x), -1, 0, nan, nan, 0, false},
		{"cbrt at -8", fn("cbrt", x), -8, 0, -2, 1. / 12, 0, false},
		{"ln at 0", fn("ln", x), 0, 0, math.Inf(-1), inf, 0, false},
		{"ln at -1", fn("ln", x), -1, 0, nan, nan, 0, false},
		{"log10 at 1000", fn("log10", x), 1000, 0, 3, 1 / (1000 * math.Ln10), 0, false},
		{"abs at 0", fn("abs", x), 0, 0, 0, 0, 0, false},
		{"abs at -3", fn("abs", x), -3, 0, 3, -1, 0, false},
		{"sign at -3", fn("sign", x), -3, 0, -1, 0, 0, false},
		{"heaviside at 0", fn("heaviside", x), 0, 0, 0.5, 0, 0, false},
		{"heaviside at 2", fn("heaviside", x), 2, 0, 1, 0, 0, false},
		{"min", fn("min", x, y), 2, 3, 2, 1, 0, false},
		{"max", fn("max", x, y), 2, 3, 3, 0, 1, false},
		{"min of nothing", fn("min", fn("ln", x), y), -2, math.Inf(-1), nan, nan, nan, false},
		{"if taken", choose(x, "<", y, bin('*', x, y), fn("ln", x)), -2, 3, -6, 3, -2, false},
		{"if not taken", choose(x, ">", y, fn("sqrt", x), bin('*', x, y)), -2, 3, -6, 3, -2, false},
		{"if at the border", choose(x, "<=", y, num(1), num(2)), 3, 3, 1, 0, 0, false},
		{"if at the border, strict", choose(x, ">=", y, num(1), num(2)), 3, 3, 1, 0, 0, false},
		{"if of nothing", choose(fn("ln", x), "<", y, num(1), num(2)), -1, 3, nan, 0, 0, false},
		{"x/y at 1/0", bin('/', x, y), 1, 0, inf, inf, math.Inf(-1), false},
		{"J1' at 0 is 1/2", fn("J1", x), 0, 0, 0, 0.5, 0, false},
		{"I1' at 0 is 1/2", fn("I1", x), 0, 0, 0, 0.5, 0, false},
		{"e^x", pow(num(math.E), x), 1, 0, math.E, math.E, 0, true},
		{"tanh far out", fn("tanh", x), 20, 0, 1, 4 * math.Exp(-40), 0, false},
	} {
		tp := compile(t, c.n, "x", "y")
		in := []float64{c.x, c.y}
		out, jac := make([]float64, 1), make([]float64, 2)
		tp.Eval(in, out)
		if !near(out[0], c.v, 4e-16) {
			t.Errorf("%s: value %g, want %g", c.what, out[0], c.v)
		}
		tp.Jacobian(in, out, jac)
		if !near(out[0], c.v, 4e-16) || !near(jac[0], c.vx, 1e-15) || !near(jac[1], c.vy, 1e-15) {
			t.Errorf("%s: value %g, derivatives %g; want %g, [%g %g]", c.what, out[0], jac, c.v, c.vx, c.vy)
		}
		g, err := Evaluate(c.n, values([]string{"x", "y"}, in))
		if err != nil || !near(g, c.v, 1e-15) {
			t.Errorf("%s: govaluate says %g, %v; want %g", c.what, g, err, c.v)
		}
	}
}

func TestSharing(t *testing.T) {
	x, y := name("x"), name("y")
	// (x+y)² + sin(y+x) holds x+y twice.
	n := bin('+', bin('^', bin('+', x, y), num(2)), fn("sin", bin('+', y, x)))
	if tp := compile(t, n, "x", "y"); len(tp.code) != 4 {
		t.Errorf("%d instructions, want 4", len(tp.code))
	}
	// 2 pi · x/1 + 0 is one product.
	n = bin('+', bin('/', bin('*', bin('*', num(2), name("pi")), x), num(1)), num(0))
	if tp := compile(t, n, "x"); len(tp.code) != 1 {
		t.Errorf("%d instructions, want 1", len(tp.code))
	}
}

func TestRoots(t *testing.T) {
	x, y := name("x"), name("y")
	in := []float64{3, 5}
	tp, err := Compile([]notation.Node{y, num(7), bin('*', x, y), y}, 2, inputs("x", "y"))
	if err != nil {
		t.Fatal(err)
	}
	out, jac := make([]float64, 4), make([]float64, 8)
	for i := range jac {
		jac[i] = math.NaN()
	}
	for _, tp := range []*Tape{tp, tp.Clone()} {
		tp.Jacobian(in, out, jac)
		for i, want := range []float64{5, 7, 15, 5} {
			if out[i] != want {
				t.Errorf("root %d is %g, want %g", i, out[i], want)
			}
		}
		for i, want := range []float64{0, 1, 0, 0, 5, 3, 0, 1} {
			if jac[i] != want {
				t.Errorf("derivatives %g", jac)
				break
			}
		}
	}
	if in[0] != 3 || in[1] != 5 {
		t.Error("inputs were changed")
	}
}

func TestFaults(t *testing.T) {
	at := notation.Span{From: notation.Pos{Offset: 4, Line: 1, Column: 5}, To: 5}
	x := name("x")
	for _, c := range []struct {
		n    notation.Node
		want string
	}{
		{bin('+', x, &notation.Name{Sp: at, Name: "q"}), "1:5: “q” has no value here"},
		{fn("sin", &notation.Jet{Sp: at, Name: "y", Order: 1}), "1:5: “y” has no value here"},
		{neg(&notation.Compare{Sp: at, Op: "<", X: x, Y: x}), "1:5: a comparison has no value outside if(…); write " +
			"if(x < 1, 2, 3)"},
		{&notation.Diff{Sp: at, Order: 1, X: x}, "1:5: the derivative of an expression has to be worked out before " +
			"it can be evaluated"},
		{&notation.Call{Sp: at, Func: "k", Args: []notation.Node{x}}, "1:5: no function “k” of 1 arguments"},
		{&notation.Call{Sp: at, Func: "sin", Args: []notation.Node{x, x}}, "1:5: no function “sin” of 2 arguments"},
		{fn("if", &notation.Name{Sp: at, Name: "x"}, x, x), "1:5: the first part of if(…) must be a comparison; " +
			"write if(x < 1, 2, 3)"},
	} {
		_, err := Compile([]notation.Node{c.n}, 1, inputs("x"))
		var fault *notation.Error
		if !errors.As(err, &fault) || err.Error() != c.want {
			t.Errorf("Compile says %v, want %s", err, c.want)
		}
		_, err = Evaluate(c.n, values([]string{"x"}, []float64{1}))
		if !errors.As(err, &fault) || err.Error() != c.want {
			t.Errorf("Govaluate says %v, want %s", err, c.want)
		}
	}
}

// fiveOperations is a formula of five operations: x*y + y/(x+2) - y.
func fiveOperations() notation.Node {
	x, y := name("x"), name("y")
	return bin('-', bin('+', bin('*', x, y), bin('/', y, bin('+', x, num(2)))), y)
}

func TestNoAllocation(t *testing.T) {
	x, y := name("x"), name("y")
	roots := []notation.Node{fiveOperations(), bin('^', x, y)}
	for f, args := range notation.Functions {
		switch {
		case args == 1:
			roots = append(roots, fn(f, x))
		case args == 2:
			roots = append(roots, fn(f, x, y))
		case f == "if":
			roots = append(roots, choose(x, "<", y, x, y))
		}
	}
	tp, err := Compile(roots, 2, inputs("x", "y"))
	if err != nil {
		t.Fatal(err)
	}
	in, out, jac := []float64{0.5, 1.5}, make([]float64, len(roots)), make([]float64, 2*len(roots))
	if n := testing.AllocsPerRun(100, func() { tp.Eval(in, out) }); n != 0 {
		t.Errorf("Eval allocates %g times", n)
	}
	if n := testing.AllocsPerRun(100, func() { tp.Jacobian(in, out, jac) }); n != 0 {
		t.Errorf("Jacobian allocates %g times", n)
	}
}

func BenchmarkEval(b *testing.B) {
	tp := compile(b, fiveOperations(), "x", "y")
	in, out := []float64{0.5, 1.5}, make([]float64, 1)
	b.ReportAllocs()
	for b.Loop() {
		tp.Eval(in, out)
	}
}

func BenchmarkJacobian(b *testing.B) {
	tp := compile(b, fiveOperations(), "x", "y")
	in, out, jac := []float64{0.5, 1.5}, make([]float64, 1), make([]float64, 2)
	b.ReportAllocs()
	for b.Loop() {
		tp.Jacobian(in, out, jac)
	}
}

func BenchmarkGovaluate(b *testing.B) {
	n, value := fiveOperations(), values([]string{"x", "y"}, []float64{0.5, 1.5})
	for b.Loop() {
		if _, err := Evaluate(n, value); err != nil {
			b.Fatal(err)
		}
	}
}
