package script

import (
	"fmt"
	"strconv"
)

// This file writes what is made of the solution.

func (w *writer) result() {
	for i := range w.w.Unknowns {
		u := &w.w.Unknowns[i]
		w.line("%s = %s", u.ID, w.partOf("solution", u.Offset, u.Offset+len(u.S)))
	}
	if len(w.p.Parameters) > 0 {
		w.line("parameters = %s", w.partOf("solution", w.w.Size()-len(w.p.Parameters), w.w.Size()))
	}
	w.gap()
	w.say("The polynomial's coefficients, and the table at the ends and the nodes.")
	w.line("at = %s", w.concat([]string{w.from()}, "roots", []string{w.to()}))
	columns := []string{w.place("at")}
	for i := range w.w.Unknowns {
		u := &w.w.Unknowns[i]
		w.line("%s = %s", w.w.CoefName(i), w.productOf("V_inv"+u.Suffix, u.ID))
		for d := range u.Order {
			c := w.productOf(fmt.Sprintf("powers(at, %d, %d)", d, len(u.S)), w.w.CoefName(i))
			if d > 0 {
				c += "/scale"
			}
			if d > 1 {
				c += w.power + strconv.Itoa(d)
			}
			columns = append(columns, c)
		}
	}
	w.line("table = %s", w.columns.of(columns))
	w.gap()
	w.say("Check: the equation at the nodes and the conditions, with the polynomial put in, leave rounding only.")
	var parts []string
	for i := range w.w.Unknowns {
		u := &w.w.Unknowns[i]
		from, to := u.Offset+u.Nodes[0], u.Offset+u.Nodes[len(u.Nodes)-1]+1
		parts = append(parts, w.productOf(w.rowsOf("A_all", from, to), "solution")+" - "+w.partOf("b_all", from, to))
	}
	w.line("check = %s", w.join.of(parts))
	w.line("check_conditions = %s - C_rhs", w.productOf("C", "solution"))
	w.gap()
}

func (w *writer) print() {
	w.say("The node table.")
	fmt.Fprintf(&w.b, w.printer, w.header(w.w.Columns))
}
