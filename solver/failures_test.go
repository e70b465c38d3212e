package solver_test

import (
	"math"
	"strings"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// TestReasons: why there is no answer, or that there is one. Initial value problems of linear equations with regular
// coefficients always have one solution (E. A. Coddington and N. Levinson, Theory of Ordinary Differential Equations,
// 1955, chapter 3); the others by Fredholm's alternative, worked out by hand.
func TestReasons(t *testing.T) {
	const none, many, sensitive = "there is no solution", "there are infinitely many solutions", "too sensitive"
	for _, c := range []struct{ sheet, say string }{
		{"y'''' = y; 0<x<30; y(0)=1; y'(0)=0; y''(0)=0; y'''(0)=0", "solved"},
		{"y'''' = y; 0<x<30; y(30)=1; y'(30)=0; y''(30)=0; y'''(30)=0", "solved"},
		{"y'' = y'; 0<x<100; y(0)=1; y'(0)=1", "solved"},
		{"y'' = -100 y'; 0<x<1; y(1)=1; y'(1)=1", "solved"},
		{"y'' = y; 0<x<60; y(0)=1; y'(0)=-1", sensitive},
		{"y'' = 1e6 y; 0<x<1; y(0)=1; y'(0)=0", sensitive}, // cosh(1000) is no double
		// two of three at the left, where two of three grow
		{"y''' - 3 y'' - y' + 3 y = 0; y(0)=1; y'(0)=0; y(30)=0", sensitive},
		{"y'' = -100 y'; y'(0)=0; y'(1)=0", many},
		{"y'' = -100 y' + 1; y'(0)=0; y'(1)=0", none},
		{"u'' = 1e4 u; v'' = 1; u(0)=1; u(1)=0; v'(0)=0; v'(1)=0", none},
		{"u'' = 1; v'' = 1e-9; u(0)=1; u(1)=0; v'(0)=0; v'(1)=0", none}, // small beside the other right sides
		{"y'' + (10 pi)^2 y = 1; y(0)=0; y(1)=0", many},
		{"y'' + (10 pi)^2 y = 1; y(0)=0; y(1)=0.1", none},
		{"y'' + (100 pi)^2 y = 0; y(0)=0; y(1)=0", many},
		{"y'' + (100 pi)^2 y = 0; y(0)=0; y(1)=1", none},
		{"y'' + (1000 pi)^2 y = 0; y(0)=0; y(1)=0", "do not fix one solution"},
		{"x y' = y; y(0)=1; 0<x<1", none},
		// 0/0 or a division by 0 at an end, where no bounded solution meets the conditions.
		{"y'' + y'/x = 1; y(0)=0; y(1)=0", "vanishes at x = 0"},
		{"y'' = y/x^2; y(0)=1; y(1)=0", "vanishes at x = 0"},
		{"y'' = sin(x)/x^3; y(0)=1; y(1)=0", "vanishes at x = 0"},
		{"y' = 1/x; y(0)=0; 0<x<1", "vanishes at x = 0"},
		{"y'' = 2 y/(x-1)^2; y(0)=1; y(1)=1", "vanishes at x = 1"},
		{"w'=t; t'=m/1e6; m'=v; v'=-10; v(0)=0; m(0)=0; v(2)=0; m(2)=0", none},    // a free beam under its weight
		{"w'=t; t'=m/1e6; m'=v; v'=-10; v(0)=10; m(0)=0; v(2)=-10; m(2)=0", many}, // that is carried at its ends
		{"u'=10 (v-u); v'=u (28-w)-v; w'=u v-8 w/3; u(0)=1; v(0)=1; w(0)=1; 0<x<30",
			"everything is given at one point"},
		// Bratu's problem above its critical value, 3.5138 (U. M. Ascher, R. M. M. Mattheij and R. D. Russell,
		// Numerical Solution of Boundary Value Problems for Ordinary Differential Equations, SIAM 1995, from memory).
		{"y'' + 4 exp(y) = 0; y(0)=0; y(1)=0", "Newton's iteration did not converge, neither from the first guess"},
		{"y' = exp(800 (x-0.5))/(1+exp(800 (x-0.5))); 0<x<2; y(0)=0", "solved"}, // exp(1200) is no double
		{"y'' = y exp(900 y)/(1+exp(900 y)); y(0)=1; y(1)=1", "solved"},
		{"y'' + 1300^2 y = 0; y(0)=0; y(1)=1", "solved"},
		{"y'' + 2149.1^2 y = 0; y(0)=0; y(1)=1", "solved"},
		{"y'' + 2999^2 y = 0; y(0)=1; y(1)=0.3", "solved"},
		{"y' = 300 cos(300 x); 4000<x<4001; y(4000)=0", "solved"},
	} {
		sh := sheettest.Read(t, c.sheet)
		s := solver.MustSolve(sh.Problem(), solver.Options{})
		if c.say == "solved" && s.Status != solver.Solved || c.say != "solved" &&
			(s.Status == solver.Solved || !strings.Contains(s.Message, c.say)) {
			t.Errorf("%s\n\tsays %s: %q,\n\twant %q", c.sheet, s.Status, s.Message, c.say)
		}
	}
}

// TestUnknownErrors: where two finer solutions do not confirm what was reached nothing is claimed, and where they do
// the claim covers the truth.
func TestUnknownErrors(t *testing.T) {
	wave := func(x float64) float64 { return math.Sin(2149.1*x) / math.Sin(2149.1) }
	for _, c := range []struct {
		sheet   string
		o       solver.Options
		unknown bool
		exact   func(x float64) float64
	}{
		{"y'' + 2149.1^2 y = 0; y(0)=0; y(1)=1", solver.Options{Method: solver.One}, true, wave},
		{"y'' + 2149.1^2 y = 0; y(0)=0; y(1)=1", solver.Options{Nodes: 5}, true, wave},
		{"y'' + 2149.1^2 y = 0; y(0)=0; y(1)=1", solver.Options{Method: solver.Pieces, Elements: 20, Nodes: 8}, true,
			wave},
		{"1e-3 y'' + y' = 0; y(0)=0; y(1)=1", solver.Options{Nodes: 6}, true,
			func(x float64) float64 { return -math.Expm1(-1000 * x) }},
		{"y'' = -y; y(0)=0; y(1)=sin(1)", solver.Options{Nodes: 3}, false, math.Sin},
		{"y'' = -100 y; y(0)=0; y(1)=sin(10)", solver.Options{Nodes: 9}, false,
			func(x float64) float64 { return math.Sin(10 * x) }},
		{"y'' = -100 y; y(0)=0; y(1)=sin(10)", solver.Options{Method: solver.Pieces, Elements: 4, Nodes: 3}, false,
			func(x float64) float64 { return math.Sin(10 * x) }},
		{"1e-5 y''-x y'-y=-(1+1e-5 pi^2) cos(pi x)+pi x sin(pi x); y(-1)=-1; y(1)=-1", solver.Options{Tol: 1e-12},
			false, func(x float64) float64 { return math.Cos(math.Pi * x) }},
	} {
		sh := sheettest.Read(t, c.sheet)
		p := sh.Problem()
		s := solver.MustSolve(p, c.o)
		if s.Status != solver.Short || !s.Usable() || math.IsInf(s.Error, 1) != c.unknown ||
			strings.Contains(s.Message, "is not known") != c.unknown {
			t.Errorf("%s with %d nodes: %s, error %g: %s", c.sheet, c.o.Nodes, s.Status, s.Error, s.Message)
			continue
		}
		jet, e := make([]float64, p.Jet()), make([]float64, p.Jet())
		for i := range 101 {
			x := p.A + (p.B-p.A)*float64(i)/100
			s.At(x, jet)
			s.ErrorAt(x, e)
			if d := math.Abs(jet[0] - c.exact(x)); !(d <= e[0]) {
				t.Errorf("%s with %d nodes: y(%.2f) = %g ± %.1g is off by %.1g", c.sheet, c.o.Nodes, x, jet[0], e[0], d)
				break
			}
		}
	}
}

// TestBudget: what is done when the work is spent is told, the same each time, and not called a cancellation.
func TestBudget(t *testing.T) {
	sh := sheettest.Read(t, "y'' + 1500^2 y = 0; y(0)=0; y(1)=1")
	var before *solver.Solution
	for range 2 {
		s := solver.MustSolve(sh.Problem(), solver.Options{Work: 5e6})
		if s.Status == solver.Solved || !strings.Contains(s.Message, "work that one solve may take is done") ||
			s.Work > 3e7 {
			t.Errorf("%s after %d units: %s", s.Status, s.Work, s.Message)
		}
		if before != nil && (s.Work != before.Work || s.Message != before.Message) {
			t.Errorf("not the same twice: %d and %d units", before.Work, s.Work)
		}
		before = s
	}
	if s := solver.MustSolve(sh.Problem(), solver.Options{}); s.Status != solver.Solved || s.Work > 1e9 {
		t.Errorf("%s after %d units: %s", s.Status, s.Work, s.Message)
	}
}
