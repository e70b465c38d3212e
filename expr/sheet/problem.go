package sheet

import (
	"math"
	"slices"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/solver/bvp"
)

// This file turns a model and numbers into a problem. Its functions work on tapes, which have
// scratch space: a Problem serves one goroutine at a time, and Sheet.Problem makes a fresh one on
// every call.

// Problem returns the sheet as a problem for the solver. Its functions do not allocate. It is for one goroutine; call
// Problem again for another. With takes values of Problem.Constants in their order and returns nil
// where they make no problem (a division by zero, an empty interval).
//
//go:noinline
func (s *Sheet) Problem() *bvp.Problem { return s.model.problem(s.model.base) }

func (m *model) problem(n *numbers) *bvp.Problem {
	p := &bvp.Problem{
		Variable: m.variable,
		A:        n.a, B: n.b,
		Unknowns: m.unknowns,
		Own:      n.own,
		Breaks:   n.breaks,
	}
	for i, s := range m.sought {
		q := bvp.Parameter{Name: s.name}
		if g := n.guesses[i]; !math.IsNaN(g) {
			q.Guess, q.HasGuess = g, true
		}
		p.Parameters = append(p.Parameters, q)
	}
	residuals := make([]notation.Node, len(m.equations))
	for i, e := range m.equations {
		residuals[i] = e.residual
	}
	equations := m.compiled(residuals, n)
	p.Equations, p.Formulas, p.Work = m.residuals(p, equations), m.formulas(p, equations), equations.Work()
	inputs, leaf := m.layout(n)
	p.Rounding = m.rounding(residuals, inputs, leaf, n)
	if len(n.breaks) > 0 && m.quantities != nil {
		p.Continuity = m.residuals(p, m.compiled(m.quantities, n))
	}
	for i, c := range m.conditions {
		q, err := m.conditionOf(c, n.points[i], n)
		if err != nil {
			panic("sheet: " + err.Error()) // compiled once on reading
		}
		p.Conditions = append(p.Conditions, q)
	}
	p.Guess = m.guessOf(p, n)
	var given []string
	for _, name := range m.order {
		if !m.derived(name) && m.used[name] {
			given = append(given, name)
			p.Constants = append(p.Constants, bvp.Constant{Name: name, Value: n.values[name]})
		}
	}
	if len(given) > 0 {
		p.With = func(v []float64) *bvp.Problem {
			to := values{}
			for i, name := range given {
				to[name] = v[i]
			}
			other, errs := m.evaluate(to)
			if len(errs) > 0 {
				return nil
			}
			return m.problem(other)
		}
	}
	return p
}

// layout returns the number of inputs of a formula in the jet, the sought parameters and the variable, in this order,
// and what its leaves are.
func (m *model) layout(n *numbers) (inputs int, leaf func(notation.Node) (tape.Leaf, bool)) {
	offset := map[string]int{}
	length := 0
	for _, u := range m.unknowns {
		offset[u.Name] = length
		length += u.Order + 1
	}
	inputs = length + len(m.sought) + 1
	return inputs, func(leaf notation.Node) (tape.Leaf, bool) {
		switch l := leaf.(type) {
		case *notation.Jet:
			o, ok := offset[l.Name]
			return tape.Leaf{Index: o + l.Order}, ok && l.At == nil
		case *notation.Name:
			if l.Name == m.variable {
				return tape.Leaf{Index: inputs - 1}, true
			}
			if i := m.soughtIndex(l.Name); i >= 0 {
				return tape.Leaf{Index: length + i}, true
			}
		}
		v, ok := n.values.leaf(leaf)
		return tape.Leaf{Value: v, Constant: true}, ok
	}
}

// compile compiles trees in the jet, the sought parameters and the variable.
func (m *model) compile(trees []notation.Node, n *numbers) (*tape.Tape, error) {
	inputs, leaf := m.layout(n)
	return tape.Compile(trees, inputs, leaf)
}

// mostExpanded bounds the constants whose own formulas are followed: each may stand in the next one's, which nests
// them.
const mostExpanded = 64

