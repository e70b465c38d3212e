package nodes

import (
	"math"
	"math/big"
	"strings"
	"testing"
)

// bits is the precision of the high-precision checks: far more than a double's 53.
const bits = 300

func exact(v float64) *big.Float { return new(big.Float).SetPrec(bits).SetFloat64(v) }

func double(v *big.Float) float64 {
	f, _ := v.Float64()
	return f
}

// exactLegendre returns P_n(x) and P_(n-1)(x) in high precision.
func exactLegendre(n int, x float64) (p, q *big.Float) {
	p, q = exact(1), exact(0)
	for k := range n {
		next := exact(0).Mul(exact(x), p)
		next.Mul(next, exact(float64(2*k+1)))
		last := exact(0).Mul(q, exact(float64(k)))
		next.Sub(next, last)
		next.Quo(next, exact(float64(k+1)))
		p, q = next, p
	}
	return p, q
}

// The distance from a node to the true zero, by one Newton step in high precision.
var distance = map[Family]func(n int, x float64) float64{
	Legendre: func(n int, x float64) float64 {
		p, q := exactLegendre(n, x)
		return double(p) * (1 - x*x) / (float64(n) * (double(q) - x*double(p)))
	},
	Lobatto: func(n int, x float64) float64 { // P'_N over P''_N, N = n+1
		N := float64(n + 1)
		p, q := exactLegendre(n+1, x)
		d := exact(0).Sub(q, exact(0).Mul(exact(x), p))
		d1 := N * double(d) / (1 - x*x)
		return d1 * (1 - x*x) / (2*x*d1 - N*(N+1)*double(p))
	},
	Radau: func(n int, x float64) float64 { // zeros of P_N - P_(N-1), N = n+1
		p, q := exactLegendre(n+1, x)
		return double(exact(0).Sub(p, q)) * (1 + x) / (float64(n+1) * double(exact(0).Add(p, q)))
	},
	Chebyshev: func(n int, x float64) float64 { // T_n over T'_n = n U_(n-1)
		t, s := exact(x), exact(1)
		u, v := exact(0).Mul(exact(2), exact(x)), exact(1)
		for range n - 1 {
			next := exact(0).Mul(exact(2*x), t)
			t, s = next.Sub(next, s), t
			next = exact(0).Mul(exact(2*x), u)
			u, v = next.Sub(next, v), u
		}
		return double(t) / (float64(n) * double(v))
	},
	Equispaced: func(n int, x float64) float64 {
		i := math.Round((x + 1) / 2 * float64(n+1))
		want := exact(0).Quo(exact(2*i-float64(n+1)), exact(float64(n+1)))
		return double(want.Sub(want, exact(x)))
	},
}

func TestInteriorIsExact(t *testing.T) {
	for _, f := range Families() {
		for _, n := range []int{1, 2, 3, 4, 5, 10, 33, 64, 100, 101, 300, 1000} {
			x := Interior(f, n)
			if len(x) != n {
				t.Fatalf("%v %d: %d nodes", f, n, len(x))
			}
			for i, v := range x {
				if v <= -1 || v >= 1 || i > 0 && v <= x[i-1] {
					t.Fatalf("%v %d: node %d = %v is out of place", f, n, i, v)
				}
				if f != Radau && v != -x[n-1-i] {
					t.Errorf("%v %d: nodes %d and %d are not symmetric", f, n, i, n-1-i)
				}
				if n > 100 && i%41 != 0 && i != n-1 { // a sample: high precision is slow
					continue
				}
				// Two units in the last place of a number near 1 are 2.2e-16; gonum's Gauss nodes are within 4.2e-16.
				if d := math.Abs(distance[f](n, v)); !(d < 4.5e-16) {
					t.Errorf("%v %d: node %d = %v is %.2g from the true one", f, n, i, v, d)
				}
			}
		}
	}
}

func TestInteriorIsCallersOwn(t *testing.T) {
	for _, f := range Families() {
		x := Interior(f, 7)
		y := append([]float64(nil), x...)
		for i := range x {
			x[i] = math.NaN()
		}
		if !equal(Interior(f, 7), y) {
			t.Errorf("%v: a caller's change reached the cache", f)
		}
	}
}

func TestCacheIsBounded(t *testing.T) {
	var c cache[int]
	for i := range 3 * cacheLimit / 100 {
		c.put(i, make([]float64, 100))
		if c.size > cacheLimit || len(c.stored)*100 != c.size {
			t.Fatalf("after %d: %d numbers in %d slices", i, c.size, len(c.stored))
		}
	}
}

func TestFamilyNames(t *testing.T) {
	for _, f := range Families() {
		for _, s := range []string{f.String(), strings.ToUpper(f.String())} {
			if g, err := ParseFamily(s); err != nil || g != f {
				t.Errorf("ParseFamily(%q) = %v, %v", s, g, err)
			}
		}
	}
	const want = `unknown family of nodes "gauss": it is one of legendre, chebyshev, lobatto, radau, equispaced`
	if _, err := ParseFamily("gauss"); err == nil || err.Error() != want {
		t.Errorf("ParseFamily(gauss): %v", err)
	}
	if s := Family(9).String(); s != "Family(9)" {
		t.Error(s)
	}
}

func TestMisusePanics(t *testing.T) {
	for name, f := range map[string]func(){
		"no node":          func() { Interior(Legendre, 0) },
		"unknown family":   func() { Interior(Family(9), 3) },
		"no Gauss node":    func() { Gauss(0) },
		"one Lobatto node": func() { GaussLobatto(1) },
		"no Radau node":    func() { GaussRadau(0) },
		"nine-fold":        func() { Integration([]float64{0}, []float64{1}, 9) },
		"short row":        func() { InterpolateTo(make([]float64, 2), []float64{0}, []float64{1}, 0) },
		"no Lebesgue node": func() { Lebesgue(nil) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f()
		}()
	}
}

func BenchmarkInterior(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Interior(Lobatto, 20)
	}
}
