package eigen

import (
	"fmt"
	"math"
)

// valueFloor is the least relative error claimed for an equation of second order: rounding of the coefficients and of
// the root of a power. It grows as the fourth power of the order. Measured: the fourth wave number of a simply
// supported beam was off by 3.1e-14 where all else claimed 1.2e-14.
const valueFloor = 16.0 / (1 << 53)

// floor returns the least relative error claimed.
func (s *search) floor() float64 {
	order := 2
	for _, u := range s.p.Unknowns {
		order = max(order, u.Order)
	}
	return valueFloor * math.Pow(float64(order)/2, 4)
}

// relative returns an error as the tolerance counts it: absolute below 1 and relative above. A value that is zero as
// far as can be told is measured against the size that eigenvalues of this problem have; and a root of zero is known to
// half the digits only, however well λ^q is: that is no failing of the solution.
func (s *search) relative(value, err, powerErr float64) float64 {
	size := math.Max(1, math.Abs(value))
	if math.Abs(value) <= err {
		unit, _ := s.root(s.unit, 0)
		size = math.Max(size, unit)
	}
	if value == 0 {
		err = math.Min(err, powerErr)
	}
	return err / size
}

// valueSafety enlarges what package adapt estimates, and roundingSafety what is rounding of that. Measured: the third
// eigenvalue of a string of two parts, with Lobatto's nodes, was off by 1.2e-8 where 8.5e-9 was estimated; the fifth
// wave number of a clamped beam by 6e-12 where 1.9e-12 was, all of it rounding.
const (
	valueSafety    = 3
	roundingSafety = 5
)

// safe is the error to be claimed of w. What two solutions differ by is rounding as well where it is little more.
//
//go:noinline
func (f *mode) safe() float64 {
	return valueSafety*f.err + (roundingSafety-valueSafety)*math.Min(f.err, 10*f.rounded)
}

// report fills the answer in from its modes. It says whether all is within the tolerance and nothing speaks against it.
func (s *search) report(a *Answer) bool {
	found := a.modes
	met := true
	for i, f := range found {
		value, err := s.root(f.w, f.safe())
		err += s.floor() * math.Abs(value)
		a.Values = append(a.Values, Value{value, err, f.multiplicity})
		e := s.relative(value, err, f.safe())
		if i+1 == s.o.Mode {
			normalise(f.sol)
			a.Mode = f.sol
			e = math.Max(e, FunctionError(f.sol))
		}
		a.Error = math.Max(a.Error, e)
		met = met && e <= s.o.Tol
		if i > 0 && f.multiplicity == 1 && found[i-1].multiplicity == 1 && f.w-found[i-1].w <= f.err+found[i-1].err {
			a.Message = "the discretisation is too coarse to tell the eigenvalues apart"
			return false
		}
	}
	a.Message = s.sentence(a.part, len(found), a.all)
	if a.part == lowest && a.next != nil && s.sturm() {
		last := found[len(found)-1].w
		if n, ok := s.below(last + (*a.next-last)/2); ok {
			if n != len(found) {
				a.Message = "Sturm's oscillation theorem says that an eigenvalue may be missing"
				a.Error = math.Inf(1)
				for i := range a.Values {
					a.Values[i].Error = math.Inf(1) // each may be another than its number says
				}
				return false
			}
			a.Message += "; by Sturm's oscillation theorem none is missing"
		}
	}
	if a.Mode != nil && found[s.o.Mode-1].multiplicity > 1 {
		a.Message += fmt.Sprintf("; eigenvalue %d is multiple, so that its eigenfunction is one of many", s.o.Mode)
	}
	if !a.all {
		a.Message += "; there may be more"
	}
	a.Met = met
	if !met {
		a.Message = fmt.Sprintf("the estimated error is %.1g, and %.1g was asked", a.Error, s.o.Tol)
	}
	return met
}

// root turns w = λ^q back into λ, with its error.
func (s *search) root(w, werr float64) (value, err float64) {
	q := s.dep.power
	if q <= 1 {
		return w, werr
	}
	r := func(w float64) float64 { return math.Copysign(math.Pow(math.Abs(w), 1/float64(q)), w) }
	if q%2 == 0 && w < 0 || math.Abs(w) <= 2*werr {
		return 0, math.Pow(math.Abs(w)+werr, 1/float64(q)) // zero, as far as can be told
	}
	return r(w), werr / (float64(q) * math.Pow(math.Abs(w)-werr, 1-1/float64(q)))
}

func (s *search) sentence(which part, n int, all bool) string {
	name := s.original.Parameters[0].Name
	values := fmt.Sprintf("%d eigenvalues", n)
	if n == 1 {
		values = "eigenvalue"
	}
	text := ""
	switch {
	case all && n == 1:
		text = "the only eigenvalue"
	case all:
		text = "all eigenvalues"
	case which == complexOthers:
		text = fmt.Sprintf("the %d real among the eigenvalues near %v, the others being complex", n,
			s.original.Parameters[0].Guess)
	case which == lowest:
		text = "the first " + values
	case which == highest:
		text = fmt.Sprintf("there is no least eigenvalue; the greatest %s", values)
	case s.p.Parameters[0].HasGuess:
		text = fmt.Sprintf("the %s nearest to %v", values, s.original.Parameters[0].Guess)
	default:
		text = fmt.Sprintf("there is no least eigenvalue and no greatest one; the %s nearest to 0", values)
	}
	if q := s.dep.power; q > 1 && q%2 == 0 {
		text += fmt.Sprintf(" (only even powers of %s occur: each counts with either sign)", name)
	}
	return text + ", on which two discretisations agree, each checked against a finer solution"
}
