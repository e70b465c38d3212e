package script

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/expr/typeset"
)

// This file writes the conditions as rows.

// pointValue is a value at a point in a condition, with the name of its row.
type pointValue struct {
	jet     *notation.Jet
	unknown int
	x       float64
	row     string
}

// rowsOfConditions writes the rows that give the values at points which the conditions speak of.
func (w *writer) rowsOfConditions() {
	sh := w.l.Sheet
	for _, c := range sh.ConditionFormulas() {
		notation.Walk(c, func(n notation.Node) bool {
			j, ok := n.(*notation.Jet)
			if !ok {
				return true
			}
			for _, p := range w.points {
				if notation.Equal(p.jet, j) {
					return false
				}
			}
			p := pointValue{jet: j, row: fmt.Sprintf("row%d", len(w.points)+1)}
			for i, u := range w.p.Unknowns {
				if u.Name == j.Name {
					p.unknown = i
				}
			}
			p.x = w.value(j.At)
			for _, end := range []float64{w.p.A, w.p.B} { // as the problem has it, to the last bit
				if math.Abs(p.x-end) <= 1e-14*math.Max(math.Abs(w.p.A), math.Abs(w.p.B)) {
					p.x = end
				}
			}
			w.points = append(w.points, p)
			return false
		})
	}
	w.say("The conditions: each value at a point is a row times the values of the unknowns.")
	w.line("total = %d", w.w.Size())
	for _, p := range w.points {
		u := &w.w.Unknowns[p.unknown]
		w.line("%s = %s", p.row, fmt.Sprintf(w.zeroRow, "total"))
		k := w.w.PointOf(p.unknown, p.x)
		note := typeset.Plain(p.jet)
		put := func(place, value string) {
			fmt.Fprintf(&w.b, "%s%s = %s%s  %s %s\n", w.indent, place, value, w.end, w.remark, note)
		}
		whole := w.partOf(p.row, u.Offset, u.Offset+len(u.S))
		switch {
		case k >= 0 && p.jet.Order == 0:
			put(w.at(p.row, u.Offset+k), "1")
		case k >= 0:
			put(whole, w.row(fmt.Sprintf("D%d%s", p.jet.Order, u.Suffix), k))
		default:
			at := fmt.Sprintf("(%s - origin)/scale", w.pointText(p))
			value := w.productOf(fmt.Sprintf(w.oneRow, at, p.jet.Order, len(u.S)), "V_inv"+u.Suffix)
			if p.jet.Order > 0 {
				value += "/scale" + w.power + strconv.Itoa(p.jet.Order)
			}
			put(whole, value)
		}
	}
	w.gap()
}

// pointText prints the point of a value.
func (w *writer) pointText(p pointValue) string {
	s := w.formula(p.jet.At)
	if !single.MatchString(s) {
		s = "(" + s + ")"
	}
	return s
}

// conditionRow prints a condition as a sum of rows.
func (w *writer) conditionRow(c notation.Node, row func(pointValue) string, none string) string {
	var terms []string
	for _, p := range w.points {
		weight := tape.Partial(c, p.jet)
		if isZero(weight) {
			continue
		}
		terms = append(terms, w.times(w.formula(weight), row(p)))
	}
	if len(terms) == 0 {
		return none
	}
	return strings.Join(terms, " + ")
}
