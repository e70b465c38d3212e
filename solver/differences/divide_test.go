package differences

import (
	"math"
	"testing"

	"nodespan/solver/bvp"
)

// TestDivide: the fewest points are just enough for every stretch between breaks, one less is refused, and more are
// spread in proportion to the lengths, to one interval.
func TestDivide(t *testing.T) {
	for _, breaks := range [][]float64{nil, {0.5}, {0.1, 0.2}, {0.01, 0.5, 0.99}} {
		for m := 1; m <= 4; m++ {
			for order := 2; order <= Orders; order += 2 {
				p := &bvp.Problem{A: 0, B: 1, Breaks: breaks, Unknowns: []bvp.Unknown{{Order: 1}, {Order: m}}}
				w := &work{p: p, o: Options{Order: order}}
				least := Fewest(p, order) + 1 // intervals
				if w.divide(least-1) != nil {
					t.Errorf("order %d, differences of order %d, breaks %v: %d intervals are enough too", m, order,
						breaks,
						least-1)
				}
				for _, n := range []int{least, least + 1, 3 * least, 1000} {
					held(t, w, n, fewest(m, order))
				}
			}
		}
	}
}

func held(t *testing.T, w *work, n, least int) {
	t.Helper()
	of := w.divide(n)
	x := append(append([]float64{0}, w.p.Breaks...), 1)
	if len(of) != len(x)-1 || total(of) != n {
		t.Errorf("%d intervals between %v are %v", n, x, of)
		return
	}
	spared := 0.0 // what short stretches have beyond their share is taken from the others
	for i, k := range of {
		spared += math.Max(0, float64(k)-float64(n)*(x[i+1]-x[i]))
	}
	for i, k := range of {
		share := float64(n) * (x[i+1] - x[i])
		if k < least || float64(k) > math.Max(share+1, float64(least)) || float64(k) < share-spared-1 {
			t.Errorf("%d intervals between %v are %v, the fewest %d", n, x, of, least)
		}
	}
}
