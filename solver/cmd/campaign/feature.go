package main

import "math"

// A feature is a function of z that happens around z = 0, with its repeated integrals.
type feature struct {
	name string
	// write are ways to write it.
	write []func(z *formula) *formula
	// integral holds the first, second, … integral; as many as there are in closed form.
	integral []func(z *formula) *formula
	kinked   bool
	// sides says that it does not die away at both sides.
	sides bool
}

func square(z *formula) *formula { return power(z, 2) }

func rootPi() *formula { return fn("sqrt", fn("pi")) }

// erfs is the n-times integrated error function; −1 is its derivative.
func erfs(n int, z *formula) *formula {
	switch n {
	case -1:
		return over(times(integer(2), fn("exp", negative(square(z)))), rootPi())
	case 0:
		return fn("erf", z)
	}
	return &formula{op: "erfs", args: []*formula{z}, n: n}
}

// integratedErf is its value: I_n = (z I_(n−1) + I_(n−2)/2)/n (from the recurrence of the repeated integrals of erfc,
// M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 1964, 7.2.5), where I_(−1) is 2/√π e^(−z²).
func integratedErf(n int, z, erf num) num {
	before := div(double(exp(neg(mul(z, z)))), zero().Sqrt(pi))
	last := erf
	for k := 1; k <= n; k++ {
		before, last = last, div(add(mul(z, last), half(before)), whole(int64(k)))
	}
	return last
}

// absolute is the n-times integrated |z|: z^n |z|/(n+1)!.
func absolute(n int, z *formula) *formula {
	f := 1
	for k := 2; k <= n+1; k++ {
		f *= k
	}
	return over(times(power(z, n), fn("abs", z)), integer(f))
}

// shifted is z + k.
func shifted(z *formula, k int) *formula {
	if k < 0 {
		return minus(z, integer(-k))
	}
	return plus(z, integer(k))
}

// lncosh is the integral of tanh, in a form that a sheet could not use and the truth can.
func lncosh(z *formula) *formula { return fn("ln", fn("cosh", z)) }

func asinh(z *formula) *formula {
	return fn("ln", plus(z, fn("sqrt", plus(square(z), unity))))
}

// integrals returns the first n integrals, by a rule.
func integrals(n int, rule func(n int, z *formula) *formula) (out []func(z *formula) *formula) {
	for k := 1; k <= n; k++ {
		out = append(out, func(z *formula) *formula { return rule(k, z) })
	}
	return out
}

type shape = func(z *formula) *formula

func call(name string) shape { return func(z *formula) *formula { return fn(name, z) } }

var features = []feature{
	{name: "gauss", write: []shape{func(z *formula) *formula { return fn("exp", negative(square(z))) }},
		integral: integrals(5, func(n int, z *formula) *formula {
			return times(over(rootPi(), integer(2)), erfs(n-1,
				z))
		})},
	{name: "erf", write: []shape{call("erf")}, integral: integrals(4, erfs), sides: true},
	{name: "tanh", write: []shape{call("tanh"), func(z *formula) *formula {
		return minus(over(integer(2), plus(unity, fn("exp", negative(times(integer(2), z))))), unity)
	}}, integral: []shape{lncosh}, sides: true},
	{name: "sech2", write: []shape{
		func(z *formula) *formula { return square(fn("sech", z)) },
		func(z *formula) *formula { return minus(unity, square(fn("tanh", z))) },
		func(z *formula) *formula { return over(unity, square(fn("cosh", z))) },
	}, integral: []shape{call("tanh"), lncosh}},
	{name: "lorentz", write: []shape{func(z *formula) *formula { return over(unity, plus(unity, square(z))) }},
		integral: []shape{call("atan"), func(z *formula) *formula {
			return minus(times(z, fn("atan", z)), over(fn("ln", plus(unity, square(z))), integer(2)))
		}}},
	{name: "atan", write: []shape{call("atan")}, integral: []shape{func(z *formula) *formula {
		return minus(times(z, fn("atan", z)), over(fn("ln", plus(unity, square(z))), integer(2)))
	}}, sides: true},
	{name: "hyperbola", write: []shape{func(z *formula) *formula { return fn("sqrt", plus(square(z), unity)) }},
		integral: []shape{
			func(z *formula) *formula {
				return over(plus(times(z, fn("sqrt", plus(square(z), unity))), asinh(z)), integer(2))
			},
			func(z *formula) *formula {
				r := fn("sqrt", plus(square(z), unity))
				return sum(over(power(r, 3), integer(6)), over(times(z, asinh(z)), integer(2)),
					negative(over(r, integer(2))))
			}}, sides: true},
	{name: "abs", kinked: true, write: []shape{call("abs"), func(z *formula) *formula {
		return fn("max", z,
			negative(z))
	}},
		integral: integrals(4, absolute), sides: true},
	{name: "hat", kinked: true, write: []shape{
		func(z *formula) *formula { return fn("max", none, minus(unity, fn("abs", z))) },
		func(z *formula) *formula {
			return ifLess(fn("abs", z), unity, minus(unity, fn("abs", z)), none)
		}},
		integral: integrals(4, func(n int, z *formula) *formula {
			return over(sum(absolute(n, shifted(z, 1)), negative(times(integer(2), absolute(n, z))), absolute(n,
				shifted(z, -1))), integer(2))
		})},
	{name: "clamp", kinked: true, write: []shape{func(z *formula) *formula {
		return fn("min", unity, fn("max",
			integer(-1), z))
	}},
		integral: integrals(4, func(n int, z *formula) *formula {
			return over(minus(absolute(n, shifted(z, 1)), absolute(n, shifted(z, -1))), integer(2))
		}), sides: true},
	{name: "box", kinked: true, write: []shape{func(z *formula) *formula {
		return ifLess(fn("abs", z), unity, unity,
			none)
	}},
		integral: integrals(4, func(n int, z *formula) *formula {
			return over(minus(absolute(n-1, shifted(z, 1)), absolute(n-1, shifted(z, -1))), integer(2))
		})},
	{name: "step", kinked: true, write: []shape{func(z *formula) *formula {
		return ifLess(z, none, integer(-1),
			unity)
	}},
		integral: integrals(4, func(n int, z *formula) *formula { return absolute(n-1, z) }), sides: true},
	{name: "cusp", kinked: true, write: []shape{func(z *formula) *formula { return fn("exp", negative(fn("abs", z))) }},
		integral: []shape{
			func(z *formula) *formula {
				return times(fn("sign", z), minus(unity, fn("exp", negative(fn("abs", z)))))
			},
			func(z *formula) *formula { return plus(fn("abs", z), fn("exp", negative(fn("abs", z)))) },
		}},
}

