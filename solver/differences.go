package solver

import (
	"fmt"
	"math"

	"nodespan/solver/adapt"
	"nodespan/solver/budget"
	"nodespan/solver/differences"
	"nodespan/solver/newton"
	"nodespan/solver/unbounded"
)

// shownPoints bounds the node table of a mesh that the solver chose: nobody reads ten thousand rows.
const shownPoints = 129

// solveDifferences fills the solution in. share is the part of the tolerance that the differences may use up.
func solveDifferences(s *Solution, p *Problem, o Options, share float64) {
	guide := func() *differences.Start {
		a, _ := adapt.Auto(p, adapt.Options{Tol: math.Max(o.Tol, 1e-4), Context: o.Context, Progress: o.Progress})
		if a.Curve == nil {
			return nil
		}
		return &differences.Start{Jet: a.Curve.At, Parameters: a.Curve.Grid().Parameters(a.Curve.V)}
	}
	a := differences.Solve(p, differences.Options{Order: o.Order, Nodes: o.Nodes, Tol: share * o.Tol, Guide: guide, Progress: o.Progress, Context: o.Context})
	s.Iterations, s.Condition = a.Iterations, a.Condition
	if !(a.Error <= 0.1) && a.Outcome != newton.Cancelled {
		// Pieces know more about why there is no answer, and whether there is one.
		if b, _ := adapt.Auto(p, adapt.Options{Tol: 1e-4, Context: o.Context, Progress: o.Progress}); !b.Met && b.Reason != "" {
			a.Reason = b.Reason
		} else if b.Met && o.Nodes == 0 {
			a.Reason = "differences on a uniform mesh do not resolve the solution; pieces do"
		}
	}
	if a.Curve == nil {
		s.Message = a.Reason
		return
	}
	s.Mesh = a.Curve.Mesh()
	s.Elements = len(s.Mesh) - 1
	s.Interior, s.Degree = len(s.Mesh)-2, a.Curve.Order()
	s.Error = a.Error
	for i, v := range a.Curve.Parameters() {
		s.Found = append(s.Found, Found{Name: p.Parameters[i].Name, Value: v, Error: a.Estimate.Parameters[i]})
	}
	s.curve = &differenced{a, s.Mesh, o.Nodes == 0}
	switch {
	case a.Met:
		s.Status = Solved
		s.Message = "checked against meshes of other widths"
		if !a.Linear {
			s.Message += "; the equation is nonlinear, so that other solutions may exist"
		}
	case o.Nodes == 0 && !(a.Error <= 1), a.Outcome == newton.Singular:
		s.Message = a.Reason
	default:
		s.Status = Short
		s.Message = fmt.Sprintf("%s; what is shown has an estimated error of %s, and %s was asked", a.Reason, short(a.Error), short(o.Tol))
	}
	if a.Outcome == newton.Cancelled && !budget.Spent(o.Context) {
		s.Status = Failed
	}
}

// infiniteDifferences cuts an unbounded interval off where pieces find that the solution no longer changes.
func infiniteDifferences(s *Solution, p *Problem, o Options) {
	ao := o.adapt()
	ao.Nodes, ao.Elements = 0, 0
	ao.Tol = math.Max(0.1*o.Tol, SmallestTol)
	a := unbounded.Solve(p, ao, func(p *Problem, ao adapt.Options) (*adapt.Answer, bool) { return collocate(p, Auto, ao) })
	if a.Curve == nil || a.Failed {
		s.Message = a.Reason
		return
	}
	solveDifferences(s, a.Problem, o, 0.9)
	if !s.Usable() {
		return
	}
	s.curve = &continued{&cut{s.curve, a.Answer}, a.Far}
	s.Error += a.Error
	for i := range s.Found {
		s.Found[i].Error += a.Estimate.Parameters[i]
	}
	if s.Status != Solved {
		return
	}
	s.Message += "; " + a.Where(p)
	if s.Error > o.Tol {
		s.Status = Short
		s.Message = fmt.Sprintf("the end of the interval is not far enough for the tolerance; what is shown has an estimated error of %s, and %s was asked", short(s.Error), short(o.Tol))
	}
}

// cut adds the error of cutting an interval off, as another solution on it has it.
type cut struct {
	curve
	by *adapt.Answer
}

func (c *cut) errorAt(x float64, err []float64) {
	more := make([]float64, len(err))
	c.curve.errorAt(x, err)
	c.by.Estimate.At(x, more)
	for i, v := range more {
		err[i] += v
	}
}

// differenced is the curve of a finite-difference solution.
type differenced struct {
	a      *differences.Answer
	mesh   []float64
	thinly bool // the table lists only some of the mesh points
}

var _ curve = (*differenced)(nil)

func (c *differenced) at(x float64, jet []float64)      { c.a.Curve.At(x, jet) }
func (c *differenced) errorAt(x float64, err []float64) { c.a.Estimate.At(x, err) }

func (c *differenced) points() []float64 {
	if !c.thinly {
		return c.mesh
	}
	stride := 1
	for (len(c.mesh)-1)/stride >= shownPoints {
		stride *= 2
	}
	var out []float64
	for i := 0; i < len(c.mesh); i += stride {
		out = append(out, c.mesh[i])
	}
	if last := c.mesh[len(c.mesh)-1]; out[len(out)-1] != last {
		out = append(out, last)
	}
	return out
}
