package worker

import (
	"strings"
	"testing"

	"nodespan/expr/sheet"
	"nodespan/testdata/demos"
	"nodespan/wasm/wire"
)

// The range stands behind the value and its unit, in whatever dress the sheet is written.
func TestSlide(t *testing.T) {
	const rest = "\ny'' = k y, y(0) = 1, y(1) = 0"
	for _, c := range []struct{ sheet, name, want string }{
		{"k = 2.5", "k", "k = 2.5 in [0.5, 5]"},
		{"k = -14 # a remark", "k", "k = -14 in [-28, -2.8] # a remark"},
		{"k = 0", "k", "k = 0 in [-1, 1]"},
		{"k = 1/3", "k", "k = 1/3 in [0.0666, 0.666]"},
		{"k = 960000", "k", "k = 960000 in [192000, 1.92e+06]"},
		{"k = 3e-7, m = 1", "k", "k = 3e-7 in [6e-08, 6e-07], m = 1"},
		{"k = 2 W/m", "k", "k = 2 W/m in [0.4, 4]"},
		{`k = \phi, \phi = 2 \\`, "phi", `k = \phi, \phi = 2 in [0.4, 4] \\`},
		{"where k = 2 is known", "k", "where k = 2 in [0.4, 4] is known"},
		{"k = 2 m, m = 3", "k", ""}, // its value follows from another
		{"k = 2 in [1, 3]", "k", ""},
		{"k = 2", "q", ""},
	} {
		text := c.sheet + rest
		e := slide(text, c.name)
		got := ""
		if e != nil {
			got = strings.TrimSuffix(text[:e.At.From]+e.Text+text[e.At.To:], rest)
		}
		if got != c.want {
			t.Errorf("%q, %s: %q, want %q", c.sheet, c.name, got, c.want)
		}
	}
}

// Every constant of every demonstration can be given a range, and the reading then tells both.
func TestSlideDemos(t *testing.T) {
	h := New()
	for _, demo := range demos.All() {
		sh, err := sheet.Read(demo.Sheet, sheet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range sh.Constants {
			var e *wire.Edit
			h.Handle(wire.Request{Kind: wire.Slide, Sheet: demo.Sheet, Name: c.Name}, func(r wire.Reply) { e = r.Edit })
			if c.Derived != (e == nil) {
				t.Errorf("%s: %s: %v", demo.Name, c.Name, e)
				continue
			}
			if e == nil {
				continue
			}
			text := demo.Sheet[:e.At.From] + e.Text + demo.Sheet[e.At.To:]
			with, err := sheet.Read(text, sheet.Options{})
			if err != nil {
				t.Fatalf("%s: %s: %v", demo.Name, c.Name, err)
			}
			for _, l := range reading(with).Lines {
				if k := l.Constant; k != nil && k.Name == c.Name &&
					(len(k.Range) != 2 || k.Value != c.Value || k.At.From < l.Span.From || k.At.To > l.Span.To) {
					t.Errorf("%s: %+v", demo.Name, k)
				}
			}
		}
	}
}
