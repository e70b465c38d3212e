package sheet

import (
	"math"
	"sort"
	"strings"

	"nodespan/expr/notation"
)

// This stage turns constants, points and the interval into numbers.

// numbers are the numbers of a sheet for one set of values of its constants.
type numbers struct {
	values values
	// given are those of the values that replace the sheet's own.
	given values
	a, b  float64
	// breaks are stated and found break points, ascending; found are those that the sheet does not
	// state; many are the places of coefficients that switch too often.
	breaks []float64
	found  []foundBreak
	many   []notation.Span
	// points are the values of the points in conditions, for each condition in the order of its jets.
	points [][]float64
	// own holds the interval of each unknown where these are layers side by side; nil: the whole.
	own [][2]float64
	// guesses are those of the sought parameters; NaN where there is none.
	guesses []float64
}

func (r *reader) evaluate(o Options) func() {
	return func() {
		r.override(o)
		r.collectInterval()
		r.collectBreaks()
		if len(r.errs) > 0 {
			return
		}
		r.model.findJumps()
		n, errs := r.model.evaluate(nil)
		r.errs = append(r.errs, errs...)
		if len(r.errs) > 0 {
			return
		}
		r.model.base = n
		r.sheet.A, r.sheet.B = n.a, n.b
		for i, g := range n.guesses {
			if !math.IsNaN(g) {
				r.sheet.Sought[i].Guess, r.sheet.Sought[i].HasGuess = g, true
			}
		}
		r.listConstants(n.values)
		r.checkFinite(n.values)
		r.covered(n)
		r.checkCrossings()
		r.model.balance()
	}
}

// override takes the values from outside.
func (r *reader) override(o Options) {
	var names []string
	for name := range o.Set {
		names = append(names, name)
	}
	sort.Strings(names)
	constants := map[string]bool{}
	for _, name := range r.model.order {
		constants[name] = true
	}
	for _, given := range names {
		text := o.Set[given]
		name := given
		n, err := notation.ParseExpr(given, &notation.Names{Constants: constants})
		if m, ok := n.(*notation.Name); ok {
			name = m.Name // λ and \lambda are lambda
		}
		if !constants[name] {
			hint := "the sheet has no constants"
			if len(r.model.order) > 0 {
				hint = "its constants are " + list(r.model.order)
			}
			if e, ok := err.(*notation.Error); ok && e.Meant != "" {
				hint = e.Hint
			}
			r.fault(notation.Span{From: notation.Pos{Line: 1, Column: 1}}, hint,
				"“%s” cannot be set: it is not a constant of the sheet", given)
			continue
		}
		d := r.model.declarations[name]
		n, err = notation.ParseExpr(text, &notation.Names{})
		var value float64
		if err == nil {
			var e *notation.Error
			if value, e = (values{}).number(n); e != nil {
				err = e
			}
		}
		if err != nil {
			why := err.Error()
			if e, ok := err.(*notation.Error); ok {
				why = e.Msg
			} else if l, ok := err.(notation.ErrorList); ok && len(l) > 0 {
				why = l[0].Msg
			}
			r.fault(d.st.Span, "give a number or a formula of numbers", "the value “%s” for %s cannot be read: %s",
				text, name, why)
			continue
		}
		r.model.set[name] = &notation.Number{Value: value, Text: strings.TrimSpace(text),
			Sp: d.st.Relation.Sides[1].Span()}
	}
}

// formula returns what a constant is computed from.
func (m *model) formula(name string) notation.Node {
	if n := m.set[name]; n != nil {
		return n
	}
	return m.declarations[name].body
}

// derived reports whether a constant is computed from other constants.
func (m *model) derived(name string) bool {
	return notation.Find(m.formula(name), func(n notation.Node) bool {
		c, ok := n.(*notation.Name)
		return ok && m.declarations[c.Name] != nil
	}) != nil
}

