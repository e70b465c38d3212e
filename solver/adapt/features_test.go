package adapt

import (
	"math"
	"testing"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
	"nodespan/solver/collocation"
	"nodespan/solver/nodes"
)

// pulseFormulas tells of one node, exp(−((x − c)/d)²), whose bounds are exact.
func pulseFormulas(c, d float64) *bvp.Formulas {
	f := func(x float64) float64 { return math.Exp(-(x - c) / d * (x - c) / d) }
	slope := func(x float64) float64 { return -2 * (x - c) / d / d * f(x) }
	bounds := func(g func(float64) float64, a, b float64, turns ...float64) (lo, hi float64) {
		lo, hi = min(g(a), g(b)), max(g(a), g(b))
		for _, t := range turns {
			if a < t && t < b {
				lo, hi = min(lo, g(t)), max(hi, g(t))
			}
		}
		return lo, hi
	}
	return &bvp.Formulas{Moving: []bool{false}, Enclose: func(a, b float64, _, out []bvp.Enclosure) {
		e := &out[0]
		e.Lo, e.Hi = bounds(f, a, b, c)
		e.SlopeLo, e.SlopeHi = bounds(slope, a, b, c-d/math.Sqrt2, c+d/math.Sqrt2)
		e.Mid = f(a + (b-a)/2)
	}}
}

// pulse is y” = exp(−((x − c)/d)²) on 0…1 with y(0) = y(1) = 0.
func pulse(c, d float64) *bvp.Problem {
	p := bvptest.Second(0, 1, 0, 0, func(x, y, _ float64) (float64, float64, float64) {
		return math.Exp(-(x - c) / d * (x - c) / d), 0, 0
	})
	p.Formulas = pulseFormulas(c, d)
	return p
}

// pulsePeak is the solution of pulse at c: y = d² (G((x−c)/d) − line), G(u) = √π/2 u erf(u) + exp(−u²)/2.
func pulsePeak(c, d float64) float64 {
	g := func(u float64) float64 { return math.SqrtPi/2*u*math.Erf(u) + math.Exp(-u*u)/2 }
	a, b := g(-c/d), g((1-c)/d)
	return d * d * (g(0) - a - (b-a)*c)
}

// TestReadingFindsPulses: gaps are narrow where the pulse is and wide where it is not, at a price that grows with the
// logarithm of its width.
func TestReadingFindsPulses(t *testing.T) {
	for _, d := range []float64{1e-1, 1e-2, 1e-3, 1e-4, 1e-5} {
		for _, c := range []float64{0.0371, 0.5, 0.83} {
			r := read(pulse(c, d), nil)
			if w := narrowestIn(r.x, c-d/2, c+d/2); w > d/2 {
				t.Errorf("d = %g at %g: the narrowest gap is %g", d, c, w)
			}
			if n := len(r.x); n > 40+14*int(-math.Log2(d)) {
				t.Errorf("d = %g at %g: %d gaps", d, c, n)
			}
			for i := 1; i+2 < len(r.x); i++ {
				if w := (r.x[i+1] - r.x[i]) / (r.x[i+2] - r.x[i+1]); w > 4 || w < 0.25 {
					t.Errorf("d = %g at %g: neighbouring gaps differ by a factor of %g", d, c, w)
				}
			}
		}
	}
}

// TestReadingOfWaves: a node that oscillates fast is given up, and the gaps on which it is not followed are known.
func TestReadingOfWaves(t *testing.T) {
	p := bvptest.Second(0, 1, 0, 0, func(x, y, _ float64) (float64, float64, float64) {
		return math.Sin(1e5 * x), 0, 0
	})
	reads := 0
	p.Formulas = &bvp.Formulas{Moving: []bool{false}, Enclose: func(a, b float64, _, out []bvp.Enclosure) {
		reads++
		out[0] = bvp.Enclosure{Lo: -1, Hi: 1, SlopeLo: -1e5, SlopeHi: 1e5, Mid: math.Sin(1e5 * (a + b) / 2)}
	}}
	r := read(p, nil)
	if reads > 4*crowd {
		t.Errorf("%d reads", reads)
	}
	for i, c := range r.crowded {
		if !c {
			t.Fatalf("gap %d is not crowded", i)
		}
	}
}

