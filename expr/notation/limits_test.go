package notation

import (
	"strings"
	"testing"
)

// Every way to nest ends in an ordinary error with a place, never in an exhausted stack.
func TestNesting(t *testing.T) {
	const n = 10000
	names := parseNames("x | y | k | f/1")
	deep := map[string]string{
		"brackets":          strings.Repeat("(", n) + "x" + strings.Repeat(")", n),
		"unclosed brackets": strings.Repeat("(", n),
		"minus signs":       strings.Repeat("-", n) + "x",
		"signs in products": "x*" + strings.Repeat("-", n) + "x",
		"powers":            strings.Repeat("2^", n) + "x",
		"negative powers":   strings.Repeat("2^-", n) + "x",
		"functions":         strings.Repeat("sin ", n) + "x",
		"inverse functions": strings.Repeat("sin^-1 ", n) + "x",
		"function powers":   strings.Repeat("sin^", n) + "x",
		"calls":             strings.Repeat("sin(", n) + "x" + strings.Repeat(")", n),
		"abbreviations":     strings.Repeat("f(", n) + "x" + strings.Repeat(")", n),
		"points":            strings.Repeat("y(", n) + "0" + strings.Repeat(")", n),
		"products":          strings.Repeat("y(y", n) + strings.Repeat(")", n),
		"bars":              strings.Repeat("|", n) + "x" + strings.Repeat("|", n),
		"bars and sums":     strings.Repeat("|x+", n),
		"fractions":         strings.Repeat("\\frac{1}{", n) + "x" + strings.Repeat("}", n),
		"unbraced":          strings.Repeat("\\frac", n) + "12",
		"roots":             strings.Repeat("\\sqrt{", n/2) + "x" + strings.Repeat("}", n/2),
		"operators":         strings.Repeat("d/dx ", n) + "y",
		"operator brackets": strings.Repeat("d/dx(", n) + "y" + strings.Repeat(")", n),
		"choices":           strings.Repeat("if(x < 1, 2, ", 4000) + "3" + strings.Repeat(")", 4000),
		"comparisons":       strings.Repeat("if(", n) + "3" + strings.Repeat(")", n),
		"differentials":     strings.Repeat("d(", n) + "y" + strings.Repeat(")/dx", n/2),
		"raised":            "x" + strings.Repeat("⁻", n) + "¹",
		"raised brackets":   "x" + strings.Repeat("⁽", n) + "¹",
		"sums":              strings.Repeat("x+", n) + "x",
		"long products":     strings.Repeat("x ", n) + "x",
		"quotients":         strings.Repeat("x/", n) + "x",
		"letters":           strings.Repeat("x", n),
		"minima":            "min(1" + strings.Repeat(",2", n) + ")",
		"intervals":         "x in [0, " + strings.Repeat("x+", n) + "x]",
		"near":              "k = ? near " + strings.Repeat("x+", n) + "x",
		"environments":      strings.Repeat("\\begin{cases}", 4000),
		"alignments":        "$$a=1" + strings.Repeat("&", 60000) + "$$ (",
		"line ends":         "$$a=1" + strings.Repeat("\n", 60000) + "$$ (",
		"modes":             strings.Repeat("\\[", n),
	}
	for what, text := range deep {
		list, err := Split(text)
		if err == nil && len(list) == 0 {
			t.Errorf("%s: nothing is read", what)
		}
		for _, s := range list {
			s.Marks()
			if _, e := s.Parse(0, names); e != nil {
				err = e
			}
		}
		if err == nil {
			t.Errorf("%s: no error", what)
			continue
		}
		checkError(t, text, err)
	}
}

// Just below the limits everything is read.
func TestWithinLimits(t *testing.T) {
	names := parseNames("x | y")
	for _, text := range []string{
		strings.Repeat("(", MaxNesting) + "x" + strings.Repeat(")", MaxNesting),
		strings.Repeat("x+", MaxDepth-2) + "x",
		strings.Repeat("-", MaxNesting) + "x",
		strings.Repeat("x^", MaxNesting) + "x",
	} {
		if _, err := ParseExpr(text, names); err != nil {
			t.Errorf("%.20s…: %v", text, err)
		}
	}
	for _, text := range []string{
		strings.Repeat("(", MaxNesting+1) + "x" + strings.Repeat(")", MaxNesting+1),
		strings.Repeat("x+", MaxDepth+1) + "x",
	} {
		if _, err := ParseExpr(text, names); err == nil {
			t.Errorf("%.20s…: no error", text)
		}
	}
}

func TestTooLong(t *testing.T) {
	_, err := Split(strings.Repeat("# \n", MaxText/3+1))
	if err == nil || err.Error() != "1:1: the text has 65538 bytes, and at most 65536 are read; paste one "+
		"problem at a time" {
		t.Error(err)
	}
}

func TestParseExpr(t *testing.T) {
	names := parseNames("x | | L")
	if x, err := ParseExpr(" 2 pi/L ", names); err != nil || show(x) != "((2 * pi) / L)" {
		t.Errorf("%v, %v", x, err)
	}
	if x, err := ParseExpr("2 pi", nil); err != nil || show(x) != "(2 * pi)" {
		t.Errorf("%v, %v", x, err)
	}
	for text, want := range map[string]string{
		"":         "1:1: there is no formula; write one, as in 2 pi",
		"1\n2":     "2:1: one formula is wanted, and here a second begins; delete it",
		"x = 2":    "1:3: “=” stands inside a formula; write if(x < 0.4, 2, 5) for a choice",
		"x in [a]": "1:3: “in” follows the variable or the value of a constant; write x in [0, 1]",
	} {
		if _, err := ParseExpr(text, names); err == nil || err.Error() != want {
			t.Errorf("%q\n\tgot  %v\n\twant %s", text, err, want)
		}
	}
}
