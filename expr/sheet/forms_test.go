package sheet

import (
	"fmt"
	"strings"
	"testing"

	"nodespan/expr/notation"
	"nodespan/expr/typeset"
)

// described is a sheet as its problem: formulas, interval, breaks, constants.
func described(s *Sheet) string {
	var b strings.Builder
	for _, n := range s.EquationFormulas() {
		fmt.Fprintln(&b, typeset.Plain(n), "= 0")
	}
	for i, n := range s.ConditionFormulas() {
		fmt.Fprintln(&b, typeset.Plain(n), "= 0 at", s.model.base.points[i])
	}
	fmt.Fprintln(&b, s.Variable, s.A, s.B, s.Problem().Breaks)
	for _, c := range s.Constants {
		fmt.Fprintln(&b, c.Name, c.Value)
	}
	for _, q := range s.Sought {
		fmt.Fprintln(&b, q.Name, "?", q.Guess)
	}
	for _, r := range s.Asked() {
		fmt.Fprint(&b, "report ", typeset.Plain(r.Formula))
		for _, p := range r.Parts {
			p.Text = ""
			fmt.Fprint(&b, " ", p)
		}
		fmt.Fprintln(&b)
	}
	return b.String()
}

// TestForms reads what notes and papers write against the same problem in the plainest notation. says is what the
// reading tells of it.
func TestForms(t *testing.T) {
	tests := []struct{ form, plain, says string }{
		// Derivatives
		{"2xy'' + 3y' - 5xy = 4sin(2x), y(1) = 1, y(3) = -1",
			"2 x y'' + 3 y' - 5 x y = 4 sin(2 x), y(1) = 1, y(3) = -1", "xy is read as x*y"},
		{"ẋ = a x - b² p, ṗ = -x, x(0) = 2, p(1) = 0, a = 1, b = 2",
			"x' = a x - b^2 p, p' = -x, x(0) = 2, p(1) = 0, a = 1, b = 2",
			"a dot is the derivative by the time t, which is the variable"},
		{"\\ddot\\theta + \\sin\\theta = 0, \\theta(0) = 1, \\theta(2) = 0",
			"theta'' + sin(theta) = 0, theta(0) = 1, theta(2) = 0, 0 <= t <= 2", ""},
		{"k T'' + \\dot q = 0, T(0) = 1, T'(1) = 0, k = 2, q̇ = 3",
			"k T'' + qdot = 0, T(0) = 1, T'(1) = 0, k = 2, qdot = 3", ""},
		{"u_{xx} - 9u = 0, u(0) = 1, u_x(1) = 0", "u'' - 9 u = 0, u(0) = 1, u'(1) = 0", "u_xx is read as u''"},
		{"u_xx = -6 x, u(0) = 0, u(1) = 0", "u'' = -6 x, u(0) = 0, u(1) = 0", ""},
		{"c'' = c_ss, c_ss = 3, c(0) = c_ss, c(1) = 0", "c'' = cs, cs = 3, c(0) = cs, c(1) = 0", ""},
		{"\\dv[2]{T}{x} = 4 T, T(0) = 1, T(1) = 0", "T'' = 4 T, T(0) = 1, T(1) = 0", ""},
		{"\\frac{\\partial^2 u}{\\partial x^2} = u, u(0) = 1, u(1) = 0", "u'' = u, u(0) = 1, u(1) = 0",
			"∂ is read as d, since all derivatives are taken by x"},
		{"EI w^{IV} = q, w(0) = w'(0) = w(1) = w'(1) = 0, EI = 2, q = 1",
			"EI w'''' = q, w(0) = w'(0) = w(1) = w'(1) = 0, EI = 2, q = 1", ""},
		{"(y^2)'' = -1, y(0) = 1, y(1) = 2", "2 y' y' + 2 y y'' = -1, y(0) = 1, y(1) = 2", ""},
		{"(D^2 + 2D + 5) y = x, y(0) = 1, y(1) = 2", "y'' + 2 y' + 5 y = x, y(0) = 1, y(1) = 2",
			"D is read as the derivative"},
		{"[x^2 D^2 + x D - 1] y = 0, y(1) = 1, y(2) = 3", "x^2 y'' + x y' - 1 y = 0, y(1) = 1, y(2) = 3", ""},
		{"D^2 y + D y = 0, y(0) = 1, y(1) = 2", "y'' + y' = 0, y(0) = 1, y(1) = 2", ""},
		{"D c'' = c, D = 2, c(0) = 1, c(1) = 0", "E c'' = c, E = 2, c(0) = 1, c(1) = 0", ""},
		// Names
		{"T'' = T, T(0) = 1, T|ₓ₌₋₁ = 3", "T'' = T, T(0) = 1, T(-1) = 3", ""},
		{"T'' = T, T(0) = 1, T|ₓ₌₊₁ = 3", "T'' = T, T(0) = 1, T(1) = 3", ""},
		{"y'' = \\mu y, y(0) = 0, y(1) = 0, \\mu \\text{ to be found}", "y'' = mu y, y(0) = 0, y(1) = 0, mu = ?", ""},
		{"y'' = 1, y(0) = 0, y(1) = 0, x between 0 and 2", "y'' = 1, y(0) = 0, y(1) = 0, 0 <= x <= 2", ""},
		{"y'' = 1, y(0) = 0, x from 0 to 2, y'(1) = 0", "y'' = 1, y(0) = 0, 0 <= x <= 2, y'(1) = 0", ""},
		{"μ u'' = dp/dx, dp/dx = −12, μ = 2, u(0) = 0, u(1) = 0", "μ u'' = G, G = -12, μ = 2, u(0) = 0, u(1) = 0",
			"dp/dx is a number, since p itself is used nowhere"},
		{"D_1c_1'' = k c_1, c_1(0) = 1, c_1(1) = 0, D_1 = 2, k = 3",
			"D_1 c_1'' = k c_1, c_1(0) = 1, c_1(1) = 0, D_1 = 2, k = 3", ""},
		{"y'' = \\lambda_1y, \\lambda_1 = 2, y(0) = 0, y(1) = 1", "y'' = lambda_1 y, lambda_1 = 2, y(0) = 0, y(1) = 1",
			"lambda_1y is read as lambda_1*y"},
		{"T'' = 4 (T - T∞), T(0) = T_0, T'(1) = 0, T0 = 3, Tinf = 5",
			"T'' = 4 (T - Tinf), T(0) = T0, T'(1) = 0, T0 = 3, Tinf = 5", "T∞ is taken for Tinf"},
		{"\\hbar^2 y'' = y, y(0) = 0, y(\\ell) = 1, \\hbar = 2, \\ell = 3",
			"hbar^2 y'' = y, y(0) = 0, y(l) = 1, hbar = 2, l = 3", ""},
		{"-ħ² y'' = y, y(0) = 0, y(1) = 1, ħ = 2", "-hbar^2 y'' = y, y(0) = 0, y(1) = 1, hbar = 2", ""},
		{"x' = -k x, x(0) = 1, 0 ≤ t ≤ 24 h, k = 0.1", "x' = -k x, x(0) = 1, 0 <= t <= 24, k = 0.1",
			"units are read as remarks and nothing is converted: t in h"},
		{"C' = -0.5 C, C(0) = 10 mg/L, t from 0 to 6", "C' = -0.5 C, C(0) = 10, 0 <= t <= 6",
			"units are read as remarks and nothing is converted: C in mg/L"},
		{"T'' = h T, T(0) = 2 h, T(1) = 0, h = 3", "T'' = h T, T(0) = 2*h, T(1) = 0, h = 3", ""},
		{"k\t0.5\nL\t2\nk T'' = 4 T\nT(0)\t=\t350\nT(L)\t=\t310", "k = 0.5\nL = 2\nk T'' = 4 T\nT(0) = 350\nT(L) = 310",
			"the columns are read as k = 0.5"},
		{"y'' = a y for a = 2, y(0) = 1, y(1) = 0", "y'' = a y, a = 2, y(0) = 1, y(1) = 0", ""},
		// Labels
		{"(a) y'' + 9y = 0, (b) y(0) = 1, (c) y'(1) = 0", "y'' + 9y = 0, y(0) = 1, y'(1) = 0",
			"(c) is read as the number of the line"},
		{"a) y'' = a x, a = 3\nb) y(0) = 0\nc) y(1) = 1", "y'' = a x, a = 3\ny(0) = 0\ny(1) = 1",
			"b) is read as the number of the line"},
		{"(a) y'' = a y, (b) y(0) = b, (c) y(1) = 3, a = 1, b = 2", "y'' = a y, y(0) = b, y(1) = 3, a = 1, b = 2",
			""},
		{"(1) y'' = y; (2) y(0) = 1; (3) y(1) = 2", "y'' = y; y(0) = 1; y(1) = 2", ""},
		{"a y'' = y, (a) y(0) = 1, (c) y(1) = 2, a = 2, c = 3", "a y'' = y, a*y(0) = 1, c*y(1) = 2, a = 2, c = 3", ""},
		// Idioms
		{"y'' = y\ny(0) = 1\ny(1) = 0\nBest,\nK.", "y'' = y\ny(0) = 1\ny(1) = 0", "“Best, K.” is taken as a remark"},
		{"T = 100 at the left end (x = 0), T = 20 at the right end (x = 0.5); T'' = 3 (T - 20)",
			"T(0) = 100, T(0.5) = 20; T'' = 3 (T - 20)", "the words “the left end” are left out"},
		{"c'' = 4 c, c = 1 at the inlet (z = 0), c' = 0 on the outer surface z = 2",
			"c'' = 4 c, c = 1 at z = 0, c' = 0 at z = 2", ""},
		{"y'' = y\ny(0) = 1\ny(1) = 0\nexact solution: y = sinh(1-x)/sinh(1)",
			"y'' = y\ny(0) = 1\ny(1) = 0\nexact y = sinh(1-x)/sinh(1)", ""},
		{"y'' = x y; y(0) = 1; y(5) = 0; tabulate at x = 0, 1, 2, 3", "y'' = x y; y(0) = 1; y(5) = 0",
			"“tabulate at x = 0, 1, 2, 3” is taken as a remark"},
		{"y'' + 3 y' = 2; y = 1 @ x = 0; y' = 0 @ x = 1", "y'' + 3 y' = 2; y = 1 at x = 0; y' = 0 at x = 1", ""},
		{"u'' = u^2 + 1 for 0 ≤ x ≤ 1 if u vanishes at both ends.", "u'' = u^2 + 1, 0 ≤ x ≤ 1, u(0) = 0, u(1) = 0",
			"“u vanishes” is read as = 0"},
		{"w'''' = w, w and w'' vanish at x = 0 and x = L, L = 2",
			"w'''' = w, w(0) = 0, w''(0) = 0, w(L) = 0, w''(L) = 0, L = 2", ""},
		{"T'' = T, T is held at 100 at the left end (x = 0), T' vanishes at the right end, x = 2",
			"T'' = T, T(0) = 100, T'(2) = 0", "“T is held at” is read as ="},
		{"T'' = 3 (T-20), T = 100 at the left end, x = 0, T = 20 at the right end, x = 1",
			"T'' = 3 (T-20), T(0) = 100, T(1) = 20", ""},
		{"u'' = u, u' vanishes at x = 0, u is zero at x = 1", "u'' = u, u'(0) = 0, u(1) = 0", ""},
		{"ε y″ + y′ = 0, ε ≪ 1, say ε = 0.01; y(0)=0, y(1)=1", "ε y″ + y′ = 0, ε = 0.01; y(0)=0, y(1)=1",
			"“ε ≪ 1” is taken as a remark"},
		{"$ε y″ + y′ = 0$ with $0 < ε \\ll 1$, $ε = 0.01, y(0)=0, y(1)=1$", "ε y″ + y′ = 0, ε = 0.01; y(0)=0, y(1)=1",
			""},
		{"y'' - y = 0 in (0, ∞), y(0) = 1, y bounded", "y'' - y = 0 in (0, ∞), y(0) = 1, y'(inf) = 0",
			"that y stays bounded is read as y' = 0 at infinity"},
		{"y'' - y = 0 for x > 0, y(0) = 1, y remains bounded", "y'' - y = 0 in (0, ∞), y(0) = 1, y'(inf) = 0", ""},
		{"-ψ''/2 + x²ψ/2 = E ψ, ψ → 0 for |x| → ∞", "-ψ''/2 + x²ψ/2 = E ψ, ψ(-inf) = 0, ψ(inf) = 0, E = ?", ""},
		{"(1-x²) y'' - 2x y' + λ y = 0, y regular at x = ±1", "(1-x²) y'' - 2x y' + λ y = 0, -1 < x < 1, λ = ?",
			"at x = -1 the factor of the highest derivative falls away"},
		{"(1-x²) y'' - 2x y' + λ y = 0, y finite at x = -1 and x = 1",
			"(1-x²) y'' - 2x y' + λ y = 0, -1 < x < 1, λ = ?",
			""},
		{"(1-x²) y'' - 2x y' + λ y = 0, -1 < x < 1, y bounded at both ends",
			"(1-x²) y'' - 2x y' + λ y = 0, -1 < x < 1, λ = ?",
			""},
		{"$$-\\frac{1}{2}\\psi'' + \\frac{1}{2}x^2\\psi = E\\psi,\\quad \\psi\\to 0 \\text{ as } |x|\\to\\infty$$",
			"-1/2 ψ'' + 1/2 x^2 ψ = E ψ, ψ(-inf) = 0, ψ(inf) = 0, E = ?", "E has no value, so it is sought: E = ?"},
		{"y'' = y, x ∈ ]0, 1[, y(0) = 1, y(1) = 2", "y'' = y, 0 < x < 1, y(0) = 1, y(1) = 2", ""},
		// Numbers
		{"y'' + 2,25 y = 0; y(0) = 1,5; y(0,8) = 0", "y'' + 2.25 y = 0; y(0) = 1.5; y(0.8) = 0",
			"2,25 is read as 2.25"},
		{"y'' = 1{,}44 y, y(0) = 1, y(1) = 0", "y'' = 1.44 y, y(0) = 1, y(1) = 0", ""},
		// Lines and intervals
		{"y'' + 3 y'\n+ 2 y\n= 4\ny(0) = 1\ny(1) = 0", "y'' + 3 y' + 2 y = 4\ny(0) = 1\ny(1) = 0", ""},
		{"\\begin{multline} y'' = 2y \\\\ - 4 \\end{multline} y(0) = 1, y(1) = 2", "y'' = 2 y - 4, y(0) = 1, y(1) = 2",
			""},
		{"y'' = y\ty(0) = 1\ty(1) = 2", "y'' = y; y(0) = 1; y(1) = 2", ""},
		{"y'' = y (0 < x < 1), y(0) = 1, y(1) = 2", "y'' = y, 0 < x < 1, y(0) = 1, y(1) = 2", ""},
		{"y'' = y in (0, 1), y(0) = 1, y(1) = 2", "y'' = y on (0, 1), y(0) = 1, y(1) = 2", ""},
		{"y'' = d y, d = 2 in [1, 3], y(0) = 1, y(2) = 2", "y'' = d y, y(0) = 1, y(2) = 2, d = 2", ""},
		{"y'' = y, |x| < 1, y(-1) = 1, y(1) = 2", "y'' = y, -1 < x < 1, y(-1) = 1, y(1) = 2", ""},
		{"y'' = y, x ∈ [0; 2], y(0) = 1, y(2) = 2", "y'' = y, x in [0, 2], y(0) = 1, y(2) = 2", ""},
		{"y'' = y, x from 0 to 2, y(0) = 1, y(2) = 2", "y'' = y, x in [0, 2], y(0) = 1, y(2) = 2", ""},
		{"y'' = y from x = 0 to x = 2, y(0) = 1, y(2) = 2", "y'' = y, x in [0, 2], y(0) = 1, y(2) = 2", ""},
		{"y'' = y for x between 0 and 2, y(0) = 1, y(2) = 2", "y'' = y, x in [0, 2], y(0) = 1, y(2) = 2", ""},
		// What is sought and asked for
		{"-1/2 u'' - u/r = E u, u(0) = 0, u(9) = 0", "-1/2 u'' - u/r = E u, u(0) = 0, u(9) = 0, E = ?",
			"E has no value, so it is sought: E = ?"},
		{"y'' + λ y = 0, y(0) = y(1) = 0, find λ", "y'' + λ y = 0, y(0) = y(1) = 0, λ = ?", ""},
		{"y'' = μ, y(0) = y(1) = 0, y'(0) = 1, \\mu \\text{ to be found}",
			"y'' = μ, y(0) = y(1) = 0, y'(0) = 1, mu = ?", ""},
		{"y'' = μ, y(0) = y(1) = 0, y'(0) = 1; μ unknown", "y'' = μ, y(0) = y(1) = 0, y'(0) = 1, mu = ?", ""},
		{"y'' = y, y(0) = 1, y(1) = 0; y(1/2) = ?", "y'' = y, y(0) = 1, y(1) = 0; report y(1/2)", ""},
		{"y'' = y, y(0) = 1, y(1) = 0; compute y'(0) and y(1/2)", "y'' = y, y(0) = 1, y(1) = 0; report y'(0), y(1/2)",
			""},
		{"y'' = y, y(0) = 1, y(1) = 0; find the value of y(1/2)", "y'' = y, y(0) = 1, y(1) = 0; report y(1/2)", ""},
		{"x'' = -g - c x', x(0) = 0, x(T) = 1, x'(T) = 0, g = 9.81, c = 2, T = ?; x(T/2) = ?",
			"x'' = -g T^2 - c (x' T), x(0) = 0, x(1) = 1, x'(1)/T = 0, 0 <= s <= 1, g = 9.81, c = 2, T = ? near 1; " +
				"report x(1/2)",
			"T is sought, so t is written as T s with s from 0 to 1"},
		// Pieces, steps, point loads
		{"k = 2 for x < 1, k = 6 for x > 1\n(k T')' = -1, T(0) = 0, T(2) = 0",
			"k = if(x < 1, 2, 6)\n(k T')' = -1, T(0) = 0, T(2) = 0", ""},
		{"k = 2 for 0 < x < 1 and k = 6 for 1 < x < 1.5 and k = 3 for 1.5 < x < 2\n(k T')' = -1, T(0) = 0, T(2) = 0",
			"k = if(x < 1, 2, if(x < 1.5, 6, 3))\n(k T')' = -1, T(0) = 0, T(2) = 0", ""},
		{"y'' = -q, q = \\begin{cases} 1 & |x| < 0.5 \\\\ 0 & \\text{otherwise} \\end{cases}, y(-1) = y(1) = 0",
			"y'' = -q, q = if(abs(x) < 0.5, 1, 0), y(-1) = y(1) = 0", ""},
		{"y'' = -q, q = \\begin{cases} 1 & 0 \\le x < 0.5 \\\\ 2 & 0.5 \\le x \\le 1\\end{cases}, y(0) = y(1) = 0",
			"y'' = -q, q = if(x < 0.5, 1, 2), y(0) = y(1) = 0", ""},
		{"y'' = -q, q = 2.2 if x < 0.5, 4.0 otherwise, y(0) = y(1) = 0",
			"y'' = -q, q = if(x < 0.5, 2.2, 4.0), y(0) = y(1) = 0", ""},
		{"y'' = -q, q = { 2.2 if x < 0.5; 4.0, otherwise }, y(0) = y(1) = 0",
			"y'' = -q, q = if(x < 0.5, 2.2, 4.0), y(0) = y(1) = 0", ""},
		{"y'' = -q(x), q(x) = { 8 for 0 ≤ x < a ; 3 for a ≤ x ≤ 1 }, a = 0.25, y(0) = y(1) = 0",
			"y'' = -q(x), q(x) = if(x < a, 8, 3), a = 0.25, y(0) = y(1) = 0", ""},
		{"u'' = -q, u(0) = 0, u(1) = 0\nq = 5 for 0.2 < x < 0.4 and q = 0 elsewhere",
			"u'' = -q, u(0) = 0, u(1) = 0\nq = if(x < 0.2, 0, if(x < 0.4, 5, 0))", ""},
		{"y'' = -H(x-0.5), y(0) = y(1) = 0", "y'' = -heaviside(x-0.5), y(0) = y(1) = 0",
			"H is read as the step function"},
		{"H y'' = -H(1 + x), y(0) = y(1) = 0, H = 2", "h y'' = -h*(1 + x), y(0) = y(1) = 0, h = 2", ""},
		{"u'' = {1 if x<0.5; -1 if x>0.5}, u(0)=0, u(1)=0", "u'' = if(x < 0.5, 1, -1), u(0)=0, u(1)=0", ""},
		{"u'' = -{1 if x<0.5; -1 if x>0.5}, u(0)=0, u(1)=0", "u'' = -if(x < 0.5, 1, -1), u(0)=0, u(1)=0", ""},
		{"y'' = 3 - 2<x-0.5>^1 + <x-0.2>^0, 0<x<1, y(0) = y(1) = 0",
			"y'' = 3 - 2 max(x-0.5, 0) + heaviside(x-0.2), 0<x<1, y(0) = y(1) = 0", ""},
		{"y'' = 3 - 2 ⟨x-0.5⟩^1 + ⟨x-0.2⟩^0 + \\langle x - a \\rangle^2, a = 0.4, y(0) = y(1) = 0",
			"y'' = 3 - 2 max(x-0.5, 0) + heaviside(x-0.2) + max(x - a, 0)^2, a = 0.4, y(0) = y(1) = 0", ""},
		{"EI w'''' = P δ(x-a), w(0) = w''(0) = w(1) = w''(1) = 0, EI = 2, P = 3, a = 0.4",
			"EI w'''' = P*0, break x = a, w(0) = w''(0) = w(1) = w''(1) = 0, EI = 2, P = 3, a = 0.4",
			"δ(x-a) is a point load: w''' jumps there"},
		// Constants given as a whole
		{"y'' + ω² y = 0, ω² = 4, y(0) = 0, y(1) = 1", "y'' + w y = 0, w = 4, y(0) = 0, y(1) = 1",
			"ω² is one number, called omega_sq"},
		{"y'''' = ω⁴ y, ω² = 4, y(0) = 0, y(1) = 1, y'(0) = 0, y'(1) = 0",
			"y'''' = w^2 y, w = 4, y(0) = 0, y(1) = 1, y'(0) = 0, y'(1) = 0", ""},
		{"P'' = 2 M x/K, M/K = 0.05, P(0) = 1, P(1) = 0", "P'' = w*2*x, w = 0.05, P(0) = 1, P(1) = 0",
			"M/K is one number, called M_K"},
		{"T'' = h P/(k A) (T - 20), h P/(k A) = 72, T(0) = 1, T(1) = 0", "T'' = m (T - 20), m = 72, T(0) = 1, T(1) = 0",
			""},
		// Integrals
		{"y'' = -μ, y(0) = y(1) = 0, \\int_0^1 y\\,dx = 1, μ = ?",
			"y'' = -μ, I' = y, y(0) = y(1) = 0, I(1) = 1, I(0) = 0, μ = ?", "I is an unknown of its own"},
		{"y'' = -μ, y(0) = y(1) = 0, ∫ y dx = 1, μ = ?", "y'' = -μ, I' = y, y(0) = y(1) = 0, I(1) = 1, I(0) = 0, μ = ?",
			""},
		{"y'' = -μ, y(0) = y(1) = 0, integral(y^2, 0.2, 1) = 2 integral(y^2, 0, 0.2), μ = ?",
			"y'' = -μ, I' = y^2, y(0) = y(1) = 0, I(1) = 2 (I(0.2) - I(0)) , I(0.2) = 0, μ = ?", ""},
		{"(r c')' = r c, c(1) = 1, ∫₁² c r dr = 3", "(r c')' = r c, I' = c r, c(1) = 1, I(2) = 3, I(1) = 0", ""},
	}
	for _, tt := range tests {
		plain, err := Read(tt.plain, Options{})
		if err != nil {
			t.Fatalf("%s: %v", tt.plain, err)
		}
		form, err := Read(tt.form, Options{})
		if err != nil {
			t.Errorf("%s\n\t%v", tt.form, err)
			continue
		}
		if got, want := unnamed(form), unnamed(plain); got != want {
			t.Errorf("%s\ngot  %s\nwant %s", tt.form, got, want)
		}
		if tt.says != "" && !said(form, tt.says) {
			t.Errorf("%s: nothing says “%s”, but %v", tt.form, tt.says, form.Inferences)
		}
	}
}

