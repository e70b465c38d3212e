package tape

import "math"

// shape is what bounds of a function and of its derivative rest on: both are monotone between the points named, so that
// their extremes over an interval stand at its ends and at these points.
type shape struct {
	turns  []float64 // extremes of the function
	bends  []float64 // extremes of its derivative, and its infinities
	domain interval  // where it is real
	pole   bool      // at 0
}

// sechBend is ln(1 + √2), where the derivative of sech is least.
const sechBend = 0.88137358701954302523

var zero = []float64{0}

// shapes are the functions of one argument that have few extremes, by opcode.
var shapes = func() []*shape {
	list := make([]*shape, len(unaries))
	for name, s := range map[string]shape{
		"asin":      {bends: zero, domain: interval{-1, 1}},
		"acos":      {bends: zero, domain: interval{-1, 1}},
		"atan":      {bends: zero, domain: everything},
		"sinh":      {bends: zero, domain: everything},
		"cosh":      {turns: zero, domain: everything},
		"tanh":      {bends: zero, domain: everything},
		"sech":      {turns: zero, bends: []float64{-sechBend, sechBend}, domain: everything},
		"csch":      {pole: true, domain: everything},
		"coth":      {pole: true, domain: everything},
		"asinh":     {bends: zero, domain: everything},
		"acosh":     {domain: interval{1, math.Inf(1)}},
		"atanh":     {bends: zero, domain: interval{-1, 1}},
		"exp":       {domain: everything},
		"ln":        {domain: interval{0, math.Inf(1)}},
		"log10":     {domain: interval{0, math.Inf(1)}},
		"sqrt":      {domain: interval{0, math.Inf(1)}},
		"cbrt":      {bends: zero, domain: everything},
		"abs":       {turns: zero, domain: everything},
		"sign":      {domain: everything},
		"heaviside": {domain: everything},
		"erf":       {bends: zero, domain: everything},
		"erfc":      {bends: zero, domain: everything},
	} {
		list[unaryOf[name]-opUnary] = &s
	}
	return list
}()

var (
	opSin, opCos, opTan = unaryOf["sin"], unaryOf["cos"], unaryOf["tan"]
	opSec, opCsc, opCot = unaryOf["sec"], unaryOf["csc"], unaryOf["cot"]
	opSign, opHeaviside = unaryOf["sign"], unaryOf["heaviside"]
	opGamma             = unaryOf["gamma"]
)

// function bounds an operation of one operand, and its derivative by that, on an interval.
func function(op opcode, n int, a interval) (v, d interval) {
	switch op {
	case opPower:
		v = powerOf(a, n)
		d = powerOf(a, n-1)
		return v, times(d, interval{float64(n), float64(n)})
	case opSin:
		return wave(math.Sin, a, math.Pi/2), wave(math.Cos, a, 0)
	case opCos:
		return wave(math.Cos, a, 0), negative(wave(math.Sin, a, math.Pi/2))
	case opTan, opSec:
		if crosses(a, math.Pi/2) {
			return everything, everything
		}
		t := interval{math.Tan(a.lo), math.Tan(a.hi)}
		if op == opTan {
			s := powerOf(t, 2)
			return t, interval{1 + s.lo, 1 + s.hi}
		}
		v = inverse(wave(math.Cos, a, 0))
		return v, times(v, t)
	case opCsc, opCot:
		if crosses(a, 0) {
			return everything, everything
		}
		t := interval{1 / math.Tan(a.hi), 1 / math.Tan(a.lo)}
		if op == opCot {
			s := powerOf(t, 2)
			return t, interval{-1 - s.hi, -1 - s.lo}
		}
		v = inverse(wave(math.Sin, a, math.Pi/2))
		return v, negative(times(v, t))
	case opSign, opHeaviside:
		v = interval{apply(op, n, a.lo, 0, 0), apply(op, n, a.hi, 0, 0)}
		switch {
		case a.lo >= 0 && a.hi > 0: // an open stretch: the end at 0 is not taken
			v.lo = 1
		case a.hi <= 0 && a.lo < 0:
			v.hi = v.lo
		default:
			return v, everything
		}
		return v, interval{}
	case opGamma, opPolygamma:
		if a.lo <= 0 && math.Floor(min(a.hi, 0)) >= a.lo {
			return everything, everything // poles at 0, −1, −2, …
		}
	}
	if op >= opUnary {
		if s := shapes[op-opUnary]; s != nil {
			return s.of(op, a)
		}
	}
	return sampled(op, n, a)
}

