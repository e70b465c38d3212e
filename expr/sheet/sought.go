package sheet

import (
	"fmt"
	"slices"
	"strings"

	"nodespan/expr/notation"
)

// Numbers that are found with the solution although the sheet does not write name = ? for them, and a length that is
// sought.

// seekLetter reads the text again with the one letter that has no value as sought, when that is all its fault and makes
// a whole problem: one that is linear and homogeneous, so that the letter stands for its eigenvalues, or one with a
// condition more than its orders take. It returns nil elsewhere.
func seekLetter(text string, o Options, err error) *Sheet {
	name := ""
	faults := notation.Faults(err)
	for _, e := range faults {
		if e.Unknown == "" || name != "" && e.Unknown != name {
			return nil
		}
		name = e.Unknown
	}
	base, _, _ := strings.Cut(strings.TrimRight(name, "0123456789"), "_")
	if len(base) != 1 && !notation.Greek(base) {
		return nil
	}
	s, err := readText(text+"\n"+name+" = ?", o)
	if err != nil || !s.Eigenvalue && s.model.naturals > 0 || s.model.soughtIndex(name) < 0 {
		return nil
	}
	at := faults[0].Span
	for _, st := range s.Statements {
		if st.Kind == KindSought && st.Name == name {
			st.Span = at
		}
	}
	for i := range s.Inferences {
		if s.Inferences[i].Span.From.Offset >= len(text) {
			s.Inferences[i].Span = at
		}
	}
	s.Text = text
	s.Inferences = slices.Insert(s.Inferences, min(3, len(s.Inferences)), Inference{
		Text: fmt.Sprintf("%s has no value, so it is sought: %s = ?", name, name), Span: at})
	return s
}

// stretch maps an interval whose length is sought, as 0 < t < T with T = ?, on one from 0 to 1: t = T s. Derivatives
// are taken by s from there on. It is done before anything is made of the trees, so that the reading shows it.
func (r *reader) stretch() {
	x := r.sheet.Variable
	end := "" // the sought name that points are at
	var points []notation.Node
	for _, st := range r.sheet.Statements {
		if st.Kind == KindDomain {
			points = append(points, st.Relation.Range...)
			for _, side := range st.Relation.Sides {
				if !named(x)(side) {
					points = append(points, side)
				}
			}
			continue
		}
		for _, side := range st.Relation.Sides {
			notation.Walk(side, func(n notation.Node) bool {
				switch n := n.(type) {
				case *notation.Jet:
					if n.At != nil {
						points = append(points, n.At)
					}
				case *notation.Diff:
					if n.At != nil {
						points = append(points, n.At)
					}
				}
				return true
			})
		}
	}
	for _, p := range points {
		if n, ok := p.(*notation.Name); ok && end == "" {
			for _, st := range r.sheet.Statements {
				if st.Kind == KindSought && st.Name == n.Name {
					end = n.Name
				}
			}
		}
	}
	if end == "" {
		return
	}
	var start notation.Node
	for _, p := range points {
		switch {
		case part(p, end) != nil:
		case start == nil || notation.Equal(start, p):
			start = p
		default:
			r.fault(p.Span(), "state conditions at "+end+" and at one other point",
				"%s is sought, so the interval is mapped on one from 0 to 1, and this point has no place known there",
				end)
			return
		}
	}
	if start == nil || notation.Find(start, named(end)) != nil {
		return
	}
	for _, p := range points {
		if !zero(start) && notation.Find(p, named(end)) != nil && !named(end)(p) {
			r.fault(p.Span(), "state conditions at "+end+" and at one other point",
				"%s is sought, so the interval is mapped on one from 0 to 1, and this point has no place known there",
				end)
			return
		}
	}
	r.rescale(x, start, end)
}

