package tape

import (
	"math"
	"strconv"

	"nodespan/expr/notation"
)

// Trees for tests are built by hand here, so that this package is tested without its reader.

func num(v float64) notation.Node {
	if math.Signbit(v) {
		return neg(num(-v))
	}
	return &notation.Number{Value: v, Text: strconv.FormatFloat(v, 'g', -1, 64)}
}
func name(s string) notation.Node { return &notation.Name{Name: s} }
func jet(s string, order int) notation.Node {
	return &notation.Jet{Name: s, Order: order}
}
func neg(x notation.Node) notation.Node { return &notation.Negate{X: x} }
func bin(op byte, x, y notation.Node) notation.Node {
	return &notation.Binary{Op: op, X: x, Y: y}
}
func fn(f string, args ...notation.Node) notation.Node {
	return &notation.Call{Func: f, Args: args}
}
func choose(x notation.Node, op string, y, p, q notation.Node) notation.Node {
	return fn("if", &notation.Compare{Op: op, X: x, Y: y}, p, q)
}

// inputs make names and unknowns the inputs of a tape, in the given order, by their keys.
func inputs(keys ...string) func(notation.Node) (Leaf, bool) {
	return func(n notation.Node) (Leaf, bool) {
		for i, k := range keys {
			if leafKey(n) == k || leafKey(n) == k+"'0" {
				return Leaf{Index: i}, true
			}
		}
		if leafKey(n) == "pi" {
			return Leaf{Value: math.Pi, Constant: true}, true
		}
		return Leaf{}, false
	}
}

// values gives leaves numbers, for Govaluate.
func values(keys []string, in []float64) func(notation.Node) (float64, bool) {
	leaf := inputs(keys...)
	return func(n notation.Node) (float64, bool) {
		l, ok := leaf(n)
		if l.Constant || !ok {
			return l.Value, ok
		}
		return in[l.Index], true
	}
}
