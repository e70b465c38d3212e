package plot

import (
	"math"
	"strconv"
	"strings"

	"nodespan/expr/words"
)

// Describe says in a few plain sentences what the visible part of the figure shows, for those who do not see it: for
// each series its values at the ends, its extremes and where it crosses zero; the number of nodes; the largest
// residual. Numbers have up to four significant digits.
func Describe(fig *Figure, v View) string {
	var out []string
	variable := plain(symbol(fig.Variable))
	where := variable + " from " + place(v.X0, v, 4) + " to " + place(v.X1, v, 4)
	if fig.Unit != "" {
		where += " " + fig.Unit
	}
	if len(fig.Series) == 0 {
		return "Axes without a curve, " + where + "."
	}
	for i, s := range fig.Series {
		text := plain(labelled(s.Name, s.Unit))
		if i == 0 {
			text += " against " + where
		}
		out = append(out, text+": "+course(s, v, variable)+".")
	}
	if n := len(nodesIn(fig, v)); n > 0 {
		out = append(out, words.Count(n, "node")+" shown.")
	}
	if r := fig.Residual; r != nil {
		most, at := 0.0, math.NaN()
		from, to := between(r.Line.X, v.X0, v.X1)
		for i := from; i < to; i++ {
			if y := r.Line.Y[i]; finite(y) && y > most {
				most, at = y, r.Line.X[i]
			}
		}
		name := r.Name
		if name == "" {
			name = "residual"
		}
		if most > 0 {
			out = append(out, "The "+name+" is at most "+rounded(most, 2)+", near "+variable+" = "+place(at, v, 3)+".")
		} else {
			out = append(out, "The "+name+" is zero to rounding.")
		}
	}
	return strings.Join(out, " ")
}

func nodesIn(fig *Figure, v View) []float64 {
	for _, s := range fig.Series {
		if len(s.Nodes.X) > 0 {
			from, to := between(s.Nodes.X, v.X0, v.X1)
			return s.Nodes.X[from:to]
		}
	}
	return nil
}

// course describes one curve.
func course(s Series, v View, variable string) string {
	// The visible points: ends of the view by interpolation, nodes where the curve has no line.
	c := s.Line
	if len(c.X) == 0 {
		c = s.Nodes
	}
	var xs, ys []float64
	gaps := false
	add := func(x, y float64) {
		if finite(y) {
			xs, ys = append(xs, x), append(ys, y)
		} else if len(c.X) > 0 && x >= c.X[0] && x <= c.X[len(c.X)-1] {
			gaps = true
		}
	}
	add(v.X0, interpolate(c, v.X0))
	from, to := between(c.X, v.X0, v.X1)
	for i := from; i < to; i++ {
		if c.X[i] > v.X0 && c.X[i] < v.X1 {
			add(c.X[i], c.Y[i])
		}
	}
	add(v.X1, interpolate(c, v.X1))
	if len(xs) == 0 {
		return "nothing to show here"
	}
	lo, hi := extreme(ys, -1), extreme(ys, 1)
	last := len(ys) - 1
	largest := math.Max(math.Abs(ys[lo]), math.Abs(ys[hi]))
	var text string
	switch span := ys[hi] - ys[lo]; {
	case largest == 0:
		return "zero throughout"
	case span <= 1e-11*largest:
		return "constant at " + spoken(ys[0])
	default:
		// Values nearer than a thousandth of the range to an end value are not told apart from it.
		near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-3*span }
		// A zero that rounding has spoilt is a zero.
		say := func(y float64) string {
			if math.Abs(y) < 1e-12*largest {
				return "0"
			}
			return spoken(y)
		}
		verb := " and ends at "
		switch {
		case near(ys[hi], ys[last]) && near(ys[lo], ys[0]):
			verb = " and rises to "
		case near(ys[lo], ys[last]) && near(ys[hi], ys[0]):
			verb = " and falls to "
		}
		var parts []string
		for _, e := range []struct {
			at   int
			word string
		}{{hi, "largest"}, {lo, "smallest"}} {
			if !near(ys[e.at], ys[0]) && !near(ys[e.at], ys[last]) {
				x, y := vertex(xs, ys, e.at)
				parts = append(parts, "has its "+e.word+" value "+say(y)+" at "+variable+" = "+place(x, v, 3))
			}
		}
		text = "starts at " + say(ys[0])
		if len(parts) > 0 {
			text += ", " + strings.Join(parts, ", ")
		}
		text += verb + say(ys[last])
		text += crossings(xs, ys, 1e-9*span, v, variable)
	}
	if gaps {
		text += "; it has gaps where it is not a number"
	}
	return text
}

