package sheet

import (
	"math"
	"slices"
	"sort"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
)

// Conditions across an interface: k1 T'(a-) = k2 T'(a+) ties what holds on the one side of a to what holds on the
// other. Such a statement is one of the quantities that are continuous across the break at a: its left terms left of a,
// its right terms right of it. A point a- reaches this stage as a - 0, and a+ as a + 0.

// crossing is a statement that ties the sides of an interface.
type crossing struct {
	at            notation.Node
	before, after notation.Node // equal across at
	span          notation.Span
	text          string
}

// side returns the point that n approaches, and from where: -1 from below, 1 from above, 0 where n is no such point.
//
//go:noinline
func side(n notation.Node) (at notation.Node, from int) {
	b, ok := n.(*notation.Binary)
	if !ok || b.Op != '-' && b.Op != '+' {
		return nil, 0
	}
	if zero, ok := b.Y.(*notation.Number); !ok || zero.Text != "0" {
		return nil, 0
	}
	if b.Op == '-' {
		return b.X, -1
	}
	return b.X, 1
}

// crosses reads a condition across an interface; false where the statement is none. What is said on one side only, and
// what ties different unknowns, is a condition at the point itself.
func (r *reader) crosses(st *Statement) bool {
	names := map[int]map[string]bool{-1: {}, 1: {}}
	var at notation.Node
	several := false
	for _, s := range st.sides {
		notation.Walk(s, func(n notation.Node) bool {
			if j, ok := n.(*notation.Jet); ok && j.At != nil {
				a, from := side(j.At)
				if from == 0 {
					several = true // a value elsewhere
					return false
				}
				several = several || at != nil && !notation.Equal(at, a)
				at = a
				names[from][j.Name] = true
			}
			return true
		})
	}
	if at == nil {
		return false
	}
	tied := false
	for name := range names[-1] {
		tied = tied || names[1][name]
	}
	if !tied {
		for k, s := range st.sides {
			st.sides[k] = notation.Rebuild(s, func(n notation.Node) notation.Node {
				if a, from := side(n); from != 0 {
					return a
				}
				return nil
			})
		}
		return false
	}
	if len(st.sides) != 2 || several {
		r.fault(st.Span, "state one condition across one interface, as in k1 T'(a-) = k2 T'(a+)",
			"a condition across an interface ties the two sides of one point")
		return true
	}
	c := crossing{at: r.inline(at), span: st.Span, text: r.source(st.Span)}
	if c.before, c.after = r.parted(st.sides[0], st.sides[1]); c.before == nil {
		r.fault(st.Span, "write it as a sum of terms, each with values on one side only",
			"this condition mixes the two sides of the interface in one term")
		return true
	}
	if notation.Find(c.at, r.isMoving) != nil {
		r.fault(at.Span(), "", "the point of an interface must be a number known beforehand")
		return true
	}
	r.model.crossings = append(r.model.crossings, c)
	r.note(st.Span, "%s ties the two sides of %s = %s, where a break is", c.text, r.sheet.Variable, r.source(at.Span()))
	return true
}

// parted brings left = right into the form before = after: the terms with values below the interface, and with those
// above it, as functions of the variable. Both are nil where a term holds values of both sides.
func (r *reader) parted(left, right notation.Node) (before, after notation.Node) {
	whole := difference(r.expand(r.inline(left)), r.expand(r.inline(right)))
	ok := true
	var collect func(n notation.Node, sign float64, wrap func(notation.Node) notation.Node)
	collect = func(n notation.Node, sign float64, wrap func(notation.Node) notation.Node) {
		below, above := sided(n, -1), sided(n, 1)
		b, binary := n.(*notation.Binary)
		switch negate, is := n.(*notation.Negate); {
		case !below && !above, below && !above:
			before = add(before, wrap(r.running(n)), sign)
		case above && !below:
			after = add(after, wrap(r.running(n)), -sign)
		case is:
			collect(negate.X, -sign, wrap)
		case binary && (b.Op == '+' || b.Op == '-'):
			collect(b.X, sign, wrap)
			if b.Op == '-' {
				sign = -sign
			}
			collect(b.Y, sign, wrap)
		case binary && b.Op == '*' && !sided(b.X, -1) && !sided(b.X, 1):
			collect(b.Y, sign, func(n notation.Node) notation.Node { return wrap(product(b.X, n)) })
		case binary && (b.Op == '*' || b.Op == '/') && !sided(b.Y, -1) && !sided(b.Y, 1):
			collect(b.X, sign, func(n notation.Node) notation.Node {
				return wrap(&notation.Binary{Sp: b.Sp, Op: b.Op, X: n, Y: b.Y})
			})
		default:
			ok = false
		}
	}
	collect(whole, 1, func(n notation.Node) notation.Node { return n })
	if !ok || before == nil || after == nil {
		return nil, nil
	}
	return before, after
}

func product(a, b notation.Node) notation.Node {
	return &notation.Binary{Sp: join(a.Span(), b.Span()), Op: '*', X: a, Y: b}
}

