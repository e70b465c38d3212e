// Package bvp states a boundary value problem as data: unknowns, residual functions with exact
// derivatives, conditions. It is the one vocabulary that every package of the solver shares, and
// it knows no method, no text and no browser.
//
// # The problem
//
// There are n unknowns y_1 … y_n of orders m_1 … m_n in one independent variable x on [A, B], and
// P sought parameters p. The equations are n residuals that vanish on the whole interval,
//
//	F_i(x, y_1, y_1', …, y_1^(m_1), y_2, …, y_n^(m_n), p) = 0,
//
// and there are m_1 + … + m_n + P conditions, each a residual in values of the unknowns (or of
// their derivatives) at any points and in the parameters.
//
// # Layouts
//
// The jet at a point lists every unknown with its derivatives up to and including its order:
// y_1, y_1', …, y_1^(m_1), y_2, …; its length is J = Σ (m_i + 1). The state leaves each highest
// derivative out; its length is S = Σ m_i. A residual's argument is the jet followed by the
// parameters: J + P numbers.
package bvp

import (
	"fmt"
	"math"
	"strings"
)

// Problem is a boundary value problem. Solvers read it and never change it.
type Problem struct {
	// Variable is the name of the independent variable, for messages; "" means "x".
	Variable string
	// A and B are the ends of the interval, A < B. Either may be infinite.
	A, B float64
	// Unknowns lists the n unknown functions.
	Unknowns []Unknown
	// Own holds the interval in which each unknown counts, where they are those of layers side by side: beyond it an
	// unknown is continued, so that all have one interval to be solved on, and its values mean nothing. nil: all count
	// everywhere.
	Own [][2]float64
	// Parameters lists the P sought numbers; often none.
	Parameters []Parameter
	// Equations evaluates the n residuals.
	Equations Residuals
	// Work is about how many nanoseconds an evaluation of the equations takes natively, derivatives included; 0: not
	// known.
	Work float64
	// Conditions has Σ order + P entries, in any order.
	Conditions []Condition
	// Breaks lists points strictly inside (A, B), ascending, where coefficients may jump. Mesh
	// points are placed there, and the residuals are evaluated at the nearest double on the side
	// of the element at hand.
	Breaks []float64
	// Continuity evaluates the S quantities that are continuous across a break, as functions of
	// the jet on either side; nil means the state itself. A balance (k T')' = f puts k T' in the
	// place of T'. The layout of the result is that of the state: Continuity writes S numbers,
	// and S rows of J + P derivatives. Derivatives with respect to the highest entries of the jet are zero.
	Continuity Residuals
	// Rounding bounds what rounding does to the equations; its point is the jet, the parameters and x. Optional:
	// without it the sizes of the terms and the spacing of numbers at x serve.
	Rounding Rounding
	// Guess writes a first guess of the jet at x; nil lets the solver choose.
	Guess func(x float64, jet []float64)
	// Constants are numbers in the equations or conditions that a solver may vary on the way to
	// a hard answer; With returns the problem with other values for them (same order). Optional.
	Constants []Constant
	With      func(values []float64) *Problem
	// Formulas tells where the formulas of the equations change, for those who choose where to look; optional. Whoever
	// replaces Equations keeps it where the new ones change at the same x and read the same inputs, takes its Still
	// where only the former holds, and drops it otherwise.
	Formulas *Formulas
}

// Formulas are the nodes of the equations' formulas at which something may happen at a small scale: functions, powers,
// quotients (as 1 over what divides), minima, maxima and comparisons. Sums and products add no scale to those of their
// parts.
type Formulas struct {
	// Moving tells of each node whether it depends on the unknowns or parameters; the others are functions of x alone.
	Moving []bool
	// Inputs is J + P, as the formulas know them; 0 when nothing but x may be given.
	Inputs int
	// Enclose writes bounds of each node on the open stretch a < x < b to out (len(Moving)), by interval arithmetic.
	// in, when not nil, holds those of the jet and the parameters; where it is nil only the nodes that do not move are
	// written. It has scratch space, as Equations has.
	Enclose func(a, b float64, in, out []Enclosure)
}

// Still returns the same without the nodes that move; nil of nil.
func (f *Formulas) Still() *Formulas {
	if f == nil {
		return nil
	}
	return &Formulas{Moving: f.Moving, Enclose: f.Enclose}
}

// Enclosure bounds a quantity on a stretch: Lo ≤ f ≤ Hi and SlopeLo ≤ f' ≤ SlopeHi, f' being the derivative by x; Mid
// is the value in the middle. Bounds are infinite where nothing can be said, and Mid may be anything there.
type Enclosure struct {
	Lo, Hi, SlopeLo, SlopeHi, Mid float64
}

