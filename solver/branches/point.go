package branches

import (
	"math"

	"nodespan/solver"
	"nodespan/solver/bvp"
)

// pathPoint is a solution on a branch: its lifted problem's solution, and the constant.
type pathPoint struct {
	s        *solver.Solution
	constant float64
	err      float64
	sample   []float64 // values of the unknowns at the samples, then the sought numbers, the constant last
	jet      func(x float64, jet []float64)
	located  *Special // of a bifurcation point: what was found; s is then a solution beside it
}

// places are where solutions are compared along a branch, in parts of the interval.
var places = []float64{0, 0.13, 0.29, 0.5, 0.68, 0.87, 1}

// samples are the values that a branch is measured by, as points of a condition.
func samples(p *bvp.Problem) []bvp.PointValue {
	var out []bvp.PointValue
	for _, t := range places {
		x := p.A + t*(p.B-p.A)
		if t == 1 {
			x = p.B
		}
		for i := range p.Unknowns {
			out = append(out, bvp.PointValue{X: x, Unknown: i})
		}
	}
	return out
}

// pointOf reads a solution of a lifted problem.
func (t *tracer) pointOf(s *solver.Solution) *pathPoint {
	found := s.Found[len(s.Found)-1]
	a := &pathPoint{s: s, constant: found.Value, err: found.Error, jet: s.At}
	jet := make([]float64, t.base.Jet())
	for _, v := range t.samples {
		s.At(v.X, jet)
		a.sample = append(a.sample, jet[t.base.JetOffset(v.Unknown)])
	}
	for _, f := range s.Found {
		a.sample = append(a.sample, f.Value)
	}
	return a
}

// parameters are the sought numbers of the problem itself.
func (a *pathPoint) parameters() []float64 {
	var out []float64
	for _, f := range a.s.Found[:len(a.s.Found)-1] {
		out = append(out, f.Value)
	}
	return out
}

// direction is a direction along a branch, in samples, with the weights of the inner product that made it of length 1.
type direction struct {
	d, weights []float64
	jet        func(x float64, jet []float64) // the same as a function
}

// metric returns the weights of the inner product at a point: one over the squares of sizes.
func (t *tracer) metric(a *pathPoint) []float64 {
	w := make([]float64, len(a.sample))
	n := len(t.base.Unknowns)
	for i := range n {
		size := 0.0
		for k := i; k < len(t.samples); k += n {
			size = math.Max(size, math.Abs(a.sample[k]))
		}
		size = math.Max(size, t.sizes[i])
		for k := i; k < len(t.samples); k += n {
			w[k] = 1 / (size * size * float64(len(places)))
		}
	}
	for k := len(t.samples); k < len(w)-1; k++ {
		size := math.Max(1e-3, math.Abs(a.sample[k]))
		w[k] = 1 / (size * size)
	}
	w[len(w)-1] = 1 / (t.unit * t.unit)
	return w
}

func inner(w, a, b []float64) float64 {
	sum := 0.0
	for i := range w {
		sum += w[i] * a[i] * b[i]
	}
	return sum
}

// towards returns the direction from a to b, and their distance.
func (t *tracer) towards(a, b *pathPoint) (d direction, length float64) {
	d.weights = t.metric(b)
	d.d = make([]float64, len(a.sample))
	for i := range d.d {
		d.d[i] = b.sample[i] - a.sample[i]
	}
	length = math.Sqrt(inner(d.weights, d.d, d.d))
	for i := range d.d {
		d.d[i] /= length
	}
	other := make([]float64, t.base.Jet())
	d.jet = func(x float64, jet []float64) {
		b.jet(x, jet)
		a.jet(x, other)
		for i, v := range other {
			jet[i] = (jet[i] - v) / length
		}
	}
	return d, length
}

// condition is the additional condition: the solution lies the given distance from a in the direction.
func (t *tracer) condition(a *pathPoint, d direction, distance float64) bvp.Condition {
	k := make([]float64, len(d.d))
	for i := range k {
		k[i] = d.weights[i] * d.d[i]
	}
	return bvp.Condition{At: t.samples, Text: "the next point of a branch", Residual: func(in, dg []float64) float64 {
		sum := -distance
		for i, v := range in {
			sum += k[i] * (v - a.sample[i])
		}
		if dg != nil {
			copy(dg, k)
		}
		return sum
	}}
}

// held is the condition that the constant has a value.
func (t *tracer) held(v float64) bvp.Condition {
	return bvp.Condition{Text: "the constant is given", Residual: func(in, dg []float64) float64 {
		if dg != nil {
			clear(dg)
			dg[len(dg)-1] = 1 / t.unit
		}
		return (in[len(in)-1] - v) / t.unit
	}}
}

// goTo solves for the point at a distance from a in a direction; nil where there is none.
func (t *tracer) goTo(a *pathPoint, d direction, distance, tol float64) *pathPoint {
	other := make([]float64, t.base.Jet())
	guess := func(x float64, jet []float64) {
		a.jet(x, jet)
		d.jet(x, other)
		for i, v := range other {
			jet[i] += distance * v
		}
	}
	last := len(a.sample) - 1
	parameters := make([]float64, last-len(t.samples))
	for i := range parameters {
		k := len(t.samples) + i
		parameters[i] = a.sample[k] + distance*d.d[k]
	}
	return t.solve(t.lift.problem(a.sample[last]+distance*d.d[last], t.condition(a, d, distance), guess, parameters),
		tol)
}

// goToConstant solves for the point with a value of the constant, from a nearby one.
func (t *tracer) goToConstant(a *pathPoint, v, tol float64) *pathPoint {
	return t.solve(t.lift.problem(v, t.held(v), a.jet, a.parameters()), tol)
}

// solve solves a lifted problem; nil where it has no solution that is verified.
func (t *tracer) solve(p *bvp.Problem, tol float64) *pathPoint {
	o := t.o.Solve
	o.Tol, o.Near, o.Context, o.Progress = tol, true, t.part(), nil
	s, err := solver.Solve(p, o)
	if err != nil || s.Status != solver.Solved {
		return nil
	}
	return t.pointOf(s)
}
