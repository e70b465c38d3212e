package guess

import (
	"math"
	"strings"
	"testing"

	"nodespan/expr/sheet"
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
		want := solve(t, c.sheet+"\n"+c.guess)
		line, ok := Line(want.sheet, want.Solution)
		if !ok || !strings.HasPrefix(line, "guess ") {
			t.Errorf("%s: %q, %v", c.sheet, line, ok)
			continue
		}
		text := c.sheet + "\n" + line
		got := solve(t, text)
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

type solved struct {
	sheet *sheet.Sheet
	*solver.Solution
}

func solve(t *testing.T, text string) solved {
	t.Helper()
	sh, err := sheet.Read(text, sheet.Options{})
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	s := solver.MustSolve(sh.Problem(), solver.Options{})
	if s.Status != solver.Solved {
		t.Fatalf("%s: %s", text, s.Message)
	}
	return solved{sh, s}
}
