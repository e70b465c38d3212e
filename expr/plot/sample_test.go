package plot

import (
	"math"
	"reflect"
	"sort"
	"testing"
)

// curves are functions with a feature that an even grid would miss or waste points on. seeds are places that a solver's
// mesh would have.
var curves = []struct {
	name  string
	f     func(float64) float64
	a, b  float64
	seeds []float64
	most  int // points
}{
	{"line", func(x float64) float64 { return 3*x - 1 }, 0, 1, nil, 126},
	{"constant", func(x float64) float64 { return 7 }, -2, 5, nil, 126},
	{"rounding", func(x float64) float64 { return 7 + 1e-15*math.Sin(1e6*x) }, -2, 5, nil, 126},
	{"parabola", func(x float64) float64 { return x * x }, -1, 1, nil, 300},
	{"sine", func(x float64) float64 { return math.Sin(40 * x) }, 0, 1, nil, 2000},
	{"fin", func(x float64) float64 { return math.Cosh(2*(1-x)) / math.Cosh(2) }, 0, 1, legendre5, 300},
	{"boundary layer", func(x float64) float64 { return 1 - math.Exp(-x/1e-5) }, 0, 1, []float64{1e-6, 1e-5, 1e-4},
		400},
	{"boundary layer, no seeds", func(x float64) float64 { return 1 - math.Exp(-x/1e-3) }, 0, 1, nil, 400},
	{"front", func(x float64) float64 { return math.Tanh((x - 0.3) / 1e-5) }, 0, 1, []float64{0.29999, 0.3, 0.30001},
		400},
	{"spike", func(x float64) float64 { return math.Exp(-math.Pow((x-0.3)/1e-4, 2)) }, 0, 1,
		[]float64{0.2998, 0.2999, 0.3, 0.3001, 0.3002}, 400},
	{"root", math.Sqrt, 0, 1, nil, 300},
	{"kink", func(x float64) float64 { return math.Abs(x - 0.123) }, 0, 1, nil, 200},
	{"large", func(x float64) float64 { return 1e200 * math.Sin(x) }, 0, 3, nil, 300},
	{"small", func(x float64) float64 { return 1e-200 * math.Sin(x) }, 0, 3, nil, 300},
	{"far away", func(x float64) float64 { return math.Cos((x - 1e6) * 5) }, 1e6, 1e6 + 1, nil, 500},
}

// TestSampleDeviation measures the drawn line against the curve on a grid sixteen times as fine as the pixels: the
// distance in pixels from each point of the curve to the nearest part of the line.
func TestSampleDeviation(t *testing.T) {
	const width, height = 1000.0, 400.0
	for _, c := range curves {
		x, ys := Sample(func(x float64, out []float64) { out[0] = c.f(x) }, 1, c.a, c.b,
			Sampling{Width: width, Height: height, Seeds: c.seeds})
		y := ys[0]
		if x[0] != c.a || x[len(x)-1] != c.b || len(x) != len(y) {
			t.Fatalf("%s: %d points from %g to %g, %d values", c.name, len(x), x[0], x[len(x)-1], len(y))
		}
		if !sort.Float64sAreSorted(x) {
			t.Errorf("%s: points are not ascending", c.name)
		}
		if len(x) > c.most {
			t.Errorf("%s: %d points, want at most %d", c.name, len(x), c.most)
		}
		for _, s := range c.seeds {
			if i := sort.SearchFloat64s(x, s); s > c.a && s < c.b && x[i] != s {
				t.Errorf("%s: seed %g is not among the points", c.name, s)
			}
		}
		e := nothing()
		for _, v := range y {
			e.add(v)
		}
		span := e.hi - e.lo
		if span <= 1e-11*math.Abs(e.hi) {
			span = math.Abs(e.hi)
		}
		sx, sy := width/(c.b-c.a), height/span
		worst, at := 0.0, 0.0
		const n = 16 * width
		for i := 0.0; i <= n; i++ {
			v := c.a + (c.b-c.a)*i/n
			f := c.f(v)
			k := sort.SearchFloat64s(x, v)
			d := math.Inf(1)
			for j := max(k-2, 1); j <= min(k+2, len(x)-1); j++ {
				d = math.Min(d, distance((v-x[j-1])*sx, (f-y[j-1])*sy, (x[j]-x[j-1])*sx, (y[j]-y[j-1])*sy))
			}
			if d > worst {
				worst, at = d, v
			}
		}
		if worst > 0.3 {
			t.Errorf("%s: the line is %.2f px off at %g", c.name, worst, at)
		}
		// The same again gives the same points.
		x2, y2 := Sample(func(x float64, out []float64) { out[0] = c.f(x) }, 1, c.a, c.b,
			Sampling{Width: width, Height: height, Seeds: c.seeds})
		if !reflect.DeepEqual(x, x2) || !reflect.DeepEqual(ys, y2) {
			t.Errorf("%s: a second run differs", c.name)
		}
	}
}

