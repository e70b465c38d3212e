package slips

import (
	"fmt"
	"math"

	"nodespan/solver"
	"nodespan/solver/bvp"
	"nodespan/solver/differences"
	"nodespan/solver/newton"
	"nodespan/solver/nodes"
)

// refinements are the multiples of the table's own steps that differences are tried on.
var refinements = []int{1, 2, 5, 10}

// method is a right method with few nodes or steps, and what it gives.
type method struct {
	how string
	// order is that of the method, 0 for one polynomial.
	order int
	// sure: so many numbers do not match by chance.
	sure bool
	at   curve
}

// coarse looks for a right method with too few nodes or steps; nil where there is none. It keeps those that it tries.
func (j *judge) coarse() *method {
	try := func(m method) *method {
		if m.at == nil {
			return nil
		}
		if j.methods = append(j.methods, m); j.fits(m.at) {
			return &m
		}
		return nil
	}
	collocated := func(l likely) *method {
		for _, lay := range []layout{added, replaced} {
			if q := j.poly(&j.right, l, lay); q != nil {
				if m := try(method{nodesOf(l), 0, true, q.at}); m != nil {
					return m
				}
			}
		}
		return nil
	}
	for _, l := range j.likely {
		if m := collocated(l); m != nil {
			return m
		}
	}
	for n := 1; n <= mostCoarse && !j.done(); n++ {
		for _, r := range rules {
			if m := collocated(likely{r, n}); m != nil {
				return m
			}
		}
	}
	var all []lowOrder
	for _, steps := range j.meshes() {
		for _, order := range []int{2, 4} {
			if m := try(method{differencesOf(steps, order), order, true, j.differences(j.p, steps, order)}); m != nil {
				return m
			}
		}
		all = append(all, j.schemes(steps)...)
	}
	_, evidence := j.evidence()
	sure := evidence <= -1-math.Log10(float64(max(len(all), 1)))
	for _, s := range all {
		if j.done() {
			return nil
		}
		if m := try(method{s.name, s.order, sure, s.solve()}); m != nil {
			return m
		}
	}
	return nil
}

// fits reports whether a curve gives the numbers of the table.
func (j *judge) fits(at curve) bool {
	_, _, ok := j.matches(j.inInterval(at, nil))
	return ok
}

func nodesOf(l likely) string {
	if l.n == 1 {
		return fmt.Sprintf("one interior %s node", l.rule)
	}
	return fmt.Sprintf("%d interior %s nodes", l.n, l.rule)
}

func differencesOf(intervals, order int) string {
	return fmt.Sprintf("%s-order differences with %d steps", map[int]string{2: "second", 4: "fourth"}[order], intervals)
}

// meshes returns the numbers of equal steps that the table may come from.
func (j *judge) meshes() []int {
	var xs []float64
	for i := range j.numbers {
		xs = append(xs, j.numbers[i].x[0])
	}
	k := intervals(j.p, xs)
	if k == 0 || len(j.p.Breaks) > 0 {
		return nil
	}
	var out []int
	for _, f := range refinements {
		if k*f <= mostSteps {
			out = append(out, k*f)
		}
	}
	return out
}

// differences solves a problem by finite differences; nil where that fails.
func (f *Search) differences(p *bvp.Problem, steps, order int) curve {
	if steps-1 < differences.Fewest(p, order) {
		return nil
	}
	var start *differences.Start
	if !f.u.linear {
		start = &differences.Start{Jet: f.s.At, Parameters: f.parameters()}
	}
	c, outcome := differences.On(p, steps-1, order, start, f.o.Context)
	if outcome != newton.Converged {
		return nil
	}
	return c.At
}

func (f *Search) parameters() []float64 {
	var out []float64
	for _, f := range f.s.Found {
		out = append(out, f.Value)
	}
	return out
}

// poly solves a candidate by a classroom scheme; nil where that has no solution, or where the layout makes no
// difference.
func (f *Search) poly(c *candidate, l likely, lay layout) *polynomial {
	key := solved{l, lay}
	if q, ok := c.solved[key]; ok {
		return q
	}
	k := scheme{rule: l.rule, n: l.n, layout: lay, basis: c.basis, kept: c.kept}
	if k.basis == nil {
		if f.known == nil {
			f.known = map[rowKey][][]float64{}
		}
		k.basis, k.known = legendre, f.known
	}
	var q *polynomial
	if lay == added || k.differs(c.problem) {
		for _, start := range f.starts(c.problem) {
			if q = k.solve(c.problem, f.u.linear, start, f.parameters()); q != nil || f.u.linear {
				break
			}
		}
	}
	if c.solved == nil {
		c.solved = map[solved]*polynomial{}
	}
	c.solved[key] = q
	return q
}

