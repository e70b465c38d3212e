package tape

import (
	"math"

	"nodespan/expr/function"
)

// This file evaluates a tape over a stretch of one input by interval arithmetic: every formula gets bounds of its value
// and of its derivative (R. E. Moore, R. B. Kearfott and M. J. Cloud, Introduction to Interval Analysis, SIAM, 2009,
// chapters 5 and 6). The natural extension of each operation is cut with the mean value form f(mid) + f'(X)(X − mid),
// so that what is subtracted from itself (x² − 2cx + c²) is overestimated only by the square of the stretch's length.
// Bounds are true but for rounding; those of the gamma, Airy, Bessel and polygamma functions are by samples.

// Enclosure bounds a quantity on a stretch: Lo ≤ f ≤ Hi and SlopeLo ≤ f' ≤ SlopeHi, f' being the derivative by the
// input that runs; Mid is the value in the middle. Bounds are infinite where nothing can be said: at a pole, at a jump
// (the slope alone).
type Enclosure struct {
	Lo, Hi, SlopeLo, SlopeHi, Mid float64
}

// watch is a quantity that a Reader reports: a register, or one divided by it.
type watch struct {
	register   int32
	reciprocal bool
	moving     bool
}

// lowPower is the largest power that a Reader takes for a product of a few factors.
const lowPower = 8

// Reader evaluates a tape over stretches of one of its inputs, x. It reports the nodes at which a formula can do
// something that its operands do not do: functions, high and negative powers, quotients (as 1 over what divides), min,
// max and comparisons. Sums, products and multiples of what is smooth at some scale are smooth at that scale. It has
// scratch space: one per goroutine.
type Reader struct {
	*program
	x      int
	r      []Enclosure
	watch  []watch
	still  []int32 // the instructions that the watched nodes without moving inputs need, in order
	all    []int32 // those that all watched nodes need
	moving []bool  // of each register: depends on an input other than x
}

// Reader returns a reader of the tape for the input x.
func (t *Tape) Reader(x int) *Reader {
	p := t.program
	r := &Reader{program: p, x: x, r: make([]Enclosure, p.results+len(p.code)),
		moving: make([]bool, p.results+len(p.code))}
	constant := make([]bool, p.results+len(p.code))
	for i, v := range p.constants {
		r.r[p.inputs+i] = point(v)
		constant[p.inputs+i] = true
	}
	for i := range p.inputs {
		r.moving[i] = i != x
	}
	needed, neededStill := make([]bool, len(r.r)), make([]bool, len(r.r))
	add := func(w watch) {
		if constant[w.register] {
			return
		}
		w.moving = r.moving[w.register]
		r.watch = append(r.watch, w)
		needed[w.register] = true
		neededStill[w.register] = neededStill[w.register] || !w.moving
	}
	for i, s := range p.code {
		at := int32(p.results + i)
		r.moving[at] = r.moving[s.a] || r.moving[s.b] || r.moving[s.c]
		switch s.op {
		case opAdd, opSub, opMul, opNegate, opSquare, opChoose:
		case opDiv:
			add(watch{register: s.b, reciprocal: true})
		case opPower:
			// A low power changes at the scale of its operand.
			if s.n < 0 || s.n > lowPower {
				add(watch{register: at})
			}
		default:
			add(watch{register: at})
		}
	}
	for i := len(p.code) - 1; i >= 0; i-- {
		at, s := p.results+i, p.code[i]
		for _, o := range [3]int32{s.a, s.b, s.c} {
			needed[o] = needed[o] || needed[at]
			neededStill[o] = neededStill[o] || neededStill[at]
		}
	}
	for i := range p.code {
		if needed[p.results+i] {
			r.all = append(r.all, int32(i))
		}
		if neededStill[p.results+i] {
			r.still = append(r.still, int32(i))
		}
	}
	return r
}

// Moving tells of each node that Read reports whether it depends on other inputs than x.
func (r *Reader) Moving() []bool {
	out := make([]bool, len(r.watch))
	for i, w := range r.watch {
		out[i] = w.moving
	}
	return out
}

// Read writes the enclosure of each node over the open stretch a < x < b to out (as many as Moving has). in holds the
// enclosures of all inputs as functions of x (that of x itself is not read); where it is nil, only the nodes that
// depend on x alone are worked out. It does not allocate.
func (r *Reader) Read(a, b float64, in, out []Enclosure) {
	code := r.still
	if in != nil {
		copy(r.r[:r.inputs], in)
		code = r.all
	}
	half := (b - a) / 2
	r.r[r.x] = Enclosure{a, b, 1, 1, a + half}
	for _, i := range code {
		s := &r.code[i]
		r.r[r.results+int(i)] = enclose(s, &r.r[s.a], &r.r[s.b], &r.r[s.c], half)
	}
	for i, w := range r.watch {
		switch {
		case w.moving && in == nil:
		case w.reciprocal:
			one := point(1)
			out[i] = enclose(&step{op: opDiv}, &one, &r.r[w.register], &one, half)
		default:
			out[i] = r.r[w.register]
		}
	}
}

