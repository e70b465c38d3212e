package sheet

import (
	"maps"
	"slices"
	"strings"

	"nodespan/expr/notation"
)

// This stage turns tokens into trees and settles the kind of every statement.

// maxFaults is the number of faults after which the reader gives up: more help nobody.
const maxFaults = 50

func (r *reader) parse() {
	unreadable := 0
	for i, st := range r.sheet.Statements {
		if len(r.errs) >= maxFaults || unreadable >= maxFaults {
			return
		}
		if !r.belongs(st) {
			continue
		}
		names := r.names
		if len(st.args) > 0 {
			// The arguments of k(T) = … are names within this statement.
			names.Constants = maps.Clone(r.names.Constants)
			for _, a := range st.args {
				if !names.Unknowns[a] && a != names.Variable {
					names.Constants[a] = true
				}
			}
		}
		if st.Kind != KindReport && !r.names.Constants["integral"] && !r.names.Unknowns["integral"] {
			names.Quantities = map[string][2]int{"integral": quantities["integral"]}
		}
		if st.Kind == KindReport && !r.namesOfReport(st, &names) {
			continue
		}
		if e := r.unitOrProduct(st); e != nil {
			r.errs = append(r.errs, e)
			continue
		}
		rel, err := r.parseStatement(st, &names)
		if err != nil {
			unreadable++
			r.unreadable(i, st, err)
			continue
		}
		if r.operator {
			for k, side := range rel.Sides {
				rel.Sides[k] = r.operate(side)
			}
		}
		st.Relation = rel
		if r.isWhole(st) && len(rel.Ops) == 1 && rel.Ops[0] == "=" && rel.Range == nil {
			continue
		}
		r.classify(i, st)
	}
	if len(r.errs) > 0 {
		return
	}
	if r.putWholes(); len(r.errs) > 0 {
		return
	}
	for i := len(r.sheet.Statements) - 1; i >= 0; i-- {
		if r.sheet.Statements[i].Kind == kindDropped {
			r.sheet.Statements = slices.Delete(r.sheet.Statements, i, i+1)
			r.marks = slices.Delete(r.marks, i, i+1)
		}
	}
	for _, st := range r.sheet.Statements {
		if st.Kind == KindEquation {
			return
		}
	}
	r.noEquation()
}

// parseStatement reads the tokens of a statement. "T = 20 at x = 0" becomes T(0) = 20.
func (r *reader) parseStatement(st *Statement, names *notation.Names) (*notation.Relation, error) {
	if st.at == 0 {
		return st.raw.Parse(st.from, names)
	}
	if name := st.raw.Tokens[st.at+1]; name.Text != r.sheet.Variable {
		return nil, &notation.Error{
			Span: name.Sp,
			Msg:  "this point is one of " + name.Text + ", but the variable is " + r.sheet.Variable,
			Hint: "write at " + r.sheet.Variable + " = value",
		}
	}
	what, where := st.raw, st.raw
	what.Tokens, where.Tokens = st.raw.Tokens[:st.at], st.raw.Tokens[st.at+1:]
	rel, err := what.Parse(st.from, names)
	if err != nil {
		return nil, err
	}
	place, err := where.Parse(0, names)
	if err != nil {
		return nil, err
	}
	if len(place.Ops) != 1 || place.Range != nil || place.Sought {
		return nil, &notation.Error{Span: place.Sp, Msg: "a point is one value of " + r.sheet.Variable,
			Hint: "write at " + r.sheet.Variable + " = value"}
	}
	if j := notation.Find(place.Sides[1], runningJet); j != nil {
		return nil, &notation.Error{Span: j.Span(), Msg: "the point of a condition must be a number known beforehand",
			Hint: "write at " + r.sheet.Variable + " = value"}
	}
	for i, side := range rel.Sides {
		rel.Sides[i] = r.takenAt(side, place.Sides[1], nil)
	}
	rel.Sp, rel.Remarks = st.Span, append(rel.Remarks, place.Remarks...)
	return rel, nil
}

