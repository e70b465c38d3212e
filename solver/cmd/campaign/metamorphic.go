package main

import (
	"fmt"
	"math"

	"nodespan/expr/sheet"
	"nodespan/solver"
)

// A twin is the same problem written another way. Nothing is known of either but that they agree: ask i of the case is
// factor[i] times ask i of the twin, plus shift[i].
type twin struct {
	*Case
	factor, shift []float64
}

// takeTruth solves the twin and takes its answers for the truth, with its claims as what the truth may be off by.
func (c *Case) takeTruth() (fault string) {
	t := c.twin
	sh, err := sheet.Read(t.Sheet, sheet.Options{})
	if err != nil {
		return err.Error() + " in its twin\n" + t.Sheet
	}
	s := solver.MustSolve(sh.Problem(), t.Options)
	if s.Status != solver.Solved {
		c.Must = false
	}
	if !s.Usable() {
		c.Asks = nil
		return ""
	}
	for i := range c.Asks {
		got, claimed, ok := lookUp(s, nil, t.Asks[i])
		if !ok {
			return t.Asks[i].What + " is not there in its twin"
		}
		a := &c.Asks[i]
		a.Want = t.factor[i]*got + t.shift[i]
		a.slack = math.Abs(t.factor[i])*claimed + 4*ulp*(math.Abs(t.factor[i]*got)+math.Abs(t.shift[i]))
	}
	return ""
}

// rewritten: a problem without a closed form, and the same with x → r + s t, y → g z + h, its order split into a
// system, and its letters changed.
func rewritten(d *draw) *Case {
	c := &Case{}
	d.method(c, false, false)
	c.limited(1e-11)
	as, bs := "0", pick(d, "1", "2", "4")
	a, b := 0.0, parsed(bs)
	p, q, f := d.smooth(a, b), square(d.smooth(a, b)), plus(d.smooth(a, b), unity)
	var rest []string
	if d.chance(0.4) {
		n := d.narrow(a, b, 1, false)
		for n.name == "hyperbola" || n.name == "atan" {
			n = d.narrow(a, b, 1, false)
		}
		f = plus(f, times(number(d.between(1, 9, 1)), n.f))
		rest = n.rest
	}
	cubic := pick(d, "0", "0", "1", "0.3")
	left, right := d.small("", 0), d.small("", 0)
	c.Sheet = d.sheet(append(rest, fmt.Sprintf("y'' = %s y' + %s y + %s y^3 + %s", p.print(tight), q.print(tight),
		cubic, f.print(product)),
		"y("+as+") = "+left.String(), "y("+bs+") = "+right.String())...)

	// x = r + s t, y = g z + h
	s, r := pick(d, 0.5, 2, 4, -1, -2, 10), rounded(d.Float64()*3, 2)
	g, h := pick(d, 1, 2, 0.25, -1, 1000, 1e-3), pick(d, 0, 1, -0.5)
	if d.chance(0.3) {
		s, r = 1, 0
	}
	x := plus(given(r), times(given(s), named("t", "0")))
	u := plus(times(given(g), named("z", "0")), given(h))
	if h == 0 && g == 1 {
		u = named("z", "0")
	}
	back := func(x float64) float64 { return rounded((x-r)/s, 13) }
	put := func(f *formula) string { return f.put(x).print(tight) }
	value := func(v *formula) string { return "(" + v.String() + " - (" + written(h) + "))/(" + written(g) + ")" }
	// z'' = s p z' + s^2/g (q u + cubic u^3 + f)
	source := fmt.Sprintf("(%s)^2/(%s)*(%s*(%s) + %s*(%s)^3 + %s)", written(s), written(g), put(q), u, cubic, u, put(f))
	slope, lines := "z'", []string{}
	if d.chance(0.5) {
		slope, lines = "v", []string{"z' = v"}
	}
	lines = append(lines, slope+"' = ("+written(s)+")*"+put(p)+"*"+slope+" + "+source)
	lines = append(lines, rest...)
	lines = append(lines, fmt.Sprintf("z(%s) = %s", written(back(a)), value(left)), fmt.Sprintf("z(%s) = %s",
		written(back(b)), value(right)))
	other := &Case{Sheet: d.sheet(lines...)}
	d.method(other, false, false)
	if other.Options.Method == solver.Differences {
		c.Must = false
	}
	c.twin = &twin{Case: other}
	for _, place := range []float64{a, b / 4, rounded(b*d.Float64(), 3), b / 2, b} {
		for order := range 2 {
			c.Asks = append(c.Asks, at("y", order, place, 0))
			name, k := "z", order
			if order == 1 && slope == "v" {
				name, k = "v", 0
			}
			other.Asks = append(other.Asks, at(name, k, back(place), 0))
			factor, shift := g, h
			if order == 1 {
				factor, shift = g/s, 0
			}
			c.twin.factor, c.twin.shift = append(c.twin.factor, factor), append(c.twin.shift, shift)
		}
	}
	return c
}
