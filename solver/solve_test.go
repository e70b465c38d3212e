package solver

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"nodespan/solver/bvp/bvptest"
	"nodespan/solver/nodes"
)

// value is the condition that a derivative of unknown 0 is c at x.
func value(x float64, derivative int, c float64) Condition { return bvptest.Given(x, 0, derivative, c) }

// linear2 is a y” + b y' + c y = r with values at the ends.
func linear2(from, to, left, right float64, coef func(x float64) (a, b, c, r float64)) *Problem {
	return &Problem{A: from, B: to, Unknowns: []Unknown{{Name: "y", Order: 2}},
		Conditions: []Condition{value(from, 0, left), value(to, 0, right)},
		Equations: func(x float64, in, f, df []float64) {
			a, b, c, r := coef(x)
			f[0] = a*in[2] + b*in[1] + c*in[0] - r
			if df != nil {
				df[0], df[1], df[2] = c, b, a
			}
		}}
}

// worst is the largest error of y over the interval.
func worst(s *Solution, exact func(x float64) float64) float64 {
	jet := make([]float64, s.Problem.Jet())
	w := 0.0
	for i := range 1001 {
		x := s.Problem.A + (s.Problem.B-s.Problem.A)*float64(i)/1000
		s.At(x, jet)
		w = math.Max(w, math.Abs(jet[0]-exact(x)))
	}
	return w
}

// TestPracticeRules: a solution of one wavelength over the interval needs a polynomial of about tenth degree, and five
// interior nodes are enough for a quarter wave to plotting accuracy (common practice, no source).
func TestPracticeRules(t *testing.T) {
	wave := func(waves float64) (*Problem, func(x float64) float64) {
		k := 2 * math.Pi * waves
		exact := func(x float64) float64 { return math.Sin(k*x + 0.4) }
		p := linear2(0, 1, 0, exact(1), func(x float64) (a, b, c, r float64) { return 1, 0, k * k, 0 })
		if waves == 1 {
			p.Conditions[0] = value(0, 1, k*math.Cos(0.4)) // two values would leave a whole wave free
		} else {
			p.Conditions[0] = value(0, 0, exact(0))
		}
		return p, exact
	}
	p, exact := wave(1)
	for _, c := range []struct {
		degree int
		enough bool
	}{{6, false}, {9, true}, {10, true}, {11, true}} {
		s := MustSolve(p, Options{Method: One, Nodes: c.degree - 1, Tol: 1e-3})
		if w := worst(s, exact); (w < 1e-3) != c.enough { // a line's width on a plot is about a thousandth of it
			t.Errorf("one wavelength, degree %d: error %.1e, enough should be %v", c.degree, w, c.enough)
		}
		if s.Degree != c.degree {
			t.Errorf("degree %d, want %d", s.Degree, c.degree)
		}
	}
	p, exact = wave(0.25)
	if w := worst(MustSolve(p, Options{Method: One, Nodes: 5}), exact); w > 1e-3 {
		t.Errorf("a quarter wave through five nodes: error %.1e", w)
	}
}

// TestFamilies: every family solves, to what its nodes allow, with a claim that covers the error.
func TestFamilies(t *testing.T) {
	p := linear2(-2, 3, math.Exp(-2), math.Exp(3), func(x float64) (a, b, c, r float64) { return 1, 0, -1, 0 })
	for _, f := range nodes.Families() {
		for _, n := range []int{3, 5, 9, 14} {
			s := MustSolve(p, Options{Method: One, Family: f, Nodes: n, Tol: 1e-10})
			if !s.Usable() {
				t.Fatalf("%v, %d nodes: %s", f, n, s.Message)
			}
			w, err := worst(s, math.Exp), make([]float64, 3)
			s.ErrorAt(0.5, err)
			if w > err[0] || err[0] > 1000*w+1e-11 {
				t.Errorf("%v, %d nodes: error %.1e, claimed %.1e", f, n, w, err[0])
			}
			if (s.Status == Solved) != (s.Error <= 1e-10) {
				t.Errorf("%v, %d nodes: %s with an error of %.1e", f, n, s.Status, s.Error)
			}
			if len(s.Points()) != n+2 {
				t.Errorf("%d points for %d nodes", len(s.Points()), n)
			}
		}
	}
}

