package main

import "math"

// interval draws the ends of an interval as decimals.
func (d *draw) interval() (a, b string) {
	if d.chance(0.5) {
		return "0", pick(d, "1", "1", "1", "2", "4", "0.3", "10")
	}
	if d.chance(0.4) {
		return "-1", "1"
	}
	lo := rounded(-3+5*d.Float64(), 2)
	return written(lo), written(rounded(lo+0.2+4*d.Float64(), 3))
}

// smooth draws a smooth formula of size about 1 on [a, b].
func (d *draw) smooth(a, b float64) *formula {
	k := d.between(0.4, 4, 2)
	z := times(number(k), theX)
	switch d.IntN(6) {
	case 0:
		return fn("cos", z)
	case 1:
		return times(number(d.between(0.5, 3, 2)), fn("sin", z))
	case 2:
		return fn("exp", over(negative(theX), number(written(math.Ceil(math.Abs(a)+math.Abs(b))))))
	case 3:
		return plus(unity, theX)
	case 4:
		return none
	}
	return square(theX)
}

// conditions draws the conditions of an order, with the values of a solution.
func (d *draw) conditions(order int, a, b string, value func(at string, order int) *formula) []condition {
	say := func(at string, k int) condition { return here(at, k, value(at, k)) }
	switch order {
	case 1:
		return []condition{say(pick(d, a, b), 0)}
	case 2:
		switch d.IntN(6) {
		case 0:
			return []condition{say(a, 1), say(b, 0)}
		case 1:
			return []condition{say(a, 0), say(b, 1)}
		case 2:
			return []condition{say(a, 0), say(a, 1)}
		case 3:
			h := number(d.between(0.5, 5, 2))
			mixed := condition{[]term{{order: 1, at: number(b)}, {factor: h, at: number(b)}}, plus(value(b, 1),
				times(h, value(b, 0)))}
			return []condition{say(a, 0), mixed}
		}
		return []condition{say(a, 0), say(b, 0)}
	case 3:
		return pick(d,
			[]condition{say(a, 0), say(a, 1), say(b, 0)}, []condition{say(a, 0), say(b, 0), say(b,
				1)}, []condition{say(a, 0), say(a, 1), say(a, 2)})
	}
	return pick(d,
		[]condition{say(a, 0), say(a, 1), say(b, 0), say(b, 1)},
		[]condition{say(a, 0), say(a, 2), say(b, 0), say(b, 2)},
		[]condition{say(a, 0), say(a, 1), say(b, 2), say(b, 3)},
		[]condition{say(a, 0), say(a, 1), say(b, 0), say(b, 2)})
}

// small gives every condition a small number of its own.
func (d *draw) small(string, int) *formula {
	return number(pick(d, "0", "0", "1", "0.5", "-0.3", "2"))
}

// domain writes the interval where the conditions alone do not give it.
func domain(a, b string) string { return a + " < x < " + b }

// powers are 1, x, x², …: the solutions of y^(n) = 0.
func powers(n int) (out []*formula) {
	for k := range n {
		out = append(out, power(theX, k))
	}
	return out
}

// narrowSource: y^(n) = A f + smooth, where f is narrow.
func narrowSource(order int, kinked bool) func(*draw) *Case {
	return func(d *draw) *Case {
		as, bs := d.interval()
		a, b := parsed(as), parsed(bs)
		n := d.narrow(a, b, order, kinked)
		c := &Case{kinks: n.kinks()}
		d.method(c, false, false)
		c.limited(n.rounding())
		// An amplitude that makes the feature count, more or less.
		amplitude := number(written(rounded(math.Pow(n.wide/(b-a), -d.Float64())*pow(0.3, 3, d.Float64()), 2)))
		if n.sides {
			amplitude = number(d.between(0.3, 3, 2))
		}
		source, fixed := times(amplitude, n.f), times(amplitude, n.integrated(order))
		extra := powers(order)
		if s := d.extra(order); s != nil {
			source, fixed = plus(source, s.derivative(order)), plus(fixed, s)
		}
		left := "y" + primes(order)
		return c.pose(d, one("y", fixed, extra...), []int{order}, []string{left + " = " + source.String()},
			d.conditions(order, as, bs, d.small), append(n.rest, domain(as, bs)), n.points(d, a, b)...)
	}
}

// extra is something smooth that is added to a solution, or nothing.
func (d *draw) extra(order int) *formula {
	switch d.IntN(4) {
	case 0:
		return fn("sin", theX)
	case 1:
		return fn("exp", over(theX, integer(4)))
	case 2:
		return power(theX, order+1)
	}
	return nil
}