// belongs checks what a statement is about before its formulas are read: an exact solution or a
// guess of an unknown, a break or an interval of the variable.
func (r *reader) belongs(st *Statement) bool {
	x := r.sheet.Variable
	name, _, ok := head(st)
	switch st.Kind {
	case KindExact, KindGuess:
		if ok && !r.names.Unknowns[name] {
			r.fault(st.raw.Tokens[st.from].Sp, "write it for "+list(r.order), "%s is not an unknown, so it has no %s",
				name, st.Kind)
			return false
		}
	case KindBreak:
		if ok && name != x {
			r.fault(st.raw.Tokens[st.from].Sp, "write break "+x+" = value",
				"a break point is a value of the variable %s, not of %s", x, name)
			return false
		}
	case "":
		if t := r.intervalName(st); t != nil && t.Text != x && !r.names.Unknowns[t.Text] {
			r.fault(t.Sp, "write the interval of "+x, "this interval is one of %s, but the variable is %s", t.Text, x)
			return false
		}
	}
	return true
}

// unreadable records a fault of a formula, in the words that fit what the whole sheet says.
func (r *reader) unreadable(i int, st *Statement, err error) {
	e, ok := err.(*notation.Error)
	if !ok {
		r.take(err, st.Span)
		return
	}
	name := r.source(e.Span)
	tokens := st.raw.Tokens
	for k, t := range tokens {
		if t.Sp != e.Span || !isName(t) || r.known(t.Text) || t.Text == r.sheet.Variable {
			continue
		}
		if words := r.words(tokens[k:]); words > 1 {
			sp := join(t.Sp, tokens[k+words-1].Sp)
			r.fault(sp, "leave the words out, or start a comment with #", "“%s” is not read as mathematics",
				r.source(sp))
			return
		}
		switch {
		case quantities[t.Text] != [2]int{} && k+1 < len(tokens) && tokens[k+1].Text == "(":
			r.fault(t.Sp, "ask for it with report name = "+t.Text+"(…)", "“%s” is taken from the solution, so it "+
				"cannot be part of the problem", t.Text)
			return
		case len(tokens) == 1 && i == len(r.sheet.Statements)-1:
			// The name of a constant that is being typed.
			for _, other := range r.errs {
				other.Incomplete = other.Incomplete || e.SameName(other)
			}
			e.Incomplete = true
		case k+2 < len(tokens) && tokens[k+1].Text == "(" && !tokens[k+1].Space && st.Kind == "" &&
			(isNumber(tokens[k+2]) || tokens[k+2].Text == "-" || builtin[tokens[k+2].Text] ||
				r.heads[tokens[k+2].Text] != nil):
			r.notUnknown(t.Sp, name)
			return
		}
	}
	for _, other := range r.errs {
		if e.SameName(other) {
			return
		}
	}
	// A name that the sheet declares was probably meant: then it is a slip, and no more is to come.
	slip := r.heads[e.Meant] != nil || r.names.Unknowns[e.Meant]
	if e.Unknown != "" && !slip && (r.unfinished() || strings.TrimSpace(r.text[e.Span.To:]) == "") {
		e.Incomplete = true
	}
	r.errs = append(r.errs, e)
}

// unfinished reports whether a name without a value may still get one: conditions are missing,
// or the last statement declares a constant, so that others may follow.
func (r *reader) unfinished() bool {
	last := r.sheet.Statements[len(r.sheet.Statements)-1]
	if last.Name != "" && r.heads[last.Name] == last {
		return true
	}
	conditions, orders := 0, map[string]int{}
	for i, st := range r.sheet.Statements {
		if st.Kind != "" && st.Kind != KindEquation && st.Kind != KindCondition {
			continue
		}
		if r.looksLikeCondition(i) {
			for _, t := range st.raw.Tokens {
				if t.Text == "=" {
					conditions++
				}
			}
			if st.at > 0 {
				conditions--
			}
			continue
		}
		for _, m := range r.marks[i] {
			orders[m.Unknown] = max(orders[m.Unknown], m.Order)
		}
	}
	order := 0
	for _, m := range orders {
		order += m
	}
	return conditions < order
}

