// Package unbounded solves problems with conditions at infinity. It knows no text.
//
// The interval is cut off at a length that starts from the problem's own scale and is doubled until the solution on the
// shorter interval no longer changes; the conditions at infinity hold at the last point. This suits solutions that
// approach their limit exponentially or faster (M. Lentini and H. B. Keller, "Boundary value problems on semi-infinite
// intervals and their numerical solution", SIAM J. Numer. Anal. 17, 1980, 577–604); those that do so like a power of
// the distance settle far out. The change from the shorter to the longer interval is part of the error estimate. A
// nonlinear problem starts short and takes each solution, continued to the longer interval, as the next guess.
//
// Four things must hold before an answer is believed. Every unknown, with or without a condition at infinity, has
// settled on the interval and beyond it, where it is continued and the longer solution shows what that leaves out
// (far.go). The interval is long enough for the slowest mode of the limit to show itself, and the conditions at
// infinity hold the modes that must be held and no other (modes.go). There is no source further out (sources.go). What
// is not met within a budget of work is said, not guessed at.
package unbounded

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"nodespan/solver/adapt"
	"nodespan/solver/bvp"
	"nodespan/solver/eigen"
)

// Method solves a problem on a bounded interval and reports whether one polynomial serves.
type Method func(p *bvp.Problem, o adapt.Options) (a *adapt.Answer, one bool)

// Answer is the solution on the shorter of two intervals that agree.
type Answer struct {
	*adapt.Answer
	// Problem is the one on the bounded interval.
	Problem *bvp.Problem
	One     bool
	Far     *Far
	// Longer is the solution on the longer interval; nil where there is none. Left is the part of the error that it, or
	// the finer solution on its interval, still has.
	Longer *Answer
	Left   float64
	// Failed says that the answer is for looking at only.
	Failed bool

	left [2]*leftOver // beyond each end
}

// Bounds of the search for a length.
const (
	mostDoublings = 48
	mostElements  = 1500
	mostFailures  = 4
	mostMarks     = 200
	mostRestless  = 8
	nearSettled   = 1e-3
	flank         = 1e-3 // of the tolerance: the level down to which sources far out are given mesh points
	nearMiss      = 10   // times the tolerance that one solution should meet
	attemptShare  = 0.5  // of what is left of the work, for one length
	mostDearer    = 5    // times the work for the length before, after which one begins afresh
	leastWork     = 1e7  // which is granted anyway
	roughTol      = 1e-3 // to which a length is sought before the tolerance asked for
)

// Solve solves an ordinary problem on an unbounded interval. The length is sought with the method find; where another
// one is to give the answer, or numbers of nodes or elements are given, that follows on the interval that was found.
// other may be nil.
func Solve(p *bvp.Problem, o adapt.Options, find, other Method) *Answer {
	p = withFront(p)
	if why := shifted(p, nil); why != "" {
		return adrift(why)
	}
	free := o
	free.Nodes, free.Elements = 0, 0
	if other != nil {
		free.Tol *= 0.7 // the rest is for the other one's own errors
	}
	s := newSearch(p, free, find)
	found := s.lengthen()
	if why := shifted(p, found); why != "" {
		return adrift(why)
	}
	if found.Failed || found.Curve == nil {
		return found
	}
	switch {
	case o.Nodes > 0 || o.Elements > 0:
		if other == nil {
			other = find
		}
		return found.with(o, other)
	case other != nil && found.Longer != nil:
		return s.by(other, found, o.Tol)
	}
	return found
}

// with solves with numbers of nodes or elements as they are given, on the interval that was found without them.
func (found *Answer) with(o adapt.Options, solve Method) *Answer {
	t := *found.Problem
	guessFrom(&t, found)
	a, one := solve(&t, o)
	a.Iterations += found.Iterations
	if a.Curve != nil {
		reserve(a, found.Error)
		a.Error = relative(a)
		a.Met = a.Met && a.Error <= o.Tol
	}
	return &Answer{Answer: a, Problem: &t, One: one, Far: found.Far, Longer: found.Longer, Left: found.Left,
		Failed: a.Curve == nil}
}

// reserve adds to the estimates of an answer a relative error that it shares with another one, on whose interval it
// stands.
func reserve(a *adapt.Answer, e float64) {
	est := a.Estimate
	for _, part := range [][][]float64{est.Local, est.Besides} {
		for _, l := range part {
			for i := range l {
				l[i] += e * est.Scale[i]
			}
		}
	}
	for i, v := range a.Curve.Grid().Parameters(a.Curve.V) {
		est.Parameters[i] += e * math.Max(1, math.Abs(v))
	}
}