// distance is that of (px, py) from the segment (0, 0) … (dx, dy).
func distance(px, py, dx, dy float64) float64 {
	s := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		s = math.Min(math.Max((px*dx+py*dy)/l, 0), 1)
	}
	return math.Hypot(px-s*dx, py-s*dy)
}

func TestSampleSeveral(t *testing.T) {
	calls := 0
	x, y := Sample(func(x float64, out []float64) {
		calls++
		out[0], out[1] = math.Sin(x), 1e9*math.Cos(3*x)
	}, 2, 0, 6, Sampling{})
	if len(y) != 2 || len(y[0]) != len(x) || len(y[1]) != len(x) {
		t.Fatalf("%d points, %d series", len(x), len(y))
	}
	for k, v := range x {
		if y[0][k] != math.Sin(v) || y[1][k] != 1e9*math.Cos(3*v) {
			t.Fatalf("values at %g are not the functions'", v)
		}
	}
	if calls > 3*len(x) {
		t.Errorf("%d evaluations for %d points", calls, len(x))
	}
}

func TestSampleBounded(t *testing.T) {
	noise := func(x float64, out []float64) { out[0] = math.Sin(1e9 * x * x) }
	seeds := even(0, 1, 100000)
	for _, most := range []int{1, 50, 2000} {
		x, _ := Sample(noise, 1, 0, 1, Sampling{Max: most, Seeds: seeds})
		if len(x) > max(most, 16) {
			t.Errorf("%d points where %d are allowed", len(x), most)
		}
	}
	if !reflect.DeepEqual(seeds, even(0, 1, 100000)) {
		t.Error("the seeds were changed")
	}
}

func TestSampleGaps(t *testing.T) {
	// Undefined left of 1/3: the edge is found to a small part of a pixel.
	x, y := Sample(func(x float64, out []float64) { out[0] = math.Sqrt(x - 1.0/3) }, 1, 0, 1,
		Sampling{Width: 500, Height: 300})
	for i, v := range y[0] {
		if !math.IsNaN(v) {
			if off := (x[i] - 1.0/3) * 500; off < 0 || off > 0.35 {
				t.Errorf("the curve starts %g px from its edge", off)
			}
			break
		}
	}
	// A pole is not followed for ever.
	x, _ = Sample(func(x float64, out []float64) { out[0] = 1 / (x - 0.5) }, 1, 0, 1, Sampling{})
	if len(x) > 2000 {
		t.Errorf("%d points at a pole", len(x))
	}
	x, y = Sample(func(x float64, out []float64) { out[0] = math.NaN() }, 1, 0, 1, Sampling{})
	if len(x) == 0 || !math.IsNaN(y[0][0]) {
		t.Error("nothing but gaps must stay gaps")
	}
}

func TestSampleLog(t *testing.T) {
	// A residual of collocation: zero at its nodes, one hump between any two.
	f := func(x float64) float64 { return 1e-6 * (x - 0.2) * (x - 0.5) * (x - 0.8) }
	c := SampleLog(f, 0, 1, Sampling{Width: 800, Height: 100, Seeds: []float64{0.2, 0.5, 0.8}})
	if len(c.X) > 600 {
		t.Errorf("%d points", len(c.X))
	}
	for i, x := range c.X {
		want := math.Abs(f(x))
		if d := math.Abs(c.Y[i] - want); d > 1e-12*want && want > 1e-18 {
			t.Fatalf("|f(%g)| = %g, want %g", x, c.Y[i], want)
		}
	}
	zero := SampleLog(func(float64) float64 { return 0 }, 0, 1, Sampling{})
	if len(zero.X) != 2 || zero.Y[0] != 0 {
		t.Errorf("zero sampled as %v", zero)
	}
}

func BenchmarkSample(b *testing.B) {
	for _, c := range curves {
		if c.name != "sine" && c.name != "front" {
			continue
		}
		b.Run("case="+c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Sample(func(x float64, out []float64) { out[0] = c.f(x) }, 1, c.a, c.b,
					Sampling{Width: 1000, Height: 400, Seeds: c.seeds})
			}
		})
	}
}
