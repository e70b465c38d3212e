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
	// Reason says in one sentence why the tolerance was not met; empty when Met.
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
func Fewest(p *bvp.Problem, order int) int {
	m := 0
	for _, u := range p.Unknowns {
		m = max(m, u.Order)
	}
	return (len(p.Breaks)+1)*fewest(m, order) - 1
}

// sensitive is the condition number above which the equations count as singular.
const sensitive = 1e11

const singular = "the difference equations are singular: the conditions do not fix one solution"

const apart = "differences move away from the collocation solution as their mesh gets finer: " +
	"one of the two misses something"

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

func (w *work) fail(d *discrete) *Answer {
	a := &Answer{Error: math.Inf(1), Outcome: d.outcome, Iterations: w.iterations}
	if d.hopeless {
		a.Reason = fmt.Sprintf("rounding spoils the difference equations on %d points and more; take fewer points, "+
			"or one polynomial", len((&Curve{d.g, d.v}).Mesh())-2)
		return a
	}
	switch d.outcome {
	case newton.Singular:
		a.Reason = singular
	case newton.NotFinite:
		a.Reason = "the equation cannot be evaluated at the first guess; give a guess line"
	case newton.Cancelled:
		a.Reason = budget.Reason(w.o.Context)
	default:
		a.Reason = "Newton's iteration did not converge; give a guess line nearer to the solution"
	}
	return a
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
	if a.Reason, a.Outcome = w.doubtful(three, d1, d2); a.Reason != "" {
		a.Error = math.Inf(1)
		return a, 0
	}
	if finest {
		e.admitRounding(d2)
	}
	e.betweenPoints(d)
	a.Error, rounding = e.relative(d)
	if !(a.Error <= 1) || finest && a.Error > unresolved {
		a.Error, a.Reason, a.Outcome = math.Inf(1), unsettled, newton.Stalled
		return a, 0
	}
	a.Curve = &Curve{d.g, d.v}
	a.Met = a.Error <= w.o.Tol
	if !a.Met && a.Condition > sensitive {
		a.Outcome, a.Reason = newton.Singular, singular
	}
	return a, rounding
}

// heldAgainst judges one solution by the reference.
func (w *work) heldAgainst(d *discrete) (a *Answer, rounding float64) {
	w.spend(d, 4)
	e := held(d, w.o.Reference, w.o.Context)
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
// not found out. It is empty where none does.
func (w *work) below(d *discrete) string {
	if x, ok := d.g.narrow(); ok {
		return fmt.Sprintf("a formula of the equation changes at %s = %.6g within less than a mesh width",
			w.p.VariableName(), x)
	}
	return ""
}

// given solves on the mesh that was asked for and judges it, by the reference or by meshes twice and four times as
// fine.
func (w *work) given() *Answer {
	if w.o.Nodes > MostNodes {
		return &Answer{Error: math.Inf(1), Outcome: newton.Stalled,
			Reason: fmt.Sprintf("at most %d mesh points are taken; ask for fewer", MostNodes)}
	}
	iv := w.divide(w.o.Nodes + 1)
	if iv == nil {
		return &Answer{Error: math.Inf(1), Outcome: newton.Stalled,
			Reason: fmt.Sprintf("%d interior points are too few for differences of order %d here; at least "+
				"%d are needed", w.o.Nodes, w.o.Order, Fewest(w.p, w.o.Order))}
	}
	var three [3]*discrete
	var before *Start
	for i := range three {
		w.say("differences on %d intervals", total(iv))
		d := w.on(iv, before)
		if d.outcome != newton.Converged {
			return w.fail(d)
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
		if why := w.below(three[0]); a.Met && why != "" {
			return &Answer{Error: math.Inf(1), Outcome: newton.Stalled, Reason: why, Iterations: w.iterations}
		}
	} else {
		a, _ = w.answer(three, false)
	}
	if !a.Met && a.Reason == "" {
		a.Reason = fmt.Sprintf("%d interior points with differences of order %d are too few for the tolerance",
			w.o.Nodes, w.o.Order)
	}
	return a
}

// doubling doubles the number of intervals until the tolerance is met, rounding takes over or the limit is reached.
func (w *work) doubling() *Answer {
	iv := w.divide(max(firstMesh, Fewest(w.p, w.o.Order)+1))
	var three [3]*discrete
	best := &Answer{Error: math.Inf(1)}
	reason := ""
	var before *Start
	last := math.Inf(1)
	away := false // finer meshes move away from the reference
	doubt := ""   // why the best, met by the reference, waits for a finer mesh
	for have := 0; total(iv) <= mostDoubled; iv = double(iv) {
		w.say("differences on %d intervals", total(iv))
		d := w.on(iv, before)
		if d.outcome != newton.Converged {
			if best.Curve == nil {
				best = w.fail(d)
			}
			if d.outcome == newton.Cancelled {
				if away {
					best = &Answer{Error: math.Inf(1), Iterations: w.iterations}
				}
				best.Met, best.Outcome, best.Reason = false, d.outcome, budget.Reason(w.o.Context)
				return best
			}
			// A finer mesh may see what this one does not.
			have, before = 0, nil
			if total(iv) >= 16*firstMesh {
				break
			}
			continue
		}
		before = d.start()
		three[0], three[1], three[2] = three[1], three[2], d
		var a *Answer
		var rounding float64
		ends := false // rounding ends it here
		if w.o.Reference != nil {
			a, rounding = w.heldAgainst(d)
			ends = rounding > a.Error/8 && a.Error > last/2
			last = a.Error
			away = a.Error > 2*best.Error && rounding < a.Error/8
		} else {
			if have++; have < 3 {
				continue
			}
			if a, rounding = w.answer(three, true); a.Curve == nil {
				best = a // what coarser meshes claimed is doubtful too
				if a.Reason == singular {
					return a
				}
				continue
			}
			ends = rounding > a.Error/2 || rounding > w.o.Tol
		}
		// Judged by themselves, finer meshes know more than coarser ones that claimed less, unless rounding spoils
		// them.
		if a.Error < best.Error || best.Curve == nil || w.o.Reference == nil && !ends || doubt != "" && !away {
			best = a
		}
		if doubt = ""; a.Met && w.o.Reference != nil && 2*total(iv) <= mostDoubled {
			if doubt = w.below(d); doubt != "" {
				continue
			}
		}
		if a.Met || a.Reason != "" {
			a.Iterations = w.iterations
			return a
		}
		if ends {
			reason = fmt.Sprintf("rounding, which grows as the mesh gets finer, ends what differences of order %d "+
				"can give here; a higher order or one polynomial gives more digits", w.o.Order)
			break
		}
	}
	if away {
		best = &Answer{Error: math.Inf(1), Outcome: newton.Stalled, Reason: apart}
	}
	best.Iterations = w.iterations
	if best.Curve == nil {
		return best
	}
	if doubt != "" {
		best.Met, reason = false, doubt
	}
	if reason == "" {
		reason = fmt.Sprintf("differences of order %d on %d intervals do not resolve the solution to the tolerance",
			w.o.Order, total(iv)/2)
	}
	best.Reason = reason
	return best
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
	of := make([]int, n) // equation of each unknown
	for i := range of {
		of[i] = -1
	}
	var try func(r int, seen []bool) bool
	try = func(r int, seen []bool) bool {
		for i := range n {
			if !has[r][i] || seen[i] {
				continue
			}
			seen[i] = true
			if of[i] < 0 || try(of[i], seen) {
				of[i] = r
				return true
			}
		}
		return false
	}
	for r := range n {
		try(r, make([]bool, n))
	}
	out := make([]int, n)
	for i, r := range of {
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
