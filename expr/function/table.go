package function

import "math"

// A&S is M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, National Bureau of
// Standards, 1964. DLMF is the NIST Digital Library of Mathematical Functions.

// table has a row for each function. The slopes of tanh and coth by way of cosh and sinh keep their digits where the
// value is close to 1; the differential of acosh is not over sqrt(u² − 1), which is real for u < −1 too;
// 1.1283791670955126 is 2/√π.
var table = []Function{
	{
		Name: "sin", Aliases: []string{"Sin"}, Args: 1,
		Value: math.Sin,
		Slope: func(x, v float64) float64 { return math.Cos(x) }, Differential: "cos(u)*du",
		enclose: encloseSin, Rounding: Library,
		Angle: TakesAngle, Raised: true, LaTeX: `\sin`, Display: "sin",
		Python: Code{Call: "np.sin(%s)"}, Octave: Code{Call: "sin(%s)"},
	},
	{
		Name: "cos", Aliases: []string{"Cos"}, Args: 1,
		Value: math.Cos,
		Slope: func(x, v float64) float64 { return -math.Sin(x) }, Differential: "-(sin(u)*du)",
		enclose: encloseCos, Rounding: Library,
		Angle: TakesAngle, Raised: true, LaTeX: `\cos`, Display: "cos",
		Python: Code{Call: "np.cos(%s)"}, Octave: Code{Call: "cos(%s)"},
	},
	{
		Name: "tan", Aliases: []string{"Tan"}, Args: 1,
		Value: math.Tan,
		Slope: func(x, v float64) float64 { return 1 + v*v }, Differential: "sec(u)^2*du",
		enclose: encloseTan, Rounding: Library, Switch: Switch{At: "cos(u)", Pole: true},
		Angle: TakesAngle, Raised: true, LaTeX: `\tan`, Display: "tan",
		Python: Code{Call: "np.tan(%s)"}, Octave: Code{Call: "tan(%s)"},
	},
	{
		Name: "sec", Args: 1,
		Value: func(x float64) float64 { return 1 / math.Cos(x) },
		Slope: func(x, v float64) float64 { return v * math.Tan(x) }, Differential: "v*tan(u)*du",
		enclose: encloseSec, Rounding: Library, Switch: Switch{At: "cos(u)", Pole: true},
		Angle: TakesAngle, Raised: true, LaTeX: `\sec`, Display: "sec",
		Python: Code{Call: "(1/np.cos(%s))"}, Octave: Code{Call: "sec(%s)"},
	},
	{
		Name: "csc", Aliases: []string{"cosec"}, Args: 1,
		Value: func(x float64) float64 { return 1 / math.Sin(x) },
		Slope: func(x, v float64) float64 { return -v * v * math.Cos(x) }, Differential: "-(v*cot(u)*du)",
		enclose: encloseCsc, Rounding: Library, Switch: Switch{At: "sin(u)", Pole: true},
		Angle: TakesAngle, Raised: true, LaTeX: `\csc`, Display: "csc",
		Python: Code{Call: "(1/np.sin(%s))"}, Octave: Code{Call: "csc(%s)"},
	},
	{
		Name: "cot", Args: 1,
		Value: func(x float64) float64 { return 1 / math.Tan(x) },
		Slope: func(x, v float64) float64 { return -(1 + v*v) }, Differential: "-(csc(u)^2*du)",
		enclose: encloseCot, Rounding: Library, Switch: Switch{At: "sin(u)", Pole: true},
		Angle: TakesAngle, Raised: true, LaTeX: `\cot`, Display: "cot",
		Python: Code{Call: "(1/np.tan(%s))"}, Octave: Code{Call: "cot(%s)"},
	},
	{
		Name: "asin", Aliases: []string{"arcsin"}, Args: 1,
		Value: math.Asin,
		Slope: func(x, v float64) float64 { return 1 / math.Sqrt((1-x)*(1+x)) }, Differential: "du/sqrt(1 - u^2)",
		enclose: monotone(Interval{-1, 1}, 0), Rounding: Library, Switch: Switch{At: "(1 - u)*(1 + u)"},
		Angle: GivesAngle, InverseOf: "sin", LaTeX: `\arcsin`, Display: "arcsin",
		Python: Code{Call: "np.arcsin(%s)"}, Octave: Code{Call: "asin(%s)"},
	},
	{
		Name: "acos", Aliases: []string{"arccos"}, Args: 1,
		Value: math.Acos,
		Slope: func(x, v float64) float64 { return -1 / math.Sqrt((1-x)*(1+x)) }, Differential: "-(du/sqrt(1 - u^2))",
		enclose: monotone(Interval{-1, 1}, 0), Rounding: Library, Switch: Switch{At: "(1 - u)*(1 + u)"},
		Angle: GivesAngle, InverseOf: "cos", LaTeX: `\arccos`, Display: "arccos",
		Python: Code{Call: "np.arccos(%s)"}, Octave: Code{Call: "acos(%s)"},
	},
	{
		Name: "atan", Aliases: []string{"arctan"}, Args: 1,
		Value: math.Atan,
		Slope: func(x, v float64) float64 { return 1 / (1 + x*x) }, Differential: "du/(1 + u^2)",
		enclose: monotone(Everything, 0), Rounding: Library,
		Angle: GivesAngle, InverseOf: "tan", LaTeX: `\arctan`, Display: "arctan",
		Python: Code{Call: "np.arctan(%s)"}, Octave: Code{Call: "atan(%s)"},
	},
	{
		Name: "sinh", Args: 1,
		Value: math.Sinh,
		Slope: func(x, v float64) float64 { return math.Cosh(x) }, Differential: "cosh(u)*du",
		enclose: monotone(Everything, 0), Rounding: Library,
		beyond: &beyond{sinhBeyond, func(a, _ Extended) Extended { return coshBeyond(a) }},
		Raised: true, LaTeX: `\sinh`, Display: "sinh",
		Python: Code{Call: "np.sinh(%s)"}, Octave: Code{Call: "sinh(%s)"},
	},
	{
		Name: "cosh", Args: 1,
		Value: math.Cosh,
		Slope: func(x, v float64) float64 { return math.Sinh(x) }, Differential: "sinh(u)*du",
		enclose: shape{turns: zero, domain: Everything}.bounds, Rounding: Library,
		beyond: &beyond{coshBeyond, func(a, _ Extended) Extended { return sinhBeyond(a) }},
		Raised: true, LaTeX: `\cosh`, Display: "cosh",
		Python: Code{Call: "np.cosh(%s)"}, Octave: Code{Call: "cosh(%s)"},
	},
	{
		Name: "tanh", Args: 1,
		Value: math.Tanh,
		Slope: func(x, v float64) float64 { c := math.Cosh(x); return 1 / c / c }, Differential: "sech(u)^2*du",
		enclose: monotone(Everything, 0), Rounding: Library,
		beyond: &beyond{slope: func(a, _ Extended) Extended { return inverseSquare(coshBeyond(a)) }},
		Raised: true, LaTeX: `\tanh`, Display: "tanh",
		Python: Code{Call: "np.tanh(%s)"}, Octave: Code{Call: "tanh(%s)"},
	},
	{
		Name: "sech", Args: 1,
		Value: func(x float64) float64 { return 1 / math.Cosh(x) },
		Slope: func(x, v float64) float64 { return -v * math.Tanh(x) }, Differential: "-(v*tanh(u)*du)",
		enclose: shape{turns: zero, bends: sechBends, domain: Everything}.bounds, Rounding: Library,
		beyond: &beyond{inverseOf(coshBeyond), sechSlope},
		Raised: true, LaTeX: `\operatorname{sech}`, Display: "sech",
		Python: Code{Call: "(1/np.cosh(%s))"}, Octave: Code{Call: "sech(%s)"},
	},
	{
		Name: "csch", Args: 1,
		Value: func(x float64) float64 { return 1 / math.Sinh(x) },
		Slope: func(x, v float64) float64 { return -v / math.Tanh(x) }, Differential: "-(v*coth(u)*du)",
		enclose: shape{pole: true, domain: Everything}.bounds, Rounding: Library, Switch: Switch{At: "u", Pole: true},
		beyond: &beyond{inverseOf(sinhBeyond), cschSlope},
		Raised: true, LaTeX: `\operatorname{csch}`, Display: "csch",
		Python: Code{Call: "(1/np.sinh(%s))"}, Octave: Code{Call: "csch(%s)"},
	},
	{
		Name: "coth", Args: 1,
		Value:        func(x float64) float64 { return 1 / math.Tanh(x) },
		Slope:        func(x, v float64) float64 { s := math.Sinh(x); return -1 / s / s },
		Differential: "-(csch(u)^2*du)",
		enclose:      shape{pole: true, domain: Everything}.bounds, Rounding: Library,
		Switch: Switch{At: "u", Pole: true},
		beyond: &beyond{slope: func(a, _ Extended) Extended { return inverseSquare(sinhBeyond(a)).Negated() }},
		Raised: true, LaTeX: `\coth`, Display: "coth",
		Python: Code{Call: "(1/np.tanh(%s))"}, Octave: Code{Call: "coth(%s)"},
	},
	{
		Name: "asinh", Aliases: []string{"arcsinh", "arsinh"}, Args: 1,
		Value: math.Asinh,
		Slope: func(x, v float64) float64 { return 1 / math.Hypot(1, x) }, Differential: "du/sqrt(1 + u^2)",
		enclose: monotone(Everything, 0), Rounding: Library,
		InverseOf: "sinh", LaTeX: `\operatorname{arsinh}`, Display: "arsinh",
		Python: Code{Call: "np.arcsinh(%s)"}, Octave: Code{Call: "asinh(%s)"},
	},
	{
		Name: "acosh", Aliases: []string{"arccosh", "arcosh"}, Args: 1,
		Value:        math.Acosh,
		Slope:        func(x, v float64) float64 { return 1 / (math.Sqrt(x-1) * math.Sqrt(x+1)) },
		Differential: "du/(sqrt(u - 1)*sqrt(u + 1))",
		enclose:      monotone(Interval{1, math.Inf(1)}), Rounding: Library, Switch: Switch{At: "u - 1"},
		InverseOf: "cosh", LaTeX: `\operatorname{arcosh}`, Display: "arcosh",
		Python: Code{Call: "np.arccosh(%s)"}, Octave: Code{Call: "acosh(%s)"},
	},
	{
		Name: "atanh", Aliases: []string{"arctanh", "artanh"}, Args: 1,
		Value: math.Atanh,
		Slope: func(x, v float64) float64 { return 1 / ((1 - x) * (1 + x)) }, Differential: "du/(1 - u^2)",
		enclose: monotone(Interval{-1, 1}, 0), Rounding: Library, Switch: Switch{At: "(1 - u)*(1 + u)"},
		InverseOf: "tanh", LaTeX: `\operatorname{artanh}`, Display: "artanh",
		Python: Code{Call: "np.arctanh(%s)"}, Octave: Code{Call: "atanh(%s)"},
	},
	{
		Name: "exp", Aliases: []string{"Exp"}, Args: 1,
		Value: math.Exp,
		Slope: func(x, v float64) float64 { return v }, Differential: "v*du",
		enclose: monotone(Everything), Rounding: Library,
		beyond: &beyond{expBeyond, func(_, v Extended) Extended { return v }},
		LaTeX:  `\exp`, Display: "exp",
		Python: Code{Call: "np.exp(%s)"}, Octave: Code{Call: "exp(%s)"},
	},
	{
		Name: "ln", Aliases: []string{"Ln", "Log", "log", "log_e"}, Args: 1,
		Value: math.Log,
		Slope: func(x, v float64) float64 { return 1 / x }, Differential: "du/u",
		enclose: monotone(positive), Rounding: Library, Switch: Switch{At: "u", Pole: true},
		beyond: &beyond{lnBeyond, func(a, _ Extended) Extended { return Widen(1).Over(a) }},
		LaTeX:  `\ln`, Display: "ln",
		Python: Code{Call: "np.log(%s)"}, Octave: Code{Call: "log(%s)"},
	},
	{
		Name: "log10", Aliases: []string{"lg", "log_10"}, Args: 1,
		Value: log10,
		Slope: func(x, v float64) float64 { return 1 / (x * math.Ln10) }, Differential: "du/(u*ln(10))",
		enclose: monotone(positive), Rounding: Library, Switch: Switch{At: "u", Pole: true},
		beyond: &beyond{log10Beyond, func(a, _ Extended) Extended { return Widen(1 / math.Ln10).Over(a) }},
		LaTeX:  `\log_{10}`, Display: "log_10",
		Python: Code{Call: "np.log10(%s)"}, Octave: Code{Call: "log10(%s)"},
	},
	{
		Name: "sqrt", Args: 1,
		Value: math.Sqrt,
		Slope: func(x, v float64) float64 { return 0.5 / v }, Differential: "du/(2*v)",
		enclose: monotone(positive), Rounding: Correct, Switch: Switch{At: "u"},
		beyond: &beyond{sqrtBeyond, func(_, v Extended) Extended { return Widen(0.5).Over(v) }},
		LaTeX:  `\operatorname{sqrt}`, Display: "sqrt",
		Python: Code{Call: "np.sqrt(%s)"}, Octave: Code{Call: "sqrt(%s)"},
	},
	{
		Name: "cbrt", Args: 1,
		Value: math.Cbrt,
		Slope: func(x, v float64) float64 { return 1 / (3 * v * v) }, Differential: "du/(3*v^2)",
		enclose: monotone(Everything, 0), Rounding: Library, Switch: Switch{At: "u"},
		beyond: &beyond{cbrtBeyond, func(_, v Extended) Extended { return Widen(1. / 3).Over(v.Times(v)) }},
		LaTeX:  `\operatorname{cbrt}`, Display: "cbrt",
		Python: Code{Call: "np.cbrt(%s)"}, Octave: Code{Call: "cbrt(%s)"},
	},
	{
		Name: "abs", Args: 1,
		Value: math.Abs,
		Slope: func(x, v float64) float64 { return sign(x) }, Differential: "sign(u)*du",
		enclose: shape{turns: zero, domain: Everything}.bounds, Rounding: Exact, Switch: Switch{At: "u", Other: "-v"},
		beyond: &beyond{value: func(a Extended) Extended { return Extended{math.Abs(a.M), a.E} }},
		LaTeX:  `\operatorname{abs}`, Display: "abs",
		Python: Code{Call: "np.abs(%s)"}, Octave: Code{Call: "abs(%s)"},
	},
	{
		Name: "sign", Aliases: []string{"sgn", "signum"}, Args: 1,
		Value: sign,
		Slope: zeroSlope, Differential: "0",
		enclose: step, Rounding: Exact, Switch: Switch{At: "u", Jumps: true, Other: "-v"},
		LaTeX: `\operatorname{sgn}`, Display: "sgn",
		Python: Code{Call: "np.sign(%s)"}, Octave: Code{Call: "sign(%s)"},
	},
	{
		Name: "heaviside", Aliases: []string{"Heaviside"}, Args: 1,
		Value: heaviside,
		Slope: zeroSlope, Differential: "0",
		enclose: step, Rounding: Exact, Switch: Switch{At: "u", Jumps: true, Other: "1 - v"},
		LaTeX: `\operatorname{heaviside}`, Display: "heaviside",
		Python: Code{Call: "np.heaviside(%s, 0.5)"}, Octave: Code{Call: "(0.5 + 0.5*sign(%s))"},
	},
	{
		Name: "erf", Args: 1,
		Value:        math.Erf,
		Slope:        func(x, v float64) float64 { return 2 / math.SqrtPi * math.Exp(-x*x) },
		Differential: "1.1283791670955126*exp(-u^2)*du",
		enclose:      monotone(Everything, 0), Rounding: Library,
		LaTeX: `\operatorname{erf}`, Display: "erf",
		Python: Code{Call: "erf(%s)", Define: "erf = np.vectorize(math.erf)\n"}, Octave: Code{Call: "erf(%s)"},
	},
	{
		Name: "erfc", Args: 1,
		Value:        math.Erfc,
		Slope:        func(x, v float64) float64 { return -2 / math.SqrtPi * math.Exp(-x*x) },
		Differential: "-(1.1283791670955126*exp(-u^2)*du)",
		enclose:      monotone(Everything, 0), Rounding: Library,
		LaTeX: `\operatorname{erfc}`, Display: "erfc",
		Python: Code{Call: "erfc(%s)", Define: "erfc = np.vectorize(math.erfc)\n"}, Octave: Code{Call: "erfc(%s)"},
	},
	{
		Name: "gamma", Aliases: []string{"Gamma"}, Args: 1,
		Value: math.Gamma,
		Slope: gammaSlope, Differential: "v*polygamma(0, u)*du",
		enclose: sampledBetweenPoles, Rounding: Special,
		LaTeX: `\Gamma`, Display: "Γ",
		Python: Code{Call: "gamma(%s)", Define: "gamma = np.vectorize(math.gamma)\n"}, Octave: Code{Call: "gamma(%s)"},
	},
	{
		Name: "besselJ", Args: 2, Derived: true,
		Ordered: math.Jn, Below: 1, Above: -1, // A&S 9.1.27
		enclose: sampled, Rounding: Special,
		LaTeX: "J", Display: "J",
		Python: Code{Call: "bessel_j(%s, %s)", Define: numpyBesselJ}, Octave: Code{Call: "besselj(%s, %s)"},
	},
	{
		Name: "besselY", Args: 2, Derived: true,
		Ordered: math.Yn, Below: 1, Above: -1, // A&S 9.1.27
		enclose: sampled, Rounding: Special, Switch: Switch{At: "u", Pole: true},
		LaTeX: "Y", Display: "Y",
		Python: Code{Call: "bessel_y(%s, %s)", Define: numpyBesselY}, Octave: Code{Call: "bessely(%s, %s)"},
	},
	{
		Name: "besselI", Args: 2, Derived: true,
		Ordered: besselI, Below: 1, Above: 1, // A&S 9.6.26
		enclose: sampled, Rounding: Special,
		LaTeX: "I", Display: "I",
		Python: Code{Call: "bessel_i(%s, %s)", Define: numpyBesselI}, Octave: Code{Call: "besseli(%s, %s)"},
	},
	{
		Name: "besselK", Args: 2, Derived: true,
		Ordered: besselK, Below: -1, Above: -1, // A&S 9.6.26
		enclose: sampled, Rounding: Special, Switch: Switch{At: "u", Pole: true},
		LaTeX: "K", Display: "K",
		Python: Code{Call: "bessel_k(%s, %s)", Define: numpyBesselK}, Octave: Code{Call: "besselk(%s, %s)"},
	},
	{
		Name: "polygamma", Args: 2, Derived: true,
		Ordered: polygamma, Above: 2,
		enclose: sampledBetweenPoles, Rounding: Special,
		Primes: true, LaTeX: `\psi`, Display: "ψ",
		Python: Code{Lacks: noPolygamma}, Octave: Code{Call: "psi(%s, %s)"},
	},
	{
		Name: "airyAi", Aliases: []string{"Ai", "airyai"}, Args: 1,
		Value: airyAi,
		Slope: func(x, v float64) float64 { return airyAiPrime(x) }, Differential: "airyAiPrime(u)*du",
		enclose: sampled, Rounding: Special,
		LaTeX: `\operatorname{Ai}`, Display: "Ai",
		Python: Code{Call: "airy_ai(%s)", Define: numpyAiry}, Octave: Code{Call: "real(airy(0, %s))"},
	},
	{
		Name: "airyAiPrime", Args: 1, Derived: true,
		Value: airyAiPrime,
		Slope: func(x, v float64) float64 { return x * airyAi(x) }, Differential: "u*airyAi(u)*du",
		enclose: sampled, Rounding: Special,
		LaTeX: `\operatorname{Ai}'`, Display: "Ai′",
		Python: Code{Lacks: noPolygamma}, Octave: Code{Call: "real(airy(1, %s))"},
	},
	{
		Name: "min", Args: 2,
		Rounding: Exact,
		LaTeX:    `\min`, Display: "min",
		Python: Code{Call: "np.minimum(%s, %s)"}, Octave: Code{Call: "min(%s, %s)"},
	},
	{
		Name: "max", Args: 2,
		Rounding: Exact,
		LaTeX:    `\max`, Display: "max",
		Python: Code{Call: "np.maximum(%s, %s)"}, Octave: Code{Call: "max(%s, %s)"},
	},
	{
		Name: "if", Args: 3,
		Rounding: Exact,
		LaTeX:    `\operatorname{if}`, Display: "if",
		Python: Code{Call: "np.where(%s, %s, %s)"}, Octave: Code{Call: "merge(%s, %s, %s)"},
	},
}