// collectInterval finds the domain statement.
func (r *reader) collectInterval() {
	for _, st := range r.sheet.Statements {
		if st.Kind != KindDomain {
			continue
		}
		if r.model.domain != nil {
			r.fault(st.Span, "keep one of the two", "the interval is given a second time (first on line %d)",
				line(r.model.domain.Span))
			return
		}
		r.model.domain = st
		r.model.domainLast = r.atEnd(st.Span)
		rel := st.Relation
		var a, b notation.Node
		switch {
		case rel.Range != nil:
			a, b = rel.Range[0], rel.Range[1]
		case len(rel.Sides) == 3:
			a, b = rel.Sides[0], rel.Sides[2]
		case named(r.sheet.Variable)(rel.Sides[0]):
			b = rel.Sides[1]
		default:
			a = rel.Sides[0]
		}
		if len(rel.Ops) > 0 && rel.Ops[0][0] == '>' {
			a, b = b, a
		}
		for k, end := range []notation.Node{a, b} {
			if end == nil {
				continue
			}
			end = r.inline(end)
			if n := notation.Find(end, r.isMoving); n != nil {
				r.fault(n.Span(), "rescale the variable so that the interval is fixed",
					"an end of the interval must be a number known beforehand")
				return
			}
			r.model.ends[k] = end
		}
	}
}

// evaluate works out every number. given replaces the values of some constants.
func (m *model) evaluate(given values) (*numbers, notation.ErrorList) {
	n := &numbers{values: values{}, given: given}
	var errs notation.ErrorList
	fail := func(e *notation.Error) bool {
		if e != nil {
			errs = append(errs, e)
		}
		return e != nil
	}
	for _, name := range m.order {
		x, ok := given[name]
		if !ok {
			var e *notation.Error
			if x, e = n.values.number(m.formula(name)); fail(e) {
				return n, errs
			}
		}
		n.values[name] = x
	}
	for _, p := range m.sought {
		g := math.NaN()
		if p.near != nil {
			var e *notation.Error
			if g, e = n.values.number(p.near); fail(e) {
				return n, errs
			}
		}
		n.guesses = append(n.guesses, g)
	}
	n.points = make([][]float64, len(m.conditions))
	low, high := math.Inf(1), math.Inf(-1)
	for i, c := range m.conditions {
		n.points[i] = make([]float64, len(c.jets))
		for k, j := range c.jets {
			x, e := n.values.point(j.At)
			if fail(e) {
				return n, errs
			}
			n.points[i][k] = x
			low, high = min(low, x), max(high, x)
		}
	}
	for _, end := range m.regular {
		x, e := n.values.point(end)
		if fail(e) {
			return n, errs
		}
		low, high = min(low, x), max(high, x)
	}
	if fail(m.interval(n, low, high)) {
		return n, errs
	}
	for i, c := range m.conditions {
		for k, j := range c.jets {
			x := snap(n.points[i][k], n.a, n.b)
			n.points[i][k] = x
			if x < n.a || x > n.b {
				errs = append(errs, &notation.Error{
					Span: j.At.Span(),
					Msg: "this condition is at " + m.variable + " = " + number(x) + ", outside the interval from " +
						number(n.a) + " to " + number(n.b),
					Hint: "move the point or widen the interval",
				})
				break
			}
		}
	}
	m.layers(n)
	errs = append(errs, m.evaluateBreaks(n)...)
	return n, errs
}

// interval settles the ends of the interval. low and high are the least and the greatest point of
// a condition.
func (m *model) interval(n *numbers, low, high float64) *notation.Error {
	if m.domain == nil {
		if len(m.conditions) == 0 && !(low < high) {
			return m.tooFewConditions()
		}
		if low >= high {
			e := &notation.Error{
				Span: m.conditions[0].span,
				Msg: "every condition is at " + m.variable + " = " + number(low) +
					", so the other end of the interval is not known",
				Hint: "add a line such as " + number(low) + " <= " + m.variable + " <= " + number(low+1),
			}
			e.Incomplete = len(m.conditions) < m.totalOrder()+len(m.sought)
			return e
		}
		n.a, n.b = low, high
		return nil
	}
	ends := [2]float64{math.Inf(-1), math.Inf(1)}
	for k, end := range m.ends {
		if end == nil {
			continue
		}
		x, e := n.values.point(end)
		if e != nil {
			return e
		}
		ends[k] = x
	}
	n.a, n.b = ends[0], ends[1]
	open := m.ends[0] == nil && low > n.a || m.ends[1] == nil && high < n.b
	switch {
	case open && len(m.conditions) > 0:
		return &notation.Error{
			Span: m.domain.Span,
			Msg:  "this gives only one end of the interval",
			Hint: "give both, as in 0 <= " + m.variable + " <= 1; inf is an end too",
			// It may be going on: 0 <= x <= …
			Incomplete: m.ends[1] == nil && m.domainLast,
		}
	case !(n.a < n.b) || math.IsInf(n.a, 1) || math.IsInf(n.b, -1):
		return &notation.Error{
			Span: m.domain.Span,
			Msg:  "the interval from " + number(n.a) + " to " + number(n.b) + " is empty",
			Hint: "the smaller end comes first",
		}
	}
	return nil
}

