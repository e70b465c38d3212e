package plot

import "math"

// A View is the part X0 … X1 of the interval A … B that is shown. Views are values: every method returns
// a new one, inside the interval and never narrower than floating-point numbers can tell apart.
type View struct {
	A, B   float64 // the whole interval, A < B
	X0, X1 float64 // the visible part, A ≤ X0 < X1 ≤ B
}

// NewView returns the view of the whole interval. It panics unless a < b and both are finite.
//
//go:noinline
func NewView(a, b float64) View {
	if !(a < b) || math.IsInf(a, 0) || math.IsInf(b, 0) {
		panic("plot: view needs a finite interval, a < b")
	}
	return View{A: a, B: b, X0: a, X1: b}
}

// Whole reports whether the whole interval is visible.
func (v View) Whole() bool { return v.X0 == v.A && v.X1 == v.B }

// Reset returns the view of the whole interval.
//
//go:noinline
func (v View) Reset() View { return NewView(v.A, v.B) }

// smallest returns the smallest width of the visible part: a million times smaller than the interval where
// that leaves the numbers at least a thousand steps apart.
func (v View) smallest() float64 {
	m := math.Max(math.Abs(v.A), math.Abs(v.B))
	return math.Min(v.B-v.A, math.Max((v.B-v.A)*1e-6, m*1e-12))
}

// ZoomTo returns the view of p … q, in either order, clamped to the interval. An infinite or undefined p or q
// leaves the view as it is.
func (v View) ZoomTo(p, q float64) View {
	if math.IsNaN(p-q) || math.IsInf(p-q, 0) {
		return v
	}
	if p > q {
		p, q = q, p
	}
	p, q = math.Min(math.Max(p, v.A), v.B), math.Min(math.Max(q, v.A), v.B)
	w := math.Max(q-p, v.smallest())
	return v.at(p+(q-p)/2-w/2, w)
}

// Pan returns the view moved by dx, as far as the interval allows.
func (v View) Pan(dx float64) View {
	if math.IsNaN(dx) || math.IsInf(dx, 0) {
		return v
	}
	return v.at(v.X0+dx, v.X1-v.X0)
}

// Pinch returns the view magnified by factor (above 1 shows less) with centre staying where it is on the
// screen as far as the interval allows.
func (v View) Pinch(centre, factor float64) View {
	if !(factor > 0) || math.IsInf(factor, 0) || math.IsNaN(centre) || math.IsInf(centre, 0) {
		return v
	}
	centre = math.Min(math.Max(centre, v.X0), v.X1)
	share := (centre - v.X0) / (v.X1 - v.X0)
	w := math.Min(math.Max((v.X1-v.X0)/factor, v.smallest()), v.B-v.A)
	return v.at(centre-share*w, w)
}

// at returns the view of width w that starts at x0, moved into the interval.
//
//go:noinline
func (v View) at(x0, w float64) View {
	switch {
	case w >= v.B-v.A:
		v.X0, v.X1 = v.A, v.B
	case x0 <= v.A:
		v.X0, v.X1 = v.A, v.A+w
	case x0+w >= v.B:
		v.X0, v.X1 = v.B-w, v.B
	default:
		v.X0, v.X1 = x0, x0+w
	}
	return v
}
