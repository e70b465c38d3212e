package sheet

import (
	"slices"
	"unicode/utf8"

	"nodespan/expr/notation"
)

// This stage finds out what each name means before anything is parsed: what is declared, what is
// an unknown function, and what the independent variable is called.

// preference lists the names that a free symbol may be taken for as the variable, in this order.
var preference = []string{"x", "r", "t", "z", "s", "eta", "xi", "tau", "zeta", "y", "theta"}

// builtin holds the names that have a value without being declared.
var builtin = map[string]bool{"pi": true, "e": true, "inf": true}

func (r *reader) findNames() {
	statements := r.sheet.Statements
	r.findContinuations()
	r.marks = make([][]notation.Mark, len(statements))
	r.heads = map[string]*Statement{}
	left := map[string]bool{}
	for _, st := range statements {
		if name, args, ok := head(st); ok && args == nil && st.Kind == "" {
			left[name] = true
		}
	}
	for i, st := range statements {
		if st.Kind != "" {
			continue
		}
		// A sheet that declares dx or dT means that name, not a differential.
		r.marks[i] = slices.DeleteFunc(st.raw.Marks(), func(m notation.Mark) bool {
			return slices.ContainsFunc(m.Names, func(name string) bool { return left[name] })
		})
	}
	r.explained()
	r.findOperator(left)
	r.findUnknowns(left)
	r.continueReports()
	if len(r.order) == 0 {
		r.noEquation()
		return
	}
	r.findDeclared()
	r.findVariable()
	r.names.Variable = r.sheet.Variable
	r.findWholes()
	r.findAlgebraic()
	r.findVarying()
	// k(T) = … may be written k alone where T is what it is taken of anyway.
	for name, st := range r.heads {
		if st.args != nil && !slices.ContainsFunc(st.args,
			func(a string) bool { return a != r.sheet.Variable && !r.names.Unknowns[a] }) {
			r.names.Constants[name] = true
		}
	}
	r.continueFunctions()
}

// findUnknowns takes every name that carries a derivative mark for an unknown, but for two kinds:
// names that are glued together, such as the xy of xy' where y is an unknown, and names that have a
// formula of their own, such as the k of k' where the sheet says k = 1 + x. left holds the names
// that stand alone left of an equals sign.
func (r *reader) findUnknowns(left map[string]bool) {
	var found []string
	seen := map[string]bool{}
	for _, marks := range r.marks {
		for _, m := range marks {
			if m.Unknown != "" && !seen[m.Unknown] {
				seen[m.Unknown] = true
				found = append(found, m.Unknown)
			}
		}
	}
	whole, atPoint := map[string]bool{}, map[string]bool{} // names without primes, names before a closed-up bracket
	led := map[string]bool{}                               // names whose derivative is given: vx' = …
	for _, st := range r.sheet.Statements {
		t := st.raw.Tokens
		for i, tok := range t {
			if !isName(tok) {
				continue
			}
			last := afterPrimes(t, i+1)
			whole[tok.Text] = whole[tok.Text] || last == i+1
			led[tok.Text] = led[tok.Text] || i == 0 && last > 1 && last < len(t) && t[last].Text == "="
			if last < len(t) && t[last].Text == "(" && !t[last].Space && !notation.IsFunction(tok.Text) {
				atPoint[tok.Text] = true
			}
		}
	}
	factor := func(name string) bool {
		return left[name] || name == "pi" || slices.Contains(preference, name) ||
			seen[name] && utf8.RuneCountInString(name) == 1
	}
	// tail returns the unknown at the end of a glued name.
	tail := func(name string) string {
		if left[name] || atPoint[name] || led[name] && whole[name] {
			return ""
		}
		for i := len(name) - 1; i > 0; i-- {
			if !utf8.RuneStart(name[i]) || !seen[name[i:]] && !atPoint[name[i:]] {
				continue
			}
			if _, ways := notation.SplitName(name[:i], factor); ways > 0 || factor(name[:i]) {
				return name[i:]
			}
		}
		return ""
	}
	formula := r.formulas()
	var held []string // have a formula: unknowns only where nothing else is one
	add := func(name string) {
		if !r.names.Unknowns[name] {
			r.names.Unknowns[name] = true
			r.order = append(r.order, name)
		}
	}
	for _, name := range found {
		switch t := tail(name); {
		case t != "":
			add(t)
		case formula[name] == withArguments, formula[name] == plain && !atPoint[name]:
			held = append(held, name)
		default:
			add(name)
		}
	}
	if len(r.order) == 0 {
		for _, name := range held {
			add(name)
		}
	}
	if len(r.order) == 0 {
		r.differentiated(left, atPoint, add)
	}
}

