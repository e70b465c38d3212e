package main

import (
	"fmt"
	"math"

	"nodespan/solver"
)

// limited says that an answer is out of reach where the tolerance is below what rounding leaves.
func (c *Case) limited(rounding float64) {
	c.reach = math.Max(c.reach, rounding)
	if c.Options.Tol < rounding {
		c.Must = false
	}
}

// resonance: y” + K y = f with K a relative distance of 1e-1 to 1e-12 from an eigenvalue, and a solution of size 1.
func resonance(d *draw) *Case {
	n := 1 + d.IntN(4)
	distance := d.spread(1e-1, 1e-12, 3)
	c := &Case{}
	d.method(c, false, false)
	c.limited(1e-13 / parsed(distance))
	k := times(square(times(integer(n), fn("pi"))), pick(d, plus, minus)(unity, number(distance)))
	u := pick(d, fn("exp", theX), plus(unity, square(theX)), fn("cos", times(number("1.3"), theX)), fn("ln",
		plus(theX, integer(2))))
	value := func(at string, k int) *formula { return u.derivative(k).put(number(at)) }
	order := d.IntN(2) // both values or both slopes
	conditions := []condition{here("0", order, value("0", order)), here("1", order, value("1", order))}
	source := plus(u.derivative(2), times(k, u))
	return c.pose(d, one("y", u), []int{2}, []string{"y'' + " + k.print(product) + " y = " + source.String()},
		conditions, nil,
		0, 0.25, 0.5, 0.7, 0.9, 1, d.Float64())
}

// cut writes a wave number of a string or a beam to a few digits: a decimal near an eigenvalue.
func cut(v float64, digits int) string { return written(rounded(v, digits)) }

// resonanceFree: an equation without a source whose wave number is a decimal near that of an eigenfunction.
func resonanceFree(d *draw) *Case {
	c := &Case{}
	d.method(c, false, false)
	digits := 2 + d.IntN(9)
	if d.chance(0.6) {
		n := 1 + d.IntN(3)
		w := cut(float64(n)*math.Pi, digits)
		c.limited(1e-13 / math.Abs(math.Sin(parsed(w))))
		z := times(number(w), theX)
		return c.pose(d, one("y", none, fn("sin", z), fn("cos", z)), []int{2}, []string{"y'' + " + w + "^2 y = 0"},
			[]condition{here("0", 0, number(pick(d, "0", "1"))), here("1", 0,
				number(pick(d, "1", "2")))}, nil, 0, 0.2, 0.5, 0.8, 1)
	}
	// cos b cosh b = 1 for a clamped beam (S. Timoshenko, Vibration Problems in Engineering, 1928; from memory)
	b := pick(d, 4.730040744862704, 7.853204624095838)
	w := cut(b, digits)
	c.limited(1e-12 / math.Abs(parsed(w)-b))
	z := times(number(w), theX)
	t := one("v", none, fn("sin", z), fn("cos", z), fn("exp", negative(z)), fn("exp",
		times(number(w), minus(theX, unity))))
	return c.pose(d, t, []int{4}, []string{"v'''' = " + w + "^4 v"},
		[]condition{here("0", 0, none), here("0", 1, none), here("1", 0, unity), here("1", 1,
			none)}, nil, 0, 0.2, 0.5, 0.8, 1)
}

var (
	manyWords = []string{"infinitely many", "do not fix"}
	noneWords = []string{"there is no solution", "no solution"}
)