// narrowFlux: (k T')' = 0 where 1/k is narrow or has a narrow side.
func narrowFlux(kinked bool) func(*draw) *Case {
	return func(d *draw) *Case {
		as, bs := d.interval()
		a, b := parsed(as), parsed(bs)
		n := d.narrow(a, b, 1, kinked)
		for n.name == "hyperbola" || n.name == "abs" || n.name == "atan" {
			n = d.narrow(a, b, 1, kinked)
		}
		c := &Case{kinks: n.kinks()}
		d.method(c, false, false)
		c.limited(n.rounding())
		c.steep = n.kinks() // where k jumps the slope has two values
		base := number(d.between(1.2, 3, 2))
		part := number(d.between(0.2, 1, 2))
		if !n.sides {
			part = number(written(rounded(math.Pow(n.wide/(b-a), -d.Float64()), 2)))
		}
		resistance := plus(base, times(part, n.f))
		fixed := plus(times(base, theX), times(part, n.integrated(1)))
		k := over(unity, resistance).String()
		equations, rest := []string{"(k T')' = 0", "k = " + k}, append(n.rest, domain(as, bs))
		if d.chance(0.2) {
			equations = []string{"(" + k + " T')' = 0"}
		}
		conditions := []condition{here(as, 0, d.small("", 0)), here(bs, 0, integer(1))}
		c.pose(d, one("T", none, unity, fixed), []int{2}, equations, conditions, rest, n.points(d, a, b)...)
		return c
	}
}

// narrowMade: a solution with a narrow feature, and the equation made from it; the feature is smooth.
func narrowMade(d *draw) *Case {
	as, bs := d.interval()
	a, b := parsed(as), parsed(bs)
	n := d.narrow(a, b, 1, false)
	c := &Case{kinks: n.kinks()}
	d.method(c, false, false)
	c.limited(n.rounding())
	u := n.plain()
	if s := d.extra(1); s != nil {
		u = plus(s, u)
	}
	p, q := none, none
	if d.chance(0.5) {
		p = d.smooth(a, b)
	}
	if d.chance(0.6) {
		q = negative(square(d.smooth(a, b)))
	}
	left, source := "y''", u.derivative(2)
	if !p.is("0") {
		left += " + " + p.print(tight) + " y'"
		source = plus(source, times(p, u.derivative(1)))
	}
	if !q.is("0") {
		left += " + " + q.print(tight) + " y"
		source = plus(source, times(q, u))
	}
	value := func(at string, k int) *formula { return u.derivative(k).put(number(at)) }
	conditions := []condition{here(as, 0, value(as, 0)), here(bs, 0, value(bs, 0))}
	return c.pose(d, one("y", u), []int{2}, []string{left + " = " + source.String()}, conditions, append(n.rest,
		domain(as, bs)), n.points(d, a, b)...)
}

// narrowCoefficient: y” − q y = f with a narrow q and a smooth solution.
func narrowCoefficient(kinked bool) func(*draw) *Case {
	return func(d *draw) *Case {
		as, bs := d.interval()
		a, b := parsed(as), parsed(bs)
		n := d.narrow(a, b, 1, kinked)
		c := &Case{kinks: n.kinks()}
		d.method(c, false, false)
		c.limited(n.rounding())
		u := d.smooth(a, b)
		for u.free() {
			u = d.smooth(a, b)
		}
		q := n.f
		if !n.sides && d.chance(0.5) {
			q = times(number(written(rounded(math.Pow(n.wide/(b-a), -d.Float64()), 2))), q)
		}
		if n.sides {
			q = square(q)
		}
		value := func(at string, k int) *formula { return u.derivative(k).put(number(at)) }
		source := minus(u.derivative(2), times(q, u))
		return c.pose(d, one("y", u), []int{2}, []string{"y'' - " + q.print(tight) + " y = " + source.String()},
			[]condition{here(as, 0, value(as, 0)), here(bs, 0, value(bs, 0))}, append(n.rest, domain(as,
				bs)), n.points(d, a, b)...)
	}
}

// narrowGrowth: y' = A f(x) y and its nonlinear kin, separable.
func narrowGrowth(d *draw) *Case {
	as, bs := d.interval()
	a, b := parsed(as), parsed(bs)
	n := d.narrow(a, b, 1, d.chance(0.5))
	c := &Case{kinks: n.kinks()}
	d.method(c, false, false)
	c.limited(n.rounding())
	size := pow(0.3, 2, d.Float64())
	if !n.sides {
		size /= n.wide
	} else if n.name == "hyperbola" || n.name == "abs" {
		size *= n.wide / (b - a)
	}
	amplitude := number(written(rounded(size, 2)))
	rate := times(amplitude, n.f)
	whole := times(amplitude, n.integrated(1))
	// from the left end, where the integral is 0
	whole = minus(whole, whole.put(number(as)))
	start := number(pick(d, "0.5", "1", "0.2"))
	var u *formula
	var equation string
	switch d.IntN(3) {
	case 0:
		u, equation = times(start, fn("exp", negative(whole))), "y' = -"+rate.print(product)+" y"
	case 1: // 1/y = 1/y0 + the integral
		if n.sides && n.name != "hyperbola" &&
			n.name != "abs" { // the integral may be negative: keep away from the pole
			u, equation = times(start, fn("exp", whole)), "y' = "+rate.print(product)+" y"
		} else {
			u, equation = over(unity, plus(over(unity, start), whole)), "y' = -"+rate.print(product)+" y^2"
		}
	default: // the logistic equation
		u = over(unity, plus(unity, times(minus(over(unity, start), unity), fn("exp", negative(whole)))))
		equation = "y' = " + rate.print(product) + " y (1 - y)"
	}
	return c.pose(d, one("y", u), []int{1}, []string{equation}, []condition{here(as, 0, start)}, append(n.rest,
		domain(as, bs)), n.points(d, a, b)...)
}
