package report

import (
	"regexp"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

// TestSentences holds the answers in words to closed forms, which stand beside them.
func TestSentences(t *testing.T) {
	rounding := regexp.MustCompile(`error below \de-1[4-6]`) // machines differ in it
	const parabola = "y'' = -2; y(0) = 0; y(1) = 0"          // x − x²
	for _, c := range []struct {
		sheet, want string
	}{
		{parabola, "y(0.5) = 0.25; rounded."},
		{parabola + "; report y'(0)", "y'(0) = 1; rounded."},
		{parabola + "; report m = mean(y); report y(1/4)",
			"m = 0.166667; error below 4e-7. y(1/4) = 0.1875; rounded."},
		{parabola + "; report largest(y); report largest_at(y)", "y is largest, 0.25, at x = 0.5; rounded."},
		{parabola + "; report largest_at(y); report m = 2; report largest(y)",
			"m = 2; rounded. y is largest, 0.25, at x = 0.5; rounded."},
		{parabola + "; report smallest(y', 0, 0.5); report smallest_at(y', 0, 0.5)",
			"smallest(y', 0, 0.5) = 0; rounded. smallest_at(y', 0, 0.5) = 0.5; rounded."},
		{parabola + "; report zero(y + 1); report y(1/4)",
			"zero(y + 1): y + 1 does not change sign. y(1/4) = 0.1875; rounded."},
		{"y'' = k; y(0) = 0; y(1) = 0; y'(0) = 1; k = ?", "k = -2; rounded."},
		{"y'' + lambda y = 0; y(0) = 0; y(1) = 0; lambda = ?",
			"lambda_1 = 9.8696; error below 5e-6. " +
				"lambda_2 = 39.4784; error below 0.00002. lambda_3 = 88.8264; error below 0.00004. " +
				"lambda_4 = 157.914; error below 0.0004. lambda_5 = 246.74; error below 0.0002."},
		{"y'' + y = 0; y(0) = 0; y(pi) = 1", ""},
	} {
		sh, s := sheettest.Solve(t, c.sheet, solver.Options{})
		if got := rounding.ReplaceAllString(Sentence(sh, s, 6), "rounded"); got != c.want {
			t.Errorf("%s: %q, want %q", c.sheet, got, c.want)
		}
	}
}
