// Package adapt chooses degrees and meshes, and judges what was computed. It stands on packages collocation and newton
// and knows no text.
//
// One polynomial climbs a ladder of node numbers until two neighbouring rungs agree. Pieces begin on a mesh that has
// elements for the waves, layers and narrow places which equations and formulas show; they split where the Legendre
// coefficients of the highest derivative do not fall, climb in degree where they do, and merge where fewer serve. Every
// answer is measured against a finer solution before it is believed.
package adapt

import (
	"context"
	"fmt"
	"math"
	"slices"

	"nodespan/solver/blocks"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
	"nodespan/solver/newton"
	"nodespan/solver/nodes"
)

// Options say what is wanted.
type Options struct {
	Family   nodes.Family
	Nodes    int // per element; 0: chosen
	Elements int // 0: chosen
	Tol      float64
	// Values says that the tolerance is asked of the unknowns only, and not of their derivatives.
	Values bool
	// Least is the number of nodes at which one polynomial begins; 0: as few as can be.
	Least    int
	Progress func(string)
	Context  context.Context
	// Brief leaves out the search for a reason where there is no answer.
	Brief bool
	// Near says that the first guess is near a solution: where Newton's iteration does not get there from it, no other
	// way is tried.
	Near bool
	// Mesh, when not nil, is the one that pieces begin with, of the same interval: where it is known that the solution
	// takes pieces.
	Mesh *collocation.Mesh

	known *known // of the problem at hand; see Options.of
}

// known is what is worked out once for a problem.
type known struct {
	p        *bvp.Problem
	features *reading // see Options.reading
	parts    []part   // see Options.parts
	linear   *bool    // see Options.linear
	room     scratch
}

// of returns what is known of p. Copies of the options made after that share it.
//
//go:noinline
func (o *Options) of(p *bvp.Problem) *known {
	if o.known == nil || o.known.p != p {
		o.known = &known{p: p}
	}
	return o.known
}

// reading returns what the formulas of p tell.
func (o *Options) reading(p *bvp.Problem) *reading {
	k := o.of(p)
	if k.features == nil {
		k.features = read(p, o.Context)
		k.features.room = &k.room
	}
	k.features.ctx = o.Context
	return k.features
}

// linear reports whether p is linear in the unknowns and the sought numbers together.
func (o *Options) linear(p *bvp.Problem) bool {
	k := o.of(p)
	if k.linear == nil {
		linear := p.Linear()
		k.linear = &linear
	}
	return *k.linear
}

func (o *Options) say(format string, args ...any) {
	if o.Progress != nil {
		o.Progress(fmt.Sprintf(format, args...))
	}
}

// cancelled reports whether the work is to end, because it was cancelled or because its budget is spent.
//
//go:noinline
func (o *Options) cancelled() bool { return budget.Over(o.Context) }

// part returns the same options with a budget of a share of the work that is left.
func (o Options) part(share float64) Options {
	o.Context = budget.Part(o.Context, share)
	return o
}

// Answer is the best that was found.
type Answer struct {
	// Met reports that the estimated error is within the tolerance.
	Met bool
	// Curve is the solution, nil when there is none to show.
	Curve    *collocation.Curve
	Estimate *Estimate
	// Error is the largest estimated relative error.
	Error float64
	// Condition is the problem's condition number.
	Condition  float64
	Iterations int
	// Linear reports that equations and conditions are linear in the unknowns and the sought numbers together.
	Linear bool
	// Reason says in one sentence why the tolerance was not met; empty when Met.
	Reason string
	// Outcome of the last Newton iteration.
	Outcome newton.Outcome
	// Singular reports that the problem has no or many solutions, as Reason says.
	Singular bool
	// Undefended reports that the estimates of an answer that is short of the tolerance do not stand; see Defend.
	Undefended bool
	// Partly reports that this is so of derivatives only; their estimates are infinite.
	Partly bool
	// Unresolved reports that the limit of pieces was reached.
	Unresolved bool
	// Way says how the answer was found when Newton's iteration did not get there by itself: "continuation in eps".
	Way  string
	rest func() // what is still to be added to the estimates, see compare
	// tooSteep reports that one polynomial was given up before the bound, see tooSteep.
	tooSteep bool
	// Finer is the number of nodes per element (or elements) of the solution that judged this one.
	Finer int
	// Fine is that solution; nil where there is none.
	Fine *collocation.Curve
	// Left is the part of the error that the finer solution still has; NaN when not known.
	Left float64
}

// attempt is one discrete solution.
type attempt struct {
	curve  *collocation.Curve
	result newton.Result
}

// solveOn runs Newton's iteration on a mesh from a start.
func solveOn(p *bvp.Problem, m collocation.Mesh, start func(g *collocation.Grid) *blocks.Solution, o *Options) attempt {
	g := collocation.NewGrid(p, m)
	v := start(g)
	defer enter(o.Context, Iterating, g)()
	r := newton.Solve(g, v, newton.Options{Context: o.Context, Target: math.Min(1e-12, 1e-3*o.Tol)})
	return attempt{g.Curve(v), r}
}

// fromCurve starts from another solution.
func fromCurve(c *collocation.Curve) func(g *collocation.Grid) *blocks.Solution {
	return func(g *collocation.Grid) *blocks.Solution { return vectorOf(g, c) }
}

// fromJet starts from a function that writes the jet, and the guesses of the parameters.
func fromJet(p *bvp.Problem, jet func(x float64, jet []float64)) func(g *collocation.Grid) *blocks.Solution {
	return func(g *collocation.Grid) *blocks.Solution {
		v := g.NewVector()
		g.Fill(v, jet)
		guessParameters(g, v, 1)
		return v
	}
}

