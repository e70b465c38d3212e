package page

import (
	"strings"
	"testing"

	"nodespan/wasm/wire"
)

// A condition keeps the point that stands beside it, constants go together, words and comments go.
func TestGist(t *testing.T) {
	text := "Dear all,\nT'' = a T # the rod\nwith a = 4, b = 2\n\nAt x = 0: T = b and so on\nT(1) = 0\n"
	place := func(s string) wire.Span {
		i := strings.Index(text, s)
		return wire.Span{From: i, To: i + len(s)}
	}
	statements := []wire.Line{
		{Span: place("T'' = a T"), Kind: "equation"},
		{Span: place("a = 4"), Kind: "constant"},
		{Span: place("b = 2"), Kind: "constant"},
		{Span: place("T = b"), Kind: "condition"},
		{Span: place("T(1) = 0"), Kind: "condition"},
	}
	got := gist(text, statements, []wire.Span{place("Dear all,"), place("and so on")})
	want := "a\u00a0=\u00a04, b\u00a0=\u00a02\nT'' = a T\nAt x = 0: T = b\nT(1) = 0"
	if got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
