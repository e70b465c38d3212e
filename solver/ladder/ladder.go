// Package ladder shows how the error falls with the number of nodes: one polynomial of any node family, pieces, and
// finite differences, on one scale of unknowns. It measures and puts into words; it chooses nothing and draws nothing.
//
// Each rung is one discrete solution without an error estimate of its own. It is measured against the exact solution
// where one is known, else against a verified finer solution, at some hundreds of points.
package ladder

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"

	"nodespan/solver"
	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
	"nodespan/solver/differences"
	"nodespan/solver/newton"
	"nodespan/solver/nodes"
	"nodespan/solver/unbounded"
)

// Options say what to climb. The zero value climbs one polynomial of Legendre nodes, pieces of it, and differences of
// order 2 and 4.
type Options struct {
	// Families are the node families of one polynomial; pieces take the first. nil means Legendre.
	Families []nodes.Family
	// Methods are among solver.One, solver.Pieces and solver.Differences; nil means all, in this order.
	Methods []solver.Method
	// Orders are those of differences; nil means 2 and 4.
	Orders []int
	// MostNodes is the largest number of interior nodes of one polynomial (40 when 0).
	MostNodes int
	// PieceNodes is the number of collocation nodes of each piece (4 when 0).
	PieceNodes int
	// MostUnknowns bounds pieces and differences (200 when 0), in unknowns for each unknown function.
	MostUnknowns int
	// Tol is the tolerance that FirstMet is about, relative to the largest value of each unknown (1e-8 when 0).
	Tol float64
	// Exact, when not nil, returns the exact value of an unknown (from 0) at x, and whether it knows one.
	Exact func(x float64, unknown int) (float64, bool)
	// Reference is a verified solution to measure against, better than any rung can be hoped to be; nil means that one
	// is computed when it is needed: where there is no exact solution, and to start nonlinear iterations from.
	Reference *solver.Solution
	// Each, when not nil, is told every rung as it is done.
	Each func(Rung)
	// Context, when not nil, ends the work early; what has been climbed is returned.
	Context context.Context
}

// Rung is one discrete solution and its error.
type Rung struct {
	// Method is solver.One, solver.Pieces or solver.Differences.
	Method solver.Method
	// Family is that of the collocation nodes; of no meaning for differences.
	Family nodes.Family
	// Order is that of differences, 0 for others.
	Order int
	// Nodes is the number of interior nodes: collocation nodes of one polynomial (between breaks) or of each piece, or
	// interior mesh points.
	Nodes int
	// Steps is the number of elements or of mesh intervals.
	Steps int
	// Unknowns is the number of independent numbers that the discrete solution has, sought parameters included.
	Unknowns int
	// Error is the largest difference of any unknown over the interval; NaN when this rung has no solution.
	Error float64
	// Relative is the largest difference relative to the largest value of the unknown that it is of.
	Relative float64
	// AtMesh is the largest difference at the ends of the elements alone, relative likewise.
	AtMesh float64
}

// Solved reports whether the rung has a solution.
func (r Rung) Solved() bool { return !math.IsNaN(r.Error) }

// Series is one method with its rungs in ascending order, and what they show.
type Series struct {
	Method solver.Method
	Family nodes.Family
	Order  int
	Rungs  []Rung
	// FirstMet is the index of the first rung within the tolerance, −1 when none is.
	FirstMet int
	// Rate is how the error falls before rounding takes over.
	Rate Rate
	// Plateau is the relative error at which more nodes give no more digits; 0 when that is not reached. PlateauFrom is
	// the index of the first rung there, −1 when there is none.
	Plateau     float64
	PlateauFrom int
	// WiggleFrom is the index of the first rung from which on more nodes make the error grow; −1 when they do not.
	WiggleFrom int
}

// Label names a method in a word or two.
func Label(m solver.Method, f nodes.Family, order int) string {
	switch m {
	case solver.One:
		return f.Title()
	case solver.Pieces:
		return "pieces"
	}
	return fmt.Sprintf("differences, order %d", order)
}