// differentiated takes for unknowns what stands in the derivative of an expression, as in (y^2)” = 1, and at points
// elsewhere.
func (r *reader) differentiated(left, atPoint map[string]bool, add func(string)) {
	for i, marks := range r.marks {
		for _, m := range marks {
			for _, t := range r.sheet.Statements[i].raw.Tokens {
				if m.Unknown == "" && m.Sp.From.Offset <= t.Sp.From.Offset && t.Sp.To <= m.Sp.To &&
					isName(t) && atPoint[t.Text] && !left[t.Text] && !builtin[t.Text] && !notation.IsFunction(t.Text) {
					add(t.Text)
				}
			}
		}
	}
}

// findVarying finds the names whose formula changes with the variable or the unknowns, be it through others.
func (r *reader) findVarying() {
	r.names.Varying, r.names.Formulas = map[string]bool{}, map[[2]string]bool{}
	for again := true; again; {
		again = false
		for name, st := range r.heads {
			if r.names.Varying[name] || !r.names.Constants[name] {
				continue
			}
			for _, t := range st.raw.Tokens[1:] {
				if isName(t) && (r.names.Unknowns[t.Text] || r.names.Varying[t.Text] || t.Text == r.sheet.Variable) {
					r.names.Varying[name], again = true, true
					r.names.Formulas[[2]string{name, t.Text}] = r.names.Unknowns[t.Text]
				}
			}
		}
	}
}

const (
	plain         = 1 // k = …
	withArguments = 2 // k(T) = …
)

// formulas returns the names that a statement without a derivative gives a formula for.
func (r *reader) formulas() map[string]int {
	f := map[string]int{}
	for i, st := range r.sheet.Statements {
		name, args, ok := head(st)
		if !ok || st.Kind != "" || len(r.marks[i]) > 0 || r.goesOn(i) {
			continue
		}
		switch {
		case args == nil:
			f[name] = plain
		case !slices.ContainsFunc(args, func(a string) bool { return builtin[a] || r.declaredAlone(a) }):
			f[name] = withArguments
		}
	}
	return f
}

// declaredAlone reports whether a statement gives the name a value.
//
//go:noinline
func (r *reader) declaredAlone(name string) bool {
	return slices.ContainsFunc(r.sheet.Statements, func(st *Statement) bool {
		n, args, ok := head(st)
		return ok && n == name && args == nil && st.Kind == ""
	})
}

// findDeclared collects the names left of an equals sign that are no unknowns.
func (r *reader) findDeclared() {
	for i, st := range r.sheet.Statements {
		if len(r.errs) >= maxFaults {
			return
		}
		if st.Kind != "" {
			continue
		}
		name, args, ok := head(st)
		if !ok {
			continue
		}
		if r.names.Unknowns[name] {
			if args == nil && len(r.marks[i]) == 0 {
				r.unknownDeclared(st, i, name)
			}
			continue
		}
		if args != nil && !r.arguments(st, name, args) {
			continue
		}
		if name == "inf" {
			r.fault(st.Span, "choose another name", "“inf” stands for infinity and cannot be declared")
			continue
		}
		if first := r.heads[name]; first != nil {
			r.fault(st.Span, "keep one of the two", "%s is declared a second time (first on line %d)", name,
				line(first.Span))
			continue
		}
		st.Name, st.args = name, args
		r.heads[name] = st
		if args == nil {
			r.names.Constants[name] = true
		} else {
			r.names.Abbrevs[name] = len(args)
		}
	}
}

// unknownDeclared explains a statement such as "y = 3" where y is an unknown.
func (r *reader) unknownDeclared(st *Statement, i int, name string) {
	if hasText(st.raw.Tokens, "?") {
		r.fault(st.Span, "leave this line out: it is found anyway", "%s is an unknown function, not a sought parameter",
			name)
		return
	}
	// Where this line goes on with "exact u = …, v = …" it is settled later.
	if r.goesOn(i) {
		return
	}
	r.fault(st.Span,
		"write "+name+"(0) = … for a condition, exact "+name+" = … for a known solution, guess "+name+
			" = … for a first guess",
		"%s is an unknown function, and this line gives neither a condition nor an equation for it", name)
}

// goesOn reports whether statement i continues a line of exact solutions or guesses.
func (r *reader) goesOn(i int) bool { return r.sheet.Statements[i].goesOn != "" }

