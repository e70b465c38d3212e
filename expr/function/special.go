package function

import "math"

// A&S is M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, National Bureau of
// Standards, 1964. DLMF is the NIST Digital Library of Mathematical Functions.

// besselI returns the modified Bessel function of the first kind I_n(x), by its ascending series (A&S 9.6.10)
//
//	I_n(x) = (x/2)^n Σ_k (x²/4)^k / (k! (k+n)!)
//
// all of whose terms have one sign, and for large x by its asymptotic series (A&S 9.7.1).
func besselI(n int, x float64) float64 {
	if n < 0 {
		n = -n
	}
	if x < 0 {
		v := besselI(n, -x)
		if n&1 == 1 {
			return -v
		}
		return v
	}
	if x > asymptoticFrom && x > float64(n*n) {
		if math.IsInf(x, 1) {
			return x
		}
		// In two factors, as exp(x) overflows before I_n(x) does.
		h := math.Exp(x / 2)
		return h / math.Sqrt(2*math.Pi*x) * hankel(n, x, -1) * h
	}
	h := 0.5 * x
	term := 1.0
	for k := 1; k <= n; k++ {
		term *= h / float64(k)
	}
	t := h * h
	sum := term
	for k := 1; term > sum*0x1p-55; k++ {
		term *= t / float64(k*(k+n))
		sum += term
	}
	if x != x {
		return x
	}
	return sum
}

// asymptoticFrom is where the asymptotic series of the modified Bessel functions take over. Their smallest term is
// about exp(-2x) there, far below the rounding of a float64.
const asymptoticFrom = 25

// hankel returns the sum of the asymptotic series of the modified Bessel functions of order n (A&S 9.7.1, 9.7.2),
//
//	1 + s (μ-1)/(8x) + s² (μ-1)(μ-9)/(2! (8x)²) + …   with μ = 4n²
//
// s is -1 for the first kind and 1 for the second.
//
//go:noinline
func hankel(n int, x, s float64) float64 {
	mu := float64(4 * n * n)
	sum, term := 1.0, 1.0
	for k := 1; k < 40; k++ {
		odd := float64(2*k - 1)
		term *= s * (mu - odd*odd) / (float64(k) * 8 * x)
		sum += term
		if math.Abs(term) < math.Abs(sum)*0x1p-55 {
			break
		}
	}
	return sum
}

// besselK returns the modified Bessel function of the second kind K_n(x), by upward recurrence from orders 0 and 1
// (A&S 9.6.26), which is stable.
func besselK(n int, x float64) float64 {
	if n < 0 {
		n = -n
	}
	switch {
	case x != x || x < 0:
		return math.NaN()
	case x == 0:
		return math.Inf(1)
	}
	k0, k1 := besselK01(x)
	if n == 0 {
		return k0
	}
	for m := 1; m < n; m++ {
		k0, k1 = k1, k0+2*float64(m)/x*k1
	}
	return k1
}

// besselK01 returns K_0(x) and K_1(x) for x > 0.
//
// Up to 1 by the ascending series (A&S 9.6.13 and 9.6.11),
//
//	K_0(x) = -(ln(x/2) + γ) I_0(x) + Σ_k H_k (x²/4)^k / (k!)²,   H_k = 1 + 1/2 + … + 1/k
//
// and K_1 from the Wronskian I_0 K_1 + I_1 K_0 = 1/x (A&S 9.6.15). Then, up to asymptoticFrom, by the trapezoidal rule
// for the integral (A&S 9.6.24)
//
//	K_n(x) = ∫_0^∞ exp(-x cosh t) cosh(n t) dt
//
// whose integrand is even and entire and decays doubly exponentially, so that the rule's error,
// about exp(-π²/step) here, is below rounding. Beyond, by the asymptotic series (A&S 9.7.2).
func besselK01(x float64) (k0, k1 float64) {
	switch {
	case x <= 1:
		const gamma = 0.57721566490153286061 // Euler's constant, A&S table 1.1
		t := 0.25 * x * x
		term, harmonic, sum := 1.0, 0.0, 0.0
		for k := 1.0; k < 20; k++ {
			term *= t / (k * k)
			harmonic += 1 / k
			sum += term * harmonic
		}
		k0 = -(math.Log(0.5*x)+gamma)*besselI(0, x) + sum
		k1 = (1/x - besselI(1, x)*k0) / besselI(0, x)
		return k0, k1
	case x <= asymptoticFrom:
		sum0, sum1 := 0.5, 0.5
		for _, p := range coshPoints {
			e := math.Exp(-x * p.less1)
			if e < 0x1p-60 {
				break
			}
			sum0 += e
			sum1 += e * (p.less1 + 1)
		}
		f := coshStep * math.Exp(-x)
		return f * sum0, f * sum1
	}
	f := math.Sqrt(math.Pi/(2*x)) * math.Exp(-x)
	return f * hankel(0, x, 1), f * hankel(1, x, 1)
}

