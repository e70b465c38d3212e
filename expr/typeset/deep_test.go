package typeset

import (
	"strings"
	"testing"

	"nodespan/expr/function"
	"nodespan/expr/notation"
)

// TestDeep prints trees as high as the reader lets through. Under Node's default stack (which Go's
// test runner enlarges) it shows that printing does not recurse deeper than that stack allows.
func TestDeep(t *testing.T) {
	names := namesOf("x | y | |")
	dialect := Dialect{Elementwise: Signs{Plus: " + ", Compare: " %s "},
		Function: func(f *function.Function) function.Code { return f.Octave }}
	nested := strings.Repeat("sin(", notation.MaxNesting-1) + "x" + strings.Repeat(")", notation.MaxNesting-1)
	for _, formula := range []string{
		"x" + strings.Repeat(" + x", notation.MaxDepth-2),
		"x" + strings.Repeat("/x", notation.MaxDepth-2),
		nested,
	} {
		n, err := notation.ParseExpr(formula, names)
		if err != nil {
			t.Fatal(err)
		}
		if got := Plain(n); got != formula {
			t.Errorf("%.40s… is printed as %.40s…", formula, got)
		}
		for _, out := range []string{LaTeX(n), MathML(n).String()} {
			if !strings.Contains(out, "x") {
				t.Error("nothing printed")
			}
		}
		if _, err := dialect.Code(n, nil); err != nil {
			t.Error(err)
		}
	}
}
