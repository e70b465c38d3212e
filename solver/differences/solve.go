package differences

import (
	"context"
	"fmt"
	"math"
	"slices"

	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/newton"
)

// Options say what is wanted; the zero value with a tolerance is sensible.
type Options struct {
	// Order is the order of the differences: 2 (also for 0), 4, 6 or 8.
	Order int
	// Nodes is the number of interior mesh points; 0: doubled until the tolerance is met.
	Nodes int
	// Tol is the tolerance asked of every unknown and its derivatives below its order, relative to the largest value.
	Tol float64
	// Reference, when not nil, is what every error is measured against, and where Newton's iteration starts.
	// Without one the differences are judged by themselves: by meshes of other widths.
	Reference *Reference
	// Guide, when not nil, is asked for an approximation when Newton's iteration does not get there from the first
	// guesses; it may return nil.
	Guide    func() *Start
	Progress func(string)
	Context  context.Context
}

// Answer is what was reached.
type Answer struct {
	// Met reports that the estimated error is within the tolerance.
	Met bool
	// Curve is the solution, nil when there is none to show.
	Curve    *Curve
	Estimate *Estimate
	// Error is the largest estimated relative error.
	Error float64
	// Condition is the problem's condition number, 0 when not known.
	Condition  float64
	Iterations int
	Linear     bool
	// Cause is why the tolerance was not met, Reason the same in one sentence; empty when Met.
	Cause   Cause
	Reason  string
	Outcome newton.Outcome
}

// Limits.
const (
	Orders       = 8       // the highest order of differences
	MostNodes    = 100_000 // interior mesh points that may be asked for
	firstMesh    = 32      // intervals that doubling starts from
	mostDoubled  = 1 << 16 // intervals that it ends at
	unresolved   = 1e-1    // a relative error above this is no answer
	leastFalling = 1.5     // differences must fall at least by this factor per doubling to be believed
)

// Solve solves the problem on uniform meshes. It panics on an order that is not 2, 4, 6 or 8.
func Solve(p *bvp.Problem, o Options) *Answer {
	if o.Order == 0 {
		o.Order = 2
	}
	if o.Order%2 != 0 || o.Order < 2 || o.Order > Orders {
		panic(fmt.Sprintf("differences: order %d is not 2, 4, 6 or 8", o.Order))
	}
	w := &work{p: p, o: o, settles: settle(p)}
	if o.Nodes > 0 {
		return w.given()
	}
	return w.doubling()
}

// Start is an approximation to begin from.
type Start struct {
	Jet        func(x float64, jet []float64)
	Parameters []float64
}

// On solves on one mesh with the given number of interior points, without judging the result. A nil start means the
// first guesses in turn. The curve is nil when the outcome is not newton.Converged; a mesh with fewer points than
// Fewest counts as singular.
func On(p *bvp.Problem, nodes, order int, start *Start, ctx context.Context) (*Curve, newton.Outcome) {
	w := &work{p: p, o: Options{Order: order, Context: ctx}, settles: settle(p)}
	iv := w.divide(nodes + 1)
	if iv == nil {
		return nil, newton.Singular
	}
	d := w.on(iv, start)
	if d.outcome != newton.Converged {
		return nil, d.outcome
	}
	return &Curve{d.g, d.v}, d.outcome
}

// Fewest returns the smallest number of interior points that a mesh of the given order may have.
//
//go:noinline
func Fewest(p *bvp.Problem, order int) int {
	m := 0
	for _, u := range p.Unknowns {
		m = max(m, u.Order)
	}
	return (len(p.Breaks)+1)*fewest(m, order) - 1
}

// sensitive is the condition number above which the equations count as singular.
const sensitive = 1e11

// inf is the error of what nothing is known of.
var inf = math.Inf(1)

type work struct {
	p          *bvp.Problem
	o          Options
	settles    []int // order of each equation
	iterations int
}

func (w *work) say(format string, args ...any) {
	if w.o.Progress != nil {
		w.o.Progress(fmt.Sprintf(format, args...))
	}
}

