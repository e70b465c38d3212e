package sheet

import (
	"slices"

	"nodespan/expr/notation"
	"nodespan/expr/words"
	"nodespan/solver/bvp"
)

// equation is one residual of the problem.
type equation struct {
	// left and right are the sides with abbreviations put in and derivatives of expressions standing.
	left, right notation.Node
	// residual is left - right with every derivative carried out.
	residual notation.Node
	span     notation.Span
}

// equate makes the equations and finds the orders of the unknowns.
func (r *reader) equate() {
	for _, st := range r.sheet.Statements {
		if st.Kind != KindEquation {
			continue
		}
		if r.isAlgebraic(st) {
			e := r.derivedEquation(st)
			e.residual = difference(r.expand(e.left), r.expand(e.right))
			r.model.equations = append(r.model.equations, e)
			continue
		}
		for k := range st.Relation.Ops {
			a, b := st.sides[k], st.sides[k+1]
			e := &equation{left: r.inline(a), right: r.inline(b), span: st.Span}
			if len(st.Relation.Ops) > 1 {
				e.span = join(a.Span(), b.Span())
			}
			if at := notation.Find(&notation.Binary{Op: '-', X: e.left, Y: e.right}, pointJet); at != nil {
				r.fault(at.Span(), "", "this equation takes %s at a shifted point, which is not a two-point problem",
					at.(*notation.Jet).Name)
				return
			}
			if r.impulses(e); len(r.errs) > 0 {
				return
			}
			e.residual = difference(r.expand(e.left), r.expand(e.right))
			r.model.equations = append(r.model.equations, e)
		}
	}
	r.integralEquations()
	if len(r.errs) > 0 {
		return
	}
	order := map[string]int{}
	for _, e := range r.model.equations {
		notation.Walk(e.residual, func(n notation.Node) bool {
			if j, ok := n.(*notation.Jet); ok {
				order[j.Name] = max(order[j.Name], j.Order)
				if !slices.Contains(r.order, j.Name) {
					r.order = append(r.order, j.Name)
				}
			}
			return true
		})
	}
	for _, name := range r.order {
		switch m := order[name]; {
		case m == 0:
			r.fault(r.firstSpan(name), "every unknown needs an equation with a derivative of it; a name for a "+
				"formula is written name = formula",
				"no equation has a derivative of %s", name)
		case m > maxOrder:
			r.fault(r.firstSpan(name), "", "the derivative of order %d of %s is more than the highest order, %d", m,
				name, maxOrder)
		default:
			r.sheet.Unknowns = append(r.sheet.Unknowns, bvp.Unknown{Name: name, Order: m})
		}
	}
	r.model.unknowns = r.sheet.Unknowns
	if len(r.errs) == 0 && len(r.model.equations) != len(r.sheet.Unknowns) {
		r.equationCount()
	}
}

// equationCount explains a number of equations other than that of the unknowns.
func (r *reader) equationCount() {
	equations, unknowns := len(r.model.equations), len(r.sheet.Unknowns)
	if equations > unknowns {
		r.fault(r.model.equations[unknowns].span, "leave out what is said twice",
			"%s for %s (%s)", words.Count(equations, "equation"), words.Count(unknowns, "unknown"), list(r.order))
		return
	}
	e := r.fault(r.model.equations[0].span, "add an equation, or give a name that is no unknown a value",
		"%s for %s (%s)", words.Count(equations, "equation"), words.Count(unknowns, "unknown"), list(r.order))
	e.Incomplete = true
}

// firstSpan returns the place where an unknown is first marked or used.
func (r *reader) firstSpan(name string) notation.Span {
	for _, st := range r.sheet.Statements {
		if st.Relation == nil {
			continue
		}
		for _, side := range st.Relation.Sides {
			if j := notation.Find(side, func(n notation.Node) bool {
				j, ok := n.(*notation.Jet)
				return ok && j.Name == name
			}); j != nil {
				return j.Span()
			}
		}
	}
	for _, marks := range r.marks {
		for _, m := range marks {
			if m.Unknown == name {
				return m.Sp
			}
		}
	}
	return notation.Span{From: notation.Pos{Line: 1, Column: 1}}
}