// findContinuations marks the statements that a comma or "and" ties to an exact solution, a guess or a report.
func (r *reader) findContinuations() {
	for i, st := range r.sheet.Statements {
		if i == 0 || st.Kind != "" || st.raw.Join != "," && st.raw.Join != "and" {
			continue
		}
		switch previous := r.sheet.Statements[i-1]; previous.Kind {
		case KindExact, KindGuess, KindReport:
			st.goesOn = previous.Kind
		default:
			st.goesOn = previous.goesOn
		}
	}
}

// continueReports gives "b = mean(y)" in "report a = y(0), b = mean(y)" its kind: a name for something that no constant
// holds.
func (r *reader) continueReports() {
	numbers := map[string]bool{} // what reports call their numbers
	for i, st := range r.sheet.Statements {
		name, args, ok := head(st)
		if st.Kind == KindReport && ok {
			numbers[name] = true
		}
		if st.goesOn == KindReport && st.Kind == "" && !ok && !slices.ContainsFunc(st.raw.Tokens, states) {
			st.Kind, r.marks[i] = KindReport, nil // "y'(1)" in "report y(0), y'(1)"
			continue
		}
		if st.goesOn != KindReport || st.Kind != "" || !ok || args != nil || r.names.Unknowns[name] {
			continue
		}
		t := st.raw.Tokens
		for k := 2; k < len(t); k++ {
			if numbers[t[k].Text] && isName(t[k]) && !r.declaredAlone(t[k].Text) {
				st.Kind, r.marks[i], numbers[name] = KindReport, nil, true
				break
			}
			primed := afterPrimes(t, k+1) - 1
			if _, quantity := quantities[t[k].Text]; isName(t[k]) && (quantity || r.names.Unknowns[t[k].Text]) &&
				primed+1 < len(t) && t[primed+1].Kind == notation.OpenToken {
				st.Kind, r.marks[i], numbers[name] = KindReport, nil, true
				break
			}
		}
	}
}

// states reports whether a token makes a statement of its own.
func states(t notation.Token) bool {
	return isComparison(t) || t.Text == "=" || t.Text == "in" || t.Text == "["
}

// continueFunctions gives "v = …" in "exact u = …, v = …" its kind.
func (r *reader) continueFunctions() {
	for i, st := range r.sheet.Statements {
		name, _, ok := head(st)
		if st.Kind == "" && ok && r.names.Unknowns[name] && len(r.marks[i]) == 0 && r.goesOn(i) {
			st.Kind = st.goesOn
		}
	}
}

// arguments checks the argument list of what looks like an abbreviation, k(T) = …
func (r *reader) arguments(st *Statement, name string, args []string) bool {
	for i, a := range args {
		switch {
		case builtin[a] || r.declaredAlone(a):
			r.notUnknown(st.raw.Tokens[st.from].Sp, name)
			return false
		case slices.Contains(args[:i], a):
			r.fault(st.Span, "", "%s has the argument %s twice", name, a)
			return false
		}
	}
	return true
}

// notUnknown explains a condition for a name that is no unknown.
func (r *reader) notUnknown(at notation.Span, name string) {
	r.fault(at, "give "+name+" an equation, or write the condition for "+list(r.order),
		"%s stands at a point like an unknown, but no equation has a derivative of it", name)
}

// findVariable settles the name of the independent variable.
func (r *reader) findVariable() {
	for _, find := range []func() bool{
		r.variableOfDerivatives, r.variableOfArguments, r.variableOfDomain, r.variableOfBreak, r.variableLeftOver,
	} {
		if find() {
			return
		}
	}
	dotted := slices.ContainsFunc(r.marks, func(marks []notation.Mark) bool {
		return slices.ContainsFunc(marks, func(m notation.Mark) bool { return m.Dotted })
	})
	if dotted && !r.names.Unknowns["t"] && r.heads["t"] == nil {
		r.setVariable("t", "a dot is the derivative by the time t, which is the variable", notation.Span{})
		return
	}
	for _, name := range append([]string{"x", "t"}, preference...) {
		if r.names.Unknowns[name] || r.heads[name] != nil {
			continue
		}
		r.sheet.Variable = name
		r.variableFrom = "the equations name no variable; it is called " + name
		return
	}
}

func (r *reader) setVariable(name, from string, at notation.Span) bool {
	r.sheet.Variable, r.variableFrom, r.variableAt = name, from, at
	return true
}

