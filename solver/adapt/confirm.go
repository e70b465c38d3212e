package adapt

import (
	"math"

	"nodespan/solver/bvp"
)

// leastConfirmed is the tolerance below which no answer is confirmed: rounding is near.
const leastConfirmed = 1e-12

// confirm solves a nonlinear problem again, more accurately, where an error as large as that of the answer, in the
// coefficients of the linearised equations, is as large as their smallest singular value: there neither the place of
// the solution nor the condition number is known. The front of a y″ = y y′ is an example: on a coarse mesh it stands
// where it is put, since all that moves it is exponentially small, and a finer mesh starts from there and agrees. What
// is not confirmed is replaced by the better answer or, where the mesh is not free, no longer believed.
func confirm(a *Answer, o Options) {
	if a.Linear {
		return
	}
	p, free := a.Curve.Grid().P, o.Elements == 0 && o.Nodes == 0
	finer := o
	finer.Elements, finer.Nodes, finer.Mesh, finer.Brief = 0, 0, nil, true
	sensitive := "the problem is so sensitive that a more accurate solution does not confirm the one that is shown"
	from, condition, tol := a.Curve, a.Condition, a.Error
	for condition*tol > 1 && tol > leastConfirmed && a.Met {
		tol = math.Max(leastConfirmed, math.Min(1/condition, tol/10))
		finer.Tol = tol
		b := pieces(p, finer, from)
		a.Iterations += b.Iterations
		defend(b, finer)
		if b.Curve == nil || b.Undefended || b.Singular {
			a.Met, a.Undefended, a.Reason = false, true, sensitive
			return
		}
		if !agree(a, b) {
			if !free {
				a.Met, a.Undefended, a.Reason = false, true, sensitive
				return
			}
			b.Iterations, b.Way, b.Met = a.Iterations, a.Way, b.Error <= o.Tol
			*a = *b
		}
		from, condition = b.Curve, b.Condition
	}
}

// agree reports whether two solutions are as near to each other, everywhere, as their estimated errors allow.
func agree(a, b *Answer) bool {
	g := a.Curve.Grid()
	jets := [2][]float64{make([]float64, g.P.Jet()), make([]float64, g.P.Jet())}
	errs := [2][]float64{make([]float64, g.P.Jet()), make([]float64, g.P.Jet())}
	near := func(x float64) bool {
		for i, c := range []*Answer{a, b} {
			c.Curve.At(x, jets[i])
			c.Estimate.At(x, errs[i])
		}
		for i := range errs[0] {
			apart := math.Abs(jets[0][i] - jets[1][i])
			if i == entryOfFunction(g, i) && !(apart <= errs[0][i]+errs[1][i]) {
				return false
			}
		}
		return true
	}
	const points = 8
	for _, x := range append(bvp.Divide(g.Mesh.X, points), bvp.Divide(b.Curve.Grid().Mesh.X, points)...) {
		if !near(x) {
			return false
		}
	}
	return true
}
