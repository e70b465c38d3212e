package main

import (
	"slices"

	"nodespan/solver"
)

// wells: eigenvalues of potential wells on unbounded intervals, narrow and wide, anywhere, single and double, and of
// Robin's conditions that hold a function in a layer at an end.
func wells(d *draw) *Case {
	c := &Case{Must: true}
	c.Options.Tol = d.tolerance(1e-4, 1e-8)
	sq := func(a num) num { return mul(a, a) }
	two := func(line string, at string, list ...num) *Case {
		c.Sheet = d.sheet(line, at, "y(inf) = 0", "lambda = ?")
		return c.eigen(list)
	}
	x := func(s string) string { return "(x - (" + s + "))" }
	place := pick(d, "0", d.spread(1, 300, 2), "-"+d.spread(1, 300, 2))
	w := d.spread(0.02, 50, 2)
	n := 1 + d.IntN(3)
	var list []num
	switch d.IntN(7) {
	case 0: // an oscillator
		for k := range n {
			list = append(list, mul(decimal(w), whole(int64(2*k+1))))
		}
		return two("-y'' + "+w+"^2 "+x(place)+"^2 y = lambda y", "y(-inf) = 0", list...)
	case 1: // the even or the odd functions of one
		odd := d.IntN(2)
		for k := range n {
			list = append(list, mul(decimal(w), whole(int64(4*k+2*odd+1))))
		}
		return two("-y'' + "+w+"^2 x^2 y = lambda y", []string{"y'(0) = 0", "y(0) = 0"}[odd], list...)
	case 2: // G. Pöschl and E. Teller's: n (n + 1) w^2 sech(w x)^2
		for k := range n {
			list = append(list, neg(sq(mul(decimal(w), whole(int64(n-k))))))
		}
		return two("y'' + (lambda + "+integer(n*(n+1)).text+"*"+w+"^2*sech("+w+"*"+x(place)+")^2) y = 0",
			"y(-inf) = 0", list...)
	case 3: // P. M. Morse's
		a, deep := d.spread(0.1, 5, 2), d.between(3, 6, 2)
		if parsed(a)*parsed(place) > 100 {
			place = "10" // or else it overflows at 0
		}
		for k := range n {
			list = append(list, neg(sq(mul(decimal(a), sub(decimal(deep), of(float64(k)+0.5))))))
		}
		e := "exp(-" + a + "*" + x(place) + ")"
		return two("-y'' + "+a+"^2*"+deep+"^2*("+e+"^2 - 2*"+e+") y = lambda y", "y(-inf) = 0", list...)
	case 4: // M. Razavy's double wells, (z cosh 2x − 2)^2 and (z cosh 2x − 3)^2
		z := d.spread(0.1, 2, 2)
		s, line := sq(decimal(z)), "-y'' + ("+z+"*cosh(2x) - "
		if d.chance(0.5) {
			around := double(decimal(z))
			list = []num{sub(add(s, whole(3)), around), add(add(s, whole(3)), around)}
			return two(line+"2)^2 y = lambda y", "y(-inf) = 0", list...)
		}
		r := root(func(v num) num { return sub(sq(v), add(whole(4), mul(whole(16), s))) }, 2+parsed(z))
		list = []num{sub(add(s, whole(7)), r), add(s, whole(5)), add(add(s, whole(7)), r)}
		return two(line+"3)^2 y = lambda y", "y(-inf) = 0", list...)
	}
	// y' = −h y at both ends: exp(−h x), and cosines and sines
	h, length := d.spread(0.1, 300, 2), pick(d, "1", "2", "0.5")
	list = []num{neg(sq(decimal(h)))}
	for k := range n {
		list = append(list, sq(div(mul(whole(int64(k+1)), pi), decimal(length))))
	}
	slices.SortFunc(list, num.Cmp)
	d.method(c, true, false)
	c.Options.Tol, c.Must = d.tolerance(1e-4, 1e-9), true
	if c.Options.Method == solver.Differences { // there are none for eigenvalues
		c.Options.Method = ""
	}
	c.Sheet = d.sheet("y'' + lambda y = 0", "y'(0) = -"+h+" y(0)", "y'("+length+") + "+h+" y("+length+") = 0",
		"lambda = ?")
	return c.eigen(list)
}
