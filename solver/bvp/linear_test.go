package bvp

import (
	"math"
	"slices"
	"testing"
)

// TestLinear: what is linear in the unknowns, whatever it is in the variable and the sought numbers.
func TestLinear(t *testing.T) {
	type derivatives func(x float64, in, df []float64) // in is u, u′, v, v′, q
	p := &Problem{A: 1, B: 3, Unknowns: []Unknown{{Order: 1}, {Order: 1}}, Parameters: []Parameter{{Name: "q"}}}
	for what, c := range map[string]struct {
		of   derivatives
		want bool
	}{
		"constants": {func(x float64, in, df []float64) { df[1], df[5+3], df[5+0] = 1, 2, -3 },
			true},
		"functions of x": {func(x float64, in, df []float64) {
			df[1], df[5+3], df[5+0] = x, x*x,
				math.Sin(x)
		}, true},
		"a sought number": {func(x float64, in, df []float64) {
			df[0], df[4], df[5+2] = in[4], in[0],
				in[4]*in[4]
		}, true},
		"a square":                     {func(x float64, in, df []float64) { df[0], df[5+3] = 2*in[0], 1 }, false},
		"in the second equation alone": {func(x float64, in, df []float64) { df[0], df[5+3] = 1, in[2] }, false},
		"large numbers with their rounding": {func(x float64, in, df []float64) {
			df[1], df[5] = 1e9+1e-5*in[0], 1
		}, true},
		"in a part of the interval": {func(x float64, in, df []float64) {
			if df[0] = 1; x > 2.5 {
				df[5+1] = in[3]
			}
		}, false},
	} {
		p.Equations = func(x float64, in, f, df []float64) {
			if clear(df); !p.Inside(x) {
				t.Errorf("asked at %v", x)
			}
			c.of(x, in, df)
		}
		if got := p.LinearEquations([]float64{0.7}); got != c.want {
			t.Errorf("equations with %s: linear is %v", what, got)
		}
	}
	at := []PointValue{{X: 1}, {X: 3, Unknown: 1}}
	for what, c := range map[string]struct {
		of   func(in, dg []float64) // in is u(1), v(3), q
		want bool
	}{
		"a sum":                          {func(in, dg []float64) { dg[0], dg[1], dg[2] = 1, -2, 3 }, true},
		"a sought number":                {func(in, dg []float64) { dg[0], dg[1], dg[2] = in[2], 1, in[0] }, true},
		"a product with a sought number": {func(in, dg []float64) { dg[0], dg[2] = 1+in[2]*in[0], 1 }, false},
		"a product":                      {func(in, dg []float64) { dg[0], dg[1] = in[1], in[0] }, false},
		"a square of a number":           {func(in, dg []float64) { dg[0], dg[2] = 1, in[2]*in[2] }, true},
	} {
		p.Conditions = []Condition{{At: at[:1], Residual: func(in, dg []float64) float64 { dg[0] = 1; return in[0] }},
			{At: at, Residual: func(in, dg []float64) float64 {
				clear(dg)
				c.of(in, dg)
				return 0
			}}}
		if got := p.LinearConditions([]float64{0.7}); got != c.want {
			t.Errorf("conditions with %s: linear is %v", what, got)
		}
	}
}

func TestNumbers(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, v := range []float64{nan, inf, -inf} {
		if Finite(v) || AllFinite([]float64{1, v, 2}) {
			t.Errorf("%g is finite", v)
		}
	}
	if !Finite(-1e308) || !AllFinite(nil) || !AllFinite([]float64{0, -3}) {
		t.Error("numbers are not finite")
	}
	if Largest(nil) != 0 || Largest([]float64{1, -4, 3}) != 4 {
		t.Error("the largest of 1, -4 and 3 in size is 4")
	}
	if got := Divide([]float64{0, 1, 5}, 2); !slices.Equal(got, []float64{0, 0.5, 1, 3, 5}) {
		t.Errorf("0, 1 and 5 halved: %v", got)
	}
}
