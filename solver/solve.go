package solver

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"nodespan/solver/adapt"
	"nodespan/solver/budget"
	"nodespan/solver/collocation"
	"nodespan/solver/singular"
)

// Limits of what may be asked.
const (
	SmallestTol  = 1e-13
	LargestTol   = 1e-1
	MostNodes    = 100_000
	MostElements = 1_000_000
	defaultTol   = 1e-8
	largestOrder = 8
)

// Solve solves the problem. It copes with any data: what has no answer gives a Solution that says so. The error is for
// misuse alone, with no Solution: a malformed problem (Check), a derivative that is not that of its residual
// (*DerivativeError), an option that cannot be met (*OptionError).
func Solve(p *Problem, o Options) (*Solution, error) {
	if err := Check(p); err != nil {
		return nil, err
	}
	if p.Formulas == nil {
		if err := CheckDerivatives(p); err != nil {
			return nil, err
		}
	}
	if err := o.Check(); err != nil {
		return nil, err
	}
	return run(p, o), nil
}

// MustSolve is Solve for problems and options that are known to be well-formed; it panics where Solve has an error.
func MustSolve(p *Problem, o Options) *Solution {
	s, err := Solve(p, o)
	if err != nil {
		panic("solver: " + err.Error())
	}
	return s
}

// run solves with the defaults in the place of options that are left out.
func run(p *Problem, o Options) *Solution {
	begin := time.Now()
	if o.Tol == 0 {
		o.Tol = defaultTol
	}
	if o.Method == "" {
		o.Method = Auto
	}
	if o.Work == 0 {
		o.Work = budget.Default
	}
	within := budget.Within(o.Context, o.Work)
	o.Context = within
	s := &Solution{Problem: p, Tol: o.Tol, Status: Failed, Method: o.Method}
	switch {
	case math.IsInf(p.A, 0) || math.IsInf(p.B, 0):
		infinite(s, p, o)
	case len(p.Conditions) == p.State()+len(p.Parameters)-1:
		eigenvalues(s, p, o)
	case o.Method == Differences:
		solveDifferences(s, p, o, 1)
	default:
		solve(s, p, o)
		if s.Status != Failed {
			break
		}
		if q := fromRest(p); q != p {
			again := &Solution{Problem: p, Tol: o.Tol, Status: Failed, Method: o.Method}
			if solve(again, q, o); again.Status != Failed {
				*s = *again
			}
		}
	}
	if s.Usable() && (s.Status == Failed || math.IsInf(s.Error, 1)) {
		s.sketch()
	}
	s.Work, s.Seconds = within.Spent(), time.Since(begin).Seconds()
	return s
}

// searchShare is the part of the work that goes into the answer; the rest is for what can be said of an answer that
// falls short.
const searchShare = 0.8

func solve(s *Solution, p *Problem, o Options) {
	ends := singular.Ends(p)
	first := singular.Fractional(ends)
	if !first || !s.stretched(p, o, 0) {
		ao := o.adapt()
		search := ao
		search.Context = budget.Part(o.Context, searchShare)
		a, one := collocate(p, o.Method, search)
		if a.Met || a.Singular || first || !s.stretched(p, o, a.Iterations) {
			adapt.Defend(a, ao)
			s.record(p, o, a, one)
		}
	}
	if s.Status == Solved {
		if why := underdetermined(p, ends); why != "" {
			s.Status, s.Message = Failed, why
		}
	}
}

// leastNear is the number of nodes with which one polynomial begins from a first guess that is near a solution: with
// fewer, Newton's iteration may leave it for another one.
const leastNear = 15

// adapt returns what package adapt is told.
//
//go:noinline
func (o *Options) adapt() adapt.Options {
	least := 0
	if o.Near {
		least = leastNear
	}
	return adapt.Options{Family: o.Family, Nodes: o.Nodes, Elements: o.Elements, Tol: o.Tol, Progress: o.Progress,
		Context: o.Context, Near: o.Near, Brief: o.Near, Least: least}
}

// collocate solves by one polynomial or pieces, and reports whether it was one polynomial.
func collocate(p *Problem, m Method, o adapt.Options) (a *adapt.Answer, one bool) {
	switch m {
	case One:
		return adapt.One(p, o), true
	case Pieces:
		return adapt.Pieces(p, o), false
	}
	return adapt.Auto(p, o)
}

