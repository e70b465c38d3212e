package unbounded

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"nodespan/solver/adapt"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/newton"
)

// search is the search for a length.
type search struct {
	p     *bvp.Problem
	o     adapt.Options
	solve Method
	x     float64 // the length
	first float64 // the first one
	full  float64 // the tolerance asked for
	stage float64 // that of the present stage: roughTol, then full
	// reached is the error that solutions can be had to, where that is more than each of them should have; else 0.
	reached float64
	// short is the solution on half the length, lead the last one of all, best the one with the least error.
	short, lead, best *Answer
	last              [2]*Answer   // the last two that were compared
	compared          [][2]*Answer // all of them
	before            *Far         // of the pair of intervals before
	earlier           *Far         // and of the one before that
	pairs             []move       // what each doubling changed
	marks             []float64
	iterations        int
	failures          int
	near              float64 // relative change of the last doubling in the first quarter of the interval
	restless          int     // doublings in turn that changed much
	linear            bool
	posed             posedness
	asked             bool // whether the conditions at infinity suit the equations
	reason            string
	moving            int   // the unknown that changes most
	cost              int64 // the work of the last one
	spent             bool  // it was more than there was for it
}

// move is the largest relative change from one interval to the next, the error of the shorter one besides, and its
// length.
type move struct{ change, alone, length float64 }

func newSearch(p *bvp.Problem, o adapt.Options, solve Method) *search {
	s := &search{p: p, o: o, solve: solve, x: startLength(p, 4), full: o.Tol, stage: math.Max(roughTol, o.Tol),
		linear: true}
	s.first = s.x
	s.best = &Answer{Answer: &adapt.Answer{Error: math.Inf(1)}}
	return s
}

// lengthen finds the length.
func (s *search) lengthen() *Answer {
	o := s.o
	for range mostDoublings {
		if budget.Over(o.Context) {
			s.reason = budget.Reason(o.Context)
			s.best.Outcome = newton.Cancelled
			break
		}
		now := s.attempt()
		if now == nil {
			if s.failures++; s.failures > mostFailures || s.spent && s.lead != nil || s.illPosed() {
				break
			}
			s.short, s.before = nil, nil
			s.x *= 2
			continue
		}
		goOn, done := s.judge(now)
		if done != nil {
			return done
		}
		if !goOn || s.spent {
			break
		}
	}
	return s.unmet()
}

// by solves in another way on the interval that was found: first without mesh points inside it, then with those that
// were needed.
func (s *search) by(solve Method, found *Answer, tol float64) *Answer {
	o, n := s.o, len(s.pairs)
	o.Tol = math.Max(tol/4, 1e-13)
	o.Context = budget.Part(s.o.Context, attemptShare)
	now := &Answer{Problem: Truncate(s.p, found.Far.A, found.Far.B), Far: newFar(s.p, found.Far.A, found.Far.B)}
	guessFrom(now.Problem, found)
	now.Answer, now.One = solve(now.Problem, o)
	if !now.Answer.Met {
		again := Truncate(s.p, found.Far.A, found.Far.B)
		x := found.Curve.Grid().Mesh.X
		again.Breaks = slices.Clone(x[1 : len(x)-1])
		guessFrom(again, found)
		o.Context = s.o.Context
		if a, one := solve(again, o); a.Curve != nil && (now.Curve == nil || a.Error < now.Error) {
			now.Answer, now.One, now.Problem = a, one, again
		}
	}
	now.Iterations += found.Iterations
	now.Answer.Linear = found.Answer.Linear
	if now.Failed = now.Curve == nil; now.Failed {
		return now
	}
	copy(now.Far.degree, found.Far.degree)
	now.Far.scale, now.Far.validTo = now.Estimate.Scale, found.Far.validTo
	s.before, s.pairs = s.earlier, s.pairs[:n-1]
	s.compare(now, found.Longer)
	if now.Met = now.Answer.Error <= tol; now.Met {
		now.Reason = ""
	}
	return now
}

// illPosed asks, where longer intervals bring no solution or one that does not settle, whether the conditions at
// infinity are why.
func (s *search) illPosed() bool {
	if s.last[0] == nil || !s.linear && s.failures > 1 {
		return false
	}
	s.posed = pose(s.o.Context, s.p, s.last[0], s.last[1])
	return s.posed == surplus || s.posed == growing
}

