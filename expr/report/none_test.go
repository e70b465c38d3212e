package report

import (
	"math"
	"strings"
	"testing"

	"nodespan/expr/sheet"
	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// Numbers that do not exist, or that the errors do not decide, are not given; why is said.
func TestNone(t *testing.T) {
	const square = "y''=2; y(0)=0.25; y(1)=0.25\n" // (x-0.5)^2
	const line = "y''=0; y(0)=-1; y(1)=1\n"        // 2x - 1
	for _, c := range []struct{ text, why string }{
		{square + "report zero(y)", "it cannot be told whether the sign changes near x = 0.5"},
		{square + "report zero(sqrt(y))", "cannot be told"},
		{square + "report largest(1/y)", "grows without bound towards x = 0.5"},
		{square + "report largest(-ln(y))", "grows without bound towards x = 0.5"},
		{square + "report integral(1/y)", "does not exist or cannot be told"},
		{square + "report largest(if(y > 0, 1, 2))", "cannot be told within the error which part holds near x = 0.5"},
		{square + "report if(y(0.5) > 0, 1, 2)", "which part of if(…) holds"},
		{square + "report 1/y(0.5)", "divides by what is 0"},
		{square + "report largest_at(y)", "more than one place: x = 0 and 1"},
		{square + "report largest_at(max(y, 0.1), 0.3, 0.7)", "more than one place"},
		{line + "report largest(1/y)", "grows without bound towards x = 0.5"},
		{line + "report integral(1/y)", "does not exist or cannot be told"},
		{line + "report mean(y, y')", ""},
		{line + "report mean(1, 2x - 1)", "the integral of the weight in mean(1, 2x - 1) is 0"},
		{line + "report zero(y + 1)", "does not change sign"}, // 0 at the left end
		{line + "report zero(max(y, 0))", ""},
		{line + "report zero(y - y)", ""},
		// A layer at the right: elsewhere y is 0 to within its error.
		{"y''=1e4 y; y(0)=0; y(1)=1\nreport zero(y)", "it cannot be told whether the sign changes from x = 0 to"},
	} {
		sh, err := sheet.Read(c.text, sheet.Options{})
		if err != nil {
			if c.why != "" {
				t.Errorf("%s: %v", c.text, err)
			}
			continue
		}
		for _, tol := range []float64{1e-4, 1e-8, 1e-12} {
			r := All(sh, solver.MustSolve(sh.Problem(), solver.Options{Tol: tol}))[0]
			if r.Fault == "" || !strings.Contains(r.Fault, c.why) {
				t.Errorf("%s = %v ± %.1e: %q, want %q", r.Name, r.Value, r.Error, r.Fault, c.why)
			}
		}
	}
}

// A zero at an end is no change of sign, whatever the last bit of a constant says.
func TestEnds(t *testing.T) {
	for _, end := range []string{"-6", "-6.000000000000001", "-5.999999999999999", "-6.00000000000001"} {
		for _, start := range []string{"0", "1e-17", "-1e-17"} {
			for _, tol := range []float64{1e-4, 1e-8, 1e-12} {
				sh := sheettest.Read(t, "y''=-6 x; 0<x<2; y(0)="+start+"; y(2)="+end+
					"\nreport zero(y)\nreport zero(y, 2)")
				r := All(sh, solver.MustSolve(sh.Problem(), solver.Options{Tol: tol}))
				if d := r[0].Value - 1; !(d*d < 1e-28) || r[1].Fault == "" {
					t.Errorf("y(0)=%s, y(2)=%s: %v (%s), %v (%s)", start, end, r[0].Value, r[0].Fault, r[1].Value,
						r[1].Fault)
				}
			}
		}
	}
}

// Integrals of what has no bound or no derivative somewhere, in closed form.
func TestSingularIntegrals(t *testing.T) {
	for formula, want := range map[string]float64{
		"integral(1/sqrt(x))":            2,
		"integral(ln(x))":                -1,
		"integral(x^(-0.6))":             2.5,
		"integral(abs(x - 0.3)^(-0.5))":  2 * (math.Sqrt(0.3) + math.Sqrt(0.7)),
		"integral(ln(abs(x - 0.3)))":     0.3*math.Log(0.3) + 0.7*math.Log(0.7) - 1,
		"integral(cbrt(x - 0.3))":        0.75 * (math.Pow(0.7, 4.0/3) - math.Pow(0.3, 4.0/3)),
		"integral(abs(x - 0.3)^0.3)":     (math.Pow(0.3, 1.3) + math.Pow(0.7, 1.3)) / 1.3,
		"integral(sqrt(1 - x^2))":        math.Pi / 4,
		"integral(1/sqrt(abs(y)))":       2, // y = 2x - 1
		"integral(ln(abs(y)))":           -1,
		"integral(sign(sin(50 x)))":      0.005309649148733837,
		"integral(abs(sin(300 x)))":      0.6365930112690711,
		"largest(sqrt(y))":               1,
		"smallest(ln(2 + y), 0.2, 0.9)":  math.Log(1.4),
		"largest(if(y < 0, -y, y/2))":    1,
		"largest_at(if(x < 0.4, x, -x))": 0.4,
	} {
		sh := sheettest.Read(t, "y''=0; y(0)=-1; y(1)=1\nreport "+formula)
		for _, tol := range []float64{1e-4, 1e-8, 1e-12} {
			r := All(sh, solver.MustSolve(sh.Problem(), solver.Options{Tol: tol}))[0]
			if miss := math.Abs(r.Value - want); !(miss <= r.Error+2e-15) || !(r.Error < 1e-5) {
				t.Errorf("%s at %g = %.15g ± %.1e (%s), want %.15g (off by %.1e)", formula, tol, r.Value, r.Error,
					r.Fault, want, miss)
			}
		}
	}
}

// A sign that changes by a jump at a break changes at the break, to the last bit.
func TestZeroAtBreak(t *testing.T) {
	sh, err := sheet.Read("k = if(x<0.4, 1, 3); (k T')' = 0; 0<x<1; T(0)=0; T(1)=1\nreport zero(T' - 1)",
		sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r := All(sh, solver.MustSolve(sh.Problem(), solver.Options{}))[0]; r.Value != 0.4 || !(r.Error < 1e-14) {
		t.Errorf("%v ± %.1e (%s)", r.Value, r.Error, r.Fault)
	}
}