// withOrder are the functions that are an ordered one with the order in the name.
var withOrder = []struct {
	name, of string
	order    int
}{
	{"J0", "besselJ", 0}, {"J1", "besselJ", 1}, {"Y0", "besselY", 0}, {"Y1", "besselY", 1},
	{"I0", "besselI", 0}, {"I1", "besselI", 1}, {"K0", "besselK", 0}, {"K1", "besselK", 1},
}

func zeroSlope(x, v float64) float64 { return 0 }

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

const noPolygamma = "the derivative of gamma or airyAi cannot be written with numpy"

// What numpy lacks is written as integral representations by rules that converge faster than any power of the step
// (DLMF 10.9.2, 10.9.7, 10.32.3, 10.32.9, 9.5.1 along a shifted path), good to about 12 digits for arguments up to some
// tens.
const (
	numpyBesselJ = `def bessel_j(n, x):  # DLMF 10.9.2
    t = (np.arange(400) + 0.5)*np.pi/400
    return np.mean(np.cos(np.multiply.outer(x, np.sin(t)) - n*t), axis=-1)
`
	numpyBesselY = `def bessel_y(n, x):  # DLMF 10.9.7, x > 0
    g, w = np.polynomial.legendre.leggauss(200)
    t = np.pi/2*(g + 1)
    first = np.sin(np.multiply.outer(x, np.sin(t)) - n*t) @ w*np.pi/2
    end = np.arcsinh(50/np.asarray(x))
    t = np.multiply.outer(end/2, g + 1)
    decay = np.exp(-np.asarray(x)[..., None]*np.sinh(t))
    second = ((np.exp(n*t) + (-1)**n*np.exp(-n*t))*decay) @ w*end/2
    return (first - second)/np.pi
`
	numpyBesselI = `def bessel_i(n, x):  # DLMF 10.32.3
    t = (np.arange(400) + 0.5)*np.pi/400
    return np.mean(np.exp(np.multiply.outer(x, np.cos(t)))*np.cos(n*t), axis=-1)
`
	numpyBesselK = `def bessel_k(n, x):  # DLMF 10.32.9, x > 0
    t = (np.arange(1000) + 0.5)*0.03
    return 0.03*np.sum(np.exp(-np.multiply.outer(x, np.cosh(t)))*np.cosh(n*t), axis=-1)
`
	numpyAiry = `def airy_ai(x):  # DLMF 9.5.1, its path moved up by s
    x = np.asarray(x, dtype=float)[..., None]
    s = np.maximum(0.7, np.sqrt(np.maximum(x, 0)))
    t = (np.arange(4000) + 0.5)*0.002
    wave = np.exp(-s*t*t)*np.cos(t**3/3 + (x - s*s)*t)
    return 0.002/np.pi*np.sum(np.exp(s**3/3 - x*s)*wave, axis=-1)
`
)