// rounding bounds what rounding does to trees whose inputs are given by leaf. Constants that are worked out from others
// count with all that is rounded on the way. It compiles at the first call, since most problems that are made on the
// way to an answer are never asked.
func (m *model) rounding(trees []notation.Node, inputs int, leaf func(notation.Node) (tape.Leaf, bool),
	n *numbers) bvp.Rounding {
	expanded := func(node notation.Node) (tape.Leaf, bool) {
		l, ok := leaf(node)
		name, isName := node.(*notation.Name)
		if !ok || !l.Constant || !isName || m.declarations[name.Name] == nil || len(m.order) > mostExpanded {
			return l, ok
		}
		if _, given := n.given[name.Name]; given {
			return l, ok
		}
		return tape.Leaf{Tree: m.formula(name.Name)}, true
	}
	var r *tape.Rounder
	return func(in, off, own []float64, shared [][]float64) {
		if r == nil {
			var err error
			r, err = tape.CompileRounder(trees, inputs, expanded)
			if err != nil {
				panic("sheet: " + err.Error()) // compiled once on reading
			}
		}
		r.Bound(in, off, own, shared)
	}
}

// compiled compiles trees that were compiled once on reading.
func (m *model) compiled(trees []notation.Node, n *numbers) *tape.Tape {
	t, err := m.compile(trees, n)
	if err != nil {
		panic("sheet: " + err.Error())
	}
	return t
}

// residuals wraps a tape as residual functions.
func (m *model) residuals(p *bvp.Problem, t *tape.Tape) bvp.Residuals {
	inputs := p.Jet() + len(m.sought)
	in := make([]float64, inputs+1)
	rows := make([]float64, t.Outputs()*(inputs+1))
	return func(x float64, jet, f, df []float64) {
		copy(in, jet[:inputs])
		in[inputs] = x
		if df == nil {
			t.Eval(in, f)
			return
		}
		t.Jacobian(in, f, rows)
		for i := range t.Outputs() {
			copy(df[i*inputs:(i+1)*inputs], rows[i*(inputs+1):])
		}
	}
}

// formulas wraps the interval evaluation of a tape.
func (m *model) formulas(p *bvp.Problem, t *tape.Tape) *bvp.Formulas {
	inputs := p.Jet() + len(m.sought)
	r := t.Reader(inputs)
	moving := r.Moving()
	given, nodes := make([]tape.Enclosure, inputs+1), make([]tape.Enclosure, len(moving))
	enclose := func(a, b float64, in, out []bvp.Enclosure) {
		if in == nil {
			r.Read(a, b, nil, nodes)
		} else {
			for i := range inputs {
				given[i] = tape.Enclosure(in[i])
			}
			r.Read(a, b, given, nodes)
		}
		for i, e := range nodes {
			if in != nil || !moving[i] {
				out[i] = bvp.Enclosure(e)
			}
		}
	}
	return &bvp.Formulas{Moving: moving, Inputs: inputs, Enclose: enclose}
}

// conditionOf makes a condition whose points have the given values.
func (m *model) conditionOf(c *condition, points []float64, n *numbers) (bvp.Condition, error) {
	out := bvp.Condition{Text: c.text}
	index := make([]int, len(c.jets)) // c.jets → out.At: different formulas may name one point
	for i, j := range c.jets {
		at := bvp.PointValue{X: points[i], Derivative: j.Order}
		for k, u := range m.unknowns {
			if u.Name == j.Name {
				at.Unknown = k
			}
		}
		index[i] = -1
		for k, other := range out.At {
			if other == at {
				index[i] = k
			}
		}
		if index[i] < 0 {
			index[i] = len(out.At)
			out.At = append(out.At, at)
		}
	}
	inputs := len(out.At) + len(m.sought)
	leafOf := func(leaf notation.Node) (tape.Leaf, bool) {
		switch l := leaf.(type) {
		case *notation.Jet:
			for i, j := range c.jets {
				if notation.Equal(j, l) {
					return tape.Leaf{Index: index[i]}, true
				}
			}
			return tape.Leaf{}, false
		case *notation.Name:
			if i := m.soughtIndex(l.Name); i >= 0 {
				return tape.Leaf{Index: len(out.At) + i}, true
			}
		}
		v, ok := n.values.leaf(leaf)
		return tape.Leaf{Value: v, Constant: true}, ok
	}
	t, err := tape.Compile([]notation.Node{c.residual}, inputs, leafOf)
	if err != nil {
		return out, err
	}
	out.Rounding = m.rounding([]notation.Node{c.residual}, inputs, leafOf, n)
	f := make([]float64, 1)
	out.Residual = func(in, dg []float64) float64 {
		if dg == nil {
			t.Eval(in, f)
		} else {
			t.Jacobian(in, f, dg)
		}
		return f[0]
	}
	return out, nil
}

