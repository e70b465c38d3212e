package sheet

import (
	"nodespan/expr/notation"
)

// This stage turns tokens into trees and settles the kind of every statement.

func (r *reader) parse() {
	for i, st := range r.sheet.Statements {
		names := r.names
		if len(st.args) > 0 {
			// The arguments of k(T) = … are names within this statement.
			names.Constants = map[string]bool{}
			for name := range r.names.Constants {
				names.Constants[name] = true
			}
			for _, a := range st.args {
				if !names.Unknowns[a] && a != names.Variable {
					names.Constants[a] = true
				}
			}
		}
		rel, err := st.raw.Parse(st.from, &names)
		if err != nil {
			r.take(err, st.Span)
			continue
		}
		st.Relation = rel
		r.classify(i, st)
	}
	if len(r.errs) > 0 {
		return
	}
	for _, st := range r.sheet.Statements {
		if st.Kind == KindEquation {
			return
		}
	}
	r.noEquation()
}

// noEquation explains a sheet without an equation.
func (r *reader) noEquation() {
	at, finished := notation.Span{From: notation.Pos{Line: 1, Column: 1}}, false
	for i, st := range r.sheet.Statements {
		if i == 0 {
			at = st.Span
		}
		switch st.Kind {
		case KindCondition, KindConstant, KindDomain, KindSought, KindAbbreviation:
		default:
			finished = true
		}
	}
	e := r.fault(at, "write one with a derivative, such as y'' + y = 0 or dy/dx = -y", "the sheet has no differential equation")
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
	case st.Kind == KindExact || st.Kind == KindGuess:
		r.classifyFunction(st)
	case st.Kind == KindBreak:
		r.classifyBreak(st)
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
			r.fault(rel.Sides[2].Span(), "give each name its own line", "one name, one value: this is a second one for %s", st.Name)
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
	rel, word := st.Relation, st.raw.Tokens[0].Text
	if st.from == 0 {
		word = map[Kind]string{KindExact: "exact", KindGuess: "guess"}[st.Kind]
	}
	if len(rel.Ops) != 1 || rel.Ops[0] != "=" || rel.Range != nil || rel.Sought {
		r.fault(st.Span, "write "+leadingExamples[st.Kind], "“%s” is followed by one equation for an unknown", word)
		return
	}
	j, ok := rel.Sides[0].(*notation.Jet)
	switch {
	case !ok:
		r.fault(rel.Sides[0].Span(), "the unknowns are "+list(r.order), "%s is not an unknown, so “%s” says nothing", r.source(rel.Sides[0].Span()), word)
	case j.Order > 0 || j.At != nil:
		r.fault(j.Sp, "write "+word+" "+j.Name+" = …", "“%s” gives the unknown itself, not a derivative or a single value", word)
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
		r.fault(st.Span, "write break "+r.sheet.Variable+" = value", "a break point is one value of the variable %s", r.sheet.Variable)
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
		r.fault(rel.Sides[0].Span(), hint, "%s is not the variable (that is %s), so this is not the interval", what, r.sheet.Variable)
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
	case middle < 0:
		r.fault(st.Span, "write it as 0 < "+r.sheet.Variable+" < L", "this inequality does not hold the variable %s", r.sheet.Variable)
	case len(rel.Sides) == 3 && middle != 1:
		r.fault(st.Span, "write it as 0 < "+r.sheet.Variable+" < L", "the variable %s stands in the middle of its interval", r.sheet.Variable)
	default:
		st.Kind = KindDomain
	}
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
	for _, side := range st.Relation.Sides {
		for _, look := range []struct {
			first *notation.Node
			test  func(notation.Node) bool
		}{{&point, pointJet}, {&running, runningJet}, {&slope, derivative}} {
			if *look.first == nil {
				*look.first = find(side, look.test)
			}
		}
	}
	switch {
	case point != nil:
		st.Kind = KindCondition
	case slope != nil:
		st.Kind = KindEquation
	case running != nil:
		name := running.(*notation.Jet).Name
		r.fault(st.Span, "write "+name+"(0) = … for a condition, "+name+"' for a derivative",
			"this line holds %s but neither a derivative nor a point, so it is neither an equation nor a condition", name)
	default:
		r.fault(st.Span, "a constant is written name = value", "this line holds no unknown, so it is neither an equation nor a condition")
	}
}
