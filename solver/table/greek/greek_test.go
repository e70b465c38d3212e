package greek

import (
	"testing"
	"unicode"
)

// TestLetters: both cases of the 24 letters (the Greek block of Unicode), each found by its name and by itself.
func TestLetters(t *testing.T) {
	if len(letters) != 48 {
		t.Fatalf("%d letters", len(letters))
	}
	for i, l := range letters {
		if !unicode.Is(unicode.Greek, l.Letter) {
			t.Errorf("%s is %c, which is not Greek", l.Name, l.Letter)
		}
		if lower := letters[i%24].Letter; unicode.ToLower(l.Letter) != lower {
			t.Errorf("%s is not the other case of %c", l.Name, lower)
		}
		if got, ok := Of(l.Name); !ok || got != l || !Has(l.Name) {
			t.Errorf("%s is not found", l.Name)
		}
		if got, ok := Named(l.Letter); !ok || got != l {
			t.Errorf("%c is not found", l.Letter)
		}
	}
	if l, _ := Of("Alpha"); l.LaTeX() != "" {
		t.Error(l.LaTeX())
	}
	if l, _ := Of("lambda"); l.LaTeX() != `\lambda` {
		t.Error(l.LaTeX())
	}
}
