package unbounded

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"nodespan/solver/adapt"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
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
	// short is the solution on half the length, lead the last one of all, best the one with the least error.
	short, lead, best *Answer
	last              [2]*Answer   // the last two that were compared
	compared          [][2]*Answer // all of them
	before            *Far         // of the pair of intervals before
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
	moving            int // the unknown that changes most
}

// move is the largest relative change from one interval to the next, and the error of the shorter one besides.
type move struct{ change, alone float64 }

// lengthen finds the length.
func lengthen(p *bvp.Problem, o adapt.Options, solve Method) *Answer {
	s := &search{p: p, o: o, solve: solve, x: startLength(p, 4), full: o.Tol, stage: math.Max(roughTol, o.Tol),
		linear: true}
	s.first = s.x
	s.best = &Answer{Answer: &adapt.Answer{Error: math.Inf(1)}}
	for range mostDoublings {
		if budget.Over(o.Context) {
			s.reason = budget.Reason(o.Context)
			s.best.Outcome = newton.Cancelled
			break
		}
		now := s.attempt()
		if now == nil {
			if s.failures++; s.failures > mostFailures || s.illPosed() {
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
		if !goOn {
			break
		}
	}
	return s.unmet()
}

// illPosed asks, where longer intervals bring no solution or one that does not settle, whether the conditions at
// infinity are why.
func (s *search) illPosed() bool {
	if s.last[0] == nil || !s.linear && s.failures > 1 {
		return false
	}
	s.posed = pose(s.p, s.last[0], s.last[1])
	return s.posed == surplus || s.posed == growing
}

// attempt solves on the present length; nil when there is no solution to speak of.
func (s *search) attempt() *Answer {
	o := s.o
	if o.Progress != nil {
		o.Progress(fmt.Sprintf("infinity at a distance of %.4g", s.x))
	}
	a, b := ends(s.p, s.x)
	o.Tol = math.Max(s.stage/4, 1e-13)
	o.Context = budget.Part(s.o.Context, attemptShare)
	o.Brief = s.lead != nil // on some length there was an answer: why there is none on another matters little
	t := s.truncate(a, b, false)
	if s.lead != nil && !s.lead.One && o.Nodes == 0 {
		o.Mesh = s.lead.stretched(a, b)
	}
	if s.lead != nil {
		guessFrom(t, s.lead)
	}
	sol, one := s.solve(t, o)
	s.iterations += sol.Iterations
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
	if sol.Curve == nil || !(sol.Error < 0.1) {
		s.reason = sol.Reason
		return nil
	}
	s.reason = ""
	now := &Answer{Answer: sol, Problem: t, One: one, Far: newFar(s.p, a, b)}
	now.Far.scale = sol.Estimate.Scale
	if s.lead != nil {
		copy(now.Far.degree, s.lead.Far.degree)
	}
	s.lead = now
	s.linear = s.linear && sol.Linear
	sol.Linear = s.linear // a guess that is the solution already makes any problem look linear
	return now
}

// waveNodes is how many of its unknowns' numbers an element is given that is as fine as the last solution.
const waveNodes = 20

// truncate puts infinity at a and b, with mesh points at the sources that were found far out; and, if graded, at
// distances that double and at steps as long as those that the last solution needed: it may have waves.
func (s *search) truncate(a, b float64, graded bool) *bvp.Problem {
	t := Truncate(s.p, a, b)
	marks := slices.Clone(t.Breaks)
	for _, x := range s.marks {
		if x > a && x < b {
			marks = append(marks, x)
		}
	}
	from := base(s.p)
	add := func(d float64) {
		for _, x := range []float64{from - d, from + d} {
			if x > a && x < b {
				marks = append(marks, x)
			}
		}
	}
	if graded {
		for d := s.x / 2; d > s.first; d /= 2 {
			add(d)
		}
		step := s.lead.length() * waveNodes / float64(s.lead.Curve.Grid().Unknowns())
		for d := step; d < s.x && step > s.x/mostElements; d += step {
			add(d)
		}
	}
	slices.Sort(marks)
	t.Breaks = slices.Compact(marks)
	return t
}

// densest is how many elements of a doubling of the distance are repeated in the next one; where there are more they
// belong to something that happens there.
const densest = 12

// stretched continues the mesh of an answer to the interval from lo to hi: each doubling of the distance is divided as
// the one before.
func (a *Answer) stretched(lo, hi float64) *collocation.Mesh {
	g, origin := a.Curve.Grid(), base(a.Far.p)
	m := collocation.Mesh{X: slices.Clone(g.Mesh.X), Nodes: slices.Clone(g.Mesh.Nodes), Family: g.Mesh.Family}
	at, ok := slices.BinarySearch(m.X, origin)
	if !ok {
		m.X, m.Nodes = slices.Insert(m.X, at, origin), slices.Insert(m.Nodes, at, m.Nodes[at-1])
	}
	// Distances to the left, and to the right.
	left, right := make([]float64, at+1), make([]float64, len(m.X)-at)
	for i := range left {
		left[i] = origin - m.X[at-i]
	}
	for i := range right {
		right[i] = m.X[at+i] - origin
	}
	leftNodes, rightNodes := slices.Clone(m.Nodes[:at]), slices.Clone(m.Nodes[at:])
	slices.Reverse(leftNodes)
	left, leftNodes = doubled(left, leftNodes, origin-lo)
	right, rightNodes = doubled(right, rightNodes, hi-origin)
	out := &collocation.Mesh{Family: m.Family}
	for i := len(left) - 1; i > 0; i-- {
		out.X, out.Nodes = append(out.X, origin-left[i]), append(out.Nodes, leftNodes[i-1])
	}
	out.X = append(out.X, origin)
	for i := 1; i < len(right); i++ {
		out.X, out.Nodes = append(out.X, origin+right[i]), append(out.Nodes, rightNodes[i-1])
	}
	out.X[0], out.X[len(out.X)-1] = lo, hi
	return out
}

// doubled continues distances d, with nodes k in the elements between them, up to a reach.
func doubled(d []float64, k []int, reach float64) ([]float64, []int) {
	if len(d) < 2 {
		return d, k
	}
	for top := d[len(d)-1]; top < reach; top = d[len(d)-1] {
		n := len(d)
		i, _ := slices.BinarySearch(d, top/2)
		if n-1-i > densest || i == n-1 {
			for j := range 4 {
				d, k = append(d, top+top*float64(j+1)/4), append(k, k[n-2])
			}
			continue
		}
		if d[i] > top/2 {
			d, k = append(d, 2*d[i]), append(k, k[i-1])
		}
		for ; i < n-1; i++ {
			d, k = append(d, 2*d[i+1]), append(k, k[i])
		}
	}
	for len(d) > 2 && d[len(d)-2] >= reach*(1-1e-9) {
		d, k = d[:len(d)-1], k[:len(k)-1]
	}
	d[len(d)-1] = reach
	return d, k
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
	found, quiet := []loud(nil), false
	if short.Error <= s.stage {
		if _, quiet = now.listen(s.stage); !quiet {
			found, _ = now.listen(flank * s.full)
		}
	}
	need := slowest(s.p, now)
	switch {
	case need > now.length() && (quiet || s.linear):
		s.jump(need / 2) // nothing can be said before the slowest mode shows itself
		return true, nil
	case short.Error <= s.stage && quiet && s.stage > s.full:
		s.stage, s.short = s.full, nil
		return true, nil // the same length, to the full tolerance
	case short.Error <= s.stage && quiet:
		s.posed, s.asked = pose(s.p, short, now), true
		if s.posed == surplus || s.posed == growing {
			return false, nil
		}
		if s.posed == wellPosed {
			short.Met, short.Reason, short.Iterations = true, "", s.iterations
			return false, short
		}
	case s.stage == s.full && alone > s.full/4 && change < alone:
		s.reason = short.Reason
		return false, nil // it is not the length that is short of the tolerance
	}
	if change <= 0.1 || need > now.length() {
		s.restless = 0
	} else if s.restless++; s.restless == mostRestless/2 {
		// A source far out may be why: all that is seen of it so far is its flank.
		found, _ = now.listen(flank * s.full)
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
	s.x *= 2
	return true, nil
}

// jump goes on with a longer interval than the next.
func (s *search) jump(x float64) {
	s.x = math.Max(2*s.x, x)
	s.short, s.before = nil, nil
}

// mark puts mesh points at sources far out, and returns how far the farthest reaches.
func (s *search) mark(found []loud) (farthest float64) {
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
	s.before = short.Far
	tail, which := short.Far.tailError(short.Estimate)
	s.moving = which
	short.Error = math.Max(relative(short.Answer), tail)
	change = math.Max(change, short.Far.seenError(short.Estimate))
	s.pairs = append(s.pairs, move{change, alone})
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
		s.posed = pose(s.p, short, long)
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
		best.listen(s.full)
	}
	n := len(s.pairs)
	unsettled := n > 2 && s.pairs[n-1].change > 0.1
	best.Failed = best.Failed || unsettled || best.Curve == nil
	if s.last[0] != nil && s.posed == undecided && best.Outcome != newton.Cancelled && (s.linear || !unsettled) {
		s.posed = pose(s.p, s.last[0], s.last[1])
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
	case unsettled && s.restless >= mostRestless/2 && s.near <= nearSettled && s.limits():
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