// words counts the words of prose that the tokens start with: runs of letters that mean nothing.
func (r *reader) words(tokens []notation.Token) int {
	for k, t := range tokens {
		if !isName(t) || len(t.Text) < 2 && t.Text != "a" || r.known(t.Text) || k > 0 && !t.Space ||
			strings.ContainsAny(t.Text, "_0123456789") {
			return k
		}
	}
	return len(tokens)
}

// noEquation explains a sheet without an equation. A sheet that holds only what may stand beside
// an equation still to come is unfinished.
func (r *reader) noEquation() {
	at, finished := notation.Span{From: notation.Pos{Line: 1, Column: 1}}, false
	for i, st := range r.sheet.Statements {
		if i == 0 {
			at = st.Span
		}
		t := st.raw.Tokens
		_, _, declares := head(st)
		last := i == len(r.sheet.Statements)-1 && !hasText(t, "=")
		condition := len(t) > 2 && isName(t[0]) && t[1].Text == "("
		if !declares && !last && !condition && r.intervalName(st) == nil && t[0].Text != "[" ||
			st.Kind != "" && st.Kind != KindConstant {
			finished = true
		}
	}
	for _, st := range r.sheet.Statements {
		if st.Relation == nil || st.Kind != KindCondition {
			continue
		}
		for _, side := range st.Relation.Sides {
			if outside(side, derivative) != nil {
				r.fault(st.Span, "put a comma or a new line between them",
					"an equation and a condition seem to stand here in one statement")
				return
			}
		}
	}
	e := r.fault(at, "write one with a derivative, such as y'' + y = 0 or dy/dx = -y",
		"the sheet has no differential equation")
	e.Incomplete = !finished
}

// classify settles the kind of a statement from its tree.
func (r *reader) classify(i int, st *Statement) {
	rel := st.Relation
	inequality := false
	for _, op := range rel.Ops {
		inequality = inequality || op != "="
	}
	switch {
	case st.Kind == KindRegular:
	case st.Kind == KindExact || st.Kind == KindGuess:
		r.classifyFunction(st)
	case st.Kind == KindBreak:
		r.classifyBreak(st)
	case st.Kind == KindReport:
		r.classifyReport(st)
	case rel.Sought:
		r.classifySought(st)
	case rel.Range != nil && len(rel.Sides) < 2:
		r.classifyInterval(st)
	case inequality:
		r.classifyChain(st)
	case len(rel.Ops) == 0:
		r.classifyLone(i, st)
	case r.heads[st.Name] == st:
		// Constant or abbreviation: declare tells them apart.
		if st.Name == r.sheet.Variable {
			r.fault(st.Span, "write y(…) = … for a condition at a point, break "+st.Name+" = … for a jump",
				"%s is the variable, so it cannot be given a value", st.Name)
			return
		}
		if len(rel.Ops) > 1 {
			r.fault(rel.Sides[2].Span(), "give each name its own line",
				"one name, one value: this is a second one for %s", st.Name)
			return
		}
		st.Kind = KindConstant
	case rel.Range != nil:
		r.fault(st.Span, "", "only a constant has a range, as in Bi = 2.5 in [0.1, 10]")
	default:
		r.classifyEquality(st)
	}
}

// classifyFunction checks "exact y = …" and "guess y = …".
func (r *reader) classifyFunction(st *Statement) {
	rel, word := st.Relation, map[Kind]string{KindExact: "exact", KindGuess: "guess"}[st.Kind]
	if len(rel.Ops) != 1 || rel.Ops[0] != "=" || rel.Range != nil || rel.Sought {
		e := r.fault(st.Span, "write "+leadingExamples[st.Kind], "“%s” is followed by one equation for an unknown",
			word)
		e.Incomplete = len(rel.Ops) == 0 && r.atEnd(st.Span)
		return
	}
	j, ok := rel.Sides[0].(*notation.Jet)
	switch {
	case !ok:
		r.fault(rel.Sides[0].Span(), "the unknowns are "+list(r.order), "%s is not an unknown, so “%s” says nothing",
			r.source(rel.Sides[0].Span()), word)
	case j.Order > 0 || j.At != nil:
		r.fault(j.Sp, "write "+word+" "+j.Name+" = …", "“%s” gives the unknown itself, not a derivative or a "+
			"single value", word)
	default:
		st.Name = j.Name
	}
}

