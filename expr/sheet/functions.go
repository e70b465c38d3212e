package sheet

import (
	"nodespan/expr/notation"
)

// functions reads exact solutions and guesses: one formula for each unknown, in the variable and
// the constants.
func (r *reader) functions() {
	n := len(r.sheet.Unknowns)
	r.model.exact = make([]notation.Node, n)
	r.model.guess = make([]notation.Node, n)
	for _, st := range r.sheet.Statements {
		into, word := r.model.exact, "exact solution"
		switch st.Kind {
		case KindExact:
		case KindGuess:
			into, word = r.model.guess, "first guess"
		default:
			continue
		}
		i := r.unknown(st.Name)
		if i < 0 {
			continue // an unknown without an equation has its fault already
		}
		if into[i] != nil {
			r.fault(st.Span, "keep one of the two", "this is a second %s for %s", word, st.Name)
			continue
		}
		body := r.inline(st.Relation.Sides[1])
		bad := notation.Find(body, func(n notation.Node) bool {
			m, name := n.(*notation.Name)
			switch n.(type) {
			case *notation.Jet, *notation.Diff:
				return true
			}
			return name && r.model.soughtIndex(m.Name) >= 0
		})
		switch bad := bad.(type) {
		case nil:
			into[i] = r.expand(body)
		case *notation.Name:
			r.fault(st.Relation.Sides[1].Span(), "write it with numbers", "the %s cannot depend on %s, which is sought",
				word, bad.Name)
		case *notation.Jet:
			r.fault(bad.Sp, "write it with "+r.sheet.Variable+" and constants only",
				"the %s of %s cannot depend on the unknown %s", word, st.Name, bad.Name)
		default:
			r.fault(bad.Span(), "write it with "+r.sheet.Variable+" and constants only",
				"the %s of %s cannot hold a derivative", word, st.Name)
		}
	}
}

// unknown returns the number of an unknown, or -1.
func (r *reader) unknown(name string) int {
	for i, u := range r.sheet.Unknowns {
		if u.Name == name {
			return i
		}
	}
	return -1
}
