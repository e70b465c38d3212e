// Package newton solves the nonlinear discrete equations of a collocation grid by damped Newton steps with exact
// derivatives. It knows no mesh selection and does not judge the discretisation.
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
	"nodespan/solver/collocation"
)

// Outcome says how an iteration ended.
type Outcome int

const (
	Converged Outcome = iota
	Stalled           // the damping became too small, or too many steps
	Singular          // the linearised problem has no unique solution
	NotFinite         // the equations could not be evaluated at the start
	Cancelled
)

func (o Outcome) String() string {
	return [...]string{"converged", "stalled", "singular", "not finite", "cancelled"}[o]
}

// Options of an iteration; the zero value is sensible.
type Options struct {
	// Target is the relative size of the last correction at which to stop; 0 means 1e-12.
	Target float64
	// Steps bounds the Newton steps; 0 means 60.
	Steps   int
	Context context.Context
}

// Result is the end of an iteration. System and Assembler hold the last Jacobian, for error analysis.
type Result struct {
	Outcome    Outcome
	Iterations int
	// Linear reports that one undamped step from the start solved the equations to rounding.
	Linear    bool
	System    *blocks.System
	Assembler *collocation.Assembler
	// Last is the relative size of the last correction.
	Last float64
}

// SingularCondition is the condition number of the closing system beyond which a problem counts as singular. Measured:
// the published problems with one solution stay below 2e9 (a wild first rung; 1e3 once resolved), those with none or
// many come to 1e14 and more.
const SingularCondition = 1e13

// rounding is the relative size at which corrections that do not shrink any more are taken for rounding errors. The
// highest derivative of a singularly perturbed equation carries the most: measured 5e-9 for eps = 1e-5, where the
// solution itself kept 13 digits.
const rounding = 1e-7

// smallestDamping: below it a step makes no headway in double precision.
const smallestDamping = 1e-7

// iteration is a run of Solve.
type iteration struct {
	g                *collocation.Grid
	o                Options
	asm              *collocation.Assembler
	sys              *blocks.System
	rhs              *blocks.RHS
	v                *blocks.Solution // the iterate
	step, bar, trial *blocks.Solution // the correction, the simplified one at the next point, that point
	n                *norm
	res              Result

	damping               float64
	previous, previousBar float64 // sizes of the last correction and of its simplified one
	// Work of a Jacobian with its factors and a residual, and of a residual, each with a substitution.
	whole, residual float64
}

// Solve improves v, in place, until the grid's equations hold. After a failure v holds the last accepted iterate.
func Solve(g *collocation.Grid, v *blocks.Solution, o Options) Result {
	if o.Target == 0 {
		o.Target = 1e-12
	}
	if o.Steps == 0 {
		o.Steps = 60
	}
	it := &iteration{g: g, o: o, asm: g.NewAssembler(), sys: g.System(), v: v, step: g.NewVector(), bar: g.NewVector(),
		trial: g.NewVector(), damping: 1}
	it.rhs = it.sys.NewRHS()
	it.res.Assembler = it.asm
	assembly, residual := g.Work()
	elimination, substitution := it.sys.Work()
	it.whole, it.residual = assembly+elimination+substitution, residual+substitution
	for it.res.Iterations < o.Steps {
		if end, ok := it.advance(); ok {
			it.res.Outcome = end
			return it.res
		}
	}
	it.res.Outcome = Stalled
	return it.res
}

// advance takes one Newton step, and reports an outcome where the iteration ends with it.
func (it *iteration) advance() (Outcome, bool) {
	if budget.Over(it.o.Context) || !budget.Afford(it.o.Context, it.whole) {
		return Cancelled, true
	}
	if it.res.Iterations > 0 {
		it.sys, it.res.System = nil, nil // let the old factors go before the new ones take their room
		it.sys = it.g.System()
	}
	it.res.System = it.sys
	if !it.asm.Assemble(it.v, it.sys, it.rhs) {
		return NotFinite, true
	}
	if !it.sys.Factor() {
		return Singular, true
	}
	it.sys.SolveTo(it.step, it.rhs)
	add(it.trial, it.v, 1, it.step)
	it.n = newNorm(it.g, it.v, it.trial)
	size := it.n.of(it.step)
	it.res.Iterations++
	if math.IsNaN(size) || math.IsInf(size, 0) {
		return Singular, true
	}
	if size == 0 {
		it.res.Last, it.res.Linear = 0, true
		return it.converged(), true
	}
	if it.res.Iterations > 1 && it.damping < 1 && it.previousBar > 0 {
		// Deuflhard's prediction of the damping from the last step.
		it.damping = math.Min(1, it.damping*it.previous/it.previousBar*it.previous/size*0.5+it.damping)
	}
	return it.damp(size)
}