// attempt solves on the present length; nil when there is no solution to speak of.
func (s *search) attempt() *Answer {
	o := s.o
	s.reason = ""
	if o.Progress != nil {
		o.Progress(fmt.Sprintf("infinity at a distance of %.4g", s.x))
	}
	a, b := ends(s.p, s.x)
	o.Tol = max(s.stage/4, s.reached, 1e-13)
	o.Brief = s.lead != nil // on some length there was an answer: why there is none on another matters little
	t := s.truncate(a, b, false)
	if s.lead != nil && !s.lead.One && o.Nodes == 0 {
		o.Mesh = s.lead.stretched(a, b)
	}
	if s.lead != nil {
		guessFrom(t, s.lead)
	}
	part := budget.Part(s.o.Context, attemptShare)
	o.Context = part
	if s.lead != nil {
		o.Context = budget.Within(part, max(leastWork, mostDearer*s.cost))
	}
	sol, one := s.solve(t, o)
	s.iterations += sol.Iterations
	o.Context = part
	if s.lead != nil && (sol.Curve == nil || !(sol.Error <= s.stage)) {
		// Afresh: the continued solution was no good start, or the mesh too coarse a one.
		first, firstOne, firstProblem := sol, one, t
		t, o.Mesh = s.truncate(a, b, true), nil
		sol, one = s.solve(t, o)
		s.iterations += sol.Iterations
		if first.Curve != nil && (sol.Curve == nil || !(sol.Error < first.Error)) {
			sol, one, t = first, firstOne, firstProblem
		}
	}
	if s.spent = budget.Spent(part); s.spent {
		s.reason = budget.Reason(part)
	}
	if sol.Curve == nil || !(sol.Error < 0.1) {
		s.reason = cmp.Or(s.reason, sol.Reason)
		return nil
	}
	if !s.spent {
		s.reason = ""
	}
	if s.stage == s.full && !sol.Met && sol.Error <= nearMiss*o.Tol {
		s.reached = 2 * sol.Error // longer intervals need not try in vain for more
	}
	now := &Answer{Answer: sol, Problem: t, One: one, Far: newFar(s.p, a, b)}
	now.Far.scale = sol.Estimate.Scale
	if s.lead != nil {
		copy(now.Far.degree, s.lead.Far.degree)
	}
	s.lead, s.cost = now, part.Spent()
	s.linear = s.linear && sol.Linear
	sol.Linear = s.linear // a guess that is the solution already makes any problem look linear
	return now
}

// judge holds the solution on the present length against that on half of it, and chooses the next length. done is the
// answer when there is one.
func (s *search) judge(now *Answer) (goOn bool, done *Answer) {
	short := s.short
	s.short = now
	if short == nil {
		s.x *= 2
		return true, nil
	}
	s.last = [2]*Answer{short, now}
	s.compared = append(s.compared, s.last)
	change, alone := s.compare(short, now)
	if s.best.Curve == nil || short.Error < s.best.Error {
		s.best = short
	}
	found, none := []source(nil), false
	if short.Error <= s.stage {
		if _, none = now.sources(s.o.Context, s.stage); !none {
			found, _ = now.sources(s.o.Context, flank*s.full)
		}
	}
	need := slowest(s.p, now)
	switch {
	case need > now.length() && (none || s.linear):
		s.jump(need / 2) // nothing can be said before the slowest mode shows itself
		return true, nil
	case short.Error <= s.stage && none && s.stage > s.full:
		s.stage, s.short = s.full, nil
		return true, nil // the same length, to the full tolerance
	case short.Error <= s.stage && none:
		s.posed, s.asked = pose(s.o.Context, s.p, short, now), true
		if s.posed == surplus || s.posed == growing {
			return false, nil
		}
		if s.posed == wellPosed {
			now.farSources(s.o.Context, s.full)
			short.validAs(now)
			short.Met, short.Reason, short.Iterations = true, "", s.iterations
			return false, short
		}
	case s.stage == s.full && alone > s.full/4 && change < alone:
		s.reason = short.Reason
		return false, nil // it is not the length that is short of the tolerance
	}
	if change <= 0.1 || need > now.length() || now.settling() {
		s.restless = 0
	} else if s.restless++; s.restless == mostRestless/2 {
		// A source far out may be why: all that is seen of it so far is its flank.
		found, _ = now.sources(s.o.Context, flank*s.full)
	} else if s.restless > mostRestless || s.restless > mostRestless/2 && s.linear && s.illPosed() {
		return false, nil
	}
	if now.Curve.Grid().Elements() > mostElements {
		return false, nil
	}
	if farthest := s.mark(found); farthest > 2*s.x {
		s.restless = 0
		s.jump(1.5 * farthest)
		return true, nil
	}
	if n := s.doublings(); n > mostSteps/2 {
		more, _ := now.sources(s.o.Context, flank*s.full)
		s.mark(more)
		s.jump(s.x * math.Exp2(math.Min(n, mostSteps)))
		return true, nil
	}
	s.x *= 2
	return true, nil
}

