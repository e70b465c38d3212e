package adapt

import (
	"math"
	"strings"
	"testing"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
	"nodespan/solver/collocation"
	"nodespan/solver/newton"
	"nodespan/solver/nodes"
)

// TestNeeded: a geometric tail is continued; a flat one is not.
func TestNeeded(t *testing.T) {
	for _, rate := range []float64{0.9, 0.5, 0.1} {
		tail := make([]float64, 12)
		for n := range tail {
			tail[n] = math.Pow(rate, float64(n))
		}
		target := tail[10] / 1000
		// The first n with rate^n ≤ target, and one to two more because the last two coefficients count.
		want := int(math.Ceil(math.Log(target) / math.Log(rate)))
		got := needed(tail, target)
		if rate == 0.9 { // too slow to be worth it
			if got != math.MaxInt32 {
				t.Errorf("rate %g: %d", rate, got)
			}
			continue
		}
		if got < want || got > want+3 {
			t.Errorf("rate %g: %d coefficients, want about %d", rate, got, want)
		}
	}
	if got := needed([]float64{1, 1, 1, 1, 1, 1}, 0.1); got != math.MaxInt32 {
		t.Errorf("a flat tail asks for %d", got)
	}
	if got := needed([]float64{1, 1e-3, 1e-9, 1e-9, 1e-12, 1e-13}, 1e-8); got != 4 {
		t.Errorf("a tail that is good enough from the third on needs %d", got)
	}
}

// TestDifference: the difference of two curves is found on each element, with the safety asked for.
func TestDifference(t *testing.T) {
	p := bvptest.Second(0, 2, 0, 0, func(x, y, d float64) (float64, float64, float64) { return 0, 0, 0 })
	curve := func(mesh []float64, k int, f func(x float64) float64) *collocation.Curve {
		g := collocation.NewGrid(p, collocation.Uniform(mesh, k, nodes.Legendre))
		v := g.NewVector()
		g.Fill(v, func(x float64, jet []float64) {
			const h = 1e-4
			jet[0] = f(x)
			jet[1] = (f(x+h) - f(x-h)) / (2 * h)
			jet[2] = (f(x+h) - 2*f(x) + f(x-h)) / (h * h)
		})
		return g.Curve(v)
	}
	coarse := curve([]float64{0, 1, 2}, 6, func(x float64) float64 { return x * x })
	fine := curve([]float64{0, 0.5, 1, 1.5, 2}, 8, func(x float64) float64 {
		if x > 1 {
			return x*x + 0.25*(x-1)*(x-1)
		}
		return x * x
	})
	est := difference(coarse, fine, 2, new(scratch))
	if e := est.Local[0][0]; e > 1e-6 { // the differences above are good to 1e-8
		t.Errorf("first element: %g", e)
	}
	if e := est.Local[1][0]; math.Abs(e-0.5) > 1e-2 {
		t.Errorf("second element: %g, want twice 1/4", e)
	}
	err := make([]float64, 3)
	est.At(0.5, err)
	if err[0] < 0.4 {
		t.Errorf("the neighbour's difference does not count: %g", err[0])
	}
}

// TestWays: problems that Newton's iteration does not solve by itself, with a constant to vary and without.
func TestWays(t *testing.T) {
	// eps y'' + y'² = 1: y = 1 + eps ln cosh((x − 0.745)/eps), a corner (problem 20 of the test set of J. R. Cash).
	corner := func(eps float64) *bvp.Problem {
		y := func(x float64) float64 { return 1 + eps*math.Log(math.Cosh((x-0.745)/eps)) }
		return bvptest.Second(0, 1, y(0), y(1), func(x, y, d float64) (float64, float64, float64) {
			return (1 - d*d) / eps, 0,
				-2 * d / eps
		})
	}
	const eps = 0.01
	o := Options{Tol: 1e-6}
	for _, named := range []bool{false, true} {
		p := corner(eps)
		if named {
			p.Constants = []bvp.Constant{{Name: "eps", Value: eps}}
			p.With = func(v []float64) *bvp.Problem { return corner(v[0]) }
		}
		a := Pieces(p, o)
		if !a.Met || a.Linear {
			t.Fatalf("with a constant %v: %s", named, a.Reason)
		}
		jet := make([]float64, 3)
		a.Curve.At(0.745, jet)
		if math.Abs(jet[0]-1) > 1e-6 {
			t.Errorf("with a constant %v: y at the corner is %v by %q", named, jet[0], a.Way)
		}
	}
}

func TestConstantsThatMoveTheEnds(t *testing.T) {
	at := func(l float64) *bvp.Problem {
		return bvptest.Second(0, l, 0, 1, func(x, y, d float64) (float64, float64, float64) { return y, 1, 0 })
	}
	p := at(5)
	p.Constants = []bvp.Constant{{Name: "L", Value: 5}}
	p.With = func(v []float64) *bvp.Problem { return at(v[0]) }
	if w := constants(p); len(w) != 0 {
		t.Errorf("a constant that moves an end is taken for a way: %v", w[0].name)
	}
	p.With = func(v []float64) *bvp.Problem { return nil } // values that make no problem
	if w := constants(p); len(w) != 0 {
		t.Error("a constant that cannot be varied is taken for a way")
	}
}

