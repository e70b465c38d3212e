package newton

import (
	"context"
	"math"

	"nodespan/solver/budget"
)

// Equations are discrete equations for a vector V of unknowns. All work but that of Linearise they spend themselves.
type Equations[V any] interface {
	New() V
	Copy(dst, v V)
	// Add sets dst = v + f w; dst may be v.
	Add(dst, v V, f float64, w V)

	// Linearise evaluates the equations and their derivatives at v and factors these; finite and regular tell whether
	// that could be done. Work is what that takes with a first correction, which Iterate spends.
	Linearise(v V) (finite, regular bool)
	Work() float64
	// Residual evaluates the equations alone, and reports whether they are finite.
	Residual(v V) bool
	// Correct solves the linearised equations for the residual at hand.
	Correct(step V)

	// Weigh chooses what sizes are relative to: the sizes of v and next. Floor raises these weights above what rounding
	// may do at v, and reports whether there was anything to raise.
	Weigh(v, next V)
	Floor(v V) bool
	// Size measures v - f w.
	Size(v V, f float64, w V) float64

	// Settled reports whether a correction of this size needs no further one, Linear whether the simplified correction
	// behind the first whole step is so small that the equations are linear. Both may overwrite the residual.
	Settled(size float64) bool
	Linear(size float64) bool
	// Explained reports whether a correction of this size behind v, which no further one makes smaller, is no more than
	// what the conditioning makes of rounding. It may overwrite the residual.
	Explained(v V, size float64) bool
	// Singular reports whether the factors at hand are those of a problem without a unique solution.
	Singular() bool
}

// Limits of an iteration.
type Limits struct {
	// Steps bounds the Newton steps; 0 means 60.
	Steps int
	// Rounding is the relative size at which corrections that do not shrink any more are rounding.
	Rounding float64
	Context  context.Context
}

// Outcome says how an iteration ended.
type Outcome int

const (
	Converged Outcome = iota
	Stalled           // the damping became too small, or too many steps
	Singular          // the linearised problem has no unique solution
	NotFinite         // the equations could not be evaluated
	Cancelled
)

func (o Outcome) String() string {
	return [...]string{"converged", "stalled", "singular", "not finite", "cancelled"}[o]
}

// End is the end of an iteration.
type End struct {
	Outcome    Outcome
	Iterations int
	// Linear reports that one undamped step from the start solved the equations to rounding.
	Linear bool
	// Last is the relative size of the last correction.
	Last float64
}

const (
	mostSteps = 60
	// smallestDamping: below it a step makes no headway in double precision.
	smallestDamping = 1e-7
	// suspicious is the number of steps after which corrections are suspected to be rounding.
	suspicious = 8
)

// iteration is a run of Iterate.
type iteration[V any] struct {
	Equations[V]
	v                V // the iterate
	step, bar, trial V // the correction, the simplified one at the next point, that point
	limits           Limits
	end              End

	damping               float64
	previous, previousBar float64 // sizes of the last correction and of its simplified one
}

// Iterate improves v, in place, until the equations hold. After a failure v holds the last accepted iterate.
func Iterate[V any](e Equations[V], v V, l Limits) End {
	if l.Steps == 0 {
		l.Steps = mostSteps
	}
	it := &iteration[V]{Equations: e, v: v, step: e.New(), bar: e.New(), trial: e.New(), limits: l, damping: 1}
	for it.end.Iterations < l.Steps {
		if outcome, ended := it.advance(); ended {
			it.end.Outcome = outcome
			return it.end
		}
	}
	it.end.Outcome = Stalled
	return it.end
}

// advance takes one Newton step, and reports an outcome where the iteration ends with it.
func (it *iteration[V]) advance() (Outcome, bool) {
	if budget.Over(it.limits.Context) || !budget.Afford(it.limits.Context, it.Work()) {
		return Cancelled, true
	}
	finite, regular := it.Linearise(it.v)
	if !finite {
		return NotFinite, true
	}
	if !regular {
		return Singular, true
	}
	it.Correct(it.step)
	it.Add(it.trial, it.v, 1, it.step)
	it.Weigh(it.v, it.trial)
	size := it.Size(it.step, 0, it.step)
	it.end.Iterations++
	if math.IsNaN(size) || math.IsInf(size, 0) {
		return Singular, true
	}
	if size == 0 {
		it.end.Last, it.end.Linear = 0, true
		return it.converged(), true
	}
	if it.end.Iterations > 1 && it.damping < 1 && it.previousBar > 0 {
		// Deuflhard's prediction of the damping from the last step.
		it.damping = math.Min(1, it.damping*it.previous/it.previousBar*it.previous/size*0.5+it.damping)
	}
	return it.damp(size)
}

