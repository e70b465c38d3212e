package sheet

import (
	"slices"
	"strings"
	"testing"
)

// TestUnits: what is told of units, and what stands on the axes.
func TestUnits(t *testing.T) {
	for _, tt := range []struct{ sheet, told, variable, first, slope string }{
		{"T'' = 4 (T - 20), T(0) = 240 °C, T'(L) = 0, L = 0.09 m", "x in m, T in °C, L in m", "m", "°C", "°C/m"},
		{"k T'' = -q, T(0) = Ts, T(2) = Ts, Ts = 300 K, k = 50 W/(m K), q = 1e4 W/m^3",
			"T in K, Ts in K, k in W/(m K), q in W/m³", "", "K", ""},
		{"k T'' = -q, T(0) = Ts, T(2) = Ts, Ts = 300 K, k = 50 W/(mK), q = 1e4 W/m^3",
			"T in K, Ts in K, k in W/(mK), q in W/m³", "", "K", ""},
		{"y'' = 1, y(0 m) = 0, y(0.5 m) = 2 m", "x in m, y in m", "m", "m", "m/m"},
		{"C' = -0.5 C, C(0) = 10 mg/L, t from 0 to 6", "C in mg/L", "", "mg/L", ""},
		{"EI w'''' = -5, w(0) = w'(0) = w(L) = w'(L) = 0, L = 3 m, EI = 2100 N*m^2",
			"x in m, L in m, EI in N·m²", "m", "", ""},
		{"T'' = -1, T(0) = 20 \\,^\\circ\\mathrm{C}, T(1) = 0", "T in °C", "", "°C", ""},
		{"y'' = 1, y(0) = 0, y(1) = 2, 0 <= x <= 1 m", "x in m", "m", "", ""},
		{"y'' = 1, y(0) = 3 m, y(1) = 2 s", "m, s", "", "", ""}, // two units are none
		{"y'' = 1, y(0) = 0, y(1) = 2", "", "", "", ""},
	} {
		s, err := Read(tt.sheet, Options{})
		if err != nil {
			t.Errorf("%s: %v", tt.sheet, err)
			continue
		}
		lines := slices.DeleteFunc(slices.Clone(s.Inferences), func(i Inference) bool {
			return !strings.Contains(i.Text, "unit")
		})
		told := ""
		if len(lines) > 0 {
			told = strings.TrimPrefix(lines[0].Text, "units are read as remarks and nothing is converted: ")
		}
		if told != tt.told || len(lines) > 1 {
			t.Errorf("%s\n got %v\nwant %q", tt.sheet, lines, tt.told)
		}
		u := s.Unknowns[0].Name
		v, f, d := s.Unit(s.Variable, 0), s.Unit(u, 0), s.Unit(u, 1)
		if v != tt.variable || f != tt.first || d != tt.slope {
			t.Errorf("%s: %s in %q, %s in %q, %s' in %q", tt.sheet, s.Variable, v, u, f, u, d)
		}
	}
}
