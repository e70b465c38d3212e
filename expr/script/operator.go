package script

import (
	"fmt"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
)

// This file writes the equation and its operator, with the conditions in its rows.

// derivativeTrees are the trees of the coefficients of the equation of unknown i.
func (w *writer) derivativeTrees(i int) []notation.Node {
	var out []notation.Node
	residual := w.l.Sheet.EquationFormulas()[w.w.Equation(i)]
	for _, u := range w.p.Unknowns {
		for d := 0; d <= u.Order; d++ {
			out = append(out, tape.Partial(residual, &notation.Jet{Name: u.Name, Order: d}))
		}
	}
	return out
}

// nodeRange is the stretch of an unknown's points where the equations are written.
func (w *writer) nodeRange(i int) (from, to int) {
	u := &w.w.Unknowns[i]
	if w.w.Shared {
		return 0, len(u.S)
	}
	return u.Nodes[0], u.Nodes[len(u.Nodes)-1] + 1
}

// coefficients writes the vectors of the coefficients.
func (w *writer) coefficients() {
	sh := w.l.Sheet
	for i := range w.w.Unknowns {
		residual := sh.EquationFormulas()[w.w.Equation(i)]
		for j, u := range w.w.Unknowns {
			for d := u.Order; d >= 0; d-- {
				if !w.w.Absent(i, j, d) {
					w.line("%s = %s", w.w.CoefficientName(i, j, d),
						w.vector(tape.Partial(residual, &notation.Jet{Name: u.Name, Order: d})))
				}
			}
		}
		for q, p := range sh.Sought {
			w.line("%s = %s", w.w.ParameterName(i, q), w.vector(tape.Partial(residual, &notation.Name{Name: p.Name})))
		}
	}
}

// blocks returns the blocks of the equation of unknown i, one for each unknown and sought number.
func (w *writer) blocks(i int) []string {
	var out []string
	for j := range w.w.Unknowns {
		u := &w.w.Unknowns[j]
		from, to := w.nodeRange(j)
		part := func(m string) string {
			if w.w.Shared {
				return m
			}
			return w.rowsOf(m, from, to)
		}
		var terms []string
		for d := u.Order; d >= 0; d-- {
			if w.w.Absent(i, j, d) {
				continue
			}
			a := w.w.CoefficientName(i, j, d)
			switch {
			case d > 0:
				terms = append(terms, fmt.Sprintf(w.scaled, a, part(fmt.Sprintf("D%d%s", d, u.Suffix))))
			case w.w.Shared:
				terms = append(terms, w.diagonal+"("+a+")")
			default:
				terms = append(terms, fmt.Sprintf(w.scaled, a, w.rowsOf(fmt.Sprintf(w.identity, len(u.S)), from, to)))
			}
		}
		if len(terms) == 0 {
			terms = []string{fmt.Sprintf(w.zeros, to-from, len(u.S))}
		}
		out = append(out, strings.Join(terms, " + "))
	}
	for q := range w.p.Parameters {
		out = append(out, fmt.Sprintf(w.column, w.w.ParameterName(i, q)))
	}
	return out
}

// rightSide returns the right side of the equation of unknown i.
func (w *writer) rightSide(i int) string {
	residual := w.l.Sheet.EquationFormulas()[w.w.Equation(i)]
	if w.w.Linear {
		return w.vector(negative(withoutUnknowns(residual)))
	}
	var terms []string
	for j, u := range w.w.Unknowns {
		for d := u.Order; d >= 0; d-- {
			if !w.w.Absent(i, j, d) {
				terms = append(terms, w.w.CoefficientName(i, j, d)+w.elementwise+w.w.OldName(j, d))
			}
		}
	}
	for q, p := range w.l.Sheet.Sought {
		terms = append(terms, w.w.ParameterName(i, q)+"*"+w.names[p.Name])
	}
	return strings.Join(terms, " + ") + " - (" + w.formula(residual) + ")"
}

// equations writes the coefficients, the operator, the conditions and the solution.
func (w *writer) equations() {
	w.say("The equation's factors at the points, and the operator: the equation written at %s.",
		map[bool]string{true: "every point", false: "every node"}[w.w.Shared])
	w.coefficients()
	size := w.w.Size()
	if w.w.Shared && len(w.p.Parameters) == 0 {
		var rows, rhs []string
		for i := range w.w.Unknowns {
			rows, rhs = append(rows, w.beside.of(w.blocks(i))), append(rhs, w.rightSide(i))
		}
		w.line("A_all = %s", w.below.of(rows))
		w.line("b_all = %s", w.join.of(rhs))
	} else {
		w.line("A_all = %s", fmt.Sprintf(w.nans, size, size))
		w.line("b_all = %s", w.nanRow)
		for i := range w.w.Unknowns {
			u := &w.w.Unknowns[i]
			from, to := w.nodeRange(i)
			w.line("%s = %s", w.rowsOf("A_all", u.Offset+from, u.Offset+to), w.beside.of(w.blocks(i)))
			w.line("%s = %s", w.partOf("b_all", u.Offset+from, u.Offset+to), w.rightSide(i))
		}
	}
	w.gap()
	w.say("The conditions as rows.")
	sh := w.l.Sheet
	var rows, rhs []string
	for _, c := range sh.ConditionFormulas() {
		rows = append(rows, w.conditionRow(c, func(p pointValue) string { return p.row },
			fmt.Sprintf(w.zeroRow, "total")))
		if w.w.Linear {
			rhs = append(rhs, w.formula(negative(withoutUnknowns(c))))
		}
	}
	w.line("C = %s", w.stack.of(rows))
	for r, c := range sh.ConditionFormulas() {
		for q, p := range sh.Sought {
			if v := tape.Partial(c, &notation.Name{Name: p.Name}); !isZero(v) {
				w.line("%s = %s", w.at2("C", r, size-len(sh.Sought)+q), w.formula(v))
			}
		}
	}
	if !w.w.Linear {
		for r, c := range sh.ConditionFormulas() {
			rhs = append(rhs, w.productOf(w.row("C", r), "old")+" - ("+w.formula(c)+")")
		}
	}
	w.line("C_rhs = %s", w.list.of(rhs))
	w.gap()
	w.say("The conditions take over rows.")
	w.line("A = %s", fmt.Sprintf(w.copied, "A_all"))
	w.line("b = %s", fmt.Sprintf(w.copied, "b_all"))
	for k, t := range w.w.Replaced {
		w.line("%s = %s", w.row("A", t.Row), w.row("C", k))
		w.line("%s = %s", w.at("b", t.Row), w.at("C_rhs", k))
	}
	w.gap()
	w.say("The solution: the values at the points.")
	w.line("solution = %s", fmt.Sprintf(w.solved, "A", "b"))
}
