package newton

import (
	"context"
	"fmt"
	"math"
	"testing"

	"nodespan/solver/budget"
)

// scalar is one equation f(x) = 0 in one unknown, whose sizes are absolute.
type scalar struct {
	f, slope    func(x float64) float64
	value, df   float64
	noise       float64 // corrections of this size are explained
	raise       float64 // what Floor divides sizes by, once; 0 for none
	unit        float64
	jacobians   int
	residuals   int
	explanation int // how often one was asked for
	singular    bool
}

func (s *scalar) New() *float64                              { return new(float64) }
func (s *scalar) Copy(dst, v *float64)                       { *dst = *v }
func (s *scalar) Add(dst, v *float64, f float64, w *float64) { *dst = *v + f**w }
func (s *scalar) Work() float64                              { return 10 }
func (s *scalar) Correct(step *float64)                      { *step = -s.value / s.df }
func (s *scalar) Weigh(_, _ *float64)                        { s.unit = 1 }
func (s *scalar) Settled(size float64) bool                  { return size <= 1e-12 }
func (s *scalar) Linear(size float64) bool                   { return size <= 1e-10 }
func (s *scalar) Singular() bool                             { return s.singular }

func (s *scalar) Size(v *float64, f float64, w *float64) float64 { return math.Abs(*v-f**w) / s.unit }

func (s *scalar) Linearise(v *float64) (finite, regular bool) {
	s.jacobians++
	s.value, s.df = s.f(*v), s.slope(*v)
	return !math.IsNaN(s.value), s.df != 0
}

func (s *scalar) Residual(v *float64) bool {
	s.residuals++
	s.value = s.f(*v)
	return !math.IsNaN(s.value)
}

func (s *scalar) Floor(*float64) bool {
	if s.raise == 0 || s.unit != 1 {
		return false
	}
	s.unit = s.raise
	return true
}

func (s *scalar) Explained(_ *float64, size float64) bool {
	s.explanation++
	return size <= s.noise
}

// TestIterate holds the iteration to its path: the outcome, the steps, the Jacobians and residuals that it takes, and
// where it ends. The roots are those of closed forms, the counts today's.
func TestIterate(t *testing.T) {
	atan := func() *scalar {
		return &scalar{f: math.Atan, slope: func(x float64) float64 { return 1 / (1 + x*x) }}
	}
	exp := func() *scalar { return &scalar{f: func(x float64) float64 { return math.Exp(x) - 5 }, slope: math.Exp} }
	rough := func(noise float64) *scalar { // no better than 3e-9, as with rounding of that size
		return &scalar{noise: noise, slope: math.Cos, f: func(x float64) float64 {
			return math.Sin(x) + math.Copysign(3e-9, x)
		}}
	}
	square := func(c float64) *scalar {
		return &scalar{f: func(x float64) float64 { return x*x + c }, slope: func(x float64) float64 { return 2 * x }}
	}
	for _, c := range []struct {
		name   string
		s      *scalar
		start  float64
		limits Limits
		root   float64
		within float64
		want   string // outcome, steps, linear, Jacobians, residuals, explanations
	}{
		{"a root", exp(), 2, Limits{}, math.Log(5), 1e-13, "converged 2 false 2 8 1"},
		{"far below a root", exp(), -3, Limits{}, -3, 0, "stalled 1 false 1 1 1"},
		{"beyond undamped convergence", atan(), 10, Limits{}, 0, 1e-15, "converged 3 false 3 13 1"},
		{"far beyond it", atan(), 1e4, Limits{}, 5616.603339230211, 1e-3, "stalled 60 false 60 300 60"},
		{"at the root", exp(), math.Log(5), Limits{}, math.Log(5), 1e-13, "converged 1 true 1 0 0"},
		{"linear", &scalar{f: func(x float64) float64 { return 3*x - 6 }, slope: func(float64) float64 { return 3 }}, 7,
			Limits{}, 2, 0, "converged 1 true 1 1 0"},
		{"too few steps", atan(), 1e4, Limits{Steps: 3}, 9623.156827588648, 1e-6, "stalled 3 false 3 15 3"},
		{"no root", square(1), 3, Limits{}, 0, 5, "stalled 4 false 4 5 3"},
		{"no root, and a singular Jacobian", &scalar{singular: true, f: square(1).f, slope: square(1).slope}, 3,
			Limits{}, 0, 5, "singular 4 false 4 5 3"},
		{"a root with a singular Jacobian", &scalar{singular: true, f: exp().f, slope: math.Exp}, 2, Limits{},
			math.Log(5), 1e-13, "singular 2 false 2 8 1"},
		{"a flat start", square(-1), 0, Limits{}, 0, 0, "singular 0 false 1 0 0"},
		{"a double root", square(0), 1, Limits{}, 0, 1e-8, "converged 27 false 27 53 52"},
		{"beyond the domain", &scalar{f: math.Log, slope: func(x float64) float64 { return 1 / x }}, 20, Limits{},
			1, 1e-13, "converged 6 false 6 16 2"},
		{"outside the domain", &scalar{f: math.Log, slope: func(x float64) float64 { return 1 / x }}, -1, Limits{},
			-1, 0, "not finite 0 false 1 0 0"},
		{"rounding within its limit", rough(0), 0.5, Limits{Rounding: 1e-7}, 0, 1e-8, "converged 2 false 2 10 0"},
		{"rounding explained", rough(1e-8), 0.5, Limits{}, 0, 1e-8, "converged 2 false 2 10 1"},
		{"rounding not explained", rough(0), 0.5, Limits{}, 0, 1e-8, "stalled 4 false 4 16 3"},
		{"weights raised", &scalar{raise: 1e9, f: rough(0).f, slope: math.Cos}, 0.5, Limits{Rounding: 1e-12}, 0, 1e-8,
			"converged 3 false 3 12 1"},
		{"no work left", exp(), 2, Limits{Context: budget.Within(context.Background(), 15)}, 1.6296132063230788, 1e-12,
			"cancelled 1 false 1 2 1"},
		{"work for all", exp(), 2, Limits{Context: budget.Within(context.Background(), 1000)}, math.Log(5), 1e-13,
			"converged 2 false 2 8 1"},
	} {
		x := c.start
		end := Iterate(c.s, &x, c.limits)
		got := fmt.Sprintf("%s %d %v %d %d %d", end.Outcome, end.Iterations, end.Linear, c.s.jacobians, c.s.residuals,
			c.s.explanation)
		if got != c.want || !(math.Abs(x-c.root) <= c.within) {
			t.Errorf("%s: %q at %v, last %.1e; want %q at %v", c.name, got, x, end.Last, c.want, c.root)
		}
	}
}
