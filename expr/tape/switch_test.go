package tape

import (
	"testing"

	"nodespan/expr/notation"
	"nodespan/expr/typeset"
)

// The other side of a switch is the function as its definition gives it there: |u| = -u for u < 0, and so on.
func TestSwitchOf(t *testing.T) {
	type row struct {
		argument, other string
		jumps, pole     bool
	}
	for call, want := range map[string]row{
		"abs(x)":          {argument: "x", other: "-abs(x)"},
		"sign(2 x)":       {argument: "2 x", other: "-sign(2 x)", jumps: true},
		"heaviside(x)":    {argument: "x", other: "1 - heaviside(x)", jumps: true},
		"min(x, 1)":       {argument: "x - 1", other: "max(x, 1)"},
		"max(x, 1)":       {argument: "x - 1", other: "min(x, 1)"},
		"if(x < 1, 2, 3)": {argument: "x - 1", other: "if(x < 1, 3, 2)", jumps: true},
		"tan(x)":          {argument: "cos(x)", pole: true},
		"sqrt(x)":         {argument: "x"},
		"sin(x)":          {},
	} {
		tree, err := notation.ParseExpr(call, &notation.Names{Constants: map[string]bool{"x": true}})
		if err != nil {
			t.Fatal(call, err)
		}
		text := func(n notation.Node) string {
			if n == nil {
				return ""
			}
			return typeset.Plain(n)
		}
		s := SwitchOf(tree.(*notation.Call))
		if got := (row{text(s.Argument), text(s.Other), s.Jumps, s.Pole}); got != want {
			t.Errorf("%s: %+v, not %+v", call, got, want)
		}
	}
}