// Best returns the index of the rung with the smallest error, −1 when there is none.
//
//go:noinline
func (s *Series) Best() int {
	best := -1
	for i, r := range s.Rungs {
		if r.Solved() && (best < 0 || r.Relative < s.Rungs[best].Relative) {
			best = i
		}
	}
	return best
}

// Ladder is everything that was climbed.
type Ladder struct {
	Series []Series
	// Against is "exact" or "finer": what the errors are measured against.
	Against string
	// Floor is the estimated relative error of what they are measured against, 0 for an exact solution.
	Floor float64
	// Tol is the tolerance that FirstMet is about.
	Tol float64
	// Reason says why there are no rungs; empty when there are.
	Reason string
	// Sentence says in words what the ladder shows.
	Sentence string
}

// Rungs returns the rungs of all series, one after the other.
func (l *Ladder) Rungs() []Rung {
	var out []Rung
	for _, s := range l.Series {
		out = append(out, s.Rungs...)
	}
	return out
}

// Defaults.
const (
	defaultNodes    = 40
	defaultPiece    = 4
	defaultUnknowns = 200
	defaultTol      = 1e-8
)

// Climb solves the problem on every rung. It must have as many conditions as it needs; an unbounded interval is cut off
// where the reference is.
func Climb(p *bvp.Problem, o Options) *Ladder {
	if len(o.Families) == 0 {
		o.Families = []nodes.Family{nodes.Legendre}
	}
	if o.Methods == nil {
		o.Methods = []solver.Method{solver.One, solver.Pieces, solver.Differences}
	}
	if o.Orders == nil {
		o.Orders = []int{2, 4}
	}
	orDefault := func(v *int, d int) {
		if *v == 0 {
			*v = d
		}
	}
	orDefault(&o.MostNodes, defaultNodes)
	orDefault(&o.PieceNodes, defaultPiece)
	orDefault(&o.MostUnknowns, defaultUnknowns)
	if o.Tol == 0 {
		o.Tol = defaultTol
	}
	l := &Ladder{Tol: o.Tol, Against: "exact"}
	if o.Exact == nil {
		l.Against = "finer"
	}
	c := &climber{p: p, o: o, l: l}
	if l.Reason = c.prepare(false); l.Reason != "" {
		l.Sentence = l.Reason
		return l
	}
	for _, m := range o.Methods {
		switch m {
		case solver.One:
			for _, f := range o.Families {
				c.one(f)
			}
		case solver.Pieces:
			c.pieces(o.Families[0])
		case solver.Differences:
			for _, order := range o.Orders {
				c.differences(order)
			}
		}
	}
	l.Sentence = l.sentence()
	return l
}

type climber struct {
	p *bvp.Problem
	o Options
	l *Ladder
	*ruler
	// reference starts nonlinear iterations; nil for linear problems.
	reference *solver.Solution
	linear    bool
}

// prepare finds out whether the problem is linear and what to measure against, and cuts an unbounded interval off. With
// refer it looks for a reference even where none is needed. It returns why there can be no ladder.
func (c *climber) prepare(refer bool) string {
	if len(c.p.Conditions) != c.p.State()+len(c.p.Parameters) {
		return "there is no ladder for an eigenvalue problem"
	}
	if c.o.Reference != nil && c.o.Reference.Usable() {
		c.reference = c.o.Reference
	}
	if refer {
		_ = c.refer() // none is no harm
	}
	unlimited := math.IsInf(c.p.A, 0) || math.IsInf(c.p.B, 0)
	if unlimited {
		// Where the reference ends all rungs end; how much of the solution is beyond is part of its error.
		if why := c.refer(); why != "" {
			return why
		}
		m := c.reference.Mesh
		c.p = unbounded.Truncate(c.p, m[0], m[len(m)-1])
		c.l.Floor = c.reference.Error
	}
	// Newton's first step tells: on a few nodes, from two starts.
	c.linear = true
	g := collocation.NewGrid(c.p, collocation.Uniform(c.p.Stretches(), 3, nodes.Legendre))
	for _, start := range []float64{0, 1} {
		v := g.NewVector()
		for _, z := range v.Z {
			for i := range z {
				z[i] = start
			}
		}
		for i := range g.Parameters(v) {
			g.Parameters(v)[i] = start
		}
		r := newton.Solve(g, v, newton.Options{Steps: 1, Context: c.o.Context})
		c.linear = c.linear && r.Outcome == newton.Converged && r.Linear
	}
	if c.o.Exact == nil || !c.linear {
		if why := c.refer(); why != "" {
			return why
		}
	}
	if c.reference != nil && c.o.Exact == nil {
		c.l.Floor = c.reference.Error
	}
	c.ruler = newRuler(c.p, c.reference, c.finer(), c.o.Exact)
	if len(c.ruler.x) == 0 {
		return "the exact solution has no value anywhere"
	}
	return ""
}

