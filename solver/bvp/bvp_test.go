package bvp

import (
	"math"
	"slices"
	"testing"
)

// TestLayout: the jet lists every unknown with its derivatives up to its order, the state leaves the highest out.
func TestLayout(t *testing.T) {
	p := &Problem{Unknowns: []Unknown{{"u", 2}, {"v", 1}, {"w", 4}}}
	if p.Jet() != 10 || p.State() != 7 {
		t.Errorf("jet %d, state %d; want 10 and 7", p.Jet(), p.State())
	}
	for i, want := range []int{0, 3, 5} { // u u' u'' | v v' | w w' w'' w''' w''''
		if got := p.JetOffset(i); got != want {
			t.Errorf("unknown %d stands at %d of the jet, want %d", i, got, want)
		}
	}
	if empty := (&Problem{}); empty.Jet() != 0 || empty.State() != 0 {
		t.Error("no unknowns have no jet")
	}
}

// TestStill: what only x is known of says so, and keeps nil as nil.
func TestStill(t *testing.T) {
	var none *Formulas
	if none.Still() != nil {
		t.Error("no formulas became some")
	}
	f := &Formulas{Moving: []bool{true, false}, Inputs: 3}
	if s := f.Still(); s.Inputs != 0 || len(s.Moving) != 2 || f.Inputs != 3 {
		t.Errorf("%+v", s)
	}
}

// TestExact: whole numbers and short binary fractions are exact as typed, others are not.
func TestExact(t *testing.T) {
	for v, want := range map[float64]bool{0: true, 1: true, -3: true, 0.25: true, 1000000: true, 204000000: true,
		0.375:     true,
		1<<32 - 1: true, 1<<32 + 1: false, -1 << 33: true,
		0.1: false, 1.1: false, -0.3: false, 1e-5: false, 3.141592653589793: false, 1000000.1: false} {
		if got := Exact(v); got != want {
			t.Errorf("%v: %v", v, got)
		}
	}
}

// TestPlaces: the interval, its parts, and where an unknown of a layer counts.
func TestPlaces(t *testing.T) {
	p := &Problem{A: -1, B: 3, Breaks: []float64{0, 2}, Unknowns: []Unknown{{"u", 2}, {"v", 2}}}
	if !slices.Equal(p.Stretches(), []float64{-1, 0, 2, 3}) {
		t.Errorf("parts of %v", p.Stretches())
	}
	for x, want := range map[float64]bool{-1.1: false, -1: true, 0: true, 3: true, 3.1: false} {
		if p.Inside(x) != want {
			t.Errorf("%v inside is %v", x, !want)
		}
	}
	if a, b := p.Counts(1); a != -1 || b != 3 {
		t.Errorf("v counts from %v to %v", a, b)
	}
	p.Own = [][2]float64{{-1, 0}, {0, 3}}
	if a, b := p.Counts(1); a != 0 || b != 3 {
		t.Errorf("v counts from %v to %v", a, b)
	}
	if p.VariableName() != "x" || p.EvaluationWork() != 200 {
		t.Errorf("%s, %v", p.VariableName(), p.EvaluationWork())
	}
	if p.Variable, p.Work = "r", 1; p.VariableName() != "r" || p.EvaluationWork() != 1 {
		t.Errorf("%s, %v", p.VariableName(), p.EvaluationWork())
	}
	for k, want := range []string{"u", "u'", "u''", "u'''", "u''''", "u^(5)", "u^(6)"} {
		if got := Derivative("u", k); got != want {
			t.Errorf("derivative %d: %s", k, got)
		}
	}
}

// TestFixed: what one condition alone prescribes is known; one with a sought number in it prescribes nothing.
func TestFixed(t *testing.T) {
	given := func(v PointValue, f func(in []float64) float64) Condition {
		return Condition{At: []PointValue{v}, Residual: func(in, _ []float64) float64 { return f(in) }}
	}
	at := func(x float64) PointValue { return PointValue{X: x} }
	p := &Problem{B: 4, Unknowns: []Unknown{{"y", 2}}, Parameters: []Parameter{{Name: "q"}}, Conditions: []Condition{
		given(at(0), func(in []float64) float64 { return in[0] }),
		given(at(1), func(in []float64) float64 { return in[0] - 7 }),
		given(at(2), func(in []float64) float64 { return in[0] - in[1] }),
		{At: []PointValue{at(3), at(4)}, Residual: func(in, _ []float64) float64 { return in[0] - in[1] }},
	}}
	for x, want := range [][2]bool{{true, true}, {true, false}, {true, false}, {}, {}} {
		if fixed, zero := p.Fixed(at(float64(x))); fixed != want[0] || zero != want[1] {
			t.Errorf("y(%d): fixed %v, zero %v", x, fixed, zero)
		}
	}
	if fixed, _ := p.Fixed(PointValue{X: 0, Derivative: 1}); fixed {
		t.Error("the slope is not prescribed")
	}
}

// TestWholeLinear: nothing multiplies anything, sought numbers among themselves neither.
func TestWholeLinear(t *testing.T) {
	type f func(in, d []float64) // of u, u′, q in an equation; of u(0), q in a condition
	plain := func(in, d []float64) { d[0], d[1] = 3, -2 }
	for what, c := range map[string]struct {
		equation, condition f
		want                bool
	}{
		"sums":                        {func(in, d []float64) { d[0], d[1], d[2] = 1, 2, 3 }, plain, true},
		"a product in the equation":   {func(in, d []float64) { d[0], d[1], d[2] = in[2], 1, in[0] }, plain, false},
		"a square of q":               {func(in, d []float64) { d[1], d[2] = 1, 2*in[2] }, plain, false},
		"a square in a condition":     {plain, func(in, d []float64) { d[0] = 2 * in[0] }, false},
		"a square of q in one":        {plain, func(in, d []float64) { d[0], d[1] = 1, 2*in[1] }, false},
		"a derivative without number": {plain, func(in, d []float64) { d[0] = math.NaN() }, false},
	} {
		p := &Problem{B: 1, Unknowns: []Unknown{{"u", 1}}, Parameters: []Parameter{{Name: "q"}},
			Equations: func(_ float64, in, _, d []float64) { clear(d); c.equation(in, d) },
			Conditions: []Condition{{At: []PointValue{{}}, Residual: func(in, d []float64) float64 {
				clear(d)
				c.condition(in, d)
				return 0
			}}}}
		if got := p.Linear(); got != c.want {
			t.Errorf("%s: linear is %v", what, got)
		}
	}
}
