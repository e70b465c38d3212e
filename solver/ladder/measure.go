package ladder

import (
	"math"
	"slices"

	"nodespan/solver"
	"nodespan/solver/bvp"
)

// referenceTol is asked of a solution to measure against; one that falls short of it serves all the same, with its own
// estimate as the floor.
const referenceTol = 1e-12

// curve is a discrete solution as a function.
type curve interface {
	At(x float64, jet []float64)
}

// ruler holds what the truth is at the points of measurement, and how large it gets.
type ruler struct {
	p     *bvp.Problem
	truth func(x float64, unknown int) (float64, bool)
	x     []float64
	want  [][]float64 // of each point and unknown; NaN where not known
	scale []float64   // of each unknown
	jet   []float64
}

// Points of measurement: clustered at the ends of each stretch, where polynomials err most, and two on each element of
// the reference.
const (
	perStretch      = 96
	mostFromElement = 400
)

func newRuler(p *bvp.Problem, reference *solver.Solution, finer curve,
	exact func(x float64, unknown int) (float64, bool)) *ruler {
	r := &ruler{p: p, truth: exact, scale: make([]float64, len(p.Unknowns)), jet: make([]float64, p.Jet())}
	if exact == nil {
		jet := make([]float64, p.Jet())
		at := math.NaN()
		r.truth = func(x float64, unknown int) (float64, bool) {
			if x != at {
				finer.At(x, jet)
				at = x
			}
			return jet[p.JetOffset(unknown)], true
		}
	}
	ends := append(append([]float64{p.A}, p.Breaks...), p.B)
	var x []float64
	for i := range len(ends) - 1 {
		for j := range perStretch + 1 {
			x = append(x, ends[i]+(ends[i+1]-ends[i])*(1-math.Cos(math.Pi*float64(j)/perStretch))/2)
		}
	}
	if reference != nil {
		m := reference.Mesh
		stride := max(1, 2*len(m)/mostFromElement)
		for i := 0; i+1 < len(m); i += stride {
			x = append(x, m[i], (m[i]+m[i+1])/2)
		}
	}
	slices.Sort(x)
	x = slices.Compact(x)
	for _, at := range x {
		if at < p.A || at > p.B {
			continue
		}
		w, any := make([]float64, len(p.Unknowns)), false
		for u := range w {
			w[u] = math.NaN()
			if v, ok := r.truth(at, u); ok && !math.IsNaN(v) && !math.IsInf(v, 0) {
				w[u], any = v, true
				r.scale[u] = math.Max(r.scale[u], math.Abs(v))
			}
		}
		if any {
			r.x, r.want = append(r.x, at), append(r.want, w)
		}
	}
	for u := range r.scale {
		if r.scale[u] == 0 {
			r.scale[u] = 1
		}
	}
	return r
}

// measure writes the errors of a curve (nil: no solution) with the given mesh into a rung.
func (r *ruler) measure(to *Rung, c curve, mesh []float64) {
	to.Error, to.Relative, to.AtMesh = math.NaN(), math.NaN(), math.NaN()
	if c == nil {
		return
	}
	to.Error, to.Relative, to.AtMesh = 0, 0, 0
	for i, x := range r.x {
		c.At(x, r.jet)
		for u, want := range r.want[i] {
			if math.IsNaN(want) {
				continue
			}
			d := math.Abs(r.jet[r.p.JetOffset(u)] - want)
			if !(d <= to.Error) {
				to.Error = d
			}
			if !(d/r.scale[u] <= to.Relative) {
				to.Relative = d / r.scale[u]
			}
		}
	}
	stride := max(1, len(mesh)/128)
	for i := 0; i < len(mesh); i += stride {
		c.At(mesh[i], r.jet)
		for u := range r.scale {
			if want, ok := r.truth(mesh[i], u); ok && !math.IsNaN(want) {
				to.AtMesh = math.Max(to.AtMesh, math.Abs(r.jet[r.p.JetOffset(u)]-want)/r.scale[u])
			}
		}
	}
}
