package nodes

import (
	"math"
	"testing"
)

// TestMaximum: places in closed form.
func TestMaximum(t *testing.T) {
	for _, c := range []struct {
		f          func(float64) float64
		a, b, want float64
	}{
		{math.Sin, 0, 3, math.Pi / 2},
		{func(x float64) float64 { return x * math.Exp(-x) }, 0, 7, 1},
		{func(x float64) float64 { return -math.Abs(x - 1e-3) }, -1, 1, 1e-3},
		{func(x float64) float64 { return x }, -1, 2, 2},
	} {
		if x := Maximum(c.f, c.a, c.b, 80); math.Abs(x-c.want) > 3e-8 {
			t.Errorf("a maximum at %v, want %v", x, c.want)
		}
	}
	if x := Maximum(math.Sin, 1, 1, 10); x != 1 {
		t.Errorf("in a point: %v", x)
	}
}
