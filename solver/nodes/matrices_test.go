package nodes

import (
	"fmt"
	"math"
	"math/big"
	"testing"
)

// A poly is a polynomial with exact coefficients, lowest power first.
type poly []*big.Rat

func rat(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }

// lagrange returns l_j of the nodes x, exactly (the nodes are taken as the doubles they are).
func lagrange(x []float64, j int) poly {
	p := poly{big.NewRat(1, 1)}
	for k := range x {
		if k == j {
			continue
		}
		next := make(poly, len(p)+1)
		for i := range next {
			next[i] = new(big.Rat)
			if i > 0 {
				next[i].Add(next[i], p[i-1])
			}
			if i < len(p) {
				next[i].Sub(next[i], new(big.Rat).Mul(p[i], rat(x[k])))
			}
		}
		gap := new(big.Rat).Sub(rat(x[j]), rat(x[k]))
		for i := range next {
			next[i].Quo(next[i], gap)
		}
		p = next
	}
	return p
}

func (p poly) at(t float64) *big.Rat {
	sum := new(big.Rat)
	for i := len(p) - 1; i >= 0; i-- {
		sum.Mul(sum, rat(t))
		sum.Add(sum, p[i])
	}
	return sum
}

// integral returns the integral that vanishes at -1.
func (p poly) integral() poly {
	q := poly{new(big.Rat)}
	for i, c := range p {
		q = append(q, new(big.Rat).Quo(c, big.NewRat(int64(i+1), 1)))
	}
	q[0].Neg(q.at(-1))
	return q
}

func (p poly) derivative() poly {
	q := poly{}
	for i := 1; i < len(p); i++ {
		q = append(q, new(big.Rat).Mul(p[i], big.NewRat(int64(i), 1)))
	}
	return q
}

func float(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f
}

func TestIntegrationAgainstFractions(t *testing.T) {
	for _, f := range Families() {
		for _, n := range []int{1, 2, 3, 7} {
			x := Interior(f, n)
			before := append([]float64(nil), x...)
			// Rounding, magnified by the conditioning of the nodes (7 equispaced ones carried out to the ends: 127).
			eps := math.Max(3e-14, 3e-16*Lebesgue(x))
			at := []float64{-1, -1 + 1e-6, -0.75, -0.1, x[n/2], 0.5, 1 - 1e-9, 1}
			want := make([]poly, n)
			for j := range want {
				want[j] = lagrange(x, j)
			}
			for fold := 0; fold <= 8; fold++ {
				m := Integration(x, at, fold)
				for i, s := range at {
					size, row := 0.0, make([]float64, n)
					for j := range want {
						row[j] = float(want[j].at(s))
						size = math.Max(size, math.Abs(row[j]))
					}
					for j := range want {
						if got := m.At(i, j); !(math.Abs(got-row[j]) <= eps*size) {
							t.Errorf("%v %d, fold %d at %v, column %d: %.17g, want %.17g", f, n, fold, s, j, got,
								row[j])
						}
					}
				}
				for j := range want {
					want[j] = want[j].integral()
				}
			}
			if !equal(x, before) {
				t.Errorf("%v %d: the nodes were changed", f, n)
			}
		}
	}
}

// Every fold-fold integral of e^s from -1 is e^-1 Σ_(k≥fold) (1+t)^k/k!, a series of positive terms.
func TestIntegrationLarge(t *testing.T) {
	for _, n := range []int{50, 300} {
		at := []float64{-0.99, -0.5, 0, 0.9, 1}
		for _, f := range []Family{Legendre, Chebyshev, Lobatto, Radau} {
			x := Interior(f, n)
			for _, fold := range []int{1, 2, 8} {
				m := Integration(x, at, fold)
				for i, s := range at {
					got, want, term := 0.0, 0.0, math.Exp(-1)
					for j, v := range x {
						got += m.At(i, j) * math.Exp(v)
					}
					for k := 0; k < 60; k++ {
						if k >= fold {
							want += term
						}
						term *= (1 + s) / float64(k+1)
					}
					if !(math.Abs(got-want) <= 5e-14*want) {
						t.Errorf("%v %d, fold %d at %v: %.17g, want %.17g", f, n, fold, s, got, want)
					}
				}
			}
		}
	}
}

