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