// unnamed describes a sheet with its constants numbered: a name of a constant may be chosen freely.
func unnamed(s *Sheet) string {
	text := described(s)
	for i, c := range s.Constants {
		n := &notation.Name{Name: c.Name}
		text = replaceWord(text, typeset.Plain(n), fmt.Sprintf("#%d", i))
	}
	return text
}

func replaceWord(text, word, by string) string {
	var b strings.Builder
	for {
		i := strings.Index(text, word)
		if i < 0 {
			return b.String() + text
		}
		letter := func(k int) bool {
			return k >= 0 && k < len(text) && (text[k] == '_' || text[k] >= 0x80 ||
				strings.ContainsRune("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789#", rune(text[k])))
		}
		end := i + len(word)
		b.WriteString(text[:i])
		if letter(i-1) || letter(end) {
			b.WriteString(word)
		} else {
			b.WriteString(by)
		}
		text = text[end:]
	}
}

func said(s *Sheet, what string) bool {
	for _, i := range s.Inferences {
		if strings.Contains(i.Text, what) {
			return true
		}
	}
	return false
}

// A value that is given twice is refused; two conditions that hold it otherwise than in a straight line are not.
func TestGivenTwice(t *testing.T) {
	for conditions, want := range map[string]string{
		"y(0) = 2\ny(0) = 1":        "y at x = 0 is given a second time (first on line 2)",
		"2 y(0) = 2\ny(0) = 1":      "y at x = 0 is given a second time (first on line 2)",
		"y(0)^2 = 4\ny(0)^3 = 8":    "",
		"y(0)^2 = 4\nexp(y(0)) = 8": "",
	} {
		_, err := Read("y'' = y\n"+conditions+"\n0 < x < 1", Options{})
		got := ""
		if err != nil {
			got = notation.Faults(err)[0].Msg
		}
		if got != want {
			t.Errorf("%s: %q, want %q", conditions, got, want)
		}
	}
}
