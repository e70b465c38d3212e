package typeset

import (
	"math"
	"strconv"
	"strings"

	"nodespan/expr/function"
	"nodespan/expr/notation"
)

// This file holds what all the printers share: precedence, how factors are joined, how a name is made up.

// Levels of precedence, from the loosest.
const (
	levelSum     = iota + 1 // a + b, a - b
	levelSign               // -a
	levelProduct            // a b, a/b
	levelPower              // a^b
	levelPrimary            // everything else
)

// level returns the precedence of a node as linear text (a/b on one line).
//
//go:noinline
func level(n notation.Node) int {
	switch n := n.(type) {
	case *notation.Number:
		if negative(n) {
			return levelSign
		}
	case *notation.Negate:
		return levelSign
	case *notation.Binary:
		switch n.Op {
		case '+', '-':
			return levelSum
		case '*', '/':
			return levelProduct
		}
		return levelPower
	}
	return levelPrimary
}

// stackedLevel returns the precedence where quotients are set as fractions, which need no bracket but under a power.
func stackedLevel(n notation.Node) int {
	if isQuotient(n) {
		return levelPrimary
	}
	return level(n)
}

func isQuotient(n notation.Node) bool {
	b, ok := n.(*notation.Binary)
	return ok && b.Op == '/'
}

// negative reports whether a number was built with a minus sign; written ones have none.
func negative(n *notation.Number) bool { return math.Signbit(n.Value) }

// digits returns a number as its author typed it, without its sign.
func digits(n *notation.Number) string {
	text := strings.TrimPrefix(n.Text, "-")
	if text == "" {
		return strconv.FormatFloat(math.Abs(n.Value), 'g', -1, 64)
	}
	// A point that ends a number could be taken for a full stop.
	return strings.TrimSuffix(strings.Replace(text, ".e", "e", 1), ".")
}

// A joint is what stands between the factors of a product.
type joint int

const (
	joinSpace joint = iota // nothing but space
	joinDot                // a sign
)

// joinOf returns what must stand between the two sides of a product for it to be read as one. stacked says
// whether quotients are set as fractions.
func joinOf(left, right notation.Node, stacked bool) joint {
	last, first := lastFactor(left, stacked), firstFactor(right, stacked)
	if !stacked && isQuotient(last) {
		return joinDot // a/b c: one cannot see how far the quotient reaches
	}
	_, lastIsNumber := last.(*notation.Number)
	if beginsBracket(right, stacked) {
		if p, ok := last.(*notation.Binary); ok && p.Op == '^' && !stacked {
			last = p.Y // what is printed last
		}
		switch last := last.(type) {
		case *notation.Name, *notation.Diff:
			return joinDot
		case *notation.Jet:
			if last.At == nil {
				return joinDot
			}
		}
		return joinSpace
	}
	if isQuotient(first) && lastIsNumber {
		return joinDot // 2 1/3 would be a mixed number
	}
	if _, ok := first.(*notation.Number); ok {
		return joinDot
	}
	if p, ok := last.(*notation.Binary); ok && p.Op == '^' {
		last = p.X
	}
	if n, ok := last.(*notation.Name); ok && n.Name == "d" {
		return joinDot // d y/(d x) would be a derivative
	}
	return joinSpace
}

// lastFactor returns the last factor of a product.
func lastFactor(n notation.Node, stacked bool) notation.Node {
	for {
		b, ok := n.(*notation.Binary)
		switch {
		case ok && b.Op == '*':
			if bracketsRight(b.Y, stacked) {
				return nil // a bracket
			}
			n = b.Y
		default:
			return n
		}
	}
}

// firstFactor returns what is printed first: the base of a power, the first factor of a product.
func firstFactor(n notation.Node, stacked bool) notation.Node {
	for {
		b, ok := n.(*notation.Binary)
		switch {
		case ok && (b.Op == '*' || b.Op == '/' && !stacked):
			n = b.X
		case ok && b.Op == '^':
			n = b.X
		default:
			return n
		}
	}
}

