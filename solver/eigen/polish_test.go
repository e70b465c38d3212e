package eigen

import (
	"math"
	"math/rand/v2"
	"testing"

	"nodespan/solver/bvp"
)

// TestSolveIdentity: the combinations of functions that are 1 at their own anchor and 0 at the others, g·t = 1 for the
// values g at the anchors.
func TestSolveIdentity(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	for m := 1; m <= 3; m++ {
		for range 200 {
			g := make([][]float64, m)
			for i := range g {
				g[i] = make([]float64, m)
				for j := range g[i] {
					g[i][j] = random.NormFloat64()
				}
			}
			rows, ok := solveIdentity(g)
			if !ok {
				t.Fatalf("%v: no solution", g)
			}
			size := 0.0
			for _, row := range rows {
				size = math.Max(size, bvp.Largest(row))
			}
			for l, row := range rows { // combination l at anchor i
				for i := range m {
					sum := 0.0
					for j := range m {
						sum += g[i][j] * row[j]
					}
					want := 0.0
					if i == l {
						want = 1
					}
					// 1e-14 times the growth: rounding of a system of three.
					if math.Abs(sum-want) > 1e-14*(1+10*size) {
						t.Errorf("%v: combination %d is %g at anchor %d", g, l, sum, i)
					}
				}
			}
		}
	}
	if _, ok := solveIdentity([][]float64{{1, 2}, {2, 4}}); ok {
		t.Error("dependent functions have combinations")
	}
}
