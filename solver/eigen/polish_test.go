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

// TestStep: a step of Sturm's count by the solutions in closed form: of y” + b y' + a y = 0 these are e^(-b x/2) u,
// where u is a sine or a hyperbolic sine of √|a - b²/4| x.
func TestStep(t *testing.T) {
	for _, c := range []struct {
		a, b, h, y, v float64
		zeros         int
		ratio         float64 // y'/y after the step
	}{
		{9, 0, 1.3, 0, 1, 1, 3 / math.Tan(3.9)},
		{9, 0, 1.3, 1, 0, 1, -3 * math.Tan(3.9)},
		{9, 0, 2.3, 0, 1, 2, 3 / math.Tan(6.9)},
		{10, 2, 1.3, 0, 1, 1, 3/math.Tan(3.9) - 1},
		{-9, 0, 0.4, 0, 1, 0, 3 / math.Tanh(1.2)},
		{-9, 0, 0.4, 1, 0, 0, 3 * math.Tanh(1.2)},
		{-8, 2, 0.4, 0, 1, 0, 3/math.Tanh(1.2) - 1},
		{-9, 0, 5, 1, -3.001, 1, 3}, // falls through zero
		{0, 0, 0.25, 0, 1, 0, 4},
		{0, 0, 0.25, 1, -8, 1, 8},
	} {
		z := &crossing{y: c.y, v: c.v}
		if !z.step(c.a, c.b, c.h) || z.zeros != c.zeros || math.Abs(z.v/z.y-c.ratio) > 1e-3*math.Abs(c.ratio) ||
			c.v != -3.001 && math.Abs(z.v/z.y-c.ratio) > 1e-12*math.Abs(c.ratio) {
			t.Errorf("%+v: %d zeros, %.15g", c, z.zeros, z.v/z.y)
		}
		if top := math.Max(math.Abs(z.y), math.Abs(z.v)); top != 1 {
			t.Errorf("%+v: the state has the size %g", c, top)
		}
	}
}