// TestUnresolved: what one polynomial cannot resolve is short of tolerance, never solved.
func TestUnresolved(t *testing.T) {
	const eps = 1e-6
	p := linear2(-1, 1, 0, 2, func(x float64) (a, b, c, r float64) { return eps, x, 0, 0 })
	s := MustSolve(p, Options{Method: One})
	if s.Status != Short {
		t.Errorf("%s: %s", s.Status, s.Message)
	}
	if s := MustSolve(p, Options{}); s.Status != Solved || s.Method != Pieces {
		t.Errorf("auto: %s by %s: %s", s.Status, s.Method, s.Message)
	}
	// A narrow source that coarse nodes miss altogether must not pass for nothing.
	spike := linear2(0, 1, 0, 0, func(x float64) (a, b, c, r float64) {
		return 1, 0, 0,
			1e4 * math.Exp(-math.Pow((x-0.371)/0.01, 2))
	})
	s = MustSolve(spike, Options{})
	jet := make([]float64, 3)
	s.At(0.371, jet)
	// Green's function: y(x) = −x (1−x) ∫ source, the width of the spike making 1 % of difference here.
	want := -0.371 * (1 - 0.371) * 1e4 * 0.01 * math.Sqrt(math.Pi)
	if s.Status != Solved || math.Abs(jet[0]/want-1) > 0.05 {
		t.Errorf("spike: %s, y = %g, about %g expected", s.Status, jet[0], want)
	}
}

func TestJump(t *testing.T) {
	p := linear2(0, 1, 0, 0, func(x float64) (a, b, c, r float64) {
		if x < 0.3137 {
			return 1, 0, 0, -20
		}
		return 1, 0, 0, 0
	})
	s := MustSolve(p, Options{})
	if s.Status != Solved || !strings.Contains(s.Message, "jumps at x = 0.3137") {
		t.Errorf("%s, %d elements: %s", s.Status, s.Elements, s.Message)
	}
	p.Breaks = []float64{0.3137}
	if s := MustSolve(p, Options{}); s.Status != Solved || s.Elements != 2 || strings.Contains(s.Message, "jumps") {
		t.Errorf("with its break: %s, %d elements: %s", s.Status, s.Elements, s.Message)
	}
}

// TestNoRescaling: the same problem on intervals of very different lengths and places gives the same digits.
func TestNoRescaling(t *testing.T) {
	for _, l := range []float64{1e-6, 1, 1e6} {
		for _, a := range []float64{0, -3 * l, 7 * l} {
			k := 3 / l
			exact := func(x float64) float64 { return math.Cosh(k * (x - a)) }
			p := linear2(a, a+l, 1, math.Cosh(3), func(x float64) (a, b, c, r float64) { return 1, 0, -k * k, 0 })
			s := MustSolve(p, Options{Tol: 1e-11})
			if w := worst(s, exact); s.Status != Solved || w > 1e-10*math.Cosh(3) {
				t.Errorf("length %g from %g: %s, error %.1e: %s", l, a, s.Status, w, s.Message)
			}
		}
	}
}

func TestCancel(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	p := linear2(-1, 1, 0, 2, func(x float64) (a, b, c, r float64) { return 1e-6, x, 0, 0 })
	steps := 0
	s := MustSolve(p, Options{Context: ctx, Progress: func(string) {
		if steps++; steps == 5 {
			cancel()
		}
	}})
	if s.Status == Solved || !strings.Contains(s.Message, "cancelled") {
		t.Errorf("%s: %s", s.Status, s.Message)
	}
}

// TestSameBits: a run repeated gives the same bits.
func TestSameBits(t *testing.T) {
	p := linear2(-1, 1, 0, 2, func(x float64) (a, b, c, r float64) { return 1e-4, x, 0, 0 })
	print := func() string {
		s := MustSolve(p, Options{})
		jet, err := make([]float64, 3), make([]float64, 3)
		out := fmt.Sprint(s.Elements, s.Error)
		for _, x := range s.Points() {
			s.At(x, jet)
			s.ErrorAt(x, err)
			out += fmt.Sprint(x, jet, err)
		}
		return out
	}
	if a, b := print(), print(); a != b {
		t.Error("two runs differ")
	}
}