// floor raises the weights above rounding where that is possible, and returns the size of the correction then.
func (it *iteration[V]) floor(size float64) (raised float64, ok bool) {
	it.Add(it.trial, it.v, 1, it.step)
	if !it.Floor(it.trial) {
		return size, false
	}
	return it.Size(it.step, 0, it.step), true
}

// damp looks for a damping of the correction, whose size it is given, with which the next simplified correction is
// smaller.
func (it *iteration[V]) damp(size float64) (Outcome, bool) {
	reduced, floored := false, false
	if it.end.Iterations > suspicious {
		size, _ = it.floor(size)
		floored = true
	}
	for it.damping >= smallestDamping {
		next, ok := it.simplified(it.damping, it.step)
		if !ok {
			it.damping, reduced = it.damping/4, true
			continue
		}
		theta := next / size
		// Difference between the simplified correction and its linear prediction (1 − λ) Δ.
		d := it.Size(it.bar, 1-it.damping, it.step)
		mu := 1.0
		if d > 0 {
			mu = 0.5 * size * it.damping * it.damping / d
		}
		noise := next <= it.limits.Rounding && it.damping == 1
		if !(theta < 1-it.damping/4 || noise || it.Settled(next)) {
			if it.damping == 1 && !floored {
				floored = true
				if raised, ok := it.floor(size); ok {
					size = raised
					continue
				}
			}
			if it.damping == 1 && it.Explained(it.trial, next) {
				it.Copy(it.v, it.trial)
				it.end.Last = next
				return it.converged(), true
			}
			it.damping, reduced = math.Min(mu, it.damping/2), true
			continue
		}
		if it.damping < 1 && mu >= 4*it.damping && theta < 1 && !reduced {
			// The test would let a much longer step pass.
			if longer := math.Min(1, mu); longer > 4*it.damping {
				it.damping = longer
				continue
			}
		}
		it.previous, it.previousBar = size, math.Max(d, 1e-300)
		return it.accept(next, theta, mu)
	}
	it.end.Last = size
	if it.Singular() {
		return Singular, true
	}
	return Stalled, true
}

// accept goes to the trial point, where the simplified correction has the given size and ratio to the correction; mu is
// the damping that the step would have borne.
func (it *iteration[V]) accept(size, theta, mu float64) (Outcome, bool) {
	it.Copy(it.v, it.trial)
	if it.damping == 1 {
		if it.end.Iterations == 1 && it.Linear(size) {
			it.end.Linear = true
		}
		if it.polish(size, theta) {
			return it.converged(), true
		}
	}
	it.damping = math.Min(1, math.Max(mu, it.damping))
	return 0, false
}

// simplified sets trial = v + f w and bar to the correction there by the factors at hand, and returns its size; false
// where the equations are not finite there.
func (it *iteration[V]) simplified(f float64, w V) (size float64, ok bool) {
	it.Add(it.trial, it.v, f, w)
	if !it.Residual(it.trial) {
		return math.NaN(), false
	}
	it.Correct(it.bar)
	size = it.Size(it.bar, 0, it.bar)
	return size, !math.IsNaN(size)
}

// converged is the outcome of an iteration that has come to rest.
func (it *iteration[V]) converged() Outcome {
	if it.Singular() {
		return Singular
	}
	return Converged
}

// polish takes simplified steps with the factors at hand as long as they contract well, from bar, the next correction,
// its size and its ratio to the one before. It reports whether the iteration has converged: corrections that have
// settled, or are at the level of rounding.
func (it *iteration[V]) polish(size, theta float64) bool {
	for range 8 {
		if it.Settled(size) {
			it.Add(it.v, it.v, 1, it.bar)
			it.end.Last = size
			return true
		}
		if theta > 0.25 {
			// So close to a solution Newton's iteration converges quadratically: what does not shrink any more is
			// rounding.
			it.end.Last = size
			return size <= it.limits.Rounding || it.Explained(it.v, size)
		}
		next, ok := it.simplified(1, it.bar)
		if !ok {
			return false
		}
		theta = next / size
		if theta >= 0.5 && (size <= it.limits.Rounding || it.Explained(it.v, size)) {
			// Corrections no longer shrink: rounding. The better of the two points is as good as it gets.
			it.end.Last = size
			return true
		}
		if theta >= 1 {
			return false
		}
		it.Copy(it.v, it.trial)
		size = next
	}
	return false
}