// The second way to the integrals of Legendre polynomials: ∫P_k = (P_(k+1) - P_(k-1))/(2k+1).
func TestLegendreIntegrals(t *testing.T) {
	const n = 40
	for _, s := range []float64{-1, -0.3, 0, 0.7, 1} {
		e := make([]float64, n+9)
		LegendreTo(e, s)
		got := make([]float64, n)
		for fold := 0; fold <= 8; fold++ {
			for i := range got {
				got[i] = math.NaN()
			}
			integralTo(got, s, fold)
			nearAll(t, fmt.Sprintf("fold %d at %v", fold, s), got, e[:n], 2e-15)
			next := make([]float64, len(e)-1)
			next[0] = e[1] + e[0]
			for k := 1; k < len(next); k++ {
				next[k] = (e[k+1] - e[k-1]) / float64(2*k+1)
			}
			e = next
		}
	}
}

func TestLegendreValues(t *testing.T) {
	// Abramowitz and Stegun, table 8.1 and the polynomials of 22.4: P_2, P_3, P_4 at 1/2 are -1/8, -7/16, -37/128.
	p := []float64{math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN()}
	LegendreTo(p, 0.5)
	nearAll(t, "P", p, []float64{1, 0.5, -0.125, -0.4375, -0.2890625}, 1e-16)
	LegendreTo(nil, 0.5)
	long := make([]float64, 1001)
	for _, s := range []float64{-1, -0.999, 0.2, 0.99999, 1} {
		LegendreTo(long, s)
		for _, k := range []int{500, 1000} {
			w, _ := exactLegendre(k, s)
			if want := double(w); !near(long[k], want, 2e-13) {
				t.Errorf("P_%d(%v) = %.17g, want %.17g", k, s, long[k], want)
			}
		}
	}
}

func TestQuadratureIsExact(t *testing.T) {
	for _, rule := range []struct {
		name   string
		f      func(int) (x, w []float64)
		n      []int
		degree func(n int) int
	}{
		{"Gauss", Gauss, []int{1, 2, 3, 20, 101, 500}, func(n int) int { return 2*n - 1 }},
		{"Lobatto", GaussLobatto, []int{2, 3, 4, 20, 101, 500}, func(n int) int { return 2*n - 3 }},
		{"Radau", GaussRadau, []int{1, 2, 3, 20, 101, 500}, func(n int) int { return 2*n - 2 }},
	} {
		for _, n := range rule.n {
			x, w := rule.f(n)
			degree := rule.degree(n)
			p, sum := make([]float64, degree+2), make([]float64, degree+2)
			for i := range x {
				LegendreTo(p, x[i])
				for k := range sum {
					sum[k] += w[i] * p[k]
				}
			}
			for k := range degree + 1 {
				want := 0.0
				if k == 0 {
					want = 2
				}
				if math.Abs(sum[k]-want) > 1e-14 {
					t.Errorf("%s %d: ∫P_%d = %g", rule.name, n, k, sum[k])
				}
			}
			// One degree more is not exact: else the check above checks nothing.
			if math.Abs(sum[degree+1]) < 1e-4 {
				t.Errorf("%s %d: ∫P_%d = %g, should not vanish", rule.name, n, degree+1, sum[degree+1])
			}
		}
	}
}

func TestCoefficients(t *testing.T) {
	for _, f := range []Family{Legendre, Chebyshev, Lobatto, Radau} {
		for _, n := range []int{1, 2, 3, 40, 300} {
			x := Interior(f, n)
			c := Coefficients(x)
			// Values of P_m have the coefficients of P_m: the unit vector.
			p := make([]float64, n)
			for _, m := range []int{0, n / 2, n - 1} {
				got, want := make([]float64, n), make([]float64, n)
				want[m] = 1
				for j := range x {
					LegendreTo(p, x[j])
					for k := range got {
						got[k] += c.At(k, j) * p[m]
					}
				}
				nearAll(t, fmt.Sprintf("%v %d, P_%d", f, n, m), got, want, 1e-13*float64(1+n/10))
			}
		}
	}
	// Equispaced nodes are ill conditioned by nature: 11 of them lose two digits.
	x := Interior(Equispaced, 11)
	c := Coefficients(x)
	got := 0.0
	for j := range x {
		got += c.At(1, j) * x[j]
	}
	if !near(got, 1, 1e-13) {
		t.Error(got)
	}
}

