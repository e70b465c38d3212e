package derived

import (
	"math"
	"testing"
)

// TestAccident: where the difference to the finer solution cancels in an integral by accident, a share of what it is in
// general is claimed all the same, at least the part that the finer solution still has.
func TestAccident(t *testing.T) {
	for _, c := range []struct{ left, least, most float64 }{
		{math.NaN(), 0.02, 0.1}, {0, 0.02, 0.1}, {0.5, 0.5, 1},
	} {
		d := finer{left: c.left}
		var m moments
		// 1e-6 P1 + 1e-9 over [-1, 1], by the midpoint rule: nearly nothing is left of it.
		const n = 1000
		for i := range n {
			x := -1 + (float64(i)+0.5)*2/n
			m.add([len(m)]float64{1e-6*x + 1e-9}, 2.0/n, x)
		}
		const general = 1e-6 * 2 / 3 // the integral of x P1
		if e := d.error(&m) / general; !(e >= c.least && e <= c.most) {
			t.Errorf("left %v: claimed %.2g of what it is in general, want %v to %v", c.left, e, c.least, c.most)
		}
	}
}
