package solver

import (
	"fmt"
	"math"
	"slices"

	"nodespan/solver/adapt"
	"nodespan/solver/budget"
	"nodespan/solver/differences"
	"nodespan/solver/newton"
	"nodespan/solver/unbounded"
)

// shownPoints bounds the node table of a mesh that the solver chose: nobody reads ten thousand rows.
const shownPoints = 129

// solveDifferences fills the solution in. share is the part of the tolerance that the differences may use up.
//
// What meshes of other widths tell of a difference solution is no proof. All of them miss what is narrower than
// they are, what oscillates faster looks the same on all of them, and near resonance they agree on a wrong plateau
// as long as the square of the mesh width is far above the distance to it; whether there is one solution at all
// they cannot say. So differences are held against a collocation solution of known error, which costs less than
// they do: their error is the difference to it and its own error, Newton's iteration starts from it, and they are
// solved only where it is. Where there is none they have no answer. With Options.Alone they are judged by
// themselves: a second opinion of a collocation solution must not lean on one.
func solveDifferences(s *Solution, p *Problem, o Options, share float64) {
	do := differences.Options{Order: o.Order, Nodes: o.Nodes, Tol: share * o.Tol, Progress: o.Progress,
		Context: o.Context}
	if o.Alone {
		s.differences(p, o, differences.Solve(p, do), "checked against meshes of other widths")
		return
	}
	by := confirming(p, o, do)
	if by.Curve == nil || !(by.Error <= unconfirmed) || by.Singular || by.Outcome == newton.Singular {
		s.Iterations, s.Message = by.Iterations, by.Reason
		return
	}
	if !by.Met {
		do.Tol = math.Max(do.Tol, 2*by.Error)
	}
	do.Reference = &differences.Reference{
		Jet: by.Curve.At, Error: by.Estimate.At, Points: by.Curve.Grid().Mesh.X,
		Parameters: by.Curve.Grid().Parameters(by.Curve.V), ParameterErrors: by.Estimate.Parameters,
	}
	a := differences.Solve(p, do)
	a.Linear, a.Condition = by.Linear, by.Condition
	a.Iterations += by.Iterations
	if a.Met && !by.Met {
		a.Met, a.Reason = false, by.Reason // of the solution that they are held against
	}
	s.differences(p, o, a, "checked against a verified solution by collocation")
}

// unconfirmed is the relative error from which on a collocation solution confirms nothing.
const unconfirmed = 0.1

// confirmingTol is the largest tolerance of the solution that differences are compared with: differences of high order
// are often far better than asked.
const confirmingTol = 1e-9

// confirming solves by collocation, to a small part of the tolerance or, where that cannot be had, to half of it.
// Where Newton's iteration does not converge from the first guesses, it starts from a difference solution.
func confirming(p *Problem, o Options, do differences.Options) *adapt.Answer {
	collocate := func(p *Problem, tol float64) *adapt.Answer {
		a, _ := adapt.Auto(p, adapt.Options{Tol: tol, Progress: o.Progress, Context: budget.Part(o.Context, 0.5)})
		return a
	}
	sharp := math.Max(math.Min(0.1*do.Tol, confirmingTol), SmallestTol)
	a := collocate(p, sharp)
	if !a.Met && a.Error <= do.Tol/2 {
		a = collocate(p, do.Tol/2)
	}
	if a.Met || a.Singular || a.Linear || a.Error <= unconfirmed || budget.Over(o.Context) {
		return a
	}
	do.Context = budget.Part(o.Context, 0.3)
	d := differences.Solve(p, do)
	if d.Curve == nil {
		return a
	}
	q := *p
	q.Guess = d.Curve.At
	q.Parameters = slices.Clone(p.Parameters)
	for i, v := range d.Curve.Parameters() {
		q.Parameters[i].Guess, q.Parameters[i].HasGuess = v, true
	}
	if b := collocate(&q, sharp); b.Met {
		return b
	}
	return a
}

// differences records an answer by differences; checked says why it is believed where it meets the tolerance.
func (s *Solution) differences(p *Problem, o Options, a *differences.Answer, checked string) {
	s.Iterations, s.Condition = a.Iterations, a.Condition
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
		s.Message = checked
		if !a.Linear {
			s.Message += "; the equation is nonlinear, so that other solutions may exist"
		}
	case o.Nodes == 0 && !(a.Error <= 1), a.Outcome == newton.Singular:
		s.Message = a.Reason
	default:
		s.Status = Short
		s.Message = fmt.Sprintf("%s; what is shown has an estimated error of %s, and %s was asked", a.Reason,
			short(a.Error), short(o.Tol))
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
	a := unbounded.Solve(p, ao, by(Auto), nil)
	if a.Curve == nil || a.Failed {
		s.Message = a.Reason
		return
	}
	solveDifferences(s, a.Problem, o, 0.9)
	if !s.Usable() {
		return
	}
	s.curve = &continued{&cut{s.curve, a.Answer}, a.Far, nil}
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
		s.Message = fmt.Sprintf("the end of the interval is not far enough for the tolerance; what is shown has an "+
			"estimated error of %s, and %s was asked", short(s.Error), short(o.Tol))
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