// divide spreads intervals over the stretches between breaks in proportion to their length; nil when there are too
// few.
func (w *work) divide(intervals int) []int {
	x := append(append([]float64{w.p.A}, w.p.Breaks...), w.p.B)
	m := 0
	for _, u := range w.p.Unknowns {
		m = max(m, u.Order)
	}
	least := fewest(m, w.o.Order)
	out := make([]int, len(x)-1)
	sum := 0
	for i := range out {
		out[i] = max(least, int(math.Round(float64(intervals)*(x[i+1]-x[i])/(w.p.B-w.p.A))))
		sum += out[i]
	}
	// Rounding: the longest stretches give or take.
	for sum != intervals {
		k := 0
		for i := range out {
			if float64(out[i])/(x[i+1]-x[i]) > float64(out[k])/(x[k+1]-x[k]) == (sum > intervals) {
				k = i
			}
		}
		if sum > intervals {
			if out[k] <= least {
				if k = slices.IndexFunc(out, func(n int) bool { return n > least }); k < 0 {
					return nil
				}
			}
			out[k]--
			sum--
		} else {
			out[k]++
			sum++
		}
	}
	return out
}

func double(iv []int) []int {
	out := make([]int, len(iv))
	for i, n := range iv {
		out[i] = 2 * n
	}
	return out
}

func total(iv []int) (n int) {
	for _, k := range iv {
		n += k
	}
	return n
}

// on solves on one mesh, from an approximation or from the first guesses in turn, then from the guide.
func (w *work) on(intervals []int, start *Start) *discrete {
	g := newGrid(w.p, intervals, w.o.Order, w.settles)
	run := func(jet func(float64, []float64), par []float64) *discrete {
		v := g.newVector()
		g.fill(v, jet, par)
		d := g.solve(v, w.o.Context)
		w.iterations += d.iterations
		return d
	}
	if start != nil {
		if d := run(start.Jet, start.Parameters); d.outcome == newton.Converged || d.outcome == newton.Cancelled {
			return d
		}
	}
	if ref := w.o.Reference; ref != nil {
		return run(ref.Jet, ref.Parameters)
	}
	var d *discrete
	for _, c := range []float64{0, 1, 0.1, -1} {
		par := make([]float64, len(w.p.Parameters))
		for i, q := range w.p.Parameters {
			par[i] = 1
			if q.HasGuess {
				par[i] = q.Guess
			}
		}
		jet := w.p.Guess
		if jet == nil {
			jet = func(_ float64, jet []float64) {
				clear(jet)
				for _, at := range g.jetAt {
					jet[at] = c
				}
			}
		}
		next := run(jet, par)
		if d == nil || next.outcome == newton.Converged {
			d = next
		}
		if d.outcome == newton.Converged || next.outcome == newton.Cancelled || w.p.Guess != nil {
			break
		}
	}
	if d.outcome != newton.Converged && d.outcome != newton.Cancelled && w.o.Guide != nil {
		if s := w.o.Guide(); s != nil {
			if g := run(s.Jet, s.Parameters); g.outcome == newton.Converged {
				return g
			}
		}
	}
	return d
}

// start makes a solution the start of another.
func (d *discrete) start() *Start {
	c := &Curve{d.g, d.v}
	return &Start{c.At, c.Parameters()}
}

// spend counts the work of answers of the linear equations, each read off at the mesh points.
func (w *work) spend(d *discrete, answers float64) {
	_, substitution := d.sys.Work()
	budget.Spend(w.o.Context, answers*(d.g.work()+substitution))
}

// answer judges one of three solutions. It has no curve where nothing can be said of the error.
func (w *work) answer(three [3]*discrete, finest bool) (a *Answer, rounding float64) {
	for _, d := range three {
		w.spend(d, 5)
	}
	e, d1, d2 := judge(three, finest)
	d := three[0]
	if finest {
		d = three[2]
	}
	a = &Answer{Estimate: e, Outcome: newton.Converged, Iterations: w.iterations, Linear: d.linear}
	a.Condition = e.addRounding(d)
	if c := w.doubtful(three, d1, d2); c.Kind != None {
		a.Error = inf
		a.blame(w, c)
		return a, 0
	}
	if finest {
		e.admitRounding(d2)
	}
	e.betweenPoints(d)
	a.Error, rounding = e.relative(d)
	if !(a.Error <= 1) || finest && a.Error > unresolved {
		a.Error = inf
		a.blame(w, Cause{Kind: Unsettled})
		return a, 0
	}
	a.Curve = &Curve{d.g, d.v}
	a.Met = a.Error <= w.o.Tol
	if !a.Met && a.Condition > sensitive {
		a.blame(w, Cause{Kind: SingularEquations})
	}
	return a, rounding
}

