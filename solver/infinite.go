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
			s.curve = &continued{s.curve, a.Far}
		}
		return
	}
	if o.Method == Differences {
		infiniteDifferences(s, p, o)
		return
	}
	a := unbounded.Solve(p, o.adapt(), func(p *Problem, ao adapt.Options) (*adapt.Answer, bool) { return collocate(p, o.Method, ao) })
	s.record(a.Problem, o, a.Answer, a.One)
	if !s.Usable() {
		return
	}
	s.curve = &continued{s.curve, a.Far}
	if a.Failed {
		s.Status, s.Message = Failed, a.Reason
	} else if s.Status == Solved {
		s.Message += "; " + a.Where(p)
	}
}

// continued is a curve that goes on beyond its last points as a problem on an unbounded interval says.
type continued struct {
	curve
	far *unbounded.Far
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