const coshStep = 0.125

// coshPoints holds cosh(t) - 1 at t = step, 2 step, …, as far as exp(-cosh t) counts.
var coshPoints = func() (points [40]struct{ less1 float64 }) {
	for j := range points {
		s := math.Sinh(0.5 * coshStep * float64(j+1))
		points[j].less1 = 2 * s * s
	}
	return points
}()

// polygamma returns the n-th derivative of the digamma function at x (n = 0: digamma itself, the derivative of ln Γ),
// by recurrence (A&S 6.3.5, 6.4.6) up to an argument where the asymptotic series (A&S 6.3.18, 6.4.11) serves:
//
//	ψ(x) ~ ln x - 1/(2x) - Σ_k B_2k / (2k x^2k)
//
// and its derivatives. At the poles 0, -1, -2, … it is NaN.
func polygamma(n int, x float64) float64 {
	switch {
	case x != x || math.IsInf(x, -1) || x < -1e4:
		return math.NaN() // far out on the negative axis nothing real is left of Γ
	case x <= 0 && x == math.Floor(x):
		return math.NaN()
	case math.IsInf(x, 1):
		if n == 0 {
			return x
		}
		return 0
	}
	// (-1)^(n+1) n! is the factor of the recurrence and of the leading terms.
	factor := -1.0
	for k := 1; k <= n; k++ {
		factor *= -float64(k)
	}
	sum := 0.0
	if x < 0 && n == 0 {
		// Reflection, A&S 6.3.7: sums fewer terms and loses nothing near the poles.
		return polygamma(0, 1-x) - math.Pi/tanPi(x)
	}
	for limit := 15 + float64(n); x < limit; x++ {
		sum += factor * Power(x, -(n+1))
	}
	// The asymptotic series, derived n times.
	x2 := x * x
	p := Power(x, -n)
	var head float64
	if n == 0 {
		head = math.Log(x)
	} else {
		head = factor / float64(n) * p
	}
	head += factor * 0.5 * p / x
	// The k-th term of ψ is -B_2k/(2k) x^-2k; its n-th derivative has the factor (-1)^n (2k)(2k+1)…(2k+n-1) x^-n.
	for k, b := range bernoulli {
		m := float64(2 * (k + 1))
		c := -b / m
		for j := 0; j < n; j++ {
			c *= -(m + float64(j))
		}
		p /= x2
		head += c * p
	}
	return sum + head
}

// bernoulli holds B_2, B_4, … (A&S table 23.2).
var bernoulli = [...]float64{1. / 6, -1. / 30, 1. / 42, -1. / 30, 5. / 66, -691. / 2730, 7. / 6, -3617. / 510,
	43867. / 798}

// tanPi returns tan(πx) with the whole part of x taken off first.
func tanPi(x float64) float64 { return math.Tan(math.Pi * (x - math.Round(x))) }

// gammaSlope is Γ'(x) = Γ(x) ψ(x) (A&S 6.3.1); v is Γ(x).
func gammaSlope(x, v float64) float64 {
	if v == 0 {
		return 0 // underflown
	}
	return v * polygamma(0, x)
}