// mostSteps is how many doublings of the distance are taken in one step, where an approach like a power of the distance
// says that so many are needed.
const mostSteps = 8

// doublings returns how many more doublings of the distance are needed to the tolerance of the stage, where each of the
// last ones changed as large a part of what the one before did; else 0.
func (s *search) doublings() float64 {
	n := len(s.pairs)
	if n < 4 || !s.linear { // a nonlinear problem starts from each solution, which must not be far
		return 0
	}
	var rate [3]float64 // logarithm of the ratio of changes for each doubling
	for i := range rate {
		q, before := s.pairs[n-3+i], s.pairs[n-4+i]
		rate[i] = math.Log(q.change/before.change) / math.Log2(q.length/before.length)
		if q.change < 4*q.alone || !(rate[i] > -2.5 && rate[i] < -0.1 && math.Abs(rate[i]-rate[0]) < 0.05) {
			return 0
		}
	}
	more := 1 / (1 - math.Exp(rate[2]))
	return math.Floor(math.Log(s.stage/(beyond*s.pairs[n-1].change*more)) / rate[2])
}

// validAs takes over how far the longer solution is valid, which has seen all that lies before its end.
func (a *Answer) validAs(long *Answer) {
	for _, side := range a.Far.sides() {
		a.Far.validTo[side] = long.Far.validTo[side] + math.Abs(long.Far.end(side)-a.Far.end(side))
	}
}

// jump goes on with a longer interval than the next.
//
//go:noinline
func (s *search) jump(x float64) {
	s.x = math.Max(2*s.x, x)
	s.short, s.before = nil, nil
}

// mark puts mesh points at sources far out, and returns how far the farthest reaches.
func (s *search) mark(found []source) (farthest float64) {
	from := base(s.p)
	for _, l := range found {
		if !l.apart || len(s.marks) > mostMarks {
			continue
		}
		s.marks = append(s.marks, l.marks...)
		for _, x := range l.marks {
			farthest = math.Max(farthest, math.Abs(x-from))
		}
	}
	return farthest
}

// compare adds to the errors of a shorter solution what it differs from a longer one, on its interval and beyond. It
// returns the largest relative change, and the error that the shorter one has besides.
func (s *search) compare(short, long *Answer) (change, alone float64) {
	alone = short.Error
	change = widen(short.Answer, long.Answer, beyond) // the longer one has an error of its own
	s.near = nearChange(short, long)
	short.Far.measure(short.Answer, long.Answer, s.before)
	copy(long.Far.degree, short.Far.degree)
	short.Longer, short.Left = long, math.Max(short.Answer.Left, long.Answer.Left)
	if change > alone+long.Error {
		// What further doublings would change, and no error of the two: a geometric series.
		ratio := short.Far.fall()
		if n := len(s.pairs); n > 0 && s.before != nil && s.pairs[n-1].change > s.pairs[n-1].alone {
			ratio = math.Min(change/s.pairs[n-1].change, worstRatio)
		}
		enlarge(short.Answer, ratio/(1-ratio))
		short.Left = math.Max(short.Left, ratio)
	}
	s.earlier, s.before = s.before, short.Far
	tail, which := short.Far.tailError(short.Estimate)
	s.moving = which
	short.Error = math.Max(relative(short.Answer), tail)
	change = math.Max(change, short.Far.seenError(short.Estimate))
	s.pairs = append(s.pairs, move{change, alone, short.length()})
	return change, alone
}

// limits reports whether any condition is at infinity.
func (s *search) limits() bool { return slices.ContainsFunc(s.p.Conditions, atInfinity) }

