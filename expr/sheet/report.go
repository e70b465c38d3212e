package sheet

import (
	"fmt"
	"maps"
	"math"
	"strconv"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/solver/bvp"
)

// quantities are the functions of a report, with the least and the largest number of their arguments. f is a formula of
// the unknowns, their derivatives and the variable; without ends it is taken over the whole interval.
//
//	integral(f)      integral(f, a, b)
//	mean(f)          mean(f, weight)    mean(f, a, b)    mean(f, weight, a, b)
//	largest(f)       largest(f, a, b)   the largest value
//	largest_at(f)    largest_at(f, a, b)   the place of it
//	smallest, smallest_at                  the same
//	zero(f)          zero(f, n)         the first, or the n-th, place where f changes its sign
//
// A mean is the integral of weight times f over that of the weight: with r or r^2 the mean over a cylinder or a sphere.
var quantities = map[string][2]int{
	"integral": {1, 3}, "mean": {1, 4}, "largest": {1, 3}, "largest_at": {1, 3}, "smallest": {1, 3},
	"smallest_at": {1, 3}, "zero": {1, 2},
}

// Asked is a number that the sheet asks of its solution, ready to be worked out: its formula with each part that is
// taken from a solution (the value at a point, an integral) replaced by a name that no sheet can write, and these
// parts, each after those that it needs.
type Asked struct {
	// Name is what the sheet calls the number; the text of the formula where it gives no name.
	Name string
	// Left is what stands left of the value when it is typeset: the name, or the formula where the sheet gives no name.
	Left    notation.Node
	Span    notation.Span
	Formula notation.Node
	Parts   []Part
}

// Part is a number that is taken from a solution.
type Part struct {
	// What is one of the functions of reports; "" for the value of an unknown at a point.
	What string
	// Text is how the sheet writes it.
	Text string
	// Of a value: the unknown, which derivative, and where.
	Unknown, Order int
	At             float64
	// Of a function: the formula, and the weight of a mean (nil: 1).
	F, Weight notation.Node
	A, B      float64 // NaN: the whole interval
	Nth       int     // of the places of zero(f, n)
}

// PartIndex returns which part a node of a formula stands for, -1 for none.
func PartIndex(n notation.Node) int {
	if m, ok := n.(*notation.Name); ok {
		if number, ok := strings.CutPrefix(m.Name, "@"); ok {
			if k, err := strconv.Atoi(number); err == nil {
				return k
			}
		}
	}
	return -1
}

// held names part k in a tree.
func held(k int) notation.Node { return &notation.Name{Name: fmt.Sprint("@", k)} }

// namesOfReport adds what a formula of a report may hold: the functions of reports, the numbers of earlier reports, and
// its own name, which stands left of its equals sign. It checks that name.
func (r *reader) namesOfReport(st *Statement, names *notation.Names) bool {
	names.Constants, names.Quantities = maps.Clone(names.Constants), maps.Clone(quantities)
	for name := range quantities { // what the sheet declares means what the sheet says
		if r.names.Unknowns[name] || r.heads[name] != nil {
			delete(names.Quantities, name)
		}
	}
	for _, earlier := range r.sheet.Statements {
		if earlier == st {
			break
		}
		if earlier.Kind == KindReport && earlier.Name != "" {
			names.Constants[earlier.Name] = true
		}
	}
	name, args, ok := head(st)
	if !ok {
		return true
	}
	at := st.raw.Tokens[st.from].Sp
	switch {
	case args != nil:
		r.fault(st.Span, "write "+leadingExamples[KindReport], "a report is one number, not a function")
	case r.names.Unknowns[name]:
		r.fault(at, "give the number another name", "%s is an unknown, so no number can be called so", name)
	case name == r.sheet.Variable:
		r.fault(at, "give the number another name", "%s is the variable, so no number can be called so", name)
	case r.heads[name] != nil:
		r.fault(at, "give the number another name", "%s has a meaning already, from line %d", name,
			line(r.heads[name].Span))
	case name == "inf" || name == "pi":
		r.fault(at, "give the number another name", "%s has a meaning already", name)
	case r.reported(st, name):
		r.fault(at, "give the number another name", "%s is reported a second time", name)
	default:
		st.Name = name
		names.Constants[name] = true
		return true
	}
	return false
}

