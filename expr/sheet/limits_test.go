package sheet

import (
	"fmt"
	"strings"
	"testing"
)

// TestLimits reads sheets that would exhaust the stack or the memory if nothing stopped them. Under
// WebAssembly with Node's default stack a failure here is a crash.
func TestLimits(t *testing.T) {
	chain := func(n int, formula func(i int) string) string {
		var b strings.Builder
		fmt.Fprintf(&b, "y'' = a%d\ny(0) = 0\ny(1) = 1\n", n)
		for i := 1; i <= n; i++ {
			fmt.Fprintf(&b, "a%d = %s\n", i, formula(i))
		}
		return b.String()
	}
	sum := func(terms int, name string) string { return strings.Repeat("1 + ", terms) + name }
	for _, c := range []struct {
		name, text, message string
	}{
		{"constants in a row", chain(150, func(i int) string { return fmt.Sprintf("a%d/2 + 1", i-1) }) + "a0 = 1", ""},
		{"too many constants in a row", "y'' = a0\ny(0) = 0\ny(1) = 1\na3000 = 1\n" + strings.Join(upward(3000), "\n"),
			"more than 200 names depend on each other in a row"},
		{"abbreviations in a row", chain(150, func(i int) string { return fmt.Sprintf("a%d/2 + 1", i-1) }) + "a0 = x",
			""},
		{"high abbreviations in a row",
			chain(60, func(i int) string { return fmt.Sprintf("a%d", i-1) + strings.Repeat(" + 1", 150) }) + "a0 = x",
			"grows too long"},
		{"abbreviations that double", chain(100, func(i int) string { return fmt.Sprintf("a%d*a%d", i-1, i-1) }) +
			"a0 = x + y",
			"grows too long"},
		{"calls in calls", "y'' = " + strings.Repeat("f(", 150) + "x" + strings.Repeat(")", 150) + "\nf(u) = " +
			"u" + strings.Repeat(" + 1", 300) + "\ny(0) = 0\ny(1) = 1",
			"grows too long"},
		{"calls that double", "y'' = " + strings.Repeat("f(", 150) + "x" + strings.Repeat(")", 150) +
			"\nf(u) = u*u + u\ny(0) = 0\ny(1) = 1",
			"grows too long"},
		{"the eighth derivative of a product", strings.Repeat("(", 8) +
			"(1 + x)*sin(x)*exp(y)*cos(x)*exp(x)/(1 + y^2)" + strings.Repeat(")'", 8) + " = 1\n" +
			"y(0) = y'(0) = y''(0) = y'''(0) = y(1) = y'(1) = y''(1) = y'''(1) = 0", "grows too long"},
		{"a long sum", "y'' = " + sum(390, "y") + "\ny(0) = 0\ny(1) = 1", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := Read(c.text, Options{})
			switch {
			case c.message == "" && err != nil:
				t.Error(err)
			case c.message == "":
				p := s.Problem()
				p.Equations(0.5, make([]float64, p.Jet()), make([]float64, 1), nil)
			case err == nil || !strings.Contains(err.Error(), c.message):
				t.Errorf("got %v, want %q", err, c.message)
			}
		})
	}
}

// upward returns a0 = a1 + 1, a1 = a2 + 1, …: each needs the next.
func upward(n int) []string {
	lines := make([]string, n)
	for i := range lines {
		lines[i] = fmt.Sprintf("a%d = a%d + 1", i, i+1)
	}
	return lines
}
