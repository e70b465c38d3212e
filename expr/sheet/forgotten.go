package sheet

import (
	"fmt"
	"maps"
	"slices"

	"nodespan/expr/notation"
	"nodespan/expr/typeset"
)

// factorAt is a factor, a divisor or an exponent: where its product, quotient or power stands in the text, and which
// side of it it is. An abbreviation stands in one place and is used in several.
type factorAt struct {
	whole  notation.Span
	op     byte
	second bool
}

// without is a formula in which a part is forgotten.
type without struct {
	factorAt
	formula notation.Node
	what    string // "the factor 4 of 4 y"
}

// forget returns what is left of a product, a quotient or a power without a part of it; nil where none is forgotten.
func (m *model) forget(b *notation.Binary, second bool) (left, gone notation.Node) {
	left, gone = b.Y, b.X
	if second {
		left, gone = b.X, b.Y
	}
	switch {
	case b.Op == '^' && !second || b.Op != '*' && b.Op != '/' && b.Op != '^' || one(gone) || m.highest(gone):
		return nil, nil
	case b.Op == '/' && !second:
		if _, number := gone.(*notation.Number); number { // of 1/2 y the 1/2 is the factor
			return nil, nil
		}
		left = &notation.Binary{Sp: b.Sp, Op: '/', X: &notation.Number{Value: 1, Text: "1"}, Y: b.Y}
	}
	return left, gone
}

// withouts returns n with one part forgotten, each in turn. Parts with a highest derivative stay, and so do the points
// of values.
func (m *model) withouts(n notation.Node) []without {
	var out []without
	notation.Walk(n, func(x notation.Node) bool {
		if _, jet := x.(*notation.Jet); jet {
			return false
		}
		b, ok := x.(*notation.Binary)
		for _, second := range []bool{false, true} {
			if !ok {
				continue
			}
			left, gone := m.forget(b, second)
			if left == nil {
				continue
			}
			name := "factor"
			if second && b.Op != '*' {
				name = map[byte]string{'/': "divisor", '^': "exponent"}[b.Op]
			}
			out = append(out, without{factorAt{b.Sp, b.Op, second}, replaced(n, b, left),
				fmt.Sprintf("the %s %s of %s", name, typeset.Plain(gone), typeset.Plain(b))})
		}
		return true
	})
	return out
}

// everywhere returns n with a part forgotten wherever it is used.
//
//go:noinline
func (m *model) everywhere(n notation.Node, p factorAt) notation.Node {
	return notation.Rebuild(n, func(x notation.Node) notation.Node {
		if _, jet := x.(*notation.Jet); jet {
			return x
		}
		if b, ok := x.(*notation.Binary); ok && b.Sp == p.whole && b.Op == p.op {
			if left, _ := m.forget(b, p.second); left != nil {
				return left
			}
		}
		return nil
	})
}

// shared adds the variants with a part forgotten in an abbreviation that is used in several places.
func (v *variants) shared() {
	var all []without
	uses := map[factorAt]int{}
	collect := func(n notation.Node) {
		for _, w := range v.m.withouts(n) {
			if uses[w.factorAt]++; uses[w.factorAt] == 2 {
				all = append(all, w)
			}
		}
	}
	for _, e := range v.m.equations {
		collect(e.left)
		collect(e.right)
	}
	for _, c := range v.m.conditions {
		collect(c.residual)
	}
	for _, w := range all {
		if w.whole == (notation.Span{}) {
			continue
		}
		m, ok := *v.m, true
		m.equations, m.conditions = slices.Clone(m.equations), slices.Clone(m.conditions)
		for i, e := range v.m.equations {
			c := *e
			c.left, c.right = v.m.everywhere(e.left, w.factorAt), v.m.everywhere(e.right, w.factorAt)
			if c.left != e.left || c.right != e.right {
				ok = ok && v.m.rewrite(&c)
			}
			m.equations[i] = &c
		}
		for i, c := range v.m.conditions {
			d := *c
			d.residual = v.m.everywhere(c.residual, w.factorAt)
			ok = ok && notation.Find(d.residual, pointJet) != nil
			m.conditions[i] = &d
		}
		if ok {
			where := fmt.Sprintf(" in line %d is left out", w.whole.From.Line)
			v.out = append(v.out, Variant{Forgotten, w.what + where, m.changed(m.base)})
		}
	}
}

func one(n notation.Node) bool {
	x, ok := n.(*notation.Number)
	return ok && x.Value == 1
}

// replaced returns n with old replaced by new. Values at points are not looked into.
func replaced(n, old, new notation.Node) notation.Node {
	return notation.Rebuild(n, func(x notation.Node) notation.Node {
		if x == old {
			return new
		}
		if _, jet := x.(*notation.Jet); jet {
			return x
		}
		return nil
	})
}

// forgotten adds the variants with a factor forgotten: in the equations, the conditions and the constants.
func (v *variants) forgotten() {
	add := func(m *model, n *numbers, what, where string) {
		v.out = append(v.out, Variant{Forgotten, what + " " + where + " is left out", m.changed(n)})
	}
	v.shared()
	for i, e := range v.m.equations {
		where := v.m.whereOf(e)
		for side, n := range []notation.Node{e.left, e.right} {
			for _, w := range v.m.withouts(n) {
				c := *e
				if c.left = w.formula; side == rightSide {
					c.left, c.right = e.left, w.formula
				}
				if !v.m.rewrite(&c) {
					continue
				}
				m := *v.m
				m.equations = slices.Clone(m.equations)
				m.equations[i] = &c
				add(&m, m.base, w.what, where)
			}
		}
	}
	for i, c := range v.m.conditions {
		for _, w := range v.m.withouts(c.residual) {
			d := *c
			if d.residual = w.formula; notation.Find(d.residual, pointJet) == nil {
				continue
			}
			m := *v.m
			m.conditions = slices.Clone(m.conditions)
			m.conditions[i] = &d
			add(&m, m.base, w.what, "in the condition "+c.text)
		}
	}
	for _, name := range v.m.order {
		for _, w := range v.m.withouts(v.m.formula(name)) {
			m := *v.m
			if m.set = maps.Clone(m.set); m.set == nil {
				m.set = map[string]notation.Node{}
			}
			m.set[name] = w.formula
			n, errs := m.evaluate(nil)
			if len(errs) == 0 && n.a == m.base.a && n.b == m.base.b && slices.Equal(n.breaks, m.base.breaks) {
				add(&m, n, w.what, "in "+name)
			}
		}
	}
}

// Quantity is a number that stands in a sheet, with its name: that of a constant, or the number itself.
type Quantity struct {
	Name  string
	Value float64
}

// Quantities returns the constants of the sheet, and the numbers of its equations and conditions, in the order in which
// they stand, each value once.
func (s *Sheet) Quantities() []Quantity {
	var out []Quantity
	add := func(name string, v float64) {
		if v != 0 && !slices.ContainsFunc(out, func(q Quantity) bool { return q.Value == v }) {
			out = append(out, Quantity{name, v})
		}
	}
	for _, name := range s.model.order {
		if v, ok := s.model.base.values[name]; ok {
			add(name, v)
		}
	}
	numbersOf := func(n notation.Node) {
		notation.Walk(n, func(x notation.Node) bool {
			if _, jet := x.(*notation.Jet); jet {
				return false
			}
			if x, ok := x.(*notation.Number); ok {
				add(number(x.Value), x.Value)
			}
			return true
		})
	}
	for _, e := range s.model.equations {
		numbersOf(e.left)
		numbersOf(e.right)
	}
	for _, c := range s.model.conditions {
		numbersOf(c.residual)
	}
	return out
}
