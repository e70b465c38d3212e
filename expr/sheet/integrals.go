package sheet

import (
	"fmt"
	"slices"

	"nodespan/expr/notation"
	"nodespan/expr/typeset"
	"nodespan/solver/bvp"
)

// Integrals in conditions and equations. The integral of f from a to b is I(b) - I(a) where I' = f: an unknown of its
// own, solved along with the rest, so that every method, the working and the programs have it. In an equation, where it
// is one number for all x, that number is sought and its value a condition.

// integral is an unknown that stands for integrals of one formula.
type integral struct {
	name string
	of   notation.Node
	from notation.Node // where it is 0
	span notation.Span
}

// isIntegral reports whether a node is an integral.
func isIntegral(n notation.Node) bool {
	c, ok := n.(*notation.Call)
	return ok && c.Func == "integral"
}

// outside finds a node outside integrals.
func outside(n notation.Node, f func(notation.Node) bool) notation.Node {
	return notation.FindOutside(n, f, isIntegral)
}

// integrate puts unknowns in the place of integrals.
func (r *reader) integrate() {
	for _, st := range r.sheet.Statements {
		if st.Kind != KindCondition && st.Kind != KindEquation {
			continue
		}
		st.sides = slices.Clone(st.Relation.Sides)
		for k, side := range st.sides {
			if notation.Find(side, isIntegral) == nil {
				side = r.inline(side)
			}
			if notation.Find(side, isIntegral) == nil {
				continue
			}
			st.sides[k] = notation.Rebuild(r.inline(side), func(n notation.Node) notation.Node {
				if !isIntegral(n) || len(r.errs) > 0 {
					return nil
				}
				return r.integralOf(st, n.(*notation.Call))
			})
		}
	}
}

// integralOf returns what stands for an integral in a statement.
func (r *reader) integralOf(st *Statement, c *notation.Call) notation.Node {
	f, a, b := c.Args[0], notation.Node(nil), notation.Node(nil)
	if inner := notation.Find(f, func(n notation.Node) bool { return isIntegral(n) || pointJet(n) }); inner != nil {
		r.fault(inner.Span(), "give it a name of its own", "this cannot stand within an integral")
		return c
	}
	switch len(c.Args) {
	case 3:
		a, b = c.Args[1], c.Args[2]
	case 1:
		if a, b = r.wholeInterval(); a == nil {
			r.fault(c.Sp, "write the bounds of the integral",
				"it is not known from where to where this integral is taken")
			return c
		}
	default:
		r.fault(c.Sp, "write both, or none for the whole interval", "the integral has one bound only")
		return c
	}
	for _, bound := range []notation.Node{a, b} {
		if n := notation.Find(bound, r.isMoving); n != nil {
			r.fault(n.Span(), "", "the bound of an integral must be a number known beforehand")
			return c
		}
	}
	var i *integral
	for k := range r.integrals {
		if notation.Equal(r.integrals[k].of, f) {
			i = r.integrals[k]
		}
	}
	if i == nil {
		i = &integral{name: r.freeName("I"), of: f, from: a, span: c.Sp}
		r.integrals = append(r.integrals, i)
		if r.sheet.unnamed == nil {
			r.sheet.unnamed = map[string]bool{}
		}
		r.sheet.unnamed[i.name] = true
		r.names.Unknowns[i.name] = true
		r.note(c.Sp, "%s is an unknown of its own for the integral of %s from %s: %s' = %s", i.name, typeset.Plain(f),
			typeset.Plain(a), i.name, typeset.Plain(f))
	}
	at := func(x notation.Node) notation.Node { return &notation.Jet{Sp: c.Sp, Name: i.name, At: x} }
	value := at(b)
	if !notation.Equal(a, i.from) {
		value = &notation.Binary{Sp: c.Sp, Op: '-', X: value, Y: at(a)}
	}
	if st.Kind == KindCondition {
		return value
	}
	name := r.freeName("J")
	r.model.sought = append(r.model.sought, soughtParameter{name: name, span: c.Sp})
	r.sheet.Sought = append(r.sheet.Sought, bvp.Parameter{Name: name})
	number := &notation.Name{Sp: c.Sp, Name: name}
	r.tied = append(r.tied, [2]notation.Node{value, number})
	r.note(c.Sp, "%s is the value of the integral of %s, which is found with the solution", name, typeset.Plain(f))
	return number
}

