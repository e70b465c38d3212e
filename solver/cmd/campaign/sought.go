package main

import (
	"fmt"
	"math"
	"strings"
)

// sought: one sought number, from 1e-10 to 1e12.
func sought(d *draw) *Case {
	c := &Case{}
	d.method(c, false, false)
	c.Options.Family = 0
	ask := func(truth *formula) { c.Asks = append(c.Asks, Ask{What: "p", Want: float(truth.at(nil))}) }
	near := func(truth *formula) string {
		if d.chance(0.5) {
			return "p = ?"
		}
		return "p = ? near " + cut(float(truth.at(nil))*(0.8+0.4*d.Float64()), 2)
	}
	length := pick(d, "1", "1", "2", "0.5", "10")
	l := number(length)
	switch d.IntN(5) {
	case 0: // y'' = -p, y = p x (L - x)/2
		s := number(d.spread(1e-10, 1e12, 2))
		p := over(times(integer(2), s), l)
		ask(p)
		c.Sheet = d.sheet("y'' = -p", "y(0) = 0", "y("+length+") = 0", "y'(0) = "+s.String(), near(p))
		x := parsed(length) / 4
		c.Asks = append(c.Asks, at("y", 0, x, float(over(times(times(p, given(x)), minus(l, given(x))),
			integer(2)).at(nil))))
	case 1: // y' = -p y: a rate from two values
		far := d.spread(1e-6, 1e8, 2)
		v := number(d.between(0.1, 0.8, 2))
		p := over(negative(fn("ln", v)), number(far))
		ask(p)
		c.Sheet = d.sheet("y' = -p y", "y(0) = 1", "y("+far+") = "+v.String(), near(p))
		c.Asks = append(c.Asks, at("y", 0, parsed(far)/2, float(fn("sqrt", v).at(nil))))
	case 2: // y' = p + cos x
		s := number(d.spread(1e-10, 1e12, 3))
		p := over(minus(s, fn("sin", l)), l)
		ask(p)
		c.Sheet = d.sheet("y' = p + cos(x)", "y(0) = 0", "y("+length+") = "+s.String(), near(p))
	case 3: // a wave number, which others fit too: with a guess
		far := d.spread(1e-6, 1e6, 2)
		n := 1 + d.IntN(2)
		p := over(times(integer(n), fn("pi")), number(far))
		ask(p)
		for k := 1; k <= 20; k++ {
			other := float(div(mul(whole(int64(k)), pi), decimal(far)))
			c.Asks[0].also = append(c.Asks[0].also, other, -other)
		}
		c.Sheet = d.sheet("y'' + p^2 y = 0", "y(0) = 0", "y("+far+") = 0", "y'(0) = 1",
			"p = ? near "+cut(float(p.at(nil)), 3))
	default: // an amplitude in a source that is made
		s := number(d.spread(1e-10, 1e12, 2))
		k := number(d.between(0.5, 4, 2))
		// y'' - y = p sin(k x): y = -p sin(k x)/(1 + k^2), y'(0) = -p k/(1 + k^2)
		p := negative(over(times(s, plus(unity, square(k))), k))
		u := over(times(s, fn("sin", times(k, theX))), k)
		ask(p)
		c.Sheet = d.sheet("y'' - y = p sin("+k.String()+" x)", "y(0) = 0", "y("+length+") = "+u.put(l).String(),
			"y'(0) = "+s.String(), near(p))
		x := parsed(length) / 3
		c.Asks = append(c.Asks, at("y", 0, x, float(u.at(of(x)))))
	}
	return c
}

// eigen asks for the eigenvalues of a problem, the truths in ascending order. One that is zero is measured by the first
// that is not.
func (c *Case) eigen(truths []num) *Case {
	scale := 0.0
	for i := len(truths) - 1; i >= 0; i-- {
		if v := math.Abs(float(truths[i])); v > 0 {
			scale = v
		}
	}
	for i, v := range truths {
		c.Asks = append(c.Asks, Ask{What: fmt.Sprintf("lambda_%d", i+1), Want: float(v)})
		if a := &c.Asks[i]; a.Want == 0 {
			a.scale = scale
		}
	}
	c.Options.Count = len(truths)
	return c
}

// root refines a root of f by the secant method in full precision.
func root(f func(num) num, near float64) num {
	a, b := of(near), of(near*(1+1e-6))
	fa, fb := f(a), f(b)
	for range 12 {
		if fa.Cmp(fb) == 0 {
			break
		}
		c := sub(b, div(mul(fb, sub(b, a)), sub(fb, fa)))
		a, fa, b, fb = b, fb, c, f(c)
	}
	return b
}

// clampedRoots are the positive roots of cos b cosh b = sign.
func clampedRoots(n int, sign int64) (out []num) {
	f := func(b num) num { _, c := sincos(b); return sub(c, div(whole(sign), cosh(b))) }
	for k := range n {
		near := (float64(k) + 1.5) * math.Pi
		if sign < 0 {
			near = (float64(k) + 0.5) * math.Pi
			if k == 0 {
				near = 1.875
			}
		}
		out = append(out, root(f, near))
	}
	return out
}

// hingedRoots are the positive roots of tan b = tanh b.
func hingedRoots(n int) (out []num) {
	f := func(b num) num { s, c := sincos(b); return sub(s, mul(c, tanh(b))) }
	for k := range n {
		out = append(out, root(f, (float64(k)+1.25)*math.Pi))
	}
	return out
}

