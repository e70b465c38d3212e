package main

import (
	"math"
	"strconv"

	"nodespan/solver"
	"nodespan/solver/nodes"
)

// far: intervals of moderate length a long way from 0.
func far(d *draw) *Case {
	length := pow(0.1, 20, d.Float64())
	a := rounded(pow(50, 1e7, d.Float64()), 2)
	if d.chance(0.3) {
		a = -a
	}
	b := a + rounded(length, 2)
	b, _ = strconv.ParseFloat(strconv.FormatFloat(b, 'g', 12, 64), 64)
	as, bs := strconv.FormatFloat(a, 'f', -1, 64), strconv.FormatFloat(b, 'f', -1, 64)
	c := &Case{}
	d.method(c, false, false)
	if c.Options.Method == solver.Differences {
		c.Must = false
	}
	w := d.spread(0.5, 30, 2)
	c.limited(4e-14 * (1 + math.Abs(a)*parsed(w)))
	mid := number(written(rounded((a+b)/2, 12)))
	var u *formula
	switch d.IntN(4) {
	case 0:
		u = fn("sin", times(number(w), theX))
	case 1:
		u = fn("exp", over(minus(number(as), theX), number(written(math.Ceil(b-a)))))
	case 2:
		u = over(unity, plus(minus(theX, number(as)), unity))
	default:
		u = fn("tanh", times(number(w), minus(theX, mid)))
	}
	points := inside([]float64{a, b, a + (b-a)*0.3, a + (b-a)*d.Float64(), a + (b-a)*d.Float64(), (a + b) / 2}, a, b)
	value := func(at string, k int) *formula { return u.derivative(k).put(number(at)) }
	switch d.IntN(3) {
	case 0:
		return c.pose(d, one("y", u), []int{1}, []string{"y' = " + u.derivative(1).String()},
			[]condition{here(as, 0, value(as, 0))},
			[]string{domain(as, bs)}, points...)
	case 1:
		source := minus(u.derivative(2), u)
		conditions := []condition{here(as, 0, value(as, 0)), here(bs, 0, value(bs, 0))}
		return c.pose(d, one("y", u), []int{2}, []string{"y'' - y = " + source.String()}, conditions,
			[]string{domain(as, bs)}, points...)
	}
	// without a source: y'' = k^2 y from end to end
	k := number(d.between(0.3, 5, 2))
	t := one("y", none, fn("exp", times(k, minus(theX, number(bs)))), fn("exp",
		negative(times(k, minus(theX, number(as))))))
	return c.pose(d, t, []int{2}, []string{"y'' = " + k.String() + "^2 y"}, []condition{here(as, 0, unity),
		here(bs, 0, d.small("", 0))}, nil, points...)
}

// fast: sources with fast arguments, to tolerances near what rounding leaves.
func fast(d *draw) *Case {
	as, bs := pick(d, "0", "-1", "0.3"), pick(d, "1", "2")
	a, b := parsed(as), parsed(bs)
	c := &Case{}
	d.method(c, false, false)
	if c.Options.Method != solver.Differences {
		c.Options.Tol = d.tolerance(1e-8, 1e-12)
	} else {
		c.Must = false
	}
	w := cut(pow(100, 4000, d.Float64()), 3+d.IntN(4))
	c.limited(parsed(w) * 2e-14)
	z := times(number(w), theX)
	f := pick(d, fn("sin", z), fn("cos", z))
	points := inside([]float64{a, b, 0.5, a + (b-a)*d.Float64(), a + (b-a)*d.Float64()}, a, b)
	if d.chance(0.5) {
		whole := over(negative(fn("cos", z)), number(w))
		if f.op == "cos" {
			whole = over(fn("sin", z), number(w))
		}
		return c.pose(d, one("y", whole, unity), []int{1}, []string{"y' = " + f.String()},
			[]condition{here(as, 0, none)}, []string{domain(as, bs)}, points...)
	}
	amplitude := number(d.between(1, 9, 1))
	fixed := over(negative(times(amplitude, f)), square(number(w)))
	return c.pose(d, one("y", fixed, powers(2)...), []int{2}, []string{"y'' = " + times(amplitude, f).String()},
		d.conditions(2, as, bs, d.small),
		[]string{domain(as, bs)}, points...)
}

