package nodes

import "math/big"

// Rational is a polynomial with exact coefficients, ascending.
type Rational []*big.Rat

// Rat is a/b.
//
//go:noinline
func Rat(a, b int64) *big.Rat { return big.NewRat(a, b) }

// plus returns p + factor q.
func (p Rational) plus(q Rational, factor *big.Rat) Rational {
	r := make(Rational, max(len(p), len(q)))
	for i := range r {
		r[i] = new(big.Rat)
		if i < len(p) {
			r[i].Set(p[i])
		}
		if i < len(q) {
			r[i].Add(r[i], new(big.Rat).Mul(q[i], factor))
		}
	}
	return r
}

// TimesLinear returns p·(a + b s).
func (p Rational) TimesLinear(a, b *big.Rat) Rational {
	r := make(Rational, len(p)+1)
	for i := range r {
		r[i] = new(big.Rat)
		if i < len(p) {
			r[i].Mul(p[i], a)
		}
		if i > 0 {
			r[i].Add(r[i], new(big.Rat).Mul(p[i-1], b))
		}
	}
	return r
}

// Derivative returns dp/ds.
func (p Rational) Derivative() Rational {
	r := Rational{}
	for i := 1; i < len(p); i++ {
		r = append(r, new(big.Rat).Mul(p[i], Rat(int64(i), 1)))
	}
	return r
}

// without returns p/(s - root), which must divide.
func (p Rational) without(root *big.Rat) Rational {
	r := make(Rational, len(p)-1)
	carry := new(big.Rat)
	for i := len(p) - 1; i > 0; i-- {
		carry = new(big.Rat).Add(p[i], new(big.Rat).Mul(carry, root))
		r[i-1] = carry
	}
	return r
}

// legendrePolynomials returns P_0 … P_n of the argument a + b s, by (k+1) P_(k+1) = (2k+1) t P_k - k P_(k-1).
func legendrePolynomials(n int, a, b *big.Rat) []Rational {
	all := []Rational{{Rat(1, 1)}, {a, b}}
	for k := 1; k < n; k++ {
		next := all[k].TimesLinear(a, b)
		for i := range next {
			next[i].Mul(next[i], Rat(int64(2*k+1), int64(k+1)))
		}
		all = append(all, next.plus(all[k-1], Rat(int64(-k), int64(k+1))))
	}
	return all[:n+1]
}

func legendreRoot(n int, a, b, _ *big.Rat) Rational { return legendrePolynomials(n, a, b)[n] }

func chebyshevRoot(n int, a, b, _ *big.Rat) Rational {
	p, q := Rational{Rat(1, 1)}, Rational{a, b}
	for k := 1; k < n; k++ {
		next := q.TimesLinear(a, b)
		for i := range next {
			next[i].Mul(next[i], Rat(2, 1))
		}
		p, q = q, next.plus(p, Rat(-1, 1))
	}
	return q
}

func lobattoRoot(n int, a, b, _ *big.Rat) Rational {
	return legendrePolynomials(n+1, a, b)[n+1].Derivative()
}

func radauRoot(n int, a, b, to *big.Rat) Rational {
	all := legendrePolynomials(n+1, a, b)
	return all[n+1].plus(all[n], Rat(-1, 1)).without(to)
}

func equispacedRoot(n int, a, b, _ *big.Rat) Rational {
	p := Rational{Rat(1, 1)}
	for i := 1; i <= n; i++ { // zeros of t - t_i, t_i = -1 + 2 i/(n+1)
		at := Rat(int64(2*i-n-1), int64(n+1))
		p = p.TimesLinear(new(big.Rat).Sub(a, at), b)
	}
	return p
}