// reported reports whether a report before st has the name.
func (r *reader) reported(st *Statement, name string) bool {
	for _, earlier := range r.sheet.Statements {
		if earlier == st {
			return false
		}
		if earlier.Kind == KindReport && earlier.Name == name {
			return true
		}
	}
	return false
}

// classifyReport checks the form of a report.
func (r *reader) classifyReport(st *Statement) {
	rel := st.Relation
	switch {
	case rel.Sought || rel.Range != nil || len(rel.Ops) > 1 || len(rel.Ops) == 1 &&
		(rel.Ops[0] != "=" || st.Name == ""):
		r.fault(st.Span, "write "+leadingExamples[KindReport], "“report” is followed by a name, an equals sign and "+
			"one formula")
	}
}

// report makes the reports.
func (r *reader) report() {
	earlier := map[string]notation.Node{}
	for _, st := range r.sheet.Statements {
		if st.Kind != KindReport {
			continue
		}
		sides := st.Relation.Sides
		body := sides[len(sides)-1]
		if again := notation.Find(body, named(st.Name)); again != nil && st.Name != "" {
			r.fault(again.Span(), "", "%s depends on itself", st.Name)
			continue
		}
		body = notation.Rebuild(body, func(n notation.Node) notation.Node {
			if m, ok := n.(*notation.Name); ok {
				return earlier[m.Name]
			}
			return nil
		})
		if size(body) > maxSize {
			r.fault(st.Span, "shorten the reports", "this formula grows too long when the reports before it are put in")
			continue
		}
		if st.Name != "" {
			earlier[st.Name] = body
		}
		faults := len(r.errs)
		body = r.expand(r.inline(body))
		if len(r.errs) > faults {
			continue
		}
		q := &Asked{Name: st.Name, Left: sides[0], Span: st.Span}
		if q.Name == "" {
			q.Name = r.source(sides[0].Span())
		}
		if body = r.settleReport(st, body); body != nil {
			q.Formula = r.extract(q, body)
		}
		if len(r.errs) > faults {
			continue
		}
		r.finishReport(q)
		if len(r.errs) > faults {
			continue
		}
		r.model.reports = append(r.model.reports, q)
	}
}

// isQuantity reports whether a node is a function of reports. Inside it the unknowns run.
func (r *reader) isQuantity(n notation.Node) bool {
	c, ok := n.(*notation.Call)
	return ok && r.model.declarations[c.Func] == nil && quantities[c.Func] != [2]int{}
}

// settleReport gives what runs outside integrals and the like the point of the report, as [reader.settle] does for
// conditions: the k of -k T'(0). It returns nil where there is no such point.
func (r *reader) settleReport(st *Statement, body notation.Node) notation.Node {
	isVariable := named(r.sheet.Variable)
	runs := func(n notation.Node) bool { return runningJet(n) || isVariable(n) }
	loose := notation.FindOutside(body, runs, r.isQuantity)
	if loose == nil {
		return body
	}
	what := r.sheet.Variable
	if j := notation.FindOutside(body, runningJet, r.isQuantity); j != nil {
		loose = j
	}
	if j, ok := loose.(*notation.Jet); ok {
		what = bvp.Derivative(j.Name, j.Order)
	}
	at, several := points(body, r.isQuantity)
	switch {
	case at == nil && what == r.sheet.Variable:
		r.fault(loose.Span(), "write the point's value, or integral(…), mean(…), largest(…)",
			"the variable %s has no value in a report", what)
		return nil
	case at == nil:
		r.fault(loose.Span(), "write "+what+"(…) with its point, or integral("+what+"), mean("+what+"), largest("+what+
			")",
			"%s has many values, and a report is one number", what)
		return nil
	case several:
		r.fault(st.Span, "give each coefficient its point, as in k(0)", "%s changes along the interval, and the "+
			"report has more than one point", what)
		return nil
	}
	r.note(st.Span, "what changes with %s in this report is taken at %s = %s", r.sheet.Variable, r.sheet.Variable,
		r.source(at.Span()))
	return r.takenAt(body, at, r.isQuantity)
}

