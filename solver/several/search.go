package several

import (
	"math"
	"slices"

	"nodespan/solver"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
)

// Limits of a search.
const (
	defaultWork = 1_200_000_000 // units of package budget: about two seconds natively at most
	defaultMost = 16
	verifyShare = 0.1 // of the work that is left, for each candidate
	mostPasses  = 3   // through the starts of deflation
	mostTries   = 60  // candidates of a scan
)

// Options of a search; the zero value is sensible.
type Options struct {
	// Solve is how each candidate is solved.
	Solve solver.Options
	// Work is how much may be computed, in the units of solver.Options.Work; 0 means 1.2e9.
	Work int64
	// Most is the number of solutions at which the search ends; 0 means 16.
	Most int
}

// Search is a search that goes on step by step.
type Search struct {
	// Solutions are those found, first the one that was known.
	Solutions []*solver.Solution
	// Starts counts the trajectories and the first guesses that were tried.
	Starts int
	// Unique names a theorem that makes the solution the only one; empty where none is known to hold.
	Unique string
	// Ended says that the search ended because of its limit of work or of solutions.
	Ended bool

	p      *bvp.Problem // the problem
	near   *bvp.Problem // the same on a finite interval
	o      Options
	within *budget.Budget
	sizes  []float64
	known  func(x float64, jet []float64) // of the first solution; nil: none
	todo   []func() (more bool)
}

// New prepares a search. first is what solver.Solve gave for the problem, whatever its status.
func New(p *bvp.Problem, first *solver.Solution, o Options) *Search {
	if o.Work == 0 {
		o.Work = defaultWork
	}
	if o.Most == 0 {
		o.Most = defaultMost
	}
	s := &Search{p: p, o: o, within: budget.Within(o.Solve.Context, o.Work)}
	s.sizes = sizesOf(p, first)
	if first.Status == solver.Solved {
		s.Solutions = append(s.Solutions, first)
		s.known = first.At
	}
	if len(p.Conditions) != p.State()+len(p.Parameters) {
		return s // eigenvalues: there are as many as are asked for
	}
	s.Unique = unique(p, first, s.sizes)
	if len(p.Parameters) == 0 && p.LinearEquations(nil) && p.LinearConditions(nil) {
		return s
	}
	if s.near = finite(p, first); s.near == nil {
		return s
	}
	s.plan()
	return s
}

// plan lists the steps: mirror images, shooting from either end, deflation.
func (s *Search) plan() {
	for _, k := range s.Solutions {
		s.mirror(k)
	}
	if s.near.Continuity == nil || len(s.near.Breaks) == 0 {
		for _, end := range []float64{s.near.A, s.near.B} {
			w := newFlow(s.near, s.sizes, s.within)
			if m := missingAt(w, end, s.base(end)); m != nil && len(m.free) == 1 {
				s.scan(newScan(m))
			}
		}
	}
	s.deflate(0)
}

// Run searches to the end.
func Run(p *bvp.Problem, first *solver.Solution, o Options) *Search {
	s := New(p, first, o)
	for s.Step() {
	}
	return s
}

// Step goes on for some milliseconds, and reports whether there is more to do.
func (s *Search) Step() bool {
	if len(s.todo) == 0 {
		return false
	}
	if budget.Over(s.within) || len(s.Solutions) >= s.o.Most {
		s.todo, s.Ended = nil, true
		return false
	}
	next := s.todo[0]
	if !next() {
		s.todo = s.todo[1:]
	}
	return len(s.todo) > 0
}

// scan puts the steps of a scan into the list, and behind them one for each of its candidates.
func (s *Search) scan(c *scan) {
	scanning := true
	var roots []float64
	s.todo = append(s.todo, func() bool {
		if scanning {
			if !c.step() {
				scanning = false
				roots = c.roots()
				roots = roots[:min(len(roots), mostTries)]
				s.Starts += c.count
			}
			return true
		}
		if len(roots) == 0 {
			return false
		}
		var left [1]float64
		if t, _ := c.m.shoot(roots[:1], left[:]); t != nil && len(t.x) > 1 {
			s.verify(start{func(x float64, jet []float64) { t.jet(s.near, x, jet) }, t.parameters})
		}
		roots = roots[1:]
		return true
	})
}

