package adapt

import (
	"math"
	"testing"

	"nodespan/solver/bvp"
)

// TestSoughtNumberIsRelative: y” + λ y = 0 on [0, L] with y(0) = y(L) = 0, y'(0) = 1 has λ = (π/L)². The error of a sought number counts
// relative to it above 1.
func TestSoughtNumberIsRelative(t *testing.T) {
	const length = 1e-5
	want := math.Pi / length * math.Pi / length
	p := &bvp.Problem{A: 0, B: length, Unknowns: []bvp.Unknown{{Name: "y", Order: 2}},
		Parameters: []bvp.Parameter{{Name: "lambda", Guess: 9.8e10, HasGuess: true}},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[2] + in[3]*in[0]
			if df != nil {
				df[0], df[1], df[2], df[3] = in[3], 0, 1, in[0]
			}
		},
		Conditions: []bvp.Condition{value(0, 0, 0), value(length, 0, 0), value(0, 1, 1)}}
	for _, tol := range []float64{1e-4, 1e-8, 1e-12} {
		a := One(p, Options{Tol: tol}, 0)
		if !a.Met {
			t.Fatalf("tolerance %g: not met: %s", tol, a.Reason)
		}
		got, claimed := a.Curve.Grid().Parameters(a.Curve.V)[0], a.Estimate.Parameters[0]
		if err := math.Abs(got - want); err > claimed || claimed > tol*want {
			t.Errorf("tolerance %g: λ = %.17g ± %.1g, off by %.1g", tol, got, claimed, err)
		}
	}
}

// TestFarInterval: y” = sin x from a to a + 1 with zero ends is −sin x and the straight line between its values there. Far from 0 the nodes
// are rounded, which the problem shows by its values alone here; the error claimed covers that, and is not a thousand times too large.
func TestFarInterval(t *testing.T) {
	for _, a := range []float64{1e3, -1e5, 1e6, -1e7, 3e8} {
		b := a + 1
		p := second(a, b, 0, 0, func(x, y, d float64) (v, vy, vd float64) { return math.Sin(x), 0, 0 })
		answer := One(p, Options{Tol: 1e-13}, 0)
		if answer.Curve == nil {
			t.Fatalf("from %g: %s", a, answer.Reason)
		}
		jet, err := make([]float64, 3), make([]float64, 3)
		worst, claimed := 0.0, 0.0
		for i := range 100 {
			x := a + (float64(i)+0.5)/100
			answer.Curve.At(x, jet)
			answer.Estimate.At(x, err)
			want := math.Sin(a) - math.Sin(x) + (math.Sin(b)-math.Sin(a))*(x-a)
			worst, claimed = math.Max(worst, math.Abs(jet[0]-want)), math.Max(claimed, err[0])
		}
		if worst > claimed || claimed > 100*worst {
			t.Errorf("from %g: off by %.2g, claimed %.2g", a, worst, claimed)
		}
	}
}
