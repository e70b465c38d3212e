package slips

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A banded matrix with rows that reach across, of a known solution; and a singular one.
func TestEliminate(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const n = 40
	a, f, want := make([]float64, n*n), make([]float64, n), make([]float64, n)
	for i := range want {
		want[i] = r.Float64() - 0.5
	}
	for i := range n {
		for j := range n {
			if i-j <= 2 && j-i <= 1 || i == n-1 && j == 0 || i == 0 && j == n-1 {
				a[i*n+j] = r.Float64() - 0.5
				f[i] += a[i*n+j] * want[j]
			}
		}
	}
	for i, v := range eliminate(a, f) {
		if math.Abs(v-want[i]) > 1e-10 {
			t.Errorf("entry %d is %v, want %v", i, v, want[i])
		}
	}
	if eliminate([]float64{1, 1, 1, 1}, []float64{1, 2}) != nil {
		t.Error("a singular matrix has a solution")
	}
}
