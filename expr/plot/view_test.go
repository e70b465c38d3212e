package plot

import (
	"math"
	"math/rand"
	"testing"
)

func TestViewStaysInside(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	hostile := []float64{0, 1, -1, math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -1e300, 1e-300, 5e-324}
	number := func() float64 {
		if rng.Intn(4) == 0 {
			return hostile[rng.Intn(len(hostile))]
		}
		return rng.NormFloat64() * math.Pow(10, float64(rng.Intn(7)-3))
	}
	for range 300 {
		a := rng.NormFloat64() * math.Pow(10, float64(rng.Intn(9)-4))
		v := NewView(a, a+math.Pow(10, 6*rng.Float64()-3))
		for range 50 {
			switch rng.Intn(4) {
			case 0:
				v = v.ZoomTo(number(), number())
			case 1:
				v = v.Pan(number())
			case 2:
				v = v.Pinch(number(), number())
			case 3:
				v = v.ZoomTo(v.X0+0.2*(v.X1-v.X0), v.X0+0.3*(v.X1-v.X0))
			}
			if !(v.A <= v.X0 && v.X0 < v.X1 && v.X1 <= v.B) {
				t.Fatalf("the view left its interval: %+v", v)
			}
		}
		if r := v.Reset(); !r.Whole() || r.X0 != v.A || r.X1 != v.B {
			t.Fatalf("reset gives %+v", r)
		}
	}
}

func TestView(t *testing.T) {
	v := NewView(0, 10)
	for _, c := range []struct {
		what   string
		got    View
		x0, x1 float64
	}{
		{"zoom", v.ZoomTo(2, 4), 2, 4},
		{"zoom backwards", v.ZoomTo(4, 2), 2, 4},
		{"zoom beyond the end", v.ZoomTo(8, 14), 8, 10},
		{"pan", v.ZoomTo(2, 4).Pan(1), 3, 5},
		{"pan too far", v.ZoomTo(2, 4).Pan(100), 8, 10},
		{"pan the whole", v.Pan(3), 0, 10},
		{"pinch", v.Pinch(5, 2), 2.5, 7.5},
		{"pinch off centre", v.Pinch(2, 2), 1, 6},
		{"pinch out", v.ZoomTo(2, 4).Pinch(3, 0.5), 1, 5},
		{"pinch out at the end", v.ZoomTo(0, 4).Pinch(1, 0.5), 0, 8},
		{"pinch out beyond the whole", v.ZoomTo(2, 4).Pinch(3, 1e-9), 0, 10},
	} {
		if math.Abs(c.got.X0-c.x0) > 1e-12 || math.Abs(c.got.X1-c.x1) > 1e-12 {
			t.Errorf("%s: %g … %g, want %g … %g", c.what, c.got.X0, c.got.X1, c.x0, c.x1)
		}
	}
	// A view never gets so narrow that its numbers cannot be told apart.
	for range 100 {
		v = v.Pinch(7, 3)
	}
	if w := v.X1 - v.X0; w < 1e-6*10*0.99 {
		t.Errorf("narrowest view is %g wide", w)
	}
}
