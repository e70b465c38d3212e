package sheet

import (
	"math"
	"slices"
	"strconv"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
)

// Break points: those that the sheet states, and those where a coefficient visibly jumps or bends.

// breakPoint is a stated break point.
type breakPoint struct {
	at   notation.Node
	span notation.Span
}

// jump is a place in an equation where a change of sign of a formula switches the equation: the
// a - b of if(a < b, …), the argument of heaviside, sign and abs, the difference of min and max.
type jump struct {
	switching notation.Node // in the variable and constants only
	span      notation.Span // of the call
	kink      bool          // continuous, with a jump in the slope
}

// foundBreak is a break point that the sheet does not state.
type foundBreak struct {
	x    float64
	span notation.Span
	kink bool
}

// maxFound is the number of unstated break points up to which they are added. A coefficient that
// switches more often is meant to oscillate, and the reading says so.
const maxFound = 64

// collectBreaks finds the break statements.
func (r *reader) collectBreaks() {
	for _, st := range r.sheet.Statements {
		if st.Kind != KindBreak {
			continue
		}
		at := r.inline(st.Relation.Sides[len(st.Relation.Sides)-1])
		if n := notation.Find(at, r.isMoving); n != nil {
			r.fault(n.Span(), "", "a break point must be a number known beforehand")
			continue
		}
		r.model.breaks = append(r.model.breaks, breakPoint{at: at, span: st.Span})
	}
	for _, c := range r.model.crossings {
		r.model.breaks = append(r.model.breaks, breakPoint{at: c.at, span: c.span})
	}
}

// findJumps lists the formulas whose change of sign is a jump or a kink of an equation.
func (m *model) findJumps() {
	for _, i := range m.impulses {
		m.addJump(i.step.(*notation.Call), i.step.(*notation.Call).Args[0], false)
	}
	look := func(n notation.Node) bool {
		if call, ok := n.(*notation.Call); ok {
			if s := tape.SwitchOf(call); s.Other != nil { // a value on either side
				m.addJump(call, s.Argument, !s.Jumps)
			}
		}
		return true
	}
	for _, e := range m.equations {
		notation.Walk(e.left, look)
		notation.Walk(e.right, look)
	}
}

// addJump adds a jump or a kink unless it is known already, or where it lies depends on the solution.
func (m *model) addJump(call *notation.Call, switching notation.Node, kink bool) {
	depends := func(n notation.Node) bool {
		switch n := n.(type) {
		case *notation.Jet, *notation.Diff:
			return true
		case *notation.Name:
			return m.soughtIndex(n.Name) >= 0
		}
		return false
	}
	if notation.Find(switching, named(m.variable)) == nil || notation.Find(switching, depends) != nil {
		return
	}
	for _, j := range m.jumps {
		if notation.Equal(j.switching, switching) && j.kink == kink {
			return
		}
	}
	m.jumps = append(m.jumps, jump{switching, call.Sp, kink})
}

// evaluateBreaks fills n.breaks and n.found.
func (m *model) evaluateBreaks(n *numbers) (errs notation.ErrorList) {
	for _, b := range m.breaks {
		x, e := n.values.number(b.at)
		if e != nil {
			return append(errs, e)
		}
		if x = snap(x, n.a, n.b); x <= n.a || x >= n.b {
			errs = append(errs, &notation.Error{
				Span: b.span,
				Msg: "the break at " + m.variable + " = " + number(x) + " is not inside the interval from " +
					number(n.a) + " to " + number(n.b),
				Hint: "a break lies between the ends",
			})
			continue
		}
		n.breaks = append(n.breaks, x)
	}
	n.many = nil
	for i := range m.jumps {
		j := &m.jumps[i]
		places := m.switches(j.switching, n)
		if len(places) > maxFound {
			n.many = append(n.many, j.span)
			continue
		}
		for _, x := range places {
			x = snap(x, n.a, n.b)
			if i := near(n.breaks, x); i >= 0 {
				n.breaks[i] = x // so that the residuals on either side lie on either side of the switch
			} else if x > n.a && x < n.b {
				n.breaks = append(n.breaks, x)
				n.found = append(n.found, foundBreak{x, j.span, j.kink})
			}
		}
	}
	slices.Sort(n.breaks)
	n.breaks = slices.Compact(n.breaks)
	return errs
}

// near returns the place of the number that is x but for rounding, or -1.
func near(list []float64, x float64) int {
	return slices.IndexFunc(list, func(y float64) bool { return math.Abs(x-y) <= 1e-14*max(math.Abs(x), math.Abs(y)) })
}

// Limits of the search for changes of sign.
const (
	samples   = 1 << 10         // pieces that are looked at where bounds say nothing
	thinnest  = 1.0 / (1 << 34) // the width, as a part of the interval, below which two changes count as none
	mostReads = 1 << 13         // stretches that are bounded
)

