package tape

import (
	"math"
)

// opcode is what an instruction does to its operands a, b, c (registers) and n (a literal).
type opcode uint8

const (
	opAdd opcode = iota
	opSub
	opMul
	opDiv
	opNegate
	opSquare
	opPower       // a^n, n whole, |n| <= maxProduct
	opPow         // a^b
	opMin         // of a and b
	opMax         // of a and b
	opLess        // 1 where a < b, else 0; NaN where either is NaN
	opLessOrEqual // likewise
	opChoose      // a where c is 1, b where c is 0, NaN where c is NaN
	opBesselJ     // Bessel functions of order n at a
	opBesselY
	opBesselI
	opBesselK
	opPolygamma // of order n at a
	opUnary     // the first of the functions of one argument; see unaries
)

// maxProduct is the largest whole exponent that is worked out as a product; beyond it math.Pow, which
// keeps track of the exponent separately, is as good.
const maxProduct = 32

// unary is a function of one argument.
type unary struct {
	name  string
	value func(x float64) float64
	// slope is the derivative at x where the value is v.
	slope func(x, v float64) float64
}

// unaries are the functions of one argument; the opcode of unaries[i] is opUnary + i.
var unaries = []unary{
	{"sin", math.Sin, func(x, v float64) float64 { return math.Cos(x) }},
	{"cos", math.Cos, func(x, v float64) float64 { return -math.Sin(x) }},
	{"tan", math.Tan, func(x, v float64) float64 { return 1 + v*v }},
	{"sec", func(x float64) float64 { return 1 / math.Cos(x) }, func(x, v float64) float64 { return v * math.Tan(x) }},
	{"csc", func(x float64) float64 { return 1 / math.Sin(x) },
		func(x, v float64) float64 { return -v * v * math.Cos(x) }},
	{"cot", func(x float64) float64 { return 1 / math.Tan(x) }, func(x, v float64) float64 { return -(1 + v*v) }},
	{"asin", math.Asin, func(x, v float64) float64 { return 1 / math.Sqrt((1-x)*(1+x)) }},
	{"acos", math.Acos, func(x, v float64) float64 { return -1 / math.Sqrt((1-x)*(1+x)) }},
	{"atan", math.Atan, func(x, v float64) float64 { return 1 / (1 + x*x) }},
	{"sinh", math.Sinh, func(x, v float64) float64 { return math.Cosh(x) }},
	{"cosh", math.Cosh, func(x, v float64) float64 { return math.Sinh(x) }},
	// The slopes of tanh and coth by way of cosh and sinh keep their digits where v is close to 1.
	{"tanh", math.Tanh, func(x, v float64) float64 { c := math.Cosh(x); return 1 / c / c }},
	{"sech", func(x float64) float64 { return 1 / math.Cosh(x) },
		func(x, v float64) float64 { return -v * math.Tanh(x) }},
	{"csch", func(x float64) float64 { return 1 / math.Sinh(x) },
		func(x, v float64) float64 { return -v / math.Tanh(x) }},
	{"coth", func(x float64) float64 { return 1 / math.Tanh(x) },
		func(x, v float64) float64 { s := math.Sinh(x); return -1 / s / s }},
	{"asinh", math.Asinh, func(x, v float64) float64 { return 1 / math.Hypot(1, x) }},
	{"acosh", math.Acosh, func(x, v float64) float64 { return 1 / (math.Sqrt(x-1) * math.Sqrt(x+1)) }},
	{"atanh", math.Atanh, func(x, v float64) float64 { return 1 / ((1 - x) * (1 + x)) }},
	{"exp", math.Exp, func(x, v float64) float64 { return v }},
	{"ln", math.Log, func(x, v float64) float64 { return 1 / x }},
	{"log10", log10, func(x, v float64) float64 { return 1 / (x * math.Ln10) }},
	{"sqrt", math.Sqrt, func(x, v float64) float64 { return 0.5 / v }},
	{"cbrt", math.Cbrt, func(x, v float64) float64 { return 1 / (3 * v * v) }},
	{"abs", math.Abs, func(x, v float64) float64 { return sign(x) }},
	{"sign", sign, zeroSlope},
	{"heaviside", heaviside, zeroSlope},
	{"erf", math.Erf, func(x, v float64) float64 { return 2 / math.SqrtPi * math.Exp(-x*x) }},
	{"erfc", math.Erfc, func(x, v float64) float64 { return -2 / math.SqrtPi * math.Exp(-x*x) }},
	{"gamma", math.Gamma, gammaSlope},
	{"airyAi", airyAi, func(x, v float64) float64 { return airyAiPrime(x) }},
	{"airyAiPrime", airyAiPrime, func(x, v float64) float64 { return x * airyAi(x) }},
}

// ordered are the functions whose first argument is a literal whole order.
var ordered = map[string]opcode{
	"besselJ": opBesselJ, "besselY": opBesselY, "besselI": opBesselI, "besselK": opBesselK, "polygamma": opPolygamma,
}

// named are the functions that are an ordered one with its order in the name.
var named = map[string]struct {
	function string
	order    int
}{
	"J0": {"besselJ", 0}, "J1": {"besselJ", 1}, "Y0": {"besselY", 0}, "Y1": {"besselY", 1},
	"I0": {"besselI", 0}, "I1": {"besselI", 1}, "K0": {"besselK", 0}, "K1": {"besselK", 1},
}