// deflate puts a pass through the starts of deflation into the list; another follows where one finds something.
func (s *Search) deflate(pass int) {
	var d *deflation
	var list []start
	before := 0
	s.todo = append(s.todo, func() bool {
		if d == nil {
			d = newDeflation(s.near, s.sizes, s.within)
			base, parameters := s.known, []float64(nil)
			if base == nil {
				base = func(_ float64, jet []float64) { clear(jet) }
			}
			parameters = s.base(s.near.A)[s.near.State():]
			list = startsFrom(s.near, s.sizes, base, parameters)
			if s.near.Guess != nil {
				list = append([]start{{s.near.Guess, parameters}}, list...)
			}
			before = len(s.Solutions)
		}
		if len(list) == 0 {
			if len(s.Solutions) > before && pass+1 < mostPasses {
				s.deflate(pass + 1)
			}
			return false
		}
		for len(d.known) < len(s.Solutions) {
			k := s.Solutions[len(d.known)]
			d.know(d.vector(k.At, foundOf(k)))
		}
		s.Starts++
		v := d.find(d.vector(list[0].jet, list[0].parameters))
		list = list[1:]
		if v != nil {
			c := d.g.Curve(v)
			s.verify(start{c.At, slices.Clone(d.g.Parameters(v))})
		}
		return true
	})
}

// mirror puts the mirror images of a solution into the list, behind the step at hand.
func (s *Search) mirror(k *solver.Solution) {
	if Trivial(k) || math.IsInf(s.p.A, 0) != math.IsInf(s.p.B, 0) {
		return
	}
	for _, m := range []Mirror{Sign, Turned, SignTurn} {
		image := start{m.image(s.near, k.At), foundOf(k)}
		s.todo = slices.Insert(s.todo, min(1, len(s.todo)), func() bool {
			if s.meets(image) {
				s.verify(image)
			}
			return false
		})
	}
}

// meets reports whether a start meets the equations and the conditions roughly.
func (s *Search) meets(c start) bool {
	p := s.near
	in, f, df := make([]float64, p.Jet()+len(p.Parameters)), make([]float64, len(p.Unknowns)), []float64(nil)
	df = make([]float64, len(f)*len(in))
	const rough = 1e-2
	for _, t := range []float64{0.13, 0.31, 0.52, 0.74, 0.91} {
		x := p.A + t*(p.B-p.A)
		c.jet(x, in[:p.Jet()])
		copy(in[p.Jet():], c.parameters)
		p.Equations(x, in, f, df)
		for r, v := range f {
			terms := 0.0
			for i, w := range in {
				terms = math.Max(terms, math.Abs(w*df[r*len(in)+i]))
			}
			if !(math.Abs(v) <= rough*terms) {
				return false
			}
		}
	}
	return true
}

// verify solves from a candidate, and keeps what is a new solution.
func (s *Search) verify(c start) {
	if s.near.A != s.p.A || s.near.B != s.p.B {
		inner := c.jet
		c.jet = func(x float64, jet []float64) {
			inner(math.Min(math.Max(x, s.near.A), s.near.B), jet)
		}
	}
	for _, k := range s.Solutions {
		if s.close(k, c) {
			return
		}
	}
	s.Starts++
	q := withGuess(s.p, c)
	o := s.o.Solve
	o.Near, o.Context, o.Progress = true, budget.Part(s.within, verifyShare), nil
	found, err := solver.Solve(q, o)
	if err != nil || found.Status != solver.Solved {
		return
	}
	for _, k := range s.Solutions {
		if same(s.near, k, found, None) {
			return
		}
	}
	found.Problem = s.p
	s.Solutions = append(s.Solutions, found)
	s.mirror(found)
}

// withGuess returns the problem with another first guess.
func withGuess(p *bvp.Problem, c start) *bvp.Problem {
	q := *p
	q.Guess = c.jet
	q.Parameters = slices.Clone(p.Parameters)
	for i, v := range c.parameters {
		q.Parameters[i].Guess, q.Parameters[i].HasGuess = v, true
	}
	return &q
}

