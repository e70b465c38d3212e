package lesson

import (
	"testing"

	"nodespan/expr/sheet"
)

// Labels are formulas where they can be, and words where they cannot.
func TestLabels(t *testing.T) {
	sh, err := sheet.Read("theta'' = m theta; m = 2; theta(0) = 80; k theta'(L) + theta(L) = 0; k = 3; L = 0.5",
		sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	l := NewLabels(sh, "s")
	for _, c := range []struct {
		text, words, latex string
		width              int
	}{
		{"theta''(x_1)", "", `\theta''(x_{1})`, 6},
		{"theta(0.5)", "", `\theta(0.5)`, 6},
		{"equation, x = 0.5", "equation, ", `x = 0.5`, 15},
		{"equation, x_12", "equation, ", `x_{12}`, 13},
		{"factor of theta''", "factor of ", `\theta''`, 12},
		{"k theta'(L) + theta(L) = 0", "", `k\,\theta'(L) + \theta(L) = 0`, 14},
		{"s^2", "", "s^{2}", 2},
		{"right side", "right side", "", 10},
		{"left minus right", "left minus right", "", 16},
	} {
		got := l.Set(c.text)
		if got.Words != c.words || got.Formula.LaTeX != c.latex || got.Width() != c.width {
			t.Errorf("%s: %q, %q, %d", c.text, got.Words, got.Formula.LaTeX, got.Width())
		}
	}
}
