// Package unbounded solves problems with conditions at infinity. It knows no text.
//
// The interval is cut off at a length that starts from the problem's own scale and is doubled until the solution on the shorter
// interval no longer changes; the conditions at infinity hold at the last point. This suits solutions that approach their limit
// exponentially or faster (M. Lentini and H. B. Keller, "Boundary value problems on semi-infinite intervals and their numerical
// solution", SIAM J. Numer. Anal. 17, 1980, 577–604). The change from the shorter to the longer interval is
// part of the error estimate. A nonlinear problem starts short and takes each solution, continued to the longer interval, as the next guess.
//
// A solution that keeps oscillating does not settle, and one that decays like a power of the distance settles slowly: both are said, not guessed at.
package unbounded

import (
	"cmp"
	"fmt"
	"math"
	"time"

	"nodespan/solver/adapt"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/eigen"
	"nodespan/solver/newton"
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
	// Failed says that the answer is for looking at only.
	Failed bool
}

// Bounds of the search for a length.
const (
	mostDoublings = 24
	mostElements  = 1500
	mostSeconds   = 8
	mostFailures  = 4
	roughTol      = 1e-3 // to which a length is sought before the tolerance asked for
)

// Solve solves an ordinary problem on an unbounded interval. Where numbers of nodes or elements are given, the length is found without them first.
func Solve(p *bvp.Problem, o adapt.Options, solve Method) *Answer {
	if o.Nodes == 0 && o.Elements == 0 {
		return lengthen(p, o, solve)
	}
	free := o
	free.Nodes, free.Elements = 0, 0
	found := lengthen(p, free, solve)
	if found.Failed || found.Curve == nil {
		return found
	}
	t := *found.Problem
	guessFrom(&t, found)
	a, one := solve(&t, o)
	a.Iterations += found.Iterations
	if a.Curve != nil {
		reserve(a, found.Error)
		a.Error = relative(a)
		a.Met = a.Met && a.Error <= o.Tol
	}
	return &Answer{Answer: a, Problem: &t, One: one, Far: found.Far, Failed: a.Curve == nil}
}

// reserve adds to the estimates of an answer a relative error that it shares with another one, on whose interval it stands.
func reserve(a *adapt.Answer, e float64) {
	est := a.Estimate
	for _, l := range est.Local {
		for i := range l {
			l[i] += e * est.Scale[i]
		}
	}
	for i, v := range a.Curve.Grid().Parameters(a.Curve.V) {
		est.Parameters[i] += e * math.Max(1, math.Abs(v))
	}
}

// lengthen finds the length.
func lengthen(p *bvp.Problem, o adapt.Options, solve Method) *Answer {
	begin := time.Now()
	x := startLength(p, 4)
	full := o.Tol
	stage := math.Max(roughTol, full)
	best := &Answer{Answer: &adapt.Answer{Error: math.Inf(1)}}
	var short, lead *Answer // the solution on half the length at this stage; the last solution of all
	var changes []float64
	iterations, failures := 0, 0
	reason, linear := "", true
	for range mostDoublings {
		if o.Context != nil && o.Context.Err() != nil {
			reason = budget.Reason(o.Context)
			best.Outcome = newton.Cancelled
			break
		}
		if o.Progress != nil {
			o.Progress(fmt.Sprintf("infinity at a distance of %.4g", x))
		}
		a, b := ends(p, x)
		t := Truncate(p, a, b)
		if lead != nil {
			guessFrom(t, lead)
		}
		oo := o
		oo.Tol = math.Max(stage/4, 1e-13)
		sol, one := solve(t, oo)
		iterations += sol.Iterations
		if lead != nil && (sol.Curve == nil || !(sol.Error < 0.1)) {
			t = Truncate(p, a, b) // afresh: the continued solution was no good start
			sol, one = solve(t, oo)
			iterations += sol.Iterations
		}
		if sol.Curve == nil || !(sol.Error < 0.1) {
			reason = sol.Reason
			if failures++; failures > mostFailures {
				break
			}
			short = nil
			x *= 2
			continue
		}
		reason = ""
		now := &Answer{Answer: sol, Problem: t, One: one, Far: newFar(p, a, b)}
		now.Far.scale = sol.Estimate.Scale
		lead = now
		linear = linear && sol.Linear
		sol.Linear = linear // a guess that is the solution already makes any problem look linear
		if short != nil {
			change := widen(short.Answer, sol, 1.5) // the longer one has an error of its own
			changes = append(changes, change)
			alone := short.Error
			if n := len(changes); n > 1 && change > alone {
				// What further doublings would change: a geometric series.
				ratio := math.Min(change/changes[n-2], 0.9)
				enlarge(short.Answer, ratio/(1-ratio))
			}
			short.Error = relative(short.Answer)
			if best.Curve == nil || short.Error < best.Error {
				best = short
			}
			settled := short.Error <= stage && quietBeyond(p, short, full)
			if settled && stage > full {
				stage, short = full, nil
				continue // the same length, to the full tolerance
			}
			if settled {
				best = short
				best.Met, best.Reason = true, ""
				best.Iterations = iterations
				return best
			}
			if stage == full && alone > full/4 && change < alone {
				reason = short.Reason
				break // it is not the length that is short of the tolerance
			}
		}
		short = now
		if sol.Curve.Grid().Elements() > mostElements || time.Since(begin).Seconds() > mostSeconds {
			break
		}
		x *= 2
	}
	best.Iterations = iterations
	if best.Curve == nil && lead != nil {
		best.Curve, best.Estimate, best.Problem, best.One, best.Far = lead.Curve, lead.Estimate, lead.Problem, lead.One, lead.Far
		best.Failed = true
	}
	best.Met = false
	n := len(changes)
	unsettled := n > 2 && changes[n-1] > 0.1
	best.Failed = best.Failed || unsettled || best.Curve == nil
	switch {
	case slow(changes) && best.Outcome != newton.Cancelled:
		best.Reason = fmt.Sprintf("the solution settles too slowly as infinity is moved out (at a distance of %.3g a doubling still changes it by %.1g of its size): it approaches its limit like a power of the distance, not exponentially", x, changes[n-1])
	case reason != "" && !unsettled:
		best.Reason = reason
	default:
		best.Failed = true
		best.Reason = fmt.Sprintf("the solution does not settle as infinity is moved out to a distance of %.3g: it may oscillate, or no decaying solution may meet the conditions at infinity", x)
	}
	return best
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
	for _, l := range a.Estimate.Local {
		for i := range l {
			l[i] *= 1 + f
		}
	}
	for i := range a.Estimate.Parameters {
		a.Estimate.Parameters[i] *= 1 + f
	}
	a.Error = relative(a)
}

