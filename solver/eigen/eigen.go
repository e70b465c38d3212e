// Package eigen solves eigenvalue problems: a sought number in linear equations and conditions that are all
// homogeneous, so that there is a solution other than zero for certain values of that number only. It knows no text.
//
// The problem is discretised by collocation on one polynomial (one per stretch between breaks), and all eigenvalues of
// the dense matrix pencil are computed at two degrees: what the two agree on is an eigenvalue of the problem, the rest
// is an artefact of the discretisation (J. P. Boyd, Chebyshev and Fourier Spectral Methods, 2nd ed., 2001, chapter 7).
// Degrees climb until no artefact lies among the wanted ones. Each of these is then solved for anew, together with its
// eigenfunction, as an ordinary boundary value problem with a normalisation, whose error estimate is that of package
// adapt. For scalar equations of second order with one condition at each end, a count by Sturm's oscillation theorem,
// which uses none of this, shows that none is missing. Nearly equal eigenvalues are solved for together.
//
// The parameter may occur as a polynomial, also in the conditions and at the highest derivative. It does not find
// complex eigenvalues, nor a continuous spectrum.
package eigen

import (
	"fmt"

	"nodespan/solver/adapt"
	"nodespan/solver/bvp"
)

// Options say what is wanted.
type Options struct {
	adapt.Options
	Count, Mode int // how many eigenvalues; whose eigenfunction, from 1
	// Form of the eigenfunctions. They are one polynomial as long as that serves, unless only one form is wanted.
	Form Form
}

// Form is a form of solution.
type Form int

const (
	AnyForm       Form = iota
	OnePolynomial      // one between breaks, whatever its degree
	Pieces
)

// Value is an eigenvalue with its estimated error.
type Value struct {
	Value, Error float64
	// Multiplicity is the number of independent eigenfunctions.
	Multiplicity int
}

// Answer is what was found.
type Answer struct {
	// Values are the eigenvalues, ascending, a multiple one as often as it counts.
	Values []Value
	// Mode is the solution for the eigenfunction asked for, normalised: the largest |y| of the first unknown that does
	// not vanish is 1, and its first departure from zero is positive. nil when there is none. Its parameters are not to
	// be used: see Values.
	Mode *adapt.Answer
	// Error is the largest estimated error: of the eigenvalues, absolute below 1 and relative above, and of the
	// eigenfunction, relative.
	Error float64
	// Met reports that as many values as were wanted (or all there are) and the eigenfunction are within the tolerance.
	Met bool
	// Message is a clause: why it is believed, or why there is no answer.
	Message    string
	Iterations int
	// Work is the sum of the cubes of the dense matrices' sizes: a measure of the time taken that does not depend on
	// the machine.
	Work float64

	modes []mode
	part  part
	all   bool
	next  *float64 // the value after the last one, roughly; nil when not known
}

// Solve finds the first eigenvalues of a problem on a bounded interval.
func Solve(p *bvp.Problem, o Options) *Answer {
	if o.Count <= 0 {
		o.Count = 5
	}
	if o.Mode <= 0 {
		o.Mode = 1
	}
	o.Count = max(o.Count, o.Mode)
	dep, err := recognise(p)
	if err != nil {
		return &Answer{Message: err.Error()}
	}
	name := p.Parameters[0].Name
	if dep.absent {
		return &Answer{Message: fmt.Sprintf("%s is sought, but it does not occur in the equations or conditions", name)}
	}
	if dep.degree == 0 {
		return &Answer{Message: fmt.Sprintf("%s occurs otherwise than as a polynomial of degree up to %d; multiply "+
			"the equation and the conditions out, or add a condition that fixes the size of the solution and give %s "+
			"a value to start near", name, largestDegree, name)}
	}
	s := &search{original: p, p: p, o: o, dep: dep}
	if dep.power > 1 {
		s.p = linearIn(p, dep.power)
		s.dep.degree = 1
	}
	return s.run()
}

// eigenWork is the work of the eigenvalues of a dense problem over the cube of its size, elimination included.
// Measured.
const eigenWork = 2