// Unknown is an unknown function and the order of its highest derivative, 1 to 8.
type Unknown struct {
	Name  string
	Order int
}

// Parameter is a sought number. Without a guess a solver tries several.
type Parameter struct {
	Name     string
	Guess    float64
	HasGuess bool
}

// Constant is a number of the problem that continuation may vary.
type Constant struct {
	Name  string
	Value float64
}

// Residuals evaluates several functions and their exact derivatives at one point.
// in holds the jet and then the parameters (J + P numbers) and is not changed.
// f receives one number per function. df, when not nil, receives one row of J + P derivatives per function,
// row-major; every entry is written. Values may be NaN or infinite: the solver copes.
type Residuals func(x float64, in, f, df []float64)

// Rounding bounds, to first order, by how much the residuals at a point are off because numbers are rounded. off holds
// the errors of the numbers in in. own receives one bound per residual of what differs from point to point: operations,
// and off. Each row of shared, one number per residual, receives what the rounded constants do, for one choice of their
// signs: the same in every call for the same row, and the same constant has the same sign in all residuals and
// conditions. Values may be NaN or infinite.
type Rounding func(in, off, own []float64, shared [][]float64)

// PointValue is the value of a derivative (0: the function itself) of an unknown at a point.
// Derivative is at most the unknown's order.
type PointValue struct {
	X          float64
	Unknown    int
	Derivative int
}

// Condition is a scalar residual in some point values and the parameters.
type Condition struct {
	// At lists the point values that the condition ties together, any number, at any points.
	At []PointValue
	// Residual returns g(v, p) for in = the values v (len(At)) and then the parameters p, and
	// writes its derivatives to dg (same length as in) when dg is not nil.
	Residual func(in, dg []float64) float64
	// Rounding bounds what rounding does to the residual; its point is that of Residual. Optional, as Problem.Rounding
	// is.
	Rounding Rounding
	// Text is the condition as its author wrote it, for messages; may be empty.
	Text string
}

// VariableName names the independent variable: x where the problem has no name for it.
func (p *Problem) VariableName() string {
	if p.Variable == "" {
		return "x"
	}
	return p.Variable
}

// Inside reports whether x is a point of the interval.
func (p *Problem) Inside(x float64) bool { return x >= p.A && x <= p.B }

// Counts returns the interval in which unknown i counts.
func (p *Problem) Counts(i int) (a, b float64) {
	if p.Own == nil {
		return p.A, p.B
	}
	return p.Own[i][0], p.Own[i][1]
}

// Fixed reports whether a condition alone fixes a point value, so that it is known and not found; zero, whether the
// condition holds where it is 0.
func (p *Problem) Fixed(v PointValue) (fixed, zero bool) {
	for _, c := range p.Conditions {
		if len(c.At) != 1 || c.At[0] != v {
			continue
		}
		fixed = true
		in := make([]float64, 1+len(p.Parameters))
		for k := range p.Parameters {
			in[1+k] = math.NaN() // a condition that holds a sought number prescribes nothing
		}
		zero = zero || c.Residual(in, nil) == 0
	}
	return fixed, zero
}

// Derivative names the k-th derivative of an unknown: y, y', … up to four primes, then y^(5).
func Derivative(name string, k int) string {
	if k <= 4 {
		return name + strings.Repeat("'", k)
	}
	return fmt.Sprintf("%s^(%d)", name, k)
}

// Jet returns J, the length of a jet.
//
//go:noinline
func (p *Problem) Jet() int { return p.State() + len(p.Unknowns) }

// State returns S, the length of a state: the sum of the orders.
//
//go:noinline
func (p *Problem) State() int {
	s := 0
	for _, u := range p.Unknowns {
		s += u.Order
	}
	return s
}

// unknownWork stands for the work of one equation where the problem does not tell it.
const unknownWork = 100

// EvaluationWork returns the work of one evaluation of the equations.
func (p *Problem) EvaluationWork() float64 {
	if p.Work > 0 {
		return p.Work
	}
	return unknownWork * float64(len(p.Unknowns))
}

// JetOffset returns the place of unknown i in a jet.
//
//go:noinline
func (p *Problem) JetOffset(i int) int {
	o := 0
	for _, u := range p.Unknowns[:i] {
		o += u.Order + 1
	}
	return o
}

// Exact reports whether a number is whole or ends after 21 binary digits: typed as a decimal number, as 3 or 0.25, such
// a one is held exactly. Others are held to half a unit in the last place.
func Exact(v float64) bool {
	return math.Float64bits(v)<<32 == 0 || v == math.Trunc(v) && math.Abs(v) < 1<<32
}
