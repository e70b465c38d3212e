package function

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
)

// within fails unless two numbers agree to a relative tolerance, or to that fraction of scale.
func within(t *testing.T, what string, x, got, want, tol, scale float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Max(math.Abs(want), scale)) {
		t.Errorf("%s at %g: %.17g, want %.17g", what, x, got, want)
	}
}

// TestPublished holds the functions against published tables.
func TestPublished(t *testing.T) {
	besselJ0 := func(x float64) float64 { return math.Jn(0, x) }
	for _, c := range []struct {
		what   string
		f      func(float64) float64
		x      float64
		want   float64
		digits int // published
	}{
		// A&S tables 9.8 (and 9.1 for J0), from memory; the remaining digits from mpmath 1.3.0 at 40 digits.
		{"J0", besselJ0, 1, 0.7651976865579666, 16},
		{"I0", func(x float64) float64 { return besselI(0, x) }, 1, 1.2660658777520084, 16},
		{"I1", func(x float64) float64 { return besselI(1, x) }, 1, 0.5651591039924850, 16},
		{"I0", func(x float64) float64 { return besselI(0, x) }, 2, 2.2795853023360673, 16},
		{"I0", func(x float64) float64 { return besselI(0, x) }, 10, 2815.716628466254, 16},
		{"I1", func(x float64) float64 { return besselI(1, x) }, 10, 2670.988303701255, 16},
		{"K0", func(x float64) float64 { return besselK(0, x) }, 0.1, 2.427069024702017, 16},
		{"K0", func(x float64) float64 { return besselK(0, x) }, 1, 0.42102443824070834, 16},
		{"K1", func(x float64) float64 { return besselK(1, x) }, 1, 0.6019072301972346, 16},
		{"K0", func(x float64) float64 { return besselK(0, x) }, 2, 0.11389387274953344, 16},
		{"K1", func(x float64) float64 { return besselK(1, x) }, 2, 0.13986588181652243, 16},
		{"K0", func(x float64) float64 { return besselK(0, x) }, 10, 1.778006231616765e-05, 16},
		// DLMF 9.2.3, 9.2.4 and table 9.9.1 (first zero and slope there), A&S table 10.11; from memory.
		{"Ai", airyAi, 0, 0.355028053887817239, 18},
		{"Ai'", airyAiPrime, 0, -0.258819403792806798, 18},
		{"Ai", airyAi, 1, 0.13529242, 8},
		{"Ai", airyAi, -1, 0.53556088, 8},
		{"Ai'", airyAiPrime, -2.3381074105, 0.7012108227, 10},
		// A&S 6.3.2, 6.3.3, 6.4.2, 6.4.4 in closed form.
		{"digamma", func(x float64) float64 { return polygamma(0, x) }, 1, -0.57721566490153286061, 16},
		{"digamma", func(x float64) float64 { return polygamma(0, x) }, 0.5, -0.57721566490153286061 - 2*math.Ln2, 16},
		{"trigamma", func(x float64) float64 { return polygamma(1, x) }, 1, math.Pi * math.Pi / 6, 16},
		{"trigamma", func(x float64) float64 { return polygamma(1, x) }, 0.5, math.Pi * math.Pi / 2, 16},
		{"tetragamma", func(x float64) float64 { return polygamma(2, x) }, 1, -2 * 1.2020569031595942854, 16},
		// A&S 6.1.8 and tables 6.1, 7.1; from memory.
		{"gamma", math.Gamma, 0.5, math.SqrtPi, 16},
		{"gamma", math.Gamma, 1.5, 0.8862269255, 10},
		{"erf", math.Erf, 0.5, 0.5204998778, 10},
		{"erf", math.Erf, 1, 0.8427007929, 10},
		{"erfc", math.Erfc, 1, 1 - 0.8427007929, 9},
	} {
		tol := math.Max(2e-15, 0.6*math.Pow10(-c.digits)/math.Abs(c.want))
		within(t, c.what, c.x, c.f(c.x), c.want, tol, 0)
	}
	if v := airyAi(-2.33810741045976703849); math.Abs(v) > 1e-15 { // DLMF table 9.9.1, from memory
		t.Errorf("Ai at its first zero is %g", v)
	}
}

// integrate applies the trapezoidal rule to n steps of [a, b]. For the integrands here, periodic or with all
// their derivatives gone at the ends, it converges faster than any power of the step (DLMF 3.5(i)).
func integrate(a, b float64, n int, f func(float64) float64) float64 {
	h := (b - a) / float64(n)
	sum := 0.5 * (f(a) + f(b))
	for i := 1; i < n; i++ {
		sum += f(a + h*float64(i))
	}
	return h * sum
}