// wholeInterval returns the ends of the interval as the sheet writes them: of its domain, or the outer points of its
// conditions.
func (r *reader) wholeInterval() (a, b notation.Node) {
	v := values{}
	for _, name := range r.model.order {
		x, e := v.number(r.model.formula(name))
		if e != nil {
			return nil, nil
		}
		v[name] = x
	}
	var low, high float64
	for _, n := range r.places() {
		x, e := v.point(r.inline(n))
		if e != nil || notation.Find(n, r.isMoving) != nil {
			continue
		}
		if a == nil || x < low {
			a, low = n, x
		}
		if b == nil || x > high {
			b, high = n, x
		}
	}
	if a == nil || low == high {
		return nil, nil
	}
	return a, b
}

// places lists the points that the domain, the conditions and the integrals in them name.
func (r *reader) places() (list []notation.Node) {
	for _, st := range r.sheet.Statements {
		switch st.Kind {
		case KindDomain:
			for _, n := range append(slices.Clone(st.Relation.Sides), st.Relation.Range...) {
				if !named(r.sheet.Variable)(n) {
					list = append(list, n)
				}
			}
		case KindCondition:
			for _, side := range st.Relation.Sides {
				list = append(list, placesIn(side)...)
			}
		}
	}
	return list
}

// placesIn lists the points at which a formula takes a value, and the bounds of its integrals.
func placesIn(side notation.Node) []notation.Node {
	list := pointsIn(side)
	notation.Walk(side, func(n notation.Node) bool {
		if c, ok := n.(*notation.Call); ok && isIntegral(n) && len(c.Args) == 3 {
			list = append(list, c.Args[1], c.Args[2])
		}
		return true
	})
	return list
}

// freeName returns a name that the sheet does not use.
func (r *reader) freeName(base string) string {
	name := base
	for k := 1; r.used(name) || r.names.Unknowns[name] || r.heads[name] != nil || r.model != nil &&
		r.model.soughtIndex(name) >= 0; k++ {
		name = fmt.Sprintf("%s_%d", base, k)
	}
	return name
}

// integralEquations adds the equations of the unknowns that stand for integrals.
func (r *reader) integralEquations() {
	for _, i := range r.integrals {
		e := &equation{left: &notation.Jet{Sp: i.span, Name: i.name, Order: 1}, right: i.of, span: i.span}
		e.residual = difference(e.left, r.expand(e.right))
		r.model.equations = append(r.model.equations, e)
		r.add(KindEquation, i.span, e.left, e.right)
	}
}

// integralConditions adds where these unknowns begin, and ties the numbers that stand for integrals in equations.
func (r *reader) integralConditions() {
	for _, i := range r.integrals {
		start := &notation.Jet{Sp: i.span, Name: i.name, At: i.from}
		r.add(KindCondition, i.span, start, &notation.Number{Sp: i.span, Text: "0"})
		r.makeCondition(&condition{span: i.span, text: typeset.Plain(start) + " = 0"}, start,
			&notation.Number{Sp: i.span, Text: "0"})
	}
	for _, t := range r.tied {
		r.add(KindCondition, t[0].Span(), t[0], t[1])
		text := typeset.Plain(t[0]) + " = " + typeset.Plain(t[1])
		r.makeCondition(&condition{span: t[0].Span(), text: text}, t[0], t[1])
	}
}

// add shows a line that the sheet does not have in its reading.
func (r *reader) add(kind Kind, at notation.Span, a, b notation.Node) {
	r.sheet.added = append(r.sheet.added, Line{Kind: kind, Span: at,
		Relation: &notation.Relation{Sides: []notation.Node{a, b}, Ops: []string{"="}, Sp: at}})
}
