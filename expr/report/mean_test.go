package report

import (
	"math"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// The error of a mean is that of the integral divided by the integral of the weight, be that small or large.
func TestErrorOfMean(t *testing.T) {
	for _, c := range []struct {
		text   string
		weight float64 // its integral
	}{
		{"L = 1e-3\nreport mean(y)\nreport integral(y)", 1e-3},
		{"L = 1e3\nreport mean(y)\nreport integral(y)", 1e3},
		{"L = 4\nreport mean(y, x)\nreport integral(x y)", 8},
	} {
		sh := sheettest.Read(t, "y'' = (pi/L)^2 (y - 1)\ny(0) = 0\ny(L) = 0\n"+c.text)
		r := All(sh, solver.MustSolve(sh.Problem(), solver.Options{Tol: 1e-5}))
		mean, integral := r[0], r[1]
		// The error of the weight's integral adds a little.
		if want := integral.Error / c.weight; !(math.Abs(mean.Error-want) <= 1e-3*want) {
			t.Errorf("%s: the error of the mean is %.3e, that of the integral %.3e", c.text, mean.Error, integral.Error)
		}
		if want := integral.Value / c.weight; !(math.Abs(mean.Value-want) <= 1e-12*want) {
			t.Errorf("%s: the mean is %v, the integral %v", c.text, mean.Value, integral.Value)
		}
	}
}

// The tail of a narrow pulse beside the stretch that its core stands in belongs to the integral: sqrt(pi) w, from minus
// to plus infinity, of which the ends cut nothing (M. Abramowitz, I. A. Stegun, 7.4.1).
func TestTailOfPulse(t *testing.T) {
	sh := sheettest.Read(t, "y'' = 0\ny(0) = 2\ny(1) = 3\nw = 0.0002\nreport integral(exp(-((x - 0.8759)/w)^2) y)\n"+
		"report integral(exp(-abs(x - 0.8759)/w))")
	r := All(sh, solver.MustSolve(sh.Problem(), solver.Options{Tol: 1e-11}))
	for i, want := range []float64{math.Sqrt(math.Pi) * 0.0002 * 2.8759, 2 * 0.0002} {
		if off := math.Abs(r[i].Value - want); !(off <= r[i].Error+1e-15*want) {
			t.Errorf("%s is %.17g ± %.1g, want %.17g", r[i].Name, r[i].Value, r[i].Error, want)
		}
	}
}