// bracketsRight reports whether the right side of a product needs a bracket.
func bracketsRight(n notation.Node, stacked bool) bool {
	if stacked {
		return stackedLevel(n) < levelPower
	}
	return level(n) < levelPower
}

// beginsBracket reports whether the right side of a product begins with a bracket.
func beginsBracket(n notation.Node, stacked bool) bool {
	if bracketsRight(n, stacked) {
		return true
	}
	switch n := n.(type) {
	case *notation.Diff:
		return true
	case *notation.Binary:
		return n.Op == '^' && (bracketsBase(n.X) || beginsBracket(n.X, stacked))
	}
	return false
}

// bracketsBase reports whether the base of a power needs a bracket.
func bracketsBase(n notation.Node) bool {
	switch n := n.(type) {
	case *notation.Jet:
		return n.Order > 0 && n.At == nil
	case *notation.Diff:
		return true
	case *notation.Call:
		return integrates(n)
	case *notation.Number:
		return negative(n) || strings.ContainsAny(n.Text, "eE")
	}
	return level(n) < levelPrimary
}

// raised reports whether a power of a function is written sin² x: for these functions, and whole exponents from 2.
func raised(base, exponent notation.Node) bool {
	c, ok := base.(*notation.Call)
	if !ok || len(c.Args) != 1 {
		return false
	}
	if f, ok := function.ByName(c.Func); !ok || !f.Raised {
		return false
	}
	e, ok := exponent.(*notation.Number)
	return ok && e.Value >= 2 && e.Value == math.Trunc(e.Value) && allDigits(e.Text)
}

func allDigits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }

// integrates reports whether a call is set as an integral with its sign.
func integrates(n *notation.Call) bool {
	return n.Func == "integral" && n.By != "" && (len(n.Args) == 1 || len(n.Args) == 3)
}

// isAtom reports whether a node is a lone number or name, which needs no room.
func isAtom(n notation.Node) bool {
	switch n := n.(type) {
	case *notation.Number:
		return !negative(n)
	case *notation.Name:
		return true
	case *notation.Jet:
		return n.Order == 0 && n.At == nil
	}
	return false
}

// small reports whether a quotient is set on one line in an exponent: x^(1/2).
func small(n notation.Node) bool {
	b, ok := n.(*notation.Binary)
	return ok && b.Op == '/' && isAtom(b.X) && isAtom(b.Y)
}

// derived takes apart a call of one of the functions with an order that derivatives lead to (see package function):
// besselJ(2, x) is J of order 2 at x. ok is false for any other call.
func derived(n *notation.Call) (f *function.Function, order *notation.Number, x notation.Node, ok bool) {
	f, ok = function.ByName(n.Func)
	if !ok || f.Ordered == nil || len(n.Args) != 2 {
		return nil, nil, nil, false
	}
	order, ok = n.Args[0].(*notation.Number)
	return f, order, n.Args[1], ok
}

// A branch of a choice: value holds where cond does; cond is nil in the last one.
type branch struct {
	value notation.Node
	cond  *notation.Compare
	sp    notation.Span
}

// branches returns the lines of a choice, nested ones in the last place unrolled; nil if n is none.
//
//go:noinline
func branches(n notation.Node) []branch {
	var all []branch
	for {
		c, ok := n.(*notation.Call)
		if !ok || c.Func != "if" || len(c.Args) != 3 {
			break
		}
		cond, ok := c.Args[0].(*notation.Compare)
		if !ok {
			break
		}
		all = append(all, branch{c.Args[1], cond, c.Sp})
		n = c.Args[2]
	}
	if all == nil {
		return nil
	}
	return append(all, branch{value: n})
}

// interval returns the brackets of a statement's interval: square, but round at an infinite end.
func interval(r *notation.Relation) (open, end string) {
	infinite := func(n notation.Node) bool {
		if m, ok := n.(*notation.Negate); ok {
			n = m.X
		}
		name, ok := n.(*notation.Name)
		return ok && name.Name == "inf"
	}
	open, end = "[", "]"
	if infinite(r.Range[0]) {
		open = "("
	}
	if infinite(r.Range[1]) {
		end = ")"
	}
	return open, end
}
