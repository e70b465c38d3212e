package working

import "gonum.org/v1/gonum/mat"

// condition returns the condition number of a matrix in the 2-norm: the largest singular value by the smallest, +Inf
// where that is 0.
func condition(rows [][]float64) float64 { return mat.Cond(dense(rows), 2) }
