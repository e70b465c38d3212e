package adapt

import (
	"math"

	"nodespan/solver/collocation"
	"nodespan/solver/nodes"
)

// Limits of what an answer that is short of its tolerance may claim.
const (
	// mostRatio is how much of the change from one refinement to the next may be left: what changes more slowly has not
	// begun to converge.
	mostRatio = 0.7
	// mostChange is the change of an unknown, relative to its largest value, beyond which nothing of it is resolved.
	mostChange = 0.5
	// leastPerWave is the number of nodes for each wave with which polynomials begin to converge (see nodesPerWave).
	leastPerWave = math.Pi
	// largestDefended is the number of nodes of one polynomial, or of pieces, beyond which no finer solution is made.
	largestDefended = 300
)

// Defend looks whether the errors of an answer that does not meet its tolerance can be defended: two further
// refinements must change it less and less, with nodes enough for every wave, and leave no large residual. Estimates
// are widened by what the refinements show. An entry of the jet that does not converge gets an infinite error; where it
// is an unknown itself, or a sought number, the answer is Undefended. An answer of a nonlinear problem that meets its
// tolerance is confirmed where it is sensitive.
func Defend(a *Answer, o Options) {
	if a.Met {
		confirm(a, o)
	} else {
		defend(a, o)
	}
}

// defend is Defend for an answer that does not meet its tolerance.
func defend(a *Answer, o Options) {
	if a.Met || a.Curve == nil || a.Singular {
		return
	}
	a.Undefended = true
	first, second, ok := refined(a.Curve, &o)
	if !ok || !resolvesWaves(first.curve) {
		return
	}
	g := a.Curve.Grid()
	left := o.reading(g.P).along(second.curve).response(&second, &second, a.Estimate.Scale, false)
	if left.exceeds(a.Estimate.Scale, g.P) {
		return
	}
	a.Estimate.addResponse(a.Curve, left, 2.5, 1)
	room := &o.of(g.P).room
	one, two := difference(a.Curve, first.curve, 1, room), difference(first.curve, second.curve, 1, room)
	two.addRounding(second.curve, second.result)
	est := a.Estimate
	a.Undefended = false
	for i := range est.Scale {
		if !widened(est, one, two, i) {
			a.Undefended = a.Undefended || entryOfFunction(g, i) == i
			a.Partly = true
		}
	}
	for i, v := range one.Parameters {
		ratio := two.Parameters[i] / v
		if !(ratio <= mostRatio) && v > 4*est.Parameters[i] {
			a.Undefended = true
		} else if v > 0 {
			est.Parameters[i] = math.Max(est.Parameters[i], 2.5*v/(1-math.Min(ratio, mostRatio)))
		}
	}
	if !a.Undefended {
		a.Error = est.relativeOfKnown(g)
		a.Undefended = !a.Linear && a.Error > mostLinear
	}
}

// mostLinear is the relative error up to which the linearised equations of a nonlinear problem tell what becomes of it;
// common practice, no source. A front that rounding moves by its own width is beyond it.
const mostLinear = 0.01

// widened widens the estimate of entry i of the jet by what two refinements changed, and reports whether it can be
// defended.
func widened(est, one, two *Estimate, i int) bool {
	d1, d2 := most(one.Local, i), most(two.Local, i)
	floor := 4 * math.Max(est.Floor[i], two.Floor[i])
	if !(d1 <= mostChange*one.Scale[i]) && !(d1 <= floor) || !(d2 <= mostRatio*d1) && !(d2 <= floor) {
		for _, l := range est.Local {
			l[i] = math.Inf(1)
		}
		return false
	}
	ratio := 0.0
	if d1 > floor {
		ratio = math.Min(d2/d1, mostRatio)
	}
	for e, l := range est.Local {
		l[i] = math.Max(l[i], 2.5/(1-ratio)*(one.Local[e][i]+0.1*d2))
	}
	return true
}

// most returns the largest value of entry i on any element; NaN where there is one.
func most(local [][]float64, i int) float64 {
	d := 0.0
	for _, l := range local {
		if !(l[i] <= d) {
			d = l[i]
		}
	}
	return d
}

// refined solves on two finer meshes, one after the other.
func refined(c *collocation.Curve, o *Options) (first, second attempt, ok bool) {
	m := c.Grid().Mesh
	m.Family = nodes.Legendre // equispaced nodes judge nothing: more of them may be worse
	finer := finerMesh
	if len(m.Nodes) == 1+len(c.Grid().P.Breaks) {
		finer = func(m collocation.Mesh) collocation.Mesh {
			out := collocation.Mesh{X: m.X, Family: m.Family}
			for _, k := range m.Nodes {
				out.Nodes = append(out.Nodes, min(2*k+2, max(k+k/4, largestDefended)))
			}
			return out
		}
	}
	if 4*len(m.Nodes) > mostElements {
		return first, second, false
	}
	before := &attempt{curve: c}
	if first, ok = rung(c.Grid().P, finer(m), before, o); !ok {
		return first, second, false
	}
	first.result.System, first.result.Assembler = nil, nil
	second, ok = rung(c.Grid().P, finer(finer(m)), &first, o)
	return first, second, ok
}

// resolvesWaves reports whether every element has nodes enough for the waves that the equations, linearised around the
// curve, make on it.
func resolvesWaves(c *collocation.Curve) bool {
	m := c.Grid().Mesh
	e := 0
	on := make([]float64, len(m.Nodes))
	for _, t := range parts(c.Grid().P, c) {
		// Spread over the elements that share the part.
		for e+1 < len(m.Nodes) && m.X[e+1] <= t.x0 {
			e++
		}
		for f := e; f < len(m.Nodes) && m.X[f] < t.x1; f++ {
			common := math.Min(m.X[f+1], t.x1) - math.Max(m.X[f], t.x0)
			on[f] += t.waves() * math.Max(0, common) / (t.x1 - t.x0)
		}
	}
	for f, w := range on {
		if leastPerWave*w > float64(m.Nodes[f]) {
			return false
		}
	}
	return true
}

// relativeOfKnown is relative, without the entries of which no error is known.
func (est *Estimate) relativeOfKnown(g *collocation.Grid) float64 {
	known := *est
	known.Local = make([][]float64, len(est.Local))
	for e, l := range est.Local {
		known.Local[e] = make([]float64, len(l))
		for i, v := range l {
			if !math.IsInf(v, 1) {
				known.Local[e][i] = v
			}
		}
	}
	return known.relative(g)
}
