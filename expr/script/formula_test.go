package script

import (
	"strings"
	"testing"

	"nodespan/expr/lesson"
	"nodespan/expr/notation"
	"nodespan/expr/sheet/sheettest"
	"nodespan/expr/tape"
	"nodespan/expr/typeset"
	"nodespan/solver/nodes"
)

// What is left of a formula without its unknowns, as it stands on the right side of a program's system.
func TestWithoutUnknowns(t *testing.T) {
	names := &notation.Names{Variable: "x", Unknowns: map[string]bool{"y": true}, Constants: map[string]bool{"k": true}}
	for formula, want := range map[string]string{
		"y'' + 4 y":                        "",
		"y'' - x - k":                      "-x - k",
		"y'' + (x - y) k":                  "x k",
		"if(x < 2, 3 + y, 4 y) + 2 x y'":   "if(x < 2, 3, 0)",
		"if(x > k, y, x) + y/2 + sin(x)/k": "if(x > k, 0, x) + sin(x)/k",
		"if(x < 2, y, y')":                 "",
	} {
		list, err := notation.Split(formula + " = 0")
		if err != nil {
			t.Fatal(err)
		}
		r, err := list[0].Parse(0, names)
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if n := withoutUnknowns(r.Sides[0]); n != nil {
			got = typeset.Plain(n)
		}
		if got != want {
			t.Errorf("%s: %q, want %q", formula, got, want)
		}
	}
}

func TestCode(t *testing.T) {
	names := &notation.Names{Variable: "x", Unknowns: map[string]bool{"y": true, "T": true},
		Constants: map[string]bool{"k": true, "lambda": true, "a_1": true, "L": true}, Abbrevs: map[string]int{"g": 2}}
	for _, c := range []struct{ formula, python, octave string }{
		{"y'' + 4 y", "d2y + 4*y", "d2y + 4 .* y"},
		{"-x^2", "-x**2", "-x.^2"},
		{"(-x)^2", "(-x)**2", "(-x).^2"},
		{"x^-2", "x**(-2)", "x.^(-2)"},
		{"a_1/(k L)/2", "a_1/(k*L)/2", "a_1./(k .* L)./2"},
		{"a_1 (k/L)", "a_1*(k/L)", "a_1 .* (k./L)"},
		{"lambda pi e", "lambda_*np.pi*np.e", "lambda .* pi .* e"},
		{"x - (k - 1)", "x - (k - 1)", "x - (k - 1)"},
		{"x^(2^3)", "x**(2**3)", "x.^(2.^3)"},
		{"(x^2)^3", "(x**2)**3", "(x.^2).^3"},
		{"if(x < 0.4, 2, 5)", "np.where(x < 0.4, 2, 5)", "merge(x < 0.4, 2, 5)"},
		{"ln(x) + asin(x) + min(x, 1)", "np.log(x) + np.arcsin(x) + np.minimum(x, 1)", "log(x) + asin(x) + min(x, 1)"},
		{"1/sec(x)", "1/(1/np.cos(x))", "1./sec(x)"},
		{"T'(0) - y(L)", "dT(0) - y(L)", "dT(0) - y(L)"},
		{"007 + 1e-3 + .5", "7 + 1e-3 + .5", "7 + 1e-3 + .5"},
		{"g(x, 2) + K0(x)", "g(x, 2) + bessel_k(0, x)", "g(x, 2) + besselk(0, x)"},
	} {
		n, err := notation.ParseExpr(c.formula, names)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := python.Code(n, nil); got != c.python || err != nil {
			t.Errorf("%s in Python: %s, %v; want %s", c.formula, got, err, c.python)
		}
		if got, err := octave.Code(n, nil); got != c.octave || err != nil {
			t.Errorf("%s in Octave: %s, %v; want %s", c.formula, got, err, c.octave)
		}
	}
	n, err := notation.ParseExpr("2 (k y')'", names)
	if err != nil {
		t.Fatal(err)
	}
	const worked = "1:3: the derivative of an expression has to be worked out before it can be written as a program"
	if _, err := python.Code(n, nil); err == nil || err.Error() != worked {
		t.Error(err)
	}
	leaf := func(n notation.Node) string {
		if j, ok := n.(*notation.Jet); ok && j.Order == 1 {
			return "(D1 @ y)"
		}
		return ""
	}
	n, err = notation.ParseExpr("k y' + y", names)
	if err != nil {
		t.Fatal(err)
	}
	if got, _ := python.Code(n, leaf); got != "k*(D1 @ y) + y" {
		t.Error(got)
	}
}

// TestDerivedCode prints derivatives that lead out of the functions a sheet may hold.
func TestDerivedCode(t *testing.T) {
	for formula, want := range map[string]string{
		"J1(x)":     "(besselj(0, x) - besselj(2, x))./2",
		"airyAi(x)": "real(airy(1, x))",
		"gamma(x)":  "gamma(x) .* psi(0, x)",
	} {
		n, err := notation.ParseExpr(formula, &notation.Names{Variable: "x"})
		if err != nil {
			t.Fatal(err)
		}
		d := tape.Total(n, "x")
		if got, err := octave.Code(d, nil); got != want || err != nil {
			t.Errorf("%s: %s, %v, want %s", formula, got, err, want)
		}
		if _, err := python.Code(d, nil); (err == nil) != (formula == "J1(x)") {
			t.Errorf("%s in Python: %v; numpy has no digamma function and no derivative of Ai", formula, err)
		}
	}
}

// TestPrograms: the formulas of every family of nodes are read and printed in every language.
func TestPrograms(t *testing.T) {
	for _, l := range languages {
		w := &writer{Language: l}
		for _, f := range nodes.Families() {
			p := f.Program()
			for _, formula := range []string{p.Nodes, p.Alpha, p.Beta} {
				if formula != "" && w.ofNodes(formula) == "" {
					t.Errorf("%s: %s is empty in %s", f, formula, l.Name)
				}
			}
		}
	}
}

// Plain steps from zero that reach a solution of whatever size are left to the program: it has no start of its own.
func TestStartOfLargeSolution(t *testing.T) {
	for text, own := range map[string]bool{
		"y'' = -3 exp(y)\ny(0) = 0\ny(1) = 0":        false,
		"y'' = -3e7 exp(1e-7 y)\ny(0) = 0\ny(1) = 0": false,
		"1e-6 y'' = y^3\ny(0) = 1\ny(1) = 2":         false,
		"y'' = y^5\ny(0) = 1000\ny(1) = 2000":        true,
	} {
		sh := sheettest.Read(t, text)
		l, err := lesson.New(sh, lesson.Options{Nodes: 8})
		if err != nil {
			t.Fatal(err)
		}
		program, err := python.Write(l)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(program, "two figures"); got != own {
			t.Errorf("%s: begins with numbers of its own: %v", text, got)
		}
	}
}
