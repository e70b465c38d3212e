package main

import (
	"fmt"
	"math"

	"nodespan/solver"
)

// plain: linear problems with smooth solutions, of order 1 to 6.
func plain(d *draw) *Case {
	as, bs := d.interval()
	a, b := parsed(as), parsed(bs)
	c := &Case{}
	d.method(c, true, true)
	order := 1 + d.IntN(4)
	if order > 2 && c.Options.Method == solver.Differences {
		c.Must = false
	}
	if order > 2 {
		c.limited(1e-11)
	}
	u := plus(d.smooth(a, b), fn("sin", times(number(d.between(0.5, 3, 2)), theX)))
	q := d.smooth(a, b)
	if order == 2 {
		q = negative(square(q))
	} else if order == 4 {
		q = square(q)
	} else {
		q = times(number("0.2"), q)
	}
	source := plus(u.derivative(order), times(q, u))
	left := "y" + primes(order)
	if !q.is("0") {
		left += " + " + q.print(tight) + " y"
	}
	value := func(at string, k int) *formula { return u.derivative(k).put(number(at)) }
	return c.pose(d, one("y", u), []int{order}, []string{left + " = " + source.String()}, d.conditions(order, as, bs,
		value),
		[]string{domain(as, bs)}, a, b, a+(b-a)*d.Float64(), a+(b-a)*d.Float64(), (a+b)/2)
}

// nonlinear: equations with one solution, since they are initial value problems or monotone.
func nonlinear(d *draw) *Case {
	c := &Case{}
	d.method(c, true, false)
	c.limited(1e-12)
	as, bs := "0", pick(d, "1", "2", "0.5")
	a, b := 0.0, parsed(bs)
	points := []float64{a, b, b * d.Float64(), b * d.Float64()}
	pose := func(u *formula, order int, eq string, conditions ...condition) *Case {
		return c.pose(d, one("y", u), []int{order}, []string{eq}, conditions, []string{domain(as, bs)}, points...)
	}
	ends := func(u *formula) []condition {
		return []condition{here(as, 0, u.put(number(as))), here(bs, 0, u.put(number(bs)))}
	}
	k := number(d.between(0.3, 2, 2))
	s := plus(theX, k)
	switch d.IntN(8) {
	case 0:
		u := over(unity, s)
		return pose(u, 2, "y'' = 2 y^3", ends(u)...)
	case 1: // y'' = 2 e^y... : y = -2 ln cos
		u := times(integer(-2), fn("ln", fn("cos", over(theX, integer(3)))))
		return pose(u, 2, "y'' = 2/9*exp(y)", ends(u)...)
	case 2:
		u := times(integer(-1), fn("ln", s))
		return pose(u, 2, "y'' = exp(2 y)", ends(u)...)
	case 3:
		u := over(fn("sin", times(number("0.7"), theX)), fn("cos", times(number("0.7"), theX)))
		return pose(u, 1, "y' = 0.7*(1 + y^2)", here(as, 0, none))
	case 4: // logistic
		u := over(unity, plus(unity, times(k, fn("exp", negative(times(integer(3), theX))))))
		return pose(u, 1, "y' = 3 y (1 - y)", here(as, 0, u.put(none)))
	case 5: // made, monotone in y
		u := plus(fn("sin", times(k, theX)), theX)
		source := minus(u.derivative(2), power(u, 3))
		return pose(u, 2, "y'' = y^3 + "+source.print(product), ends(u)...)
	case 6: // made, sinh y
		u := fn("cos", times(k, theX))
		source := minus(u.derivative(2), fn("sinh", u))
		return pose(u, 2, "y'' = sinh(y) + "+source.print(product), ends(u)...)
	}
	// the catenary
	u := times(k, fn("cosh", over(theX, k)))
	c.limited(1e-14 * math.Exp(b/parsed(k.text)))
	return pose(u, 2, "y'' = sqrt(1 + y'^2)/"+k.String(), here(as, 0, u.put(none)), here(as, 1, none))
}

// bratu: y” + L e^y = 0 with both values 0, the lower of its two solutions, y = -2 ln(cosh((x - 1/2) θ/2)/cosh(θ/4))
// with θ = sqrt(2 L) cosh(θ/4) (G. Bratu, 1914; from memory, verified by substitution).
func bratu(d *draw) *Case {
	c := &Case{}
	d.method(c, true, false)
	c.limited(1e-12)
	l := d.between(0.1, 3.3, 2)
	if parsed(l) > 3.2 {
		c.limited(1e-10)
	}
	theta := root(func(t num) num { return sub(t, mul(zero().Sqrt(double(decimal(l))), cosh(div(t, whole(4))))) },
		lowerTheta(parsed(l)))
	c.Sheet = d.sheet("y'' + "+l+" exp(y) = 0", "y(0) = 0", "y(1) = 0")
	for _, x := range []float64{0.25, 0.5, 0.9} {
		z := mul(sub(of(x), of(0.5)), div(theta, whole(2)))
		want := mul(whole(-2), log(div(cosh(z), cosh(div(theta, whole(4))))))
		slope := neg(mul(theta, tanh(z)))
		c.Asks = append(c.Asks, at("y", 0, x, float(want)), at("y", 1, x, float(slope)))
	}
	return c
}