// singular: problems without a solution or with many, by every method.
func singular(d *draw) *Case {
	c := &Case{}
	d.method(c, false, false)
	if c.Options.Method == solver.Differences {
		c.Options.Tol = d.tolerance(1e-3, 1e-5)
	}
	c.Must = false
	length := pick(d, "1", "2", "0.5", "3", "10")
	n := 1 + d.IntN(3)
	k := fmt.Sprintf("(%d pi/%s)^2", n, length)
	p := d.between(0.5, 3, 2)
	type kind struct {
		many  bool
		lines []string
	}
	at := func(s string) string { return s + "(" + length + ")" }
	other := fmt.Sprintf("sin(%d pi x/%s)", 1+(n+d.IntN(2))%3, length)
	q := pick(d, []kind{
		{true, []string{"y'' + " + k + " y = " + other, "y(0) = 0", at("y") + " = 0"}},
		{true, []string{"y'' + " + k + " y = 0", "y(0) = 0", at("y") + " = 0"}},
		{true, []string{"y'' + " + k + " y = 0", "y'(0) = 0", at("y'") + " = 0"}},
		{false, []string{"y'' + " + k + " y = 0", "y(0) = 0", at("y") + " = " + p}},
		{false, []string{"y'' + " + k + " y = 0", "y'(0) = " + p, at("y'") + " = 0"}},
		{true, []string{"y'' = 0", "y'(0) = 0", at("y'") + " = 0"}},
		{true, []string{"y'' = 0", "y'(0) = " + p, at("y'") + " = " + p}},
		{false, []string{"y'' = 0", "y'(0) = 0", at("y'") + " = " + p}},
		{true, []string{"y'' = " + p, "y'(0) = 0", at("y'") + " = " + p + "*" + length}},
		{false, []string{"y'' = " + p, "y'(0) = 0", at("y'") + " = 0"}},
		{true, []string{"y'' = y'^2", "y'(0) = 0", at("y'") + " = 0"}},
		{true, []string{"y'' = cos(2 pi x/" + length + ")", "y(0) = " + at("y"), "y'(0) = " + at("y'")}},
		{false, []string{"y'' = 1", "y(0) = " + at("y"), "y'(0) = " + at("y'")}},
		{true, []string{"v'''' = 0", "v''(0) = 0", "v'''(0) = 0", at("v''") + " = 0", at("v'''") + " = 0"}},
		{false, []string{"v'''' = 1", "v''(0) = 0", "v'''(0) = 0", at("v''") + " = 0", at("v'''") + " = 0"}},
		{true, []string{"y' = z", "z' = -" + k + " y", "y(0) = 0", at("y") + " = 0"}},
		{true, []string{"((1 + x) T')' = 0", "T'(0) = 0", at("T'") + " = 0"}},
		{true, []string{"((1 + x) T')' = " + p, "T'(0) = 0",
			"(1 + " + length + ")*" + at("T'") + " = " + p + "*" + length}},
	}...)
	c.Refused = noneWords
	if q.many {
		c.Refused = manyWords
	}
	c.Sheet = d.sheet(append(q.lines, domain("0", length))...)
	return c
}

// oscillation: up to 3000 radians over the interval.
func oscillation(d *draw) *Case {
	as, bs := pick(d, "0", "0", "-1"), pick(d, "1", "1", "2", "10")
	a, b := parsed(as), parsed(bs)
	c := &Case{}
	d.method(c, false, false)
	radians := pow(10, 3000, d.Float64())
	if radians > 300 && c.Options.Method == solver.Differences || radians > 100 {
		c.Must = c.Must && c.Options.Method != solver.Differences
	}
	w := cut(radians/(b-a), 2+d.IntN(4))
	r := parsed(w) * (b - a)
	c.limited(r * 2e-13)
	z := times(number(w), theX)
	points := inside([]float64{a, b, a + (b-a)*0.3, a + (b-a)*d.Float64(), a + (b-a)*d.Float64()}, a, b)
	switch d.IntN(4) {
	case 0: // without a source, away from resonance
		if s := math.Abs(math.Sin(r)); s < 0.1 {
			c.limited(r * 2e-13 / s)
		}
		t := one("y", none, fn("sin", z), fn("cos", z))
		return c.pose(d, t, []int{2}, []string{"y'' + " + w + "^2 y = 0"}, []condition{here(as, 0, d.small("", 0)),
			here(bs, 0, unity)}, nil, points...)
	case 1: // an initial value problem
		t := one("y", none, fn("sin", z), fn("cos", z))
		return c.pose(d, t, []int{2}, []string{"y'' = -" + w + "^2 y"}, []condition{here(as, 0, unity),
			here(as, 1, none)}, []string{domain(as, bs)}, points...)
	case 2: // the source oscillates
		u := fn("sin", z)
		return c.pose(d, one("y", u), []int{2}, []string{"y'' - y = -(1 + " + w + "^2)*sin(" + w + " x)"},
			[]condition{here(as, 0, u.put(number(as))), here(bs, 0, u.put(number(bs)))}, nil, points...)
	}
	// the integral of an oscillation
	return c.pose(d, one("y", over(negative(fn("cos", z)), number(w)), unity), []int{1},
		[]string{"y' = sin(" + w + " x)"},
		[]condition{here(as, 0, none)}, []string{domain(as, bs)}, points...)
}
