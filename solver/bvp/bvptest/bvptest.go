// Package bvptest poses small problems for the tests of the packages that solve them: package solver, which has such
// helpers for everybody, stands on those packages, and their tests cannot stand on it.
package bvptest

import (
	"runtime"

	"nodespan/solver/bvp"
)

// Tolerances are those that every published problem is solved to. WebAssembly, some five times slower, gets the two
// ends.
func Tolerances() []float64 {
	if runtime.GOOS == "js" {
		return []float64{1e-4, 1e-10}
	}
	return []float64{1e-4, 1e-6, 1e-8, 1e-10}
}

// Given is the condition that a derivative of an unknown has a value at x.
func Given(x float64, unknown, derivative int, value float64) bvp.Condition {
	return bvp.Condition{At: []bvp.PointValue{{X: x, Unknown: unknown, Derivative: derivative}},
		Residual: func(in, dg []float64) float64 {
			if dg != nil {
				clear(dg)
				dg[0] = 1
			}
			return in[0] - value
		}}
}

// Equal is the condition that a derivative of an unknown is the same at a and b.
func Equal(a, b float64, unknown, derivative int) bvp.Condition {
	return bvp.Condition{At: []bvp.PointValue{{X: a, Unknown: unknown, Derivative: derivative},
		{X: b, Unknown: unknown, Derivative: derivative}},
		Residual: func(in, dg []float64) float64 {
			if dg != nil {
				clear(dg)
				dg[0], dg[1] = 1, -1
			}
			return in[0] - in[1]
		}}
}

// Scalar is a problem in one unknown, y: f returns the residual at x, of y and its derivatives up to the order, and the
// residual's derivative by each.
func Scalar(order int, a, b float64, f func(x float64, y []float64) (r float64, dr []float64),
	conditions ...bvp.Condition) *bvp.Problem {
	return &bvp.Problem{A: a, B: b, Unknowns: []bvp.Unknown{{Name: "y", Order: order}}, Conditions: conditions,
		Equations: func(x float64, in, r, dr []float64) {
			v, d := f(x, in)
			r[0] = v
			if dr != nil {
				copy(dr, d)
			}
		}}
}

// Second is y″ = f(x, y, y′) with values at the ends; f returns its derivatives with respect to y and y′ too.
func Second(a, b, ya, yb float64, f func(x, y, d float64) (v, vy, vd float64)) *bvp.Problem {
	return Scalar(2, a, b, func(x float64, in []float64) (float64, []float64) {
		v, vy, vd := f(x, in[0], in[1])
		return in[2] - v, []float64{-vy, -vd, 1}
	}, Given(a, 0, 0, ya), Given(b, 0, 0, yb))
}
