package sheet

import (
	"slices"

	"nodespan/expr/notation"
)

// Names that are only explained: ξ = x/L for the variable ξ, θ = (T - Ta)/(Tb - Ta) for an unknown θ, u = r R of a
// radial equation. They tell what a name stands for, not what it is worth.

// explained drops the statements that explain a name by others which the sheet uses nowhere else.
func (r *reader) explained() {
	derived, by := map[string]bool{}, map[string]bool{}
	for _, marks := range r.marks {
		for _, m := range marks {
			derived[m.Unknown] = true
			by[m.Variable] = true
		}
	}
	used := map[string]int{} // in how many statements a name stands
	for _, st := range r.sheet.Statements {
		for name := range namesIn(st.raw.Tokens) {
			used[name]++
		}
	}
	for i := len(r.sheet.Statements) - 1; i >= 0; i-- {
		st := r.sheet.Statements[i]
		name, args, ok := head(st)
		if ok && args == nil && st.Kind == "" && r.valueOnly(i, name, derived) {
			st.Kind = KindReport
			r.note(st.Span, "nothing uses %s, so it is a number to be reported", name)
			continue
		}
		if !ok || st.Kind != "" || len(r.marks[i]) > 0 || !r.foreign(i, name, args, derived, by, used) {
			continue
		}
		for name := range namesIn(st.raw.Tokens) {
			used[name]--
		}
		r.note(st.Span, "%s only says what %s stands for", r.source(st.Span), name)
		r.sheet.Statements = slices.Delete(r.sheet.Statements, i, i+1)
		r.marks = slices.Delete(r.marks, i, i+1)
	}
}

// valueOnly reports whether statement i, name = …, holds the value of an unknown at a point, and no other statement the
// name.
func (r *reader) valueOnly(i int, name string, derived map[string]bool) bool {
	for k, st := range r.sheet.Statements {
		if k != i && hasText(st.raw.Tokens, name) {
			return false
		}
	}
	t := r.sheet.Statements[i].raw.Tokens[2:]
	for k := range t {
		p := afterPrimes(t, k+1)
		if isName(t[k]) && derived[t[k].Text] && p+1 < len(t) && t[p].Text == "(" && !t[p].Space &&
			(isNumber(t[p+1]) || isName(t[p+1]) && !slices.Contains(preference, t[p+1].Text)) {
			return !derived[name] && !hasText(t, "?") && !hasText(t, "=")
		}
	}
	return false
}

// foreign reports whether statement i, which begins with name = or name(args) =, holds a name that stands nowhere else
// and cannot be the variable, while its own name is a variable, an unknown or one that nothing uses.
// used says in how many statements a name stands.
func (r *reader) foreign(i int, name string, args []string, derived, by map[string]bool, used map[string]int) bool {
	own := namesIn(r.sheet.Statements[i].raw.Tokens)
	elsewhere := func(name string) bool { return used[name] > 1 || used[name] == 1 && !own[name] }
	if elsewhere(name) && !by[name] && !derived[name] || !elsewhere(name) && len(by) < 2 {
		return false // by holds "" as well
	}
	foreign := false
	for _, t := range r.sheet.Statements[i].raw.Tokens[1:] {
		switch {
		case t.Text == "?" || t.Kind == notation.PrimeToken || t.Text == "at" || t.Text == "near" || derived[t.Text]:
			return false
		case !isName(t) || builtin[t.Text] || notation.IsFunction(t.Text) || slices.Contains(args, t.Text):
		case !elsewhere(t.Text) && (by[name] || len(by) > 1 || !slices.Contains(preference, t.Text)):
			foreign = true
		}
	}
	return foreign
}

// namesIn returns the names among tokens.
func namesIn(tokens []notation.Token) map[string]bool {
	names := map[string]bool{}
	for _, t := range tokens {
		if isName(t) {
			names[t.Text] = true
		}
	}
	return names
}
