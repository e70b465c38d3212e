package unbounded

import (
	"math"
	"testing"

	"nodespan/solver/bvp"
)

// The terms of y” = λ y balance at a length of 1/√λ, with what is guessed of λ, and 1 where nothing is.
func TestLengthScale(t *testing.T) {
	p := &bvp.Problem{A: 0, B: math.Inf(1), Unknowns: []bvp.Unknown{{Name: "y", Order: 2}},
		Parameters: []bvp.Parameter{{Name: "lambda"}},
		Equations: func(_ float64, in, f, df []float64) {
			f[0] = in[2] - in[3]*in[0]
			if df != nil {
				df[0], df[1], df[2], df[3] = -in[3], 0, 1, -in[0]
			}
		}}
	if got := lengthScale(p); got != 1 {
		t.Errorf("without a guess: %g", got)
	}
	p.Parameters[0].Guess, p.Parameters[0].HasGuess = 400, true
	if got := lengthScale(p); math.Abs(got-0.05) > 1e-15 {
		t.Errorf("λ near 400: %g, want 1/20", got)
	}
}

// TestLengthScales: the length at which terms balance, from y” = c y + e y'; 1 where nothing stands beside the highest
// derivative, and never beyond nine powers of ten.
func TestLengthScales(t *testing.T) {
	inf := math.Inf(1)
	for _, k := range []struct{ a, b, c, e, want float64 }{
		{0, inf, 1, 0, 1}, {0, inf, 1e-6, 0, 1e3}, {0, inf, 1e8, 0, 1e-4}, {0, inf, 0, 100, 1e-2},
		{0, inf, 1e4, 10, 1e-2}, {0, inf, 0, 0, 1}, {-inf, 2, 4, 0, 0.5}, {-inf, inf, 4, 0, 0.5},
		{0, inf, 1e-30, 0, 1e9}, {0, inf, 1e30, 0, 1e-9},
	} {
		p := &bvp.Problem{A: k.a, B: k.b, Unknowns: []bvp.Unknown{{Name: "y", Order: 2}},
			Equations: func(_ float64, in, f, df []float64) {
				f[0] = in[2] - k.c*in[0] - k.e*in[1]
				df[0], df[1], df[2] = -k.c, -k.e, 1
			}}
		if got := lengthScale(p); math.Abs(got-k.want) > 1e-12*k.want {
			t.Errorf("y'' = %g y + %g y' from %g to %g: %g, want %g", k.c, k.e, k.a, k.b, got, k.want)
		}
	}
}