// switches returns the points of (a, b) where a formula in the variable changes sign, to the last bit: the points next
// to them on either side lie on either side of the switch. Stretches are bisected until bounds of the formula (see
// tape.Reader) leave no room for a change, so that two that are close together are found; where there is no end to
// that, samples have to do.
func (m *model) switches(switching notation.Node, n *numbers) []float64 {
	leaf := func(leaf notation.Node) (tape.Leaf, bool) {
		if named(m.variable)(leaf) {
			return tape.Leaf{Index: 0}, true
		}
		v, ok := n.values.leaf(leaf)
		return tape.Leaf{Value: v, Constant: true}, ok
	}
	size := &notation.Call{Func: "abs", Args: []notation.Node{switching}, Sp: switching.Span()}
	t, err := tape.Compile([]notation.Node{switching}, 1, leaf)
	if err != nil {
		return nil
	}
	in, out := make([]float64, 1), make([]float64, 1)
	value := func(x float64) float64 {
		in[0] = x
		t.Eval(in, out)
		return out[0]
	}
	if bounded, err := tape.Compile([]notation.Node{size}, 1, leaf); err == nil {
		r := bounded.Reader(0)
		if k := len(r.Moving()); k > 0 {
			all := make([]tape.Enclosure, k)
			rounding := 0.0 // bounds are true but for that
			bound := func(a, b float64) tape.Enclosure {
				r.Read(a, b, nil, all)
				return all[k-1]
			}
			if top := bound(sample(n.a, n.b, 0), sample(n.a, n.b, 1)).Hi; top < math.Inf(1) {
				rounding = 1e-14 * top
			}
			s := signs{value: value, point: func(t float64) float64 { return sample(n.a, n.b, t) },
				nonzero: func(a, b float64) bool { return bound(a, b).Lo > rounding }}
			s.search(0, 1)
			if s.reads < mostReads {
				return s.places
			}
		}
	}
	var places []float64
	last, lastValue := math.NaN(), math.NaN()
	for i := range samples + 1 {
		x := sample(n.a, n.b, float64(i)/samples)
		v := value(x)
		if math.IsNaN(v) {
			last = math.NaN()
			continue
		}
		if !math.IsNaN(last) && (v < 0) != (lastValue < 0) {
			places = append(places, bisect(value, last, x))
		}
		last, lastValue = x, v
	}
	return places
}

// signs looks for changes of sign.
type signs struct {
	value   func(x float64) float64
	point   func(t float64) float64 // of the interval, for t from 0 to 1
	nonzero func(a, b float64) bool // no zero between a and b
	places  []float64
	reads   int
}

// search looks between two parts of the interval.
func (s *signs) search(t0, t1 float64) {
	a, b := s.point(t0), s.point(t1)
	if s.reads++; s.reads > mostReads || len(s.places) > maxFound || !(a < b) || s.nonzero(a, b) {
		return
	}
	if mid := t0 + (t1-t0)/2; t1-t0 > thinnest {
		s.search(t0, mid)
		s.search(mid, t1)
		return
	}
	if (s.value(a) < 0) != (s.value(b) < 0) {
		s.places = append(s.places, bisect(s.value, a, b))
	}
}

// sample returns the point at fraction t of an interval; an infinite end is approached through
// t/(1 - t).
func sample(a, b, t float64) float64 {
	const far = 1e8
	switch {
	case math.IsInf(a, -1) && math.IsInf(b, 1):
		s := 2*t - 1
		return max(-far, min(far, s/(1-math.Abs(s))))
	case math.IsInf(b, 1):
		return a + min(far, t/(1-t))
	case math.IsInf(a, -1):
		return b - min(far, (1-t)/t)
	case t == 1:
		return b
	}
	return a + t*(b-a)
}

// bisect narrows a change of sign of f between lo and hi down to neighbouring numbers and returns
// the one where f is 0, else the one with the shorter decimal.
func bisect(f func(float64) float64, lo, hi float64) float64 {
	negative := f(lo) < 0
	for {
		mid := lo + (hi-lo)/2
		if mid <= lo || mid >= hi {
			break
		}
		if (f(mid) < 0) == negative {
			lo = mid
		} else {
			hi = mid
		}
	}
	digits := func(x float64) int { return len(strconv.FormatFloat(x, 'g', -1, 64)) }
	switch {
	case f(hi) == 0:
		return hi
	case f(lo) == 0:
		return lo
	case digits(lo) < digits(hi):
		return lo
	}
	return hi
}

// covered checks that functions in pieces are given on the whole interval.
func (r *reader) covered(n *numbers) {
	for _, st := range r.sheet.Statements {
		for _, c := range st.Relation.Covers {
			if !named(r.sheet.Variable)(c.Of) {
				continue
			}
			for k, end := range []notation.Node{c.From, c.To} {
				if end == nil || notation.Find(end, r.isMoving) != nil {
					continue
				}
				x, e := n.values.point(r.inline(end))
				if e != nil {
					continue
				}
				x = snap(x, n.a, n.b)
				if k == 0 && x > n.a || k == 1 && x < n.b {
					r.fault(c.Sp, "add the piece that is missing, or its value otherwise",
						"the pieces end at %s = %s, and the interval runs from %s to %s", r.sheet.Variable, number(x),
						number(n.a),
						number(n.b))
					return
				}
			}
		}
	}
}
