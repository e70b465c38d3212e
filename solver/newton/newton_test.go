package newton

import (
	"context"
	"math"
	"testing"

	"nodespan/solver/bvp/bvptest"
	"nodespan/solver/collocation"
	"nodespan/solver/nodes"
)

// second is the grid of y″ = f(x, y, y′) with values at the ends: one polynomial through 24 nodes.
func second(a, b, ya, yb float64, f func(x, y, d float64) (v, vy, vd float64)) *collocation.Grid {
	p := bvptest.Second(a, b, ya, yb, f)
	return collocation.NewGrid(p, collocation.Uniform([]float64{a, b}, 24, nodes.Legendre))
}

func TestLinearTakesOneStep(t *testing.T) {
	g := second(0, 1, 1, 0, func(x, y, d float64) (float64, float64, float64) { return 9*y + x, 9, 0 })
	v := g.NewVector()
	r := Solve(g, v, Options{})
	if r.Outcome != Converged || !r.Linear || r.Iterations != 1 {
		t.Errorf("%v after %d steps, linear %v", r.Outcome, r.Iterations, r.Linear)
	}
}

// TestBratu: y” + e^y = 0 with zero ends has y(1/2) = 2 ln cosh(θ/4)… with θ from θ = sqrt(2) cosh(θ/4):
// 1.5171645990507543… (closed form of Bratu's problem, e.g. U. M. Ascher, R. M. M. Mattheij, R. D. Russell, 1995; θ
// found here by fixed point).
func TestBratu(t *testing.T) {
	theta := 1.5
	for range 200 {
		theta = math.Sqrt2 * math.Cosh(theta/4)
	}
	g := second(0, 1, 0, 0, func(x, y, d float64) (float64, float64, float64) { e := math.Exp(y); return -e, -e, 0 })
	v := g.NewVector()
	r := Solve(g, v, Options{})
	if r.Outcome != Converged || r.Iterations > 5 {
		t.Fatalf("%v after %d steps", r.Outcome, r.Iterations)
	}
	jet := make([]float64, 3)
	g.Curve(v).At(0.5, jet)
	if want := 2 * math.Log(math.Cosh(theta/4)); math.Abs(jet[0]-want) > 1e-14 {
		t.Errorf("y(1/2) = %v, want %v", jet[0], want)
	}
}

// TestDamping starts so far off that a full first step is useless: Troesch's problem with μ = 5 from zero.
func TestDamping(t *testing.T) {
	const mu = 5
	g := second(0, 1, 0, 1, func(x, y, d float64) (float64, float64, float64) {
		return mu * math.Sinh(mu*y), mu * mu * math.Cosh(mu*y), 0
	})
	v := g.NewVector()
	r := Solve(g, v, Options{})
	if r.Outcome != Converged {
		t.Fatalf("%v after %d steps", r.Outcome, r.Iterations)
	}
	// y'(0) = 0.0457504614 (published, e.g. M. R. Scott, Invariant Imbedding and its Applications, 1973; from memory).
	if s := v.Z[0][1]; math.Abs(s-0.0457504614) > 5e-6 { // 24 nodes are not many for this layer
		t.Errorf("y'(0) = %v", s)
	}
}

func TestOutcomes(t *testing.T) {
	singular := second(0, math.Pi, 0, 1, func(x, y, d float64) (float64, float64, float64) { return -y, -1, 0 })
	if r := Solve(singular, singular.NewVector(), Options{}); r.Outcome != Singular {
		t.Errorf("y'' + y = 0 on [0, π]: %v", r.Outcome)
	}
	nan := second(0, 1, 0, 1, func(x, y, d float64) (float64, float64, float64) { return math.Log(y), 1 / y, 0 })
	if r := Solve(nan, nan.NewVector(), Options{}); r.Outcome != NotFinite {
		t.Errorf("ln 0: %v", r.Outcome)
	}
	none := second(0, 1, 0, 0, func(x, y, d float64) (float64, float64, float64) {
		e := math.Exp(y)
		return -5 * e,
			-5 * e, 0
	})
	if r := Solve(none, none.NewVector(), Options{}); r.Outcome == Converged {
		t.Error("Bratu's problem beyond its turning point converged")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if r := Solve(none, none.NewVector(), Options{Context: ctx}); r.Outcome != Cancelled {
		t.Errorf("cancelled: %v", r.Outcome)
	}
}

// TestVanishing: from a guess near it the trivial solution of y” = -12 sin y is reached, and is zero and no rounding;
// one that is merely small beside its guess is not taken for it.
func TestVanishing(t *testing.T) {
	swing := second(0, 1, 0, 0, func(x, y, d float64) (float64, float64, float64) {
		return -12 * math.Sin(y), -12 * math.Cos(y), 0
	})
	for _, a := range []float64{1e-12, 1e-3, 0.3} {
		v := swing.NewVector()
		swing.Fill(v, func(x float64, jet []float64) {
			s, c := math.Sincos(math.Pi * x)
			jet[0], jet[1], jet[2] = a*s, a*math.Pi*c, -a*math.Pi*math.Pi*s
		})
		if r := Solve(swing, v, Options{}); r.Outcome != Converged || largest(v) != 0 {
			t.Errorf("from %g: %v, %g is left", a, r.Outcome, largest(v))
		}
	}
	// Zero does not meet these conditions.
	small := second(0, 1, 1e-10, 1e-10, func(x, y, d float64) (float64, float64, float64) { return y, 1, 0 })
	v := small.NewVector()
	small.Fill(v, func(x float64, jet []float64) { jet[0], jet[1], jet[2] = 1, 0, 0 })
	if r := Solve(small, v, Options{}); r.Outcome != Converged || math.Abs(v.Z[0][0]-1e-10) > 1e-22 {
		t.Errorf("%v, %g in the place of 1e-10", r.Outcome, v.Z[0][0])
	}
}
