package why

import (
	"math"
	"regexp"
	"strconv"
	"testing"

	"nodespan/expr/sheet"
	"nodespan/solver"
)

// The exponential source between plates has solutions up to 3.513830719 (D. A. Frank-Kamenetskii, Diffusion and Heat
// Exchange in Chemical Kinetics, 1955), whether the constant has a name or stands in the equation as a number.
func TestPastTheFold(t *testing.T) {
	for text, what := range map[string]string{
		"y'' + lam exp(y) = 0; y(0) = 0; y(1) = 0; lam = 4": "for lam = 4: ",
		"y'' + 4 exp(y) = 0\ny(0) = 0; y(1) = 0":            "for the 4 in line 1: ",
	} {
		sh, s := failed(t, text)
		got := Answer(sh, s, solver.Options{}, sheet.Options{})
		says := regexp.MustCompile(regexp.QuoteMeta(what) + `.* solutions exist up to ([\d.]+),`)
		m := says.FindStringSubmatch(got.Message)
		if m == nil {
			t.Errorf("%s: %s", text, got.Message)
			continue
		}
		if fold, err := strconv.ParseFloat(m[1], 64); err != nil || math.Abs(fold-3.513830719) > 1e-9 {
			t.Errorf("%s: the branch turns back at %s", text, m[1])
		}
		if got.Status == solver.Solved || s.Message == got.Message {
			t.Errorf("%s: status %s, and the solver's own message is now %q", text, got.Status, s.Message)
		}
	}
}

// What has no answer for another reason is told as the solver tells it, and an answer is left alone.
func TestNothingLearnt(t *testing.T) {
	for _, text := range []string{
		"y'' + pi^2 y = 1; y(0) = 0; y(1) = 0",
		"y'' = y^3; y(0) = 0; y(1) = 1",
	} {
		sh, s := failed(t, text)
		if got := Answer(sh, s, solver.Options{}, sheet.Options{}); got != s {
			t.Errorf("%s: %s, not %s", text, got.Message, s.Message)
		}
	}
}

func failed(t *testing.T, text string) (*sheet.Sheet, *solver.Solution) {
	t.Helper()
	sh, err := sheet.Read(text, sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return sh, solver.MustSolve(sh.Problem(), solver.Options{})
}