// classifyBreak checks "break x = 0.4".
func (r *reader) classifyBreak(st *Statement) {
	rel := st.Relation
	if st.from == 0 && len(rel.Ops) == 0 && rel.Range == nil && len(rel.Sides) == 1 {
		return // the 0.7 of "break x = 0.4, 0.7"
	}
	if len(rel.Ops) != 1 || rel.Ops[0] != "=" || rel.Range != nil || !named(r.sheet.Variable)(rel.Sides[0]) {
		e := r.fault(st.Span, "write break "+r.sheet.Variable+" = value",
			"a break point is one value of the variable %s", r.sheet.Variable)
		e.Incomplete = len(rel.Ops) == 0 && r.atEnd(st.Span) && named(r.sheet.Variable)(rel.Sides[0])
	}
}

// classifySought checks "lambda = ?".
func (r *reader) classifySought(st *Statement) {
	if r.heads[st.Name] != st || st.args != nil {
		r.fault(st.Span, "write name = ?", "only a name alone can be sought")
		return
	}
	if st.Name == r.sheet.Variable {
		r.fault(st.Span, "", "%s is the variable, so it cannot be sought", st.Name)
		return
	}
	st.Kind = KindSought
}

// classifyInterval checks "x in [a, b]" and "[a, b]".
func (r *reader) classifyInterval(st *Statement) {
	rel := st.Relation
	if len(rel.Ops) > 0 {
		r.fault(st.Span, "", "this interval belongs to nothing")
		return
	}
	if len(rel.Sides) == 1 && !named(r.sheet.Variable)(rel.Sides[0]) {
		what := r.source(rel.Sides[0].Span())
		hint := "write " + r.sheet.Variable + " in […]"
		if n, ok := rel.Sides[0].(*notation.Name); ok && r.heads[n.Name] != nil {
			hint = "for a range, write " + what + " = value in […]"
		}
		r.fault(rel.Sides[0].Span(), hint, "%s is not the variable (that is %s), so this is not the interval", what,
			r.sheet.Variable)
		return
	}
	st.Kind = KindDomain
}

// classifyChain checks "0 < x < L" and brings it to one form.
func (r *reader) classifyChain(st *Statement) {
	rel := st.Relation
	isVariable := named(r.sheet.Variable)
	up, down := 0, 0
	for _, op := range rel.Ops {
		switch op[0] {
		case '<':
			up++
		case '>':
			down++
		}
	}
	middle := -1
	for k, side := range rel.Sides {
		if isVariable(side) {
			middle = k
		}
	}
	switch {
	case rel.Range != nil || up+down != len(rel.Ops) || up > 0 && down > 0 || len(rel.Sides) > 3:
		r.fault(st.Span, "write it as 0 < "+r.sheet.Variable+" < L", "this is neither an interval nor an equation")
	case middle < 0 && r.absolute(rel) != nil:
		// |x| < a is -a < x < a
		x, a := r.absolute(rel), rel.Sides[1]
		if rel.Ops[0][0] == '>' {
			a = rel.Sides[0]
		}
		op := "<" + rel.Ops[0][1:]
		rel.Sides, rel.Ops = []notation.Node{&notation.Negate{Sp: a.Span(), X: a}, x, a}, []string{op, op}
		st.Kind = KindDomain
	case middle < 0 && r.assumption(rel):
		st.Kind = kindDropped
		r.note(st.Span, "%s is taken as a remark", r.source(st.Span))
	case middle < 0:
		r.fault(st.Span, "write it as 0 < "+r.sheet.Variable+" < L", "this inequality does not hold the variable %s",
			r.sheet.Variable)
	case len(rel.Sides) == 3 && middle != 1:
		r.fault(st.Span, "write it as 0 < "+r.sheet.Variable+" < L",
			"the variable %s stands in the middle of its interval", r.sheet.Variable)
	default:
		st.Kind = KindDomain
	}
}

// kindDropped is the kind of a statement that says nothing of the problem.
const kindDropped Kind = "remark"