// variableOfDerivatives looks for d/dx.
func (r *reader) variableOfDerivatives() bool {
	var name string
	var at notation.Span
	for _, marks := range r.marks {
		for _, m := range marks {
			switch {
			case m.Variable == "" || m.Variable == name:
			case name == "":
				name, at = m.Variable, m.Sp
			default:
				r.fault(m.Sp, "use one variable throughout", "this derivative is taken in %s, an earlier one in %s",
					m.Variable, name)
				return true
			}
		}
	}
	if name == "" {
		return false
	}
	if st := r.heads[name]; st != nil {
		if hasText(st.raw.Tokens, "?") {
			r.fault(st.Span, "leave this line out", "%s is the variable, so it cannot be sought", name)
			return true
		}
		r.fault(st.Span, "write y(…) = … for a condition at a point",
			"%s is the variable, so it cannot be given a value", name)
		return true
	}
	if r.names.Unknowns[name] {
		r.fault(at, "", "%s is both an unknown and the variable", name)
		return true
	}
	return r.setVariable(name, name+" is the variable, from d/d"+name, at)
}

// variableOfArguments looks for y(x), y'(x): in the statements that hold the highest derivative
// of an unknown for any name, elsewhere for a usual one only, since the L of T'(L) may be a
// constant that someone forgot to declare.
func (r *reader) variableOfArguments() bool {
	highest := map[string]int{}
	for _, marks := range r.marks {
		for _, m := range marks {
			highest[m.Unknown] = max(highest[m.Unknown], m.Order)
		}
	}
	free := func(name string) bool {
		return name != "" && !builtin[name] && r.heads[name] == nil && !r.names.Unknowns[name]
	}
	for i, marks := range r.marks {
		for _, m := range marks {
			if free(m.Argument) && m.Order == highest[m.Unknown] && !r.looksLikeCondition(i) {
				return r.setVariable(m.Argument, m.Argument+" is the variable, from "+r.source(m.Sp)+"("+m.Argument+")",
					m.Sp)
			}
		}
	}
	for _, st := range r.sheet.Statements {
		t := st.raw.Tokens
		for i := 0; i+3 < len(t); i++ {
			if isName(t[i]) && r.names.Unknowns[t[i].Text] && t[i+1].Text == "(" && isName(t[i+2]) &&
				t[i+3].Text == ")" &&
				free(t[i+2].Text) && slices.Contains(preference, t[i+2].Text) {
				name, sp := t[i+2].Text, join(t[i].Sp, t[i+3].Sp)
				return r.setVariable(name, name+" is the variable, from "+r.source(sp), sp)
			}
		}
	}
	return false
}

// looksLikeCondition reports whether an unknown of statement i stands at a number or at a declared name.
func (r *reader) looksLikeCondition(i int) bool {
	t := r.sheet.Statements[i].raw.Tokens
	if r.sheet.Statements[i].at > 0 {
		return true
	}
	for k := 0; k+2 < len(t); k++ {
		if t[k].Text != "(" || k == 0 {
			continue
		}
		before := k - 1
		for before > 0 && isPrime(t[before]) {
			before--
		}
		if isName(t[before]) && r.names.Unknowns[t[before].Text] &&
			(isNumber(t[k+1]) || r.heads[t[k+1].Text] != nil || builtin[t[k+1].Text]) {
			return true
		}
	}
	return false
}

// variableOfDomain looks for "0 < x < L" and "x in [0, L]".
func (r *reader) variableOfDomain() bool {
	for _, st := range r.sheet.Statements {
		t := r.intervalName(st)
		if t == nil {
			continue
		}
		if r.names.Unknowns[t.Text] {
			r.fault(t.Sp, "write the interval of the variable", "%s is an unknown, not the variable", t.Text)
			return true
		}
		return r.setVariable(t.Text, t.Text+" is the variable, from "+r.source(st.Span), st.Span)
	}
	return false
}

// intervalName returns the name that a statement gives an interval of, nil where it is none: a
// name before "in", or one that is not declared and stands alone between two comparisons or beside one.
func (r *reader) intervalName(st *Statement) *notation.Token {
	t := st.raw.Tokens
	if st.Kind != "" || len(t) < 3 || hasText(t, "=") {
		return nil
	}
	free := func(k int) bool { return isName(t[k]) && r.heads[t[k].Text] == nil && !builtin[t[k].Text] }
	if len(t) > 4 && t[0].Kind == notation.BarToken && t[2].Kind == notation.BarToken && isComparison(t[3]) && free(1) {
		return &t[1] // |x| < 1
	}
	if free(0) && t[1].Text == "in" {
		return &t[0]
	}
	for k := range t {
		left, right := k == 0 || isComparison(t[k-1]), k == len(t)-1 || isComparison(t[k+1])
		if free(k) && left && right {
			if (k == 0 || k == len(t)-1) && !slices.Contains(preference, t[k].Text) && !r.argument(t[k].Text) {
				continue // k > 0 rather says of a number where it lies
			}
			return &t[k]
		}
	}
	return nil
}

