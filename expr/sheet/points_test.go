package sheet

import (
	"slices"
	"testing"

	"nodespan/expr/notation"
)

func TestPoints(t *testing.T) {
	s, err := Read("y'' = y\ny(0) = 1\ny(L) = 2\nL = 3", Options{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := s.Points("0, L/2, max(1, 2), L")
	if err != nil || !slices.Equal(got, []float64{0, 1.5, 2, 3}) {
		t.Errorf("%v, %v", got, err)
	}
	if got, err := s.Points(" "); got != nil || err != nil {
		t.Errorf("no points: %v, %v", got, err)
	}
	for text, column := range map[string]int{"0,,1": 3, "1, 4": 4, "0, q": 4, "1/0": 1} {
		if _, err := s.Points(text); err == nil || notation.Faults(err)[0].Span.From.Column != column {
			t.Errorf("%s: %v", text, err)
		}
	}
}
