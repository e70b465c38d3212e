// Package newton is the damped Newton iteration with exact derivatives that solves discrete equations: Iterate for any,
// Solve for those of a collocation grid. It knows no mesh selection and does not judge the discretisation.
//
// The damping is the affine-invariant one of P. Deuflhard, Newton Methods for Nonlinear Problems (Springer, 2004),
// section 2.1 (algorithm NLEQ-ERR): a step is accepted when the simplified correction, computed with the old
// Jacobian at the new point, is smaller than the correction. A linear problem converges in one step.
package newton

import (
	"context"
	"math"

	"nodespan/solver/blocks"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// Options of Solve; the zero value is sensible.
type Options struct {
	// Target is the relative size of the last correction at which to stop; 0 means 1e-12.
	Target float64
	// Steps bounds the Newton steps; 0 means 60.
	Steps   int
	Context context.Context
}

// Result is the end of Solve. System and Assembler hold the last Jacobian, for error analysis.
type Result struct {
	End
	System    *blocks.System
	Assembler *collocation.Assembler
}

// SingularCondition is the condition number of the closing system beyond which a problem counts as singular. Measured:
// the published problems with one solution stay below 2e9 (a wild first rung; 1e3 once resolved), those with none or
// many come to 1e14 and more.
const SingularCondition = 1e13

// rounding is the relative size at which corrections that do not shrink any more are taken for rounding errors. The
// highest derivative of a singularly perturbed equation carries the most: measured 5e-9 for eps = 1e-5, where the
// solution itself kept 13 digits.
const rounding = 1e-7

// linear is the size of the first simplified correction up to which a problem counts as linear.
const linear = 1e-10

// vectors is how many an iteration takes: the correction, the simplified one and the point where that is taken.
const vectors = 3

// collocated are the equations of a collocation grid.
type collocated struct {
	g      *collocation.Grid
	ctx    context.Context
	target float64
	asm    *collocation.Assembler
	sys    *blocks.System
	rhs    *blocks.RHS
	n      *norm
	spare  []blocks.Solution
	used   bool // sys holds factors
	// Work of a Jacobian with its factors and a residual, and of a residual, each with a substitution.
	whole, residual float64
}

var _ Equations[*blocks.Solution] = (*collocated)(nil)

// Solve improves v, in place, until the grid's equations hold. After a failure v holds the last accepted iterate.
func Solve(g *collocation.Grid, v *blocks.Solution, o Options) Result {
	if o.Target == 0 {
		o.Target = 1e-12
	}
	e := &collocated{g: g, ctx: o.Context, target: o.Target, asm: g.NewAssembler(), sys: g.System()}
	e.rhs = e.sys.NewRHS()
	assembly, residual := g.Work()
	elimination, substitution := e.sys.Work()
	e.whole, e.residual = assembly+elimination+substitution, residual+substitution
	start := largest(v)
	end := Iterate(e, v, Limits{Steps: o.Steps, Rounding: rounding, Context: o.Context})
	if end.Outcome == Converged && largest(v) <= vanishing*start {
		e.vanish(v)
	}
	return Result{End: end, System: e.sys, Assembler: e.asm}
}

// vanishing is the part of the first guess below which what an iteration comes to may be zero.
const vanishing = 1e-8

// vanish sets the unknowns to zero where a further correction changes them by about as much as there is of them, and
// one at zero is no larger: then v is the rounding of what there was before, and so would be whatever follows.
func (e *collocated) vanish(v *blocks.Solution) {
	step, zero := e.g.NewVector(), e.g.NewVector()
	copy(e.g.Parameters(zero), e.g.Parameters(v))
	correction := func(at *blocks.Solution) float64 {
		if !e.Residual(at) {
			return math.NaN()
		}
		e.Correct(step)
		return largest(step)
	}
	if size := largest(v); correction(v) >= 0.1*size && correction(zero) <= 10*size {
		e.Copy(v, zero)
	}
}

// largest returns the largest size of the unknowns, those of the border left out.
func largest(v *blocks.Solution) float64 {
	top := 0.0
	for _, part := range [][][]float64{v.U, v.Z} {
		for _, x := range part {
			top = math.Max(top, bvp.Largest(x))
		}
	}
	return top
}

func (e *collocated) New() (v *blocks.Solution) {
	if len(e.spare) == 0 {
		e.spare = e.g.NewVectors(vectors)
	}
	v, e.spare = &e.spare[0], e.spare[1:]
	return v
}

func (e *collocated) Work() float64 { return e.whole }

func (e *collocated) Linearise(v *blocks.Solution) (finite, regular bool) {
	if e.used {
		e.sys.Clear()
	}
	e.used = true
	if !e.asm.Assemble(v, e.sys, e.rhs) {
		return false, false
	}
	return true, e.sys.Factor()
}

func (e *collocated) Residual(v *blocks.Solution) bool {
	budget.Spend(e.ctx, e.residual)
	return e.asm.Residual(v, e.rhs)
}

func (e *collocated) Correct(step *blocks.Solution) { e.sys.SolveTo(step, e.rhs) }

func (e *collocated) Weigh(v, next *blocks.Solution) { e.n = newNorm(e.g, v, next) }

func (e *collocated) Size(v *blocks.Solution, f float64, w *blocks.Solution) float64 {
	return e.n.ofDifference(v, f, w)
}

func (e *collocated) Settled(size float64) bool { return size <= e.target }

func (e *collocated) Linear(size float64) bool { return size <= linear }

func (e *collocated) Singular() bool { return e.sys.Condition() > SingularCondition }

// Floor keeps the weights of what vanishes above what rounding may do to it at v.
func (e *collocated) Floor(v *blocks.Solution) bool {
	if len(e.g.P.Unknowns) == 1 && len(e.g.P.Parameters) == 0 {
		return false // one alone has nothing to vanish against
	}
	budget.Spend(e.ctx, 2*e.residual)
	sign := -1.0
	rhs := e.asm.Rounding(v, e.sys, 1).Disturb(0, 1, func() float64 {
		sign = -sign
		return sign
	})
	e.n.floor(&e.sys.SolveOver(rhs)[0])
	return true
}

// mostExplained is the relative size of corrections beyond which they are not taken for rounding, whatever the
// conditioning: Newton's iteration may be far from a solution then.
const mostExplained = 1e-2

// Explained answers disturbances of every row by its rounding: near an eigenvalue these are a large part of the
// solution, and no step is better than the last.
func (e *collocated) Explained(v *blocks.Solution, size float64) bool {
	if !(size <= mostExplained) {
		return false
	}
	const trials = 3
	budget.Spend(e.ctx, (2+trials)*e.residual)
	bounds := e.asm.Rounding(v, e.sys, trials)
	sign := blocks.Signs(1)
	for trial := range trials {
		noise := &e.sys.SolveOver(bounds.Disturb(trial, trial+1, sign))[0]
		if size <= 2*e.Size(noise, 0, noise) {
			return true
		}
	}
	return false
}

// Add sets dst = v + f w.
func (e *collocated) Add(dst, v *blocks.Solution, f float64, w *blocks.Solution) {
	for i := range v.U {
		axpyTo(dst.U[i], v.U[i], f, w.U[i])
	}
	for i := range v.Z {
		axpyTo(dst.Z[i], v.Z[i], f, w.Z[i])
	}
	axpyTo(dst.Q, v.Q, f, w.Q)
}

func axpyTo(dst, v []float64, f float64, w []float64) {
	for i, x := range v {
		dst[i] = x + f*w[i]
	}
}

func (e *collocated) Copy(dst, v *blocks.Solution) {
	for i := range v.U {
		copy(dst.U[i], v.U[i])
	}
	for i := range v.Z {
		copy(dst.Z[i], v.Z[i])
	}
	copy(dst.Q, v.Q)
}