// layers: constant coefficients with a small one before the highest derivative, turning points and corners; widths down
// to 1e-6.
func layers(d *draw) *Case {
	c := &Case{}
	d.method(c, false, false)
	if c.Options.Method == solver.Differences {
		c.Must = false
	}
	eps := d.spread(1e-1, 1e-7, 2)
	e := parsed(eps)
	c.limited(1e-15 / e)
	if c.Options.Family == nodes.Radau {
		// What is left of a layer grows on each long element by Π (1 − s)/s over the nodes, one more than their number.
		c.Must = false
	}
	name := number(eps)
	var rest []string
	if d.chance(0.7) {
		name, rest = named("eps", eps), []string{"eps = " + eps}
	}
	switch d.IntN(5) {
	case 0: // eps y'' + b y' + c y = f, real roots
		b, k := number(d.between(0.5, 2, 2)), number(d.between(0.2, 2, 2))
		s := pick(d, 1, -1)
		root := fn("sqrt", plus(square(b), times(times(integer(4), name), k)))
		turn := b
		if s < 0 {
			turn = negative(b)
		}
		r1 := over(plus(negative(turn), root), times(integer(2), name))  // positive
		r2 := over(minus(negative(turn), root), times(integer(2), name)) // negative
		f := number(pick(d, "0", "1", "2"))
		t := one("y", negative(over(f, k)), fn("exp", times(r1, minus(theX, unity))), fn("exp", times(r2, theX)))
		sign := map[int]string{1: "+", -1: "-"}[s]
		eq := name.String() + " y'' " + sign + " " + b.String() + " y' - " + k.String() + " y = " + f.String()
		w := e
		return c.pose(d, t, []int{2}, []string{eq}, []condition{here("0", 0, d.small("", 0)), here("1", 0, unity)},
			rest,
			inside([]float64{0, w, 3 * w, 0.3, d.Float64(), 1 - 3*w, 1 - w, 1}, 0, 1)...)
	case 1: // eps y'' = y
		r := over(unity, fn("sqrt", name))
		w := math.Sqrt(e)
		t := one("y", none, fn("exp", negative(times(r, theX))), fn("exp", times(r, minus(theX, unity))))
		return c.pose(d, t, []int{2}, []string{name.String() + " y'' = y"}, []condition{here("0", 0, unity),
			here("1", 0, d.small("", 0))}, rest,
			inside([]float64{0, w, 3 * w, 0.3, d.Float64(), 1 - 3*w, 1 - w, 1}, 0, 1)...)
	case 2, 3: // a layer at a turning point, and a corner
		z := over(theX, fn("sqrt", times(integer(2), name)))
		w := math.Sqrt(2 * e)
		points := inside([]float64{-1, -3 * w, -w, 0, 0.3 * w, 2 * w, 0.4, d.Float64(), 1}, -1, 1)
		ends := []condition{here("-1", 0, d.small("", 0)), here("1", 0, unity)}
		if d.chance(0.5) {
			return c.pose(d, one("y", none, unity, fn("erf", z)), []int{2}, []string{name.String() + " y'' + x y' = 0"},
				ends, rest, points...)
		}
		return c.pose(d, one("y", none, theX, over(erfs(1, z), fn("sqrt", over(unity, times(integer(2), name))))),
			[]int{2},
			[]string{name.String() + " y'' + x y' - y = 0"}, ends, rest, points...)
	}
	// eps y'' + y' = 0
	t := one("y", none, unity, fn("exp", negative(over(theX, name))))
	return c.pose(d, t, []int{2}, []string{name.String() + " y'' + y' = 0"}, []condition{here("0", 0, d.small("", 0)),
		here("1", 0, unity)}, rest,
		inside([]float64{0, e, 3 * e, 0.3, d.Float64(), 1}, 0, 1)...)
}
