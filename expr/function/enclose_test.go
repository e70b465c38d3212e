package function

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestEnclose: on intervals of all lengths and places, poles inside too, every value of a function and of its
// derivative lies in the bounds.
func TestEnclose(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, f := range All() {
		if f.Value == nil || f.Slope == nil || f.enclose == nil {
			continue
		}
		for range 400 {
			lo := 8 * random.NormFloat64()
			a := Interval{lo, lo + math.Pow(10, 3*random.Float64()-2)}
			v, d := f.Enclose(0, a)
			for k := range 21 {
				x := a.Lo + (a.Hi-a.Lo)*float64(k)/20
				y := f.Value(x)
				if math.IsNaN(y) || math.IsInf(y, 0) {
					continue
				}
				slack := 1e-12 * math.Max(1, math.Abs(y))
				if y < v.Lo-slack || y > v.Hi+slack {
					t.Errorf("%s at %g is %g, outside %v, its bounds on %v", f.Name, x, y, v, a)
					break
				}
				s := f.Slope(x, y)
				if slack = 1e-10 * math.Max(1, math.Abs(s)); s < d.Lo-slack || s > d.Hi+slack {
					t.Errorf("the derivative of %s at %g is %g, outside %v, its bounds on %v", f.Name, x, s, d, a)
					break
				}
			}
		}
	}
}
