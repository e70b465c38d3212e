package sheet

import (
	"math"
	"testing"
	"time"

	"nodespan/expr/notation"
	"nodespan/testdata"
)

// FuzzRead reads any text: it never panics, every place lies in the text, and what is read makes a
// problem of the promised shape whose functions can be called.
func FuzzRead(f *testing.F) {
	for _, file := range readFiles(f) {
		f.Add(file.body)
	}
	for _, b := range testdata.Problems() {
		f.Add(b.Sheet)
	}
	f.Fuzz(func(t *testing.T, text string) {
		begin := time.Now()
		s, err := Read(text, Options{})
		if d := time.Since(begin); d > time.Second {
			t.Fatalf("reading took %v", d)
		}
		if err != nil {
			list, ok := err.(notation.ErrorList)
			if !ok || len(list) == 0 {
				t.Fatalf("%T is not a list of faults", err)
			}
			for _, e := range list {
				if e.Span.From.Offset < 0 || e.Span.To > len(text) || e.Span.From.Line < 1 || e.Span.From.Column < 1 ||
					e.Msg == "" {
					t.Fatalf("fault without a place: %+v", e)
				}
			}
			return
		}
		checkPlaces(t, s)
		p := s.Problem()
		if len(p.Unknowns) == 0 || !(p.A < p.B) {
			t.Fatalf("%d unknowns on [%g, %g]", len(p.Unknowns), p.A, p.B)
		}
		if want := p.State() + len(p.Parameters); len(p.Conditions) != want && !s.Eigenvalue {
			t.Fatalf("%d conditions, want %d", len(p.Conditions), want)
		}
		last := p.A
		for _, b := range p.Breaks {
			if !(last < b && b < p.B) {
				t.Fatalf("break %g after %g", b, last)
			}
			last = b
		}
		inputs := p.Jet() + len(p.Parameters)
		in, fv, df := make([]float64, inputs), make([]float64, len(p.Unknowns)), make([]float64, len(p.Unknowns)*inputs)
		x := sample(p.A, p.B, 0.3)
		p.Equations(x, in, fv, df)
		if p.Guess != nil {
			p.Guess(x, in[:p.Jet()])
		}
		for i := range p.Conditions {
			c := &p.Conditions[i]
			for _, v := range c.At {
				if v.X < p.A || v.X > p.B || math.IsNaN(v.X) || v.Derivative > p.Unknowns[v.Unknown].Order {
					t.Fatalf("condition %q at %g, derivative %d", c.Text, v.X, v.Derivative)
				}
			}
			c.Residual(make([]float64, len(c.At)+len(p.Parameters)), nil)
		}
	})
}
