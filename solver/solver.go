package solver

import (
	"context"

	"nodespan/solver/bvp"
	"nodespan/solver/nodes"
)

// The vocabulary of a problem; see package bvp for layouts and details.
type (
	Problem    = bvp.Problem
	Unknown    = bvp.Unknown
	Parameter  = bvp.Parameter
	Residuals  = bvp.Residuals
	Condition  = bvp.Condition
	PointValue = bvp.PointValue
	Constant   = bvp.Constant
)

// Method is a discretisation.
type Method string

const (
	Auto        Method = "auto"        // one polynomial as long as it serves, else pieces
	One         Method = "one"         // one polynomial
	Pieces      Method = "pieces"      // piecewise polynomial
	Differences Method = "differences" // finite differences
)

// Options says how to solve. The zero value is sensible.
type Options struct {
	// Method is Auto when empty.
	Method Method
	// Family is the family of nodes; the zero value is Legendre.
	Family nodes.Family
	// Nodes is the number of interior (collocation) nodes per polynomial, for Differences the number of interior mesh
	// points; 0 lets the solver choose. At most MostNodes.
	Nodes int
	// Order is the order of finite differences: 2, 4, 6 or 8; 0 means 2.
	Order int
	// Alone has Differences judged by themselves, by meshes of other widths, as a second opinion needs it. Otherwise
	// they count as solved only where a collocation solution of known error confirms them.
	Alone bool
	// Elements is the number of pieces, at most MostElements; 0 lets the solver choose.
	Elements int
	// Tol is the tolerance asked of every unknown, absolute below 1 and relative to its largest value above; 0 means
	// 1e-8. From SmallestTol to LargestTol. Derivatives below the order are held to it as well, but not where the
	// equation is singular at an end and they may be unbounded (package singular): there each has its own estimate.
	Tol float64
	// Count is how many eigenvalues are wanted (5 when 0); Mode is the eigenfunction returned, from 1 (1 when 0).
	Count, Mode int
	// Near says that the problem's first guess is near a solution: where Newton's iteration does not get there from it,
	// no other way is tried, and no reason is looked for.
	Near bool
	// Progress, when not nil, is told in words what is being tried.
	Progress func(string)
	// Context, when not nil, ends the work early: the solution then has status Failed and says so.
	Context context.Context
	// Work is how much may be computed, in units of one to two nanoseconds of one core natively (package budget); 0
	// means 3e9. What was reached when it is spent is returned with its error, short of the tolerance, or with status
	// Failed where it is nothing. The count is of arithmetic, not of time: every machine stops at the same place. A
	// budget of package budget in Context bounds it too.
	Work int64
}

// Status says how a run ended.
type Status string

const (
	Solved Status = "solved"
	// an answer with an honest, too large error, infinite where nothing is known of it
	Short  Status = "short-of-tolerance"
	Failed Status = "failed" // no answer; Message says why
)

// Found is a sought number with its estimated error.
type Found struct {
	Name         string
	Value, Error float64
}
