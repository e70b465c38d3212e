package working

import "nodespan/solver/blocks"

// condition returns the condition number of a matrix in the 2-norm: the largest singular value by the smallest, +Inf
// where that is 0.
func condition(rows [][]float64) float64 { return blocks.Condition(dense(rows)) }
