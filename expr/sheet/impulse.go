package sheet

import (
	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/expr/typeset"
	"nodespan/solver/bvp"
)

// Point loads: where an equation holds g δ(x - a), its highest derivative jumps without bound, and the derivative below
// it by -g/c at a, c being the factor of the highest one: the shear of a beam, the slope of a string. The equation is
// solved without δ, with a break at a across which y^(m-1) + g/c H(x - a) is continuous.

// impulse is one δ in an equation.
type impulse struct {
	equation *equation
	step     notation.Node // H of what δ is taken of
	factor   notation.Node // g
}

func isImpulse(n notation.Node) bool {
	c, ok := n.(*notation.Call)
	return ok && c.Func == "delta"
}

// impulses takes the δ out of an equation.
func (r *reader) impulses(e *equation) {
	for {
		d := notation.Find(difference(e.left, e.right), isImpulse)
		if d == nil {
			return
		}
		call := d.(*notation.Call)
		mark := &notation.Name{Sp: call.Sp, Name: "@delta"}
		with := func(by notation.Node) func(n notation.Node) notation.Node {
			return func(n notation.Node) notation.Node {
				if isImpulse(n) && notation.Equal(n, call) {
					return by
				}
				return nil
			}
		}
		whole := difference(notation.Rebuild(e.left, with(mark)), notation.Rebuild(e.right, with(mark)))
		inside := notation.Find(whole, func(n notation.Node) bool {
			x, ok := n.(*notation.Diff)
			return ok && notation.Find(x, named(mark.Name)) != nil
		}) != nil
		var g notation.Node
		if !inside {
			alone := notation.Rebuild(whole, func(n notation.Node) notation.Node { // other loads are no part of g
				if isImpulse(n) {
					return &notation.Number{Sp: n.Span(), Text: "0"}
				}
				return nil
			})
			g = tape.Partial(r.expand(alone), mark)
		}
		slope := 0.0
		if len(call.Args) == 1 {
			if s, ok := tape.Partial(r.expand(call.Args[0]),
				&notation.Name{Name: r.sheet.Variable}).(*notation.Number); ok {
				slope = s.Value
			} else if s, ok := tape.Partial(r.expand(call.Args[0]),
				&notation.Name{Name: r.sheet.Variable}).(*notation.Negate); ok {
				if one, ok := s.X.(*notation.Number); ok {
					slope = -one.Value
				}
			}
		}
		if inside || notation.Find(g, named(mark.Name)) != nil || slope != 1 && slope != -1 {
			r.fault(call.Sp, "write it as a term P δ(x - a) of the equation",
				"δ is read as a point load only, a term of its own")
			return
		}
		at := call.Args[0]
		if slope < 0 {
			at = &notation.Negate{Sp: at.Span(), X: at}
		}
		step := &notation.Call{Sp: call.Sp, Func: "heaviside", Args: []notation.Node{at}}
		r.model.impulses = append(r.model.impulses, impulse{equation: e, step: step, factor: g})
		none := &notation.Number{Sp: call.Sp, Text: "0"}
		e.left, e.right = notation.Rebuild(e.left, with(none)), notation.Rebuild(e.right, with(none))
	}
}

// jumpsOf puts the jumps of point loads into the quantities that are continuous across breaks.
func (m *model) jumpsOf(quantities []notation.Node) bool {
	for _, i := range m.impulses {
		slot := 0
		for _, u := range m.unknowns {
			slot += u.Order
			top := &notation.Jet{Name: u.Name, Order: u.Order}
			below := &notation.Jet{Name: u.Name, Order: u.Order - 1}
			if notation.Find(i.equation.residual, func(n notation.Node) bool { return notation.Equal(n, top) }) == nil {
				continue
			}
			q := quantities[slot-1]
			over := &notation.Binary{Op: '/', X: i.factor, Y: tape.Partial(i.equation.residual, top)}
			jump := &notation.Binary{Op: '*', X: &notation.Binary{Op: '*', X: over, Y: tape.Partial(q, below)},
				Y: i.step}
			quantities[slot-1] = &notation.Binary{Op: '+', X: q, Y: jump}
			break
		}
	}
	return len(m.impulses) > 0
}

// inferImpulses tells of the point loads.
func (r *reader) inferImpulses() {
	for _, i := range r.model.impulses {
		for _, u := range r.sheet.Unknowns {
			top := &notation.Jet{Name: u.Name, Order: u.Order}
			if notation.Find(i.equation.residual, func(n notation.Node) bool { return notation.Equal(n, top) }) != nil {
				r.note(i.step.Span(), "%s is a point load: %s jumps there, by what %s brings", r.source(i.step.Span()),
					bvp.Derivative(u.Name, u.Order-1), typeset.Plain(i.factor))
				break
			}
		}
	}
}
