package tape

import "math"

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

// interval is the set lo ≤ v ≤ hi.
type interval struct{ lo, hi float64 }

var everything = interval{math.Inf(-1), math.Inf(1)}

func (e *Enclosure) value() interval { return interval{e.Lo, e.Hi} }
func (e *Enclosure) slope() interval { return interval{e.SlopeLo, e.SlopeHi} }

func (a interval) has(v float64) bool { return a.lo <= v && v <= a.hi }

func (a interval) bounded() bool { return a.hi-a.lo < math.Inf(1) } // false for NaN too

func plus(a, b interval) interval { return sane(interval{a.lo + b.lo, a.hi + b.hi}) }

func negative(a interval) interval { return interval{-a.hi, -a.lo} }

// sane replaces what arithmetic with infinities left undefined.
func sane(a interval) interval {
	if !(a.lo <= a.hi) {
		return everything
	}
	return a
}

// times multiplies; 0 times an infinity is 0, as a bound of 0 stands for numbers that are 0.
func times(a, b interval) interval {
	if a.lo == a.hi && a.lo == 0 || b.lo == b.hi && b.lo == 0 {
		return interval{}
	}
	p, q, r, s := product(a.lo, b.lo), product(a.lo, b.hi), product(a.hi, b.lo), product(a.hi, b.hi)
	return sane(interval{min(p, q, r, s), max(p, q, r, s)})
}

func product(a, b float64) float64 {
	if a == 0 || b == 0 {
		return 0
	}
	return a * b
}

// inverse is 1/a; a bound of 0 is taken as approached from inside.
func inverse(a interval) interval {
	switch {
	case a.lo > 0 || a.hi < 0:
		return interval{1 / a.hi, 1 / a.lo}
	case a.lo == 0 && a.hi > 0:
		return interval{1 / a.hi, math.Inf(1)}
	case a.hi == 0 && a.lo < 0:
		return interval{math.Inf(-1), 1 / a.lo}
	}
	return everything
}

func join(a, b interval) interval { return interval{min(a.lo, b.lo), max(a.hi, b.hi)} }

// enclose works out one instruction over a stretch of half the given length.
func enclose(s *step, a, b, c *Enclosure, half float64) Enclosure {
	var v, d interval
	mid := 0.0
	switch s.op {
	case opAdd:
		mid, v, d = a.Mid+b.Mid, plus(a.value(), b.value()), plus(a.slope(), b.slope())
	case opSub:
		mid, v, d = a.Mid-b.Mid, plus(a.value(), negative(b.value())), plus(a.slope(), negative(b.slope()))
	case opNegate:
		return a.negative()
	case opMul:
		mid, v = a.Mid*b.Mid, times(a.value(), b.value())
		d = plus(times(a.slope(), b.value()), times(a.value(), b.slope()))
	case opDiv:
		over := inverse(b.value())
		mid, v = a.Mid/b.Mid, times(a.value(), over)
		d = times(plus(a.slope(), negative(times(v, b.slope()))), over)
	case opSquare:
		mid, v = a.Mid*a.Mid, powerOf(a.value(), 2)
		d = times(interval{2 * a.Lo, 2 * a.Hi}, a.slope())
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
		v, by, byExponent := powOf(a.value(), b.value())
		d = plus(times(by, a.slope()), times(byExponent, b.slope()))
		return meanValue(math.Pow(a.Mid, b.Mid), v, d, half)
	default:
		mid = apply(s.op, int(s.n), a.Mid, b.Mid, c.Mid)
		v, d = function(s.op, int(s.n), a.value())
		d = times(d, a.slope())
	}
	return meanValue(mid, v, d, half)
}

// meanValue cuts the natural bounds v with the mean value form.
func meanValue(mid float64, v, d interval, half float64) Enclosure {
	if math.IsNaN(mid) {
		return Enclosure{math.Inf(-1), math.Inf(1), math.Inf(-1), math.Inf(1), mid}
	}
	v, d = sane(v), sane(d)
	const ulps = 4.0 / (1 << 52)
	if r := half*max(math.Abs(d.lo), math.Abs(d.hi)) + ulps*math.Abs(mid); r < math.Inf(1) {
		v.lo, v.hi = max(v.lo, mid-r), min(v.hi, mid+r)
	}
	return Enclosure{min(v.lo, mid), max(v.hi, mid), d.lo, d.hi, mid}
}

// least2 encloses the smaller of two.
func least2(a, b *Enclosure) Enclosure {
	switch {
	case a.Hi <= b.Lo:
		return *a
	case b.Hi <= a.Lo:
		return *b
	}
	d := join(a.slope(), b.slope())
	return Enclosure{min(a.Lo, b.Lo), min(a.Hi, b.Hi), d.lo, d.hi, least(a.Mid, b.Mid)}
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
	v := join(a.value(), b.value())
	return Enclosure{v.lo, v.hi, math.Inf(-1), math.Inf(1), apply(opChoose, 0, a.Mid, b.Mid, c.Mid)}
}