// lowerTheta is the smaller root, by fixed-point iteration from 0.
func lowerTheta(l float64) float64 {
	t := 0.0
	for range 200 {
		t = math.Sqrt(2*l) * math.Cosh(t/4)
	}
	return t
}

// front: Burgers' steady front, eps y” = y y', y = -A tanh(A (x - c)/(2 eps)).
func front(d *draw) *Case {
	c := &Case{}
	d.method(c, false, false)
	if c.Options.Method == solver.Differences {
		c.Must = false
	}
	eps := d.spread(0.3, 0.01, 2)
	at := d.between(0.4, 0.6, 2)
	u := negative(fn("tanh", over(minus(theX, number(at)), times(integer(2), number(eps)))))
	// The place of the front hangs on the values at the ends by exp(distance/eps).
	c.limited(1e-14 * math.Exp(0.6/parsed(eps)))
	ends := []condition{here("0", 0, u.put(none)), here("1", 0, u.put(unity))}
	w := 2 * parsed(eps)
	return c.pose(d, one("y", u), []int{2}, []string{eps + " y'' = y y'"}, ends, nil,
		inside([]float64{0, parsed(at) - w, parsed(at), parsed(at) + w/2, d.Float64(), 1}, 0, 1)...)
}

// system: two or three coupled first- or second-order equations with solutions that are chosen.
func system(d *draw) *Case {
	c := &Case{}
	d.method(c, true, false)
	c.limited(1e-12)
	as, bs := "0", pick(d, "1", "2", "0.5")
	b := parsed(bs)
	names := []string{"u", "v", "w"}[:2+d.IntN(2)]
	t := &truth{names: names}
	var orders []int
	for range names {
		t.fixed = append(t.fixed, plus(d.smooth(0, b), fn("cos", times(number(d.between(0.3, 2, 2)), theX))))
		orders = append(orders, 1+d.IntN(2))
	}
	var lines []string
	var conditions []condition
	for i, name := range names {
		u := t.fixed[i]
		source, left := u.derivative(orders[i]), name+primes(orders[i])
		for j, other := range names {
			k := number(d.between(-1, 1, 1))
			if orders[i] == 2 && i == j {
				k = number("-" + d.between(0.2, 2, 1))
			}
			left += " + (" + k.String() + ") " + other
			source = plus(source, times(k, t.fixed[j]))
		}
		lines = append(lines, left+" = "+source.String())
		say := func(at string, k int) condition {
			return condition{[]term{{unknown: i, order: k, at: number(at)}}, u.derivative(k).put(number(at))}
		}
		if orders[i] == 1 {
			conditions = append(conditions, say(pick(d, as, bs), 0))
		} else {
			conditions = append(conditions, say(as, 0), say(bs, d.IntN(2)))
		}
	}
	return c.pose(d, t, orders, lines, conditions, []string{domain(as, bs)}, 0, b, b*d.Float64(), b*d.Float64())
}

// breaks: a wall of two layers, k jumps and the sheet says where.
func breaks(d *draw) *Case {
	c := &Case{}
	d.method(c, false, true)
	as, bs := d.interval()
	a, b := parsed(as), parsed(bs)
	at := written(rounded(a+(b-a)*(0.1+0.8*d.Float64()), 3))
	k1, k2 := d.spread(1e-3, 1e3, 2), d.spread(1e-3, 1e3, 2)
	q := number(pick(d, "0", "1", "5"))
	ratio := math.Max(parsed(k1), parsed(k2)) / math.Min(parsed(k1), parsed(k2))
	c.limited(1e-14 * ratio)
	if ratio > 10 && c.Options.Method == solver.Differences {
		c.Must = false
	}
	r1 := over(unity, number(k1))
	jump := minus(over(unity, number(k2)), r1)
	ramp := fn("max", none, minus(theX, number(at)))
	first := plus(times(r1, theX), times(jump, ramp))
	second := plus(times(r1, over(square(theX), integer(2))), times(jump,
		plus(over(square(ramp), integer(2)), times(number(at), ramp))))
	t := one("T", negative(times(q, second)), unity, first)
	lines := []string{"(k T')' = -" + q.String(), "k = if(x < " + at + ", " + k1 + ", " + k2 + ")"}
	rest := []string{domain(as, bs)}
	if d.chance(0.6) {
		rest = append(rest, "break x = "+at)
	}
	c.kinks, c.steep = []float64{parsed(at)}, []float64{parsed(at)}
	conditions := []condition{here(as, 0, d.small("", 0)), here(bs, 0, unity)}
	c.pose(d, t, []int{2}, lines, conditions, rest, a, b, a+(b-a)*d.Float64(), a+(b-a)*d.Float64(), parsed(at))
	return c
}

