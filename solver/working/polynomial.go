package working

import (
	"fmt"
	"math/big"

	"nodespan/solver/nodes"
)

// Polynomials with exact coefficients, ascending.
type rational []*big.Rat

func rat(a, b int64) *big.Rat { return big.NewRat(a, b) }

func (p rational) plus(q rational, factor *big.Rat) rational {
	r := make(rational, max(len(p), len(q)))
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

// timesLinear returns p·(a + b s).
func (p rational) timesLinear(a, b *big.Rat) rational {
	r := make(rational, len(p)+1)
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

func (p rational) derivative() rational {
	r := rational{}
	for i := 1; i < len(p); i++ {
		r = append(r, new(big.Rat).Mul(p[i], rat(int64(i), 1)))
	}
	return r
}

// without returns p/(s - root), which must divide.
func (p rational) without(root *big.Rat) rational {
	r := make(rational, len(p)-1)
	carry := new(big.Rat)
	for i := len(p) - 1; i > 0; i-- {
		carry = new(big.Rat).Add(p[i], new(big.Rat).Mul(carry, root))
		r[i-1] = carry
	}
	return r
}

// legendre returns P_0 … P_n of the argument a + b s, by (k+1) P_(k+1) = (2k+1) t P_k - k P_(k-1).
func legendre(n int, a, b *big.Rat) []rational {
	all := []rational{{rat(1, 1)}, {a, b}}
	for k := 1; k < n; k++ {
		next := all[k].timesLinear(a, b)
		for i := range next {
			next[i].Mul(next[i], rat(int64(2*k+1), int64(k+1)))
		}
		all = append(all, next.plus(all[k-1], rat(int64(-k), int64(k+1))))
	}
	return all[:n+1]
}

// rootPolynomial returns the polynomial whose zeros the interior nodes are, in the argument t = a + b s, and its
// name in words. to is the right end in s.
func rootPolynomial(f nodes.Family, n int, a, b, to *big.Rat, argument string) (rational, string) {
	switch f {
	case nodes.Legendre:
		return legendre(n, a, b)[n], fmt.Sprintf("P_%d(%s), the Legendre polynomial of degree %d", n, argument, n)
	case nodes.Chebyshev:
		p, q := rational{rat(1, 1)}, rational{a, b}
		for k := 1; k < n; k++ {
			next := q.timesLinear(a, b)
			for i := range next {
				next[i].Mul(next[i], rat(2, 1))
			}
			p, q = q, next.plus(p, rat(-1, 1))
		}
		return q, fmt.Sprintf("T_%d(%s), the Chebyshev polynomial of degree %d", n, argument, n)
	case nodes.Lobatto:
		return legendre(n+1, a, b)[n+1].derivative(), fmt.Sprintf("the derivative of P_%d(%s), the Legendre "+
			"polynomial of degree %d", n+1, argument, n+1)
	case nodes.Radau:
		all := legendre(n+1, a, b)
		return all[n+1].plus(all[n], rat(-1, 1)).without(to), fmt.Sprintf("(P_%d - P_%d)(%s) without its zero at the "+
			"right end, P_k being the Legendre polynomial of degree k", n+1, n, argument)
	}
	p := rational{rat(1, 1)}
	for i := 1; i <= n; i++ { // zeros of t - t_i, t_i = -1 + 2 i/(n+1)
		at := rat(int64(2*i-n-1), int64(n+1))
		p = p.timesLinear(new(big.Rat).Sub(a, at), b)
	}
	return p, "the product of the distances to equally spaced points, which is no orthogonal polynomial"
}
