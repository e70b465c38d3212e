package sheet

import (
	"fmt"
	"maps"
	"slices"

	"nodespan/expr/function"
	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/expr/typeset"
	"nodespan/solver/bvp"
)

// Change is a kind of slip in writing a problem down.
type Change string

// The kinds of changes.
const (
	SignFlipped Change = "sign of a term flipped"
	TermDropped Change = "term dropped"
	Degrees     Change = "degrees for radians"
	Forgotten   Change = "factor forgotten"
)

// Variant is the sheet's problem as someone who made one slip in its formulas would state it.
type Variant struct {
	Change Change
	// Sentence says what was changed: "the sign of 2 y' in the equation is flipped".
	Sentence string
	Problem  *bvp.Problem
}

// Bounds of what a sheet of many terms yields: in whole terms and degrees, and with factors forgotten.
const (
	mostOfTerms   = 96
	mostForgotten = 96
	mostVariants  = mostOfTerms + mostForgotten
)

// Variants returns the problem with the sign of one term flipped, with one term left out, with the arguments of
// trigonometric functions taken as degrees, and with one factor, divisor or exponent forgotten in an equation, a
// condition or a constant, each in turn: those that still are problems of the same orders. A term is an addend of a
// side of an equation or condition, or of a sum in brackets within one. Terms without the highest derivative come
// first, and forgotten factors last.
func (s *Sheet) Variants() []Variant {
	v := variants{m: s.model}
	v.degrees()
	for i, e := range s.model.equations {
		where := s.model.whereOf(e)
		for side, n := range []notation.Node{e.left, e.right} {
			for _, t := range addendsOf(n) {
				v.equation(i, side, t, where)
			}
		}
		if hasDiff(e.left) || hasDiff(e.right) { // the terms that derivatives of expressions unfold to
			for _, t := range addendsOf(e.residual) {
				v.equation(i, carriedOut, t, where)
			}
		}
	}
	for i, c := range s.model.conditions {
		if terms := addendsOf(c.residual); len(terms) > 1 {
			for _, t := range terms {
				v.condition(i, t)
			}
		}
	}
	out := append(v.out, v.last...)
	out = out[:min(len(out), mostOfTerms)]
	f := variants{m: s.model}
	f.forgotten()
	return append(out, f.out[:min(len(f.out), mostForgotten)]...)
}

type variants struct {
	m         *model
	out, last []Variant
}

// addendsOf returns the terms of n: the addends of its sums outside functions and powers, itself if it is no sum. A
// plain 0 is no term.
func addendsOf(n notation.Node) []notation.Node {
	var out []notation.Node
	var addend, inside func(n notation.Node)
	addend = func(n notation.Node) {
		if b, ok := n.(*notation.Binary); ok && (b.Op == '+' || b.Op == '-') {
			addend(b.X)
			addend(b.Y)
			return
		}
		if !zero(n) {
			out = append(out, n)
		}
		inside(n)
	}
	inside = func(n notation.Node) {
		switch n := n.(type) {
		case *notation.Negate:
			inside(n.X)
		case *notation.Diff:
			inside(n.X)
		case *notation.Binary:
			switch n.Op {
			case '+', '-':
				addend(n)
			case '*', '/':
				inside(n.X)
				inside(n.Y)
			}
		}
	}
	addend(n)
	return out
}

// The sides of an equation, and what is left of it when all derivatives are carried out.
const (
	leftSide = iota
	rightSide
	carriedOut
)

// equation adds the variants in one term of one side of an equation.
func (v *variants) equation(i, side int, term notation.Node, where string) {
	highest := v.m.highest(term)
	for _, change := range []Change{SignFlipped, TermDropped} {
		if change == TermDropped && highest {
			continue
		}
		e := *v.m.equations[i]
		switch side {
		case leftSide:
			e.left = altered(e.left, term, change)
		case rightSide:
			e.right = altered(e.right, term, change)
		case carriedOut:
			e.left, e.right = altered(e.residual, term, change), &notation.Number{Text: "0"}
		}
		if !v.m.rewrite(&e) {
			continue
		}
		m := *v.m
		m.equations = slices.Clone(m.equations)
		m.equations[i] = &e
		v.add(&m, m.base, change, term, where, highest)
	}
}

// condition adds the variants in one term of a condition.
func (v *variants) condition(i int, term notation.Node) {
	for _, change := range []Change{SignFlipped, TermDropped} {
		c := *v.m.conditions[i]
		c.residual = altered(c.residual, term, change)
		if notation.Find(c.residual, pointJet) == nil {
			continue
		}
		m := *v.m
		m.conditions = slices.Clone(m.conditions)
		m.conditions[i] = &c
		v.add(&m, m.base, change, term, "in the condition "+c.text, false)
	}
}

