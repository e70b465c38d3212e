package notation

import (
	"fmt"
	"strings"
	"testing"
)

// BenchmarkParse reads whole texts: Split, Marks and Parse of every statement.
func BenchmarkParse(b *testing.B) {
	line := []struct{ notation, text string }{
		{"ascii", "d/dr(r^2 dc/dr)/r^2 = phi^2 c exp(-x/2) + 3 sin(2 r)\n"},
		{"latex", "\\frac{1}{r^2}\\frac{d}{dr}\\left(r^2 \\frac{dc}{dr}\\right) = \\phi^2 c " +
			"\\exp\\left(-\\frac{x}{2}\\right)\n"},
		{"unicode", "c″ + (2/r)·c′ − φ²·c = 3 sin²(2 r) − 4 × eˣ\n"},
	}
	names := parseNames("r | c | phi x")
	for _, lines := range []int{1, 100} {
		for _, l := range line {
			text := strings.Repeat(l.text, lines)
			b.Run(fmt.Sprintf("bytes=%d/notation=%s", len(text), l.notation), func(b *testing.B) {
				b.SetBytes(int64(len(text)))
				b.ReportAllocs()
				for b.Loop() {
					list, err := Split(text)
					if err != nil {
						b.Fatal(err)
					}
					for _, s := range list {
						s.Marks()
						if _, err := s.Parse(0, names); err != nil {
							b.Fatal(err)
						}
					}
				}
			})
		}
	}
}
