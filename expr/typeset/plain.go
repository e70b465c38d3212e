package typeset

import (
	"strconv"
	"strings"

	"nodespan/expr/notation"
)

// Plain prints a tree as plain text, in characters of ASCII.
//
//go:noinline
func Plain(n notation.Node) string {
	var b strings.Builder
	plain(&b, n)
	return b.String()
}

// PlainRelation prints a statement as plain text.
func PlainRelation(r *notation.Relation) string {
	var b strings.Builder
	for i, side := range r.Sides {
		if i > 0 {
			b.WriteString(" " + r.Ops[i-1] + " ")
		}
		plain(&b, side)
	}
	if r.Sought {
		b.WriteString(" = ?")
	}
	if r.Near != nil {
		b.WriteString(" near ")
		plain(&b, r.Near)
	}
	if len(r.Range) == 2 {
		if len(r.Sides) > 0 {
			b.WriteString(" in ")
		}
		open, end := interval(r)
		b.WriteString(open + Plain(r.Range[0]) + ", " + Plain(r.Range[1]) + end)
	}
	return b.String()
}

func plain(b *strings.Builder, n notation.Node) {
	switch n := n.(type) {
	case *notation.Number:
		if negative(n) {
			b.WriteByte('-')
		}
		b.WriteString(digits(n))
	case *notation.Name:
		b.WriteString(n.Name)
	case *notation.Jet:
		b.WriteString(n.Name + primes(n.Order))
		if n.At != nil {
			plainBracket(b, true, n.At)
		}
	case *notation.Diff:
		plainBracket(b, true, n.X)
		b.WriteString(primes(n.Order))
		if n.At != nil {
			plainBracket(b, true, n.At)
		}
	case *notation.Call:
		b.WriteString(n.Func + "(")
		for i, a := range n.Args {
			if i > 0 {
				b.WriteString(", ")
			}
			plain(b, a)
		}
		b.WriteByte(')')
	case *notation.Negate:
		b.WriteByte('-')
		plainBracket(b, level(n.X) <= levelSign, n.X)
	case *notation.Compare:
		plain(b, n.X)
		b.WriteString(" " + n.Op + " ")
		plain(b, n.Y)
	case *notation.Binary:
		switch n.Op {
		case '+', '-':
			plain(b, n.X)
			b.WriteString(" " + string(n.Op) + " ")
			plainBracket(b, level(n.Y) <= levelSign, n.Y)
		case '*':
			plainBracket(b, level(n.X) < levelProduct, n.X)
			right := bracketsRight(n.Y, false)
			if joinOf(n.X, n.Y, false) == joinDot {
				b.WriteByte('*')
			} else {
				b.WriteByte(' ')
			}
			plainBracket(b, right, n.Y)
		case '/':
			plainBracket(b, level(n.X) < levelProduct, n.X)
			b.WriteByte('/')
			plainBracket(b, bracketsRight(n.Y, false), n.Y)
		default:
			plainBracket(b, bracketsBase(n.X), n.X)
			b.WriteByte('^')
			_, diff := n.Y.(*notation.Diff)
			plainBracket(b, diff || level(n.Y) < levelPrimary, n.Y)
		}
	}
}

func plainBracket(b *strings.Builder, bracket bool, n notation.Node) {
	if !bracket {
		plain(b, n)
		return
	}
	b.WriteByte('(')
	plain(b, n)
	b.WriteByte(')')
}

// primes returns the marks of a derivative: y”', but y^{(4)}.
func primes(order int) string {
	if order <= 3 {
		return strings.Repeat("'", order)
	}
	return "^{(" + strconv.Itoa(order) + ")}"
}
