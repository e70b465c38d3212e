package solver_test

import (
	"fmt"
	"math"
	"testing"

	"nodespan/solver"
)

// The cases of BenchmarkSolve, each with a condition list of its own order.
var benchCases = []struct {
	name string
	p    *solver.Problem
}{
	{"linear", &solver.Problem{
		A: 0, B: 1, Unknowns: []solver.Unknown{{Name: "y", Order: 2}},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[2] + x*in[1] - 4*in[0] - math.Sin(x)
			if df != nil {
				df[0], df[1], df[2] = -4, x, 1
			}
		},
		Conditions: []solver.Condition{solver.Value(0, 0, 1), solver.Slope(0, 1, 0)},
	}},
	{"nonlinear", &solver.Problem{
		A: 0, B: 1, Unknowns: []solver.Unknown{{Name: "y", Order: 2}},
		Equations: func(x float64, in, f, df []float64) {
			e := math.Exp(in[0])
			f[0] = in[2] + e
			if df != nil {
				df[0], df[1], df[2] = e, 0, 1
			}
		},
		Conditions: []solver.Condition{solver.Value(0, 0, 0), solver.Value(0, 1, 0)},
	}},
	{"fourth-order", &solver.Problem{
		A: 0, B: 1, Unknowns: []solver.Unknown{{Name: "w", Order: 4}},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[4] + 10*in[0] - 1
			if df != nil {
				df[0], df[1], df[2], df[3], df[4] = 10, 0, 0, 0, 1
			}
		},
		Conditions: []solver.Condition{solver.Value(0, 0, 0), solver.Slope(0, 0, 0), solver.Value(0, 1, 0),
			solver.Mixed(0, solver.Term{Coefficient: 1, PointValue: solver.PointValue{X: 1, Derivative: 2}})},
	}},
	{"layer", &solver.Problem{
		A: -1, B: 1, Unknowns: []solver.Unknown{{Name: "y", Order: 2}},
		Equations: func(x float64, in, f, df []float64) { // a turning point in the middle
			const eps = 1e-2
			f[0] = eps*in[2] + x*in[1]
			if df != nil {
				df[0], df[1], df[2] = 0, x, eps
			}
		},
		Conditions: []solver.Condition{solver.Value(0, -1, 0), solver.Value(0, 1, 2)},
	}},
}

// BenchmarkSolve times whole solves on one polynomial with the number of nodes given, error estimate
// included; with nodes=auto the solver chooses everything for the default tolerance. The metric digits is the
// estimated error, as its negative decimal logarithm.
func BenchmarkSolve(b *testing.B) {
	for _, n := range []int{10, 64, 200, 0} {
		o := solver.Options{Method: solver.One, Nodes: n}
		size := fmt.Sprint(n)
		if n == 0 {
			o, size = solver.Options{}, "auto"
		}
		for _, c := range benchCases {
			b.Run("nodes="+size+"/case="+c.name, func(b *testing.B) {
				b.ReportAllocs()
				var s *solver.Solution
				for b.Loop() {
					s = solver.MustSolve(c.p, o)
				}
				if !s.Usable() {
					b.Fatal(s.Message)
				}
				b.ReportMetric(-math.Log10(s.Error), "digits")
			})
		}
	}
}