// heldAgainst judges one solution by the reference.
func (w *work) heldAgainst(d *discrete) (a *Answer, rounding float64) {
	w.spend(d, 4)
	e := compareWith(d, w.o.Reference, w.o.Context)
	a = &Answer{Curve: e.curve, Estimate: e, Outcome: newton.Converged, Iterations: w.iterations, Linear: d.linear}
	a.Error, _ = e.relative(d)
	a.Met = a.Error <= w.o.Tol
	// What rounding did is in the difference already; how much of it there is says whether a finer mesh can be
	// better.
	part := &Estimate{stretches: e.stretches, scale: e.scale, Parameters: make([]float64, d.g.par)}
	a.Condition = part.addRounding(d)
	_, rounding = part.relative(d)
	return a, rounding
}

// below says that a formula changes on a scale below the mesh width, and where: then a reference that misses it is
// not found out.
//
//go:noinline
func (w *work) below(d *discrete) Cause {
	if x, ok := d.g.narrow(); ok {
		return Cause{Kind: Hidden, X: x}
	}
	return Cause{}
}

// given solves on the mesh that was asked for and judges it, by the reference or by meshes twice and four times as
// fine.
func (w *work) given() *Answer {
	if w.o.Nodes > MostNodes {
		return w.without(Cause{Kind: TooManyPoints})
	}
	iv := w.divide(w.o.Nodes + 1)
	if iv == nil {
		return w.without(Cause{Kind: TooFewPoints, Points: w.o.Nodes})
	}
	var three [3]*discrete
	var before *Start
	for i := range three {
		w.say("differences on %d intervals", total(iv))
		d := w.on(iv, before)
		if d.outcome != newton.Converged {
			return w.without(causeOf(d))
		}
		three[i], before = d, d.start()
		iv = double(iv)
		if w.o.Reference != nil {
			break
		}
	}
	var a *Answer
	if w.o.Reference != nil {
		a, _ = w.heldAgainst(three[0])
		if c := w.below(three[0]); a.Met && c.Kind != None {
			return w.without(c)
		}
	} else {
		a, _ = w.answer(three, false)
	}
	if !a.Met && a.Cause.Kind == None {
		outcome := a.Outcome
		a.blame(w, Cause{Kind: Unresolved, Points: w.o.Nodes + 2})
		a.Outcome = outcome
	}
	return a
}

// doubling doubles the number of intervals until the tolerance is met, rounding takes over or the limit is reached.
func (w *work) doubling() *Answer {
	s := &sequence{work: w, best: &Answer{Error: inf}, last: inf}
	iv := w.divide(max(firstMesh, Fewest(w.p, w.o.Order)+1))
	for ; total(iv) <= mostDoubled; iv = double(iv) {
		w.say("differences on %d intervals", total(iv))
		d := w.on(iv, s.before)
		if d.outcome != newton.Converged {
			if s.failed(d, total(iv)) {
				break
			}
			continue
		}
		if s.solved(d) {
			break
		}
	}
	if s.final {
		s.best.Iterations = w.iterations
		return s.best
	}
	if s.away {
		s.best = w.without(Cause{Kind: Apart})
	}
	s.best.Iterations = w.iterations
	if s.best.Curve == nil {
		return s.best
	}
	switch outcome := s.best.Outcome; {
	case s.doubt.Kind != None:
		s.best.blame(w, s.doubt)
		s.best.Outcome = outcome
	case s.ends:
		s.best.blame(w, Cause{Kind: RoundingGrows})
		s.best.Outcome = outcome
	default:
		s.best.blame(w, Cause{Kind: Unresolved, Points: total(iv) / 2})
		s.best.Outcome = outcome
	}
	return s.best
}