// eigenvalues: problems whose eigenvalues are known, at scales from 1e-5 to 1e5.
func eigenvalues(d *draw) *Case {
	c := &Case{Must: true}
	c.Options.Tol = d.tolerance(1e-4, 1e-10)
	n := 1 + d.IntN(6)
	length := pick(d, "1", "1", "2", "0.7")
	if d.chance(0.4) {
		length = d.spread(1e-5, 1e5, 2)
	}
	l := decimal(length)
	at := func(s string) string { return s + "(" + length + ")" }
	unit := div(pi, l)
	list := func(f func(k int) num) (out []num) {
		for k := 1; k <= n; k++ {
			out = append(out, f(k))
		}
		return out
	}
	sq := func(a num) num { return mul(a, a) }
	fourth := func(roots []num) (out []num) {
		for _, b := range roots {
			out = append(out, raise(div(b, l), 4))
		}
		return out
	}
	pose := func(lines ...string) { c.Sheet = d.sheet(append(lines, "lambda = ?")...) }
	switch d.IntN(10) {
	case 0:
		pose("y'' + lambda y = 0", "y(0) = 0", at("y")+" = 0")
		return c.eigen(list(func(k int) num { return sq(mul(whole(int64(k)), unit)) }))
	case 1:
		pose("y'' + lambda y = 0", "y'(0) = 0", at("y'")+" = 0")
		return c.eigen(list(func(k int) num { return sq(mul(whole(int64(k-1)), unit)) }))
	case 2:
		pose("-y'' = lambda y", "y(0) = 0", at("y'")+" = 0")
		return c.eigen(list(func(k int) num { return sq(mul(sub(whole(int64(k)), of(0.5)), unit)) }))
	case 3: // damped: y'' + b y' + lambda y = 0
		b := d.between(0.2, 3, 2)
		scaled := div(decimal(b), l)
		pose("y'' + "+b+"/"+length+" y' + lambda y = 0", "y(0) = 0", at("y")+" = 0")
		return c.eigen(list(func(k int) num { return add(div(sq(scaled), whole(4)), sq(mul(whole(int64(k)), unit))) }))
	case 4: // Euler's: (x y')' + lambda y/x = 0 from 1 to b
		b := d.between(1.5, 8, 2)
		pose("(x y')' + lambda y/x = 0", "y(1) = 0", "y("+b+") = 0")
		return c.eigen(list(func(k int) num { return sq(div(mul(whole(int64(k)), pi), log(decimal(b)))) }))
	case 5:
		pose("v'''' = lambda v", "v(0) = 0", "v''(0) = 0", at("v")+" = 0", at("v''")+" = 0")
		return c.eigen(list(func(k int) num { return raise(mul(whole(int64(k)), unit), 4) }))
	case 6:
		pose("v'''' = lambda v", "v(0) = 0", "v'(0) = 0", at("v")+" = 0", at("v'")+" = 0")
		return c.eigen(fourth(clampedRoots(n, 1)))
	case 7:
		pose("v'''' = lambda v", "v(0) = 0", "v'(0) = 0", at("v''")+" = 0", at("v'''")+" = 0")
		return c.eigen(fourth(clampedRoots(n, -1)))
	case 8:
		pose("v'''' = lambda v", "v(0) = 0", "v'(0) = 0", at("v")+" = 0", at("v''")+" = 0")
		return c.eigen(fourth(hingedRoots(n)))
	}
	pose("v'''' = lambda v", "v''(0) = 0", "v'''(0) = 0", at("v''")+" = 0", at("v'''")+" = 0")
	return c.eigen(append([]num{zero(), zero()}, fourth(clampedRoots(n, 1))...))
}

// besselRoots are the first zeros of J0 (M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 1964,
// table 9.5).
var besselRoots = []float64{2.404825557695773, 5.520078110286311, 8.653727912911012, 11.791534439014281,
	14.930917708487787}

// eigenSingular: eigenvalue problems with singular ends, where being regular is the condition, and on unbounded
// intervals.
func eigenSingular(d *draw) *Case {
	c := &Case{Must: true}
	c.Options.Tol = d.tolerance(1e-4, 1e-9)
	n := 1 + d.IntN(4)
	values := func(f func(k int) float64) (out []num) {
		for k := 1; k <= n; k++ {
			out = append(out, of(f(k)))
		}
		return out
	}
	pose := func(lines ...string) { c.Sheet = strings.Join(append(lines, "lambda = ?"), "\n") }
	switch d.IntN(5) {
	case 0:
		pose("((1 - x^2) y')' + lambda y = 0", "-1 < x < 1")
		return c.eigen(values(func(k int) float64 { return float64((k - 1) * k) }))
	case 1:
		pose("(x y')' + lambda x y = 0", "y(1) = 0", "0 < x < 1")
		return c.eigen(values(func(k int) float64 { return besselRoots[k-1] * besselRoots[k-1] }))
	case 2: // a sphere: sin(w x)/x
		pose("y'' + 2 y'/x + lambda y = 0", "y(1) = 0", "0 < x < 1")
		return c.eigen(values(func(k int) float64 { return math.Pow(float64(k)*math.Pi, 2) }))
	case 3: // Legendre's even functions, on half of the interval
		pose("((1 - x^2) y')' + lambda y = 0", "y'(0) = 0", "0 < x < 1")
		return c.eigen(values(func(k int) float64 { return float64((2*k - 2) * (2*k - 1)) }))
	}
	pose("-y'' + x^2 y = lambda y", "y(-inf) = 0", "y(inf) = 0")
	return c.eigen(values(func(k int) float64 { return float64(2*k - 1) }))
}
