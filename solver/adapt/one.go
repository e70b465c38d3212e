package adapt

import (
	"fmt"
	"math"
	"slices"

	"nodespan/solver/blocks"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
	"nodespan/solver/newton"
)

// ladder lists the numbers of nodes that one polynomial tries in turn.
var ladder = []int{4, 6, 8, 11, 15, 20, 27, 36, 48, 64, 85, 113, 150, 200, 266}

// autoNodes is where Auto gives pieces a try: up to here one polynomial is as cheap as pieces.
const autoNodes = 64

// finer returns a number of nodes for the solution that judges one with n.
func finer(n int) int { return n + max(4, n/3) }

// One solves by one polynomial (one per stretch between breaks), and says why where it cannot.
func One(p *bvp.Problem, o Options) *Answer {
	o.of(p)
	a := polynomial(p, o, 0, true)
	explain(p, a, o)
	return a
}

// polynomial is One with a bound of the number of nodes tried; 0 means the whole ladder. It looks for no reasons.
// Unless it is patient, it ends where layers are seen that polynomials up to the bound cannot follow.
func polynomial(p *bvp.Problem, o Options, most int, patient bool) *Answer {
	if o.Nodes > 0 {
		return oneGiven(p, o)
	}
	if most == 0 {
		most = ladder[len(ladder)-1]
	}
	x := p.Stretches()
	var before *attempt // the last rung that converged
	best := &Answer{Error: math.Inf(1), Reason: "no polynomial was found"}
	previous := math.Inf(1) // difference at the rung below
	iterations := 0
	for _, n := range ladder {
		if n > most || o.cancelled() {
			break
		}
		if n < o.Least && n < most {
			continue
		}
		o.say("one polynomial through %d nodes", n)
		at, ok := rung(p, collocation.Uniform(x, n, o.Family), before, &o)
		iterations += at.result.Iterations
		if !ok {
			if best.Curve == nil {
				best.Outcome = at.result.Outcome
				best.Reason = o.failure(at.result.Outcome)
			}
			if before != nil {
				// A finer rung that fails where a coarser one converged: the coarser one was an artefact.
				before, previous = nil, math.Inf(1)
			}
			continue
		}
		if before != nil {
			a := compare(before, &at, previous, 0, &o)
			previous = a.Error
			a.Iterations = iterations
			if a.Error < best.Error || best.Curve == nil {
				best = a
			}
			if a.Met || a.Singular {
				return a
			}
			if !patient && tooSteep(p, n, a.Error, most, &o) {
				best.tooSteep = true
				break
			}
		}
		before = &at
	}
	best.finish()
	best.Iterations = iterations
	if best.Curve != nil {
		best.Reason = fmt.Sprintf("one polynomial of up to %d nodes does not resolve the solution",
			min(most, ladder[len(ladder)-1]))
	}
	if o.cancelled() {
		best.Outcome, best.Reason = newton.Cancelled, budget.Reason(o.Context)
	}
	return best
}

// tooSteep reports whether a polynomial through the given number of nodes, whose error is known, is so far from the
// solution of a linear problem because of layers that no polynomial up to the bound follows. The Legendre
// coefficients of exp(−R s) on 0 ≤ s ≤ 1 fall like exp(−n²/R) while n < R (they are modified Bessel functions, M.
// Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 1964, 10.2.36).
func tooSteep(p *bvp.Problem, n int, err float64, most int, o *Options) bool {
	const (
		few  = 15  // nodes that show what is smooth
		lost = 0.1 // an error that shows nothing of convergence
		sure = 2   // times the exponent
	)
	if n < few || !(err > lost) || len(p.Breaks) > 0 || !o.linear(p) {
		return false
	}
	steep := 0.0 // of a solution that begins to fall, or ends to grow, at the end of a part
	parts := o.parts(p)
	for i, t := range parts {
		if i == 0 || parts[i-1].least > t.least/2 {
			steep = max(steep, -t.least)
		}
		if i+1 == len(parts) || parts[i+1].most < t.most/2 {
			steep = max(steep, t.most)
		}
	}
	return steep*(p.B-p.A) > sure*float64(most*most)/-math.Log(o.Tol)
}

