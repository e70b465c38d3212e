package solver_test

import (
	"fmt"
	"math"
	"math/cmplx"

	"nodespan/solver"
	"nodespan/solver/table"
)

// The fin on a stove-pipe, for the excess temperature: 1 at the pipe, and no heat through the tip.
//
//	θ” = m² θ,  θ(0) = 1,  θ'(1) = 0
//
// For teaching and checking: a real stove is built to local codes.
func ExampleSolve() {
	p := &solver.Problem{
		A: 0, B: 1,
		Unknowns: []solver.Unknown{{Name: "theta", Order: 2}},
		Equations: solver.ComplexStep(func(x float64, in, f []complex128) { // in holds θ, θ', θ”
			f[0] = in[2] - 4*in[0]
		}),
		Conditions: []solver.Condition{solver.Value(0, 0, 1), solver.Slope(0, 1, 0)},
	}
	s, err := solver.Solve(p, solver.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	tip, off := s.Value(0, 0, 1)
	fmt.Println(s.Status)
	fmt.Printf("%.8f, exactly %.8f; the error is small: %v\n", tip, 1/math.Cosh(2), off < 1e-8)
	// Output:
	// solved
	// 0.26580223, exactly 0.26580223; the error is small: true
}

// The nodes of one polynomial, as a course has them, with derivatives of one's own.
func ExampleSolve_nodes() {
	const m = 2
	p := &solver.Problem{
		A: 0, B: 1,
		Unknowns: []solver.Unknown{{Name: "theta", Order: 2}},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[2] - m*m*in[0]
			if df != nil {
				df[0], df[1], df[2] = -m*m, 0, 1
			}
		},
		Conditions: []solver.Condition{solver.Value(0, 0, 1), solver.Slope(0, 1, 0)},
	}
	s := solver.MustSolve(p, solver.Options{Method: solver.One, Nodes: 3, Tol: 1e-2})
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
		Equations: solver.ComplexStep(func(t float64, in, f []complex128) {
			f[0] = in[2] + cmplx.Sin(in[0])
		}),
		Conditions: []solver.Condition{solver.Value(0, 0, math.Pi/2), solver.Value(0, 1, 0)},
	}
	s := solver.MustSolve(p, solver.Options{Tol: 1e-8})
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

// A wall of unit thickness between air at 20 and at -10 degrees, with film coefficients 8 and 24 and conductivity 1:
// mixed conditions at both ends. The heat flow is 30/(1/8 + 1 + 1/24).
func ExampleMixed() {
	at := func(x float64, d int) solver.PointValue { return solver.PointValue{X: x, Derivative: d} }
	p := &solver.Problem{
		A: 0, B: 1,
		Unknowns:  []solver.Unknown{{Name: "T", Order: 2}},
		Equations: solver.ComplexStep(func(x float64, in, f []complex128) { f[0] = in[2] }),
		Conditions: []solver.Condition{
			solver.Mixed(8*20, solver.Term{8, at(0, 0)}, solver.Term{-1, at(0, 1)}),   // 8 T(0) - T'(0) = 8 · 20
			solver.Mixed(24*-10, solver.Term{24, at(1, 0)}, solver.Term{1, at(1, 1)}), // 24 T(1) + T'(1) = 24 · -10
		},
	}
	s := solver.MustSolve(p, solver.Options{})
	slope, _ := s.Value(0, 1, 0.5)
	fmt.Printf("%.6f, exactly %.6f\n", -slope, 30/(1./8+1+1./24))
	// Output: 25.714286, exactly 25.714286
}

// A sought number: the load under which a column of unit stiffness and length, hinged at both ends, buckles, π² (L.
// Euler, 1744). One condition fewer than the order and the sought number ask for makes it an eigenvalue problem.
func ExampleSolve_eigenvalue() {
	p := &solver.Problem{
		A: 0, B: 1,
		Unknowns:   []solver.Unknown{{Name: "v", Order: 2}},
		Parameters: []solver.Parameter{{Name: "P"}},
		Equations: solver.ComplexStep(func(x float64, in, f []complex128) { // in holds v, v', v” and P
			f[0] = in[2] + in[3]*in[0]
		}),
		Conditions: []solver.Condition{solver.Value(0, 0, 0), solver.Value(0, 1, 0)},
	}
	s := solver.MustSolve(p, solver.Options{Count: 1})
	fmt.Printf("%.7f, exactly %.7f\n", s.Eigenvalues[0].Value, math.Pi*math.Pi)
	// Output: 9.8696044, exactly 9.8696044
}

// A derivative that does not belong to its residual is named.
func ExampleCheckDerivatives() {
	p := &solver.Problem{
		A: 0, B: 1,
		Unknowns: []solver.Unknown{{Name: "y", Order: 2}},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[2] + 3*in[1] - in[0]
			if df != nil {
				df[0], df[1], df[2] = -1, -3, 1
			}
		},
		Conditions: []solver.Condition{solver.Value(0, 0, 1), solver.Value(0, 1, 0)},
	}
	_, err := solver.Solve(p, solver.Options{})
	fmt.Println(err)
	// Output: equation 1: the derivative by y' is given as -3, but differences of the residual give 3
}
