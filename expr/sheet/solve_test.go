package sheet_test

import (
	"math"
	"strconv"
	"testing"

	"nodespan/expr/sheet"
	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// known is a sheet with a value of its solution.
type known struct {
	sheet string
	tol   float64
	x     float64
	entry int // of the jet
	truth float64
}

// check solves a sheet and holds the claim to the truth.
func (k known) check(t *testing.T) {
	t.Helper()
	s, err := sheet.Read(k.sheet, sheet.Options{})
	if err != nil {
		t.Errorf("%s: %v", k.sheet, err)
		return
	}
	sol := solver.MustSolve(s.Problem(), solver.Options{Tol: k.tol})
	if sol.Status != solver.Solved {
		t.Errorf("%s at %g: %s: %s", k.sheet, k.tol, sol.Status, sol.Message)
		return
	}
	jet, claim := make([]float64, s.Problem().Jet()), make([]float64, s.Problem().Jet())
	sol.At(k.x, jet)
	sol.ErrorAt(k.x, claim)
	if off := math.Abs(jet[k.entry] - k.truth); !(off <= claim[k.entry]) {
		t.Errorf("%s at %g: entry %d is %.17g at %g, off by %.2g, claimed %.2g",
			k.sheet, k.tol, k.entry, jet[k.entry], k.x, off, claim[k.entry])
	}
}

// TestVanishing: what vanishes identically, a slope or a value at a point, is no reason for doubt. The beam over two
// equal spans l = 3/2 under w = 0.04 turns by w l³/(48 EI) at its ends and not at all at the middle support (from
// memory, as in any handbook of beams).
func TestVanishing(t *testing.T) {
	beam := "u''''=0.04; w''''=0.04; 0<x<3; u(0)=0; u''(0)=0; u(1.5)=0; w(1.5)=0; " +
		"u'(1.5)=w'(1.5); u''(1.5)=w''(1.5); w(3)=0; w''(3)=0"
	for _, tol := range []float64{1e-4, 1e-8, 1e-12} {
		known{"T'' = 4 (T - 20); T(0) = 20; T'(1) = 0", tol, 0.5, 0, 20}.check(t)
		known{beam, tol, 0, 1, 0.04 * 1.5 * 1.5 * 1.5 / 48}.check(t)
		known{beam, tol, 1.5, 1, 0}.check(t)
		known{"T'' = 4 (T - 20); w''=w+T-20; T(0) = 20; T'(1) = 0; w(0)=0; w(1)=0", tol, 0.5, 3, 0}.check(t)
	}
}

// TestSingularEnds: bounded solutions with an unbounded slope at an end. Closed forms: sqrt(x); x ln x; of x y” + y'/2
// − y = 0 cosh and sinh of 2 sqrt(x); of Bessel's equation of order 1/2 sin(x)/sqrt(x), of order 1/3 J_1/3 by its power
// series.
func TestSingularEnds(t *testing.T) {
	// x^(1/3) Σ (−x²/4)^k / (k! (4/3)_k), which is J_1/3 but for a factor.
	bessel := func(x float64) float64 {
		sum, term := 0.0, 1.0
		for k := range 40 {
			sum += term
			term *= -x * x / 4 / float64(k+1) / (float64(k) + 4.0/3)
		}
		return math.Cbrt(x) * sum
	}
	for _, tol := range []float64{1e-4, 1e-6, 1e-8, 1e-10} {
		for _, x := range []float64{0, 1e-4, 0.03, 0.5, 1} {
			known{"y'' = -x^(-3/2)/4; y(0)=0; y(1)=1", tol, x, 0, math.Sqrt(x)}.check(t)
			known{"y'' = -(1-x)^(-3/2)/4; y(0)=1; y(1)=0", tol, 1 - x, 0, math.Sqrt(1 - (1 - x))}.check(t)
			known{"x y'' = 1; y(0)=0; y(1)=0", tol, x, 0, x * math.Log(x+1e-300)}.check(t)
			a := (2 - math.Cosh(2)) / math.Sinh(2)
			r := 2 * math.Sqrt(x)
			known{"x y'' + y'/2 - y = 0; y(0)=1; y(1)=2", tol, x, 0, math.Cosh(r) + a*math.Sinh(r)}.check(t)
			half := 0.0
			if x > 0 {
				half = math.Sin(2*x) / math.Sqrt(x) / math.Sin(2)
			}
			known{"x^2 y'' + x y' + (4 x^2 - 1/4) y = 0; y(0)=0; y(1)=1", tol, x, 0, half}.check(t)
			known{"x^2 y'' + x y' + (x^2 - 1/9) y = 0; y(0)=0; y(1)=1", tol, x, 0, bessel(x) / bessel(1)}.check(t)
		}
		// A slope that exists at the end is claimed.
		known{"y'' = 15/4 sqrt(x) - 3/4/sqrt(x); y(0)=0; y'(0)=2; 0<x<1", tol, 1, 0, 2}.check(t)
		known{"y'' = 15/4 sqrt(x) - 3/4/sqrt(x); y(0)=0; y(1)=2; 0<x<1", tol, 0, 1, 2}.check(t)
	}
}

// TestPowerLaw: a power-law fluid at rest in the middle of its channel, without a first guess: u(0) = n/(n + 1) where
// |u'|^n = x, and between them the radial one.
func TestPowerLaw(t *testing.T) {
	for _, n := range []float64{0.5, 0.8, 1.5, 2} {
		at := "n=" + strconv.FormatFloat(n, 'g', -1, 64) + "; "
		known{at + "(abs(u')^(n-1) u')' = -1; u'(0)=0; u(1)=0", 1e-8, 0, 0, n / (n + 1)}.check(t)
		known{at + "(r abs(u')^(n-1) u')' = -r; u'(0)=0; u(1)=0", 1e-8, 0, 0, math.Pow(0.5, 1/n) * n / (n + 1)}.check(t)
	}
}

// TestSingularEndUnknown: a slope that does not exist is not claimed, nor what falls short; and a problem with many
// bounded solutions is not solved: x and sqrt(x) both vanish at 0.
func TestSingularEndUnknown(t *testing.T) {
	solve := func(text string) *solver.Solution {
		s := sheettest.Read(t, text)
		return solver.MustSolve(s.Problem(), solver.Options{})
	}
	claim := make([]float64, 3)
	solve("x y'' = 1; y(0)=0; y(1)=0").ErrorAt(0, claim)
	if !math.IsInf(claim[1], 1) || !(claim[0] < 1e-8) {
		t.Errorf("claims %v where the slope is infinite", claim)
	}
	if sol := solve("x^2 y'' - x y'/2 + y/2= 0; y(0)=0; y(1)=1"); sol.Status == solver.Solved {
		t.Error("one of infinitely many solutions is taken for the solution")
	}
}

// TestIntegrals: conditions on integrals, in closed form. A parabola of area 1; the cubic x^3 + c x + d whose mean and
// first moment vanish; y” = y + J with J the integral of y; the arc whose square has the integral 1 (the first sine).
func TestIntegrals(t *testing.T) {
	known{"y'' = -μ, y(0) = y(1) = 0, integral(y) = 1, μ = ?", 1e-10, 0.5, 0, 1.5}.check(t)
	known{"y'' = 6 x, ∫_0^1 y dx = 0, ∫_0^1 x y dx = 0", 1e-10, 0, 0, 0.2}.check(t)
	// y = A cosh x + B sinh x - J, y(0) = 1, y(1) = 2, J = A sinh 1 + B (cosh 1 - 1) - J.
	c, s := math.Cosh(1), math.Sinh(1)
	// A = 1 + J; B = (2 + J - A c)/s; 2 J = A s + B (c - 1).
	j := (s + (2-c)*(c-1)/s) / (2 - s - (1-c)*(c-1)/s)
	a := 1 + j
	b := (2 + j - a*c) / s
	known{"y'' = y + ∫₀¹ y dx, y(0) = 1, y(1) = 2", 1e-10, 0.5, 0, a*math.Cosh(0.5) + b*math.Sinh(0.5) - j}.check(t)
	known{"y'' + λ y = 0, y(0) = y(1) = 0, ∫ y² dx = 1, λ = ? near 10; guess y = x (1 - x)", 1e-10, 0.5, 0,
		math.Sqrt2}.check(t)
}

// TestSoughtLength: a ball that stops at the height 1 is under way for the time T with g T^2/2 = 1.
func TestSoughtLength(t *testing.T) {
	s := sheettest.Read(t, "x'' = -9.81, x(0) = 0, x(T) = 1, x'(T) = 0, T = ?")
	sol := solver.MustSolve(s.Problem(), solver.Options{Tol: 1e-10})
	if want := math.Sqrt(2 / 9.81); sol.Status != solver.Solved || math.Abs(sol.Found[0].Value-want) > 1e-12 {
		t.Errorf("%s: %v, want %v", sol.Message, sol.Found, want)
	}
}

// TestPointLoads: a beam on two supports with a load P at the place a sinks as handbooks have it (from memory): under
// the load by P a^2 b^2/(3 EI L); a string of tension H by P a b/(H L). The load may be the power −1 of a bracket, or
// one term of the load.
func TestPointLoads(t *testing.T) {
	const p, a, b, ei = 3, 0.4, 0.6, 2
	sinks := p * a * a * b * b / (3 * ei)
	beam := ", w(0) = w''(0) = w(1) = w''(1) = 0, EI = 2, P = 3, a = 0.4"
	known{"EI w'''' = P δ(x - a)" + beam, 1e-10, a, 0, sinks}.check(t)
	known{"(EI w'')'' = q, q = P δ(a - x)" + beam, 1e-10, a, 0, sinks}.check(t)
	known{"EI w'''' - P ⟨x - a⟩^-1 = 0" + beam, 1e-10, a, 0, sinks}.check(t)
	known{"EI w'''' = 5 + P δ(x - a)" + beam, 1e-10, 0.5, 0,
		5.0/384*5/ei + p*(1-0.5)*a*(2*0.5-0.25-a*a)/(6*ei)}.check(t)
	known{"H y'' = -P δ(x - a), y(0) = y(1) = 0, H = 2, P = 3, a = 0.4", 1e-10, a, 0, p * a * b / 2}.check(t)
	// k jumps at the source: of the heat P, k1 T/a and k2 T/b flow off.
	known{"(k T')' = -P δ(x - a), k = if(x < a, 2, 5), T(0) = T(1) = 0, P = 3, a = 0.4", 1e-10, a, 0,
		3 / (2/a + 5/b)}.check(t)
}

// TestOrderZero: x' = -x + u, p' = -x + p, 2 u + p = 0 is x” = 3/2 x with x' + x = u, x(0) = 1, u(2) = 0, in closed
// form. A cubic equation for v beside y” = v, y = v^3 + v, is met to rounding at every x.
func TestOrderZero(t *testing.T) {
	w := math.Sqrt(1.5)
	// x = cosh(w t) + b sinh(w t), x'(2) + x(2) = 0.
	c, s := math.Cosh(2*w), math.Sinh(2*w)
	b := -(w*s + c) / (w*c + s)
	known{"x' = -x + u, p' = -x + p, 2 u + p = 0, x(0) = 1, p(2) = 0", 1e-9, 1, 0,
		math.Cosh(w) + b*math.Sinh(w)}.check(t)
	read := sheettest.Read(t, "y'' = v, v^3 + v = y, y(0) = 1, y(1) = 0")
	sol := solver.MustSolve(read.Problem(), solver.Options{Tol: 1e-10})
	jet := make([]float64, read.Problem().Jet())
	for x := 0.0; x <= 1; x += 0.125 {
		if sol.At(x, jet); math.Abs(jet[3]*jet[3]*jet[3]+jet[3]-jet[0]) > 1e-9 {
			t.Errorf("at %g: y = %g, v = %g", x, jet[0], jet[3])
		}
	}
}

// TestWithoutGuess: from rest, a power law between plates, u = (G^(1/n) n/(n+1)) (1 - |x|^(1 + 1/n)); and the speed of
// the front of u” + c u' + u (1 - u)(u - a) = 0, (1 - 2 a)/sqrt(2) (J. D. Murray, Mathematical Biology, 1989, from
// memory).
func TestWithoutGuess(t *testing.T) {
	const n, g = 0.5, 2.0
	known{"(abs(u')^(n-1) u')' = -G, u(-1) = 0, u(1) = 0, n = 0.5, G = 2", 1e-6, 0, 0,
		math.Pow(g, 1/n) * n / (n + 1)}.check(t)
	for _, a := range []float64{0.1, 0.3, 0.7} {
		s := sheettest.Read(t, "u'' + c u' + u (1 - u)(u - a) = 0, u(-inf) = 1, u(inf) = 0, u(0) = 1/2, c = ?, a = "+
			strconv.FormatFloat(a, 'g', -1, 64))
		sol := solver.MustSolve(s.Problem(), solver.Options{Tol: 1e-8})
		if want := (1 - 2*a) / math.Sqrt2; sol.Status != solver.Solved || math.Abs(sol.Found[0].Value-want) > 1e-8 {
			t.Errorf("a = %g: %s, %v, want %v", a, sol.Message, sol.Found, want)
		}
	}
}