// oneGiven solves with the number of nodes that was asked for, and measures it against a finer polynomial.
func oneGiven(p *bvp.Problem, o Options) *Answer {
	x := p.Stretches()
	coarse, ok := rung(p, collocation.Uniform(x, o.Nodes, o.Family), nil, &o)
	if !ok {
		// A finer polynomial may lead the way.
		for _, n := range ladder {
			if n <= o.Nodes || n > 85 {
				continue
			}
			guide, led := rung(p, collocation.Uniform(x, n, o.Family), nil, &o)
			if !led {
				continue
			}
			if coarse, ok = rung(p, collocation.Uniform(x, o.Nodes, o.Family), &guide, &o); ok {
				break
			}
		}
	}
	if !ok {
		return &Answer{Error: math.Inf(1), Outcome: coarse.result.Outcome, Reason: o.failure(coarse.result.Outcome),
			Iterations: coarse.result.Iterations}
	}
	// The finer solution must be truly finer: climb until the difference settles.
	var a *Answer
	iterations := coarse.result.Iterations
	last := math.Inf(1)
	for n := finer(o.Nodes); ; n = finer(finer(n)) {
		fine, ok := rung(p, collocation.Uniform(x, n, o.Family), &coarse, &o)
		iterations += fine.result.Iterations
		if !ok || a != nil && fine.result.Last > last {
			break // its own rounding is more than the difference that is known already
		}
		a = judge(&coarse, &fine, math.Inf(1), 0, &o)
		if n > 200 || math.Abs(a.Error-last) <= 0.05*a.Error || a.Error < 1e-13 {
			break
		}
		last = a.Error
	}
	if a == nil {
		return &Answer{Error: math.Inf(1), Curve: nil, Outcome: newton.Stalled,
			Reason: "a finer polynomial to judge this one by could not be found", Iterations: iterations}
	}
	a.Iterations = iterations
	if !a.Met {
		a.Reason = fmt.Sprintf("%d nodes are too few for the tolerance", o.Nodes)
	}
	return a
}

// rung solves on one mesh, starting from the rung before or from the first guesses in turn.
func rung(p *bvp.Problem, m collocation.Mesh, before *attempt, o *Options) (attempt, bool) {
	var at attempt
	if before != nil {
		at = solveOn(p, m, fromCurve(before.curve), o)
		return at, at.result.Outcome == newton.Converged
	}
	iterations := 0
	try := func(list []func(g *collocation.Grid) *blocks.Solution) attempt {
		var at attempt
		for _, s := range list {
			at = solveOn(p, m, s, o)
			iterations += at.result.Iterations
			if at.result.Outcome == newton.Converged || at.result.Outcome == newton.Cancelled {
				break
			}
		}
		return at
	}
	at = try(starts(p))
	if o := at.result.Outcome; p.Guess == nil && o != newton.Converged && o != newton.Cancelled {
		if c := interpolant(p); c != nil {
			at = try([]func(g *collocation.Grid) *blocks.Solution{fromJet(p, jetOf(c, p))})
		}
	}
	if at.result.Outcome == newton.NotFinite || at.result.Outcome == newton.Singular {
		// Perhaps for want of a slope; if not, the first reason stands.
		if sloped := try(slopes(p)); len(slopes(p)) > 0 && sloped.result.Outcome == newton.Converged {
			at = sloped
		}
	}
	at.result.Iterations = iterations
	return at, at.result.Outcome == newton.Converged
}

// judge measures a solution against a finer one. previous is the relative difference that was found one rung below
// (infinite when not known): a slow fall says that the finer one is not much better, and widens the estimate. So does
// left, the part of the error that the finer one still has as far as other signs tell (see falls).
func judge(coarse, fine *attempt, previous, left float64, o *Options) *Answer {
	a := compare(coarse, fine, previous, left, o)
	a.finish()
	return a
}

// finish adds to the estimates what compare left out.
func (a *Answer) finish() {
	if rest := a.rest; rest != nil {
		a.rest = nil
		rest()
	}
}

// compare is judge, but leaves rounding and what no node sees out where the tolerance is not met without them either: a
// ladder has many such rungs.
func compare(coarse, fine *attempt, previous, left float64, o *Options) *Answer {
	defer enter(o.Context, Judging, nil)()
	g := coarse.curve.Grid()
	spendJudgement(fine, o)
	est := difference(coarse.curve, fine.curve, 1, &o.of(g.P).room)
	est.values = o.Values
	raw := est.relative(g)
	ratio := left
	if raw > 0 && !math.IsInf(previous, 1) {
		ratio = math.Max(ratio, raw/previous)
	}
	const cover = 2.5
	safety := cover / (1 - math.Min(ratio, 0.9))
	est.Besides = copied(est.Local)
	if g.Elements() > 1+len(g.P.Breaks) {
		est.addWaves(fine.curve)
		est.addRemnants(fine.curve, fine.result)
	}
	for e, l := range est.Local {
		for i := range l {
			est.Besides[e][i] = safety * (l[i] - est.Besides[e][i])
			l[i] *= safety
		}
	}
	for i := range est.Parameters {
		est.Parameters[i] *= safety
	}
	a := &Answer{Curve: coarse.curve, Estimate: est, Linear: o.linear(g.P), Outcome: newton.Converged,
		Finer: fine.curve.Grid().Mesh.Nodes[0], Fine: fine.curve, Left: ratio}
	if ratio == 0 && math.IsInf(previous, 1) && g.Elements() == 1+len(g.P.Breaks) {
		a.Left = math.NaN()
	}
	a.rest = func() {
		defer enter(o.Context, Judging, nil)()
		leave := enter(o.Context, Rounding, nil)
		a.Condition = est.addRounding(fine.curve, fine.result)
		leave()
		est.discountRounding(safety)
		r := est.addUnseen(coarse, fine, cover, o)
		a.Error = est.relative(g)
		a.Met = a.Error <= o.Tol && followed(r, coarse.curve, est, o.Tol)
	}
	if a.Error = est.relative(g); a.Error <= o.Tol || slices.Min(est.Scale) <= vanishing*slices.Max(est.Scale) {
		a.finish() // what vanishes is known by its rounding
	}
	if !a.Met {
		a.Reason = "the estimated error is larger than the tolerance"
	} else if vanishes(g.P, est) {
		// Zero solves every homogeneous problem, and a coarse mesh does not show that others do too.
		a.refuse(singularVerdict(g.P, *o))
	} else if doubtful(a, o) {
		a.resolve(o)
	}
	return a
}

