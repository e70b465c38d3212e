package function

import "math"

// Extended is a number M 2^E whose exponent has no limits in practice. A formula whose value or derivative is not
// finite is evaluated once more with such numbers: exp(800 x)/(1 + exp(800 x)) is 1 at x = 1, although neither of its
// parts is a double.
type Extended struct {
	M float64 // 1/2 <= |m| < 1; 0, NaN and infinities stand for themselves
	E int
}

// Widen returns a double as an extended number.
func Widen(v float64) Extended {
	m, e := math.Frexp(v)
	return Extended{m, e}
}

// scaled normalises m 2^e.
func scaled(m float64, e int) Extended {
	if m == 0 || math.IsNaN(m) || math.IsInf(m, 0) {
		return Extended{m, 0}
	}
	f, d := math.Frexp(m)
	return Extended{f, e + d}
}

// Narrow returns the nearest double; infinite or 0 beyond the range of doubles.
//
//go:noinline
func (a Extended) Narrow() float64 { return math.Ldexp(a.M, a.E) }

// Finite reports whether a is a number, and no infinity.
//
//go:noinline
func (a Extended) Finite() bool { return !math.IsNaN(a.M) && !math.IsInf(a.M, 0) }

// Negated is -a.
func (a Extended) Negated() Extended { return Extended{-a.M, a.E} }

// Times is a b.
//
//go:noinline
func (a Extended) Times(b Extended) Extended { return scaled(a.M*b.M, a.E+b.E) }

// Over is a/b.
//
//go:noinline
func (a Extended) Over(b Extended) Extended { return scaled(a.M/b.M, a.E-b.E) }

// Plus is a + b.
func (a Extended) Plus(b Extended) Extended {
	switch {
	case !a.Finite() || !b.Finite():
		return Extended{a.M + b.M, 0}
	case a.M == 0:
		return b
	case b.M == 0:
		return a
	case a.E < b.E:
		a, b = b, a
	}
	if a.E-b.E > 64 {
		return a
	}
	return scaled(a.M+math.Ldexp(b.M, b.E-a.E), a.E)
}

// Less reports whether a < b.
//
//go:noinline
func (a Extended) Less(b Extended) bool { return a.Plus(b.Negated()).M < 0 }

// Power returns a^n for a whole n.
func (a Extended) Power(n int) Extended {
	if n < 0 {
		return Widen(1).Over(a.Power(-n))
	}
	p := Widen(1)
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			p = p.Times(a)
		}
		a = a.Times(a)
	}
	return p
}

// Ln returns the natural logarithm.
//
//go:noinline
func (a Extended) Ln() float64 { return math.Log(a.M) + float64(a.E)*math.Ln2 }

// Exponential returns e^x. Its relative error is that of x, about |x|/2^53, as that of any exponential function.
func Exponential(x float64) Extended {
	k := math.Round(x / math.Ln2)
	if !(math.Abs(k) < 1<<52) {
		return Widen(math.Exp(x))
	}
	const high, low = 6.93147180369123816490e-01, 1.90821492927058770002e-10 // Ln 2 in two parts, the first of 32 bits
	return scaled(math.Exp((x-k*high)-k*low), int(k))
}

// Pow returns a^b.
func (a Extended) Pow(b float64) Extended {
	v := math.Pow(a.Narrow(), b)
	if v != 0 && !math.IsInf(v, 0) && !math.IsNaN(v) || !a.Finite() || a.M <= 0 {
		return Widen(v)
	}
	return Exponential(b * a.Ln())
}

// beyond is a function where its argument or its value is no double. Either may be nil: doubles serve.
type beyond struct {
	value func(a Extended) Extended
	slope func(a, v Extended) Extended
}

// inverseOf is 1 over a function.
func inverseOf(f func(Extended) Extended) func(Extended) Extended {
	return func(a Extended) Extended { return Widen(1).Over(f(a)) }
}

func sinhBeyond(a Extended) Extended {
	x := a.Narrow()
	if math.Abs(x) < 40 {
		return Widen(math.Sinh(x))
	}
	if x < 0 {
		return halfExponential(-x).Negated()
	}
	return halfExponential(x)
}

func coshBeyond(a Extended) Extended {
	x := a.Narrow()
	if math.Abs(x) < 40 {
		return Widen(math.Cosh(x))
	}
	return halfExponential(math.Abs(x))
}

func sechSlope(a, v Extended) Extended { return v.Times(Widen(-math.Tanh(a.Narrow()))) }
func cschSlope(a, v Extended) Extended { return v.Over(Widen(-math.Tanh(a.Narrow()))) }

// halfExponential is e^x/2.
//
//go:noinline
func halfExponential(x float64) Extended {
	half := Exponential(x)
	half.E--
	return half
}

func expBeyond(a Extended) Extended { return Exponential(a.Narrow()) }

func lnBeyond(a Extended) Extended { return Widen(a.Ln()) }

func log10Beyond(a Extended) Extended { return Widen(a.Ln() / math.Ln10) }

func sqrtBeyond(a Extended) Extended {
	e := a.E &^ 1
	return scaled(math.Sqrt(math.Ldexp(a.M, a.E-e)), e/2)
}

func cbrtBeyond(a Extended) Extended {
	e := a.E - (a.E%3+3)%3
	return scaled(math.Cbrt(math.Ldexp(a.M, a.E-e)), e/3)
}

// inverseSquare is 1/a².
func inverseSquare(a Extended) Extended { return Widen(1).Over(a.Times(a)) }
