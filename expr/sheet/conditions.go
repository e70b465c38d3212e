package sheet

import (
	"nodespan/expr/notation"
	"nodespan/solver/bvp"
)

// condition is one residual in values at points.
type condition struct {
	// residual holds the unknowns at points, constants and sought parameters.
	residual notation.Node
	// jets are the different values at points in the residual, in the order of the text.
	jets []*notation.Jet
	text string
	span notation.Span
}

// condition makes the conditions. In a chain such as y(0) = y”(0) = 0, every side that holds an
// unknown equals the one side that does not.
func (r *reader) condition() {
	for _, st := range r.sheet.Statements {
		if st.Kind == KindRegular {
			if j, ok := st.Relation.Sides[0].(*notation.Jet); ok && j.At != nil {
				r.model.regular = append(r.model.regular, j.At)
			}
		}
		if st.Kind != KindCondition || r.crosses(st) {
			continue
		}
		sides := st.sides
		free := -1
		for k, side := range sides {
			if notation.Find(side, pointJet) == nil {
				if free >= 0 {
					r.fault(join(sides[free].Span(), side.Span()), "state each condition on its own",
						"this chain holds two sides without an unknown")
					return
				}
				free = k
			}
		}
		for k := range st.Relation.Ops {
			a, b := k, k+1
			if free >= 0 && len(sides) > 2 {
				// The sides that hold an unknown, each against the free one.
				a, b = k, free
				if k >= free {
					a = k + 1
				}
			}
			c := &condition{span: st.Span, text: r.source(st.Span)}
			if len(sides) > 2 {
				c.text = r.source(sides[a].Span()) + " = " + r.source(sides[b].Span())
				c.span = sides[a].Span()
			}
			r.makeCondition(c, sides[a], sides[b])
		}
	}
	r.integralConditions()
	r.algebraicConditions()
}

// makeCondition checks one equality and adds it to the model.
func (r *reader) makeCondition(c *condition, a, b notation.Node) {
	for _, side := range []notation.Node{a, b} {
		if n := notation.Find(side, runningJet); n != nil {
			j := n.(*notation.Jet)
			r.fault(j.Sp, "write "+bvp.Derivative(j.Name, j.Order)+"(…) with its point",
				"%s stands in a condition without its point", bvp.Derivative(j.Name, j.Order))
			return
		}
		if n := notation.Find(side, func(n notation.Node) bool {
			_, ok := n.(*notation.Diff)
			return ok &&
				!placed(n)
		}); n != nil {
			r.fault(n.Span(), "write it out with derivatives of the unknown at the point",
				"the derivative of an expression has no point in a condition")
			return
		}
		if n := notation.Find(side, named(r.sheet.Variable)); n != nil {
			r.fault(n.Span(), "write the point's value", "the variable %s has no value in a condition",
				r.sheet.Variable)
			return
		}
	}
	residual := difference(r.expand(r.inline(a)), r.expand(r.inline(b)))
	if len(r.errs) > 0 {
		return
	}
	if residual = r.settle(c, residual); residual == nil {
		return
	}
	c.residual = residual
	notation.Walk(residual, func(n notation.Node) bool {
		j, ok := n.(*notation.Jet)
		if !ok {
			return true
		}
		for _, other := range c.jets {
			if notation.Equal(other, j) {
				return false
			}
		}
		c.jets = append(c.jets, j)
		return false
	})
	for _, j := range c.jets {
		if !r.point(j) {
			return
		}
	}
	r.model.conditions = append(r.model.conditions, c)
}

// settle gives what an abbreviation brought in (a coefficient k that changes with the variable or
// with the unknowns) the point of the condition, when the condition has one point only.
func (r *reader) settle(c *condition, residual notation.Node) notation.Node {
	isVariable := named(r.sheet.Variable)
	loose := notation.Find(residual, func(n notation.Node) bool { return runningJet(n) || isVariable(n) })
	if loose == nil {
		return residual
	}
	at, several := points(residual, nil)
	name := r.sheet.Variable
	if j, ok := loose.(*notation.Jet); ok {
		name = j.Name
	}
	if several {
		r.fault(c.span, "give the coefficient its point, as in k(0)",
			"a coefficient of this condition changes with %s, and the condition has more than one point", name)
		return nil
	}
	r.note(c.span, "the coefficients of %s that change with %s are taken at %s = %s", c.text, name, r.sheet.Variable,
		r.source(at.Span()))
	return r.takenAt(residual, at, nil)
}

// point checks the point and the derivative of a value in a condition.
func (r *reader) point(j *notation.Jet) bool {
	if n := notation.Find(j.At, r.isMoving); n != nil {
		what := "the point of a condition must be a number known beforehand"
		if m, ok := n.(*notation.Name); ok && r.model.soughtIndex(m.Name) >= 0 {
			r.fault(j.At.Span(), "rescale the variable with it, so that the interval is fixed", "%s, and %s is sought",
				what, m.Name)
		} else {
			r.fault(j.At.Span(), "", "%s", what)
		}
		return false
	}
	for _, u := range r.sheet.Unknowns {
		if u.Name == j.Name && j.Order > u.Order {
			r.fault(j.Sp, "give values and derivatives below the order", "this condition has %s, but the highest "+
				"derivative of %s in the equations is %s",
				bvp.Derivative(j.Name, j.Order), j.Name, bvp.Derivative(u.Name, u.Order))
			return false
		}
	}
	return true
}
