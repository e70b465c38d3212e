package adapt

import (
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/newton"
)

// Auto keeps one polynomial as long as it serves and goes over to pieces where it does not. It reports whether the
// answer is one polynomial.
func Auto(p *bvp.Problem, o Options) (a *Answer, one bool) {
	o.of(p)
	if o.Elements > 1 {
		return Pieces(p, o), false
	}
	if o.Mesh != nil {
		return Pieces(p, o), false // a mesh was given, so pieces it is
	}
	a = polynomial(p, o, autoNodes, false)
	early := a.tooSteep
	if o.Nodes > 0 {
		explain(p, a, o)
		return a, true
	}
	if a.Met || a.Singular || o.cancelled() {
		return a, true
	}
	b := Pieces(p, o)
	b.Iterations += a.Iterations
	if b.Met || b.Singular || o.cancelled() && !budget.Spent(o.Context) {
		return b, false
	}
	if early && !o.cancelled() {
		a = polynomial(p, o, autoNodes, true)
		if a.Met || a.Singular {
			return a, true
		}
	}
	// Neither did: a long ladder may still, and else the better one is shown, with the reason that pieces gave.
	if b.Outcome == newton.Converged && !b.Unresolved {
		if c := polynomial(p, o, 0, true); c.Met {
			c.Iterations += b.Iterations
			return c, true
		}
	}
	if a.Curve != nil && (b.Curve == nil || a.Error < b.Error) {
		a.Reason = b.Reason
		return a, true
	}
	return b, false
}