func TestLinear(t *testing.T) {
	yes := bvptest.Second(0, 1, 0, 1, func(x, y, d float64) (float64, float64, float64) { return x*y + d, x, 1 })
	no := bvptest.Second(0, 1, 0, 1, func(x, y, d float64) (float64, float64, float64) { return y * y, 2 * y, 0 })
	if !yes.Linear() || no.Linear() {
		t.Error("linear and nonlinear equations are not told apart")
	}
	bent := bvptest.Second(0, 1, 0, 1, func(x, y, d float64) (float64, float64, float64) { return 0, 0, 0 })
	bent.Conditions[1].Residual = func(in, dg []float64) float64 {
		if dg != nil {
			dg[0] = 3 * in[0] * in[0]
		}
		return in[0]*in[0]*in[0] - 1
	}
	if bent.Linear() {
		t.Error("a nonlinear condition passes for linear")
	}
}

func TestFindings(t *testing.T) {
	lead := func(a func(x float64) float64) *bvp.Problem {
		return &bvp.Problem{A: 0, B: 1, Unknowns: []bvp.Unknown{{Name: "y", Order: 1}},
			Conditions: []bvp.Condition{bvptest.Given(0, 0, 0, 0)},
			Equations: func(x float64, in, f, df []float64) {
				f[0] = a(x)*in[1] - 1
				if df != nil {
					df[0], df[1] = 0, a(x)
				}
			}}
	}
	if x, ok := vanishingLead(lead(func(x float64) float64 { return x - 0.3 })); !ok || math.Abs(x-0.3) > 1e-12 {
		t.Errorf("x − 0.3 vanishes at %v, %v", x, ok)
	}
	if x, ok := vanishingLead(lead(func(x float64) float64 { return 1 - x*x })); !ok || x != 1 {
		t.Errorf("1 − x² vanishes at %v, %v", x, ok)
	}
	if x, ok := vanishingLead(lead(func(x float64) float64 { return 1 + x })); ok {
		t.Errorf("1 + x vanishes at %v", x)
	}
	if x, ok := vanishingLead(lead(func(x float64) float64 { return math.Copysign(1, x-0.5) })); ok {
		t.Errorf("a jump through zero is taken for a zero at %v", x)
	}
	if x, ok := noValue(lead(func(x float64) float64 { return math.Sqrt(0.5 - x) })); !ok || x < 0.5 || x > 0.53 {
		t.Errorf("sqrt(0.5 − x) has no value from %v, %v", x, ok)
	}
	// y' = y² from 1 has its pole at 1.
	pole := &bvp.Problem{A: 0, B: 3, Unknowns: []bvp.Unknown{{Name: "y", Order: 1}},
		Conditions: []bvp.Condition{bvptest.Given(0, 0, 0, 1)},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[1] - in[0]*in[0]
			if df != nil {
				df[0], df[1] = -2*in[0], 1
			}
		}}
	if x, ok := blowUp(pole, Options{Tol: 1e-6}); !ok || math.Abs(x-1) > 0.05 {
		t.Errorf("the pole of y' = y² is found at %v, %v", x, ok)
	}
}

func TestGivenNumbers(t *testing.T) {
	p := bvptest.Second(0, 1, 1, 0, func(x, y, d float64) (float64, float64, float64) { return 400 * y, 400, 0 })
	a := Pieces(p, Options{Tol: 1e-6, Elements: 7, Nodes: 5})
	if g := a.Curve.Grid(); g.Elements() != 7 || g.Mesh.Nodes[3] != 5 {
		t.Errorf("%d elements of %d nodes", g.Elements(), g.Mesh.Nodes[3])
	}
	if a.Met != (a.Error <= 1e-6) || (!a.Met && !strings.Contains(a.Reason, "too few")) {
		t.Errorf("met %v at %.1e: %s", a.Met, a.Error, a.Reason)
	}
	a = One(p, Options{Tol: 1e-6, Nodes: 9})
	exact := func(x float64) float64 { return math.Sinh(20*(1-x)) / math.Sinh(20) }
	jet, err := make([]float64, 3), make([]float64, 3)
	worst := 0.0
	for i := range 201 {
		x := float64(i) / 200
		a.Curve.At(x, jet)
		worst = math.Max(worst, math.Abs(jet[0]-exact(x)))
	}
	a.Estimate.At(0.5, err)
	if err[0] < worst || err[0] > 20*worst {
		t.Errorf("nine nodes: error %.1e, claimed %.1e", worst, err[0])
	}
	if a.Outcome != newton.Converged || a.Met {
		t.Errorf("nine nodes: %v, met %v", a.Outcome, a.Met)
	}
}
