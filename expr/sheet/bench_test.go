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
		{"mail", "Hi Jo,\n\nhere is the fin from Tuesday's lecture:\n\n   d2T/dx2 - m^2 (T - Tinf) = 0\n" +
			"   T = Tb at x = 0\n" +
			"   dT/dx = 0 at x = L\n\nwith m = 8.5, L = 0.12, Tb = 150, Tinf = 20.\n\nCheers,\nAna"},
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
