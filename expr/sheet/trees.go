package sheet

import "nodespan/expr/notation"

// Questions about syntax trees and ways to change them that the stages of the reader share.

// maxSize is the largest number of nodes that one formula may grow to when abbreviations are put
// in and derivatives carried out: far above any formula a person writes, far below what would
// freeze a browser tab. maxHeight is the greatest depth of such a formula, since trees are walked
// by recursion and a WebAssembly program cannot recover from a stack that is used up.
const (
	maxSize   = 100_000
	maxHeight = 2 * notation.MaxDepth
)

// size counts the nodes of a tree. It gives up just above maxSize, and returns that too for a tree
// higher than maxHeight.
func size(n notation.Node) int {
	count := 0
	var within func(n notation.Node, height int)
	within = func(n notation.Node, height int) {
		if count++; height > maxHeight {
			count = maxSize + 1
		}
		if count > maxSize {
			return
		}
		for _, c := range notation.Children(n) {
			within(c, height+1)
		}
	}
	within(n, 1)
	return min(count, maxSize+1)
}

// points returns the point of the values in n, and whether there are several; it does not look below what past holds
// for.
func points(n notation.Node, past func(notation.Node) bool) (at notation.Node, several bool) {
	notation.FindOutside(n, func(n notation.Node) bool {
		if j, ok := n.(*notation.Jet); ok && j.At != nil {
			several = several || at != nil && !notation.Equal(at, j.At)
			at = j.At
		}
		return false
	}, past)
	return at, several
}

// placed reports whether n is an expression at a point, (k T')(0).
func placed(n notation.Node) bool {
	d, ok := n.(*notation.Diff)
	return ok && d.At != nil
}

// takenAt returns a formula with the unknowns and the variable at a point; what past, where it is not nil, holds for
// stays as it is.
func (r *reader) takenAt(n, at notation.Node, past func(notation.Node) bool) notation.Node {
	isVariable := named(r.sheet.Variable)
	return notation.Rebuild(n, func(n notation.Node) notation.Node {
		if past != nil && past(n) {
			return n
		}
		switch n := n.(type) {
		case *notation.Jet:
			if n.At != nil {
				return n
			}
			j := *n
			j.At = at
			return &j
		case *notation.Diff:
			if n.At != nil {
				return n
			}
			d := *n
			d.At = at
			return &d
		case *notation.Name:
			if isVariable(n) {
				return at
			}
		}
		return nil
	})
}

// runningJet reports whether n is an unknown (or a derivative of one) at the running point.
func runningJet(n notation.Node) bool {
	j, ok := n.(*notation.Jet)
	return ok && j.At == nil
}

// pointJet reports whether n is an unknown (or a derivative of one) at a point.
func pointJet(n notation.Node) bool {
	j, ok := n.(*notation.Jet)
	return ok && j.At != nil || placed(n)
}

// derivative reports whether n is a derivative at the running point.
func derivative(n notation.Node) bool {
	if j, ok := n.(*notation.Jet); ok {
		return j.At == nil && j.Order > 0
	}
	_, ok := n.(*notation.Diff)
	return ok && !placed(n)
}

// named returns a test for the name.
func named(name string) func(notation.Node) bool {
	return func(n notation.Node) bool {
		m, ok := n.(*notation.Name)
		return ok && m.Name == name
	}
}

// zero reports whether n is the number 0 as written.
//
//go:noinline
func zero(n notation.Node) bool {
	m, ok := n.(*notation.Number)
	return ok && m.Value == 0
}

// difference returns a - b, without the subtraction where b is 0.
func difference(a, b notation.Node) notation.Node {
	switch {
	case zero(b):
		return a
	case zero(a):
		return b
	}
	return &notation.Binary{Sp: join(a.Span(), b.Span()), Op: '-', X: a, Y: b}
}

// join returns the stretch from the start of a to the end of b.
//
//go:noinline
func join(a, b notation.Span) notation.Span {
	if b.To < a.To {
		b.To = a.To
	}
	return notation.Span{From: a.From, To: b.To}
}