// snap moves a point that differs from an end by rounding only onto it.
//
//go:noinline
func snap(x, a, b float64) float64 {
	scale := 0.0
	for _, end := range []float64{a, b} {
		if !math.IsInf(end, 0) {
			scale = max(scale, math.Abs(end))
		}
	}
	const rounding = 1e-14 // a few dozen units in the last place
	switch {
	case math.Abs(x-a) <= rounding*scale:
		return a
	case math.Abs(x-b) <= rounding*scale:
		return b
	}
	return x
}

// listConstants fills Sheet.Constants and checks ranges.
func (r *reader) listConstants(v values) {
	for _, st := range r.sheet.Statements {
		if st.Kind != KindConstant {
			continue
		}
		c := Constant{
			Name: st.Name, Value: v[st.Name],
			Span: st.Span, ValueSpan: st.Relation.Sides[1].Span(),
			Derived: r.model.derived(st.Name),
		}
		if ends := st.Relation.Range; ends != nil {
			var limits [2]float64
			for k, end := range ends {
				end = r.inline(end)
				if n := notation.Find(end, r.isMoving); n != nil {
					r.fault(n.Span(), "", "the end of a range must be a number known beforehand")
					return
				}
				x, e := v.number(end)
				if e != nil {
					r.errs = append(r.errs, e)
					return
				}
				limits[k] = x
			}
			switch {
			case !(limits[0] < limits[1]):
				r.fault(join(ends[0].Span(), ends[1].Span()), "the smaller end comes first",
					"the range from %s to %s is empty", number(limits[0]), number(limits[1]))
			case c.Value < limits[0] || c.Value > limits[1]:
				r.fault(c.ValueSpan, "change the value or the range",
					"%s is %s, outside its range from %s to %s", c.Name, number(c.Value), number(limits[0]),
					number(limits[1]))
			}
			c.Range = &limits
		}
		r.sheet.Constants = append(r.sheet.Constants, c)
	}
}

// dividesByZero reports whether n is a quotient whose divisor is a constant 0.
func (r *reader) dividesByZero(n notation.Node, v values) bool {
	d, ok := n.(*notation.Binary)
	if !ok || d.Op != '/' || notation.Find(d.Y, r.isMoving) != nil {
		return false
	}
	y, e := v.number(d.Y)
	return e == nil && y == 0
}

// checkFinite looks for parts of equations, conditions, exact solutions and guesses that have no
// finite value whatever the unknowns are: a division by zero, the root of a negative number.
func (r *reader) checkFinite(v values) {
	var trees []notation.Node
	for _, e := range r.model.equations {
		trees = append(trees, e.left, e.right)
	}
	for _, c := range r.model.conditions {
		trees = append(trees, c.residual)
	}
	trees = append(trees, r.model.exact...)
	trees = append(trees, r.model.guess...)
	for _, tree := range trees {
		notation.Walk(tree, func(n notation.Node) bool {
			switch n.(type) {
			case *notation.Jet:
				return false
			case *notation.Diff, *notation.Compare:
				return true
			}
			if len(r.errs) > 0 {
				return false
			}
			if notation.Find(n, r.isMoving) != nil {
				if r.dividesByZero(n, v) {
					r.fault(n.Span(), "", "division by zero")
					return false
				}
				return true
			}
			if _, e := v.number(n); e != nil {
				r.errs = append(r.errs, e)
			}
			return false
		})
		if len(r.errs) > 0 {
			return
		}
	}
}
