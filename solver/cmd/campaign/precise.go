package main

import (
	"math"
	"math/big"
)

// The truth is worked out with so many bits: 300 leave twenty digits and more when a hundred bits cancel.
const bits = 300

type num = *big.Float

func zero() num           { return new(big.Float).SetPrec(bits) }
func of(v float64) num    { return zero().SetFloat64(v) }
func whole(n int64) num   { return zero().SetInt64(n) }
func add(a, b num) num    { return zero().Add(a, b) }
func sub(a, b num) num    { return zero().Sub(a, b) }
func mul(a, b num) num    { return zero().Mul(a, b) }
func div(a, b num) num    { return zero().Quo(a, b) }
func neg(a num) num       { return zero().Neg(a) }
func abs(a num) num       { return zero().Abs(a) }
func double(a num) num    { return mul(a, whole(2)) }
func half(a num) num      { return zero().SetMantExp(a, -1) }
func float(a num) float64 { v, _ := a.Float64(); return v }

// decimal returns the number that a decimal means, not the double next to it.
func decimal(s string) num {
	v, ok := zero().SetString(s)
	if !ok {
		panic("campaign: not a decimal: " + s)
	}
	return v
}

// tiny reports whether a term no longer counts in a sum.
func tiny(term, sum num) bool {
	return term.Sign() == 0 || sum.Sign() != 0 && term.MantExp(nil) < sum.MantExp(nil)-bits-8
}

// series sums terms until they no longer count; next makes a term from the one before it and its index.
func series(first num, next func(term num, k int64) num) num {
	sum, term := zero().Set(first), first
	for k := int64(1); ; k++ {
		term = next(term, k)
		if tiny(term, sum) {
			return sum
		}
		sum.Add(sum, term)
	}
}

// arccot is the arctangent of 1/n for a whole n above 1, by its power series.
func arccot(n int64) num {
	square := whole(n * n)
	power := div(whole(1), whole(n))
	sum := zero().Set(power)
	for k := int64(1); ; k++ {
		power = neg(div(power, square))
		term := div(power, whole(2*k+1))
		if tiny(term, sum) {
			return sum
		}
		sum.Add(sum, term)
	}
}

// J. Machin's formula of 1706, π/4 = 4 arccot 5 − arccot 239; ln 2 = Σ 1/(k 2^k).
var (
	pi  = mul(whole(4), sub(mul(whole(4), arccot(5)), arccot(239)))
	ln2 = func() num {
		power, sum := of(0.5), of(0.5)
		for k := int64(2); k < bits+20; k++ {
			power = half(power)
			sum.Add(sum, div(power, whole(k)))
		}
		return sum
	}()
)

// exp reduces its argument by whole multiples of ln 2, then by 2^8, sums the power series and squares eight times.
func exp(x num) num {
	if x.Sign() == 0 {
		return whole(1)
	}
	n := math.Round(float(x) / math.Ln2)
	if math.Abs(n) > 1e8 {
		if n > 0 {
			panic("campaign: exp overflows")
		}
		return zero()
	}
	r := zero().SetMantExp(sub(x, mul(of(n), ln2)), -8)
	v := series(whole(1), func(t num, k int64) num { return div(mul(t, r), whole(k)) })
	for range 8 {
		v = mul(v, v)
	}
	return zero().SetMantExp(v, int(n))
}

// log by Newton's method on exp.
func log(x num) num {
	if x.Sign() <= 0 {
		panic("campaign: logarithm of what is not positive")
	}
	m := zero()
	e := x.MantExp(m)
	v := of(math.Log(float(m)))
	for range 3 { // 53 bits, then 106, 212, 424
		v = add(v, sub(mul(m, exp(neg(v))), whole(1)))
	}
	return add(v, mul(whole(int64(e)), ln2))
}