// refuse says why there is no unique solution, where there is a reason.
func (a *Answer) refuse(why string) {
	if why != "" {
		a.Met, a.Singular, a.Reason = false, true, why
	}
}

// doubtful reports whether the meshes of a linear problem may both have missed that it has no unique solution, or
// nearly so: their discrete equations are less singular then, since their eigenvalues are a little off, or much where
// few nodes stand for a wave, and a right side that excites the null function little gives smooth answers that agree.
func doubtful(a *Answer, o *Options) bool {
	// Measured on y” + (n π)² (1 + d) y = sin π x + 10 d sin n π x with zero ends, at tolerances from 0.1 to 1e-11.
	const sensitive, little, perWave = 1e3, 10, 8
	if !a.Linear || a.Condition < little {
		return false
	}
	return a.Condition > sensitive || perWave*o.waves(a.Fine.Grid().P) > total(a.Fine.Grid().Mesh)
}

// total is the number of nodes of a mesh.
func total(m collocation.Mesh) float64 {
	sum := 0
	for _, k := range m.Nodes {
		sum += k
	}
	return float64(sum)
}

// resolve holds a doubtful answer against the solution on a mesh on which a null function shows as one.
func (a *Answer) resolve(o *Options) {
	p := a.Fine.Grid().P
	switch kind := singularity(p, *o); kind {
	case many, none:
		a.refuse(kind.sentence())
		return
	}
	m := o.nullMesh(p, leastNull)
	if total(a.Fine.Grid().Mesh) >= total(m) {
		return
	}
	b, ok := rung(p, m, &attempt{curve: a.Fine}, o)
	if !ok {
		return
	}
	known := Answer{Curve: b.curve, Estimate: &Estimate{Mesh: b.curve.Grid().Mesh.X,
		Floor: make([]float64, p.Jet()), Local: rows(b.curve.Grid().Elements(), p.Jet())}}
	if !agree(a, &known) {
		a.Met, a.Reason = false, "a finer solution, which sees how near the problem is to one without a unique "+
			"solution, differs by more than the estimated error"
	}
}

// copied returns a copy of what is known on each element.
func copied(local [][]float64) [][]float64 {
	out := make([][]float64, len(local))
	for e, l := range local {
		out[e] = slices.Clone(l)
	}
	return out
}

// spendJudgement counts the work of measuring a solution against a finer one: sampling both, and the answers to
// rounding.
func spendJudgement(fine *attempt, o *Options) {
	_, residual := fine.curve.Grid().Work()
	_, substitution := fine.result.System.Work()
	budget.Spend(o.Context, 8*(residual+substitution))
}

// vanishes reports whether every unknown is zero everywhere.
func vanishes(p *bvp.Problem, est *Estimate) bool {
	for i := range p.Unknowns {
		if est.Scale[p.JetOffset(i)] != 0 {
			return false
		}
	}
	return true
}

// Trivial reports whether the solution is zero everywhere.
func (a *Answer) Trivial() bool { return vanishes(a.Curve.Grid().P, a.Estimate) }

// failure says in one sentence why an iteration gave nothing.
func (o *Options) failure(outcome newton.Outcome) string {
	switch outcome {
	case newton.Singular:
		return "the linearised equations are singular where the iteration came to: there the conditions do not fix " +
			"one solution"
	case newton.NotFinite:
		return "the equation cannot be evaluated at the first guess; give a guess line"
	case newton.Cancelled:
		return budget.Reason(o.Context)
	}
	return "Newton's iteration did not converge; give a guess line nearer to the solution"
}
