//go:build page

package tape

import "nodespan/expr/notation"

// Evaluate evaluates a tree that is not on an inner loop; here, in the page, through a tape.
func Evaluate(n notation.Node, value func(notation.Node) (float64, bool)) (float64, error) {
	return byTape(n, value)
}
