package prose

import (
	"maps"
	"slices"
	"strings"
	"testing"
)

// TestUsed: what makes a name one of mathematics.
func TestUsed(t *testing.T) {
	for text, want := range map[string]string{
		"be = 2":             "be",
		"be is 2":            "",
		"we' + 3":            "we",
		"so^2":               "so",
		"so ^2":              "",
		`\frac{dme}{dx}`:     "me",
		`\frac{me}{x}`:       "",
		`\sqrt{dme}`:         "",
		"d2me/dx2":           "dx2 me",
		"dme/dt":             "dt me",
		"a*be":               "a be",
		"a - be":             "",
		"2us, and 3 more":    "us",
		"2 us":               "",
		"it is so: he is in": "",
	} {
		s := &scanner{text: text}
		s.run()
		got := slices.Sorted(maps.Keys(used(s.items, text)))
		if strings.Join(got, " ") != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
