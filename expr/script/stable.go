package script

import (
	"fmt"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
)

// This file writes the stable route.

func (w *writer) stable() {
	w.b.WriteString(w.integrals)
	w.say("The stable route: the same polynomial from the state at the left end and the highest derivative at the " +
		"nodes; lower derivatives are integrals. B's unknowns are those.")
	highest, total := 0, len(w.p.Parameters)
	for _, u := range w.p.Unknowns {
		highest = max(highest, u.Order)
		total += u.Order + w.w.Options.Nodes
	}
	for k := 1; k <= highest; k++ {
		w.line("I%d = integrals(%d, nodes, nodes, left, right)", k, k)
	}
	var rows, rhs []string
	for i := range w.w.Unknowns {
		rows = append(rows, w.stableEquation(i))
		u := &w.w.Unknowns[i]
		rhs = append(rhs, w.partOf("b_all", u.Offset+u.Nodes[0], u.Offset+u.Nodes[len(u.Nodes)-1]+1))
	}
	for _, p := range w.points {
		w.stablePoint(p, total)
	}
	var conditions []string
	for _, c := range w.l.Sheet.ConditionFormulas() {
		conditions = append(conditions, w.conditionRow(c, func(p pointValue) string { return "stable_" + p.row },
			fmt.Sprintf(w.zeroRow, total)))
	}
	w.line("B = %s", w.below.of(append(rows, w.stack.of(conditions))))
	w.stableParameters(total)
	w.line("B_rhs = %s", w.join.of(append(rhs, "C_rhs")))
	w.line("B_sol = %s", fmt.Sprintf(w.solved, "B", "B_rhs"))
	w.gap()
}

// stableEquation returns the rows of an equation at the nodes.
func (w *writer) stableEquation(i int) string {
	n := w.w.Options.Nodes
	from := w.w.Unknowns[i].Nodes[0]
	at := func(v string) string {
		if w.w.Shared {
			return w.partOf(v, from, from+n)
		}
		return v
	}
	var blocks []string
	for j, u := range w.w.Unknowns {
		var terms []string
		for d := u.Order; d >= 0; d-- {
			if !w.w.Absent(i, j, d) {
				terms = append(terms, fmt.Sprintf(w.scaled, at(w.w.CoefficientName(i, j, d)),
					fmt.Sprintf("stable(%d, %d, nodes, nodes, left, right)", u.Order, d)))
			}
		}
		if len(terms) == 0 {
			terms = []string{fmt.Sprintf(w.zeros, n, u.Order+n)}
		}
		blocks = append(blocks, strings.Join(terms, " + "))
	}
	for q := range w.p.Parameters {
		blocks = append(blocks, fmt.Sprintf(w.column, at(w.w.ParameterName(i, q))))
	}
	return w.beside.of(blocks)
}

// stablePoint writes the row that takes the value at a point.
func (w *writer) stablePoint(p pointValue, total int) {
	n, u := w.w.Options.Nodes, w.p.Unknowns[p.unknown]
	off := 0
	for _, v := range w.p.Unknowns[:p.unknown] {
		off += v.Order + n
	}
	row := "stable_" + p.row
	w.line("%s = %s", row, fmt.Sprintf(w.zeroRow, total))
	at := fmt.Sprintf(w.vectorOf, fmt.Sprintf("2*(%s - left)/(right - left) - 1", w.pointText(p)))
	if p.x == w.p.A {
		at = fmt.Sprintf(w.vectorOf, "-1")
	} else if p.x == w.p.B {
		at = fmt.Sprintf(w.vectorOf, "1")
	}
	w.line("%s = %s", w.partOf(row, off, off+u.Order+n),
		fmt.Sprintf(w.firstRow, fmt.Sprintf("stable(%d, %d, %s, nodes, left, right)", u.Order, p.jet.Order, at)))
}

// stableParameters writes what the sought numbers are multiplied by in the conditions.
func (w *writer) stableParameters(total int) {
	P := len(w.p.Parameters)
	for r, c := range w.l.Sheet.ConditionFormulas() {
		for q, p := range w.l.Sheet.Sought {
			if v := tape.Partial(c, &notation.Name{Name: p.Name}); !isZero(v) {
				w.line("%s = %s", w.at2("B", len(w.p.Unknowns)*w.w.Options.Nodes+r, total-P+q),
					w.at2("C", r, w.w.Size()-P+q))
			}
		}
	}
}
