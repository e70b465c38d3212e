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

const (
	mostSteps       = 60
	smallestDamping = 1e-6
	target          = 1e-15 // relative size of the last correction
)

// solve improves v until the difference equations hold, by Newton steps with the affine-invariant damping of P.
// Deuflhard, Newton Methods for Nonlinear Problems (Springer, 2004), section 2.1: a step is accepted when the next
// simplified correction is smaller.
func (g *grid) solve(v *vector, ctx context.Context) *discrete {
	d := &discrete{g: g, v: v, asm: g.newAssembler(), outcome: newton.Stalled}
	step, bar, trial := g.newVector(), g.newVector(), g.newVector()
	var rhs *blocks.RHS
	damping := 1.0
	var elimination, substitution float64
	for d.iterations < mostSteps {
		if ctx != nil && ctx.Err() != nil {
			d.outcome = newton.Cancelled
			return d
		}
		d.sys = g.system()
		if rhs == nil {
			rhs = d.sys.NewRHS()
			elimination, substitution = d.sys.Work()
		}
		// Eleven substitutions: the correction, the simplified ones, and those that tell what rounding may do.
		budget.Spend(ctx, g.work()+elimination+11*substitution)
		if !d.asm.assemble(v, d.sys, rhs) {
			if d.iterations == 0 {
				d.outcome = newton.NotFinite
			}
			return d
		}
		if !d.sys.Factor() {
			d.outcome = newton.Singular
			return d
		}
		d.iterations++
		d.sys.SolveTo(step.blocks, rhs)
		weights := g.weights(v, step)
		size := g.norm(step, weights)
		if !finite(size) {
			d.outcome = newton.Singular
			return d
		}
		accepted := false
		for damping >= smallestDamping {
			add(trial, v, damping, step)
			budget.Spend(ctx, g.work()+substitution)
			next := math.Inf(1)
			if d.asm.residual(trial, rhs) {
				d.sys.SolveTo(bar.blocks, rhs)
				next = g.norm(bar, weights)
			}
			if d.iterations == 1 && damping == 1 && next < 1e-3 {
				d.linear = next <= math.Max(1e-10, 10*d.elimination(weights, rhs))
			}
			small := damping == 1 && d.settled(next, weights, rhs)
			if small || next < (1-damping/4)*size {
				add(v, v, damping, step)
				accepted = true
				if small {
					add(v, v, 1, bar)
					d.outcome = newton.Converged
					return d
				}
				if damping == 1 && d.polish(v, bar, trial, rhs, weights, next, next/size) {
					d.outcome = newton.Converged
					return d
				}
				damping = math.Min(1, 4*damping)
				break
			}
			damping /= 2
		}
		if !accepted {
			d.hopeless = d.elimination(weights, rhs) > 1e-3
			return d
		}
	}
	return d
}

// polish takes simplified steps as long as they contract well; it reports convergence.
func (d *discrete) polish(v, bar, trial *vector, rhs *blocks.RHS, weights []float64, size, theta float64) bool {
	for range 8 {
		if theta > 0.25 {
			return false
		}
		add(trial, v, 1, bar)
		if !d.asm.residual(trial, rhs) {
			return false
		}
		copy(v.y, trial.y)
		copy(v.q, trial.q)
		d.sys.SolveTo(bar.blocks, rhs)
		next := d.g.norm(bar, weights)
		if d.settled(next, weights, rhs) {
			add(v, v, 1, bar)
			return true
		}
		theta = next / size
		size = next
	}
	return false
}

// settled reports whether a correction is no larger than what rounding alone may ask for. It overwrites rhs.
func (d *discrete) settled(size float64, weights []float64, rhs *blocks.RHS) bool {
	const unit = 1.0 / (1 << 53)
	return size <= target || (size < 1e-3 && size <= 10*(unit+d.disturbed(d.asm.terms, weights, rhs)))
}

// elimination returns the size of what rounding in the elimination may do: its rows have entries of order one. It
// overwrites rhs.
func (d *discrete) elimination(weights []float64, rhs *blocks.RHS) float64 {
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

// disturbed returns the size of the answer of the linear equations to a disturbance of every row. It overwrites rhs.
func (d *discrete) disturbed(sizes [][]float64, weights []float64, rhs *blocks.RHS) float64 {
	v := d.g.newVector()
	d.asm.disturb(sizes, rhs, signs())
	d.sys.SolveTo(v.blocks, rhs)
	return d.g.norm(v, weights)
}

// signs returns a fixed sequence of signs (xorshift64): the same problem gives the same digits.
func signs() func() float64 {
	seed := uint64(88172645463325252)
	return func() float64 {
		seed ^= seed << 13
		seed ^= seed >> 7
		seed ^= seed << 17
		if seed&1 == 0 {
			return -1
		}
		return 1
	}
}

// weights returns the largest size of each unknown and border unknown in v or v + step.
func (g *grid) weights(v, step *vector) []float64 {
	w := make([]float64, g.n+len(v.q))
	for i, y := range v.y {
		w[i%g.n] = math.Max(w[i%g.n], math.Max(math.Abs(y), math.Abs(y+step.y[i])))
	}
	for i, q := range v.q {
		w[g.n+i] = math.Max(math.Abs(q), math.Abs(q+step.q[i]))
	}
	// A border unknown that happens to vanish is measured by what it is the value of.
	for i, t := range g.taps {
		if t.value.Derivative == 0 {
			w[g.n+i] = math.Max(w[g.n+i], w[t.value.Unknown])
		}
	}
	return w
}

// norm is the largest entry relative to its weight. Derivatives in taps do not count: their size says nothing of
// the values'.
func (g *grid) norm(v *vector, weights []float64) float64 {
	most := 0.0
	count := func(x, w float64) {
		if w > 0 {
			if r := math.Abs(x) / w; !(r <= most) {
				most = r
			}
		}
	}
	for i, y := range v.y {
		count(y, weights[i%g.n])
	}
	for i, q := range v.q {
		if i >= len(g.taps) || g.taps[i].value.Derivative == 0 {
			count(q, weights[g.n+i])
		}
	}
	return most
}

// add sets dst = v + f w.
func add(dst, v *vector, f float64, w *vector) {
	for i, y := range v.y {
		dst.y[i] = y + f*w.y[i]
	}
	for i, q := range v.q {
		dst.q[i] = q + f*w.q[i]
	}
}
