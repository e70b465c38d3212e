package solver

import (
	"math"
	"testing"

	"nodespan/solver/bvp/bvptest"
)

// TestUnclaim: where a solution fell short beside a singular end, nothing is claimed of the derivatives in the element
// at this end, and nothing of anything where the error is large or unknown; beside regular ends claims stay.
func TestUnclaim(t *testing.T) {
	mesh := []float64{0, 0.25, 0.75, 1}
	// (x − s) y″ + y′ = 0
	singularAt := func(s float64) *Problem {
		return bvptest.Scalar(2, 0, 1, func(x float64, y []float64) (float64, []float64) {
			return (x-s)*y[2] + y[1], []float64{0, 1, x - s}
		}, bvptest.Given(0, 0, 0, 1), bvptest.Given(1, 0, 0, 2))
	}
	const none, slopes, all = 0, 1, 2
	for _, c := range []struct {
		singular, relative, x float64
		gone                  int
	}{
		{0, 1e-3, 0, slopes}, {0, 1e-3, 0.25, slopes}, {0, 1e-3, 0.26, none}, {0, 1e-3, 1, none},
		{1, 1e-3, 1, slopes}, {1, 1e-3, 0.75, slopes}, {1, 1e-3, 0.74, none}, {1, 1e-3, 0, none},
		{0, 0.9 * hopeless, 0.5, none}, {0, 1.1 * hopeless, 0.5, all}, {0, math.NaN(), 0.5, all}, {1, 0.5, 0, all},
		{-1, 0.5, 0, none}, {-1, math.NaN(), 1, none},
	} {
		err := []float64{1e-5, 1e-4, 1e-3}
		unclaim(singularAt(c.singular), mesh, c.relative, c.x, err)
		for d, e := range err {
			if want := c.gone == all || c.gone == slopes && d > 0; math.IsInf(e, 1) != want {
				t.Errorf("singular at %g, relative error %g: at %g derivative %d claims %g", c.singular, c.relative,
					c.x, d, e)
			}
		}
	}
}