// relative is the largest estimated error of a solution, of the sought numbers too.
func relative(a *adapt.Answer) float64 {
	worst := eigen.FunctionError(a)
	for i, v := range a.Curve.Grid().Parameters(a.Curve.V) {
		worst = math.Max(worst, a.Estimate.Parameters[i]/math.Max(1, math.Abs(v)))
	}
	return worst
}

// enlarge adds f times the estimated errors to themselves.
func enlarge(a *adapt.Answer, f float64) {
	for _, part := range [][][]float64{a.Estimate.Local, a.Estimate.Besides} {
		for _, l := range part {
			for i := range l {
				l[i] *= 1 + f
			}
		}
	}
	for i := range a.Estimate.Parameters {
		a.Estimate.Parameters[i] *= 1 + f
	}
	a.Error = relative(a)
}

// slow reports that the changes fall, but by a nearly constant factor.
func slow(pairs []move) bool {
	n := len(pairs)
	if n < 4 {
		return false
	}
	for i := n - 3; i < n; i++ {
		if r := pairs[i].change / pairs[i-1].change; !(r < 0.85) {
			return false
		}
	}
	return pairs[n-1].change < 0.2
}

// guessFrom makes a solution on a shorter interval the first guess.
//
//go:noinline
func guessFrom(t *bvp.Problem, a *Answer) {
	t.Guess = a.Far.from(a.Curve)
	t.Parameters = append([]bvp.Parameter(nil), t.Parameters...)
	for i, v := range a.Curve.Grid().Parameters(a.Curve.V) {
		t.Parameters[i].Guess, t.Parameters[i].HasGuess = v, true
	}
}

// widen adds to the estimate of a shorter solution what it differs from a longer one, times a factor, element by
// element, and returns the largest difference relative to the size of each entry.
func widen(short, long *adapt.Answer, factor float64) float64 {
	g, est := short.Curve.Grid(), short.Estimate
	jet := g.P.Jet()
	u, v := make([]float64, jet), make([]float64, jet)
	most, noise := make([]float64, jet), slices.Clone(est.Floor)
	for e, k := range g.Mesh.Nodes {
		x0, x1 := g.Mesh.X[e], g.Mesh.X[e+1]
		n := 2*k + 6
		largest := make([]float64, jet)
		for j := 0; j <= n; j++ {
			x := x0 + (x1-x0)*(1-math.Cos(math.Pi*float64(j)/float64(n)))/2
			short.Curve.In(e, x, u)
			long.Curve.At(x, v)
			for i := range u {
				if d := math.Abs(u[i] - v[i]); !(d <= largest[i]) {
					largest[i] = d
				}
			}
		}
		for i, d := range largest {
			noise[i] = math.Max(noise[i], est.Local[e][i]+est.Floor[i])
			est.Local[e][i] += factor * d
			if !(d <= most[i]) {
				most[i] = d
			}
		}
	}
	p, q := g.Parameters(short.Curve.V), long.Curve.Grid().Parameters(long.Curve.V)
	change := 0.0
	for i := range min(len(p), len(q)) {
		d := math.Abs(p[i] - q[i])
		est.Parameters[i] += factor * d
		change = math.Max(change, d/math.Max(1, math.Abs(q[i])))
	}
	size := yardsticks(g.P, est, noise, g.Mesh.X[g.Elements()]-g.Mesh.X[0])
	for i, un := range g.P.Unknowns {
		at := g.P.JetOffset(i)
		for d := range un.Order {
			change = math.Max(change, most[at+d]/size[at+d])
		}
	}
	return change
}

// Where says in words where infinity was put.
func (a *Answer) Where(p *bvp.Problem) string { return where(p, a.Far) }

func where(p *bvp.Problem, f *Far) string {
	name := cmp.Or(p.Variable, "x")
	switch {
	case math.IsInf(p.A, 0) && math.IsInf(p.B, 0):
		return fmt.Sprintf("infinity is put at %s = %.4g and %.4g, and moving it further out changes nothing to "+
			"this tolerance", name, f.A, f.B)
	case math.IsInf(p.A, 0):
		return fmt.Sprintf("infinity is put at %s = %.4g, and moving it further out changes nothing to this tolerance",
			name, f.A)
	}
	return fmt.Sprintf("infinity is put at %s = %.4g, and moving it further out changes nothing to this tolerance",
		name, f.B)
}
