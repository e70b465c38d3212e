package main

import (
	"math"

	"nodespan/solver"
)

// unboundedMethod: differences are held to nothing but honesty.
func (d *draw) unboundedMethod(c *Case) {
	d.method(c, false, false)
	if c.Options.Method == solver.Differences {
		c.Must = false
	}
	c.Options.Tol = d.tolerance(1e-3, 1e-10)
}

// halfLinePoints are points from 0 to far out, measured in the length of what happens.
func (d *draw) halfLinePoints(length float64, more ...float64) []float64 {
	at := []float64{0, 0.3 * length, length * (1 + 3*d.Float64()), 10 * length, length * (20 + 60*d.Float64()),
		1000 * length}
	for range 12 { // so that the largest error, or nearly so, is met
		at = append(at, 6*length*d.Float64())
	}
	return append(at, more...)
}

// approach draws a function that goes to a number at infinity: its formula and its length.
func (d *draw) approach(c *Case) (f *formula, length float64) {
	k := d.spread(0.02, 50, 2)
	z := times(number(k), theX)
	length = 1 / parsed(k)
	way := d.IntN(6)
	if way == 2 || way == 3 {
		c.limited(1e-5) // infinity is a long way off where the approach is algebraic
	}
	switch way {
	case 0, 1:
		return fn("exp", negative(z)), length
	case 2:
		return over(unity, plus(unity, z)), length
	case 3:
		return over(unity, plus(unity, square(z))), length
	case 4:
		return fn("sech", z), length
	}
	return times(z, fn("exp", negative(z))), length
}

// pulse draws a pulse far from 0.
func (d *draw) pulse() (f *formula, place float64) {
	c := d.spread(3, 150, 2)
	w := d.between(0.5, 3, 2)
	z := over(minus(theX, number(c)), number(w))
	return pick(d, fn("exp", negative(square(z))), square(fn("sech", z))), parsed(c)
}

// halfLine: one or two equations on [0, inf), each unknown with or without a condition at infinity.
func halfLine(d *draw) *Case {
	c := &Case{}
	d.unboundedMethod(c)
	t := &truth{}
	var lines []string
	var conditions []condition
	var points []float64
	var orders []int
	names := []string{"u", "v"}
	count := 1 + d.IntN(2)
	if count == 1 {
		names = []string{"y"}
	}
	for i := range count {
		u, length := d.approach(c)
		if d.chance(0.3) {
			p, place := d.pulse()
			u = plus(u, p)
			points = append(points, place, place+0.7)
		}
		name := names[i]
		at0 := func(k int) condition {
			return condition{[]term{{unknown: i, order: k, at: number("0")}}, u.derivative(k).put(number("0"))}
		}
		atInf := condition{[]term{{unknown: i, at: number("inf")}}, number("0")}
		k := number(d.spread(0.3, 3, 2))
		order := 2
		switch d.IntN(4) {
		case 0: // no condition at infinity: the source is integrated
			order = 1
			lines = append(lines, name+"' = "+u.derivative(1).String())
			conditions = append(conditions, at0(0))
		case 1: // a decaying first-order unknown
			order = 1
			lines = append(lines, name+"' = -"+k.String()+" "+name+" + "+plus(u.derivative(1),
				times(k, u)).print(product))
			conditions = append(conditions, at0(0))
		case 2: // v'' = -k v' + f, with both conditions at 0
			lines = append(lines, name+"'' = -"+k.String()+" "+name+"' + "+plus(u.derivative(2),
				times(k, u.derivative(1))).print(product))
			conditions = append(conditions, at0(0), at0(1))
		default:
			lines = append(lines, name+"'' = "+k.String()+"^2 "+name+" + "+minus(u.derivative(2),
				times(square(k), u)).print(product))
			conditions = append(conditions, at0(0), atInf)
		}
		t.names = append(t.names, name)
		t.fixed = append(t.fixed, u)
		orders = append(orders, order)
		points = append(points, d.halfLinePoints(length)...)
	}
	return c.pose(d, t, orders, lines, conditions, []string{"0 <= x < inf"}, points...)
}