func point(v float64) Enclosure { return Enclosure{v, v, 0, 0, v} }

type interval = function.Interval

func (e *Enclosure) value() interval { return interval{Lo: e.Lo, Hi: e.Hi} }
func (e *Enclosure) slope() interval { return interval{Lo: e.SlopeLo, Hi: e.SlopeHi} }

// enclose works out one instruction over a stretch of half the given length.
func enclose(s *step, a, b, c *Enclosure, half float64) Enclosure {
	var v, d interval
	mid := 0.0
	switch s.op {
	case opAdd:
		mid, v, d = a.Mid+b.Mid, a.value().Plus(b.value()), a.slope().Plus(b.slope())
	case opSub:
		mid, v, d = a.Mid-b.Mid, a.value().Plus(b.value().Negative()), a.slope().Plus(b.slope().Negative())
	case opNegate:
		return a.negative()
	case opMul:
		mid, v = a.Mid*b.Mid, a.value().Times(b.value())
		d = a.slope().Times(b.value()).Plus(a.value().Times(b.slope()))
	case opDiv:
		over := b.value().Inverse()
		mid, v = a.Mid/b.Mid, a.value().Times(over)
		d = a.slope().Plus(v.Times(b.slope()).Negative()).Times(over)
	case opSquare:
		mid, v = a.Mid*a.Mid, a.value().Power(2)
		d = interval{Lo: 2 * a.Lo, Hi: 2 * a.Hi}.Times(a.slope())
	case opMin:
		return least2(a, b)
	case opMax:
		p, q := a.negative(), b.negative()
		m := least2(&p, &q)
		return m.negative()
	case opLess, opLessOrEqual:
		switch {
		case a.Hi <= b.Lo:
			return point(1)
		case a.Lo >= b.Hi:
			return point(0)
		}
		return Enclosure{0, 1, math.Inf(-1), math.Inf(1), apply(s.op, 0, a.Mid, b.Mid, 0)}
	case opChoose:
		return choice(a, b, c)
	case opPow:
		v, by, byExponent := a.value().Pow(b.value())
		d = by.Times(a.slope()).Plus(byExponent.Times(b.slope()))
		return meanValue(math.Pow(a.Mid, b.Mid), v, d, half)
	case opPower:
		n := int(s.n)
		mid, v = function.Power(a.Mid, n), a.value().Power(n)
		d = a.value().Power(n - 1).Times(interval{Lo: float64(n), Hi: float64(n)}).Times(a.slope())
	default:
		f := functions[s.op-opFunction]
		mid = f.At(int(s.n), a.Mid)
		v, d = f.Enclose(int(s.n), a.value())
		d = d.Times(a.slope())
	}
	return meanValue(mid, v, d, half)
}

// meanValue cuts the natural bounds v with the mean value form.
func meanValue(mid float64, v, d interval, half float64) Enclosure {
	if math.IsNaN(mid) {
		return Enclosure{math.Inf(-1), math.Inf(1), math.Inf(-1), math.Inf(1), mid}
	}
	v, d = v.Sane(), d.Sane()
	const ulps = 4.0 / (1 << 52)
	if r := half*max(math.Abs(d.Lo), math.Abs(d.Hi)) + ulps*math.Abs(mid); r < math.Inf(1) {
		v.Lo, v.Hi = max(v.Lo, mid-r), min(v.Hi, mid+r)
	}
	return Enclosure{min(v.Lo, mid), max(v.Hi, mid), d.Lo, d.Hi, mid}
}

// least2 encloses the smaller of two.
func least2(a, b *Enclosure) Enclosure {
	switch {
	case a.Hi <= b.Lo:
		return *a
	case b.Hi <= a.Lo:
		return *b
	}
	d := a.slope().Join(b.slope())
	return Enclosure{min(a.Lo, b.Lo), min(a.Hi, b.Hi), d.Lo, d.Hi, least(a.Mid, b.Mid)}
}

func (e *Enclosure) negative() Enclosure {
	return Enclosure{-e.Hi, -e.Lo, -e.SlopeHi, -e.SlopeLo, -e.Mid}
}

// choice encloses a or b, as c is 1 or 0. Where c changes, so may the value: a jump.
func choice(a, b, c *Enclosure) Enclosure {
	switch {
	case c.Lo == 1:
		return *a
	case c.Hi == 0:
		return *b
	}
	v := a.value().Join(b.value())
	return Enclosure{v.Lo, v.Hi, math.Inf(-1), math.Inf(1), apply(opChoose, 0, a.Mid, b.Mid, c.Mid)}
}