// sincos reduces to an eighth of a turn, then by 2^4 with the formulas of the double angle.
func sincos(x num) (sin, cos num) {
	quarter := half(pi)
	turns, _ := add(div(x, quarter), of(math.Copysign(0.5, float(x)))).Int(nil)
	r := zero().SetMantExp(sub(x, mul(zero().SetInt(turns), quarter)), -4)
	square := neg(mul(r, r))
	s := series(r, func(t num, k int64) num { return div(mul(t, square), whole(2*k*(2*k+1))) })
	// 1 − cos keeps its digits under doubling: 1 − cos 2r = 2 sin² r.
	c := series(whole(1), func(t num, k int64) num { return div(mul(t, square), whole((2*k-1)*2*k)) })
	for range 4 {
		s, c = double(mul(s, c)), sub(whole(1), double(mul(s, s)))
	}
	switch turns.Mod(turns, four).Int64() {
	case 1:
		return c, neg(s)
	case 2:
		return neg(s), neg(c)
	case 3:
		return neg(c), s
	}
	return s, c
}

var four = big.NewInt(4)

// atan by Newton's method for tan v = x; large arguments through 1/x.
func atan(x num) num {
	if x.Sign() == 0 {
		return zero()
	}
	if abs(x).Cmp(whole(1)) > 0 {
		return sub(mul(half(pi), whole(int64(x.Sign()))), atan(div(whole(1), x)))
	}
	v := of(math.Atan(float(x)))
	for range 3 { // v + (x cos v − sin v)/(x sin v + cos v) triples the digits, and more
		s, c := sincos(v)
		v = add(v, div(sub(mul(x, c), s), add(mul(x, s), c)))
	}
	return v
}

func sinh(x num) num { return half(sub(exp(x), exp(neg(x)))) }
func cosh(x num) num { return half(add(exp(x), exp(neg(x)))) }

// tanh loses nothing for small x that the spare bits do not cover.
func tanh(x num) num {
	e := exp(neg(double(abs(x))))
	v := div(sub(whole(1), e), add(whole(1), e))
	if x.Sign() < 0 {
		v.Neg(v)
	}
	return v
}

// erf x = 2/√π e^(−x²) Σ 2^n x^(2n+1)/(2n+1)!!, all terms of one sign (M. Abramowitz and I. A. Stegun, Handbook of
// Mathematical Functions, 1964, 7.1.6). Beyond 14 it is 1 to 10^−85.
func erf(x num) num {
	if math.Abs(float(x)) > 14 {
		return whole(int64(x.Sign()))
	}
	square := mul(x, x)
	sum := series(x, func(t num, k int64) num { return div(double(mul(t, square)), whole(2*k+1)) })
	return mul(div(whole(2), zero().Sqrt(pi)), mul(exp(neg(square)), sum))
}

// raise returns a^n for a whole n.
func raise(a num, n int) num {
	if n < 0 {
		return div(whole(1), raise(a, -n))
	}
	v := whole(1)
	for range n {
		v = mul(v, a)
	}
	return v
}

// solveDense solves a small dense system by elimination with row pivoting; it panics where the matrix is singular.
func solveDense(a [][]num, b []num) []num {
	n := len(b)
	for k := range n {
		p := k
		for i := k + 1; i < n; i++ {
			if abs(a[i][k]).Cmp(abs(a[p][k])) > 0 {
				p = i
			}
		}
		a[k], a[p], b[k], b[p] = a[p], a[k], b[p], b[k]
		if a[k][k].Sign() == 0 {
			panic("campaign: the conditions do not fix the truth")
		}
		for i := k + 1; i < n; i++ {
			f := div(a[i][k], a[k][k])
			for j := k; j < n; j++ {
				a[i][j] = sub(a[i][j], mul(f, a[k][j]))
			}
			b[i] = sub(b[i], mul(f, b[k]))
		}
	}
	x := make([]num, n)
	for i := n - 1; i >= 0; i-- {
		v := b[i]
		for j := i + 1; j < n; j++ {
			v = sub(v, mul(a[i][j], x[j]))
		}
		x[i] = div(v, a[i][i])
	}
	return x
}