// refer makes sure that there is a reference.
func (c *climber) refer() string {
	if c.reference != nil {
		return ""
	}
	s := solver.MustSolve(c.p, solver.Options{Tol: referenceTol, Context: c.o.Context})
	if !s.Usable() || s.Status == solver.Failed || !(s.Error <= 1e-3) {
		return "there is no ladder without a solution to measure against: " + s.Message
	}
	c.reference = s
	return ""
}

// finer returns a solution on the reference's mesh with more nodes, so that no rung is measured against itself, nor one
// that is better than the reference against a worse one. Where it and the reference disagree by more than the
// reference's error, the reference stays.
func (c *climber) finer() curve {
	if c.o.Exact != nil || c.reference.Method == solver.Differences {
		return c.reference
	}
	k := c.reference.Interior + 5
	if c.reference.Method == solver.One {
		k = max(k, c.o.MostNodes) + 3
	}
	better := c.collocate(collocation.Uniform(c.reference.Mesh, k, nodes.Legendre))
	if better == nil {
		return c.reference
	}
	a, b := make([]float64, c.p.Jet()), make([]float64, c.p.Jet())
	most, scale := make([]float64, c.p.Jet()), make([]float64, c.p.Jet())
	for _, x := range c.reference.Mesh {
		c.reference.At(x, a)
		better.At(x, b)
		for i := range a {
			most[i] = math.Max(most[i], math.Abs(a[i]-b[i]))
			scale[i] = math.Max(scale[i], math.Abs(a[i]))
		}
	}
	for i := range c.p.Unknowns {
		if at := c.p.JetOffset(i); !(most[at] <= 2*c.reference.Error*math.Max(scale[at], 1e-300)) {
			return c.reference
		}
	}
	return better
}

//go:noinline
func (c *climber) cancelled() bool { return c.o.Context != nil && c.o.Context.Err() != nil }

func (c *climber) add(s *Series, r Rung) {
	r.Method, r.Family, r.Order = s.Method, s.Family, s.Order
	s.Rungs = append(s.Rungs, r)
	if c.o.Each != nil {
		c.o.Each(r)
	}
}

func (c *climber) finish(s *Series) {
	if len(s.Rungs) > 0 {
		s.read(c.o.Tol, c.l.Floor)
		c.l.Series = append(c.l.Series, *s)
	}
}

// collocate solves on one mesh; nil when that has no solution.
func (c *climber) collocate(m collocation.Mesh) curve {
	g := collocation.NewGrid(c.p, m)
	v := g.NewVector()
	if c.linear {
		return solveLinear(g, v)
	}
	c.start(g, v)
	r := newton.Solve(g, v, newton.Options{Context: c.o.Context})
	if r.Outcome != newton.Converged {
		return nil
	}
	return g.Curve(v)
}

