package typeset

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write testdata/printed.txt anew")

// TestGolden holds the printed forms of some formulas. Each block of testdata/printed.txt is a formula, then how it is
// printed. The forms were looked at when they were written; -update writes them anew.
func TestGolden(t *testing.T) {
	names := namesOf("x | y T v u | k k0 b L eps lambda phi Bi h T_inf q EI DeltaT m omega | R/1")
	file := filepath.Join("testdata", "printed.txt")
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	blocks := strings.Split(strings.TrimRight(string(data), "\n"), "\n\n")
	for _, b := range blocks {
		formula, _, _ := strings.Cut(b, "\n")
		r, err := readOne(formula, names)
		if err != nil {
			t.Errorf("%s: %v", formula, err)
			continue
		}
		got := formula + "\n  plain  " + PlainRelation(r) + "\n  latex  " + LaTeXRelation(r) +
			"\n  mathml " + shown(MathMLRelation(r))
		out.WriteString(got + "\n\n")
		if got != b && !*update {
			t.Errorf("got\n%s\nwant\n%s", got, b)
		}
	}
	if len(blocks) < 30 {
		t.Errorf("only %d formulas", len(blocks))
	}
	if *update {
		if err := os.WriteFile(file, []byte(strings.TrimRight(out.String(), "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// shown is markup with its invisible operators visible.
func shown(e *Element) string {
	return strings.NewReplacer(invisibleTimes, "&it;", applyFunction, "&af;", "\u00a0", "&nbsp;").Replace(e.String())
}

// TestSpans checks that each part of a formula is shown by an element that knows where it stands.
func TestSpans(t *testing.T) {
	const source = "k(T) T'' = -q sqrt(T_s)/1e-3^(x + 2)"
	r, err := readOne(source, namesOf("x | T T_s | q | k/1"))
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]int{}
	MathMLRelation(r).Walk(func(e *Element) {
		if e.To > 0 {
			found[source[e.From:e.To]]++
		}
	})
	for _, part := range []string{source, "k(T) T''", "k(T)", "T", "T''", "-q sqrt(T_s)/1e-3^(x + 2)", "q sqrt(T_s)",
		"q", "sqrt(T_s)", "T_s", "1e-3^(x + 2)", "1e-3", "x", "2"} {
		if found[part] != 1 {
			t.Errorf("%q is shown %d times", part, found[part])
		}
	}
	// The stem of a name under an exponent stands for the name, the whole for the power.
	r, err = readOne("phi^2 x", namesOf("x | | phi |"))
	if err != nil {
		t.Fatal(err)
	}
	power := MathMLRelation(r).Children[0].Children[0]
	if power.Tag != "msup" || power.From != 0 || power.To != 5 || power.Children[0].From != 0 ||
		power.Children[0].To != 3 || power.Children[1].From != 4 {
		t.Errorf("%+v", power)
	}
}

// TestEscape checks that no text of a formula can become markup.
func TestEscape(t *testing.T) {
	e := Math(true, text("mtext", `<b a="1">&`))
	const want = `<math xmlns="http://www.w3.org/1998/Math/MathML" display="block">` +
		`<mtext>&lt;b a=&quot;1&quot;&gt;&amp;</mtext></math>`
	if got := e.String(); got != want {
		t.Errorf("got %s", got)
	}
}
