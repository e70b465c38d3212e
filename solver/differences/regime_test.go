package differences

import (
	"math"
	"testing"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
)

// forced is y″ + c y = f(x) on 0 … 1 with values at both ends.
func forced(c float64, f, y func(x float64) float64) *bvp.Problem {
	return bvptest.Scalar(2, 0, 1, func(x float64, in []float64) (float64, []float64) {
		return in[2] + c*in[0] - f(x), []float64{c, 0, 1}
	}, bvptest.Given(0, 0, 0, y(0)), bvptest.Given(1, 0, 0, y(1)))
}

// honest checks that an answer is off by no more than it claims, and by no more than the tolerance where it is met.
func honest(t *testing.T, name string, o Options, a *Answer, y, dy func(x float64) float64) {
	t.Helper()
	if a.Curve == nil {
		if a.Met || a.Reason == "" {
			t.Errorf("%s, %+v: %+v", name, o, a)
		}
		return
	}
	jet, claim := make([]float64, 3), make([]float64, 3)
	for i := 0; i <= 100; i++ {
		x := float64(i) / 100
		a.Curve.At(x, jet)
		a.Estimate.At(x, claim)
		for d, want := range []float64{y(x), dy(x)} {
			if miss := math.Abs(jet[d] - want); !(miss <= claim[d]+1e-15*math.Abs(want)) {
				t.Errorf("%s, %+v: derivative %d at %g is off by %.2e and claims %.2e (met: %v)",
					name, o, d, x, miss, claim[d], a.Met)
				return
			}
		}
	}
}

// Near resonance all meshes whose width squared is far above the distance to it agree on a wrong amplitude. y =
// exp(x) solves each of these.
func TestNearResonance(t *testing.T) {
	for _, k := range []float64{1, 2} {
		for _, exponent := range []int{1, 2, 4, 6, 9} {
			for _, sign := range []float64{-1, 1} {
				c := k * k * math.Pi * math.Pi * (1 + sign*math.Pow(10, -float64(exponent)))
				p := forced(c, func(x float64) float64 { return (1 + c) * math.Exp(x) }, math.Exp)
				for _, o := range []Options{
					{Tol: 1e-4, Order: 4}, {Tol: 1e-4, Nodes: 40}, {Tol: 1e-3, Nodes: 300},
					{Tol: 1e-6, Nodes: 60, Order: 6},
				} {
					a := Solve(p, o)
					honest(t, "near resonance", o, a, math.Exp, math.Exp)
					if exponent <= 2 && o.Nodes == 0 && !a.Met {
						t.Errorf("%g π, 1e-%d from it, %+v: %s", k, exponent, o, a.Reason)
					}
				}
			}
		}
	}
}

// An oscillation that 32, 64, 128 … intervals all mistake for a slow one: sin(3220.73 x), issue "no confident wrong
// answer".
func TestAliases(t *testing.T) {
	for _, w := range []float64{3220.73, 2 * math.Pi * 512, 403.9} {
		y := func(x float64) float64 { return math.Sin(w * x) }
		dy := func(x float64) float64 { return w * math.Cos(w*x) }
		p := forced(1, func(x float64) float64 { return (1 - w*w) * math.Sin(w*x) }, y)
		for _, o := range []Options{
			{Tol: 1e-3}, {Tol: 1e-4, Order: 4}, {Tol: 1e-6, Order: 8}, {Tol: 1e-3, Nodes: 31},
			{Tol: 1e-3, Nodes: 63, Order: 4},
		} {
			honest(t, "alias", o, Solve(p, o), y, dy)
		}
	}
}

// Slopes at both ends leave a constant free, whatever the order, the number of points and the length.
func TestFreeConstant(t *testing.T) {
	for _, b := range []float64{1, 3} {
		p := bvptest.Scalar(2, 0, b, func(_ float64, y []float64) (float64, []float64) {
			return y[2], []float64{0, 0, 1}
		}, bvptest.Given(0, 0, 1, 0), bvptest.Given(b, 0, 1, 0))
		for order := 2; order <= 8; order += 2 {
			for _, n := range []int{0, 20} {
				if a := Solve(p, Options{Tol: 1e-4, Order: order, Nodes: n}); a.Met || a.Curve != nil {
					t.Errorf("0 … %g, order %d, %d points: %+v", b, order, n, a)
				}
			}
		}
	}
}

// Against a reference the error is the difference to it, everywhere, and the reference's own: a solution that is
// off by 1e-5 and says so.
func TestReference(t *testing.T) {
	const off = 1e-5
	for _, s := range samples() {
		if s.p.Breaks != nil || len(s.p.Unknowns) > 1 || s.par != nil || s.p.Unknowns[0].Order > 4 ||
			s.name == "singular end" {
			continue
		}
		J := s.p.Jet()
		exact := func(x float64, jet []float64) {
			for d := range J {
				jet[d] = s.exact(x, 0, d)
			}
		}
		ref := &Reference{Points: []float64{s.p.A, s.p.B},
			Jet: func(x float64, jet []float64) {
				exact(x, jet)
				for d := range jet {
					jet[d] += off
				}
			},
			Error: func(_ float64, err []float64) {
				for d := range err {
					err[d] = off
				}
			}}
		for _, o := range []Options{
			{Tol: 1e-3, Reference: ref}, {Tol: 1e-4, Order: 4, Reference: ref}, {Tol: 1e-4, Nodes: 20, Reference: ref},
			{Tol: 1e-3, Order: 8, Nodes: 30, Reference: ref},
		} {
			a := Solve(s.p, o)
			if a.Curve == nil {
				t.Errorf("%s: %s", s.name, a.Reason)
				continue
			}
			jet, want, claim := make([]float64, J), make([]float64, J), make([]float64, J)
			for i := 0; i <= 77; i++ {
				x := s.p.A + (s.p.B-s.p.A)*float64(i)/77
				a.Curve.At(x, jet)
				a.Estimate.At(x, claim)
				exact(x, want)
				for d := range jet {
					if miss := math.Abs(jet[d] - want[d]); !math.IsNaN(want[d]) && !(miss <= claim[d]) {
						t.Errorf("%s: derivative %d at %g is off by %.2e and claims %.2e", s.name, d, x, miss, claim[d])
					}
				}
			}
			if o.Nodes == 0 && !a.Met {
				t.Errorf("%s, order %d: %s", s.name, o.Order, a.Reason)
			}
		}
	}
}