func (v *variants) add(m *model, n *numbers, change Change, term notation.Node, where string, last bool) {
	sentence := fmt.Sprintf("the sign of %s %s is flipped", typeset.Plain(term), where)
	if change == TermDropped {
		sentence = fmt.Sprintf("%s %s is left out", typeset.Plain(term), where)
	}
	to := &v.out
	if last {
		to = &v.last
	}
	*to = append(*to, Variant{change, sentence, m.changed(n)})
}

// altered returns n with the term negated or 0. The points of values stay, where the same 1 may stand as in 1 + x at x
// = 1.
//
//go:noinline
func altered(n, term notation.Node, change Change) notation.Node {
	return notation.Rebuild(n, func(x notation.Node) notation.Node {
		_, jet := x.(*notation.Jet)
		switch {
		case jet && x != term:
			return x
		case x != term:
			return nil
		case change == TermDropped:
			return &notation.Number{Sp: term.Span(), Text: "0"}
		}
		return &notation.Negate{Sp: term.Span(), X: term}
	})
}

// highest reports whether a term, with its derivatives carried out, holds the highest derivative of an unknown.
func (m *model) highest(term notation.Node) bool {
	return m.reaches(tape.Expand(term, m.variable), 0) >= 0
}

// rewrite works out the residual of an equation anew. It is false where the equation has lost its derivatives or grown
// too large.
func (m *model) rewrite(e *equation) bool {
	e.residual = difference(tape.Expand(e.left, m.variable), tape.Expand(e.right, m.variable))
	return size(e.residual) <= maxSize && m.reaches(e.residual, 0) >= 0
}

// changed returns the problem of a changed model.
func (m *model) changed(n *numbers) *bvp.Problem {
	if m.quantities != nil {
		m.quantities = nil
		m.balance()
	}
	return m.problem(n)
}

// degrees adds the variants with degrees: everywhere, in the equations alone, and in the conditions and constants
// alone.
func (v *variants) degrees() {
	equations, others := false, false
	changed := *v.m
	changed.equations = slices.Clone(changed.equations)
	for i, e := range v.m.equations {
		c := *e
		c.left, c.right = inDegrees(e.left), inDegrees(e.right)
		if c.left == e.left && c.right == e.right {
			continue
		}
		if v.m.rewrite(&c) {
			changed.equations[i], equations = &c, true
		}
	}
	changed.conditions = slices.Clone(changed.conditions)
	for i, c := range v.m.conditions {
		if r := inDegrees(c.residual); r != c.residual {
			d := *c
			d.residual = r
			changed.conditions[i], others = &d, true
		}
	}
	changed.set = maps.Clone(changed.set)
	if changed.set == nil {
		changed.set = map[string]notation.Node{}
	}
	for _, name := range v.m.order {
		f := v.m.formula(name)
		if d := inDegrees(f); d != f {
			changed.set[name], others = d, true
		}
	}
	given, errs := changed.evaluate(nil)
	if len(errs) > 0 {
		others = false
	}
	add := func(m model, n *numbers, where string) {
		v.out = append(v.out, Variant{Degrees, "the arguments of trigonometric functions" + where +
			" are taken as degrees", m.changed(n)})
	}
	switch {
	case equations && others:
		add(changed, given, "")
		one := *v.m
		one.equations = changed.equations
		add(one, one.base, " in the equation")
		other := changed
		other.equations = v.m.equations
		add(other, given, " in the conditions and constants")
	case equations:
		one := *v.m
		one.equations = changed.equations
		add(one, one.base, "")
	case others:
		add(changed, given, "")
	}
}

// inDegrees returns n with the arguments of trigonometric functions, and the values of their inverses, in degrees; n
// itself where it has none.
func inDegrees(n notation.Node) notation.Node {
	var change func(n notation.Node) notation.Node
	scale := func(x notation.Node, top, bottom string) notation.Node {
		factor := map[string]notation.Node{"pi": &notation.Name{Name: "pi"},
			"180": &notation.Number{Value: 180, Text: "180"}}
		return &notation.Binary{Sp: x.Span(), Op: '*', X: x, Y: &notation.Binary{Op: '/', X: factor[top],
			Y: factor[bottom]}}
	}
	change = func(n notation.Node) notation.Node {
		c, ok := n.(*notation.Call)
		if !ok {
			return nil
		}
		f, ok := function.ByName(c.Func)
		if !ok || f.Angle == function.NoAngle {
			return nil
		}
		d := *c
		d.Args = []notation.Node{notation.Rebuild(c.Args[0], change)}
		if f.Angle == function.GivesAngle {
			return scale(&d, "180", "pi")
		}
		d.Args[0] = scale(d.Args[0], "pi", "180")
		return &d
	}
	return notation.Rebuild(n, change)
}

// whereOf says which equation is meant, where there are several.
func (m *model) whereOf(e *equation) string {
	if len(m.equations) == 1 {
		return "in the equation"
	}
	return fmt.Sprintf("in the equation of line %d", e.span.From.Line)
}
