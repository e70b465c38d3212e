package sheet

import (
	"fmt"
	"testing"
)

func BenchmarkRead(b *testing.B) {
	for _, c := range []struct{ notation, text string }{
		{"ascii", "eps y'' + x y' = -eps pi^2 cos(pi x) - pi x sin(pi x)\ny(-1) = -2\ny(1) = 0\neps = 1e-1"},
		{"latex", "\\frac{1}{r^2}\\frac{d}{dr}\\left(r^2 \\frac{dc}{dr}\\right) = \\phi^2 c\nc'(0) = 0\nc(1) = " +
			"1\n\\phi = 4"},
		{"jump", "(k T')' = 0\nk = if(x < 0.1, 0.04, 1.2)\n-k T'(0) = 8 (T(0) - 20)\nT(0.3) = -10"},
	} {
		b.Run(fmt.Sprintf("bytes=%d/notation=%s", len(c.text), c.notation), func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(c.text)))
			for b.Loop() {
				if _, err := Read(c.text, Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkExact(b *testing.B) {
	s, err := Read("y'' + 9 y = 0, y(0) = 1/cos(3), y(1) = 1, exact y = cos(3 x)/cos(3)", Options{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		s.Exact(0.3, 0)
	}
}
