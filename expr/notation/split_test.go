package notation

import (
	"fmt"
	"nodespan/testdata"
	"strings"
	"testing"
)

// printed prints a statement as its join and its tokens.
func printed(s Statement) string {
	var words []string
	for _, t := range s.Tokens {
		words = append(words, t.Text)
	}
	return fmt.Sprintf("%q %s", s.Join, strings.Join(words, " "))
}

func TestSplit(t *testing.T) {
	tests := []struct{ text, want string }{
		{"", ""},
		{"  \n# nothing\n;;", ""},
		{"a = 1", `"" a = 1`},
		{"\n\na = 1\n\nb = 2\n", `"" a = 1 | "\n" b = 2`},
		{"a = 1; b = 2, c = f(1, 2)", `"" a = 1 | ";" b = 2 | "," c = f ( 1 , 2 )`},
		{"Solve a = 1 with b = 2 WHERE c = 3 And d = 4", `"" a = 1 | "with" b = 2 | "where" c = 3 | "and" d = 4`},
		{"a = 1 subject to b = 2 s.t. c = 3 S.T. d = 4 for 0 < x < 1 on [0, 1]",
			`"" a = 1 | "subject to" b = 2 | "s.t." c = 3 | "s.t." d = 4 | "for" 0 < x < 1 | "on" [ 0 , 1 ]`},
		{"a = 1,\nwith b = 2,\nc = 3.", `"" a = 1 | "with" b = 2 | "\n" c = 3`},
		{"a = 1 with\nb = 2", `"" a = 1 | "with" b = 2`},
		{"find: a = 1", `"" a = 1`},
		{"Find\na = 1", `"" a = 1`},
		{"solve = 1", `"" solve = 1`},
		{"exact y = x\nguess y = 1\nbreak x = 0.4", `"" exact y = x | "\n" guess y = 1 | "\n" break x = 0.4`},
		{"# with a comment, and more\na = 1 # b = 2", `"" a = 1`},
		{"a = 1\r\nb = 2\rc = 3\u2028d = 4", `"" a = 1 | "\n" b = 2 | "\n" c = 3 | "\n" d = 4`},
		{"\\begin{alignat}{2} a &= 1 & b &= 2 \\\\ c &= 3 &\\qquad d &= 4 \\end{alignat}",
			`"" a = 1 | "&" b = 2 | "\n" c = 3 | "&" d = 4`},
		{"on_x = 1", `"" on_x = 1`},
		{"\\begin{align*} a &= 1, & b &= 2 \\\\ c &= 3 \\end{align*}", `"" a = 1 | "," b = 2 | "\n" c = 3`},
		{"$$\na = 1\nb = 2\n+ c\n$$", `"" a = 1 | "\n" b = 2 + c`},
		{"$$ a = 1 \\quad b = 2, \\quad c \\quad d $$", `"" a = 1 | "&" b = 2 | "," c d`},
		{"\\[ a = 1, \\text{ where } b = 2 \\] % LaTeX comment\n% and one more", `"" a = 1 | "where" b = 2`},
		{"f(\\text{in}) = 1", `"" f ( in ) = 1`},
	}
	for _, tt := range tests {
		list, err := Split(tt.text)
		if err != nil {
			t.Errorf("%q: %v", tt.text, err)
			continue
		}
		var got []string
		for _, s := range list {
			got = append(got, printed(s))
		}
		if strings.Join(got, " | ") != tt.want {
			t.Errorf("%q\n\tgot  %s\n\twant %s", tt.text, strings.Join(got, " | "), tt.want)
		}
	}
}

// A statement with a fault is left out, and the others are still read.
func TestSplitGoesOn(t *testing.T) {
	list, err := Split("y'' = (x\nу = 2\ny(0) = 1\nL = 2,5\n")
	want := "1:7: “(” is not closed; add “)”\n2:1: “у” (U+0443) looks like “y” but is another character; write " +
		"“y”\n4:5: “2,5” is two things, never 2.5; write 2.5, or a space after the comma that separates"
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if len(list) != 1 || printed(list[0]) != `"\n" y ( 0 ) = 1` {
		t.Errorf("statements: %v", list)
	}
}

