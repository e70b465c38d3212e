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
	// Interior is the number of collocation nodes per element, the largest one where they differ.
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

// Points returns the points of the node table in ascending order, the ends and the nodes; nil where the solution is not
// usable.
//
//go:noinline
func (s *Solution) Points() []float64 {
	if !s.Usable() {
		return nil
	}
	return s.curve.points()
}

// beyondEnds is by how many units in the last place, of the end that is farther from 0, a point may lie outside the
// interval and still count as its end: A + (B - A) need not be B.
const beyondEnds = 4

// inside returns x, or the end beside it; ok is false where x is outside the interval or there is nothing to evaluate.
func (s *Solution) inside(x float64) (at float64, ok bool) {
	a, b := s.Problem.A, s.Problem.B
	if !s.Usable() || math.IsNaN(x) {
		return x, false
	}
	at = math.Min(math.Max(x, a), b)
	if at == x {
		return x, true
	}
	far := 0.0
	for _, end := range []float64{a, b} {
		if !math.IsInf(end, 0) {
			far = math.Max(far, math.Abs(end))
		}
	}
	return at, math.Abs(x-at) <= beyondEnds*(1.0/(1<<52))*far
}

// fill sets every entry to v.
func fill(values []float64, v float64) {
	for i := range values {
		values[i] = v
	}
}

// At writes the jet at x: every unknown with its derivatives up to its order, Problem.Jet() numbers (see package bvp).
// Outside the interval, and of a solution that is not usable, every entry is NaN.
func (s *Solution) At(x float64, jet []float64) {
	if x, ok := s.inside(x); ok {
		s.curve.at(x, jet)
		return
	}
	fill(jet, math.NaN())
}

// Value returns a derivative (0: the function itself) of an unknown, counted from 0, at x, with its estimated error.
// They are NaN and +Inf where At and ErrorAt say so.
func (s *Solution) Value(unknown, derivative int, x float64) (v, err float64) {
	i := s.Problem.JetOffset(unknown) + derivative
	jet := make([]float64, s.Problem.Jet())
	s.At(x, jet)
	v = jet[i]
	s.ErrorAt(x, jet)
	return v, jet[i]
}

// ErrorAt writes the estimated error of every entry of the jet at x, read as the decimal number that is typed or
// printed for x: a double holds that to half a unit only, which matters where the solution is steep. It is +Inf where
// nothing is known, as outside the interval and of a solution that is not usable.
func (s *Solution) ErrorAt(x float64, err []float64) {
	x, ok := s.inside(x)
	if !ok {
		fill(err, math.Inf(1))
		return
	}
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
	x, in := s.inside(x)
	if !in || !ok || s.mode > 0 || !c.finer(k, x, jet, rest) {
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

// Residual writes the residual of each equation at x; NaN where At has no value.
func (s *Solution) Residual(x float64, f []float64) {
	p := s.Problem
	x, ok := s.inside(x)
	if !ok {
		fill(f, math.NaN())
		return
	}
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
