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
	if len(base) != 1 && !notation.Greek(base) && !notation.Greek(shortened[base]) {
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

// shortened are short ways to write a Greek letter.
var shortened = map[string]string{"lam": "lambda", "lmb": "lambda", "lmbda": "lambda", "sig": "sigma", "ome": "omega",
	"bet": "beta", "alp": "alpha", "gam": "gamma"}

// stretch maps an interval whose length is sought, as 0 < t < T with T = ?, on one from 0 to 1: t = T s. Derivatives
// are taken by s from there on. It is done before anything is made of the trees, so that the reading shows it.
func (r *reader) stretch() {
	points := r.statedPoints()
	end := r.soughtAmong(points)
	if end == "" {
		return
	}
	unplaced := func(p notation.Node) {
		r.fault(p.Span(), "state conditions at "+end+" and at one other point",
			"%s is sought, so the interval is mapped on one from 0 to 1, and this point has no place known there", end)
	}
	var start notation.Node
	for _, p := range points {
		switch {
		case part(p, end) != nil:
		case start == nil || notation.Equal(start, p):
			start = p
		default:
			unplaced(p)
			return
		}
	}
	if start == nil || notation.Find(start, named(end)) != nil {
		return
	}
	for _, p := range points {
		if !zero(start) && notation.Find(p, named(end)) != nil && !named(end)(p) {
			unplaced(p)
			return
		}
	}
	r.rescale(start, end)
}

// statedPoints lists the points that the domain names, and those at which formulas take a value.
func (r *reader) statedPoints() (points []notation.Node) {
	for _, st := range r.sheet.Statements {
		if st.Kind == KindDomain {
			points = append(points, st.Relation.Range...)
		}
		for _, side := range st.Relation.Sides {
			switch {
			case st.Kind != KindDomain:
				points = append(points, pointsIn(side)...)
			case !named(r.sheet.Variable)(side):
				points = append(points, side)
			}
		}
	}
	return points
}

// pointsIn lists the points at which a formula takes a value.
func pointsIn(side notation.Node) (points []notation.Node) {
	add := func(at notation.Node) {
		if at != nil {
			points = append(points, at)
		}
	}
	notation.Walk(side, func(n notation.Node) bool {
		switch n := n.(type) {
		case *notation.Jet:
			add(n.At)
		case *notation.Diff:
			add(n.At)
		}
		return true
	})
	return points
}

// soughtAmong returns the first of the points that is a sought number's name, "" where there is none.
func (r *reader) soughtAmong(points []notation.Node) string {
	for _, p := range points {
		n, ok := p.(*notation.Name)
		if ok && slices.ContainsFunc(r.sheet.Statements, func(st *Statement) bool {
			return st.Kind == KindSought && st.Name == n.Name
		}) {
			return n.Name
		}
	}
	return ""
}

// rescaling writes trees in s, where the variable is start + (end - start) s.
type rescaling struct {
	variable, s string
	start       notation.Node
	end         string // the name of a sought number
}

// rescale writes the sheet in s, where the variable is start + (end - start) s.
func (r *reader) rescale(start notation.Node, end string) {
	free := slices.DeleteFunc([]string{"s", "sigma", "xi", "tau", "zeta"}, func(name string) bool {
		return name == r.sheet.Variable || r.used(name)
	})
	if len(free) == 0 {
		return
	}
	c := rescaling{variable: r.sheet.Variable, s: free[0], start: start, end: end}
	for _, st := range r.sheet.Statements {
		st.Relation = c.relation(st)
		if st.Kind == KindSought && st.Name == end && st.Relation.Near == nil {
			st.Relation.Near = numeral(st.Span, 1) // of the roots the one with a positive length is meant
			if !zero(start) {
				st.Relation.Near = &notation.Binary{Sp: st.Span, Op: '+', X: start, Y: st.Relation.Near}
			}
		}
	}
	substitute := end + " " + c.s
	if !zero(start) {
		begin := r.source(start.Span())
		substitute = fmt.Sprintf("%s + (%s - %s) %s", begin, end, begin, c.s)
	}
	r.note(start.Span(), "%s is sought, so %s is written as %s with %s from 0 to 1, and derivatives are taken by %s",
		end, c.variable, substitute, c.s, c.s)
	r.sheet.Variable, r.names.Variable = c.s, c.s
	r.variableFrom = c.s + " stands for the part of the sought length"
}

//go:noinline
func numeral(sp notation.Span, v int) notation.Node {
	return &notation.Number{Sp: sp, Value: float64(v), Text: fmt.Sprint(v)}
}

// relation returns a statement's relation in s.
func (c *rescaling) relation(st *Statement) *notation.Relation {
	rel := *st.Relation
	if st.Kind == KindDomain {
		sp := st.Span
		rel.Sides = []notation.Node{numeral(sp, 0), &notation.Name{Sp: sp, Name: c.s}, numeral(sp, 1)}
		rel.Ops, rel.Range = []string{"<=", "<="}, nil
		return &rel
	}
	most := 0
	if st.Kind == KindEquation { // conditions stay divided: a length of 0 meets none of them
		for _, side := range rel.Sides {
			most = max(most, orderOf(side))
		}
	}
	rel.Sides = slices.Clone(rel.Sides)
	for k, side := range rel.Sides {
		rel.Sides[k] = c.times(side, most)
	}
	return &rel
}

// length returns end - start.
func (c *rescaling) length(sp notation.Span) notation.Node {
	return difference(&notation.Name{Sp: sp, Name: c.end}, c.start)
}

// power returns n times, or over, a power of the length.
func (c *rescaling) power(n notation.Node, order int, op byte) notation.Node {
	sp := n.Span()
	l := c.length(sp)
	switch {
	case order == 0:
		return n
	case order > 1:
		l = &notation.Binary{Sp: sp, Op: '^', X: l, Y: numeral(sp, order)}
	}
	if m, ok := n.(*notation.Number); ok && m.Value == 1 && op == '*' {
		return l
	}
	return &notation.Binary{Sp: sp, Op: op, X: n, Y: l}
}

// point returns where a point lies between 0 and 1.
func (c *rescaling) point(p notation.Node) notation.Node {
	if p == nil {
		return nil
	}
	if s := part(p, c.end); s != nil {
		return s
	}
	return numeral(p.Span(), 0)
}

// replace returns what stands for a node in s; nil where its parts are to be looked at.
func (c *rescaling) replace(n notation.Node) notation.Node {
	switch n := n.(type) {
	case *notation.Jet:
		j := *n
		j.At = c.point(n.At)
		return c.power(&j, j.Order, '/')
	case *notation.Diff:
		d := &notation.Diff{Sp: n.Sp, Order: n.Order, X: c.in(n.X), At: c.point(n.At)}
		return c.power(d, n.Order, '/')
	case *notation.Name:
		if n.Name == c.variable {
			var t notation.Node = &notation.Binary{Sp: n.Sp, Op: '*', X: c.length(n.Sp),
				Y: &notation.Name{Sp: n.Sp, Name: c.s}}
			if !zero(c.start) {
				t = &notation.Binary{Sp: n.Sp, Op: '+', X: c.start, Y: t}
			}
			return t
		}
	}
	return nil
}

// in returns a tree in s.
//
//go:noinline
func (c *rescaling) in(n notation.Node) notation.Node { return notation.Rebuild(n, c.replace) }

// times returns a side in s with the length to the power m as a factor, so that no term is divided by a length that is
// still unknown: there, equations would not tell of it where the first guess is 0.
func (c *rescaling) times(n notation.Node, m int) notation.Node {
	if m == 0 || zero(n) {
		return c.in(n)
	}
	switch n := n.(type) {
	case *notation.Negate:
		return &notation.Negate{Sp: n.Sp, X: c.times(n.X, m)}
	case *notation.Binary:
		switch {
		case n.Op == '+' || n.Op == '-':
			return &notation.Binary{Sp: n.Sp, Op: n.Op, X: c.times(n.X, m), Y: c.times(n.Y, m)}
		case n.Op == '*' && orderOf(n.X) < orderOf(n.Y) && orderOf(n.Y) <= m:
			return &notation.Binary{Sp: n.Sp, Op: n.Op, X: c.in(n.X), Y: c.times(n.Y, m)}
		case n.Op == '*' || n.Op == '/':
			return &notation.Binary{Sp: n.Sp, Op: n.Op, X: c.times(n.X, m), Y: c.in(n.Y)}
		}
	case *notation.Diff:
		if n.Order <= m {
			return &notation.Diff{Sp: n.Sp, Order: n.Order, X: c.times(n.X, m-n.Order)}
		}
	case *notation.Jet:
		if n.Order > 0 && n.Order <= m {
			j := c.replace(n)
			if b, ok := j.(*notation.Binary); ok {
				j = b.X // without its divisor
			}
			return c.power(j, m-n.Order, '*')
		}
	}
	return c.power(c.in(n), m, '*')
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
