package sheet

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
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

// BenchmarkCorpus reads every sheet of the tests, those that are refused too.
func BenchmarkCorpus(b *testing.B) {
	files, size := readFiles(b), 0
	for _, f := range files {
		size += len(f.body)
	}
	b.SetBytes(int64(size))
	b.ReportAllocs()
	for b.Loop() {
		for _, f := range files {
			_, _ = Read(f.body, f.options())
		}
	}
}

// TestReadingCost holds what reading costs, counted in allocations, which are the same on every machine: about 7 for
// each byte of the sheets of the tests when this was written, and not more for each in a longer sheet. Time is looked
// at only for its growth.
func TestReadingCost(t *testing.T) {
	count := func(text string, o Options) float64 {
		return testing.AllocsPerRun(1, func() { _, _ = Read(text, o) })
	}
	cost, size := 0.0, 0
	for _, f := range readFiles(t) {
		cost, size = cost+count(f.body, f.options()), size+len(f.body)
	}
	if each := cost / float64(size); each > 9 {
		t.Errorf("reading the sheets of the tests takes %.1f allocations for each byte", each)
	}
	long := func(n int) string {
		var b strings.Builder
		b.WriteString("Dear all, this is the sum of it:\ny'' = y")
		for i := range n {
			fmt.Fprintf(&b, " + c%d y'", i)
		}
		for i := range n {
			fmt.Fprintf(&b, "\nwhere c%d = %d/2 is known", i, i)
		}
		return b.String() + "\ny(0) = 1\ny(1) = 2"
	}
	fastest := func(text string) time.Duration {
		best := time.Duration(math.MaxInt64)
		for range 7 {
			from := time.Now()
			if _, err := Read(text, Options{}); err != nil {
				t.Fatal(err)
			}
			best = min(best, time.Since(from))
		}
		return best
	}
	short, full := long(15), long(240)
	bytes, grown := float64(len(short)), float64(len(full))/float64(len(short))
	if a, b := count(short, Options{}), count(full, Options{}); a > 5*bytes || b > 1.3*grown*a {
		t.Errorf("%d bytes take %.0f allocations, %d bytes %.0f", len(short), a, len(full), b)
	}
	// As the square of the length it would be 16 times as much; a busy machine is no reason to fail.
	var a, b time.Duration
	for range 10 {
		if a, b = fastest(short), fastest(full); float64(b) <= 5*grown*float64(a) {
			return
		}
	}
	t.Errorf("%d bytes are read in %v, %d bytes in %v", len(short), a, len(full), b)
}