func TestMarks(t *testing.T) {
	tests := []struct{ text, want string }{
		{"y'' + 4 y = 0", "y''"},
		{"T'(0) = 1", "T'"},
		{"y''(x) + (2/x) y'(x) = 0", "y''(x) y'(x)"},
		{"f'''(eta) + f(eta) f''(eta)/2 = 0", "f'''(eta) f''(eta)"},
		{"y'(inf) = y'(2 pi) + y'(pi)", "y' y' y'"},
		{"T'(L) = 0", "T'(L)"}, // the caller knows whether L is the variable
		{"d^2T/dx^2 + dT/dx = d y / d x", "T''/dx T'/dx y'/dx"},
		{"\\frac{d^2 y}{dx^2} + \\frac{\\mathrm{d} T_s}{\\mathrm{d} \\eta}", "y''/dx T_s'/deta"},
		{"dy/dx(0) + dy/dx(x)", "y'/dx y'/dx(x)"},
		{"(k T')' = 0", "T' []'"},
		{"(EI v'')'' = 0", "v'' []''"},
		{"d/dr(r dT/dr)/r", "[]'/dr T'/dr"},
		{"\\frac{1}{r^2}\\frac{d}{dr}\\left(r^2 \\frac{dc}{dr}\\right)", "[]'/dr c'/dr"},
		{"d(k T')/dx + \\frac{d(k y')}{dx}", "[]'/dx T' []'/dx y'"},
		{"xy'' + y' = 0", "xy'' y'"},
		{"d/dx y + \\frac{d}{dx} u + d/dx (v) + (w)' + d(T)/dx + d/dx sin(x)", "y'/dx u'/dx v'/dx w' T'/dx []'/dx"},
		{"y^{(4)} + y^{\\prime\\prime} + {y}' + y⁽³⁾(x)", "y'''' y'' y' y'''(x)"},
		{"y^(4) + x^{2} + x^2 + a^{(b)}", ""},
		{"delta = 1/delta", ""},
		{"d/delta + d/d1", ""},
		{"theta'' + sin(theta) = 0", "theta''"},
		{"dn/dt = 2 n*(1 - n)", "n'/dt"},
		{"d2y/dx2 + d2y/dx3", "y''/dx y''/dx3"},
	}
	for _, tt := range tests {
		list, err := Split(tt.text)
		if err != nil || len(list) != 1 {
			t.Errorf("%s: %d statements, %v", tt.text, len(list), err)
			continue
		}
		var got []string
		for _, m := range list[0].Marks() {
			s := m.Unknown
			if s == "" {
				s = "[]"
			}
			s += strings.Repeat("'", m.Order)
			if m.Variable != "" {
				s += "/d" + m.Variable
			}
			if m.Argument != "" {
				s += "(" + m.Argument + ")"
			}
			got = append(got, s)
			if p := checkSpan(tt.text, m.Sp); p != "" {
				t.Errorf("%s: %s", tt.text, p)
			}
		}
		if strings.Join(got, " ") != tt.want {
			t.Errorf("%s\n\tgot  %s\n\twant %s", tt.text, strings.Join(got, " "), tt.want)
		}
	}
}

// A mark says which closed-up names it was read from, so that a sheet can declare them.
func TestMarkNames(t *testing.T) {
	list, _ := Split("dy/dx + d y/d x + d^2y/dx^2 + d2y/dx2")
	var got []string
	for _, m := range list[0].Marks() {
		got = append(got, strings.Join(m.Names, ","))
	}
	if s := strings.Join(got, " "); s != "dy,dx  dx d2y,dx2" {
		t.Errorf("names %q", s)
	}
}

func TestSplitName(t *testing.T) {
	known := func(s string) bool { return strings.Contains(" x y EI v T_s u1 a ab b ", " "+s+" ") }
	tests := []struct {
		name, want string
		ways       int
	}{
		{"xy", "x y", 1}, {"EIv", "EI v", 1}, {"T_sx", "T_s x", 1}, {"xu1", "x u1", 1}, {"yyy", "y y y", 1},
		{"x", "", 0}, {"xz", "", 0}, {"abx", "", 2}, {"x1", "", 0}, {"", "", 0},
	}
	for _, tt := range tests {
		parts, ways := SplitName(tt.name, known)
		if ways != tt.ways || ways == 1 && strings.Join(parts, " ") != tt.want {
			t.Errorf("%s: %v, %d ways", tt.name, parts, ways)
		}
	}
	if parts, _ := SplitName("eta", func(s string) bool { return len(s) == 1 }); parts != nil {
		t.Errorf("the name of a Greek letter is split into %v", parts)
	}
}

func TestRemarks(t *testing.T) {
	list, _ := Split("xy' = log x")
	r, err := list[0].Parse(0, parseNames("x | y"))
	if err != nil {
		t.Fatal(err)
	}
	s := fmt.Sprint(r.Remarks)
	if s != "[{{1:1 2} xy is read as x*y } {{1:7 9} log is read as the natural logarithm }]" {
		t.Error(s)
	}
}

// The sheets of the benchmark are read statement by statement, under names found by the plainest of rules.
func TestBenchmarkSheets(t *testing.T) {
	for _, p := range testdata.Problems() {
		list, err := Split(p.Sheet)
		if err != nil {
			t.Errorf("%s: %v", p.ID, err)
			continue
		}
		n := &Names{Unknowns: map[string]bool{}, Constants: map[string]bool{}}
		for _, s := range list {
			for _, m := range s.Marks() {
				if m.Unknown != "" {
					n.Unknowns[m.Unknown] = true
				}
				if m.Variable != "" {
					n.Variable = m.Variable
				}
			}
			if len(s.Tokens) > 1 && s.Tokens[0].Kind == NameToken && s.Tokens[1].is(OperatorToken, "=") {
				n.Constants[s.Tokens[0].Text] = true
			}
		}
		for _, v := range []string{"x", "r", "t", "eta"} { // the first of them that occurs and has no other meaning
			for _, s := range list {
				for _, tok := range s.Tokens {
					if n.Variable == "" && tok.is(NameToken, v) && !n.Constants[v] {
						n.Variable = v
					}
				}
			}
		}
		for _, s := range list {
			from := 0
			switch s.Tokens[0].Text {
			case "exact", "guess", "break":
				from = 1
			}
			if _, err := s.Parse(from, n); err != nil {
				t.Errorf("%s: %v\n%s", p.ID, err, p.Sheet)
			}
		}
	}
}