// halfLineFree: equations without a source on [0, inf), the decaying modes of a system at rates that differ.
func halfLineFree(d *draw) *Case {
	c := &Case{}
	d.unboundedMethod(c)
	k := number(d.spread(0.05, 20, 2))
	slow := number(d.spread(0.02, 5, 2))
	length := 1 / parsed(k.text)
	z := times(k, theX)
	at0 := func(unknown, order int, v *formula) condition {
		return condition{[]term{{unknown: unknown, order: order, at: number("0")}}, v}
	}
	zeroAt := condition{[]term{{at: number("inf")}}, number("0")}
	rest := []string{"0 <= x < inf"}
	v := d.small("", 0)
	switch d.IntN(6) {
	case 0: // u with a condition at infinity, v without
		t := &truth{names: []string{"u", "v"}, fixed: []*formula{fn("exp", negative(z)),
			plus(v, over(minus(unity, fn("exp", negative(times(slow, theX)))), slow))}}
		return c.pose(d, t, []int{2, 2}, []string{"u'' = " + k.String() + "^2 u", "v'' = -" + slow.String() + " v'"},
			[]condition{at0(0, 0, unity), zeroAt, at0(1, 0, v), at0(1, 1,
				unity)}, rest, append(d.halfLinePoints(length), d.halfLinePoints(1/parsed(slow.text))...)...)
	case 1: // two decay lengths of one unknown: y'' + (a + b) y' + a b y = 0 is an initial value problem
		t := one("y", none, fn("exp", negative(z)), fn("exp", negative(times(slow, theX))))
		if k.text == slow.text {
			return halfLineFree(d)
		}
		eq := "y'' + (" + k.String() + " + " + slow.String() + ") y' + " + k.String() + "*" + slow.String() + " y = 0"
		return c.pose(d, t, []int{2}, []string{eq}, []condition{at0(0, 0, unity), at0(0, 1, v)}, rest,
			d.halfLinePoints(length)...)
	case 2: // fourth order: a beam on springs, v'''' + 4 k^4 v = 0, v → 0
		fixed := plus(times(fn("exp", negative(z)), fn("cos", z)), times(fn("exp", negative(z)), fn("sin", z)))
		return c.pose(d, one("v", fixed), []int{4}, []string{"v'''' + 4*" + k.String() + "^4 v = 0"},
			[]condition{at0(0, 0, unity), at0(0, 1, none), zeroAt, {[]term{{order: 1, at: number("inf")}},
				number("0")}}, rest, d.halfLinePoints(length)...)
	case 3: // y' = -k y^2, algebraic
		c.limited(1e-5)
		return c.pose(d, one("y", over(unity, plus(unity, z))), []int{1}, []string{"y' = -" + k.String() + " y^2"},
			[]condition{at0(0, 0, unity)}, rest, d.halfLinePoints(length)...)
	case 4: // y'' = 2 k^2 y^3, algebraic with a condition at infinity
		c.limited(1e-5)
		return c.pose(d, one("y", over(unity, plus(unity, z))), []int{2}, []string{"y'' = 2*" + k.String() + "^2 y^3"},
			[]condition{at0(0, 0, unity), zeroAt}, rest,
			d.halfLinePoints(length)...)
	}
	// y'' = 2 k^2 (y^3 - y): tanh
	return c.pose(d, one("y", fn("tanh", z)), []int{2}, []string{"y'' = 2*" + k.String() + "^2 (y^3 - y)"},
		[]condition{at0(0, 0, none), {[]term{{at: number("inf")}}, unity}}, rest, d.halfLinePoints(length)...)
}

// wholeLine: y” = k^2 y + f on the whole line, with pulses anywhere.
func wholeLine(d *draw) *Case {
	c := &Case{}
	d.unboundedMethod(c)
	p, place := d.pulse()
	if d.chance(0.5) {
		p, place = p.put(negative(theX)), -place
	}
	q, other := d.pulse()
	u := p
	if d.chance(0.5) {
		u = plus(u, times(number(d.between(-1, 1, 1)), q))
	}
	k := number(d.spread(0.3, 3, 2))
	source := minus(u.derivative(2), times(square(k), u))
	ends := []condition{{[]term{{at: number("-inf")}}, number("0")}, {[]term{{at: number("inf")}}, number("0")}}
	// The middles of pulses are mesh points, where collocation is better than between them.
	at := []float64{0, place, place + 0.5, place - 2, other, other + 1, 10 * d.Float64(), -300, 500}
	for range 16 {
		at = append(at, place-3+6*d.Float64(), other-3+6*d.Float64())
	}
	return c.pose(d, one("y", u), []int{2}, []string{"y'' - " + k.String() + "^2 y = " + source.String()}, ends, nil,
		at...)
}

// illPosed: too many or too few decaying modes for the conditions.
func illPosed(d *draw) *Case {
	c := &Case{}
	d.unboundedMethod(c)
	c.Must = false
	k, m := d.spread(0.2, 5, 2), d.spread(0.2, 5, 2)
	type kind struct {
		many  bool
		lines []string
	}
	p := d.between(0.5, 2, 2)
	q := pick(d, []kind{
		{true, []string{"y'' + " + k + " y' = 0", "y(0) = " + p, "y'(inf) = 0"}},
		{true, []string{"y'' + (" + k + " + " + m + ") y' + " + k + "*" + m + " y = 0", "y(0) = " + p, "y(inf) = 0"}},
		{true, []string{"y' = -" + k + " y", "y(inf) = 0"}},
		{true, []string{"u'' = " + k + "^2 u", "v' = -" + m + " v", "u(0) = " + p, "u(inf) = 0", "v(inf) = 0"}},
		{false, []string{"y'' - (" + k + " + " + m + ") y' + " + k + "*" + m + " y = 0", "y(0) = " + p, "y(inf) = 0"}},
		{false, []string{"y'' = " + k + " y'", "y(0) = " + p, "y(inf) = 0"}},
	}...)
	c.Refused = append([]string{"no decaying solution", "grow without bound"}, noneWords...)
	if q.many {
		c.Refused = manyWords
	}
	if math.Abs(parsed(k)-parsed(m)) < 0.05 {
		return illPosed(d)
	}
	c.Sheet = d.sheet(append(q.lines, "0 <= x < inf")...)
	return c
}
