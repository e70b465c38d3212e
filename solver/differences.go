package solver

import (
	"fmt"
	"math"

	"nodespan/solver/adapt"
	"nodespan/solver/differences"
	"nodespan/solver/newton"
)

// shownPoints bounds the node table of a mesh that the solver chose: nobody reads ten thousand rows.
const shownPoints = 129

func solveDifferences(s *Solution, p *Problem, o Options) {
	guide := func() *differences.Start {
		a, _ := adapt.Auto(p, adapt.Options{Tol: math.Max(o.Tol, 1e-4), Context: o.Context, Progress: o.Progress})
		if a.Curve == nil {
			return nil
		}
		return &differences.Start{Jet: a.Curve.At, Parameters: a.Curve.Grid().Parameters(a.Curve.V)}
	}
	a := differences.Solve(p, differences.Options{Order: o.Order, Nodes: o.Nodes, Tol: o.Tol, Guide: guide, Progress: o.Progress, Context: o.Context})
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
		s.Message = "checked against meshes of other widths"
		if !a.Linear {
			s.Message += "; the equation is nonlinear, so that other solutions may exist"
		}
	case !(a.Error <= 1), a.Outcome == newton.Singular:
		s.Message = a.Reason
	default:
		s.Status = Short
		s.Message = fmt.Sprintf("%s; what is shown has an estimated error of %.1g, and %.1g was asked", a.Reason, a.Error, o.Tol)
	}
	if a.Outcome == newton.Cancelled {
		s.Status = Failed
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