// assumption reports whether an inequality says of a sought number where it lies, as k > 0: its eigenvalues are listed
// anyway.
func (r *reader) assumption(rel *notation.Relation) bool {
	return len(rel.Sides) == 2 && slices.ContainsFunc(r.sheet.Statements, func(st *Statement) bool {
		return hasText(st.raw.Tokens, "?") && st.Name != "" && (named(st.Name)(rel.Sides[0]) && zero(rel.Sides[1]) ||
			named(st.Name)(rel.Sides[1]) && zero(rel.Sides[0]))
	})
}

// absolute returns the variable of |x| < a, nil where the statement is none.
func (r *reader) absolute(rel *notation.Relation) notation.Node {
	if len(rel.Sides) != 2 {
		return nil
	}
	side := rel.Sides[0]
	if rel.Ops[0][0] == '>' {
		side = rel.Sides[1]
	}
	if c, ok := side.(*notation.Call); ok && c.Func == "abs" && named(r.sheet.Variable)(c.Args[0]) {
		return c.Args[0]
	}
	return nil
}

// classifyLone explains a statement without an equals sign.
func (r *reader) classifyLone(i int, st *Statement) {
	what := r.source(st.Span)
	e := r.fault(st.Span, "", "“%s” has no equals sign, so it says nothing", what)
	e.Incomplete = i == len(r.sheet.Statements)-1
	switch n := st.Relation.Sides[0].(type) {
	case *notation.Jet:
		if n.At != nil {
			e.Hint = "write " + what + " = … for a condition"
		}
	case *notation.Name:
		e.Hint = "write " + what + " = … for a constant"
	}
	if e.Hint == "" && len(r.marks[i]) > 0 {
		e.Hint = "write … = 0 for an equation"
	}
}

// classifyEquality tells equations from conditions.
func (r *reader) classifyEquality(st *Statement) {
	var point, running, slope notation.Node
	whole := false // there is an integral
	for _, side := range st.Relation.Sides {
		for _, look := range []struct {
			first *notation.Node
			test  func(notation.Node) bool
		}{{&point, pointJet}, {&running, runningJet}, {&slope, derivative}} {
			if *look.first == nil {
				*look.first = outside(side, look.test)
			}
		}
		whole = whole || notation.Find(side, isIntegral) != nil
	}
	switch {
	case point != nil:
		st.Kind = KindCondition
	case slope != nil:
		if r.productWithPoint(st) {
			st.Kind = KindCondition
			return
		}
		st.Kind = KindEquation
	case r.isAlgebraic(st) && running != nil:
		st.Kind = KindEquation
	case whole && running == nil:
		st.Kind = KindCondition
	case running != nil:
		name := running.(*notation.Jet).Name
		r.fault(st.Span, "write "+name+"(0) = … for a condition, "+name+"' for a derivative",
			"this line holds %s but neither a derivative nor a point, so it is neither an equation nor a condition",
			name)
	default:
		r.fault(st.Span, "a constant is written name = value", "this line holds no unknown, so it is neither an "+
			"equation nor a condition")
	}
}

// productWithPoint reads a bracket with a derivative that is followed, closed up, by a number or a name in brackets, as
// in (k T')(0): a product to the grammar, a value at a point to its author.
func (r *reader) productWithPoint(st *Statement) (found bool) {
	for k, side := range st.Relation.Sides {
		st.Relation.Sides[k] = notation.Rebuild(side, func(n notation.Node) notation.Node {
			p, ok := n.(*notation.Binary)
			if !ok || p.Op != '*' {
				return nil
			}
			between := r.text[min(p.X.Span().To, p.Y.Span().From.Offset):p.Y.Span().From.Offset]
			_, number := p.Y.(*notation.Number)
			_, name := p.Y.(*notation.Name)
			if !number && !name || notation.Find(p.X, derivative) == nil || strings.TrimLeft(between, ")") != "(" {
				return nil
			}
			found = true
			r.note(p.Sp, "%s is read as the value of the bracket at %s = %s", r.source(p.Sp), r.sheet.Variable,
				r.source(p.Y.Span()))
			return r.takenAt(p.X, p.Y, nil)
		})
	}
	return found
}
