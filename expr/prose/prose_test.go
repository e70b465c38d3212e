package prose

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

// read returns the text as the reader of mathematics gets it, and the first fault.
func read(text string) (left, fault string) {
	res := Read(text)
	at := 0
	var b strings.Builder
	for _, e := range res.Edits {
		b.WriteString(text[at:e.From])
		b.WriteString(" " + e.Text + " ")
		at = e.To
	}
	b.WriteString(text[at:])
	var lines []string
	for _, line := range strings.Split(b.String(), "\n") {
		if f := strings.Join(strings.Fields(line), " "); f != "" {
			lines = append(lines, f)
		}
	}
	for _, f := range res.Faults {
		return strings.Join(lines, " | "), "“" + text[f.From:f.To] + "” " + f.Msg
	}
	return strings.Join(lines, " | "), ""
}

func TestRead(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"Hi Jo,\nhere is Tuesday's fin:\n  T'' = 4 T\nCheers,\nAna", "T'' = 4 T"},
		{"BC1: y(0) = 1\nODE: y'' = y", "y(0) = 1 | y'' = y"},
		{"Consider the equation y'' = y with boundary conditions y(0) = 0 and y(1) = 1.",
			"y'' = y | y(0) = 0 and y(1) = 1"},
		{"Cooling fin\n===========\nT'' = T", "T'' = T"},
		{"> could you check?\n> y'' = y", "y'' = y"},
		{"**Equation:** `u'' = 9 u`", "u'' = 9 u"},
		{"(i) y'' = y\n(ii) y(0) = 1", "y'' = y | y(0) = 1"},
		{"y'' = y (2.1)\ny(0) = 1 (2.2)", "y'' = y | y(0) = 1"},
		{"Cooling fin, 1) y(0) = 1", "y(0) = 1"},
		{"- equation: y'' = y\n- left: y(0) = 1", "y'' = y | y(0) = 1"},
		{"-y'' = 1, y(0) = 2", "-y'' = 1, y(0) = 2"},
		{"y(0) = 1   (Dirichlet)", "y(0) = 1"},
		{"p'(0) = 0 by symmetry", "p'(0) = 0"},
		{"u'' = 4 u für 0 < x < 2", "u'' = 4 u for 0 < x < 2"},
		{"\\newcommand{\\eps}{\\varepsilon} \\eps y'' = 1", "\\varepsilon y'' = 1"},
		{"y(1) = 1  % was 7\n\\\\", "y(1) = 1 | \\\\"},
		{"u goes to zero as x approaches infinity", "u → 0 at x → infinity"},
		{"phi tends to 3 as r -> inf", "phi → 3 at r -> inf"},
		{"u goes towards u_0 when x goes to infinity.", "u → u_0 at x → infinity"},
		{"f'' = u' + v', u, v → 0 as z → ∞", "f'' = u' + v', u → 0 and v → 0 at z → ∞"},
		{"A -> B, first order\nc'' = k c", "c'' = k c"},
		{"2 H2 + O2 -> 2 H2O\nc'' = c", "c'' = c"},
		{"c → C0 as x → ∞\nc'' = c", "c → C0 at x → ∞ | c'' = c"},
		{"T and q are continuous at x = 1\ny'' = 1", "y'' = 1"},
		{"y'' = y, y vanishes at both ends", "y'' = y, y = 0 at ends"},
		{"y'' = y, y and y' vanish at x = 0", "y'' = y, y = 0 and y' = 0 at x = 0"},
		{"y'' = y; y = 1 @ x = 0", "y'' = y; y = 1 at x = 0"},
		{"x = 0 => u = 1", "x = 0 : u = 1"},
		{"on ]0, 1[", "on ( 0, 1 )"},
		{"y'' = 1\nBest, K.", "y'' = 1"},
		{"Q3) y'' = y", "y'' = y"},
		{"Example 6.3 y'' = y", "y'' = y"},
		{"Ex. 5.2\ny'' = y", "y'' = y"},
	} {
		if got, fault := read(c.text); got != c.want || fault != "" {
			t.Errorf("%q\n got %q %s\nwant %q", c.text, got, fault, c.want)
		}
	}
}

func TestDoubt(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"y'' = y\nSame again but with y(1) = 3",
			"“Same again but with” the words “Same again but with” may change what the formula says"},
		{"q = 10 on the left half", "“on the left half” the words “on the left half” may change what the formula says"},
		{"q = 3 at the left end, L = 2",
			"“at the left end” the words “at the left end” may change what the formula says"},
		{"w'''' = 1\nw and its slope vanish", "“w and its slope vanish” the words " +
			"“w and its slope vanish” may change what the formula says"},
		{"u'' = 1, u is not zero at x = 1",
			"“u is not zero at” the words “u is not zero at” may change what the formula says"},
		{"u(0) = 0, u = 2 on the left half (x = 1)",
			"“on the left half” the words “on the left half” may change what the formula says"},
		{"(2) y'' = y", "“(2)” “(2)” may be the number of the line or a factor"},
		{"- k u'(0) = 3\n- k u'(1) = 4\nu'' = 1", "“-” these dashes may be minus signs or the marks of a list"},
	} {
		if _, got := read(c.text); got != c.want {
			t.Errorf("%q\n got %s\nwant %s", c.text, got, c.want)
		}
	}
}

// The table of DEVELOPERS.md says what the reader does.
func TestDocumented(t *testing.T) {
	data, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, table, found := strings.Cut(string(data), "| pasted | read as |\n| --- | --- |\n")
	table, _, _ = strings.Cut(table, "\n\n")
	rows := regexp.MustCompile("(?m)^\\| `(.*)` \\| (?:`(.*)`|refused: (.*)) \\|$").FindAllStringSubmatch(table, -1)
	if !found || len(rows) < 10 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows {
		left, fault := read(strings.ReplaceAll(row[1], " ⏎ ", "\n"))
		if row[3] != "" {
			if !strings.HasPrefix(fault, row[3]) {
				t.Errorf("%s: %s, want %s", row[1], fault, row[3])
			}
			continue
		}
		if left = strings.ReplaceAll(left, " | ", " ⏎ "); left != row[2] || fault != "" {
			t.Errorf("%s: %s %s, want %s", row[1], left, fault, row[2])
		}
	}
}