// guessParameters sets the parameters of a vector to their guesses, those without one to another number.
func guessParameters(g *collocation.Grid, v *blocks.Solution, otherwise float64) {
	for i, par := range g.P.Parameters {
		q := otherwise
		if par.HasGuess {
			q = par.Guess
		}
		g.Parameters(v)[i] = q
	}
}

// starts lists the first guesses to try in turn: the problem's own, or else zero and a few plain ones. Where none of
// these leads to a solution, the interpolant may.
func starts(p *bvp.Problem) []func(g *collocation.Grid) *blocks.Solution {
	if p.Guess != nil {
		return []func(g *collocation.Grid) *blocks.Solution{fromJet(p, p.Guess)}
	}
	var list []func(g *collocation.Grid) *blocks.Solution
	add := func(c, otherwise float64) {
		list = append(list, func(g *collocation.Grid) *blocks.Solution {
			v := lineFrom(g, c, c)
			guessParameters(g, v, otherwise)
			return v
		})
	}
	add(0, 1)
	add(1, 1)
	add(0.1, 1)
	if len(p.Parameters) > 0 {
		// A sought number may multiply an unknown: these do not depend on the units of either, nor on that of x.
		size := sizeByConditions(p)
		add(size, 0)
		add(size, 1)
		add(-size, 1)
	}
	add(-1, 1)
	return list
}

// interpolant returns the polynomials of least degree that meet the conditions, nil where the conditions do not fix
// them or are not linear. Between two values it is the straight line. Sought numbers count as their first guesses, and
// the conditions that are there for them raise the degree of a single unknown.
func interpolant(p *bvp.Problem) *collocation.Curve {
	var guesses []float64
	for _, par := range p.Parameters {
		guesses = append(guesses, 1)
		if par.HasGuess {
			guesses[len(guesses)-1] = par.Guess
		}
	}
	if !p.LinearConditions(guesses) || len(p.Parameters) > 0 && len(p.Unknowns) > 1 {
		return nil
	}
	q := &bvp.Problem{A: p.A, B: p.B, Unknowns: slices.Clone(p.Unknowns), Conditions: slices.Clone(p.Conditions)}
	q.Unknowns[0].Order += len(p.Parameters)
	for i, c := range p.Conditions {
		n := len(c.At)
		q.Conditions[i].Residual = func(in, dg []float64) float64 {
			if dg == nil {
				return c.Residual(slices.Concat(in, guesses), nil)
			}
			all := make([]float64, n+len(guesses))
			g := c.Residual(slices.Concat(in, guesses), all)
			copy(dg, all[:n])
			return g
		}
	}
	q.Equations = func(_ float64, in, f, df []float64) {
		clear(df)
		for i, u := range q.Unknowns {
			top := q.JetOffset(i) + u.Order
			f[i] = in[top]
			if df != nil {
				df[i*len(in)+top] = 1
			}
		}
	}
	g := collocation.NewGrid(q, collocation.Uniform([]float64{p.A, p.B}, leastNodes, nodes.Legendre))
	v := g.NewVector()
	if newton.Solve(g, v, newton.Options{}).Outcome != newton.Converged {
		return nil
	}
	return g.Curve(v)
}

// jetOf returns the jet of p along the curve of a problem whose first unknown may be of a higher order.
func jetOf(c *collocation.Curve, p *bvp.Problem) func(x float64, jet []float64) {
	all := make([]float64, c.Grid().P.Jet())
	more := len(all) - p.Jet()
	first := p.Unknowns[0].Order + 1
	return func(x float64, jet []float64) {
		c.At(x, all)
		copy(jet[:first], all)
		copy(jet[first:], all[first+more:])
	}
}

// sizeByConditions returns the size that the conditions give the unknowns: the largest value that one of them asks of
// an unknown or, over the length, of a derivative; 1 where they ask for nothing but zeros.
func sizeByConditions(p *bvp.Problem) float64 {
	size := 0.0
	for _, c := range p.Conditions {
		in := make([]float64, len(c.At)+len(p.Parameters))
		dg := make([]float64, len(in))
		asked, weight := math.Abs(c.Residual(in, dg)), 0.0
		for i, v := range c.At {
			weight = math.Max(weight, math.Abs(dg[i])/math.Pow(p.B-p.A, float64(v.Derivative)))
		}
		if s := asked / weight; weight > 0 && !math.IsInf(s, 0) && !math.IsNaN(s) {
			size = math.Max(size, s)
		}
	}
	if size == 0 {
		return 1
	}
	return size
}

// slopes lists first guesses for equations that cannot be evaluated, or are singular, where all slopes vanish, such as
// power laws of a slope.
func slopes(p *bvp.Problem) []func(g *collocation.Grid) *blocks.Solution {
	if p.Guess != nil || len(p.Parameters) > 0 {
		return nil
	}
	return []func(g *collocation.Grid) *blocks.Solution{
		func(g *collocation.Grid) *blocks.Solution { return lineFrom(g, 1, 0) },
		func(g *collocation.Grid) *blocks.Solution { return lineFrom(g, 0, 1) },
	}
}

// lineFrom returns the vector of unknowns that all go from a to b along a straight line.
func lineFrom(g *collocation.Grid, a, b float64) *blocks.Solution {
	p := g.P
	v := g.NewVector()
	slope := (b - a) / (p.B - p.A)
	g.Fill(v, func(x float64, jet []float64) {
		clear(jet)
		for i := range p.Unknowns {
			at := p.JetOffset(i)
			jet[at], jet[at+1] = a+slope*(x-p.A), slope
		}
	})
	return v
}