// starts are first guesses in turn: the right solution, the problem's own guess, and nothing.
func (f *Search) starts(p *bvp.Problem) []curve {
	out := []curve{f.s.At}
	if p.Guess != nil {
		out = append(out, p.Guess)
	}
	return append(out, func(x float64, jet []float64) { clear(jet) })
}

// fine compares what each slip converges to.
func (j *judge) fine() {
	for i := range j.list {
		c := &j.list[i]
		if c.discrete || j.done() {
			continue
		}
		if at := j.converged(c); at != nil {
			j.hit(c, "in a fine computation", at, len(j.list))
		}
	}
}

// hit records a match that is no coincidence.
func (j *judge) hit(c *candidate, how string, at curve, tries int) {
	if values, misfit, ok := j.matches(j.inInterval(at, c.read)); ok && j.convincing(tries) {
		j.hits = append(j.hits, hit{c, how, misfit, values})
	}
}

// best returns the first, that is the likeliest, of the matches that are about as close as the closest.
func (j *judge) best() hit {
	least := math.Inf(1)
	for _, h := range j.hits {
		least = math.Min(least, h.misfit)
	}
	for _, h := range j.hits {
		if h.misfit <= 1.1*least+1e-3 {
			return h
		}
	}
	return j.hits[0]
}

// converged solves a candidate finely: by one polynomial, verified by a finer one, else by the solver with a small
// budget of work.
func (j *judge) converged(c *candidate) curve {
	if len(j.p.Breaks) == 0 {
		coarse := j.poly(c, likely{rule{family: nodes.Legendre}, fineNodes}, added)
		fine := j.poly(c, likely{rule{family: nodes.Legendre}, finerNodes}, added)
		switch {
		case coarse == nil || fine == nil:
			return nil // no solution near
		case j.agree(coarse.at, fine.at, c.read):
			return fine.at
		case j.apart(coarse.at, fine.at, c.read):
			return nil
		}
	}
	if !c.tried && j.spent < allHard {
		s := solver.MustSolve(c.problem, solver.Options{Tol: 1e-9, Work: oneHard, Context: j.o.Context})
		j.spent += s.Work
		if c.tried = true; s.Status == solver.Solved {
			c.hard = s.At
		}
	}
	return c.hard
}

// agree reports whether two curves are the same to the digits of the table.
func (j *judge) agree(a, b curve, read func(float64) float64) bool {
	ja, jb := make([]float64, j.p.Jet()), make([]float64, j.p.Jet())
	ea, eb := j.inInterval(a, read), j.inInterval(b, read)
	for i := range j.numbers {
		n := &j.numbers[i]
		if !ea(n.x[0], ja) || !eb(n.x[0], jb) {
			continue
		}
		if !(math.Abs(ja[n.entry]-jb[n.entry]) <= n.tolerance(0.05)) {
			return false
		}
	}
	return true
}

// apart reports whether what two curves approach, the second nearer, cannot be the table: at some number of it they are
// much nearer to each other than to the table. Twenty times as near is enough where the error falls with the square
// root of the number of nodes, and faster.
func (j *judge) apart(a, b curve, read func(float64) float64) bool {
	ja, jb := make([]float64, j.p.Jet()), make([]float64, j.p.Jet())
	ea, eb := j.inInterval(a, read), j.inInterval(b, read)
	for i := range j.numbers {
		n := &j.numbers[i]
		if len(n.x) > 1 || !ea(n.x[0], ja) || !eb(n.x[0], jb) {
			continue
		}
		left := 20 * math.Abs(ja[n.entry]-jb[n.entry])
		if math.Abs(jb[n.entry]-n.value) > left+n.tolerance(clearly) {
			return true
		}
	}
	return false
}

// discrete compares what each slip gives with few nodes.
func (j *judge) discrete() {
	list := j.list
	tries := len(list)
	with := func(l likely) {
		for i := range list {
			for _, lay := range []layout{added, replaced} {
				if j.done() {
					return
				}
				if q := j.poly(&list[i], l, lay); q != nil {
					j.hit(&list[i], "with "+nodesOf(l), q.at, tries)
				}
			}
		}
	}
	for _, l := range j.likely {
		with(l)
	}
	if len(j.hits) > 0 {
		return
	}
	meshes := j.meshes()
	tries = len(list) * (1 + len(meshes))
	for _, m := range meshes {
		for i := range list {
			if c := &list[i]; !c.discrete && !j.done() {
				if at := j.differences(c.problem, m, 2); at != nil {
					j.hit(c, "by "+differencesOf(m, 2), at, tries)
				}
			}
		}
		if len(j.hits) > 0 {
			return
		}
	}
	most := mostNodes
	if !j.u.linear {
		most = mostIterated
	}
	tries = len(list) * len(guessed) * most
	for n := 1; n <= most; n++ {
		for _, r := range guessed {
			with(likely{r, n})
			if len(j.hits) > 0 || j.done() {
				return
			}
		}
	}
}