// extreme returns the index of the first largest value, or smallest for sign -1; values within a thousandth of the
// range of it count as equal to it, of which the first hump decides.
func extreme(ys []float64, sign float64) int {
	e := nothing()
	for _, y := range ys {
		e.add(sign * y)
	}
	enough := e.hi - 1e-3*(e.hi-e.lo)
	for i, y := range ys {
		if sign*y >= enough {
			for i+1 < len(ys) && sign*ys[i+1] > sign*ys[i] {
				i++
			}
			return i
		}
	}
	return 0
}

// vertex returns the vertex of the parabola through the point i, an extreme, and its neighbours: nearer to the curve's
// than the drawn points, which need not hit it.
func vertex(xs, ys []float64, i int) (x, y float64) {
	if i == 0 || i == len(xs)-1 {
		return xs[i], ys[i]
	}
	// With u the distance from x_i: y = y_i + b u + c u².
	u0, u1 := xs[i-1]-xs[i], xs[i+1]-xs[i]
	s0, s1 := (ys[i-1]-ys[i])/u0, (ys[i+1]-ys[i])/u1
	c := (s1 - s0) / (u1 - u0)
	b := s0 - c*u0
	u := -b / (2 * c)
	if y = ys[i] + b*u/2; !(u0 <= u && u <= u1) || !finite(y) { // too large to reckon with, or flat
		return xs[i], ys[i]
	}
	return xs[i] + u, y
}

// crossings says where the curve changes sign; values within slack of zero have no sign.
func crossings(xs, ys []float64, slack float64, v View, variable string) string {
	var at []float64
	last := -1 // the last point with a sign
	for i, y := range ys {
		if math.Abs(y) <= slack {
			continue
		}
		if last >= 0 && (y > 0) != (ys[last] > 0) {
			if i == last+1 {
				at = append(at, xs[last]+(xs[i]-xs[last])/(1-y/ys[last]))
			} else { // through points that are zero
				at = append(at, (xs[last+1]+xs[i-1])/2)
			}
		}
		last = i
	}
	switch len(at) {
	case 0:
		return ""
	case 1, 2, 3:
		var s []string
		for _, x := range at {
			s = append(s, place(x, v, 3))
		}
		list := strings.Join(s[:len(s)-1], ", ")
		if list != "" {
			list += " and "
		}
		return "; it crosses zero at " + variable + " = " + list + s[len(s)-1]
	}
	return "; it crosses zero " + words.Count(len(at), "time")
}

// place writes a value of the variable with so many digits, more where the view is so narrow that it takes more to find
// it in there. What is less than the last of them tells apart is 0.
func place(x float64, v View, digits int) string {
	if math.Abs(x) < math.Pow(10, float64(-digits))*(v.X1-v.X0)/2 {
		return "0"
	}
	largest := math.Max(math.Abs(v.X0), math.Abs(v.X1))
	return rounded(x, min(max(digits, exponent10(largest)-exponent10(v.X1-v.X0)+digits-1), 15))
}

//go:noinline
func spoken(v float64) string { return rounded(v, 4) }

// rounded writes v with at most so many significant digits, large and small ones with a power of ten.
func rounded(v float64, digits int) string {
	if v == 0 {
		return "0"
	}
	e := exponent10(v)
	if e >= -3 && e < 6 {
		s := strconv.FormatFloat(v, 'f', max(digits-1-e, 0), 64)
		if strings.Contains(s, ".") {
			s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
		}
		return minus(s)
	}
	s := strconv.FormatFloat(v, 'e', digits-1, 64)
	m, power, _ := strings.Cut(s, "e")
	if strings.Contains(m, ".") {
		m = strings.TrimRight(strings.TrimRight(m, "0"), ".")
	}
	p, err := strconv.Atoi(power)
	if err != nil {
		return s
	}
	return minus(m) + "\u202f×\u202f10" + words.Raised(strconv.Itoa(p))
}