// sequence is a sequence of meshes, each twice as fine as the one before.
type sequence struct {
	*work
	best   *Answer
	three  [3]*discrete // the last solutions
	have   int          // how many of these belong together
	before *Start       // where the next mesh starts
	last   float64      // the error of the mesh before, against the reference
	away   bool         // finer meshes move away from the reference
	doubt  Cause        // why the best, met by the reference, waits for a finer mesh
	ends   bool         // rounding ends the sequence
	final  bool         // the best says itself what keeps it from the tolerance
}

// failed records a mesh without a solution, and reports whether the sequence ends with it.
func (s *sequence) failed(d *discrete, intervals int) (done bool) {
	if s.best.Curve == nil {
		s.best = s.without(causeOf(d))
	}
	if d.outcome == newton.Cancelled {
		if s.away {
			s.best = s.without(Cause{})
		}
		s.best.blame(s.work, Cause{Kind: Stopped})
		s.final = true
		return true
	}
	// A finer mesh may see what this one does not.
	s.have, s.before = 0, nil
	return intervals >= 16*firstMesh
}

// solved judges a mesh's solution, and reports whether the sequence ends with it.
func (s *sequence) solved(d *discrete) (done bool) {
	s.before = d.start()
	s.three[0], s.three[1], s.three[2] = s.three[1], s.three[2], d
	var a *Answer
	var rounding float64
	ends := false // rounding ends it here
	if s.o.Reference != nil {
		a, rounding = s.heldAgainst(d)
		ends = rounding > a.Error/8 && a.Error > s.last/2
		s.last = a.Error
		s.away = a.Error > 2*s.best.Error && rounding < a.Error/8
	} else {
		if s.have++; s.have < 3 {
			return false
		}
		if a, rounding = s.answer(s.three, true); a.Curve == nil {
			s.best = a // what coarser meshes claimed is doubtful too
			s.final = a.Cause.Kind == SingularEquations
			return s.final
		}
		ends = rounding > a.Error/2 || rounding > s.o.Tol
	}
	// Judged by themselves, finer meshes know more than coarser ones that claimed less, unless rounding spoils them.
	if a.Error < s.best.Error || s.best.Curve == nil || s.o.Reference == nil && !ends ||
		s.doubt.Kind != None && !s.away {
		s.best = a
	}
	if s.doubt = (Cause{}); a.Met && s.o.Reference != nil {
		if s.doubt = s.below(d); s.doubt.Kind != None {
			return false
		}
	}
	if a.Met || a.Cause.Kind != None {
		s.best, s.final = a, true
		return true
	}
	s.ends = ends
	return ends
}

// settle returns for each equation the order of the unknown whose highest derivative it settles: a matching of
// equations and unknowns in which each equation contains that derivative.
func settle(p *bvp.Problem) []int {
	n := len(p.Unknowns)
	J := p.Jet() + len(p.Parameters)
	has := make([][]bool, n)
	for r := range has {
		has[r] = make([]bool, n)
	}
	in, f, df := make([]float64, J), make([]float64, n), make([]float64, n*J)
	for probe := range 5 {
		for i := range in {
			in[i] = math.Sin(float64(3*i+7*probe+1)) + 0.1
		}
		p.Equations(p.A+(p.B-p.A)*(0.137+0.19*float64(probe)), in, f, df)
		for r := range n {
			for i, u := range p.Unknowns {
				if c := df[r*J+p.JetOffset(i)+u.Order]; c != 0 {
					has[r][i] = true
				}
			}
		}
	}
	out := make([]int, n)
	for i, r := range bvp.Match(has) {
		if r >= 0 {
			out[r] = p.Unknowns[i].Order
		}
	}
	// Where no matching exists (several equations for one highest derivative), the equations stand in the order of
	// the unknowns.
	if slices.Contains(out, 0) {
		for r, u := range p.Unknowns {
			out[r] = u.Order
		}
	}
	return out
}
