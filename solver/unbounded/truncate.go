package unbounded

import (
	"math"

	"nodespan/solver/bvp"
)

// Truncate returns the problem on [a, b], with the conditions at infinity moved to the ends. A finite end of p stays.
func Truncate(p *bvp.Problem, a, b float64) *bvp.Problem {
	out := *p
	out.A, out.B = a, b
	out.Conditions = make([]bvp.Condition, len(p.Conditions))
	for i, c := range p.Conditions {
		c.At = append([]bvp.PointValue(nil), c.At...)
		for j := range c.At {
			switch {
			case math.IsInf(c.At[j].X, 1):
				c.At[j].X = b
			case math.IsInf(c.At[j].X, -1):
				c.At[j].X = a
			}
		}
		out.Conditions[i] = c
	}
	if with := p.With; with != nil {
		out.With = func(values []float64) *bvp.Problem {
			q := with(values)
			if q == nil {
				return nil
			}
			return Truncate(q, a, b)
		}
	}
	return &out
}

// ends returns the ends of the truncation of length x.
func ends(p *bvp.Problem, x float64) (a, b float64) {
	switch {
	case !math.IsInf(p.A, 0):
		return p.A, p.A + x
	case !math.IsInf(p.B, 0):
		return p.B - x, p.B
	}
	c := middle(p)
	return c - x, c + x
}

// middle is where a problem on the whole line is centred: amid its finite points, or at 0.
//
//go:noinline
func middle(p *bvp.Problem) float64 {
	lo, hi := finitePoints(p)
	if lo > hi {
		return 0
	}
	return (lo + hi) / 2
}

// finitePoints returns the range of the finite points that a problem names; lo > hi when there are none.
func finitePoints(p *bvp.Problem) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	add := func(x float64) {
		if !math.IsInf(x, 0) {
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
	}
	add(p.A)
	add(p.B)
	for _, b := range p.Breaks {
		add(b)
	}
	for _, c := range p.Conditions {
		for _, v := range c.At {
			add(v.X)
		}
	}
	return lo, hi
}

// balance is the shortest length at which the terms of an equation balance, whose derivatives are given; +Inf where
// they do not say.
func balance(p *bvp.Problem, df []float64) float64 {
	shortest := math.Inf(1)
	for i, u := range p.Unknowns {
		row := df[p.JetOffset(i):]
		top := math.Abs(row[u.Order])
		for d := range u.Order {
			if c := math.Abs(row[d]); c > 0 && top > 0 {
				if l := math.Pow(top/c, 1/float64(u.Order-d)); l < shortest {
					shortest = l
				}
			}
		}
	}
	return shortest
}

// lengthScale is the shortest length at which the terms of an equation balance, (c_m / c_d)^(1/(m−d)) for the
// coefficients c of y^(m) and y^(d), seen near the finite end at a few jets; 1 when the equations do not say.
func lengthScale(p *bvp.Problem) float64 {
	base := p.A
	direction := 1.0
	switch {
	case math.IsInf(p.A, 0) && math.IsInf(p.B, 0):
		base = middle(p)
	case math.IsInf(p.A, 0):
		base, direction = p.B, -1
	}
	jet, n := p.Jet(), len(p.Unknowns)
	all := jet + len(p.Parameters)
	in, f, df := make([]float64, all), make([]float64, n), make([]float64, n*all)
	for i, q := range p.Parameters {
		in[jet+i] = 1
		if q.HasGuess {
			in[jet+i] = q.Guess
		}
	}
	shortest := math.Inf(1)
	for _, x := range []float64{0.07, 0.31, 1.13, 3.1} {
		for _, level := range []float64{0, 1} {
			at := base + direction*x
			clear(in[:jet])
			if p.Guess != nil {
				p.Guess(at, in[:jet])
			} else {
				for i := range p.Unknowns {
					in[p.JetOffset(i)] = level
				}
			}
			p.Equations(at, in, f, df)
			for r := range n {
				shortest = math.Min(shortest, balance(p, df[r*all:(r+1)*all]))
			}
		}
	}
	if math.IsInf(shortest, 0) || math.IsNaN(shortest) || shortest == 0 {
		return 1
	}
	return math.Min(math.Max(shortest, 1e-9), 1e9)
}

// startLength is the first length tried: a few of the problem's own lengths, and at least well beyond every point that
// it names.
func startLength(p *bvp.Problem, lengths float64) float64 {
	x := lengths * lengthScale(p)
	lo, hi := finitePoints(p)
	if lo > hi {
		return x
	}
	reach := hi - lo
	if math.IsInf(p.A, 0) && math.IsInf(p.B, 0) {
		reach /= 2
	}
	return math.Max(x, 1.5*reach)
}