// extract replaces the parts of a formula by names, those inside first.
//
//go:noinline
func (r *reader) extract(q *Asked, n notation.Node) notation.Node {
	return notation.Rebuild(n, func(n notation.Node) notation.Node {
		if len(r.errs) > 0 {
			return n
		}
		i := Part{Text: r.source(n.Span()), A: math.NaN(), B: math.NaN(), Nth: 1}
		switch n := n.(type) {
		case *notation.Jet:
			if n.At == nil {
				return nil
			}
			if !r.valueAt(&i, n) {
				return n
			}
		case *notation.Call:
			if !r.isQuantity(n) {
				return nil
			}
			if !r.quantity(q, &i, n) {
				return n
			}
		default:
			return nil
		}
		q.Parts = append(q.Parts, i)
		return held(len(q.Parts) - 1)
	})
}

// valueAt reads the value of an unknown at a point.
func (r *reader) valueAt(i *Part, j *notation.Jet) bool {
	i.Unknown, i.Order = r.unknown(j.Name), j.Order
	if !r.orderOf(j) {
		return false
	}
	at, ok := r.placeOf(j.At, "the point")
	i.At = at
	return ok
}

// orderOf checks that a solution has the derivative.
func (r *reader) orderOf(j *notation.Jet) bool {
	u := r.sheet.Unknowns[r.unknown(j.Name)]
	if j.Order > u.Order {
		r.fault(j.Sp, "", "a solution has the derivatives of %s up to %s, and this is %s", j.Name,
			bvp.Derivative(j.Name, u.Order), bvp.Derivative(j.Name, j.Order))
		return false
	}
	return true
}

// placeOf evaluates a place on the interval. One that is beside an end by rounding alone is moved onto it.
func (r *reader) placeOf(n notation.Node, what string) (float64, bool) {
	if m := notation.Find(n, func(n notation.Node) bool { return r.isMoving(n) || r.isQuantity(n) }); m != nil {
		r.fault(n.Span(), "", "%s must be a number known beforehand", what)
		return 0, false
	}
	v, e := r.model.base.values.point(n)
	if e != nil {
		r.errs = append(r.errs, e)
		return 0, false
	}
	a, b := r.sheet.A, r.sheet.B
	v = ontoEnd(v, a, b)
	if v < a || v > b {
		r.fault(n.Span(), "", "%s = %s is outside the interval from %s to %s", r.sheet.Variable, number(v), number(a),
			number(b))
		return 0, false
	}
	return v, true
}

