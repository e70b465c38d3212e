package guess

import (
	"math"
	"strings"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// A sheet's solution, written as a guess and put behind the sheet, is read and leads back to itself: to the answer
// that the line was made from, and not to the one that the sheet has without it. The numbers of solutions are those of
// the literature: the exponential source (Frank-Kamenetskii 1955), u” = 3/2 u^2 (Stoer and Bulirsch).
func TestLineLeadsBack(t *testing.T) {
	for _, c := range []struct{ sheet, guess string }{
		{"y'' + 2 exp(y) = 0; y(0) = 0; y(1) = 0", "guess y = 16 x (1 - x)"},
		{"u'' = 3/2 u^2; u(0) = 4; u(1) = 1", "guess u = 4 - 50 x (1 - x)"},
		{"theta'' + 25 sin(theta) = 0; theta(0) = 0; theta(1) = 0", "guess theta = 2 sin(pi x)"},
		{"theta'' + 9 sin(theta) = 0; theta(2) = 0; theta(5) = 0", "guess theta = 2 sin(pi (x - 2)/3)"},
		{"u'' = v; v'' = -25 sin(u); u(0) = 0; u'(0) = 1; v(1) = 0; v'(1) = 0",
			"guess v = x - 1, u = x # as for a bar\n"},
		{"f''' + f f'' / 2 = 0; f(0) = 0; f'(0) = 0; f'(inf) = 1; 0 <= x < inf", ""},
		{"y'' = -1 - y^3; integral(y, 0, 1) = 1; y(0) = 0; 0 < x < 1", ""},
		{"y'' = y; y(-inf) = 0; y(0) = 2", ""},
		{"y'' = y - exp(-(x-1)^2); y(-inf) = 0; y(inf) = 0", ""},
	} {
		sh, want := sheettest.Solved(t, c.sheet+"\n"+c.guess, solver.Options{})
		line, ok := Line(sh, want)
		if !ok || !strings.HasPrefix(line, "guess ") {
			t.Errorf("%s: %q, %v", c.sheet, line, ok)
			continue
		}
		text := c.sheet + "\n" + line
		_, got := sheettest.Solved(t, text, solver.Options{})
		for _, x := range want.Points() {
			for i := range want.Problem.Unknowns {
				a, ea := want.Value(i, 0, x)
				b, eb := got.Value(i, 0, x)
				if math.Abs(a-b) > ea+eb+1e-12 {
					t.Errorf("%s: %s(%g) is %.9g ± %.1g, want %.9g", text,
						want.Problem.Unknowns[i].Name, x, b, eb, a)
				}
			}
		}
	}
}

// What a line says is within a hundredth of the solution, in the sheet's own variable, and no longer than that takes.
func TestLine(t *testing.T) {
	for text, want := range map[string]string{
		"y'' = -2; y(0) = 0; y(1) = 0":                      "guess y = 0.25 - 0.25*(2*x - 1)^2",
		"y'' = 0; y(0) = 0; y(1) = 1":                       "guess y = 0.5 + 0.5*(2*x - 1)",
		"y'' = y; y(0) = 0; y(1) = 0":                       "guess y = 0",
		"y'' = 0; y(2) = -1; y(5) = -1":                     "guess y = -1",
		"T'' = -2; T(-1) = 0; T(3) = 0; -1 < s < 3":         "guess T = 4 - 4*((2*s - 2)/4)^2",
		"u' = v; v' = -2; u(0) = 0; u(1) = 0":               "guess u = 0.25 - 0.25*(2*x - 1)^2, v = -1*(2*x - 1)",
		"y'' = -2; y(0) = 0; y(1) = 0; report y(1/2)":       "guess y = 0.25 - 0.25*(2*x - 1)^2",
		"y'' = y; y(0) = 2; y(inf) = 0":                     "*(2.4*x/(x + 6.4) - 1)^2 - ",
		"y'' = 4 y; y(1) = 2; y(inf) = 0":                   "*(2.4*(x - 1)/((x - 1) + 3.2) - 1)^2 - ",
		"y'' = y; y(-inf) = 0; y(0) = 2":                    "*(2.4*(0 - x)/((0 - x) + 6.4) - 1)^2 - ",
		"y'' = 9 y; y(-inf) = 0; y(-3) = 2":                 "*(2.4*(-3 - x)/((-3 - x) + 2.1333) - 1)^2 - ",
		"y'' = y - exp(-(x-1)^2); y(-inf)=0; y(inf)=0":      "*(1.005*x/sqrt(x^2 + 10.24)) + ",
		"y'' = y - exp(-x^2); y(-inf) = 0; y(inf) = 0":      "*(1.005*x/sqrt(x^2 + 10.24))^2 + ",
		"y'' = 16 pi^2 (cos(4 pi x)); y(0) = -1; y(1) = -1": "",
	} {
		sh, s := sheettest.Solved(t, text, solver.Options{})
		line, ok := Line(sh, s)
		if !ok || !strings.Contains(line, want) || strings.HasPrefix(want, "guess") && line != want {
			t.Errorf("%s: %q, %v, want %q", text, line, ok, want)
			continue
		}
		p := sheettest.Problem(t, text+"\n"+line)
		jet := make([]float64, p.Jet())
		points := s.Points()
		for i, u := range p.Unknowns {
			largest, off := 0.0, 0.0
			for k := range 401 {
				x := points[0] + float64(k)/400*(points[len(points)-1]-points[0])
				v, _ := s.Value(i, 0, x)
				p.Guess(x, jet)
				largest = math.Max(largest, math.Abs(v))
				off = math.Max(off, math.Abs(v-jet[p.JetOffset(i)]))
			}
			if off > 1.02*nearness*largest {
				t.Errorf("%s: %s is off %s by %g of %g", text, line, u.Name, off, largest)
			}
		}
	}
	// A front of a thousandth is beyond what one polynomial of degree 14 follows.
	sh, s := sheettest.Solved(t, "1e-6 y'' = y; y(0) = 1; y(1) = 1", solver.Options{})
	if line, ok := Line(sh, s); ok || line != "" {
		t.Errorf("%q", line)
	}
}

// A guess is replaced where it stands, what is no guess stays, and one for an unknown without any comes last.
func TestSheetKeepsTheRest(t *testing.T) {
	for _, c := range []struct{ text, before, after string }{
		{"guess y = x # rough\ny'' = y^3; y(0) = 0; y(1) = 1\n\n", "guess y = ",
			" # rough\ny'' = y^3; y(0) = 0; y(1) = 1\n"},
		{"y'' = y^3; guess y = 2 x; y(0) = 0; y(1) = 1", "y'' = y^3; guess y = ", "; y(0) = 0; y(1) = 1\n"},
		{"y'' = y^3; y(0) = 0; y(1) = 1", "y'' = y^3; y(0) = 0; y(1) = 1\nguess y = ", "\n"},
	} {
		sh, s := sheettest.Solved(t, c.text, solver.Options{})
		text, ok := Sheet(sh, s)
		if !ok || !strings.HasPrefix(text, c.before) || !strings.HasSuffix(text, c.after) ||
			strings.Contains(text, "2 x") {
			t.Errorf("%q has become %q, %v", c.text, text, ok)
		}
	}
}
