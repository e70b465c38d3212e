//go:build !page

package tape

import "nodespan/expr/notation"

// Evaluate evaluates a tree that is not on an inner loop (a constant, a condition's data, an exact solution, a guess): see
// Govaluate for value and errors. In the page, which is built with the tag page, it takes the tape's way instead: the library with what it
// brings along weighs 260 KB of the packed page, and every test holds the two ways to each other.
func Evaluate(n notation.Node, value func(notation.Node) (float64, bool)) (float64, error) {
	return Govaluate(n, value)
}
