package derived

import (
	"math"

	"nodespan/solver"
)

// Point is a place on the solution: x and the value there, each with its error.
type Point struct{ X, Value Number }

// Zeros are the places where a function changes its sign.
type Zeros struct {
	// Places ascend.
	Places []Point
	// Doubtful are the ends of stretches, ascending, in which the function cannot be told from 0 to within its error,
	// so that it may change its sign there or not: where it touches 0, or is close to it in a large part of the
	// interval.
	Doubtful [][2]float64
}

// Zeros finds the places in [a, b], either of which may be infinite, where f changes its sign, be it by a jump. An end
// where f is 0 to within its error is no change of sign. Two changes that are closer together than the samples of an
// element, with nothing between that the least size of f shows, may be missed.
func (f Function) Zeros(s *solver.Solution, a, b float64) Zeros {
	p := newAlong(s)
	a, b = p.reach(&f, a, b)
	parts, open := p.stretches(&f, a, b)
	c := p.changes(&f, parts, middles(open))
	var out Zeros
	for _, z := range c.list {
		at := z.hi
		if z.between {
			at = z.lo
		}
		x := Number{at, z.miss + rounding*math.Max(math.Abs(a), math.Abs(b))}
		out.Places = append(out.Places, Point{X: x, Value: p.told(&f, at)})
	}
	for _, z := range c.doubtful {
		out.Doubtful = append(out.Doubtful, [2]float64{z.a, z.b})
	}
	return out
}