// argument reports whether a name stands alone in a bracket behind an unknown, as in y(k), or differentiates one.
func (r *reader) argument(name string) bool {
	return slices.ContainsFunc(r.marks, func(marks []notation.Mark) bool {
		return slices.ContainsFunc(marks, func(m notation.Mark) bool {
			return m.Argument == name ||
				m.Variable == name
		})
	})
}

// variableOfBreak looks for "break x = 0.4" and "at x = 0".
func (r *reader) variableOfBreak() bool {
	for _, st := range r.sheet.Statements {
		if st.at > 0 {
			if t := st.raw.Tokens[st.at+1]; r.heads[t.Text] == nil && !r.names.Unknowns[t.Text] {
				return r.setVariable(t.Text, t.Text+" is the variable, from a condition at a point", st.Span)
			}
		}
		if name, args, ok := head(st); st.Kind == KindBreak && ok && args == nil && r.heads[name] == nil &&
			!r.names.Unknowns[name] {
			return r.setVariable(name, name+" is the variable, from "+r.source(st.Span), st.Span)
		}
	}
	return false
}

// variableLeftOver looks for a usual name of a variable that is used and not declared: first in
// equations and abbreviations, then in exact solutions and guesses, then in reports.
func (r *reader) variableLeftOver() bool {
	numbers := map[string]bool{} // what reports call their numbers
	for _, st := range r.sheet.Statements {
		if name, _, ok := head(st); ok && st.Kind == KindReport {
			numbers[name] = true
		}
	}
	parts := r.wholeParts()
	for pass, words := range []string{"the equations", "the exact solution or the guess", "a report"} {
		var free []string
		var places []notation.Span
		for i, st := range r.sheet.Statements {
			in := 0
			switch st.Kind {
			case KindExact, KindGuess:
				in = 1
			case KindReport:
				in = 2
			}
			if in != pass || pass == 0 && r.looksLikeCondition(i) {
				continue
			}
			for _, t := range st.raw.Tokens[st.from:] {
				if _, quantity := quantities[t.Text]; !isName(t) || r.known(t.Text) || parts[t.Text] ||
					slices.Contains(st.args, t.Text) ||
					numbers[t.Text] || pass == 2 && quantity {
					continue
				}
				name := t.Text
				if !slices.Contains(preference, name) {
					name = r.gluedVariable(name)
				}
				if name != "" {
					free, places = append(free, name), append(places, t.Sp)
				}
			}
		}
		for _, name := range preference {
			if i := slices.Index(free, name); i >= 0 {
				return r.setVariable(name, name+" is the variable: the free symbol of "+words, places[i])
			}
		}
	}
	return false
}

// gluedVariable returns the usual name of a variable that remains when known one-letter names are
// split off a run of letters, as the x of xy; "" if there is none or something else remains.
func (r *reader) gluedVariable(run string) string {
	left := ""
	for _, letter := range run {
		name := string(letter)
		switch {
		case r.known(name):
		case slices.Contains(preference, name) && (left == "" || left == name):
			left = name
		default:
			return ""
		}
	}
	return left
}

// known reports whether a name has a meaning that does not make it the variable.
//
//go:noinline
func (r *reader) known(name string) bool {
	return r.names.Unknowns[name] || r.heads[name] != nil || builtin[name] || notation.IsFunction(name) ||
		leadingWords[name] != "" || name == "in" || name == "near"
}

//
//go:noinline
func isName(t notation.Token) bool   { return t.Kind == notation.NameToken }
func isNumber(t notation.Token) bool { return t.Kind == notation.NumberToken }
func isPrime(t notation.Token) bool  { return t.Kind == notation.PrimeToken }

// afterPrimes returns the place behind the primes that stand at place k.
func afterPrimes(t []notation.Token, k int) int {
	for k < len(t) && isPrime(t[k]) {
		k++
	}
	return k
}

//
//go:noinline
func isComparison(t notation.Token) bool {
	switch t.Text {
	case "<", "<=", ">", ">=":
		return true
	}
	return false
}
