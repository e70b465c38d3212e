package nodes

import (
	"math"
	"testing"
)

// Every rule that a degree may ask for: all weights are positive, and they integrate 1 and x² on [-1, 1] (n ≥ 2) to 2
// and 2/3. A library's table once had a hole at n = 26, between the sizes that other tests try.
func TestEveryGaussRule(t *testing.T) {
	for n := 1; n <= 300; n++ {
		x, w := Gauss(n)
		sum, square := 0.0, 0.0
		for i := range x {
			if !(w[i] > 0) {
				t.Errorf("n = %d: weight %d is %g", n, i, w[i])
			}
			sum += w[i]
			square += w[i] * x[i] * x[i]
		}
		if math.Abs(sum-2) > 1e-14*math.Sqrt(float64(n))+4e-15 ||
			n > 1 && math.Abs(square-2./3) > 1e-14*math.Sqrt(float64(n)) {
			t.Errorf("n = %d: the weights sum to %.17g, with x² to %.17g", n, sum, square)
		}
	}
}

// The outermost weight of 26 points, by mpmath in 40 digits: 2/((1 - x²) P'_26(x)²) at x = 0.99588570114561692900….
func TestGauss26(t *testing.T) {
	x, w := Gauss(26)
	if want := 0.010551372617343007; math.Abs(w[0]-want) > 4e-16 || w[0] != w[25] ||
		math.Abs(x[25]-0.9958857011456169) > 2e-16 {
		t.Errorf("%.17g, %.17g at %.17g; want %.17g", w[0], w[25], x[25], want)
	}
}
