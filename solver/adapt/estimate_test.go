package adapt

import (
	"math"
	"testing"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
	"nodespan/solver/collocation"
)

// TestSoughtNumberIsRelative: y” + λ y = 0 on [0, L] with y(0) = y(L) = 0, y'(0) = 1 has λ = (π/L)². The error of a
// sought number counts relative to it above 1.
func TestSoughtNumberIsRelative(t *testing.T) {
	const length = 1e-5
	want := math.Pi / length * math.Pi / length
	p := &bvp.Problem{A: 0, B: length, Unknowns: []bvp.Unknown{{Name: "y", Order: 2}},
		Parameters: []bvp.Parameter{{Name: "lambda", Guess: 9.8e10, HasGuess: true}},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[2] + in[3]*in[0]
			if df != nil {
				df[0], df[1], df[2], df[3] = in[3], 0, 1, in[0]
			}
		},
		Conditions: []bvp.Condition{bvptest.Given(0, 0, 0, 0), bvptest.Given(length, 0, 0, 0),
			bvptest.Given(0, 0, 1, 1)}}
	for _, tol := range []float64{1e-4, 1e-8, 1e-12} {
		a := One(p, Options{Tol: tol})
		if !a.Met {
			t.Fatalf("tolerance %g: not met: %s", tol, a.Reason)
		}
		got, claimed := a.Curve.Grid().Parameters(a.Curve.V)[0], a.Estimate.Parameters[0]
		if err := math.Abs(got - want); err > claimed || claimed > tol*want {
			t.Errorf("tolerance %g: λ = %.17g ± %.1g, off by %.1g", tol, got, claimed, err)
		}
	}
}

// TestFarInterval: y” = sin x from a to a + 1 with zero ends is −sin x and the straight line between its values there.
// Far from 0 the nodes are rounded, which the problem shows by its values alone here; the error claimed covers that,
// and is not a thousand times too large.
func TestFarInterval(t *testing.T) {
	for _, a := range []float64{1e3, -1e5, 1e6, -1e7, 3e8} {
		b := a + 1
		p := bvptest.Second(a, b, 0, 0, func(x, y, d float64) (v, vy, vd float64) { return math.Sin(x), 0, 0 })
		answer := One(p, Options{Tol: 1e-13})
		if answer.Curve == nil {
			t.Fatalf("from %g: %s", a, answer.Reason)
		}
		jet, err := make([]float64, 3), make([]float64, 3)
		worst, claimed := 0.0, 0.0
		for i := range 100 {
			x := a + (float64(i)+0.5)/100
			answer.Curve.At(x, jet)
			answer.Estimate.At(x, err)
			want := math.Sin(a) - math.Sin(x) + (math.Sin(b)-math.Sin(a))*(x-a)
			worst, claimed = math.Max(worst, math.Abs(jet[0]-want)), math.Max(claimed, err[0])
		}
		// The truth is a difference of sines, right to a few units of 1.1e-16 itself.
		if worst > claimed+2e-16 || claimed > 100*worst {
			t.Errorf("from %g: off by %.2g, claimed %.2g", a, worst, claimed)
		}
	}
}

// TestGraded: beside a short element lengths at most double from one to the next, about, and the ends and numbers of
// nodes stay.
func TestGraded(t *testing.T) {
	m := graded(collocation.Mesh{X: []float64{0, 0.01, 1, 1.002, 4}, Nodes: []int{9, 5, 7, 6}})
	for e := range len(m.Nodes) - 1 {
		h, next := m.X[e+1]-m.X[e], m.X[e+2]-m.X[e+1]
		if e == 0 {
			continue
		}
		if next > 4.001*h || h > 4.001*next {
			t.Errorf("lengths %g and %g at %g", h, next, m.X[e+1])
		}
	}
	if m.X[0] != 0 || m.X[len(m.X)-1] != 4 || len(m.X) != len(m.Nodes)+1 || m.Nodes[0] != 9 ||
		m.Nodes[len(m.Nodes)-1] != 6 {
		t.Errorf("mesh %v, nodes %v", m.X, m.Nodes)
	}
}

// TestRemnants: (k T')' = 0 with k = 1/(2 + tanh(w (x−c))) has T' = C/k. A mesh that ends where the transition is not
// quite over leaves its tail in a long element: the finer solution carries the tail on like the coarse one, and only
// the residual tells.
func TestRemnants(t *testing.T) {
	const w, c = 300, 0.759
	k := func(x float64) (v, slope float64) {
		th := math.Tanh(w * (x - c))
		return 2 + th, w * (1 - th*th)
	}
	p := bvptest.Second(0, 1, 0, 1, func(x, y, d float64) (v, vy, vd float64) {
		s, ds := k(x)
		return ds / s * d, 0, ds / s
	})
	integral := func(x float64) float64 { return 2*x + (math.Abs(w*(x-c))+math.Log1p(math.Exp(-2*w*math.Abs(x-c))))/w }
	for _, tol := range []float64{1e-6, 1e-7, 1e-8, 1e-9, 1e-10} {
		a := Pieces(p, Options{Tol: tol})
		if !a.Met {
			t.Errorf("tolerance %g: %s", tol, a.Reason)
			continue
		}
		jet, err := make([]float64, 3), make([]float64, 3)
		for i := range 99 {
			x := float64(i+1) / 100
			a.Curve.At(x, jet)
			a.Estimate.At(x, err)
			if want := (integral(x) - integral(0)) / (integral(1) - integral(0)); math.Abs(jet[0]-want) > err[0]+1e-15 {
				t.Errorf("tolerance %g: T(%g) is off by %.2g, claimed %.2g", tol, x, math.Abs(jet[0]-want), err[0])
			}
		}
	}
}