// damp looks for a damping of the correction, whose size it is given, with which the next simplified correction is
// smaller.
func (it *iteration) damp(size float64) (Outcome, bool) {
	reduced, floored := false, len(it.g.P.Unknowns) == 1 // one alone has nothing to vanish against
	if it.res.Iterations > manySteps && !floored {
		it.n.floor(it.noise())
		size, floored = it.n.of(it.step), true
	}
	for it.damping >= smallestDamping {
		barSize := math.NaN()
		if it.simplified(it.damping, it.step) {
			barSize = it.n.of(it.bar)
		}
		if math.IsNaN(barSize) {
			it.damping, reduced = it.damping/4, true
			continue
		}
		theta := barSize / size
		// Difference between the simplified correction and its linear prediction (1 − λ) Δ.
		d := it.n.ofDifference(it.bar, 1-it.damping, it.step)
		mu := 1.0
		if d > 0 {
			mu = 0.5 * size * it.damping * it.damping / d
		}
		noise := barSize <= rounding && it.damping == 1
		if !(theta < 1-it.damping/4 || noise || barSize <= it.o.Target) {
			if it.damping == 1 && !floored {
				it.n.floor(it.noise())
				size, floored = it.n.of(it.step), true
				continue
			}
			it.damping, reduced = math.Min(mu, it.damping/2), true
			continue
		}
		if it.damping < 1 && mu >= 4*it.damping && theta < 1 && !reduced {
			// The test would let a much longer step pass.
			if next := math.Min(1, mu); next > 4*it.damping {
				it.damping = next
				continue
			}
		}
		it.previous, it.previousBar = size, math.Max(d, 1e-300)
		copyTo(it.v, it.trial)
		if it.damping == 1 {
			if it.res.Iterations == 1 && barSize <= 1e-10 {
				it.res.Linear = true
			}
			if it.polish(barSize, theta) {
				return it.converged(), true
			}
		}
		it.damping = math.Min(1, math.Max(mu, it.damping))
		return 0, false
	}
	it.res.Last = size
	if it.sys.Condition() > SingularCondition {
		return Singular, true
	}
	return Stalled, true
}

// manySteps is the number of steps after which corrections are suspected to be rounding.
const manySteps = 8

// noise returns what rounding may do to the point at the end of the undamped step.
func (it *iteration) noise() *blocks.Solution {
	add(it.trial, it.v, 1, it.step)
	budget.Spend(it.o.Context, 2*it.residual)
	sign := -1.0
	it.asm.Rounding(it.trial, it.sys, 1).Disturb(it.rhs, 0, func() float64 {
		sign = -sign
		return sign
	})
	noise := it.g.NewVector()
	it.sys.SolveTo(noise, it.rhs)
	return noise
}

// simplified sets trial = v + f w and bar to the correction there by the factors at hand; false where the equations are
// not finite there.
func (it *iteration) simplified(f float64, w *blocks.Solution) bool {
	add(it.trial, it.v, f, w)
	budget.Spend(it.o.Context, it.residual)
	if !it.asm.Residual(it.trial, it.rhs) {
		return false
	}
	it.sys.SolveTo(it.bar, it.rhs)
	return true
}

// converged is the outcome of an iteration that has come to rest.
func (it *iteration) converged() Outcome {
	if it.sys.Condition() > SingularCondition {
		return Singular
	}
	return Converged
}

// polish takes simplified steps with the Jacobian at hand as long as they contract well, from bar, the next correction,
// its size and its ratio to the one before. It reports whether the iteration has converged: corrections below the
// target, or at the level of rounding.
func (it *iteration) polish(size, theta float64) bool {
	for range 8 {
		if size <= it.o.Target {
			add(it.v, it.v, 1, it.bar)
			it.res.Last = size
			return true
		}
		if theta > 0.25 {
			// So close to a solution Newton's iteration converges quadratically: what does not shrink any more is
			// rounding.
			it.res.Last = size
			return size <= rounding
		}
		if !it.simplified(1, it.bar) {
			return false
		}
		next := it.n.of(it.bar)
		if math.IsNaN(next) {
			return false
		}
		theta = next / size
		if theta >= 0.5 && size <= rounding {
			// Corrections no longer shrink: rounding. The better of the two points is as good as it gets.
			it.res.Last = size
			return true
		}
		if theta >= 1 {
			return false
		}
		copyTo(it.v, it.trial)
		size = next
	}
	return false
}

// norm measures corrections relative to the size of what they correct.
type norm struct {
	g     *collocation.Grid
	u     []float64 // weight of each unknown's û
	z     []float64 // weight of each state entry
	q     []float64 // weight of each border unknown
	own   []int     // nodes per element
	count float64
}