// nearChange is the largest relative difference of two solutions in the quarter of the shorter interval that is nearest
// to its finite end or its middle.
func nearChange(short, long *Answer) (change float64) {
	p, from, reach := short.Far.p, base(short.Far.p), short.length()/4
	u, v := make([]float64, p.Jet()), make([]float64, p.Jet())
	const samples = 40
	for j := -samples; j <= samples; j++ {
		x := from + reach*float64(j)/samples
		if x < short.Far.A || x > short.Far.B {
			continue
		}
		short.Curve.At(x, u)
		long.Curve.At(x, v)
		for i := range p.Unknowns {
			o := p.JetOffset(i)
			change = math.Max(change, math.Abs(u[o]-v[o])/math.Max(long.Estimate.Scale[o], 1e-300))
		}
	}
	return change
}

// askShorter asks on shorter intervals whether the conditions at infinity suit the equations, where the last one is too
// long to say: those that are still long enough for the slowest mode.
func (s *search) askShorter() {
	for i := len(s.compared) - 2; i >= 0 && s.posed == singular && !budget.Over(s.o.Context); i-- {
		short, long := s.compared[i][0], s.compared[i][1]
		if slowest(s.p, short) > short.length() {
			return
		}
		s.posed = pose(s.o.Context, s.p, short, long)
	}
}

// unmet says why there is no answer, with the best that was found.
func (s *search) unmet() *Answer {
	best := s.best
	best.Iterations = s.iterations
	if best.Curve == nil && s.lead != nil {
		lead := s.lead
		best.Curve, best.Estimate, best.Problem, best.One, best.Far = lead.Curve, lead.Estimate, lead.Problem, lead.One,
			lead.Far
		best.Failed = true
	}
	best.Met = false
	if best.Curve != nil {
		best.sources(s.o.Context, s.full)
		best.farSources(s.o.Context, s.full)
	}
	n := len(s.pairs)
	unsettled := n > 2 && s.pairs[n-1].change > 0.1
	best.Failed = best.Failed || unsettled || best.Curve == nil
	if s.last[0] != nil && s.posed == undecided && best.Outcome != newton.Cancelled && (s.linear || !unsettled) {
		s.posed = pose(s.o.Context, s.p, s.last[0], s.last[1])
	}
	s.askShorter()
	name := cmp.Or(s.p.Unknowns[s.moving].Name, "the solution")
	switch {
	case s.posed == surplus:
		best.Failed, best.Curve = true, nil // any of them is as good
		best.Reason = "the conditions at infinity do not fix a solution: one that falls to nothing far out may be " +
			"added freely, so that infinitely many solutions meet them, or none; give another condition at a finite " +
			"point in the place of one at infinity"
	case s.posed == growing && s.limits():
		best.Failed = true
		best.Reason = "there is no solution unless the conditions are exactly right: what meets those at finite " +
			"points grows without bound far out; a condition at a finite point may be one too many"
	case s.posed == growing:
		best.Failed = true
		best.Reason = "solutions that start from these conditions grow without bound far out, unless the conditions " +
			"are exactly right: a condition at infinity may be missing, or a finite interval be what is meant"
	case unsettled && s.restless >= mostRestless/2 && s.near <= nearSettled && s.limits() && !s.lead.carries():
		best.Failed = true
		best.Reason = fmt.Sprintf("there is no solution: what meets the conditions at finite points settles, but to "+
			"no limit that the conditions at infinity ask for; these are met only by a bend at the last point, "+
			"however far out that is put, and %s = %.3g is far", cmp.Or(s.p.Variable, "x"), s.x)
	case s.asked && best.Outcome != newton.Cancelled:
		best.Failed = true
		best.Reason = "it cannot be decided whether the conditions at infinity fix one solution: what they hold " +
			"changes too slowly with the distance"
	case slow(s.pairs) && best.Outcome != newton.Cancelled:
		best.Reason = fmt.Sprintf("the solution settles too slowly as infinity is moved out (at a distance of %.3g a "+
			"doubling still changes it by %.1g of its size): it approaches its limit like a power of the distance, "+
			"not exponentially", s.x, s.pairs[n-1].change)
	case s.reason != "" && !unsettled:
		best.Reason = s.reason
	default:
		best.Failed = true
		best.Reason = fmt.Sprintf("the solution does not settle as infinity is moved out to a distance of %.3g: %s "+
			"may oscillate or grow, or no decaying solution may meet the conditions at infinity", s.x, name)
	}
	return best
}
