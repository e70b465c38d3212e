package sheet

import (
	"fmt"
	"slices"
	"strings"

	"nodespan/expr/notation"
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