// TestIntegrals holds the functions against integral representations.
func TestIntegrals(t *testing.T) {
	for _, x := range []float64{1e-3, 0.1, 0.5, 0.99, 1.01, 3, 8, 17, 24.9, 25.1, 30, 60} {
		for n := 0; n <= 3; n++ {
			m := float64(n)
			// A&S 9.6.19, with exp(x) taken out.
			i := integrate(0, math.Pi, 200,
				func(u float64) float64 { return math.Exp(x*(math.Cos(u)-1)) * math.Cos(m*u) }) / math.Pi
			// For small x the integral is a difference of numbers near 1.
			within(t, "I", x, besselI(n, x)*math.Exp(-x), i, 1e-14, 0.1)
			// A&S 9.6.24, with exp(-x) taken out and a step that besselK does not use.
			k := integrate(0, 12, 171, func(u float64) float64 {
				return math.Exp(-x*(math.Cosh(u)-1)) *
					math.Cosh(m*u)
			})
			within(t, "K", x, besselK(n, x)*math.Exp(x), k, 1e-14, 0)
			// A&S 9.1.21.
			j := integrate(0, math.Pi, 200, func(u float64) float64 { return math.Cos(x*math.Sin(u) - m*u) }) / math.Pi
			within(t, "J", x, math.Jn(n, x), j, 1e-14, 0.1)
		}
	}
	// The integral DLMF 9.5.1 with its path moved up by i s, s > 0:
	// Ai(x) = exp(s³/3 - x s)/π ∫_0^∞ exp(-s t²) cos(t³/3 + (x - s²) t) dt.
	for x := -3.0; x <= 14; x += 0.17 {
		s := math.Max(1, math.Sqrt(math.Max(x, 0)))
		f := math.Exp(s*s*s/3-x*s) / math.Pi
		v := f * integrate(0, 7, 1400,
			func(u float64) float64 { return math.Exp(-s*u*u) * math.Cos(u*u*u/3+(x-s*s)*u) })
		d := -f * integrate(0, 7, 1400, func(u float64) float64 {
			return math.Exp(-s*u*u) * (s*math.Cos(u*u*u/3+(x-s*s)*u) + u*math.Sin(u*u*u/3+(x-s*s)*u))
		})
		// The factor f is how much rounding is magnified where x < 0.
		tol := 2e-14 * math.Max(1, math.Abs(x))
		within(t, "Ai", x, airyAi(x), v, tol, f*0.1)
		within(t, "Ai'", x, airyAiPrime(x), d, tol, f*0.1)
	}
}

// TestIdentities holds the functions against each other.
func TestIdentities(t *testing.T) {
	for x := 0.03; x < 600; x *= 1.07 {
		if x > 1 { // below 1, K_1 is worked out from this
			w := besselI(0, x)*besselK(1, x) + besselI(1, x)*besselK(0, x) // A&S 9.6.15
			within(t, "x·(I0 K1 + I1 K0)", x, w*x, 1, 1e-14, 0)
		}
		if x < 300 {
			w := math.Jn(1, x)*math.Yn(0, x) - math.Jn(0, x)*math.Yn(1, x) // A&S 9.1.16
			within(t, "πx/2·(J1 Y0 - J0 Y1)", x, w*x*math.Pi/2, 1, 1e-14, 0)
		}
		r := besselI(0, x) - 2/x*besselI(1, x) // A&S 9.6.26; I2 is about x²/8 of I0
		within(t, "I2", x, besselI(2, x), r, 1e-15, besselI(0, x))
	}
	for x := -12.4375; x < 40; x += 0.3125 { // exact steps: next to a pole, rounding of x would show
		if x == math.Floor(x) {
			continue // a pole on one side
		}
		cot := 1 / tanPi(x)
		within(t, "ψ(1-x) - ψ(x)", x, polygamma(0, 1-x)-polygamma(0, x), math.Pi*cot, 1e-13, 10) // A&S 6.3.7
		within(t, "ψ'(1-x) + ψ'(x)", x, polygamma(1, 1-x)+polygamma(1, x), math.Pi*math.Pi*(1+cot*cot), 1e-12, 0)
		for n := 0; n < 4; n++ { // A&S 6.3.5, 6.4.6
			f := math.Gamma(float64(n+1)) * math.Pow(-1, float64(n))
			within(t, "ψ⁽ⁿ⁾(x+1) - ψ⁽ⁿ⁾(x)", x, polygamma(n, x+1)-polygamma(n, x), f*math.Pow(x, -float64(n+1)), 1e-13,
				math.Max(1, math.Abs(polygamma(n, x))))
		}
	}
	// A second implementation: D. E. Amos, Algorithm 644, ACM TOMS 12 (1986), 265-273, as translated in gonum. The
	// tolerance grows with the conditioning, |x|^1.5, and is relative to the envelope where the function waves.
	for x := -60.0; x < 60; x += 0.093 {
		tol := 5e-15 * math.Max(1, math.Pow(math.Abs(x), 1.5))
		ai, aip := 0.0, 0.0
		if x < 0 {
			ai, aip = 0.5, 0.5*math.Sqrt(-x)
		}
		within(t, "Ai", x, airyAi(x), real(mathext.AiryAi(complex(x, 0))), tol, ai)
		within(t, "Ai'", x, airyAiPrime(x), real(mathext.AiryAiDeriv(complex(x, 0))), tol, aip)
	}
}

func TestOutOfDomain(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"K0(0)", besselK(0, 0), inf},
		{"K1(-1)", besselK(1, -1), nan},
		{"K1(Inf)", besselK(1, inf), 0},
		{"I0(Inf)", besselI(0, inf), inf},
		{"I1(-2) is odd", besselI(1, -2), -besselI(1, 2)},
		{"I0(NaN)", besselI(0, nan), nan},
		{"Ai(NaN)", airyAi(nan), nan},
		{"Ai(Inf)", airyAi(inf), 0},
		{"Ai'(Inf)", airyAiPrime(inf), 0},
		{"Ai(200) underflows", airyAi(200), 0},
		{"ψ(-3)", polygamma(0, -3), nan},
		{"ψ'(Inf)", polygamma(1, inf), 0},
		{"ψ(Inf)", polygamma(0, inf), inf},
		{"Γ' where Γ has underflown", gammaSlope(-200.5, math.Gamma(-200.5)), 0},
	} {
		if c.got != c.want && (c.got == c.got || c.want == c.want) {
			t.Errorf("%s = %g, want %g", c.what, c.got, c.want)
		}
	}
}