// TestParameter finds a number in a nonlinear problem: y” + ω² y = 0, y(0) = 0, y'(0) = 1, y(2) = 0 has ω = π/2.
func TestParameter(t *testing.T) {
	with := func(c Condition) Condition { return c }
	p := &Problem{A: 0, B: 2, Unknowns: []Unknown{{Name: "y", Order: 2}},
		Parameters: []Parameter{{Name: "omega", Guess: 1.5, HasGuess: true}},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[2] + in[3]*in[3]*in[0]
			if df != nil {
				df[0], df[1], df[2], df[3] = in[3]*in[3], 0, 1, 2*in[3]*in[0]
			}
		},
		Conditions: []Condition{with(value(0, 0, 0)), with(value(0, 1, 1)), with(value(2, 0, 0))}}
	s := MustSolve(p, Options{})
	if s.Status != Solved || len(s.Found) != 1 || math.Abs(s.Found[0].Value-math.Pi/2) > s.Found[0].Error ||
		s.Found[0].Error > 1e-8 {
		t.Errorf("%s %v: %s", s.Status, s.Found, s.Message)
	}
}

func TestCheck(t *testing.T) {
	good := func() *Problem {
		return linear2(0, 1, 0, 0, func(x float64) (a, b, c, r float64) { return 1, 0, 0, 1 })
	}
	if err := Check(good()); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(p *Problem){
		"no equations":    func(p *Problem) { p.Equations = nil },
		"no unknown":      func(p *Problem) { p.Unknowns = nil },
		"order 9":         func(p *Problem) { p.Unknowns[0].Order = 9 },
		"empty interval":  func(p *Problem) { p.B = p.A },
		"NaN":             func(p *Problem) { p.B = math.NaN() },
		"three values":    func(p *Problem) { p.Conditions = append(p.Conditions, p.Conditions[0]) },
		"no residual":     func(p *Problem) { p.Conditions[1].Residual = nil },
		"wrong unknown":   func(p *Problem) { p.Conditions[1].At[0].Unknown = 1 },
		"wrong place":     func(p *Problem) { p.Conditions[1].At[0].X = 2 },
		"third":           func(p *Problem) { p.Conditions[1].At[0].Derivative = 3 },
		"break at an end": func(p *Problem) { p.Breaks = []float64{0} },
		"breaks descend":  func(p *Problem) { p.Breaks = []float64{0.5, 0.2} },
	} {
		p := good()
		spoil(p)
		if Check(p) == nil {
			t.Errorf("%s passes", name)
		}
		if s, err := Solve(p, Options{}); s != nil || err == nil {
			t.Errorf("%s: Solve returns %v, %v", name, s, err)
		}
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: MustSolve does not panic", name)
				}
			}()
			MustSolve(p, Options{})
		}()
	}
}

// TestCondition: y” + k² y = 0 with values at the ends is the more sensitive the nearer k is to π, where it has no
// answer. With y(0) = 0, y(1) = 1 the solution is sin kx / sin k, and a relative change of k changes it by k cot k (the
// derivative of ln sin k).
func TestCondition(t *testing.T) {
	before := 0.0
	for _, d := range []float64{1, 0.1, 0.01, 0.001} {
		k := math.Pi - d
		s := MustSolve(linear2(0, 1, 0, 1, func(x float64) (a, b, c, r float64) { return 1, 0, k * k, 0 }), Options{})
		// Every term is disturbed and not k alone, and with random signs: the size is what counts.
		if want := math.Abs(k / math.Tan(k)); s.Condition < want/20 || s.Condition > 20*want {
			t.Errorf("k = π − %g: condition number %.3g, about %.3g expected", d, s.Condition, want)
		}
		if s.Condition < 2*before {
			t.Errorf("k = π − %g: %.3g after %.3g", d, s.Condition, before)
		}
		before = s.Condition
		if !strings.Contains(s.Message, "condition number about "+about(s.Condition)) {
			t.Errorf("the condition number is not told: %s", s.Message)
		}
	}
	for v, want := range map[float64]string{1.34: "1.3", 41.7: "42", 6480: "6500", 2.3e7: "2e7"} {
		if got := about(v); got != want {
			t.Errorf("%g is written %s, want %s", v, got, want)
		}
	}
}