// slow reports that the changes fall, but by a nearly constant factor.
func slow(changes []float64) bool {
	n := len(changes)
	if n < 4 {
		return false
	}
	for i := n - 3; i < n; i++ {
		if r := changes[i] / changes[i-1]; !(r < 0.85) {
			return false
		}
	}
	return changes[n-1] < 0.2
}

// guessFrom makes a solution on a shorter interval the first guess.
func guessFrom(t *bvp.Problem, a *Answer) {
	t.Guess = a.Far.from(a.Curve)
	t.Parameters = append([]bvp.Parameter(nil), t.Parameters...)
	for i, v := range a.Curve.Grid().Parameters(a.Curve.V) {
		t.Parameters[i].Guess, t.Parameters[i].HasGuess = v, true
	}
}

// widen adds to the estimate of a shorter solution what it differs from a longer one, times a factor, element by element, and returns the largest
// difference relative to the size of each entry.
func widen(short, long *adapt.Answer, factor float64) float64 {
	g, est := short.Curve.Grid(), short.Estimate
	jet := g.P.Jet()
	u, v := make([]float64, jet), make([]float64, jet)
	most := make([]float64, jet)
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
	at := 0
	for _, un := range g.P.Unknowns {
		for d := range un.Order {
			if s := est.Scale[at+d]; s > 0 {
				change = math.Max(change, most[at+d]/s)
			}
		}
		at += un.Order + 1
	}
	return change
}

// quietBeyond reports whether the equations hold beyond the truncation for the continued solution, at points spread over two more
// decades: nothing (a source far out) waits there.
func quietBeyond(p *bvp.Problem, a *Answer, tol float64) bool {
	jet, n := p.Jet(), len(p.Unknowns)
	all := jet + len(p.Parameters)
	in, f, df := make([]float64, all), make([]float64, n), make([]float64, n*all)
	copy(in[jet:], a.Curve.Grid().Parameters(a.Curve.V))
	read := a.Far.from(a.Curve)
	length := a.Far.B - a.Far.A
	scale := a.Estimate.Scale
	check := func(x float64) bool {
		read(x, in[:jet])
		for i, v := range in[:jet] {
			if math.Abs(v) <= tol*scale[i] {
				in[i] = 0
			}
		}
		p.Equations(x, in, f, df)
		for r := range n {
			terms := 0.0
			for i := range jet {
				terms += math.Abs(df[r*all+i]) * scale[i]
			}
			if v := math.Abs(f[r]); !math.IsInf(v, 0) && v > math.Sqrt(tol)*terms {
				return false
			}
		}
		return true
	}
	const points = 240
	for j := 1; j <= points; j++ {
		d := length * (math.Pow(100, float64(j)/points) - 1)
		if math.IsInf(p.B, 1) && !check(a.Far.B+d) || math.IsInf(p.A, -1) && !check(a.Far.A-d) {
			return false
		}
	}
	return true
}

// Where says in words where infinity was put.
func (a *Answer) Where(p *bvp.Problem) string { return where(p, a.Far) }

func where(p *bvp.Problem, f *Far) string {
	name := cmp.Or(p.Variable, "x")
	switch {
	case math.IsInf(p.A, 0) && math.IsInf(p.B, 0):
		return fmt.Sprintf("infinity is put at %s = %.4g and %.4g, and moving it further out changes nothing to this tolerance", name, f.A, f.B)
	case math.IsInf(p.A, 0):
		return fmt.Sprintf("infinity is put at %s = %.4g, and moving it further out changes nothing to this tolerance", name, f.A)
	}
	return fmt.Sprintf("infinity is put at %s = %.4g, and moving it further out changes nothing to this tolerance", name, f.B)
}