// TestNarrowPulses: what is narrower than any node's distance is found by every method, or the answer claims what it
// misses.
func TestNarrowPulses(t *testing.T) {
	for _, d := range []float64{1e-2, 1e-3, 1e-4, 1e-5} {
		for _, c := range []float64{0.0371, 0.5059, 0.83} {
			want := pulsePeak(c, d)
			for what, solve := range map[string]func() *Answer{
				"auto":         func() *Answer { a, _ := Auto(pulse(c, d), Options{Tol: 1e-8}); return a },
				"pieces":       func() *Answer { return Pieces(pulse(c, d), Options{Tol: 1e-8}) },
				"seven nodes":  func() *Answer { return One(pulse(c, d), Options{Tol: 1e-8, Nodes: 7}) },
				"three pieces": func() *Answer { return Pieces(pulse(c, d), Options{Tol: 1e-8, Elements: 3}) },
			} {
				a := solve()
				if a.Curve == nil {
					t.Errorf("%s, d = %g at %g: no solution: %s", what, d, c, a.Reason)
					continue
				}
				jet, err := make([]float64, 3), make([]float64, 3)
				a.Curve.At(c, jet)
				a.Estimate.At(c, err)
				off := math.Abs(jet[0] - want)
				if chosen := what == "auto" || what == "pieces"; chosen != a.Met {
					t.Errorf("%s, d = %g at %g: met %v, %s", what, d, c, a.Met, a.Reason)
				}
				if off > err[0] {
					t.Errorf("%s, d = %g at %g: off by %.2g, claimed %.2g", what, d, c, off, err[0])
				}
				if what == "seven nodes" && err[0] > 20*off {
					t.Errorf("%s, d = %g at %g: off by %.2g, claimed %.2g", what, d, c, off, err[0])
				}
			}
		}
	}
}

// TestBlindPulse: where no formulas are known, a pulse of a hundredth of the interval is found by sampling.
func TestBlindPulse(t *testing.T) {
	for _, c := range []float64{0.0371, 0.5059, 0.83} {
		p := pulse(c, 1e-2)
		p.Formulas = nil
		a, _ := Auto(p, Options{Tol: 1e-8})
		jet := make([]float64, 3)
		a.Curve.At(c, jet)
		if want := pulsePeak(c, 1e-2); math.Abs(jet[0]-want) > a.Error*math.Abs(want)*2 {
			t.Errorf("at %g: %g, want %g, claimed %.2g", c, jet[0], want, a.Error)
		}
	}
}

// TestMergingKeepsKinks: two elements that hold a kink of the highest derivative are not merged into one whose nodes
// miss it.
func TestMergingKeepsKinks(t *testing.T) {
	const c, d = 0.605, 1.0 / 2000
	// y' = tanh((x − c)/d) resolved by elements graded around c, then looked at for merging.
	p := &bvp.Problem{A: 0, B: 1, Unknowns: []bvp.Unknown{{Name: "y", Order: 1}},
		Conditions: []bvp.Condition{bvptest.Given(0, 0, 0, 0)},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[1] - math.Tanh((x-c)/d)
			if df != nil {
				df[0], df[1] = 0, 1
			}
		}}
	a := Pieces(p, Options{Tol: 1e-8})
	jet, err := make([]float64, 2), make([]float64, 2)
	a.Curve.At(1, jet)
	a.Estimate.At(1, err)
	lncosh := func(u float64) float64 { return math.Abs(u) + math.Log1p(math.Exp(-2*math.Abs(u))) - math.Ln2 }
	if want := d * (lncosh((1-c)/d) - lncosh(c/d)); !a.Met || math.Abs(jet[0]-want) > err[0] || err[0] > 1e-8 {
		t.Errorf("y(1) = %.12f ± %.1e, want %.12f; met %v", jet[0], err[0], want, a.Met)
	}
}

// TestResponse: the response of a linear problem to a pulse that nobody saw is the solution itself.
func TestResponse(t *testing.T) {
	p := pulse(0.43, 1e-4)
	o := Options{Tol: 1e-8}
	m := func(k int) collocation.Mesh { return collocation.Uniform([]float64{0, 1}, k, nodes.Legendre) }
	coarse, _ := rung(p, m(6), nil, &o)
	fine, _ := rung(p, m(9), nil, &o)
	jet := make([]float64, 3)
	fine.curve.At(0.43, jet)
	if jet[0] != 0 {
		t.Fatalf("nine nodes saw the pulse: %g", jet[0])
	}
	r := read(p, nil).response(&coarse, &fine, []float64{1, 1, 1}, false)
	r.curve.At(0.2, jet)
	// Left of the pulse y is a straight line; its slope is −√π d (1 − c).
	if want := -math.SqrtPi * 1e-4 * 0.57 * 0.2; math.Abs(jet[0]-want) > 0.05*math.Abs(want) {
		t.Errorf("%g, want %g", jet[0], want)
	}
}