// The functions that extended numbers know.
var (
	opExp, opSinh, opCosh = unaryOf["exp"], unaryOf["sinh"], unaryOf["cosh"]
	opSech, opCsch        = unaryOf["sech"], unaryOf["csch"]
	opTanh, opCoth        = unaryOf["tanh"], unaryOf["coth"]
	opLog10, opCbrt       = unaryOf["log10"], unaryOf["cbrt"]
	opLn, opSqrt, opAbs   = unaryOf["ln"], unaryOf["sqrt"], unaryOf["abs"]
)

// unaryOf maps the name of a function of one argument to its opcode.
var unaryOf = func() map[string]opcode {
	m := make(map[string]opcode, len(unaries))
	for i, u := range unaries {
		m[u.name] = opUnary + opcode(i)
	}
	return m
}()

func zeroSlope(x, v float64) float64 { return 0 }

// apply works out one instruction.
func apply(op opcode, n int, a, b, c float64) float64 {
	switch op {
	case opAdd:
		return a + b
	case opSub:
		return a - b
	case opMul:
		return a * b
	case opDiv:
		return a / b
	case opNegate:
		return -a
	case opSquare:
		return a * a
	case opPower:
		return power(a, n)
	case opPow:
		return math.Pow(a, b)
	case opMin:
		return least(a, b)
	case opMax:
		return -least(-a, -b)
	case opLess:
		return truth(a < b, a, b)
	case opLessOrEqual:
		return truth(a <= b, a, b)
	case opChoose:
		switch c {
		case 1:
			return a
		case 0:
			return b
		}
		return math.NaN()
	case opBesselJ:
		return math.Jn(n, a)
	case opBesselY:
		return math.Yn(n, a)
	case opBesselI:
		return besselI(n, a)
	case opBesselK:
		return besselK(n, a)
	case opPolygamma:
		return polygamma(n, a)
	}
	return unaries[op-opUnary].value(a)
}

// slopes returns the derivatives of one instruction by a and by b where its value is v. That by the
// exponent of a power is left out (0) where the exponent is a constant, as it costs a logarithm.
func slopes(op opcode, n int, a, b, c, v float64, constantExponent bool) (da, db float64) {
	switch op {
	case opAdd:
		return 1, 1
	case opSub:
		return 1, -1
	case opMul:
		return b, a
	case opDiv:
		return 1 / b, -v / b
	case opNegate:
		return -1, 0
	case opSquare:
		return 2 * a, 0
	case opPower:
		return float64(n) * power(a, n-1), 0
	case opPow:
		return powSlopes(a, b, v, constantExponent)
	case opMin:
		return pick(a <= b, a, b)
	case opMax:
		return pick(a >= b, a, b)
	case opLess, opLessOrEqual:
		return 0, 0
	case opChoose:
		switch c {
		case 1:
			return 1, 0
		case 0:
			return 0, 1
		}
		return math.NaN(), math.NaN()
	case opBesselJ: // A&S 9.1.27
		return besselSlope(math.Jn, n, a, 1, -1), 0
	case opBesselY:
		return besselSlope(math.Yn, n, a, 1, -1), 0
	case opBesselI: // A&S 9.6.26
		return besselSlope(besselI, n, a, 1, 1), 0
	case opBesselK:
		return besselSlope(besselK, n, a, -1, -1), 0
	case opPolygamma:
		return polygamma(n+1, a), 0
	}
	if v != v {
		return v, 0
	}
	return unaries[op-opUnary].slope(a, v), 0
}

// besselSlope is the derivative (s f(n-1, x) + t f(n+1, x))/2 of a Bessel function of order n. At order 0 the two
// are the same but for a sign, and one evaluation does.
func besselSlope(f func(int, float64) float64, n int, x, s, t float64) float64 {
	if n == 0 {
		return t * f(1, x)
	}
	return 0.5 * (s*f(n-1, x) + t*f(n+1, x))
}

// powSlopes returns the derivatives of v = a^b by a and by b. As a^0 is 1 for every a, its derivative by a is 0;
// and as 0^b is 0 for every b > 0, that derivative by b is 0.
func powSlopes(a, b, v float64, constantExponent bool) (da, db float64) {
	if v != v {
		return v, v
	}
	if b != 0 {
		da = b * math.Pow(a, b-1)
	}
	switch {
	case constantExponent:
	case a == 0 && b > 0:
	default:
		db = v * math.Log(a)
	}
	return da, db
}

func pick(first bool, a, b float64) (da, db float64) {
	switch {
	case a != a || b != b:
		return math.NaN(), math.NaN()
	case first:
		return 1, 0
	}
	return 0, 1
}

// power returns x^n by multiplication.
func power(x float64, n int) float64 {
	if n < 0 {
		return 1 / power(x, -n)
	}
	p := 1.0
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			p *= x
		}
		x *= x
	}
	return p
}

// least is the smaller number; NaN if either is, unlike math.Min, which returns -Inf for -Inf and NaN.
func least(a, b float64) float64 {
	switch {
	case a <= b:
		return a
	case b < a:
		return b
	}
	return math.NaN()
}

func truth(holds bool, a, b float64) float64 {
	switch {
	case holds:
		return 1
	case a != a || b != b:
		return math.NaN()
	}
	return 0
}

func sign(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return x // 0 or NaN
}

func heaviside(x float64) float64 { return 0.5 + 0.5*sign(x) }

// log10 is exact at the powers of ten, where math.Log10 is not.
func log10(x float64) float64 {
	v := math.Log10(x)
	if r := math.Round(v); r != v && math.Abs(r) < 300 && math.Pow10(int(r)) == x {
		return r
	}
	return v
}