// guessOf returns the first guess, nil where the sheet has none. An unknown without a guess
// follows the straight line through its values in the conditions.
func (m *model) guessOf(p *bvp.Problem, n *numbers) func(x float64, jet []float64) {
	if !slices.ContainsFunc(m.guess, func(g notation.Node) bool { return g != nil }) {
		return nil
	}
	entries := make([]func(x float64, jet []float64), len(m.unknowns))
	for i, u := range m.unknowns {
		if m.guess[i] == nil {
			value, slope, from := m.lineOf(p, i)
			entries[i] = func(x float64, jet []float64) { writeLine(jet, value, slope, x-from) }
			continue
		}
		trees := make([]notation.Node, u.Order+1)
		trees[0] = m.guess[i]
		for k := range u.Order {
			trees[k+1] = tape.Total(trees[k], m.variable)
		}
		entries[i] = func(x float64, jet []float64) { m.writeTrees(jet, trees, x, n) }
	}
	return func(x float64, jet []float64) {
		k := 0
		for i, u := range m.unknowns {
			entries[i](x, jet[k:k+u.Order+1])
			k += u.Order + 1
		}
	}
}

// writeTrees writes the values of formulas at x; NaN where one has none.
func (m *model) writeTrees(jet []float64, trees []notation.Node, x float64, n *numbers) {
	for k, tree := range trees {
		v, err := tape.Evaluate(tree, n.values.leafAt(m.variable, x))
		if err != nil {
			v = math.NaN()
		}
		jet[k] = v
	}
}

// writeLine writes a straight line and its derivatives, a distance behind the point where it has the value.
func writeLine(jet []float64, value, slope, distance float64) {
	clear(jet)
	jet[0] = value
	if slope != 0 { // the distance may be infinite
		jet[0] += slope * distance
	}
	if len(jet) > 1 {
		jet[1] = slope
	}
}

// lineOf returns value + slope (x - from), the line through the values that conditions of the form
// y(a) = number give an unknown; constant where there is one such value, 0 where there is none.
func (m *model) lineOf(p *bvp.Problem, unknown int) (value, slope, from float64) {
	var xs, ys []float64
	for _, c := range p.Conditions {
		if len(c.At) != 1 || c.At[0].Unknown != unknown || c.At[0].Derivative != 0 || math.IsInf(c.At[0].X, 0) ||
			len(p.Parameters) > 0 {
			continue
		}
		in, dg := []float64{0}, []float64{0}
		r := c.Residual(in, dg)
		if y := -r / dg[0]; !math.IsNaN(y) && !math.IsInf(y, 0) {
			in[0] = y
			if math.Abs(c.Residual(in, nil)) <= 1e-9*math.Abs(r) {
				xs, ys = append(xs, c.At[0].X), append(ys, y)
			}
		}
	}
	if len(xs) == 0 {
		return 0, 0, 0
	}
	last := len(xs) - 1
	if xs[last] == xs[0] {
		return ys[0], 0, xs[0]
	}
	return ys[0], (ys[last] - ys[0]) / (xs[last] - xs[0]), xs[0]
}

// HasExact reports whether the sheet gives an exact solution for an unknown (numbered as in Unknowns).
func (s *Sheet) HasExact(unknown int) bool {
	return unknown >= 0 && unknown < len(s.model.exact) && s.model.exact[unknown] != nil
}

// Exact returns the value of the sheet's exact solution of an unknown (numbered as in Unknowns);
// false where the sheet gives none, or where it has no finite value.
func (s *Sheet) Exact(x float64, unknown int) (float64, bool) {
	if !s.HasExact(unknown) {
		return 0, false
	}
	v, err := tape.Evaluate(s.model.exact[unknown], s.model.base.values.leafAt(s.Variable, x))
	return v, err == nil && !math.IsNaN(v) && !math.IsInf(v, 0)
}

// ExactJet returns the exact solution as a function that writes the jet at x, its derivatives exact; the entries of
// unknowns without an exact solution are NaN, and so is what has no finite value at x. It returns nil where the sheet
// gives no exact solution.
func (s *Sheet) ExactJet() func(x float64, jet []float64) {
	var trees []notation.Node // nil: not known
	given := false
	for i, u := range s.Unknowns {
		var n notation.Node
		if s.HasExact(i) {
			n, given = s.model.exact[i], true
		}
		for range u.Order + 1 {
			trees = append(trees, n)
			if n != nil {
				n = tape.Total(n, s.Variable)
			}
		}
	}
	if !given {
		return nil
	}
	return func(x float64, jet []float64) {
		leaf := s.model.base.values.leafAt(s.Variable, x)
		for k, n := range trees {
			jet[k] = math.NaN()
			if n == nil {
				continue
			}
			if v, err := tape.Evaluate(n, leaf); err == nil && !math.IsInf(v, 0) {
				jet[k] = v
			}
		}
	}
}
