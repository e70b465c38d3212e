package solver

import (
	"math"

	"nodespan/solver/adapt"
	"nodespan/solver/unbounded"
)

// infinite solves a problem on an unbounded interval.
func infinite(s *Solution, p *Problem, o Options) {
	if len(p.Conditions) < p.State()+len(p.Parameters) {
		a := unbounded.Eigen(p, o.eigen())
		s.eigen(p, a.Answer, o.Mode)
		if s.Usable() {
			s.curve = &continued{s.curve, a.Far, nil}
		}
		return
	}
	if o.Method == Differences {
		infiniteDifferences(s, p, o)
		return
	}
	find, other := by(o.Method), unbounded.Method(nil)
	if o.Method == One { // which is dear where the interval is far too long for it
		find, other = by(Auto), by(One)
	}
	a := unbounded.Solve(p, o.adapt(), find, other)
	s.record(a.Problem, o, a.Answer, a.One)
	if !s.Usable() {
		return
	}
	s.curve = &continued{s.curve, a.Far, a}
	if a.Failed {
		s.Status, s.Message = Failed, a.Reason
	} else if s.Status == Solved {
		s.Message += "; " + a.Where(p)
	}
}

// by is collocation by a method.
func by(m Method) unbounded.Method {
	return func(p *Problem, o adapt.Options) (*adapt.Answer, bool) { return collocate(p, m, o) }
}

// continued is a curve that goes on beyond its last points as a problem on an unbounded interval says.
type continued struct {
	curve
	far *unbounded.Far
	// a is the answer, where a longer one judged it; else nil.
	a *unbounded.Answer
}

func (c *continued) at(x float64, jet []float64) {
	in := math.Min(math.Max(x, c.far.A), c.far.B)
	c.curve.at(in, jet)
	if x != in {
		c.far.Extend(x-in, jet)
	}
}

// errorAt adds, beyond the last points, what the continuation may be wrong by.
func (c *continued) errorAt(x float64, err []float64) {
	in := math.Min(math.Max(x, c.far.A), c.far.B)
	c.curve.errorAt(in, err)
	if x != in {
		c.far.Grow(x-in, err)
	}
}

// finer takes the finer solution on the longer interval for the judge, and beyond the last points the estimate of that
// one. Where that ends too, the continuation is all there is.
func (c *continued) finer(k int, x float64, jet, rest []float64) bool {
	in, ok := c.curve.(*collocated)
	if !ok || !in.a.Met || c.a == nil || c.a.Longer == nil {
		return false
	}
	long := c.a.Longer
	if long.Fine == nil || in.a.Estimate.Besides == nil || long.Estimate.Besides == nil ||
		k > 0 && in.a.Estimate.Response == nil {
		return false
	}
	switch {
	case c.far.A <= x && x <= c.far.B:
		if k > 0 {
			return in.finer(k, x, jet, rest)
		}
		in.a.Estimate.Rest(x, rest)
	case long.Far.A <= x && x <= long.Far.B:
		long.Estimate.Rest(x, rest)
	default:
		c.at(x, jet)
		c.errorAt(x, rest)
		return true
	}
	if k > 0 {
		c.at(x, jet)
	} else {
		long.Fine.At(x, jet)
	}
	return true
}

func (c *continued) left() float64 {
	if c.a == nil {
		return math.NaN()
	}
	return c.a.Left
}