// of bounds a function of this shape.
func (s *shape) of(op opcode, a interval) (v, d interval) {
	if a.hi < s.domain.lo || a.lo > s.domain.hi || s.pole && a.has(0) {
		return everything, everything
	}
	// What lies outside has no value; the rest is bounded.
	a = interval{max(a.lo, s.domain.lo), min(a.hi, s.domain.hi)}
	u := &unaries[op-opUnary]
	p, q := u.value(a.lo), u.value(a.hi)
	e, f := u.slope(a.lo, p), u.slope(a.hi, q)
	v, d = interval{min(p, q), max(p, q)}, interval{min(e, f), max(e, f)}
	for _, t := range s.turns {
		if a.has(t) {
			p = u.value(t)
			v = interval{min(v.lo, p), max(v.hi, p)}
		}
	}
	for _, t := range s.bends {
		if a.has(t) {
			e = u.slope(t, u.value(t))
			d = interval{min(d.lo, e), max(d.hi, e)}
		}
	}
	return sane(v), sane(d)
}

// wave bounds the sine or the cosine f, whose maxima are at top + 2kπ.
func wave(f func(float64) float64, a interval, top float64) interval {
	if !(a.hi-a.lo < 2*math.Pi) {
		return interval{-1, 1}
	}
	p, q := f(a.lo), f(a.hi)
	v := interval{min(p, q), max(p, q)}
	// The first extreme from a.lo on; there may be one more.
	k := math.Ceil((a.lo - top) / math.Pi)
	for range 3 {
		if top+k*math.Pi > a.hi {
			break
		}
		if math.Mod(k, 2) == 0 {
			v.hi = 1
		} else {
			v.lo = -1
		}
		k++
	}
	return v
}

// crosses reports whether an interval holds a point first + kπ, or nearly.
func crosses(a interval, first float64) bool {
	if !(a.hi-a.lo < math.Pi) {
		return true
	}
	return first+math.Ceil((a.lo-first)/math.Pi)*math.Pi <= a.hi
}

// powerOf bounds a^n for a whole n.
func powerOf(a interval, n int) interval {
	if n == 0 {
		return interval{1, 1}
	}
	if n < 0 {
		return inverse(powerOf(a, -n))
	}
	p, q := power(a.lo, n), power(a.hi, n)
	v := interval{min(p, q), max(p, q)}
	if n%2 == 0 && a.has(0) {
		v.lo = 0
	}
	return sane(v)
}

// powOf bounds a^b and its derivatives by a and by b.
func powOf(a, b interval) (v, da, db interval) {
	if b.lo == b.hi && b.lo == math.Trunc(b.lo) && math.Abs(b.lo) < 1<<20 {
		n := int(b.lo)
		return powerOf(a, n), times(b, powerOf(a, n-1)), interval{}
	}
	if a.hi < 0 {
		return everything, everything, everything
	}
	a.lo = max(a.lo, 0) // a negative number has no such power
	v = realPower(a, b)
	da = times(b, realPower(a, interval{b.lo - 1, b.hi - 1}))
	if b.lo != b.hi {
		db = times(v, interval{math.Log(a.lo), math.Log(a.hi)})
	}
	return v, da, db
}

// realPower bounds a^b for a ≥ 0: it is monotone in either.
func realPower(a, b interval) interval {
	p, q, r, s := math.Pow(a.lo, b.lo), math.Pow(a.lo, b.hi), math.Pow(a.hi, b.lo), math.Pow(a.hi, b.hi)
	return sane(interval{min(p, q, r, s), max(p, q, r, s)})
}

// sampled bounds a function by its values at some points, widened by the largest step between neighbours.
func sampled(op opcode, n int, a interval) (v, d interval) {
	if !a.bounded() {
		return everything, everything
	}
	const points = 8
	v, d = interval{math.Inf(1), math.Inf(-1)}, interval{math.Inf(1), math.Inf(-1)}
	var value, slope, step, bend float64
	for i := range points + 1 {
		x := a.lo + (a.hi-a.lo)*float64(i)/points
		p := apply(op, n, x, 0, 0)
		e, _ := slopes(op, n, x, 0, 0, p, false)
		if math.IsNaN(p) || math.IsNaN(e) {
			return everything, everything
		}
		if i > 0 {
			step, bend = max(step, math.Abs(p-value)), max(bend, math.Abs(e-slope))
		}
		value, slope = p, e
		v, d = interval{min(v.lo, p), max(v.hi, p)}, interval{min(d.lo, e), max(d.hi, e)}
	}
	return sane(interval{v.lo - step, v.hi + step}), sane(interval{d.lo - bend, d.hi + bend})
}
