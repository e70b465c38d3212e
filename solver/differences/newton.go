package differences

import (
	"context"
	"math"

	"nodespan/solver/blocks"
	"nodespan/solver/budget"
	"nodespan/solver/newton"
)

// discrete is a solution on one mesh with the last linear system, for error analysis.
type discrete struct {
	g          *grid
	v          *vector
	sys        *blocks.System
	asm        *assembler
	outcome    newton.Outcome
	iterations int
	// linear reports that the first step left no more than the rounding of the elimination.
	linear bool
	// hopeless reports that rounding spoils the linear equations of this mesh altogether.
	hopeless bool
}

// target is the relative size of a correction that needs no further one, whatever rounding may do.
const target = 1e-15

// equations are the difference equations as package newton solves them.
type equations struct {
	*discrete
	ctx     context.Context
	rhs     *blocks.RHS
	weights []float64
	used    bool // sys holds factors
	// Work of the derivatives with their factors, and of a residual, each with its substitutions.
	whole, residualWork float64
}

var _ newton.Equations[*vector] = (*equations)(nil)

// solve improves v until the difference equations hold.
func (g *grid) solve(v *vector, ctx context.Context) *discrete {
	d := &discrete{g: g, v: v, asm: g.newAssembler()}
	d.sys = g.system()
	e := &equations{discrete: d, ctx: ctx, rhs: d.sys.NewRHS()}
	elimination, substitution := d.sys.Work()
	// Eleven substitutions: the correction, the simplified ones, and those that tell what rounding may do.
	e.whole, e.residualWork = g.work()+elimination+11*substitution, g.work()+substitution
	end := newton.Iterate(e, v, newton.Limits{Context: ctx})
	d.outcome, d.iterations, d.linear = end.Outcome, end.Iterations, end.Linear
	switch {
	case d.outcome == newton.NotFinite && d.iterations > 0:
		d.outcome = newton.Stalled
	case d.outcome == newton.Stalled:
		d.hopeless = d.eliminationError(e.weights, e.rhs) > spoilt
	}
	return d
}

// spoilt is the relative effect of rounding in the elimination from which on a mesh has no solution.
const spoilt = 1e-3

func (e *equations) New() *vector { return e.g.newVector() }

func (e *equations) Copy(dst, v *vector) {
	copy(dst.y, v.y)
	copy(dst.q, v.q)
}

// Add sets dst = v + f w.
func (e *equations) Add(dst, v *vector, f float64, w *vector) {
	for i, y := range v.y {
		dst.y[i] = y + f*w.y[i]
	}
	for i, q := range v.q {
		dst.q[i] = q + f*w.q[i]
	}
}

func (e *equations) Work() float64 { return e.whole }

func (e *equations) Linearise(v *vector) (finite, regular bool) {
	if e.used {
		e.sys = nil // let the old factors go before the new ones take their room
		e.sys = e.g.system()
	}
	e.used = true
	if !e.asm.assemble(v, e.sys, e.rhs) {
		return false, false
	}
	return true, e.sys.Factor()
}

func (e *equations) Residual(v *vector) bool {
	budget.Spend(e.ctx, e.residualWork)
	return e.asm.residual(v, e.rhs)
}

func (e *equations) Correct(step *vector) { e.sys.SolveTo(step.blocks, e.rhs) }

func (e *equations) Weigh(v, next *vector) { e.weights = e.g.weights(v, next) }

// Floor has nothing to raise: what rounding may do is worked out where it matters, by Settled.
func (e *equations) Floor(*vector) bool { return false }

func (e *equations) Size(v *vector, f float64, w *vector) float64 {
	return e.g.norm(v, f, w, e.weights)
}

func (e *equations) Settled(size float64) bool { return e.settled(size, e.weights, e.rhs) }

func (e *equations) Linear(size float64) bool {
	return size < 1e-3 && size <= math.Max(1e-10, 10*e.eliminationError(e.weights, e.rhs))
}

// Explained is in Settled.
func (e *equations) Explained(*vector, float64) bool { return false }

// Singular is left to the condition number of the problem, which the judges of a solution work out.
func (e *equations) Singular() bool { return false }

// settled reports whether a correction is no larger than what rounding alone may ask for. It overwrites rhs.
func (d *discrete) settled(size float64, weights []float64, rhs *blocks.RHS) bool {
	const unit = 1.0 / (1 << 53)
	return size <= target || (size < 1e-3 && size <= 10*(unit+d.disturbed(d.asm.terms, weights, rhs)))
}

// eliminationError returns the size of what rounding in the elimination may do: its rows have entries of order one. It
// overwrites rhs.
func (d *discrete) eliminationError(weights []float64, rhs *blocks.RHS) float64 {
	most := 0.0
	for _, w := range weights {
		most = math.Max(most, w)
	}
	sizes := make([][]float64, len(d.asm.terms))
	for e, t := range d.asm.terms {
		sizes[e] = make([]float64, len(t))
		for i := range sizes[e] {
			sizes[e][i] = most
		}
	}
	return d.disturbed(sizes, weights, rhs)
}

// signSeed is the seed of the random signs of disturbances.
const signSeed = 88172645463325252

// disturbed returns the size of the answer of the linear equations to a disturbance of every row. It overwrites rhs.
func (d *discrete) disturbed(sizes [][]float64, weights []float64, rhs *blocks.RHS) float64 {
	v := d.g.newVector()
	d.asm.disturb(sizes, rhs, blocks.Signs(signSeed))
	d.sys.SolveTo(v.blocks, rhs)
	return d.g.norm(v, 0, v, weights)
}

// weights returns the largest size of each unknown and border unknown in v or next.
func (g *grid) weights(v, next *vector) []float64 {
	w := make([]float64, g.n+len(v.q))
	for i, y := range v.y {
		w[i%g.n] = math.Max(w[i%g.n], math.Max(math.Abs(y), math.Abs(next.y[i])))
	}
	for i, q := range v.q {
		w[g.n+i] = math.Max(math.Abs(q), math.Abs(next.q[i]))
	}
	// A border unknown that happens to vanish is measured by what it is the value of.
	for i, t := range g.taps {
		if t.value.Derivative == 0 {
			w[g.n+i] = math.Max(w[g.n+i], w[t.value.Unknown])
		}
	}
	return w
}

// norm is the largest entry of v - f w relative to its weight. Derivatives in taps do not count: their size says
// nothing of the values'.
func (g *grid) norm(v *vector, f float64, w *vector, weights []float64) float64 {
	most := 0.0
	count := func(x, weight float64) {
		if weight > 0 {
			if r := math.Abs(x) / weight; !(r <= most) && !math.IsNaN(most) { // NaN stays
				most = r
			}
		}
	}
	for i, y := range v.y {
		count(y-f*w.y[i], weights[i%g.n])
	}
	for i, q := range v.q {
		if i >= len(g.taps) || g.taps[i].value.Derivative == 0 {
			count(q-f*w.q[i], weights[g.n+i])
		}
	}
	return most
}
