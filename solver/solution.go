package solver

import (
	"math"

	"nodespan/solver/bvp"
	"nodespan/solver/singular"
)

// Solution is what Solve returns: always something, with a status and a sentence.
//
// A failed solution may hold the best approximation reached (Usable reports it); its values are
// then for looking at only.
type Solution struct {
	Problem *Problem
	Status  Status
	// Message is one sentence: what was reached, why it is believed, or why there is no answer and what to try.
	Message string
	// Method is One, Pieces or Differences: what was used.
	Method Method
	// Family, Interior: the family and the number of collocation nodes per element (the largest one when they differ).
	Interior int
	// Degree is the (largest) degree of the polynomials of the unknown with the highest order.
	Degree   int
	Elements int
	// Mesh holds the ends of the elements, Elements+1 ascending numbers, finite.
	Mesh []float64
	// Found are the sought parameters of an ordinary problem.
	Found []Found
	// Eigenvalues are those of an eigenvalue problem, ascending.
	Eigenvalues []Found
	// Tol is the tolerance that was asked for.
	Tol float64
	// Error is the largest estimated error over the interval of any unknown, relative as Tol is; +Inf where nothing is
	// known of it.
	Error float64
	// Condition is the condition number of the problem: the relative change of the solution for the
	// worst relative change of the data, estimated. 0 when not known.
	Condition float64
	// Iterations counts Newton steps in all, Work the units of Options.Work; Seconds is the time of the solve.
	Iterations int
	Work       int64
	Seconds    float64

	curve curve
	st    *singular.Stretch // the change of variable in which the curve was found; nil: none
	mode  int               // the eigenvalue that the curve belongs to, from 1; 0 for an ordinary problem
}

// curve is the solution as a function; each method has its own.
type curve interface {
	// at writes the jet at x.
	at(x float64, jet []float64)
	// errorAt writes the estimated error of each entry of the jet at x.
	errorAt(x float64, err []float64)
	// points returns the points of the node table, ascending, both ends included.
	points() []float64
}

// Usable reports whether there is an approximation to look at.
func (s *Solution) Usable() bool { return s.curve != nil }

// Points returns the points of the node table in ascending order: the ends and the nodes.
func (s *Solution) Points() []float64 { return s.curve.points() }

// At writes the jet at x (every unknown with its derivatives up to its order; see package bvp).
func (s *Solution) At(x float64, jet []float64) { s.curve.at(x, jet) }

// ErrorAt writes the estimated error of every entry of the jet at x, read as the decimal number that is typed or
// printed for x: a double holds that to half a unit only, which matters where the solution is steep. It is +Inf where
// nothing is known.
func (s *Solution) ErrorAt(x float64, err []float64) {
	s.curve.errorAt(x, err)
	if bvp.Exact(x) || x == s.Problem.A || x == s.Problem.B {
		return
	}
	s.addPoint(x, err)
}

// addPoint adds to the errors of the jet what the rounding of x does.
func (s *Solution) addPoint(x float64, err []float64) {
	jet := make([]float64, len(err))
	s.curve.at(x, jet)
	at := 0
	for _, u := range s.Problem.Unknowns {
		for d := range u.Order {
			err[at+d] += math.Abs(x*jet[at+d+1]) / (1 << 53)
		}
		at += u.Order + 1
	}
}

// finer is a curve that was judged by a finer solution.
type finer interface {
	// finer is Solution.Finer.
	finer(k int, x float64, jet, rest []float64) bool
	// left is Solution.Left.
	left() float64
}

// Judges is the most that Finer knows.
const Judges = 2

// Finer writes the jet at x of a solution that this one was judged by, and to rest the part of the estimated error of
// each entry that does not come from the difference of the two, such as rounding. For k = 0 that is a finer one, for k
// = 1 this one corrected by what it leaves of the equation, where the estimate rests on that. It tells how errors that
// change their sign along the interval cancel in an integral. It is false where there is none to be had: of
// eigenfunctions, of finite differences, of what is short of the tolerance.
func (s *Solution) Finer(k int, x float64, jet, rest []float64) bool {
	c, ok := s.curve.(finer)
	if !ok || s.mode > 0 || !c.finer(k, x, jet, rest) {
		return false
	}
	if !bvp.Exact(x) && x != s.Problem.A && x != s.Problem.B {
		s.addPoint(x, rest)
	}
	return true
}

// Left is the part of this solution's error that the finer one still has, as far as the refinements tell; NaN where
// they do not.
func (s *Solution) Left() float64 {
	if c, ok := s.curve.(finer); ok {
		return c.left()
	}
	return math.NaN()
}

// Sought returns the problem's sought parameters as the curve has them, in the order of Problem.Parameters: those
// found, or of an eigenvalue problem the eigenvalue that the eigenfunction belongs to. It is short where there is no
// answer.
func (s *Solution) Sought() []Found {
	if s.mode > 0 {
		return s.Eigenvalues[s.mode-1 : s.mode]
	}
	return s.Found
}

// Residual writes the residual of each equation at x.
func (s *Solution) Residual(x float64, f []float64) {
	p := s.Problem
	in := make([]float64, p.Jet()+len(p.Parameters))
	s.curve.at(x, in[:p.Jet()])
	for i := range p.Parameters {
		if s.mode > 0 {
			in[p.Jet()+i] = s.Eigenvalues[s.mode-1].Value
		} else if i < len(s.Found) {
			in[p.Jet()+i] = s.Found[i].Value
		}
	}
	p.Equations(x, in, f, nil)
}