// rescale writes the sheet in s, where the variable is start + (end - start) s.
func (r *reader) rescale(x string, start notation.Node, end string) {
	s := ""
	for _, name := range []string{"s", "sigma", "xi", "tau", "zeta"} {
		if name != x && !r.used(name) && s == "" {
			s = name
		}
	}
	if s == "" {
		return
	}
	at := func(sp notation.Span, name string) *notation.Name { return &notation.Name{Sp: sp, Name: name} }
	span := func(sp notation.Span) notation.Node {
		return difference(at(sp, end), start)
	}
	number := func(sp notation.Span, text string, v float64) notation.Node {
		return &notation.Number{Sp: sp, Value: v, Text: text}
	}
	power := func(n notation.Node, order int, op byte) notation.Node { // n times, or over, a power of the length
		sp := n.Span()
		l := span(sp)
		switch {
		case order == 0:
			return n
		case order > 1:
			l = &notation.Binary{Sp: sp, Op: '^', X: l, Y: number(sp, fmt.Sprint(order), float64(order))}
		}
		if m, ok := n.(*notation.Number); ok && m.Value == 1 && op == '*' {
			return l
		}
		return &notation.Binary{Sp: sp, Op: op, X: n, Y: l}
	}
	point := func(p notation.Node) notation.Node {
		switch {
		case p == nil:
			return nil
		case part(p, end) != nil:
			return part(p, end)
		}
		return number(p.Span(), "0", 0)
	}
	var replace func(n notation.Node) notation.Node
	replace = func(n notation.Node) notation.Node {
		switch n := n.(type) {
		case *notation.Jet:
			j := *n
			j.At = point(n.At)
			if j.Order == 0 {
				return &j
			}
			return power(&j, j.Order, '/')
		case *notation.Diff:
			d := &notation.Diff{Sp: n.Sp, Order: n.Order, X: notation.Rebuild(n.X, replace), At: point(n.At)}
			return power(d, n.Order, '/')
		case *notation.Name:
			if n.Name == x {
				var t notation.Node = &notation.Binary{Sp: n.Sp, Op: '*', X: span(n.Sp), Y: at(n.Sp, s)}
				if !zero(start) {
					t = &notation.Binary{Sp: n.Sp, Op: '+', X: start, Y: t}
				}
				return t
			}
		}
		return nil
	}
	// times returns a side with the length to a power as a factor, so that no term is divided by a length that is still
	// unknown: there, equations would not tell of it where the first guess is 0.
	var times func(n notation.Node, m int) notation.Node
	times = func(n notation.Node, m int) notation.Node {
		if m == 0 || zero(n) {
			return notation.Rebuild(n, replace)
		}
		switch n := n.(type) {
		case *notation.Negate:
			return &notation.Negate{Sp: n.Sp, X: times(n.X, m)}
		case *notation.Binary:
			switch {
			case n.Op == '+' || n.Op == '-':
				return &notation.Binary{Sp: n.Sp, Op: n.Op, X: times(n.X, m), Y: times(n.Y, m)}
			case n.Op == '*' && orderOf(n.X) < orderOf(n.Y) && orderOf(n.Y) <= m:
				return &notation.Binary{Sp: n.Sp, Op: n.Op, X: notation.Rebuild(n.X, replace), Y: times(n.Y, m)}
			case n.Op == '*' || n.Op == '/':
				return &notation.Binary{Sp: n.Sp, Op: n.Op, X: times(n.X, m), Y: notation.Rebuild(n.Y, replace)}
			}
		case *notation.Diff:
			if n.Order <= m {
				return &notation.Diff{Sp: n.Sp, Order: n.Order, X: times(n.X, m-n.Order)}
			}
		case *notation.Jet:
			if n.Order > 0 && n.Order <= m {
				j := replace(n)
				if b, ok := j.(*notation.Binary); ok {
					j = b.X // without its divisor
				}
				return power(j, m-n.Order, '*')
			}
		}
		return power(notation.Rebuild(n, replace), m, '*')
	}
	for _, st := range r.sheet.Statements {
		rel := *st.Relation
		if st.Kind == KindDomain {
			sp := st.Span
			rel.Sides = []notation.Node{number(sp, "0", 0), at(sp, s), number(sp, "1", 1)}
			rel.Ops, rel.Range = []string{"<=", "<="}, nil
		} else {
			most := 0
			if st.Kind == KindEquation { // conditions stay divided: a length of 0 meets none of them
				for _, side := range rel.Sides {
					most = max(most, orderOf(side))
				}
			}
			rel.Sides = slices.Clone(rel.Sides)
			for k, side := range rel.Sides {
				rel.Sides[k] = times(side, most)
			}
		}
		st.Relation = &rel
	}
	length := end + " " + s
	if !zero(start) {
		begin := r.source(start.Span())
		length = fmt.Sprintf("%s + (%s - %s) %s", begin, end, begin, s)
	}
	for _, st := range r.sheet.Statements {
		if st.Kind == KindSought && st.Name == end && st.Relation.Near == nil {
			st.Relation.Near = number(st.Span, "1", 1) // of the roots the one with a positive length is meant
			if !zero(start) {
				st.Relation.Near = &notation.Binary{Sp: st.Span, Op: '+', X: start, Y: st.Relation.Near}
			}
		}
	}
	r.note(start.Span(), "%s is sought, so %s is written as %s with %s from 0 to 1, and derivatives are taken by %s",
		end, x, length, s, s)
	r.sheet.Variable, r.names.Variable = s, s
	r.variableFrom = s + " stands for the part of the sought length"
}

// orderOf returns the highest derivative in a formula, those of expressions counted on top.
func orderOf(n notation.Node) int {
	switch n := n.(type) {
	case *notation.Jet:
		return n.Order
	case *notation.Diff:
		return n.Order + orderOf(n.X)
	}
	most := 0
	for _, c := range notation.Children(n) {
		most = max(most, orderOf(c))
	}
	return most
}

// part returns which part of the name's value a point is: 1 for T, 1/2 for T/2; nil where it is no such part.
func part(p notation.Node, name string) notation.Node {
	if named(name)(p) {
		return &notation.Number{Sp: p.Span(), Value: 1, Text: "1"}
	}
	b, ok := p.(*notation.Binary)
	if !ok {
		return nil
	}
	x, y := b.X, b.Y
	if b.Op == '*' && notation.Find(x, named(name)) == nil {
		x, y = y, x
	}
	if inner := part(x, name); inner != nil && (b.Op == '*' || b.Op == '/') && notation.Find(y, named(name)) == nil {
		return &notation.Binary{Sp: p.Span(), Op: b.Op, X: inner, Y: y}
	}
	return nil
}

// used reports whether a name stands anywhere in the sheet.
func (r *reader) used(name string) bool {
	return slices.ContainsFunc(r.sheet.Statements, func(st *Statement) bool { return hasText(st.raw.Tokens, name) })
}