// narrow is a narrow feature drawn at random: z as it stands in the sheet, its width and place.
type narrow struct {
	feature
	z, f        *formula
	place, wide float64
	rest        []string // constants that the sheet declares
	slope       *formula // dz/dx, free of x
}

// narrow draws a feature with at least so many integrals, of relative width 10^-1 to 10^-5, anywhere in [a, b].
func (d *draw) narrow(a, b float64, integrals int, kinked bool) *narrow {
	var n narrow
	for {
		n.feature = pick(d, features...)
		if len(n.integral) >= integrals && n.kinked == kinked {
			break
		}
	}
	at := a + (b-a)*(0.03+0.94*d.Float64())
	w := (b - a) * pow(1e-1, 1e-5, d.Float64())
	c, digits := written(rounded(at, 4)), 1+d.IntN(3)
	n.place = parsed(c)
	mid := number(c)
	if d.chance(0.3) {
		mid = named("c", c)
		n.rest = append(n.rest, "c = "+c)
	}
	away := minus(theX, mid)
	if d.chance(0.5) {
		s := written(rounded(w, digits))
		n.wide = parsed(s)
		width := number(s)
		if d.chance(0.3) {
			width = named("w", s)
			n.rest = append(n.rest, "w = "+s)
		}
		n.z, n.slope = over(away, width), over(unity, width)
	} else {
		s := written(rounded(1/w, digits+1))
		n.wide = 1 / parsed(s)
		n.z, n.slope = times(number(s), away), number(s)
	}
	n.f = pick(d, n.write...)(n.z)
	return &n
}

// plain is the feature in a writing whose derivatives a computer can evaluate: no quotients of what overflows.
func (n *narrow) plain() *formula { return n.write[0](n.z) }

// integrated is the k-th integral by x of the feature.
func (n *narrow) integrated(k int) *formula {
	return over(n.integral[k-1](n.z), power(n.slope, k))
}

// rounding is what a change of x by its last digit does to the argument, relative to the width of the feature, and some
// more.
func (n *narrow) rounding() float64 { return 4e-15 * (1 + math.Abs(n.place)/n.wide) }

// kinks are the points that the case must not ask a highest derivative of.
func (n *narrow) kinks() []float64 {
	if n.kinked {
		return []float64{n.place}
	}
	return nil
}

// points are where something happens, and a few elsewhere.
func (n *narrow) points(d *draw, a, b float64) []float64 {
	out := []float64{a, b, n.place}
	for _, k := range []float64{-8, -1.5, 0.7, 4} {
		out = append(out, n.place+k*n.wide)
	}
	for range 4 {
		out = append(out, a+(b-a)*d.Float64())
	}
	return inside(out, a, b)
}

// inside leaves out what lies outside [a, b].
func inside(points []float64, a, b float64) (out []float64) {
	for _, x := range points {
		if x >= a && x <= b {
			out = append(out, x)
		}
	}
	return out
}
