package several_test

import (
	"math"
	"os"
	"strings"
	"testing"

	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/solver/several"
)

// search reads a sheet, solves it and looks for further solutions.
func search(t *testing.T, text string) *several.Search {
	t.Helper()
	sh, err := sheet.Read(text, sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := sh.Problem()
	return several.Run(p, solver.MustSolve(p, solver.Options{}), several.Options{})
}

// unique are sheets with one solution: linear and not singular, or with a right side that does not fall with y (H. B.
// Keller, Numerical Methods for Two-Point Boundary-Value Problems, 1968, section 1.2), or both.
var unique = []string{
	"y'' = y; y(0) = 1; y(1) = 0",
	"y'' = 400 y; y(0) = 1; y(1) = 1",
	"y'' + y = 0; y(0) = 0; y(1) = 1",
	"y'' + 100 y = 1; y(0) = 0; y(1) = 0",
	"y'' + y' = x; y(0) = 0; y'(1) = 0",
	"y'''' = 1; y(0) = 0; y'(0) = 0; y(1) = 0; y'(1) = 0",
	"y'''' + y = 1; y(0) = 0; y''(0) = 0; y(1) = 0; y''(1) = 0",
	"y'' - x y = 0; y(0) = 1; y(3) = 0",
	"u'' = v; v'' = u + 1; u(0) = 0; v(0) = 0; u(1) = 0; v(1) = 1",
	"y'' + 2/r y' = 9 y; y'(0) = 0; y(1) = 1; 0 < r < 1",
	"0.01 y'' + y' + y = 0; y(0) = 0; y(1) = 1",
	"y' = -3 y + x; y(0) = 2; 0 < x < 1",
	"y'' = cos(x) y; y(0) = y(2 pi); y'(0) = y'(2 pi) + 1; 0 < x < 2 pi",
	"y''' = y' - 1; y(0) = 0; y'(0) = 0; y(1) = 0",
	"(k T')' = -1; k = 2 for x < 1, k = 6 for x > 1; T(0) = 0; T(2) = 0",
	"x^2 y'' + x y' - y = x; y(1) = 0; y(2) = 1",
	"y'' = -1; y(0) = 0; y'(1) + 2 y(1) = 0",
	"y'' + sin(x) y' = exp(x); y(0) = 1; y(2) = -1",
	"y'' = 1e4 y; y(0) = 0; y(1) = 1",
	"T'' = 4 (T - 20); T(0) = 90; T'(0.4) = 0",
	"y'' = y^3; y(0) = 0; y(1) = 1",
	"y'' = exp(y); y(0) = 0; y(1) = 0",
	"y'' = sinh(y); y(0) = 1; y(1) = -1",
	"y'' = y + y^3 - 1; y'(0) = 0; y(1) = 0",
	"y'' = y^5 + y' ; y(0) = 1; y(1) = 2",
	"y'' = atan(y); y(0) = 1; y(1) = 0",
	"y'' = 5 sinh(5 y); y(0) = 0; y(1) = 1",
	"y'' = y - cos(3 x); y'(0) = 0; y'(1) + y(1) = 1",
	"y'' = y |y|; y(0) = -1; y(1) = 1",
	"y'' + 3 y' = y^3 + x; y(0) = 0; y(1) = 1",
	"y'' = exp(y) + y'; y(0) = 0; y'(1) = 1",
	"y'' = 100 y^3; y(0) = 1; y(1) = 1",
	"y'' = 2 y + sin(y); y(0) = 1; y(1) = 0",
	"y'' = y + tanh(y) - 1; y(0) = 0; y'(1) = 0",
	"y'' = 1e-3 (y + 273)^3 |y + 273| /1e6 - 1; y(0) = 0; y(1) = 10",
	"y'' = (1 + x^2) y^3; y(0) = 1; y(1) = 0",
	"y'' = y^3 + 1; y(-1) = 0; y(1) = 0",
	"y'' = max(y, 0); y(0) = 1; y(2) = -1",
	"0.01 y'' = y^3; y(0) = 1; y(1) = -1",
	"y'' = exp(y) - exp(-y) + x; y(0) = 0; y(1) = 0",
}

// None is invented where there is one solution.
func TestNoneInvented(t *testing.T) {
	if len(unique) < 40 {
		t.Fatalf("%d sheets, expected 40", len(unique))
	}
	named, all := 0, 0
	for i, text := range unique {
		if os.Getenv("PART") != "" && i%5 != 0 {
			continue // the race detector makes everything about ten times slower
		}
		all++
		s := search(t, strings.ReplaceAll(text, "; ", "\n"))
		if len(s.Solutions) != 1 {
			t.Errorf("%s: %d solutions: %s", text, len(s.Solutions), s.Message())
		}
		if s.Unique != "" {
			named++
		}
	}
	t.Logf("a theorem was named for %d of %d", named, all)
	if named < all-2 {
		t.Errorf("a theorem was named for %d of %d", named, all)
	}
}

// What has several solutions is not said to have one (the absolute value is linear in parts).
func TestNotUnique(t *testing.T) {
	for _, text := range []string{
		"y'' + |y| = 0\ny(0) = 0\ny(4) = -2", "y'' + exp(y) = 0\ny(0) = 0\ny(1) = 0",
		"y'' = y^2\ny'(0) = 0\ny(1) = 1\n0 < x < 1",
	} {
		if s := search(t, text); s.Unique != "" || len(s.Solutions) < 2 {
			t.Errorf("%s: %s", text, s.Message())
		}
	}
}

// Trivial solutions and mirror images are told.
func TestTold(t *testing.T) {
	s := search(t, "y'' + 25 sin(y) = 0\ny(0) = 0\ny(1) = 0")
	if len(s.Solutions) != 3 || !s.Trivial(0) || s.Trivial(1) {
		t.Fatal(s.Message())
	}
	if of, how := s.Image(2); of != 1 || how != several.Sign {
		t.Errorf("the third is number %d %v", of+1, how)
	}
	for _, want := range []string{"3 solutions were found from ", "number 1 is the trivial one, zero everywhere",
		"number 3 is number 2 with the other sign"} {
		if m := s.Message(); !strings.Contains(m, want) {
			t.Error(m)
		}
	}
}

// A search can be paused, and finds the same.
func TestSteps(t *testing.T) {
	sh, err := sheet.Read("y'' + exp(y) = 0\ny(0) = 0\ny(1) = 0", sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := sh.Problem()
	first := solver.MustSolve(p, solver.Options{})
	s := several.New(p, first, several.Options{})
	steps := 0
	for s.Step() {
		steps++
	}
	whole := several.Run(p, first, several.Options{})
	if steps < 20 || len(s.Solutions) != 2 || len(whole.Solutions) != 2 || s.Spent() != whole.Spent() {
		t.Errorf("%d steps, %d and %d solutions, work %d and %d", steps, len(s.Solutions), len(whole.Solutions),
			s.Spent(), whole.Spent())
	}
	// A search ends where its work is done.
	if s := several.Run(p, first, several.Options{Work: 1_000_000}); !s.Ended || s.Spent() > 3_000_000 {
		t.Errorf("ended %v after work of %d", s.Ended, s.Spent())
	}
}

// A first guess chooses: between the three steady states of a pellet (P. B. Weisz and J. S. Hicks, Chem. Eng. Sci. 17
// (1962) 265–275), and the other branch of the exponential source.
func TestNearest(t *testing.T) {
	pellet := "c'' + 2/r c' = phi^2 c exp(gam b (1 - c)/(1 + b (1 - c)))\nphi = 0.3\ngam = 30\nb = 0.4\n" +
		"c'(0) = 0\nc(1) = 1\n"
	for _, c := range []struct {
		text  string
		value float64 // at the left end
	}{
		{pellet + "guess c = 0.98", 0.983},
		{pellet + "guess c = 0.5 + 0.5 r^2", 0.144},
		{pellet + "guess c = r^4/2", 0},
		{"y'' + 2 exp(y) = 0\ny'(0) = 0\ny(1/2) = 0\nguess y = 3 (1 - 4 x^2)", 2.8955312655},
	} {
		sh, err := sheet.Read(c.text, sheet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		p := sh.Problem()
		s := several.Nearest(p, solver.MustSolve(p, solver.Options{}), solver.Options{})
		if v, _ := s.Value(0, 0, 0); math.Abs(v-c.value) > 0.1 {
			t.Errorf("%s: %v at the left end: %s", c.text, v, s.Message)
		}
	}
}
