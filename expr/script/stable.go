package script

import (
	"fmt"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
)

// This file writes the stable route.

func (w *writer) stable() {
	w.b.WriteString(w.integral)
	w.say("The stable route: the same polynomial from the state at the left end and the highest derivative at the " +
		"nodes; lower derivatives are integrals. B's unknowns are those.")
	highest := 0
	for _, u := range w.p.Unknowns {
		highest = max(highest, u.Order)
	}
	for k := 1; k <= highest; k++ {
		w.line("I%d = integrals(%d, nodes, nodes, left, right)", k, k)
	}
	P := len(w.p.Parameters)
	total := P
	for _, u := range w.p.Unknowns {
		total += u.Order + w.w.Options.Nodes
	}
	n := w.w.Options.Nodes
	var rows, rhs []string
	for i := range w.w.Unknowns {
		from := w.w.Unknowns[i].Held[0]
		at := func(v string) string {
			if w.w.Shared {
				return w.part(v, from, from+n)
			}
			return v
		}
		var blocks []string
		for j, u := range w.w.Unknowns {
			var terms []string
			for d := u.Order; d >= 0; d-- {
				if !w.w.Absent(i, j, d) {
					terms = append(terms, w.scaled(at(w.w.CoefficientName(i, j, d)),
						fmt.Sprintf("stable(%d, %d, nodes, nodes, left, right)", u.Order, d)))
				}
			}
			if len(terms) == 0 {
				terms = []string{w.zeros(n, u.Order+n)}
			}
			blocks = append(blocks, strings.Join(terms, " + "))
		}
		for q := range w.p.Parameters {
			blocks = append(blocks, w.columnOf(at(w.w.ParameterName(i, q))))
		}
		rows = append(rows, w.beside(blocks))
		u := &w.w.Unknowns[i]
		rhs = append(rhs, w.part("b_all", u.Offset+u.Held[0], u.Offset+u.Held[len(u.Held)-1]+1))
	}
	for _, p := range w.points {
		u := w.p.Unknowns[p.unknown]
		off := 0
		for _, v := range w.p.Unknowns[:p.unknown] {
			off += v.Order + n
		}
		row := "stable_" + p.row
		w.line("%s = %s", row, w.zeroRowOf(total))
		at := w.unit(fmt.Sprintf("2*(%s - left)/(right - left) - 1", w.pointText(p)))
		if p.x == w.p.A {
			at = w.unit("-1")
		} else if p.x == w.p.B {
			at = w.unit("1")
		}
		w.line("%s = %s", w.part(row, off, off+u.Order+n),
			w.firstRow(fmt.Sprintf("stable(%d, %d, %s, nodes, left, right)", u.Order, p.jet.Order, at)))
	}
	var conditions []string
	for _, c := range w.l.Sheet.ConditionFormulas() {
		conditions = append(conditions, w.conditionRow(c, func(p pointValue) string { return "stable_" + p.row },
			w.zeroRowOf(total)))
	}
	w.line("B = %s", w.below(append(rows, w.stack(conditions))))
	base := total - P
	for r, c := range w.l.Sheet.ConditionFormulas() {
		for q, p := range w.l.Sheet.Sought {
			if v := tape.Partial(c, &notation.Name{Name: p.Name}); !isZero(v) {
				w.line("%s = %s", w.entry2("B", len(w.p.Unknowns)*n+r, base+q), w.entry2("C", r, w.w.Size()-P+q))
			}
		}
	}
	w.line("B_rhs = %s", w.join(append(rhs, "C_rhs")))
	w.line("B_sol = %s", w.solved("B", "B_rhs"))
	w.gap()
}
