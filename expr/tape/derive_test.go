package tape

import (
	"math"
	"testing"

	"nodespan/expr/function"
	"nodespan/expr/notation"
)

// value evaluates a tree with x, y and its derivatives given.
func valueAt(t testing.TB, n notation.Node, in ...float64) float64 {
	t.Helper()
	keys := []string{"x", "y'0", "y'1", "y'2", "y'3"}[:len(in)]
	out := make([]float64, 1)
	compile(t, n, keys...).Eval(in, out)
	return out[0]
}

// TestTotal holds derivatives of trees against what a textbook writes.
func TestTotal(t *testing.T) {
	x, y, y1, y2, y3 := name("x"), jet("y", 0), jet("y", 1), jet("y", 2), jet("y", 3)
	k := name("k")
	at0 := &notation.Jet{Name: "y", Order: 1, At: num(0)}
	diff := func(order int, n notation.Node) notation.Node { return &notation.Diff{Order: order, X: n} }
	for _, c := range []struct {
		what    string
		n, want notation.Node
	}{
		{"x", x, num(1)},
		{"k", k, num(0)},
		{"y", y, y1},
		{"y'(0)", at0, num(0)},
		{"k y' with k constant", bin('*', k, y1), bin('*', k, y2)},
		{"x y'", bin('*', x, y1), bin('+', y1, bin('*', x, y2))},
		{"x^2", bin('^', x, num(2)), bin('*', num(2), x)},
		{"x^3", bin('^', x, num(3)), bin('*', num(3), bin('^', x, num(2)))},
		{"k x + 5", bin('+', bin('*', k, x), num(5)), k},
		{"y - x", bin('-', y, x), bin('-', y1, num(1))},
		{"sin(2 x)", fn("sin", bin('*', num(2), x)), bin('*', fn("cos", bin('*', num(2), x)), num(2))},
		{"abs(y)", fn("abs", y), bin('*', fn("sign", y), y1)},
		{"heaviside(x)", fn("heaviside", x), num(0)},
		{"y/x", bin('/', y, x), bin('-', bin('/', y1, x), bin('/', y, bin('^', x, num(2))))},
		{"(x y')'", diff(1, bin('*', x, y1)), bin('+', y2, bin('+', y2, bin('*', x, y3)))},
	} {
		if got := Total(c.n, "x"); !notation.Equal(got, c.want) {
			t.Errorf("derivative of %s is not as expected", c.what)
		}
	}
	// (k y')' with k constant, inside a quotient, keeps the rest of the tree.
	n := bin('/', diff(1, bin('*', k, y1)), x)
	if got := Expand(n, "x"); !notation.Equal(got, bin('/', bin('*', k, y2), x)) {
		t.Error("Expand")
	}
	// (x^2 y'')'' = 2 y'' + 4 x y''' + x^2 y'''' has order 4.
	n = Expand(diff(2, bin('*', bin('^', x, num(2)), y1)), "x")
	if v := valueAt(t, n, 3, 0, 5, 7, 11); v != 2*5+4*3*7+9*11 {
		t.Errorf("(x^2 y')'' = %g", v)
	}
	if got := Partial(bin('*', y1, bin('^', y, num(2))), y); !notation.Equal(got, bin('*', y1, bin('*', num(2), y))) {
		t.Error("Partial")
	}
}

