package typeset

import (
	"testing"

	"nodespan/expr/notation"
)

func TestCode(t *testing.T) {
	names := namesOf("x | y T | k lambda a_1 L | g/2")
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
		if got, err := Python(n, nil); got != c.python || err != nil {
			t.Errorf("%s in Python: %s, %v; want %s", c.formula, got, err, c.python)
		}
		if got, err := Octave(n, nil); got != c.octave || err != nil {
			t.Errorf("%s in Octave: %s, %v; want %s", c.formula, got, err, c.octave)
		}
	}
	n, err := notation.ParseExpr("2 (k y')'", names)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Python(n, nil); err == nil || err.Error() != "1:3: the derivative of an expression has to be worked "+
		"out before it can be written as a program" {
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
	if got, _ := Python(n, leaf); got != "k*(D1 @ y) + y" {
		t.Error(got)
	}
}
