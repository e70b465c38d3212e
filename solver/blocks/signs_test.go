package blocks

import (
	"math"
	"testing"
)

// The sequence has about as many signs of each kind, alone and beside one another: within four standard deviations of
// what chance would give.
func TestSigns(t *testing.T) {
	for _, seed := range []uint64{1, 88172645463325252} {
		next, again := Signs(seed), Signs(seed)
		const n = 10000
		sum, beside, last := 0.0, 0.0, 0.0
		for range n {
			v := next()
			if v != again() || math.Abs(v) != 1 {
				t.Fatal(v)
			}
			sum += v
			beside += v * last
			last = v
		}
		if most := 4 * math.Sqrt(n); math.Abs(sum) > most || math.Abs(beside) > most {
			t.Errorf("seed %d: %g, %g", seed, sum, beside)
		}
	}
}
