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
