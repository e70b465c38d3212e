package notation

import (
	"errors"
	"testing"
)

// FuzzParse holds that no text makes the reader panic, that every span and every place of an error lies in the text,
// and that trees and tokens are where they say.
func FuzzParse(f *testing.F) {
	for _, table := range []string{"accepted.txt", "refused.txt"} {
		rows := readTable(f, table)
		if len(rows) == 0 {
			f.Fatalf("%s has no rows", table)
		}
		for _, r := range rows {
			f.Add(r.formula)
		}
	}
	names := parseNames("x | y T u' | k L eps a xk ky | kk/1 m/2 k/1")
	f.Fuzz(func(t *testing.T, text string) {
		list, err := Split(text)
		checkError(t, text, err)
		for _, s := range list {
			if p := checkSpan(text, s.Sp); p != "" {
				t.Errorf("statement: %s", p)
			}
			if len(s.Tokens) == 0 {
				t.Fatal("statement without tokens")
			}
			end := 0
			for _, tok := range s.Tokens {
				if p := checkSpan(text, tok.Sp); p != "" {
					t.Errorf("token %q: %s", tok.Text, p)
				}
				if tok.Sp.To < end {
					t.Errorf("token %q goes back", tok.Text)
				}
				end = tok.Sp.To
			}
			for _, m := range s.Marks() {
				if p := checkSpan(text, m.Sp); p != "" {
					t.Errorf("mark %+v: %s", m, p)
				}
				if m.Order < 1 && (m.Unknown != "" || m.Variable == "") { // 0: the dx of an integral
					t.Errorf("mark %+v has no order", m)
				}
			}
			for from := 0; from <= 1; from++ {
				rel, err := s.Parse(from, names)
				checkError(t, text, err)
				if err != nil {
					continue
				}
				if len(rel.Sides) > 0 && len(rel.Ops) != len(rel.Sides)-1 {
					t.Errorf("%d sides and %d signs", len(rel.Sides), len(rel.Ops))
				}
				for _, side := range append(append([]Node{}, rel.Sides...), rel.Range...) {
					if p := checkTree(text, side); p != "" {
						t.Error(p)
					}
				}
			}
		}
		_, err = ParseExpr(text, nil)
		checkError(t, text, err)
	})
}

func checkError(t *testing.T, text string, err error) {
	t.Helper()
	if err == nil {
		return
	}
	var list ErrorList
	var one *Error
	switch {
	case errors.As(err, &list):
	case errors.As(err, &one):
		list = ErrorList{one}
	default:
		t.Fatalf("error of type %T", err)
	}
	for _, e := range list {
		if p := checkSpan(text, e.Span); p != "" {
			t.Errorf("error %q: %s", e.Msg, p)
		}
		if e.Msg == "" || e.Hint == "" {
			t.Errorf("error without words: %+v", e)
		}
	}
}