// close reports whether a candidate is a known solution, so that there is no need to solve from it.
func (s *Search) close(k *solver.Solution, c start) bool {
	const near = 1e-5
	p := s.near
	a, b := make([]float64, p.Jet()), make([]float64, p.Jet())
	const points = 16
	for j := range points + 1 {
		x := p.A + (p.B-p.A)*float64(j)/points
		k.At(x, a)
		c.jet(x, b)
		for i := range p.Unknowns {
			at := p.JetOffset(i)
			if !(math.Abs(a[at]-b[at]) <= near*(s.sizes[i]*1e-3+math.Abs(a[at]))) {
				return false
			}
		}
	}
	for i, f := range k.Found {
		if !(math.Abs(f.Value-c.parameters[i]) <= near*math.Abs(f.Value)) {
			return false
		}
	}
	return true
}

// base returns the state of the first solution at an end, and its sought numbers; zeros and first guesses without one.
func (s *Search) base(end float64) []float64 {
	p := s.near
	out := make([]float64, p.State()+len(p.Parameters))
	if s.known != nil {
		jet := make([]float64, p.Jet())
		s.known(end, jet)
		at := 0
		for i, u := range p.Unknowns {
			copy(out[at:at+u.Order], jet[p.JetOffset(i):])
			at += u.Order
		}
		if !bvp.AllFinite(out) {
			clear(out)
		}
		copy(out[at:], foundOf(s.Solutions[0]))
		return out
	}
	for i, q := range p.Parameters {
		out[p.State()+i] = 1
		if q.HasGuess {
			out[p.State()+i] = q.Guess
		}
	}
	return out
}

func foundOf(k *solver.Solution) []float64 {
	var out []float64
	for _, f := range k.Found {
		out = append(out, f.Value)
	}
	return out
}

// sizesOf returns what the unknowns are measured by: the largest value of the first solution, that of the conditions,
// or 1.
func sizesOf(p *bvp.Problem, first *solver.Solution) []float64 {
	out := make([]float64, len(p.Unknowns))
	if first.Status == solver.Solved {
		jet := make([]float64, p.Jet())
		for _, x := range bvp.Divide(first.Mesh, 4) {
			first.At(x, jet)
			for i := range out {
				out[i] = math.Max(out[i], math.Abs(jet[p.JetOffset(i)]))
			}
		}
	}
	for _, c := range p.Conditions {
		in := make([]float64, len(c.At)+len(p.Parameters))
		dg := make([]float64, len(in))
		asked := math.Abs(c.Residual(in, dg))
		for i, v := range c.At {
			if size := asked / math.Abs(dg[i]); v.Derivative == 0 && bvp.Finite(size) {
				out[v.Unknown] = math.Max(out[v.Unknown], size)
			}
		}
	}
	for i, v := range out {
		if !(v > 1e-9) || !bvp.Finite(v) {
			out[i] = 1
		}
	}
	return out
}

// finite returns the problem with the ends that its first solution has in the place of infinite ones; nil where there
// is none.
func finite(p *bvp.Problem, first *solver.Solution) *bvp.Problem {
	if !math.IsInf(p.A, 0) && !math.IsInf(p.B, 0) {
		return p
	}
	if first.Status != solver.Solved || len(first.Mesh) < 2 {
		return nil
	}
	q := *p
	q.A, q.B = first.Mesh[0], first.Mesh[len(first.Mesh)-1]
	at := func(x float64) float64 { return math.Min(math.Max(x, q.A), q.B) }
	q.Conditions = slices.Clone(p.Conditions)
	for i, c := range p.Conditions {
		q.Conditions[i].At = slices.Clone(c.At)
		for j := range c.At {
			q.Conditions[i].At[j].X = at(c.At[j].X)
		}
	}
	q.Formulas = nil
	return &q
}

// Spent returns the work done so far.
func (s *Search) Spent() int64 { return s.within.Spent() }