func TestDerivativesAgainstFractions(t *testing.T) {
	for _, f := range Families() {
		for _, n := range []int{1, 2, 3, 7} {
			x := Interior(f, n)
			want := make([]poly, n)
			for j := range want {
				want[j] = lagrange(x, j)
			}
			for k := 0; k <= 4; k++ {
				d := Derivatives(x, k)
				eps := 2e-14 * math.Pow(4, float64(k)) // every order divides the rounding by a gap once more
				size := 0.0
				for j := range want {
					for _, s := range x {
						size = math.Max(size, math.Abs(float(want[j].at(s))))
					}
				}
				for j := range want {
					for i, s := range x {
						if got, w := d.At(i, j), float(want[j].at(s)); !(math.Abs(got-w) <= eps*size) {
							t.Errorf("%v %d, derivative %d, row %d, column %d: %.17g, want %.17g", f, n, k, i, j, got,
								w)
						}
					}
					want[j] = want[j].derivative()
				}
			}
		}
	}
}

func TestInterpolate(t *testing.T) {
	for _, f := range []Family{Legendre, Chebyshev, Lobatto, Radau} {
		for _, n := range []int{1, 2, 3, 40, 1000} {
			x := Interior(f, n)
			w := Barycentric(x)
			top := 0.0
			for _, v := range w {
				if v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
					t.Fatalf("%v %d: weight %v", f, n, v)
				}
				top = math.Max(top, math.Abs(v))
			}
			if top != 1 {
				t.Errorf("%v %d: largest weight %v", f, n, top)
			}
			x0, w0 := append([]float64(nil), x...), append([]float64(nil), w...)
			row := make([]float64, n)
			for i := range x { // exact at nodes
				for j := range row {
					row[j] = math.NaN()
				}
				InterpolateTo(row, x, w, x[i])
				for j, v := range row {
					if v != 0 && j != i || j == i && v != 1 {
						t.Fatalf("%v %d: row at node %d holds %v in column %d", f, n, i, v, j)
					}
				}
			}
			for _, s := range []float64{-1, -0.123, math.SmallestNonzeroFloat64, 0.77, 1} {
				InterpolateTo(row, x, w, s)
				got, want := 0.0, s+1
				for j, v := range row {
					got += v * (x[j] + 1)
				}
				if n == 1 {
					want = x[0] + 1
				}
				if !near(got, want, 2e-12) { // a thousand roundings
					t.Errorf("%v %d: %v at %v", f, n, got, s)
				}
			}
			if !equal(x, x0) || !equal(w, w0) {
				t.Errorf("%v %d: an input was changed", f, n)
			}
		}
	}
	// A thousand equispaced weights span 299 decades without overflow or zero.
	w := Barycentric(Interior(Equispaced, 1000))
	if r := math.Abs(w[0] / w[499]); !(r > 1e-300 && r < 1e-298) {
		t.Errorf("smallest over largest weight %g, binomial coefficients say 1/C(999,499) = 3.7e-300", r)
	}
}

// A smooth function at 40 nodes: the fourth derivative still has six digits, as n^(2k) rounding allows.
func TestDerivativeLarge(t *testing.T) {
	x := Interior(Lobatto, 40)
	for k, eps := range map[int]float64{1: 1e-11, 2: 1e-9, 4: 1e-4} {
		d := Derivatives(x, k)
		for i := range x {
			got := 0.0
			for j := range x {
				got += d.At(i, j) * math.Exp(x[j])
			}
			if !near(got, math.Exp(x[i]), eps) {
				t.Errorf("derivative %d at %v: %v, want %v", k, x[i], got, math.Exp(x[i]))
			}
		}
	}
}

func BenchmarkIntegration(b *testing.B) {
	for _, n := range []int{10, 64, 200} {
		x := Interior(Legendre, n)
		at := append(append([]float64{}, x...), 1)
		b.Run(fmt.Sprintf("nodes=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Integration(x, at, 2)
			}
		})
	}
}
