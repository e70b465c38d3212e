package bvptest

import (
	"testing"

	"nodespan/solver"
)

// TestDerivatives holds the derivatives of what is posed to differences, and the problems to their form.
func TestDerivatives(t *testing.T) {
	second := Second(1, 3, 2, 5, func(x, y, d float64) (v, vy, vd float64) { return x*y*y + 3*d, 2 * x * y, 3 })
	third := Scalar(3, 0, 1, func(x float64, y []float64) (float64, []float64) {
		return y[3] - y[1]*y[0] - x, []float64{-y[1], -y[0], 0, 1}
	}, Given(0, 0, 2, 7), Equal(0, 1, 0, 0), Equal(0, 1, 0, 1))
	for _, p := range []*solver.Problem{second, third} {
		if err := solver.Check(p); err != nil {
			t.Error(err)
		}
		if err := solver.CheckDerivatives(p); err != nil {
			t.Error(err)
		}
	}
	if r := second.Conditions[1].Residual([]float64{6}, nil); r != 1 {
		t.Errorf("6 in place of 5 leaves %g", r)
	}
	if at := third.Conditions[0].At[0]; at.X != 0 || at.Derivative != 2 {
		t.Errorf("%+v", at)
	}
	for i, x := range []float64{1, 3} {
		if at := second.Conditions[i].At; len(at) != 1 || at[0] != (solver.PointValue{X: x}) {
			t.Errorf("condition %d stands at %+v", i, at)
		}
	}
}
