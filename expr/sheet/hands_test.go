package sheet

import "testing"

// TestHands reads what hands in a hurry, old books and other languages write, against the same problem in the plainest
// notation.
func TestHands(t *testing.T) {
	for _, tt := range []struct{ form, plain, says string }{
		{"u'' = m^2 u\nu(0) = 3, u'(L) = 0\nm=4  L=2", "u'' = m^2 u, u(0) = 3, u'(L) = 0, m = 4, L = 2", ""},
		{"a u'' = 0  in 0 < x < 1\nb v'' = 0  in 1 < x < 2\n" +
			"u(0) = 0, v(2) = 1, u(1) = v(1), a u'(1) = b v'(1)\na = 1, b = 2",
			"a u'' = 0 in 0 < x < 1\nb v'' = 0 in 1 < x < 2\n" +
				"u(0) = 0, v(2) = 1, u(1) = v(1), a u'(1) = b v'(1)\na = 1, b = 2",
			""},
		{"T y'' = k y, where y = 0 for x = 0 and for x = l\nT = 2, k = 3, l = 1",
			"T y'' = k y, y(0) = 0, y(l) = 0, 0 <= x <= l\nT = 2, k = 3, l = 1", ""},
		{"u'' = 2 u + f, u(0) = 0, u(1) = 1, where f (x) = x", "u'' = 2 u + f(x), u(0) = 0, u(1) = 1, f(x) = x", ""},
		{"\\frac{1}{\\Pr} u'' = u, u(0) = 0, u(1) = 1, \\Pr = 0.7", "1/Pr u'' = u, u(0) = 0, u(1) = 1, Pr = 0.7", ""},
		{"With \\xi = x/L we get d^2u/d\\xi^2 = u, u(0) = 0, u(1) = 1", "d^2u/dxi^2 = u, u(0) = 0, u(1) = 1",
			"only says what xi stands for"},
		{"u'' = 4 u, u(0) = 1, u'(1) = 0, where u = (T - Ta)/(Tb - Ta)", "u'' = 4 u, u(0) = 1, u'(1) = 0",
			"only says what u stands for"},
		{"u'' = 4 u, u(0) = 1, u'(1) = 0\neta = u'(0)/4", "u'' = 4 u, u(0) = 1, u'(1) = 0\nreport eta = u'(0)/4",
			"nothing uses eta, so it is a number to be reported"},
		{"Find u on [0, 1] such that -u'' + 4u = x with u(0) = 0 and u(1) = 1.",
			"-u'' + 4 u = x, u(0) = 0, u(1) = 1", ""},
		{"Gesucht ist u auf [0, 1], sodass -u'' + 4u = x mit u(0) = 0 und u(1) = 1.",
			"-u'' + 4 u = x, u(0) = 0, u(1) = 1", ""},
		{"Trouver u sur [0, 1] telle que -u'' + 4u = x avec u(0) = 0 et u(1) = 1.",
			"-u'' + 4 u = x, u(0) = 0, u(1) = 1", ""},
		{"Trovare u in [0, 1] tale che -u'' + 4u = x con u(0) = 0 e u(1) = 1.",
			"-u'' + 4 u = x, u(0) = 0, u(1) = 1", ""},
		{"A copper rod (c = 390 W/m) of length 2 m and diameter 1 cm loses heat along its side.\n" +
			"c T'' = T, T(0) = 1, T(2) = 0",
			"c T'' = T, T(0) = 1, T(2) = 0, c = 390", ""},
		{"A wall (c = 2) with a source (q = 3) in it and in nothing beside it\nc T'' + q = 0, T(0) = 1, T(2) = 0",
			"c T'' + q = 0, T(0) = 1, T(2) = 0, c = 2, q = 3", ""},
		{"u'' = -3 in (0, 2); u = 0 on the boundary", "u'' = -3, u(0) = 0, u(2) = 0", ""},
		{"u'' = -3 in (0, 2); u = 0 auf dem Rand", "u'' = -3, u(0) = 0, u(2) = 0", ""},
		{"u'' = -3 sur (0, 2); u = 0 au bord", "u'' = -3, u(0) = 0, u(2) = 0", ""},
		{"u'' = -3 en (0, 2); u = 0 en la frontera", "u'' = -3, u(0) = 0, u(2) = 0", ""},
		{"u'' = -3 in (0, 2); u vanishes on the boundary", "u'' = -3, u(0) = 0, u(2) = 0", ""},
		{"-eps u'' + u' = 1 on (0, 1), u(0) = u(1) = 0; let eps be 0.1.",
			"-eps u'' + u' = 1, u(0) = u(1) = 0, eps = 0.1",
			"is read as eps = 0.1"},
		{"Sea y'' + 2y = x con y(0) = 0 y y(2) = 1.", "y'' + 2 y = x, y(0) = 0, y(2) = 1", ""},
		{"Length of the pile: 12 m. a u'' = u, a u'(0) = 2, u'(12) = 0. a = 3",
			"a u'' = u, a u'(0) = 2, u'(12) = 0, a = 3", ""},
		{"(r T')' = 0. Innen gilt T(1) = 2, außen -k T'(2) = h T(2). k = 3, h = 4",
			"(r T')' = 0, T(1) = 2, -k T'(2) = h T(2), k = 3, h = 4", ""},
		{"A beam of length l = 3 satisfies\nw'' = 2, w(0) = 0, w(l) = 1", "w'' = 2, w(0) = 0, w(l) = 1, l = 3", ""},
		{"Starting at y(0) = 2 it reaches y(3) = 5; in between it satisfies y'' = y",
			"y(0) = 2, y(3) = 5, y'' = y", ""},
		{"\\begin{align}&\\text{(ODE)} && u'' = 2 u \\\\ &\\text{(BC)} && u(0) = 0, u(1) = 1\\end{align}",
			"u'' = 2 u, u(0) = 0, u(1) = 1", ""},
		{"\\begin{tabular}{ll}\nODE: & $u''=2u$\\\\\nLeft: & $u(0)=0$\\\\\nRight: & $u(1)=1$\n\\end{tabular}",
			"u'' = 2 u, u(0) = 0, u(1) = 1", ""},
		{"u'' = 2 u, u(0) = 0, u(1) = 1 (dots would denote d/dt)", "u'' = 2 u, u(0) = 0, u(1) = 1", ""},
		{"y'' = f(x, y, y') with f = -2y' + x, y(0) = y(1) = 0", "y'' = f, f = -2 y' + x, y(0) = y(1) = 0",
			""},
		{"Name\tValue\tUnit\tRemark\nL\t2\tm\tspan\nu'' = 1\nu(0) = 0, u(L) = 1",
			"u'' = 1, u(0) = 0, u(L) = 1, L = 2",
			""},
		{"span  L  2  m\nu'' = 1\nu(0) = 0, u(L) = 1", "u'' = 1, u(0) = 0, u(L) = 1, L = 2",
			""},
		{"k u'' = -g\nu(0) = 0, u(1) = 1, k = 3 W/(m.K), g = 2 W/m^3",
			"k u'' = -g, u(0) = 0, u(1) = 1, k = 3, g = 2",
			""},
		{"wool 0<x<1: k u'' = 0\nfelt 1<x<2: l v'' = 0\n" +
			"u(0) = 0, v(2) = 1, u(1) = v(1), k u'(1) = l v'(1)\nk = 2, l = 3",
			"0<x<1\nk u'' = 0\n1<x<2\nl v'' = 0\n" +
				"u(0) = 0, v(2) = 1, u(1) = v(1), k u'(1) = l v'(1)\nk = 2, l = 3",
			""},
		{"It drops from T(0) = 90 to T(2) = 30 while T'' = 0.4 (T - 25) holds.",
			"T(0) = 90, T(2) = 30, T'' = 0.4 (T - 25)", ""},
		{"Am linken Rand x = 0 ist die Temperatur T = 80 vorgegeben, am rechten Rand x = 2 gilt T' = 0. Es ist T'' = T",
			"T(0) = 80, T'(2) = 0, T'' = T",
			""},
		{"u'' = u. At x = 0 the temperature is u = 3, at x = 1 the slope u' = 0", "u'' = u, u(0) = 3, u'(1) = 0",
			""},
		{"Si consideri u'' = u nell'intervallo [0, 1], con u(0) = 1, u(1) = 2.",
			"u'' = u, 0 <= x <= 1, u(0) = 1, u(1) = 2", ""},
		{"2. u″ = −u, u(0) = 0, u(1) = 1", "u'' = -u, u(0) = 0, u(1) = 1", ""},
		{"u'' = u, u(0) = 0, u(1) = 1 thx!!", "u'' = u, u(0) = 0, u(1) = 1", ""},
		{"u'' = u, u(0) = 0, u(1) = 1. Is it too easy? Thanks, B.", "u'' = u, u(0) = 0, u(1) = 1", ""},
		{"Ges.: u(1)\nu'' = u, u(0) = 0, u'(1) = 1", "report u(1)\nu'' = u, u(0) = 0, u'(1) = 1", ""},
		{"Une barre est chauffée à gauche (u(0) = 1) et isolée (u'(1) = 0) : u'' = u",
			"u'' = u, u(0) = 1, u'(1) = 0", ""},
		{"Es gilt u'' = u mit den RB u(0) = 1 und u(1) = 0", "u'' = u, u(0) = 1, u(1) = 0", ""},
		{"u(0) = 1 [m], u'(2) = 0 [-], u'' = u", "u(0) = 1, u'(2) = 0, u'' = u", ""},
		{"u'' = 0 for 0 < x < 1; u'' = -4 for 1 < x < 2; u(0) = 0; u(2) = 0",
			"u'' = f, f = 0 for 0 < x < 1, f = -4 for 1 < x < 2, u(0) = 0, u(2) = 0", ""},
		{"u'' = u - v, v'' = v, u(0) = 1, v(0) = 1, u and v vanish at infinity",
			"u'' = u - v, v'' = v, u(0) = 1, v(0) = 1, u(inf) = 0, v(inf) = 0", ""},
		{"u'' - 3u = cos(x), periodic with period 2 pi", "u'' - 3u = cos(x), u(0) = u(2 pi), u'(0) = u'(2 pi)", ""},
		{"Find a 2π-periodic solution of u'' - u = cos(x)", "u'' - u = cos(x), u(0) = u(2 pi), u'(0) = u'(2 pi)", ""},
		{"The function $u$ is $2\\pi$-periodic and solves $u''-u=1$.", "u'' - u = 1, u(0) = u(2 pi), u'(0) = u'(2 pi)",
			"is read as u(0) = u(2\\pi), u'(0) = u'(2\\pi)"},
		{"The solution of u'' - u = 1 that has period L, L = 2", "u'' - u = 1, u(0) = u(L), u'(0) = u'(L), L = 2", ""},
		{"$u'' = n_+ - n_{-}$, n₊ = u, n₋ = 2, u(0) = 1, u(1) = 0{.}5",
			"u'' = p - m, p = u, m = 2, u(0) = 1, u(1) = 0.5", ""},
		{"u'' = k u (0 < x < 0.2, k = 0.8), u(0) = 1, u(0.2) = 0",
			"u'' = k u, 0 < x < 0.2, k = 0.8, u(0) = 1, u(0.2) = 0", ""},
		{"(x u')' = 4 u on 0 < x < 1, u(1) = 1. The temperature at x = 0 stays finite.",
			"(x u')' = 4 u on 0 < x < 1, u(1) = 1, u finite at x = 0", ""},
		{"u'' = 2 u, u(0) = 0, u(1) = 1, where we fix $a = 2$ throughout.", "u'' = 2 u, u(0) = 0, u(1) = 1, a = 2", ""},
		{"u'' = 2 u for x in [0, 1] with Dirichlet data at x = 0, u(0) = 0, and Neumann data u'(1) = 1",
			"u'' = 2 u for x in [0, 1], u(0) = 0, u'(1) = 1", ""},
		{"Case 3a. Beam under a load:\nu'' = 2 u, u(0) = 0, u(1) = 1", "u'' = 2 u, u(0) = 0, u(1) = 1", ""},
		{"u'' = a u, u(0) = 0, u(1) = 1 | a = 4", "u'' = a u, u(0) = 0, u(1) = 1, a = 4", ""},
		{"On trouve k u'' = -q dans la plaque, u(0) = 0, u(1) = 1, k = 2, q = 3",
			"k u'' = -q, u(0) = 0, u(1) = 1, k = 2, q = 3", ""},
		{"Der Stab wird links auf u(0) = 1 gehalten, u'(1) = 0. Es gilt u'' = u", "u(0) = 1, u'(1) = 0, u'' = u", ""},
	} {
		form, err := Read(tt.form, Options{})
		if err != nil {
			t.Errorf("%s\n%v", tt.form, err)
			continue
		}
		plain, err := Read(tt.plain, Options{})
		if err != nil {
			t.Errorf("%s\n%v", tt.plain, err)
			continue
		}
		if got, want := unnamed(form), unnamed(plain); got != want {
			t.Errorf("%s\ngot  %s\nwant %s", tt.form, got, want)
		}
		if tt.says != "" && !said(form, tt.says) {
			t.Errorf("%s: nothing says “%s”, but %v", tt.form, tt.says, form.Inferences)
		}
	}
	for _, form := range []string{
		"y'' = k y, k = 4 +- 1, y(0) = 0, y(1) = 1", // a value with its uncertainty
		"y'' = k y, y(0) = 1, y(1) = 0, y = a + b",  // k has no value
		"y'' = k y\ny(0) = 1, y(1) = 0\n0 < x < 1: k = 2",
		"y'' = k y\ny(0) = 1, y(1) = 0\nx > 1: k = 2",
	} {
		if _, err := Read(form, Options{}); err == nil {
			t.Errorf("%s is read", form)
		}
	}
}
