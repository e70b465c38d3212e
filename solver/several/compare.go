package several

import (
	"fmt"
	"math"
	"strings"

	"nodespan/solver"
	"nodespan/solver/bvp"
)

// Trivial reports whether a solution is zero everywhere, as far as its errors tell.
func Trivial(k *solver.Solution) bool {
	p := k.Problem
	jet, err := make([]float64, p.Jet()), make([]float64, p.Jet())
	const points = 7 // of each element, out of step with the waves that one may hold
	for _, x := range bvp.Divide(k.Mesh, points) {
		k.At(x, jet)
		k.ErrorAt(x, err)
		for i := range p.Unknowns {
			if at := p.JetOffset(i); !(math.Abs(jet[at]) <= err[at]) {
				return false
			}
		}
	}
	return true
}

// within is how many times the sum of their estimated errors two solutions may differ by and still be one, and summing
// what rounding adds to that.
const (
	within  = 4
	summing = 1e-13
)

// same reports whether a solution agrees with the image of another within their errors.
func same(p *bvp.Problem, a, b *solver.Solution, m Mirror) bool {
	n := p.Jet()
	ja, jb, ea, eb := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	image := m.image(p, b.At)
	const points = 64
	for j := range points + 1 {
		x := p.A + (p.B-p.A)*float64(j)/points
		a.At(x, ja)
		a.ErrorAt(x, ea)
		image(x, jb)
		if m == Turned || m == SignTurn {
			b.ErrorAt(p.A+p.B-x, eb)
		} else {
			b.ErrorAt(x, eb)
		}
		for i := range p.Unknowns {
			at := p.JetOffset(i)
			allowed := within*(ea[at]+eb[at]) + summing*(math.Abs(ja[at])+math.Abs(jb[at]))
			if !(math.Abs(ja[at]-jb[at]) <= allowed) {
				return false
			}
		}
	}
	for i, f := range a.Found {
		g := b.Found[i]
		if !(math.Abs(f.Value-g.Value) <= within*(f.Error+g.Error)+summing*math.Abs(f.Value)) {
			return false
		}
	}
	return true
}

// Trivial reports whether solution i is zero everywhere.
func (s *Search) Trivial(i int) bool { return Trivial(s.Solutions[i]) }

// Image tells of which earlier solution (by its index) solution i is the mirror image, and how; None of none.
func (s *Search) Image(i int) (of int, how Mirror) {
	if s.near == nil || s.Trivial(i) {
		return 0, None
	}
	for j := range i {
		for _, m := range []Mirror{Sign, Turned, SignTurn} {
			if same(s.near, s.Solutions[i], s.Solutions[j], m) {
				return j, m
			}
		}
	}
	return 0, None
}

// Message says in one sentence what the search found.
func (s *Search) Message() string {
	n := len(s.Solutions)
	switch {
	case len(s.p.Conditions) != s.p.State()+len(s.p.Parameters):
		return "an eigenvalue problem: its eigenvalues are its solutions"
	case s.Unique != "" && n == 1:
		return "there is no other solution: " + s.Unique
	case s.near == nil:
		return "no search for further solutions was made"
	}
	var b strings.Builder
	switch n {
	case 0:
		fmt.Fprintf(&b, "no solution was found from %d starts", s.Starts)
	case 1:
		fmt.Fprintf(&b, "no other solution was found from %d starts", s.Starts)
	default:
		fmt.Fprintf(&b, "%d solutions were found from %d starts", n, s.Starts)
	}
	for i := range s.Solutions {
		if s.Trivial(i) {
			fmt.Fprintf(&b, "; number %d is the trivial one, zero everywhere", i+1)
		} else if j, m := s.Image(i); m != None {
			fmt.Fprintf(&b, "; number %d is number %d %s", i+1, j+1, m)
		}
	}
	if s.Ended {
		b.WriteString("; the search ended at its limit")
	}
	b.WriteString("; a search proves nothing: there may be more")
	return b.String()
}