// record fills the solution in from the answer.
func (s *Solution) record(p *Problem, o Options, a *adapt.Answer, one bool) {
	s.Method = Pieces
	if one {
		s.Method = One
	}
	s.Iterations, s.Condition = a.Iterations, a.Condition
	if a.Curve == nil {
		s.Message = a.Reason
		return
	}
	if x, ok := adapt.Jump(p, a.Curve); ok {
		if s.st != nil {
			x = s.st.From(x)
		}
		defer func() {
			s.Message += fmt.Sprintf("; the equation jumps at %s = %.10g: a break there would help", p.VariableName(),
				x)
		}()
	}
	g := a.Curve.Grid()
	s.describe(g)
	s.Error = a.Error
	par := g.Parameters(a.Curve.V)
	for i, q := range p.Parameters {
		s.Found = append(s.Found, Found{Name: q.Name, Value: par[i], Error: a.Estimate.Parameters[i]})
	}
	s.curve = &collocated{a, s.Method == One}
	switch {
	case a.Met:
		s.Status = Solved
		s.Message = "checked against a finer solution; condition number about " + about(a.Condition)
		if a.Way != "" {
			s.Message += "; found by " + a.Way
		}
		if !a.Linear {
			s.Message += "; the equation is nonlinear, so that other solutions may exist"
			if a.Trivial() {
				s.Message += ", and this is the trivial one, zero everywhere"
			}
		}
	case a.Singular:
		s.Message = a.Reason
	case a.Undefended:
		s.Status, s.Error = Short, math.Inf(1)
		s.Message = a.Reason + "; how far what is shown is from the solution is not known"
	default:
		s.Status = Short
		s.Message = fmt.Sprintf("%s; what is shown has an estimated error of %s, and %s was asked", a.Reason,
			short(a.Error), short(o.Tol))
		if a.Partly {
			s.Message += "; a derivative without an error does not converge"
		}
	}
}

// short writes a number with one digit: 0.02, 1e-8.
func short(v float64) string {
	s := strconv.FormatFloat(v, 'g', 1, 64)
	return strings.NewReplacer("e-0", "e-", "e+0", "e").Replace(s)
}

// about writes a condition number with two digits: 1.3, 40, 6500, 2e7.
func about(v float64) string {
	if v >= 1e6 {
		return short(v)
	}
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 2, 64), 64)
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

// describe records the mesh and the degrees.
func (s *Solution) describe(g *collocation.Grid) {
	s.Mesh, s.Elements = g.Mesh.X, g.Elements()
	s.Interior = slices.Max(g.Mesh.Nodes)
	order := 0
	for _, u := range s.Problem.Unknowns {
		order = max(order, u.Order)
	}
	s.Degree = s.Interior + order - 1
}

// collocated is the curve of a collocation solution.
type collocated struct {
	a *adapt.Answer
	// nodes says that the table lists the collocation nodes, and not only the mesh points.
	nodes bool
}

var _ curve = (*collocated)(nil)

func (c *collocated) at(x float64, jet []float64) { c.a.Curve.At(x, jet) }
func (c *collocated) errorAt(x float64, err []float64) {
	c.a.Estimate.At(x, err)
	if !c.a.Met {
		g := c.a.Curve.Grid()
		unclaim(g.P, g.Mesh.X, c.a.Error, x, err)
	}
}

// finer is Solution.Finer.
func (c *collocated) finer(k int, x float64, jet, rest []float64) bool {
	est := c.a.Estimate
	if c.a.Fine == nil || !c.a.Met || est.Besides == nil || k > 0 && est.Response == nil {
		return false
	}
	est.Rest(x, rest)
	if k == 0 {
		c.a.Fine.At(x, jet)
		return true
	}
	est.Response.At(x, jet)
	own := make([]float64, len(jet))
	c.a.Curve.At(x, own)
	for i, v := range own {
		jet[i] += v
	}
	return true
}

func (c *collocated) left() float64 { return c.a.Left }

func (c *collocated) points() []float64 { return c.a.Curve.Points(c.nodes) }

// sketch leaves the curve without any claim.
func (s *Solution) sketch() {
	s.curve = &unknown{s.curve}
	s.Error = math.Inf(1)
	for i := range s.Found {
		s.Found[i].Error = math.Inf(1)
	}
}

// unknown is a curve of which nobody knows how far it is from a solution.
type unknown struct{ curve }

func (u *unknown) errorAt(_ float64, err []float64) {
	for i := range err {
		err[i] = math.Inf(1)
	}
}

// Series returns the Legendre coefficients of one entry of the jet on one element (package collocation), nil for finite
// differences.
func (s *Solution) Series(element, entry int) []float64 {
	c := s.curve
	if u, ok := c.(*unknown); ok {
		c = u.curve
	}
	if c, ok := c.(*collocated); ok {
		return c.a.Curve.Series(element, entry)
	}
	return nil
}