// scaled: constant coefficients at scales of x and y from 1e-6 to 1e6.
func scaled(d *draw) *Case {
	c := &Case{}
	d.method(c, true, false)
	c.limited(1e-12)
	length := d.spread(1e-6, 1e6, 2)
	size := d.spread(1e-6, 1e6, 2)
	l, s := number(length), number(size)
	k := over(number(d.between(0.3, 8, 2)), l)
	x := parsed(length)
	points := []float64{0, x, x * d.Float64(), x * d.Float64()}
	z := times(k, theX)
	if d.chance(0.5) {
		t := one("y", none, fn("exp", negative(z)), fn("exp", times(k, minus(theX, l))))
		return c.pose(d, t, []int{2}, []string{"y'' = " + k.print(tight) + "^2 y"}, []condition{here("0", 0, s),
			here(length, 0, none)}, nil, points...)
	}
	// a load: y'' = -p, in the units of the interval
	p := over(times(s, d.factor()), square(l))
	t := one("y", negative(times(p, over(square(theX), integer(2)))), powers(2)...)
	return c.pose(d, t, []int{2}, []string{"y'' = -" + p.print(product)}, []condition{here("0", 0, none),
		here(length, pick(d, 0, 1), none)}, nil, points...)
}

func (d *draw) factor() *formula { return number(d.between(0.5, 9, 2)) }

// periodic: both the value and the slope return.
func periodic(d *draw) *Case {
	c := &Case{}
	d.method(c, true, true)
	length := pick(d, "1", "2", "5", "2*pi")
	l := number(length)
	if length == "2*pi" {
		l = times(integer(2), fn("pi"))
	}
	w := over(times(integer(2), fn("pi")), l)
	u := plus(fn("sin", times(w, theX)), times(number(d.between(-1, 1, 2)),
		fn("cos", times(times(integer(2), w), theX))))
	k := number(d.between(0.3, 3, 2))
	b := float(l.at(nil))
	tie := func(order int) condition {
		return condition{[]term{{order: order, at: number("0")}, {factor: number("-1"), order: order, at: l}},
			number("0")}
	}
	return c.pose(d, one("y", u), []int{2}, []string{"y'' - " + k.String() + " y = " + minus(u.derivative(2), times(k,
		u)).String()},
		[]condition{tie(0), tie(1)}, nil, 0, b/3, b*d.Float64(), 0.9*b)
}

// tied: conditions at inner points, and conditions that tie values at several.
func tied(d *draw) *Case {
	c := &Case{}
	d.method(c, false, true)
	c.limited(1e-12)
	k := number(d.between(0.5, 3, 2))
	mid := d.between(0.2, 0.8, 2)
	z := times(k, theX)
	t := one("y", none, fn("exp", z), fn("exp", negative(z)))
	second := pick(d,
		here(mid, 0, number(d.between(-1, 2, 2))),
		condition{[]term{{at: number("0")}, {factor: integer(2), at: number(mid)}, {at: number("1")}}, d.factor()},
		condition{[]term{{at: number(mid)}, {factor: d.factor(), order: 1, at: number("1")}}, unity})
	return c.pose(d, t, []int{2}, []string{"y'' = " + k.String() + "^2 y"}, []condition{here("0", 0, d.small("", 0)),
		second},
		[]string{domain("0", "1")}, 0, parsed(mid), 0.9, d.Float64(), 1)
}

// growing: initial value problems whose solutions grow by many powers of ten.
func growing(d *draw) *Case {
	c := &Case{}
	d.method(c, false, false)
	length := pick(d, "5", "10", "30", "60", "100")
	k := number(d.between(0.5, 1.5, 2))
	z := times(k, theX)
	growth := parsed(k.text) * parsed(length)
	c.limited(1e-14 * math.Exp(math.Max(0, growth-10)))
	if growth > 25 || c.Options.Method == solver.Differences {
		c.Must = false
	}
	c.Never = []string{"there is no solution", "infinitely many"}
	b := parsed(length)
	points := []float64{0, b / 3, b * d.Float64(), b}
	conditions := func(n int) (out []condition) {
		for k := range n {
			out = append(out, here("0", k, number(pick(d, "0", "1", "2", "0.3"))))
		}
		return out
	}
	rest := []string{domain("0", length)}
	switch d.IntN(4) {
	case 0:
		t := one("y", none, fn("exp", z), fn("exp", negative(z)))
		return c.pose(d, t, []int{2}, []string{"y'' = " + k.String() + "^2 y"}, conditions(2), rest, points...)
	case 1:
		t := one("y", none, fn("exp", z), fn("exp", negative(z)), fn("cos", z), fn("sin", z))
		return c.pose(d, t, []int{4}, []string{"y'''' = " + k.String() + "^4 y"}, conditions(4), rest, points...)
	case 2:
		t := one("y", none, unity, fn("exp", z))
		return c.pose(d, t, []int{2}, []string{"y'' = " + k.String() + " y'"}, conditions(2), rest, points...)
	}
	return c.pose(d, one("y", none, fn("exp", z)), []int{1}, []string{"y' = " + k.String() + " y"}, conditions(1), rest,
		points...)
}

