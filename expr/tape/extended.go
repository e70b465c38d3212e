package tape

import "math"

// extended is a number m 2^e whose exponent has no limits in practice. A tape whose values or derivatives are not
// finite is evaluated once more with such numbers: exp(800 x)/(1 + exp(800 x)) is 1 at x = 1, although neither of its
// parts is a double.
type extended struct {
	m float64 // 1/2 <= |m| < 1; 0, NaN and infinities stand for themselves
	e int
}

func widen(v float64) extended {
	m, e := math.Frexp(v)
	return extended{m, e}
}

// scaled normalises m 2^e.
func scaled(m float64, e int) extended {
	if m == 0 || math.IsNaN(m) || math.IsInf(m, 0) {
		return extended{m, 0}
	}
	f, d := math.Frexp(m)
	return extended{f, e + d}
}

// narrow returns the nearest double; infinite or 0 beyond the range of doubles.
func (a extended) narrow() float64 { return math.Ldexp(a.m, a.e) }

func (a extended) finite() bool { return !math.IsNaN(a.m) && !math.IsInf(a.m, 0) }

func (a extended) negated() extended { return extended{-a.m, a.e} }

func (a extended) times(b extended) extended { return scaled(a.m*b.m, a.e+b.e) }

func (a extended) over(b extended) extended { return scaled(a.m/b.m, a.e-b.e) }

func (a extended) plus(b extended) extended {
	switch {
	case !a.finite() || !b.finite():
		return extended{a.m + b.m, 0}
	case a.m == 0:
		return b
	case b.m == 0:
		return a
	case a.e < b.e:
		a, b = b, a
	}
	if a.e-b.e > 64 {
		return a
	}
	return scaled(a.m+math.Ldexp(b.m, b.e-a.e), a.e)
}

// less reports whether a < b.
func (a extended) less(b extended) bool { return a.plus(b.negated()).m < 0 }

// power returns a^n for a whole n.
func (a extended) power(n int) extended {
	if n < 0 {
		return widen(1).over(a.power(-n))
	}
	p := widen(1)
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			p = p.times(a)
		}
		a = a.times(a)
	}
	return p
}

// ln returns the natural logarithm.
func (a extended) ln() float64 { return math.Log(a.m) + float64(a.e)*math.Ln2 }

// exponential returns e^x. Its relative error is that of x, about |x|/2^53, as that of any exponential function.
func exponential(x float64) extended {
	k := math.Round(x / math.Ln2)
	if !(math.Abs(k) < 1<<52) {
		return widen(math.Exp(x))
	}
	const high, low = 6.93147180369123816490e-01, 1.90821492927058770002e-10 // ln 2 in two parts, the first of 32 bits
	return scaled(math.Exp((x-k*high)-k*low), int(k))
}

// pow returns a^b.
func (a extended) pow(b float64) extended {
	v := math.Pow(a.narrow(), b)
	if v != 0 && !math.IsInf(v, 0) && !math.IsNaN(v) || !a.finite() || a.m <= 0 {
		return widen(v)
	}
	return exponential(b * a.ln())
}

// applyWide works out one instruction.
func applyWide(op opcode, n int, a, b, c extended) extended {
	switch op {
	case opAdd:
		return a.plus(b)
	case opSub:
		return a.plus(b.negated())
	case opMul:
		return a.times(b)
	case opDiv:
		return a.over(b)
	case opNegate:
		return a.negated()
	case opSquare:
		return a.times(a)
	case opPower:
		return a.power(n)
	case opPow:
		return a.pow(b.narrow())
	case opMin, opMax:
		switch {
		case math.IsNaN(a.m) || math.IsNaN(b.m):
			return extended{math.NaN(), 0}
		case a.less(b) == (op == opMin):
			return a
		}
		return b
	case opLess:
		return widen(truth(a.less(b), a.m, b.m))
	case opLessOrEqual:
		return widen(truth(!b.less(a) && !math.IsNaN(a.m) && !math.IsNaN(b.m), a.m, b.m))
	case opChoose:
		switch c.narrow() {
		case 1:
			return a
		case 0:
			return b
		}
		return extended{math.NaN(), 0}
	case opExp:
		return exponential(a.narrow())
	case opSinh, opCosh:
		x := a.narrow()
		if math.Abs(x) < 40 {
			return widen(apply(op, n, x, 0, 0))
		}
		half := exponential(math.Abs(x))
		half.e--
		if op == opSinh && x < 0 {
			return half.negated()
		}
		return half
	case opLn:
		if a.m > 0 && a.finite() {
			return widen(a.ln())
		}
	case opSqrt:
		if a.finite() && a.m > 0 {
			e := a.e &^ 1
			return scaled(math.Sqrt(math.Ldexp(a.m, a.e-e)), e/2)
		}
	case opAbs:
		return extended{math.Abs(a.m), a.e}
	case opSech:
		return widen(1).over(applyWide(opCosh, 0, a, b, c))
	case opCsch:
		return widen(1).over(applyWide(opSinh, 0, a, b, c))
	case opLog10:
		if a.m > 0 && a.finite() {
			return widen(a.ln() / math.Ln10)
		}
	case opCbrt:
		if a.finite() {
			e := a.e - (a.e%3+3)%3
			return scaled(math.Cbrt(math.Ldexp(a.m, a.e-e)), e/3)
		}
	}
	return widen(apply(op, n, a.narrow(), b.narrow(), c.narrow()))
}

