package ladder_test

import (
	"fmt"
	"math"

	"nodespan/solver"
	"nodespan/solver/ladder"
)

// How many nodes are enough for six digits of the solution of y″ + 9 y = 0?
func ExampleClimb() {
	value := func(x, want float64) solver.Condition {
		return solver.Condition{At: []solver.PointValue{{X: x}}, Residual: func(in, dg []float64) float64 {
			if dg != nil {
				dg[0] = 1
			}
			return in[0] - want
		}}
	}
	p := &solver.Problem{
		A: 0, B: 1,
		Unknowns: []solver.Unknown{{Name: "y", Order: 2}},
		Equations: func(_ float64, in, f, df []float64) {
			f[0] = in[2] + 9*in[0]
			if df != nil {
				df[0], df[1], df[2] = 9, 0, 1
			}
		},
		Conditions: []solver.Condition{value(0, 0), value(1, math.Sin(3))},
	}
	l := ladder.Climb(p, ladder.Options{
		Methods: []solver.Method{solver.One}, MostNodes: 8, Tol: 1e-6,
		Exact: func(x float64, _ int) (float64, bool) { return math.Sin(3 * x), true },
	})
	for _, r := range l.Rungs() {
		fmt.Printf("%d nodes: %.0e\n", r.Nodes, r.Error)
	}
	fmt.Println(l.Sentence)
	// Output:
	// 1 nodes: 2e+00
	// 2 nodes: 6e-01
	// 3 nodes: 9e-02
	// 4 nodes: 6e-03
	// 5 nodes: 1e-04
	// 6 nodes: 2e-05
	// 7 nodes: 2e-07
	// 8 nodes: 1e-07
	// Seven interior Legendre nodes give 6 digits; each further node adds about one
}
