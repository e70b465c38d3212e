package sheet

import (
	"math"
	"strings"
	"testing"

	"nodespan/solver/bvp"
)

// residualOf evaluates the first equation at x = 2 for y, y', y” = 3, 5, 7.
func residualOf(p *bvp.Problem) float64 {
	f := make([]float64, len(p.Unknowns))
	p.Equations(2, []float64{3, 5, 7}[:p.Jet()], f, nil)
	return f[0]
}

func TestVariants(t *testing.T) {
	s, err := Read("a = 4\ny'' - a y' = x (y + 1)\ny(0) = 1\ny'(pi) + y(pi) = sin(x0)\nx0 = 0.5\n0 <= x <= pi",
		Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := residualOf(s.Problem()); got != 7-20-8 {
		t.Fatalf("the problem itself: %v", got)
	}
	want := map[string]float64{ // of the equation
		"the sign of a*y' in the equation is flipped": 7 + 20 - 8,
		"a*y' in the equation is left out":            7 - 8,
		"the sign of x*(y + 1) in the equation is":    7 - 20 + 8,
		"x*(y + 1) in the equation is left out":       7 - 20,
		"the sign of 1 in the equation is flipped":    7 - 20 - 4,
		"1 in the equation is left out":               7 - 20 - 6,
		"the sign of y in the equation is flipped":    7 - 20 + 4,
		"the sign of y'' in the equation is flipped":  -7 - 20 - 8,
	}
	spaces := strings.NewReplacer(" ", "", "*", "", "·", "")
	conditions, degrees := 0, 0
	for _, v := range s.Variants() {
		for sentence, value := range want {
			if strings.HasPrefix(spaces.Replace(v.Sentence), spaces.Replace(sentence)) {
				if got := residualOf(v.Problem); got != value {
					t.Errorf("%s: %v, want %v", v.Sentence, got, value)
				}
				delete(want, sentence)
			}
		}
		if strings.Contains(v.Sentence, "in the condition") {
			conditions++
		}
		if v.Change == Degrees {
			degrees++
			if got, want := v.Problem.Conditions[1].Residual([]float64{0, 0}, nil),
				-math.Sin(0.5*math.Pi/180); math.Abs(got-want) > 1e-15 {
				t.Errorf("%s: %v, want %v", v.Sentence, got, want)
			}
		}
		if len(v.Problem.Conditions) != 2 || v.Problem.A != 0 || v.Problem.B != math.Pi {
			t.Errorf("%s: %+v", v.Sentence, v.Problem)
		}
	}
	for sentence := range want {
		t.Errorf("missing: %s", sentence)
		for _, v := range s.Variants() {
			t.Log(v.Sentence)
		}
	}
	if conditions < 5 || degrees != 1 {
		t.Errorf("%d in conditions, %d with degrees", conditions, degrees)
	}
}

// The terms that a balance unfolds to can be lost or flipped too: (x² y')' = 2 x y' + x² y”.
func TestVariantsOfBalances(t *testing.T) {
	s, err := Read("1/x^2 (x^2 y')' = 9 y\ny(1) = 1, y(2) = 0", Options{})
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, v := range s.Variants() {
		// x = 2: y” + y' − 9 y = 7 + 5 − 27; without the first derivative 7 − 27, with its sign flipped 7 − 5 − 27.
		if r := residualOf(v.Problem); v.Change == TermDropped && r == 7-27 {
			found = true
		}
	}
	if !found {
		for _, v := range s.Variants() {
			t.Log(v.Sentence, residualOf(v.Problem))
		}
		t.Error("the lost 2 x y' is not among the variants")
	}
}

// A term may be the same number as the point of the condition: the variable at x = 1 in k = 1 + x. The point stays.
func TestVariantsKeepPoints(t *testing.T) {
	s, err := Read("(k T')' = 0\nk = 1 + x\n-k T' = h x (T - 20) at x = 1\nT = 5 at x = 0\nh = 8", Options{})
	if err != nil {
		t.Fatal(err)
	}
	variants := s.Variants()
	if len(variants) < 10 {
		t.Errorf("%d variants", len(variants))
	}
	for _, v := range variants {
		for i, c := range v.Problem.Conditions {
			for _, at := range c.At {
				if at.X != float64(1-i) {
					t.Errorf("%s: condition %d at %g", v.Sentence, i+1, at.X)
				}
			}
		}
	}
}

func TestVariantsAreBounded(t *testing.T) {
	s, err := Read("y'' = 1"+strings.Repeat(" + sin(x) y", 150)+"\ny(0) = 0, y(1) = 0", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(s.Variants()); n == 0 || n > mostVariants {
		t.Errorf("%d variants", n)
	}
}

func TestExactJet(t *testing.T) {
	s, err := Read("y'' = -4 y, z' = y\ny(0) = 0, y'(0) = 2, z(1) = 0\n0 <= x <= 1\nexact y = sin(2 x)", Options{})
	if err != nil {
		t.Fatal(err)
	}
	jet := make([]float64, 5)
	s.ExactJet()(0.3, jet)
	for k, want := range []float64{math.Sin(0.6), 2 * math.Cos(0.6), -4 * math.Sin(0.6)} {
		if math.Abs(jet[k]-want) > 1e-15 {
			t.Errorf("derivative %d: %v, want %v", k, jet[k], want)
		}
	}
	if !math.IsNaN(jet[3]) || !math.IsNaN(jet[4]) {
		t.Errorf("z is not known: %v", jet)
	}
	if s, err = Read("y' = y\ny(0) = 1\n0 <= x <= 1", Options{}); err != nil || s.ExactJet() != nil {
		t.Error("an exact solution from nothing")
	}
}
