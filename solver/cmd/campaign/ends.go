package main

import (
	"math"

	"nodespan/solver"
)

// steep: bounded solutions whose slope at an end is infinite.
func steep(d *draw) *Case {
	c := &Case{}
	d.method(c, false, false)
	c.Options.Tol = d.tolerance(1e-3, 1e-8)
	if c.Options.Method == solver.Differences {
		c.Must = false
	}
	points := []float64{0, 1e-6, 0.001, 0.02, 0.25, d.Float64(), 1}
	p := d.between(0.2, 0.95, 2)
	root := fn("sqrt", theX)
	ends := func(left, right *formula) []condition {
		return []condition{here("0", 0, left), here("1", 0, right)}
	}
	pose := func(t *truth, eq string, conditions []condition) *Case {
		c.kinks, c.steep = []float64{0}, []float64{0, 1e-6}
		return c.pose(d, t, []int{2}, []string{eq}, conditions, []string{"0 < x < 1"}, points...)
	}
	switch d.IntN(7) {
	case 0: // a power as a source
		u := lift(theX, p)
		return pose(one("y", u, unity, theX), "y'' = "+u.derivative(2).String(), ends(d.small("", 0), d.small("", 0)))
	case 1: // x ln x
		u := times(theX, fn("ln", theX))
		u2 := ifLess(none, theX, u, none)
		return pose(one("y", u2, unity, theX), pick(d, "x y'' = 1", "y'' = 1/x"), ends(none, d.small("", 0)))
	case 2: // sinh and cosh of the root
		z := times(integer(2), root)
		return pose(one("y", none, fn("sinh", z), fn("cosh", z)), "x y'' + y'/2 - y = 0", ends(d.small("", 0), unity))
	case 3: // Euler's equation: roots p and -q
		q := d.between(0.2, 2, 2)
		a := "(1 - " + p + " + " + q + ")"
		return pose(one("y", lift(theX, p)), "x^2 y'' + "+a+" x y' - "+p+"*"+q+" y = 0", ends(none, unity))
	case 4: // Bessel of order 1/2: sin x/sqrt(x)
		u := ifLess(none, theX, over(over(fn("sin", theX), root), fn("sin", unity)), none)
		return pose(one("y", u), "x^2 y'' + x y' + (x^2 - 1/4) y = 0", ends(none, unity))
	case 5: // modified Bessel of order 1/2
		u := ifLess(none, theX, over(over(fn("sinh", theX), root), fn("sinh", unity)), none)
		return pose(one("y", u), "x^2 y'' + x y' - (x^2 + 1/4) y = 0", ends(none, unity))
	}
	// a flux that the mean of two powers carries: (sqrt(x) T')' = 0
	return pose(one("T", none, unity, root), "(sqrt(x) T')' = 0", ends(d.small("", 0), unity))
}

// regular: coefficients that vanish at an end where the solution is regular: cylinders and spheres.
func regular(d *draw) *Case {
	c := &Case{}
	d.method(c, true, false)
	if c.Options.Method == solver.Differences {
		c.Must = false
	}
	k := number(d.spread(0.3, 20, 2))
	z := times(k, theX)
	c.limited(1e-14 * math.Exp(0))
	quotient := func(name string) *formula {
		return ifLess(none, theX, over(over(fn(name, z), theX), fn(name, k)), over(k, fn(name, k)))
	}
	pose := func(t *truth, eq string, conditions ...condition) *Case {
		c.pose(d, t, []int{2}, []string{eq}, conditions, []string{"0 < x < 1"}, 0.01, 0.1, 0.35, d.Float64(), 1)
		return c
	}
	symmetric, end := here("0", 1, none), here("1", 0, unity)
	switch d.IntN(4) {
	case 0: // a sphere with a reaction
		return pose(one("y", quotient("sinh")), "y'' + 2 y'/x = "+k.String()+"^2 y", symmetric, end)
	case 1:
		return pose(one("y", quotient("sinh")), "(x^2 y')' = "+k.String()+"^2 x^2 y", symmetric, end)
	case 2: // heat in a rod
		u := plus(unity, over(times(k, minus(unity, square(theX))), integer(4)))
		return pose(one("y", u), "(x y')' = -"+k.String()+" x", symmetric, end)
	}
	u := plus(unity, over(times(k, minus(unity, power(theX, 4))), integer(16)))
	return pose(one("y", u), "y'' + y'/x = -"+k.String()+" x^2", symmetric, end)
}
