package several

import (
	"context"
	"math"

	"nodespan/solver"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
)

// mostDeflated is how many solutions are looked for from a first guess.
const mostDeflated = 4

// nearestWork is how much may be computed for it.
const nearestWork = defaultWork / 4

// Nearest returns the solution nearest to the problem's first guess of those that Newton's iteration reaches from it,
// the known ones being divided out in turn: the first one reached need not be the nearest. first is what solver.Solve
// gave; it is returned where there is no guess to choose by.
func Nearest(p *bvp.Problem, first *solver.Solution, o solver.Options) *solver.Solution {
	if p.Guess == nil || first.Status != solver.Solved || len(p.Conditions) != p.State()+len(p.Parameters) ||
		p.LinearEquations(nil) && p.LinearConditions(nil) && len(p.Parameters) == 0 {
		return first
	}
	ctx := o.Context
	if ctx == nil {
		ctx = context.Background()
	}
	s := &Search{p: p, o: Options{Solve: o}, within: budget.Within(ctx, nearestWork), sizes: sizesOf(p, first),
		Solutions: []*solver.Solution{first}, known: first.At}
	if s.near = finite(p, first); s.near == nil {
		return first
	}
	d := newDeflation(s.near, s.sizes, s.within)
	for range mostDeflated {
		for len(d.known) < len(s.Solutions) {
			k := s.Solutions[len(d.known)]
			d.know(d.vector(k.At, foundOf(k)))
		}
		v := d.find(d.vector(s.near.Guess, s.base(s.near.A)[s.near.State():]))
		if v == nil {
			break
		}
		before := len(s.Solutions)
		c := d.g.Curve(v)
		s.verify(start{c.At, append([]float64(nil), d.g.Parameters(v)...)})
		if len(s.Solutions) == before {
			break
		}
	}
	best := s.nearest()
	if best > 0 {
		s.Solutions[best].Message += "; from the guess another solution was reached first, and this one is nearer to it"
	}
	return s.Solutions[best]
}

// nearest returns the index of the solution whose values are nearest to the first guess, in the mean square and in the
// sizes of the unknowns.
func (s *Search) nearest() int {
	p := s.near
	best, least := 0, math.Inf(1)
	a, b := make([]float64, p.Jet()), make([]float64, p.Jet())
	const points = 64
	for k, sol := range s.Solutions {
		sum := 0.0
		for j := range points + 1 {
			x := p.A + (p.B-p.A)*float64(j)/points
			sol.At(x, a)
			p.Guess(x, b)
			for i := range p.Unknowns {
				at := p.JetOffset(i)
				d := (a[at] - b[at]) / s.sizes[i]
				sum += d * d
			}
		}
		if sum < least*(1-1e-9) {
			best, least = k, sum
		}
	}
	return best
}