// slopesWide returns the derivatives of one instruction by a and by b where its value is v.
func slopesWide(s *step, a, b, c, v extended) (da, db extended) {
	one := widen(1)
	switch s.op {
	case opMul:
		return b, a
	case opDiv:
		q := one.over(b)
		return q, v.times(q).negated()
	case opSquare:
		return widen(2).times(a), extended{}
	case opPower:
		return widen(float64(s.n)).times(a.power(int(s.n) - 1)), extended{}
	case opPow:
		if a.m == 0 {
			break
		}
		da = b.times(v).over(a)
		if !s.constantExponent {
			db = v.times(widen(a.ln()))
		}
		return da, db
	case opMin, opMax:
		if a.less(b) == (s.op == opMin) {
			return one, extended{}
		}
		return extended{}, one
	case opExp:
		return v, extended{}
	case opSinh:
		return applyWide(opCosh, 0, a, b, c), extended{}
	case opCosh:
		return applyWide(opSinh, 0, a, b, c), extended{}
	case opLn:
		return one.over(a), extended{}
	case opSqrt:
		return widen(0.5).over(v), extended{}
	case opCbrt:
		return widen(1. / 3).over(v.times(v)), extended{}
	case opLog10:
		return widen(1 / math.Ln10).over(a), extended{}
	case opSech:
		return v.times(widen(-math.Tanh(a.narrow()))), extended{}
	case opCsch:
		return v.over(widen(-math.Tanh(a.narrow()))), extended{}
	case opTanh, opCoth:
		square := applyWide(opCosh, 0, a, b, c)
		if s.op == opCoth {
			square = applyWide(opSinh, 0, a, b, c)
		}
		square = one.over(square.times(square))
		if s.op == opCoth {
			square = square.negated()
		}
		return square, extended{}
	}
	x, y := slopes(s.op, int(s.n), a.narrow(), b.narrow(), c.narrow(), v.narrow(), s.constantExponent)
	return widen(x), widen(y)
}

// extendedTape is the room for an evaluation with extended numbers.
type extendedTape struct {
	r, adjoint []extended
	slope      [][2]extended
}

// forwardWide works out the registers, and the derivatives of each result by its operands.
func (t *Tape) forwardWide(in []float64) *extendedTape {
	if t.extended == nil {
		t.extended = &extendedTape{make([]extended, len(t.r)), make([]extended, len(t.r)),
			make([][2]extended, len(t.code))}
	}
	w := t.extended
	for i, v := range in {
		w.r[i] = widen(v)
	}
	for i, v := range t.constants {
		w.r[t.inputs+i] = widen(v)
	}
	for i := range t.code {
		s := &t.code[i]
		a, b, c := w.r[s.a], w.r[s.b], w.r[s.c]
		v := applyWide(s.op, int(s.n), a, b, c)
		da, db := slopesWide(s, a, b, c, v)
		w.r[t.results+i], w.slope[i] = v, [2]extended{da, db}
	}
	return w
}

// evalWide replaces what is not finite by what extended numbers give.
func (t *Tape) evalWide(in, out []float64) {
	w := t.forwardWide(in)
	for i, at := range t.roots {
		if v := w.r[at].narrow(); !isFinite(out[i]) && isFinite(v) {
			out[i] = v
		}
	}
}

// jacobianWide does so with derivatives too.
func (t *Tape) jacobianWide(in, out, jac []float64) {
	w := t.forwardWide(in)
	for i, at := range t.roots {
		row := jac[i*t.inputs : (i+1)*t.inputs]
		if int(at) < t.results || isFinite(out[i]) && allFinite(row) {
			continue
		}
		v := w.r[at].narrow()
		if !isFinite(v) {
			continue
		}
		if !isFinite(out[i]) {
			out[i] = v
		}
		clear(w.adjoint)
		w.adjoint[at] = widen(1)
		for j := int(at) - t.results; j >= 0; j-- {
			d := w.adjoint[t.results+j]
			if d.m == 0 {
				continue
			}
			s := &t.code[j]
			if p := w.slope[j][0]; p.m != 0 {
				w.adjoint[s.a] = w.adjoint[s.a].plus(d.times(p))
			}
			if p := w.slope[j][1]; p.m != 0 {
				w.adjoint[s.b] = w.adjoint[s.b].plus(d.times(p))
			}
		}
		for j := range row {
			row[j] = w.adjoint[j].narrow()
		}
	}
}

func isFinite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func allFinite(row []float64) bool {
	for _, v := range row {
		if !isFinite(v) {
			return false
		}
	}
	return true
}