// smooth lists a point or two for every function, where it has a derivative.
var smooth = map[string][]float64{
	"sin": {-2, 0.3, 40}, "cos": {-2, 0.3}, "tan": {-1.2, 0.3, 4}, "sec": {-2, 0.3}, "csc": {-2, 0.3}, "cot": {-2, 0.3},
	"asin": {-0.7, 0.2}, "acos": {-0.7, 0.2}, "atan": {-5, 0.2}, "sinh": {-2, 0.3}, "cosh": {-2, 0.3},
	"tanh": {-2, 0.3},
	"sech": {-2, 0.3}, "csch": {-2, 0.3}, "coth": {-2, 0.3}, "asinh": {-2, 0.3}, "acosh": {1.2, 5},
	"atanh": {-0.7, 0.2},
	"exp":   {-2, 0.3}, "ln": {0.3, 7}, "log10": {0.3, 7}, "sqrt": {0.3, 7}, "cbrt": {-2, 0.3}, "abs": {-2, 0.3},
	"sign": {-2, 0.3}, "heaviside": {-2, 0.3}, "erf": {-0.5, 0, 1.3}, "erfc": {-0.5, 0, 2.3}, "gamma": {-1.4, 0.3, 4.2},
	"J0": {-2, 0.3, 9}, "J1": {-2, 0.3, 9}, "Y0": {0.3, 9}, "Y1": {0.3, 9}, "I0": {-2, 0.3, 9, 40},
	"I1": {-2, 0.3, 9, 40},
	"K0": {0.3, 0.9, 9, 40}, "K1": {0.3, 0.9, 9, 40}, "airyAi": {-15, -2, 0.3, 4, 12},
	"airyAiPrime": {-15, -2, 0.3, 4, 12},
}

// TestDerivatives holds the derivative of every function, and its derivative as a tree up to the third, against
// differences.
func TestDerivatives(t *testing.T) {
	for f, args := range notation.Functions {
		if args == 1 && len(smooth[f]) == 0 {
			t.Errorf("%s is not tested", f)
		}
	}
	x := name("x")
	for f, points := range smooth {
		n := fn(f, bin('*', num(1.5), x))
		for order := 1; order <= 3; order++ {
			d := Total(n, "x")
			value, slope := compile(t, n, "x"), compile(t, d, "x")
			for _, p := range points {
				p /= 1.5
				at := func(x float64) float64 {
					out := make([]float64, 1)
					value.Eval([]float64{x}, out)
					return out[0]
				}
				want, wantErr := difference(at, p)
				out, jac := make([]float64, 1), make([]float64, 1)
				value.Jacobian([]float64{p}, out, jac)
				slope.Eval([]float64{p}, out)
				if !(math.Abs(jac[0]-want) <= wantErr) || !(math.Abs(out[0]-want) <= wantErr) {
					t.Errorf("derivative %d of %s at %g: Jacobian %.15g, tree %.15g; by differences %.15g ± %.1g",
						order, f, 1.5*p, jac[0], out[0], want, wantErr)
				}
				if !(wantErr <= 1e-5*math.Max(1, math.Abs(want))) {
					t.Errorf("derivative %d of %s at %g: the differences are not good enough to test with", order, f,
						1.5*p)
				}
			}
			n = d
		}
	}
}

// difference returns the derivative of f at x by central differences with Richardson's extrapolation (C. J. F. Ridders,
// Accurate computation of F'(x) and F'(x)F”(x), Adv. Eng. Software 4 (1982), 75-76), and a bound of its error.
func difference(f func(float64) float64, x float64) (d, bound float64) {
	const rows = 7
	h := 0.08 * math.Max(0.5, math.Abs(x))
	if x != 0 {
		h = math.Min(h, 0.2*math.Abs(x))
	}
	var table [rows][rows]float64
	bound = math.Inf(1)
	for i := range rows {
		hi, lo := f(x+h), f(x-h)
		table[i][0] = (hi - lo) / (2 * h)
		noise := 4e-15 * (math.Abs(hi) + math.Abs(lo)) / h
		factor := 1.0
		for j := 1; j <= i; j++ {
			factor *= 4
			table[i][j] = table[i][j-1] + (table[i][j-1]-table[i-1][j-1])/(factor-1)
			e := math.Max(math.Abs(table[i][j]-table[i][j-1]), math.Abs(table[i][j]-table[i-1][j-1]))
			if e += 4*noise + 1e-15*math.Abs(table[i][j]); e < bound {
				bound, d = e, table[i][j]
			}
		}
		h /= 2
	}
	return d, bound
}

// TestSaid: every formula that package function says is read.
func TestSaid(t *testing.T) {
	for _, f := range function.All() {
		for _, formula := range []string{f.Differential, f.Switch.At, f.Switch.Other} {
			if formula != "" {
				Tree(formula) // panics
			}
		}
	}
}
