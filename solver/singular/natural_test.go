package singular

import (
	"math"
	"testing"

	"nodespan/solver/bvp"
)

// second is an equation of second order in y on (a, b): f has the values y, y', y” and the sought numbers, and returns
// the residual with its derivatives by y, y' and y”.
func second(a, b float64, sought int, f func(x float64, v []float64) [4]float64) *bvp.Problem {
	return &bvp.Problem{A: a, B: b, Unknowns: []bvp.Unknown{{Name: "y", Order: 2}},
		Parameters: make([]bvp.Parameter, sought),
		Equations: func(x float64, in, out, df []float64) {
			r := f(x, in)
			out[0] = r[0]
			if df != nil {
				clear(df)
				copy(df, r[1:])
			}
		}}
}

// TestNaturals: what is left of an equation at a singular end, by hand. A factor that stands alone does not matter.
func TestNaturals(t *testing.T) {
	disc := func(x float64, v []float64) [4]float64 { // y'' + y'/x = 4 y
		return [4]float64{v[2] + v[1]/x - 4*v[0], -4, 1 / x, 1}
	}
	source := func(x float64, v []float64) [4]float64 { // x y'' + y' + 3 y = 5
		return [4]float64{x*v[2] + v[1] + 3*v[0] - 5, 3, 1, x}
	}
	legendre := func(x float64, v []float64) [4]float64 { // (1 - x²) y'' - 2 x y' + p y = 7 p
		return [4]float64{(1-x*x)*v[2] - 2*x*v[1] + v[3]*(v[0]-7), v[3], -2 * x, 1 - x*x}
	}
	for _, c := range []struct {
		name    string
		p       *bvp.Problem
		ends    []float64
		factors [][2]float64 // of y and y'
		free    [2]float64
	}{
		{"disc", second(0, 1, 0, disc), []float64{0}, [][2]float64{{}, {1, 0}}, [2]float64{}},
		{"outside of a disc", second(0, math.Inf(1), 0, disc), []float64{0}, [][2]float64{{}, {1, 0}}, [2]float64{}},
		{"left of a disc", second(math.Inf(-1), 0, 0, disc), []float64{0}, [][2]float64{{}, {1, 0}}, [2]float64{}},
		{"nowhere singular", second(1, 2, 0, disc), nil, nil, [2]float64{}},
		{"source", second(0, 2, 0, source), []float64{0}, [][2]float64{{3, 0}, {1, 0}}, [2]float64{-5, 0}},
		{"Legendre", second(0, 1, 1, legendre), []float64{1}, [][2]float64{{0, 1}, {-2, 0}}, [2]float64{0, -7}},
		{"two sought numbers", second(0, 1, 2, legendre), nil, nil, [2]float64{}},
		{"quadratic in the sought number", second(0, 1, 1, func(x float64, v []float64) [4]float64 {
			return [4]float64{x*v[2] + v[1] + v[3]*v[3]*v[0], v[3] * v[3], 1, x}
		}), nil, nil, [2]float64{}},
		{"quadratic in the sought number beside the unknown", second(0, 1, 1, func(x float64, v []float64) [4]float64 {
			return [4]float64{x*v[2] + v[1] + v[3]*v[3], 0, 1, x}
		}), nil, nil, [2]float64{}},
		{"quadratic in the slope", second(0, 1, 0, func(x float64, v []float64) [4]float64 {
			return [4]float64{x*v[2] + v[1]*v[1] - 1, 0, 2 * v[1], x}
		}), nil, nil, [2]float64{}},
		{"quadratic in the value beside the slope", second(0, 1, 0, func(x float64, v []float64) [4]float64 {
			return [4]float64{x*v[2] + v[1] + v[0]*v[0], 2 * v[0], 1, x}
		}), nil, nil, [2]float64{}},
	} {
		all := Naturals(c.p)
		if len(all) != len(c.ends) {
			t.Errorf("%s: %+v", c.name, all)
			continue
		}
		for i, n := range all {
			got := make([][2]float64, 2)
			for k, v := range n.At {
				if v.X != c.ends[i] || v.Unknown != 0 || v.Derivative > 1 {
					t.Errorf("%s: %+v", c.name, v)
					continue
				}
				got[v.Derivative] = n.Factors[k]
			}
			if n.End.X != c.ends[i] || n.Equation != 0 || !near(n.Free, c.free) {
				t.Errorf("%s: %+v", c.name, n)
			}
			for d := range got {
				if !near(got[d], c.factors[d]) || (got[d] == [2]float64{}) != (c.factors[d] == [2]float64{}) {
					t.Errorf("%s: factors %v, want %v", c.name, got, c.factors)
				}
			}
		}
	}
}

// near compares two factors; they are limits, worked out to some nine digits.
func near(a, b [2]float64) bool { return math.Abs(a[0]-b[0]) < 1e-8 && math.Abs(a[1]-b[1]) < 1e-8 }
