package main

import (
	"math"
	"strings"

	"nodespan/solver"
)

// report adds a report line to a case, and asks for its value.
func (c *Case) report(d *draw, formula string, want num) {
	name := string(rune('m' + len(c.Asks)))
	c.Sheet += pick(d, "\n", "; ") + "report " + name + " = " + formula
	c.Asks = append(c.Asks, Ask{What: "report " + name, Want: float(want)})
}

// derivedMethod draws a method for reports: they have no tolerance of their own.
func (d *draw) derivedMethod(c *Case) {
	d.method(c, false, false)
	if c.Options.Method == solver.Differences {
		c.Must = false
	}
}

// waves: y = A sin(w (x − s)) on an interval whose ends may be zeros themselves.
func waves(d *draw) *Case {
	c := &Case{}
	d.derivedMethod(c)
	w := d.between(1.5, 30, 2)
	halves := math.Floor(parsed(w) / math.Pi)
	c.limited(1e-11)
	b := "1"
	k := number(w)
	z := times(k, theX)
	u := over(fn("sin", z), fn("sin", k)) // y(0) = 0, y(1) = 1
	if math.Abs(math.Sin(parsed(w))) < 0.05 {
		return waves(d)
	}
	c.limited(1e-13 / math.Abs(math.Sin(parsed(w))))
	c.Sheet = "y'' = -" + w + "^2 y; y(0) = 0; y(" + b + ") = 1"
	size := div(whole(1), abs(fn("sin", k).at(nil)))
	quarter := func(n int64) num { return div(mul(whole(n), pi), mul(whole(2), decimal(w))) }
	switch d.IntN(7) {
	case 0: // zeros inside: the end x = 0 is a zero and no change of sign
		n := 1 + d.IntN(max(1, int(halves)))
		if halves < 1 {
			return waves(d)
		}
		formula := "zero(y)"
		if n > 1 || d.chance(0.5) {
			formula = "zero(y, " + integer(n).text + ")"
		}
		c.report(d, formula, quarter(int64(2*n)))
	case 1: // |sin| over full half waves and a part
		left := sub(decimal(w), mul(of(halves), pi))
		_, cosine := sincos(left)
		c.report(d, "integral(abs(y))", mul(size, div(add(of(2*halves), sub(whole(1), cosine)), decimal(w))))
	case 2: // sin^2
		s2, _ := sincos(double(decimal(w)))
		c.report(d, pick(d, "integral(y^2)", "mean(y^2)"), mul(mul(size, size),
			sub(of(0.5), div(s2, mul(whole(4), decimal(w))))))
	case 3: // the largest of a part: the jump's left side
		cutAt := d.between(0.1, 0.9, 3)
		c.report(d, "largest(if(x < "+cutAt+", y, 0))", extreme(u, zero(), decimal(cutAt), w, 1))
	case 4:
		cutAt := d.between(0.1, 0.9, 3)
		c.report(d, "smallest(if(x > "+cutAt+", y, 0))", extreme(u, decimal(cutAt), whole(1), w, -1))
	case 5:
		c.report(d, "largest(abs(y))", largestOf(extreme(u, zero(), whole(1), w, 1),
			neg(extreme(u, zero(), whole(1), w, -1))))
	default:
		cutAt := d.between(0.1, 0.9, 3)
		formula := "integral(if(x < " + cutAt + ", y, 0))"
		if d.chance(0.5) {
			formula = "integral(y, 0, " + cutAt + ")"
		}
		_, cosine := sincos(mul(decimal(w), decimal(cutAt)))
		whole1 := div(sub(whole(1), cosine), mul(decimal(w), fn("sin", k).at(nil)))
		c.report(d, formula, whole1)
	}
	return c
}

func largestOf(a, b num) num {
	if a.Cmp(b) > 0 {
		return a
	}
	return b
}

// extreme is the largest (sign 1) or the smallest (−1) value of u = sin(w x)/sin w on [a, b], but at least (at most) 0,
// which u has at x = 0, or beside the part of a report.
func extreme(u *formula, a, b num, w string, sign int) num {
	best := zero()
	try := func(x num) {
		v := u.at(x)
		if v.Cmp(best) == sign {
			best = v
		}
	}
	try(a)
	try(b)
	for k := int64(1); ; k += 2 {
		x := div(mul(whole(k), pi), mul(whole(2), decimal(w)))
		if x.Cmp(b) > 0 {
			return best
		}
		if x.Cmp(a) > 0 {
			try(x)
		}
	}
}

// narrowReports: integrals of a narrow function times a straight solution.
func narrowReports(d *draw) *Case {
	as, bs := d.interval()
	a, b := parsed(as), parsed(bs)
	n := d.narrow(a, b, 2, d.chance(0.3))
	c := &Case{}
	d.derivedMethod(c)
	p, q := number(pick(d, "1", "2", "0.5")), number(pick(d, "1", "-1", "3"))
	// y from p at a to q at b
	slope := over(minus(q, p), minus(number(bs), number(as)))
	y := plus(p, times(slope, minus(theX, number(as))))
	// ∫ y f = y F1 − y' F2
	whole := minus(times(y, n.integrated(1)), times(slope, n.integrated(2)))
	total := sub(whole.at(decimal(bs)), whole.at(decimal(as)))
	c.Sheet = d.sheet(append([]string{"y'' = 0", "y(" + as + ") = " + p.String(), "y(" + bs + ") = " + q.String()},
		n.rest...)...)
	formula := "integral(" + n.f.print(product) + "*y)"
	if d.chance(0.3) {
		formula, total = "mean("+n.f.print(product)+"*y)", div(total, sub(decimal(bs), decimal(as)))
	}
	c.report(d, formula, total)
	return c
}

// narrowLargest: the largest value of a narrow solution, and where it is.
func narrowLargest(d *draw) *Case {
	as, bs := d.interval()
	a, b := parsed(as), parsed(bs)
	n := d.narrow(a, b, 2, false)
	for n.name != "gauss" && n.name != "sech2" && n.name != "lorentz" {
		n = d.narrow(a, b, 2, false)
	}
	c := &Case{}
	d.derivedMethod(c)
	c.limited(n.rounding())
	height := number(d.between(0.5, 3, 2))
	// y' = height f' with y at the left end as the formula has it: y = height f
	u := times(height, n.plain())
	c.pose(d, one("y", u), []int{1}, []string{"y' = " + u.derivative(1).String()},
		[]condition{here(as, 0, u.put(number(as)))}, append(n.rest, domain(as, bs)), a, n.place, b)
	c.Asks = nil
	for range 4 { // so that the largest error, or nearly so, is met
		c.peak(d, n, u, a, b)
	}
	return c
}

// peak asks for the largest value of a bump u about a narrow feature, or for its place; mostly beside the middle, which
// is a mesh point: of u less a straight line, where u bends downwards.
func (c *Case) peak(d *draw, n *narrow, u *formula, a, b float64) {
	form, value, at := "largest(y)", u.at(decimal(written(n.place))), n.place
	if d.chance(0.75) {
		at = n.place + n.wide*(d.Float64()-0.5)
		here := number(written(at))
		l, r := written(math.Max(a, n.place-n.wide/2)), written(math.Min(b, n.place+n.wide/2))
		form = "largest(y - (" + u.derivative(1).put(here).String() + ")*(x - (" + here.String() + ")), " + l + ", " +
			r + ")"
		value = u.at(decimal(written(at)))
	}
	if d.chance(0.7) {
		c.report(d, form, value)
	} else {
		c.report(d, strings.Replace(form, "largest", "largest_at", 1), decimal(written(at)))
	}
}
