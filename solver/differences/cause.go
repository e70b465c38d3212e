package differences

import (
	"fmt"

	"nodespan/solver/budget"
	"nodespan/solver/newton"
)

// Kind is what keeps an answer from its tolerance.
type Kind int

const (
	None              Kind = iota // nothing: the tolerance is met
	Unresolved                    // the mesh is too coarse
	TooFewPoints                  // for differences of this order
	TooManyPoints                 // more than MostNodes were asked for
	Unsettled                     // the values do not settle as the mesh gets finer
	SingularEquations             // the conditions do not fix one solution
	Resonant                      // the equations are nearer to being singular than the mesh resolves
	Hidden                        // a formula changes within less than a mesh width
	Apart                         // finer meshes move away from the reference
	RoundingGrows                 // a finer mesh has more rounding than it gains
	RoundingSpoils                // no digit is left on this mesh
	NoStart                       // the equations have no values at the first guess
	NewtonStalled                 // Newton's iteration found no solution
	Stopped                       // the work is done, or was cancelled
)

// A Cause is a kind with its numbers.
type Cause struct {
	Kind   Kind
	X      float64 // of Hidden: where
	Points int     // of the mesh; of TooFewPoints those asked for
}

// outcome is how Newton's iteration would have ended for this cause.
func (c Cause) outcome() newton.Outcome {
	switch c.Kind {
	case None:
		return newton.Converged
	case SingularEquations, Resonant:
		return newton.Singular
	case NoStart:
		return newton.NotFinite
	case Stopped:
		return newton.Cancelled
	}
	return newton.Stalled
}

// causeOf is the cause that there is no solution on a mesh.
func causeOf(d *discrete) Cause {
	c := Cause{Kind: NewtonStalled, Points: len((&Curve{d.g, d.v}).Mesh())}
	switch {
	case d.hopeless:
		c.Kind = RoundingSpoils
	case d.outcome == newton.Singular:
		c.Kind = SingularEquations
	case d.outcome == newton.NotFinite:
		c.Kind = NoStart
	case d.outcome == newton.Cancelled:
		c.Kind = Stopped
	}
	return c
}

// sentence words a cause; it is empty for None.
func (w *work) sentence(c Cause) string {
	switch c.Kind {
	case None:
		return ""
	case Unresolved:
		if w.o.Nodes > 0 {
			return fmt.Sprintf("%d interior points with differences of order %d are too few for the tolerance",
				w.o.Nodes, w.o.Order)
		}
		return fmt.Sprintf("differences of order %d on %d intervals do not resolve the solution to the tolerance",
			w.o.Order, c.Points)
	case TooFewPoints:
		return fmt.Sprintf("%d interior points are too few for differences of order %d here; at least %d are needed",
			w.o.Nodes, w.o.Order, Fewest(w.p, w.o.Order))
	case TooManyPoints:
		return fmt.Sprintf("at most %d mesh points are taken; ask for fewer", MostNodes)
	case Unsettled:
		return "the values do not settle as the mesh gets finer: there may be no solution, or one with a pole or a " +
			"layer thinner than the mesh"
	case SingularEquations:
		return "the difference equations are singular: the conditions do not fix one solution"
	case Resonant:
		return "the difference equations are nearer to being singular than the mesh resolves, so that their error " +
			"cannot be told; the homogeneous problem may have a non-zero solution, or nearly so (resonance)"
	case Hidden:
		return fmt.Sprintf("a formula of the equation changes at %s = %.6g within less than a mesh width",
			w.p.VariableName(), c.X)
	case Apart:
		return "differences move away from the collocation solution as their mesh gets finer: one of the two misses " +
			"something"
	case RoundingGrows:
		return fmt.Sprintf("rounding, which grows as the mesh gets finer, ends what differences of order %d can give "+
			"here; a higher order or one polynomial gives more digits", w.o.Order)
	case RoundingSpoils:
		return fmt.Sprintf("rounding spoils the difference equations on %d points and more; take fewer points, or one "+
			"polynomial", c.Points-2)
	case NoStart:
		return "the equation cannot be evaluated at the first guess; give a guess line"
	case Stopped:
		return budget.Reason(w.o.Context)
	}
	return "Newton's iteration did not converge; give a guess line nearer to the solution"
}

// without is an answer that has nothing to show.
//
//go:noinline
func (w *work) without(c Cause) *Answer {
	a := &Answer{Error: inf, Iterations: w.iterations}
	a.blame(w, c)
	return a
}

// blame says that an answer is short of its tolerance, and why.
func (a *Answer) blame(w *work, c Cause) {
	a.Met, a.Cause, a.Outcome, a.Reason = false, c, c.outcome(), w.sentence(c)
}
