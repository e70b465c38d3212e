package sheet

import (
	"strings"
	"testing"

	"nodespan/expr/notation"
)

// TestChoices checks what is offered to be written in the place of a refused piece; with the first choice in its
// place, the sheet is read.
func TestChoices(t *testing.T) {
	for _, tt := range []struct{ sheet, piece, choices string }{
		{"v'''' = 1/E, v(0) = v(L) = v'(0) = v'(L) = 0, E = 210 GPa, L = 3 m", "210 GPa", "2.1e+11 Pa"},
		{"EI y'''' = q, y(0) = y'(0) = y(L) = y'(L) = 0, EI = 2 kN*m^2, q = 3 N/m, L = 4 m", "2 kN*m^2", "2000 N*m^2"},
		{"y'' = r, y(0) = 0, y(L) = 1, r = 5 g, L = 4 m", "5 g", "0.005 kg"},
		{"y'' = r, y(0) = 0, y(L) = 1, r = 5 l/min, L = 4 m", "5 l/min", "8.333333333e-05 m^3/s"},
		{"y'' = y, y(0) = 0 m, y(L) = 20 cm, L = 4 m", "20 cm", "0.2 m"},
		{"T'' = T, T(0) = 20 °C, T(1) = 300 K", "300 K", "26.85 °C"},
		{"T'' = m^2 T, L = 0.1 m, T(0) = 1, T(L) = 0, m = 3", "0.1 m", "0.1 | 0.1*m"},
		{"T'' = q, q = 5 W, W = 2, T(0) = 1, T(1) = 0", "5 W", "5 | 5*W"},
		{"y'' = y, y(0) = 1,5, y(1) = 0", "1,5", "1.5 | 1, 5"},
	} {
		_, err := Read(tt.sheet, Options{})
		if err == nil {
			t.Errorf("%s is read", tt.sheet)
			continue
		}
		e := notation.Faults(err)[0]
		piece := tt.sheet[e.Span.From.Offset:e.Span.To]
		var texts []string
		for _, c := range e.Choices {
			texts = append(texts, c.Text)
		}
		if got := strings.Join(texts, " | "); got != tt.choices || piece != tt.piece {
			t.Errorf("%s: for %q %q, want %q for %q", tt.sheet, piece, got, tt.choices, tt.piece)
			continue
		}
		clear := tt.sheet[:e.Span.From.Offset] + texts[0] + tt.sheet[e.Span.To:]
		if _, err := Read(clear, Options{}); err != nil {
			t.Errorf("%s: %v", clear, err)
		}
	}
}
