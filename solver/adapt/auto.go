package adapt

import (
	"math"

	"nodespan/solver/bvp"
	"nodespan/solver/newton"
)

// Auto keeps one polynomial as long as it serves and goes over to pieces where it does not. It reports whether the answer is
// one polynomial.
func Auto(p *bvp.Problem, o Options) (a *Answer, one bool) {
	if o.Elements > 1 {
		return Pieces(p, o), false
	}
	a = One(p, o, autoNodes)
	if a.Met || o.Nodes > 0 || a.Outcome == newton.Cancelled {
		return a, true
	}
	b := Pieces(p, o)
	b.Iterations += a.Iterations
	if !b.Met {
		// Neither did: show the better one.
		if c := One(p, o, 0); c.Met || c.Error < b.Error {
			c.Iterations += b.Iterations
			return c, true
		}
		if math.IsInf(b.Error, 1) && a.Curve != nil {
			return a, true
		}
	}
	return b, false
}
