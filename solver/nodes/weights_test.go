package nodes

import (
	"math"
	"testing"
)

// Every rule that a degree may ask for: all weights are positive, and they integrate 1 and x² on [-1, 1] (n ≥ 2) to 2 and 2/3.
// A library's table once had a hole at n = 26, between the sizes that other tests try.
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
		if math.Abs(sum-2) > 1e-14*math.Sqrt(float64(n))+4e-15 || n > 1 && math.Abs(square-2./3) > 1e-14*math.Sqrt(float64(n)) {
			t.Errorf("n = %d: the weights sum to %.17g, with x² to %.17g", n, sum, square)
		}
	}
}
