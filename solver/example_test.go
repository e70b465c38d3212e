package solver_test

import (
	"fmt"
	"math"

	"nodespan/solver"
	"nodespan/solver/table"
)

// fixed is the condition that a derivative of unknown 0 has a value at x.
func fixed(x float64, derivative int, value float64) solver.Condition {
	return solver.Condition{
		At: []solver.PointValue{{X: x, Derivative: derivative}},
		Residual: func(in, dg []float64) float64 {
			if dg != nil {
				dg[0] = 1
			}
			return in[0] - value
		},
	}
}

// The fin on a stove-pipe, for the excess temperature: 1 at the pipe, and no heat through the tip.
//
//	θ'' = m² θ,  θ(0) = 1,  θ'(1) = 0
//
// For teaching and checking: a real stove is built to local codes.
func ExampleSolve() {
	const m = 2
	p := &solver.Problem{
		A: 0, B: 1,
		Unknowns: []solver.Unknown{{Name: "theta", Order: 2}},
		Equations: func(x float64, in, f, df []float64) { // in holds θ, θ', θ''
			f[0] = in[2] - m*m*in[0]
			if df != nil {
				df[0], df[1], df[2] = -m*m, 0, 1
			}
		},
		Conditions: []solver.Condition{fixed(0, 0, 1), fixed(1, 1, 0)},
	}
	s := solver.Solve(p, solver.Options{Method: solver.One, Nodes: 3, Tol: 1e-2})
	jet := make([]float64, p.Jet())
	fmt.Println(s.Status)
	for _, x := range s.Points() {
		s.At(x, jet)
		fmt.Printf("%.3f  %.2f  (exactly %.4f)\n", x, jet[0], math.Cosh(m*(1-x))/math.Cosh(m))
	}
	// Output:
	// solved
	// 0.000  1.00  (exactly 1.0000)
	// 0.113  0.81  (exactly 0.8064)
	// 0.500  0.41  (exactly 0.4102)
	// 0.887  0.27  (exactly 0.2726)
	// 1.000  0.27  (exactly 0.2658)
}

// A nonlinear problem at points of one's own: a pendulum that swings from level to hanging in unit
// time. The last column is its energy φ'²/2 - cos φ, which must not change.
func ExampleSolve_nonlinear() {
	p := &solver.Problem{
		Variable: "t", A: 0, B: 1,
		Unknowns: []solver.Unknown{{Name: "phi", Order: 2}},
		Equations: func(t float64, in, f, df []float64) {
			f[0] = in[2] + math.Sin(in[0])
			if df != nil {
				df[0], df[1], df[2] = math.Cos(in[0]), 0, 1
			}
		},
		Conditions: []solver.Condition{fixed(0, 0, math.Pi/2), fixed(1, 0, 0)},
	}
	s := solver.Solve(p, solver.Options{Tol: 1e-8})
	for _, row := range table.New(s, []float64{0, 0.25, 0.5, 0.75}).Rows {
		t, phi, slope := row[0], row[1], row[2]
		fmt.Printf("%.2f  %.6f  %.6f\n", t, phi, slope*slope/2-math.Cos(phi))
	}
	// Output:
	// 0.00  1.570796  0.660940
	// 0.25  1.252357  0.660940
	// 0.50  0.875254  0.660940
	// 0.75  0.450967  0.660940
}