// quantity reads an integral, a mean, an extreme or a crossing.
func (r *reader) quantity(q *Asked, i *Part, c *notation.Call) bool {
	i.What = c.Func
	args := c.Args
	i.F = r.extract(q, args[0])
	args = args[1:]
	switch {
	case i.What == "zero" && len(args) == 1:
		changes := func(n notation.Node) bool { return r.isMoving(n) || r.isQuantity(n) }
		if m := notation.Find(args[0], changes); m != nil {
			r.fault(args[0].Span(), "write zero(f, 2) for the second place",
				"the count of a crossing must be a whole number known beforehand")
			return false
		}
		v, e := r.model.base.values.number(args[0])
		if e != nil {
			r.errs = append(r.errs, e)
			return false
		}
		if v != math.Trunc(v) || v < 1 || v > 1e6 {
			r.fault(args[0].Span(), "write zero(f, 2) for the second place", "the count of a crossing is a whole "+
				"number from 1 on, not %s", number(v))
			return false
		}
		i.Nth = int(v)
	case i.What == "mean" && len(args)%2 == 1:
		i.Weight = r.extract(q, args[0])
		if j := notation.Find(i.Weight, runningJet); j != nil {
			r.fault(j.Span(), "write mean(f, r) with the variable r", "a weight changes with the variable %s alone",
				r.sheet.Variable)
			return false
		}
		args = args[1:]
	case len(args) == 1:
		r.fault(c.Sp, "write "+i.What+"(f) or "+i.What+"(f, a, b)", "“%s” takes a formula, or a formula and both "+
			"ends, and here are 2 arguments", i.What)
		return false
	}
	if len(args) == 2 {
		var ok bool
		if i.A, ok = r.placeOf(args[0], "an end of "+i.What+"(…)"); !ok {
			return false
		}
		if i.B, ok = r.placeOf(args[1], "an end of "+i.What+"(…)"); !ok {
			return false
		}
		if i.A == i.B || i.A > i.B && i.What != "integral" {
			r.fault(join(args[0].Span(), args[1].Span()), "write the smaller end first",
				"the ends of %s do not make an interval", i.What)
			return false
		}
	}
	bad := false
	for _, tree := range []notation.Node{i.F, i.Weight} {
		notation.Walk(tree, func(n notation.Node) bool {
			if j, ok := n.(*notation.Jet); ok && !bad {
				bad = !r.orderOf(j)
			}
			return !bad
		})
	}
	if bad || len(r.errs) > 0 {
		return false
	}
	return true
}

// finishReport compiles every formula once, so that faults show on reading.
func (r *reader) finishReport(q *Asked) {
	trees := []notation.Node{q.Formula}
	for _, i := range q.Parts {
		for _, t := range []notation.Node{i.F, i.Weight} {
			if t != nil {
				trees = append(trees, t)
			}
		}
	}
	if _, err := r.model.compileReport(trees, len(q.Parts)); err != nil {
		r.take(err, q.Span)
	}
}

func (m *model) compileReport(trees []notation.Node, parts int) (*tape.Tape, error) {
	offset, length := map[string]int{}, 0
	for _, u := range m.unknowns {
		offset[u.Name] = length
		length += u.Order + 1
	}
	first := length + 1 + len(m.sought)
	return tape.Compile(trees, first+parts, func(leaf notation.Node) (tape.Leaf, bool) {
		switch l := leaf.(type) {
		case *notation.Jet:
			o, ok := offset[l.Name]
			return tape.Leaf{Index: o + l.Order}, ok && l.At == nil
		case *notation.Name:
			if k := PartIndex(l); k >= 0 {
				return tape.Leaf{Index: first + k}, true
			}
			if l.Name == m.variable {
				return tape.Leaf{Index: length}, true
			}
			if i := m.soughtIndex(l.Name); i >= 0 {
				return tape.Leaf{Index: length + 1 + i}, true
			}
		}
		v, ok := m.base.values.leaf(leaf)
		return tape.Leaf{Value: v, Constant: true}, ok
	})
}

// Asked lists the numbers that the sheet asks for, in the order of the text.
func (s *Sheet) Asked() []*Asked { return s.model.reports }

// HasReports reports whether the sheet asks for numbers.
func (s *Sheet) HasReports() bool { return len(s.model.reports) > 0 }

// CompileAsked compiles formulas of a number that is asked for. The inputs of the tape are the jet, the variable, the
// sought parameters and as many parts.
func (s *Sheet) CompileAsked(trees []notation.Node, parts int) (*tape.Tape, error) {
	return s.model.compileReport(trees, parts)
}

// Slope returns the derivative of a formula along a solution, as a formula; nil where it holds derivatives of an order
// that a solution does not have, or grows too long.
func (s *Sheet) Slope(f notation.Node) notation.Node {
	slope := tape.Total(f, s.Variable)
	beyond := notation.Find(slope, func(n notation.Node) bool {
		j, ok := n.(*notation.Jet)
		if !ok {
			return false
		}
		for _, u := range s.Unknowns {
			if u.Name == j.Name {
				return j.Order > u.Order
			}
		}
		return true
	})
	if beyond != nil || size(slope) > maxSize {
		return nil
	}
	return slope
}