func newNorm(g *collocation.Grid, a, b *blocks.Solution) *norm {
	p := g.P
	n := &norm{g: g, u: make([]float64, len(p.Unknowns)), z: make([]float64, p.State()), q: make([]float64, len(a.Q)),
		own: g.Mesh.Nodes}
	for _, v := range []*blocks.Solution{a, b} {
		for _, z := range v.Z {
			for i, x := range z {
				n.z[i] = math.Max(n.z[i], math.Abs(x))
			}
		}
		for e, u := range v.U {
			k := n.own[e]
			for i := range n.u {
				for _, x := range u[i*k : (i+1)*k] {
					n.u[i] = math.Max(n.u[i], math.Abs(x))
				}
			}
		}
		for i, x := range v.Q {
			n.q[i] = math.Max(n.q[i], math.Abs(x))
		}
	}
	length := g.Mesh.X[len(g.Mesh.X)-1] - g.Mesh.X[0]
	at := 0
	for i, u := range p.Unknowns {
		n.u[i] = math.Max(n.u[i], n.z[at])
		// A derivative may vanish at every mesh point (cos πx on [−1, 1]); its size is then the unknown's over the
		// length.
		floor := n.u[i]
		for d := range u.Order {
			n.z[at+d] = math.Max(n.z[at+d], floor)
			floor /= length
		}
		at += u.Order
	}
	n.floorTaps(length)
	for _, u := range a.U {
		n.count += float64(len(u))
	}
	n.count += float64(len(a.Z)*len(n.z) + len(a.Q))
	return n
}

// floorTaps gives a value at a point that vanishes (a support, a slope at the middle of a symmetric beam) the size of
// its entry elsewhere: relative to itself it is all rounding.
func (n *norm) floorTaps(length float64) {
	p := n.g.P
	for i, v := range n.g.Taps() {
		at := p.JetOffset(v.Unknown) - v.Unknown // of the state: one entry less for each unknown before
		size := n.z[at] / math.Pow(length, float64(v.Derivative))
		if v.Derivative < p.Unknowns[v.Unknown].Order {
			size = n.z[at+v.Derivative]
		}
		n.q[i] = math.Max(n.q[i], size)
	}
}

// floor gives an unknown that vanishes to within rounding, while another does not, weights above its rounding:
// corrections of that size must count as such.
func (n *norm) floor(noise *blocks.Solution) {
	const digits, sure = 1e8, 1e-8
	p := n.g.P
	other := newNorm(n.g, noise, noise)
	largest := 0.0
	at := 0
	for _, u := range p.Unknowns {
		largest = math.Max(largest, n.z[at])
		at += u.Order
	}
	at = 0
	vanishes := make([]bool, len(p.Unknowns))
	for i, u := range p.Unknowns {
		if vanishes[i] = n.z[at] <= 8*other.z[at] && other.z[at] <= sure*largest; vanishes[i] {
			n.u[i] = math.Max(n.u[i], digits*other.u[i])
			for d := range u.Order {
				n.z[at+d] = math.Max(n.z[at+d], digits*other.z[at+d])
			}
		}
		at += u.Order
	}
	for i, v := range n.g.Taps() {
		if vanishes[v.Unknown] {
			n.q[i] = math.Max(n.q[i], digits*other.q[i])
		}
	}
}

func (n *norm) of(v *blocks.Solution) float64 { return n.ofDifference(v, 0, v) }

// ofDifference measures v − f w.
func (n *norm) ofDifference(v *blocks.Solution, f float64, w *blocks.Solution) float64 {
	sum, most := 0.0, 0.0
	term := func(x, weight float64) {
		if weight > 0 {
			x /= weight
			sum += x * x
			most = math.Max(most, math.Abs(x))
		}
	}
	for e, u := range v.U {
		k := n.own[e]
		for j, x := range u {
			term(x-f*w.U[e][j], n.u[j/k])
		}
	}
	for e, z := range v.Z {
		for i, x := range z {
			term(x-f*w.Z[e][i], n.z[i])
		}
	}
	for i, x := range v.Q {
		term(x-f*w.Q[i], n.q[i])
	}
	if math.IsNaN(sum) {
		return math.NaN()
	}
	// Between the mean and the largest: a layer in one of a thousand elements must count.
	return math.Sqrt(math.Sqrt(sum/n.count) * most)
}

// add sets dst = v + f w.
func add(dst, v *blocks.Solution, f float64, w *blocks.Solution) {
	for e := range v.U {
		axpyTo(dst.U[e], v.U[e], f, w.U[e])
	}
	for e := range v.Z {
		axpyTo(dst.Z[e], v.Z[e], f, w.Z[e])
	}
	axpyTo(dst.Q, v.Q, f, w.Q)
}

func axpyTo(dst, v []float64, f float64, w []float64) {
	for i, x := range v {
		dst[i] = x + f*w[i]
	}
}

func copyTo(dst, v *blocks.Solution) {
	for e := range v.U {
		copy(dst.U[e], v.U[e])
	}
	for e := range v.Z {
		copy(dst.Z[e], v.Z[e])
	}
	copy(dst.Q, v.Q)
}
