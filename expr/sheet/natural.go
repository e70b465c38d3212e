package sheet

import (
	"math"
	"strconv"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/typeset"
	"nodespan/solver/bvp"
	"nodespan/solver/singular"
)

// natural adds, where conditions are missing, those that the equations themselves bring at the ends at which they are
// singular: there the highest derivative falls away, and a smooth solution satisfies what is left. They are added only
// when their number is that of the missing ones; ends at which the sheet states nothing come first. It returns the
// problem with them.
func (r *reader) natural(p *bvp.Problem) *bvp.Problem {
	missing := p.State() + len(p.Parameters) - len(p.Conditions)
	if missing <= 0 || math.IsInf(p.A, 0) && math.IsInf(p.B, 0) {
		return p
	}
	if linear, homogeneous := form(p); linear && homogeneous && len(p.Parameters) == 1 {
		missing-- // an eigenvalue problem
	}
	all := singular.Naturals(p)
	var quiet []singular.Natural
	for _, n := range all {
		if !r.statedAt(p, n.End.X) {
			quiet = append(quiet, n)
		}
	}
	switch missing {
	case 0:
		return p
	case len(quiet):
		all = quiet
	case len(all):
	default:
		return p
	}
	for _, n := range all {
		r.addNatural(n)
	}
	return r.model.problem(r.model.base)
}

// statedAt reports whether a condition of the sheet has a value at x.
func (r *reader) statedAt(p *bvp.Problem, x float64) bool {
	for _, c := range p.Conditions {
		for _, v := range c.At {
			if v.X == x {
				return true
			}
		}
	}
	return false
}

// addNatural adds one of them, as a formula, and says so.
func (r *reader) addNatural(n singular.Natural) {
	m := r.model
	span := m.equations[n.Equation].span
	c := &condition{span: span}
	var points []float64
	var sum notation.Node
	sign := 1.0 // the first term is positive
	if f := n.Factors[0]; f[0] < 0 || f[0] == 0 && f[1] < 0 {
		sign = -1
	}
	add := func(factor [2]float64, n notation.Node) {
		factor[0], factor[1] = sign*factor[0], sign*factor[1]
		op := byte('+')
		if sum != nil && (factor[0] < 0 && factor[1] <= 0 || factor[0] == 0 && factor[1] < 0) {
			op, factor[0], factor[1] = '-', -factor[0], -factor[1]
		}
		if term := r.term(factor, n); term != nil && sum == nil {
			sum = term
		} else if term != nil {
			sum = &notation.Binary{Sp: span, Op: op, X: sum, Y: term}
		}
	}
	for i, v := range n.At {
		j := &notation.Jet{Sp: span, Name: m.unknowns[v.Unknown].Name, Order: v.Derivative, At: r.endOf(n.End, span)}
		c.jets, points = append(c.jets, j), append(points, v.X)
		add(n.Factors[i], j)
	}
	add(n.Free, nil)
	c.residual = sum
	c.text = typeset.Plain(sum) + " = 0"
	m.conditions = append(m.conditions, c)
	m.naturals++
	m.base.points = append(m.base.points, points)
	r.note(span, "at %s = %s the factor of the highest derivative falls away, and what is left is taken as "+
		"the condition of a smooth solution: %s", r.sheet.Variable, number(n.End.X),
		strings.ReplaceAll(c.text, "*", " "))
}

// endOf is the formula of an end of the interval.
func (r *reader) endOf(e singular.End, span notation.Span) notation.Node {
	at := r.model.ends[0]
	if e.Side < 0 {
		at = r.model.ends[1]
	}
	if at != nil {
		return at
	}
	return constant(e.X, span)
}

func constant(v float64, span notation.Span) notation.Node {
	return &notation.Number{Sp: span, Value: v, Text: strconv.FormatFloat(v, 'g', -1, 64)}
}

// term is (a + b p) n, where p is the sought number; nil when it is zero. n may be nil: 1.
func (r *reader) term(factor [2]float64, n notation.Node) notation.Node {
	span := r.model.equations[0].span
	var f notation.Node
	if factor[0] != 0 {
		f = constant(factor[0], span)
	}
	if factor[1] != 0 {
		p := notation.Node(&notation.Name{Sp: span, Name: r.model.sought[0].name})
		if factor[1] != 1 {
			p = &notation.Binary{Sp: span, Op: '*', X: constant(factor[1], span), Y: p}
		}
		if f != nil {
			p = &notation.Binary{Sp: span, Op: '+', X: f, Y: p}
		}
		f = p
	}
	switch {
	case f == nil || n == nil:
		return f
	case factor == [2]float64{1, 0}:
		return n
	}
	return &notation.Binary{Sp: span, Op: '*', X: f, Y: n}
}