// solveLinear takes one Newton step from zero and one more against rounding. Unlike an iteration it has no test to
// fail: what comes of hopelessly conditioned nodes is part of what a ladder shows.
func solveLinear(g *collocation.Grid, v *blocks.Solution) curve {
	a, sys := g.NewAssembler(), g.System()
	rhs, step := sys.NewRHS(), g.NewVector()
	if !a.Assemble(v, sys, rhs) || !sys.Factor() {
		return nil
	}
	sys.SolveTo(v, rhs)
	if a.Residual(v, rhs) {
		sys.SolveTo(step, rhs)
		for e := range v.U {
			floats.Add(v.U[e], step.U[e])
		}
		for e := range v.Z {
			floats.Add(v.Z[e], step.Z[e])
		}
		floats.Add(v.Q, step.Q)
	}
	return g.Curve(v)
}

// start puts the reference into a vector.
func (c *climber) start(g *collocation.Grid, v *blocks.Solution) {
	g.Fill(v, c.reference.At)
	copy(g.Parameters(v), c.parameters())
}

func (c *climber) parameters() []float64 {
	var out []float64
	for _, f := range c.reference.Found {
		out = append(out, f.Value)
	}
	return out
}

// unknowns counts the independent numbers of a piecewise polynomial with continuous lower derivatives.
func (c *climber) unknowns(perFunction int) int {
	return len(c.p.Unknowns)*perFunction + c.p.State() + len(c.p.Parameters)
}

func (c *climber) one(f nodes.Family) {
	s := &Series{Method: solver.One, Family: f}
	x := c.p.Stretches()
	for n := 1; n <= c.o.MostNodes && !c.cancelled(); n++ {
		r := Rung{Nodes: n, Steps: len(x) - 1, Unknowns: c.unknowns(n * (len(x) - 1))}
		c.measure(&r, c.collocate(collocation.Uniform(x, n, f)), x)
		c.add(s, r)
	}
	c.finish(s)
}

func (c *climber) pieces(f nodes.Family) {
	s := &Series{Method: solver.Pieces, Family: f}
	k := c.o.PieceNodes
	last := 0
	for n := 1.0; !c.cancelled(); n *= math.Sqrt2 {
		x := spread(c.p.Stretches(), int(math.Round(n)))
		e := len(x) - 1
		if e*k > c.o.MostUnknowns {
			break
		}
		if e == last {
			continue
		}
		last = e
		r := Rung{Nodes: k, Steps: e, Unknowns: c.unknowns(e * k)}
		c.measure(&r, c.collocate(collocation.Uniform(x, k, f)), x)
		c.add(s, r)
	}
	c.finish(s)
}

// spread divides the stretches between the given ends into n pieces in all, in proportion to their length, each at
// least once.
func spread(ends []float64, n int) []float64 {
	total := ends[len(ends)-1] - ends[0]
	var x []float64
	for i := range len(ends) - 1 {
		k := max(1, int(math.Round(float64(n)*(ends[i+1]-ends[i])/total)))
		for j := range k {
			x = append(x, ends[i]+(ends[i+1]-ends[i])*float64(j)/float64(k))
		}
	}
	return append(x, ends[len(ends)-1])
}

// differences climbs meshes of 25, 35, 50, 71, 100, … interior points: √2 apart, and hitting a hundred.
func (c *climber) differences(order int) {
	s := &Series{Method: solver.Differences, Family: nodes.Equispaced, Order: order}
	last := 0
	for i := -10; !c.cancelled(); i++ {
		n := int(math.Round(100 * math.Pow(2, float64(i)/2)))
		if n > c.o.MostUnknowns {
			break
		}
		if n == last || n < differences.Fewest(c.p, order) {
			continue
		}
		last = n
		var from *differences.Start
		if !c.linear {
			from = &differences.Start{Jet: c.reference.At, Parameters: c.parameters()}
		}
		d, outcome := differences.On(c.p, n, order, from, c.o.Context)
		r := Rung{Nodes: n, Steps: n + 1, Unknowns: len(c.p.Unknowns)*(n+2+len(c.p.Breaks)) + len(c.p.Parameters)}
		if outcome == newton.Converged {
			c.measure(&r, d, d.Mesh())
		} else {
			c.measure(&r, nil, nil)
		}
		c.add(s, r)
	}
	c.finish(s)
}
