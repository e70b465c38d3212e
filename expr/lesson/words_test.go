package lesson

import (
	"fmt"
	"strings"
	"testing"
)

// TestRuns cuts words into levels.
func TestRuns(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"V^(-1) T_s", "V[1:−1] T[-1:s]"},
		{"s^2", "s[1:2]"},
		{"s_0^2 s_1", "s[-1:0][1:2] s[-1:1]"},
		{"A_all, x = 0", "A[-1:all], x = 0"},
		{"a_1_u", "a[-1:1]_u"},
		{"P_5(2s - 1)", "P[-1:5](2s - 1)"},
		{"(x)^3", "(x)[1:3]"},
		{"y^n _ ^2 x_ ^", "y^n _ ^2 x_ ^"},
		{"d^2/dx^2", "d[1:2]/dx[1:2]"},
		{"V^(-1", "V^(−1"},
		{"1.5e-7 of y, 2e3", "1.5 × 10[1:−7] of y, 2 × 10[1:3]"},
		{"(-4e-6)·1e5", "(−4 × 10[1:−6])·1 × 10[1:5]"},
		{"a_2e3 2e3a 1.e4", "a[-1:2e3] 2e3a 1.e4"},
		{"_", "_"}, {"", ""},
		{"θ_2′", "θ[-1:2]′"},
	} {
		got := ""
		for _, r := range Runs(c.text) {
			if r.Level == 0 {
				got += r.Text
			} else {
				got += fmt.Sprintf("[%d:%s]", r.Level, r.Text)
			}
		}
		if got = strings.ReplaceAll(got, "\u202f", " "); got != c.want {
			t.Errorf("%s: %s, want %s", c.text, got, c.want)
		}
	}
}