// tooFew: the number of nodes or elements is given, and may be too small: what is claimed covers it all the same.
func tooFew(d *draw) *Case {
	var c *Case
	switch d.IntN(5) {
	case 0:
		c = narrowSource(1+d.IntN(2), false)(d)
	case 1:
		c = oscillation(d)
	case 2:
		c = layers(d)
	case 3:
		c = narrowMade(d)
	default:
		c = plain(d)
	}
	switch o := &c.Options; pick(d, solver.One, solver.Pieces, solver.Pieces, solver.Differences, solver.Auto) {
	case solver.One:
		o.Method, o.Nodes = solver.One, 1+d.IntN(20)
	case solver.Pieces:
		o.Method, o.Elements = solver.Pieces, 1+d.IntN(40)
		if d.chance(0.6) {
			o.Nodes = 1 + d.IntN(6)
		}
	case solver.Differences:
		o.Method, o.Nodes = solver.Differences, 3+d.IntN(200)
	default:
		o.Method, o.Nodes = solver.Auto, 1+d.IntN(12)
	}
	c.Must = false
	return c
}

// several narrow features at once, which may lie on each other.
func several(d *draw) *Case {
	as, bs := d.interval()
	a, b := parsed(as), parsed(bs)
	c := &Case{}
	d.method(c, false, false)
	order := 1 + d.IntN(2)
	source, fixed := none, none
	var points []float64
	for i := range 2 + d.IntN(3) {
		n := d.narrow(a, b, order, d.chance(0.3))
		if len(n.rest) > 0 { // two constants of one name
			continue
		}
		if i > 0 && d.chance(0.4) { // close to the one before
			points = append(points, n.place)
		}
		amplitude := number(d.between(0.5, 5, 1))
		source, fixed = plus(source, times(amplitude, n.f)), plus(fixed, times(amplitude, n.integrated(order)))
		points = append(points, n.points(d, a, b)...)
		c.kinks = append(c.kinks, n.kinks()...)
		c.limited(n.rounding())
	}
	if source.is("0") {
		return several(d)
	}
	return c.pose(d, one("y", fixed, powers(order)...), []int{order},
		[]string{"y" + primes(order) + " = " + source.String()},
		d.conditions(order, as, bs, d.small), []string{domain(as, bs)}, inside(points, a, b)...)
}

// narrowNonlinear: y” = y^3 + f or y” = sinh(y) + f, monotone in y, with a narrow f made from a solution with a bend or
// a bump.
func narrowNonlinear(d *draw) *Case {
	as, bs := d.interval()
	a, b := parsed(as), parsed(bs)
	n := d.narrow(a, b, 1, false)
	for n.name == "hyperbola" {
		n = d.narrow(a, b, 1, false)
	}
	c := &Case{kinks: n.kinks()}
	d.method(c, false, false)
	c.limited(n.rounding())
	amplitude := number(d.between(0.2, 1, 1))
	u := plus(times(amplitude, n.plain()), fn("sin", theX))
	if n.name == "lorentz" { // a bend, in a form that a sheet can hold
		u = plus(times(number(written(rounded(1/n.wide/(b-a)/2, 2))), n.integrated(2)), fn("cos", theX))
	}
	right, source := "y^3", minus(u.derivative(2), power(u, 3))
	if d.chance(0.5) {
		right, source = "y", minus(u.derivative(2), u)
		if d.chance(0.5) {
			right, source = "sinh(y)", minus(u.derivative(2), fn("sinh", u))
		}
	}
	value := func(at string, k int) *formula { return u.derivative(k).put(number(at)) }
	return c.pose(d, one("y", u), []int{2}, []string{fmt.Sprintf("y'' = %s + %s", right, source.print(product))},
		[]condition{here(as, 0, value(as, 0)), here(bs, 0, value(bs, 0))}, append(n.rest, domain(as, bs)), n.points(d,
			a, b)...)
}
