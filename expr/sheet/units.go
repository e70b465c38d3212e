package sheet

import (
	"fmt"
	"slices"
	"strings"

	"nodespan/expr/notation"
	"nodespan/solver/bvp"
)

// unitSymbols are the symbols of units that a sheet may use as names too.
var unitSymbols = func() map[string]bool {
	m := map[string]bool{}
	for _, u := range strings.Fields(`m s K kg N Pa W J mol Hz V A C rad mm cm dm km um nm ms min kN MN kPa MPa GPa
	kW MW mW kJ MJ
		mol mmol deg bar mbar L l g mg`) {
		m[u] = true
	}
	return m
}()

// unitOrProduct refuses a number, a space and symbols of units that are names of the sheet as well, as in L = 0.1 m
// where the sheet has an m: nobody means the product, but it may stand there.
func (r *reader) unitOrProduct(st *Statement) *notation.Error {
	t := st.raw.Tokens[st.from:]
	for i := 1; i+1 < len(t); i++ {
		if !isNumber(t[i]) || !isName(t[i+1]) || !t[i+1].Space || !unitSymbols[t[i+1].Text] ||
			r.heads[t[i+1].Text] == nil {
			continue
		}
		before := i - 1
		if t[before].Text == "-" && before > 0 {
			before--
		}
		if t[before].Text != "=" && !(t[before].Text == "(" && before > 0 && r.names.Unknowns[t[before-1].Text]) {
			continue
		}
		end := i + 1
		for end < len(t) && (unitSymbols[t[end].Text] || slices.Contains([]string{"/", "*", "^", "-"}, t[end].Text) ||
			t[end-1].Text == "^" && isNumber(t[end]) || t[end-1].Text == "-" && isNumber(t[end])) {
			end++
		}
		if end < len(t) && t[end].Text != "at" && t[end].Text != "in" && t[end].Text != ")" {
			continue
		}
		sp := join(t[i].Sp, t[end-1].Sp)
		number, unit := r.source(t[i].Sp), r.source(join(t[i+1].Sp, t[end-1].Sp))
		return &notation.Error{Span: sp,
			Msg:     fmt.Sprintf("“%s” may be a number with its unit or a product with %s", r.source(sp), t[i+1].Text),
			Hint:    fmt.Sprintf("delete the unit, or write %s*%s for the product", number, unit),
			Choices: notation.ReadChoices(&r.names, number, number+"*"+unit)}
	}
	return nil
}

// Unit returns the unit of a name of the sheet or of a derivative of an unknown, as it is printed, where the sheet
// tells it; else "".
func (s *Sheet) Unit(name string, derivative int) string {
	if u := s.units[bvp.Derivative(name, derivative)]; u != "" || derivative == 0 {
		return u
	}
	of, by := s.units[name], s.units[s.Variable]
	if of == "" || by == "" || strings.ContainsAny(of+by, " /·()") {
		return ""
	}
	if derivative > 1 {
		if strings.ContainsAny(by, "⁻⁰¹²³⁴⁵⁶⁷⁸⁹") || derivative > 9 {
			return ""
		}
		by += string([]rune("⁰¹²³⁴⁵⁶⁷⁸⁹")[derivative])
	}
	return of + "/" + by
}

// unitsOf collects whose the units are that stand behind numbers. Whoever has two of them has none.
type unitsOf struct {
	units map[string]string
	order []string // names as they got one
	other []string // units that are nobody's
}

func (u *unitsOf) give(name, unit string) {
	before, ok := u.units[name]
	switch {
	case unit == "":
	case name == "":
		u.nobody(unit)
	case !ok:
		u.units[name], u.order = unit, append(u.order, name)
	case before != unit:
		u.units[name] = ""
		u.nobody(before)
		u.nobody(unit)
	}
}

func (u *unitsOf) nobody(unit string) {
	if unit != "" && !slices.Contains(u.other, unit) {
		u.other = append(u.other, unit)
	}
}

// inferUnits finds out whose the units are, and tells them in one line. A unit is that of a constant, of the unknown or
// the derivative that a condition gives, or of the variable where it stands with a point or an end of the interval; so
// is that of a constant which stands there.
func (r *reader) inferUnits() {
	u := &unitsOf{units: map[string]string{}}
	var at notation.Span
	for _, st := range r.sheet.Statements {
		for _, remark := range st.Relation.Remarks {
			if remark.Unit == "" {
				continue
			}
			if at == (notation.Span{}) {
				at = remark.Sp
			}
			u.give(r.measured(st, remark.Sp), remark.Unit)
		}
	}
	if at == (notation.Span{}) {
		return
	}
	for _, end := range r.model.ends {
		if n, ok := end.(*notation.Name); ok {
			u.give(r.sheet.Variable, u.units[n.Name])
		}
	}
	for _, st := range r.sheet.Statements {
		if st.Kind == KindCondition {
			r.unitsThrough(st, u)
		}
	}
	r.sheet.units = u.units
	first := []string{r.sheet.Variable}
	for _, unknown := range r.sheet.Unknowns {
		first = append(first, unknown.Name)
	}
	var parts []string
	for _, name := range append(first, slices.DeleteFunc(u.order, func(name string) bool {
		return slices.Contains(first, name)
	})...) {
		if unit := u.units[name]; unit != "" {
			parts = append(parts, name+" in "+unit)
		}
	}
	r.note(at, "units are read as remarks and nothing is converted: %s", strings.Join(append(parts, u.other...), ", "))
}

// unitsThrough gives the units of constants on to what they stand for in a condition: T(L) = Ts.
func (r *reader) unitsThrough(st *Statement, u *unitsOf) {
	for _, side := range st.Relation.Sides {
		notation.Walk(side, func(n notation.Node) bool {
			if j, ok := n.(*notation.Jet); ok {
				if point, ok := j.At.(*notation.Name); ok {
					u.give(r.sheet.Variable, u.units[point.Name])
				}
			}
			return true
		})
	}
	if len(st.Relation.Sides) != 2 {
		return
	}
	j, ok := st.Relation.Sides[0].(*notation.Jet)
	if n, named := st.Relation.Sides[1].(*notation.Name); ok && named {
		u.give(bvp.Derivative(j.Name, j.Order), u.units[n.Name])
	}
}

// measured returns whose unit stands behind the number at a place of a statement; "" where that is not known.
func (r *reader) measured(st *Statement, sp notation.Span) string {
	within := func(n notation.Node) bool {
		at := n.Span()
		return at.From.Offset <= sp.From.Offset && sp.To <= at.To
	}
	switch st.Kind {
	case KindConstant, KindSought:
		return st.Name
	case KindDomain, KindBreak:
		return r.sheet.Variable
	case KindCondition:
		for _, side := range st.Relation.Sides {
			if notation.Find(side, func(n notation.Node) bool {
				j, ok := n.(*notation.Jet)
				return ok && j.At != nil && within(j.At)
			}) != nil {
				return r.sheet.Variable
			}
		}
		for _, side := range st.Relation.Sides {
			if j, ok := side.(*notation.Jet); ok {
				return bvp.Derivative(j.Name, j.Order)
			}
		}
	}
	return ""
}
