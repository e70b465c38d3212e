package derived_test

import (
	"math"
	"testing"

	"nodespan/expr/report"
	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// TestToInfinity holds reports that go to infinity to closed forms; NaN: there is no number.
func TestToInfinity(t *testing.T) {
	none := math.NaN()
	for _, c := range []struct {
		sheet, report string
		tol, want     float64
	}{
		{"y'' = y; y(0)=1; y(inf)=0; 0<=x<inf", "integral(1/(1+x)^2)", 1e-8, 1},
		{"y'' = y; y(0)=1; y(inf)=0; 0<=x<inf", "integral(1/(1+x)^1.5)", 1e-8, 2},
		{"y'' = y; y(0)=1; y(inf)=0; 0<=x<inf", "y(inf)", 1e-8, 0},
		{"y'' = y; y(0)=1; y(inf)=0; 0<=x<inf", "integral(abs(y'))", 1e-8, 1},
		{"y'' = y; y(0)=1; y(inf)=0; 0<=x<inf", "integral(1/(1+x))", 1e-8, none},
		{"y'' = y; y(0)=1; y(inf)=0; 0<=x<inf", "integral(1/(1+x)^3 + 1e-4/(1+x))", 1e-8, none},
		{"y'' = y; y(0)=1; y(inf)=0; 0<=x<inf", "integral(1/(2+x)/log(2+x)^2)", 1e-8, none}, // exists; too slow to tell
		{"y' = -3 y/(1+x); y(0)=1; 0<=x<inf", "integral(y)", 1e-5, 0.5},
		{"y' = -3 y/(1+x); y(0)=1; 0<=x<inf", "integral(x y)", 1e-5, 0.5},
		{"y' = -3 y/(1+x); y(0)=1; 0<=x<inf", "integral(abs(y'))", 1e-5, 1},
		{"y' = -3 y/(1+x); y(0)=1; 0<=x<inf", "integral(x^2 y)", 1e-5, none},
		{"y'' = y - 1; y(0)=0; y(inf)=1; 0<=x<inf", "y(inf)", 1e-8, 1},
		{"y'' = y - 1; y(0)=0; y(inf)=1; 0<=x<inf", "integral(1 - y)", 1e-8, 1},
		// e E1(1), Gompertz's constant (by parts; from memory)
		{"y'' = y - 1; y(0)=0; y(inf)=1; 0<=x<inf", "integral(y/(1+x)^2)", 1e-8, 0.5963473623231941},
		{"y'' = y; y(0)=1; y(inf)=0; 0<=x<inf", "largest(x/(1+x))", 1e-8, 1},
		{"y'' = y; y(0)=1; y(-inf)=0; -inf<x<=0", "smallest(x/(1-x))", 1e-8, -1},
	} {
		sh := sheettest.Read(t, c.sheet+"; report m = "+c.report)
		s, err := solver.Solve(sh.Problem(), solver.Options{Tol: c.tol})
		if err != nil {
			t.Fatal(err)
		}
		r := report.All(sh, s)[0]
		if math.IsNaN(c.want) {
			if r.Fault == "" {
				t.Errorf("%s, %s: %v ± %.1g, and it has no value", c.sheet, c.report, r.Value, r.Error)
			}
			continue
		}
		off := math.Abs(r.Value - c.want)
		if r.Fault != "" || !(off <= r.Error) || r.Error > 0.03 {
			t.Errorf("%s, %s: %v ± %.1g, want %v (off by %.1g) %s", c.sheet, c.report, r.Value, r.Error, c.want, off,
				r.Fault)
		}
	}
}