// sided reports whether n holds a point that is approached from below (-1) or above (1).
//
//go:noinline
func sided(n notation.Node, from int) bool {
	return notation.Find(n, func(n notation.Node) bool {
		if j, ok := n.(*notation.Jet); ok && j.At != nil {
			_, f := side(j.At)
			return f == from
		}
		_, f := side(n)
		return f == from
	}) != nil
}

// running takes the points out of n: values at them run with the variable.
func (r *reader) running(n notation.Node) notation.Node {
	return notation.Rebuild(n, func(n notation.Node) notation.Node {
		if j, ok := n.(*notation.Jet); ok && j.At != nil {
			c := *j
			c.At = nil
			return &c
		}
		if _, from := side(n); from != 0 {
			return &notation.Name{Sp: n.Span(), Name: r.sheet.Variable}
		}
		return nil
	})
}

// tie puts the conditions across interfaces into the places of what is continuous by itself, and reports whether there
// are any. Between two interfaces each holds up to the middle.
func (m *model) tie(quantities []notation.Node) bool {
	place := func(c crossing) float64 {
		x, e := m.base.values.number(c.at)
		if e != nil {
			return math.NaN()
		}
		return x
	}
	list := slices.Clone(m.crossings)
	sort.SliceStable(list, func(i, j int) bool { return place(list[i]) < place(list[j]) })
	taken := map[float64]map[int]bool{}
	reach := map[int]float64{} // how far the last interface of a slot holds
	for i := len(list) - 1; i >= 0; i-- {
		c, x := list[i], place(list[i])
		if taken[x] == nil {
			taken[x] = map[int]bool{}
		}
		slot := m.slotOf(c, taken[x])
		if slot < 0 {
			continue
		}
		taken[x][slot] = true
		q := choose(m.variable, x, c.before, c.after)
		if next, ok := reach[slot]; ok {
			q = choose(m.variable, x+(next-x)/2, q, quantities[slot])
		}
		quantities[slot], reach[slot] = q, x
	}
	return len(list) > 0
}

// choose is a formula that is before left of x, and after from there on.
func choose(variable string, x float64, before, after notation.Node) notation.Node {
	sp := before.Span()
	return &notation.Call{Sp: sp, Func: "if", Args: []notation.Node{&notation.Compare{Sp: sp, Op: "<",
		X: &notation.Name{Sp: sp, Name: variable}, Y: &notation.Number{Sp: sp, Value: x}}, before, after}}
}

// slotOf returns the place in the state that a condition takes: that of its highest derivative whose place is free; -1
// where there is none.
func (m *model) slotOf(c crossing, taken map[int]bool) int {
	best, offset := -1, 0
	order := -1
	for _, u := range m.unknowns {
		for k := range u.Order {
			jet := &notation.Jet{Name: u.Name, Order: k}
			same := func(n notation.Node) bool { return notation.Equal(n, jet) }
			if k > order && !taken[offset+k] && notation.Find(c.before, same) != nil &&
				notation.Find(c.after, same) != nil {
				best, order = offset+k, k
			}
		}
		offset += u.Order
	}
	return best
}

// checkCrossings refuses conditions across an interface that are too many, or that say something else than the
// derivative of a product in an equation does.
func (r *reader) checkCrossings() {
	m := r.model
	taken := map[string]map[int]bool{}
	for _, c := range m.crossings {
		key := r.source(c.at.Span())
		if taken[key] == nil {
			taken[key] = map[int]bool{}
		}
		slot := m.slotOf(c, taken[key])
		if slot < 0 {
			r.fault(c.span, "keep one condition for each value and slope that may jump there",
				"there are too many conditions across this interface")
			return
		}
		taken[key][slot] = true
		r.agrees(c, slot)
	}
}

// agrees refuses a condition on a flux that contradicts the flux of a balance.
func (r *reader) agrees(c crossing, slot int) {
	m := r.model
	quantities, offset := m.natural(), 0
	for _, u := range m.unknowns {
		if slot < offset+u.Order {
			jet := &notation.Jet{Name: u.Name, Order: slot - offset}
			if notation.Equal(quantities[slot], jet) {
				return
			}
			x, e := m.base.values.number(c.at)
			if e != nil {
				return
			}
			step := 1e-9 * (m.base.b - m.base.a)
			factor := func(q notation.Node, x float64) float64 {
				v, err := tape.Evaluate(tape.Partial(q, jet), m.base.values.leafAt(m.variable, x))
				if err != nil {
					return math.NaN()
				}
				return v
			}
			left := factor(c.before, x-step) * factor(quantities[slot], x+step)
			right := factor(c.after, x+step) * factor(quantities[slot], x-step)
			if math.Abs(left-right) > 1e-6*math.Max(math.Abs(left), math.Abs(right)) {
				r.fault(c.span, "leave it out, or write the equation without the derivative of a product",
					"this contradicts the equation, in which %s is continuous", r.source(quantities[slot].Span()))
			}
			return
		}
		offset += u.Order
	}
}
