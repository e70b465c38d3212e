package sheet

import (
	"slices"

	"nodespan/expr/notation"
	"nodespan/expr/typeset"
)

// Equations without a derivative, such as the optimality condition 2 u + λ = 0 beside x' = -x + u, make an unknown of
// order 0. Such an equation holds at every x just when its derivative does and it holds at one point: so it is solved
// as an equation of first order in u with a condition more, which every method, the working and the programs have.

// findAlgebraic looks for statements without a derivative or a point that hold unknowns and one name without a value,
// which a differential equation uses.
func (r *reader) findAlgebraic() {
	for i, st := range r.sheet.Statements {
		if st.Kind != "" || st.at > 0 || len(r.marks[i]) > 0 || r.isWhole(st) {
			continue
		}
		if _, _, ok := head(st); ok {
			continue
		}
		tokens := st.raw.Tokens[st.from:]
		name, equals, unknowns, fits := "", 0, 0, true
		for k, t := range tokens {
			switch {
			case t.Kind == notation.OperatorToken && t.Text == "=":
				equals++
			case isComparison(t) || t.Text == "?":
				fits = false
			case !isName(t):
			case r.names.Unknowns[t.Text]:
				unknowns++
				if k+2 < len(tokens) && tokens[k+1].Text == "(" && !tokens[k+1].Space &&
					tokens[k+2].Text != r.sheet.Variable {
					fits = false // a condition
				}
			case t.Text == "in" || t.Text == "near" || t.Text == "at":
				fits = false
			case t.Text == r.sheet.Variable || r.known(t.Text) || r.names.Constants[t.Text]:
			case name == "" || name == t.Text:
				name = t.Text
			default:
				fits = false
			}
		}
		if !fits || equals != 1 || unknowns == 0 || name == "" || !r.differentialUses(name) {
			continue
		}
		r.names.Unknowns[name] = true
		r.order = append(r.order, name)
		r.algebraic = append(r.algebraic, st)
	}
}

// differentialUses reports whether a statement with a derivative holds the name.
func (r *reader) differentialUses(name string) bool {
	for i, st := range r.sheet.Statements {
		if len(r.marks[i]) > 0 && hasText(st.raw.Tokens, name) {
			return true
		}
	}
	return false
}

// isAlgebraic reports whether a statement is an equation without a derivative.
func (r *reader) isAlgebraic(st *Statement) bool { return slices.Contains(r.algebraic, st) }

// derivedEquation makes the equation of first order.
func (r *reader) derivedEquation(st *Statement) *equation {
	diff := func(n notation.Node) notation.Node {
		if zero(n) {
			return n
		}
		return &notation.Diff{Sp: n.Span(), Order: 1, X: r.inline(n)}
	}
	return &equation{left: diff(st.sides[0]), right: diff(st.sides[1]), span: st.Span}
}

// algebraicConditions adds that the equations without a derivative hold at the beginning of the interval.
func (r *reader) algebraicConditions() {
	for _, st := range r.algebraic {
		a, _ := r.wholeInterval()
		if a == nil {
			r.fault(st.Span, "add the interval, as in 0 <= "+r.sheet.Variable+" <= 1",
				"this equation has no derivative, and it is not known where the interval begins")
			return
		}
		left, right := r.takenAt(r.inline(st.sides[0]), a, nil), r.takenAt(r.inline(st.sides[1]), a, nil)
		c := &condition{span: st.Span, text: typeset.Plain(left) + " = " + typeset.Plain(right)}
		r.add(KindCondition, st.Span, left, right)
		r.note(st.Span, "%s holds no derivative: its derivative is solved, and it holds itself at %s = %s",
			r.source(st.Span), r.sheet.Variable, typeset.Plain(a))
		r.makeCondition(c, left, right)
	}
}
