package derived

import (
	"math"
	"slices"

	"nodespan/solver"
)

// Function is a function along a solution, for values, integrals, extremes and crossings that are not those of one entry of the jet.
type Function struct {
	// F is the function with its derivatives by the jet.
	F Integrand
	// Slope is dF/dx along the solution, with its derivatives by the jet; nil where it is not known: then places of
	// extremes are sought by comparing values, and known less well.
	Slope Integrand
	// Doubt is an error of F at a point that does not come from the solution's error, such as that of a sought number in it; nil: none.
	Doubt func(x float64, jet []float64) float64
}

// point is a place to evaluate functions along a solution, with scratch space.
type along struct {
	s           *solver.Solution
	jet, d, err []float64
}

func newAlong(s *solver.Solution) *along {
	n := s.Problem.Jet()
	return &along{s: s, jet: make([]float64, n), d: make([]float64, n), err: make([]float64, n)}
}

// value returns f at x; error the estimated error beside it.
func (p *along) value(f Integrand, x float64) float64 {
	p.s.At(x, p.jet)
	clear(p.d)
	return f(x, p.jet, p.d)
}

func (p *along) number(f Integrand, doubt func(float64, []float64) float64, x float64) Number {
	v := p.value(f, x)
	p.s.ErrorAt(x, p.err)
	e := 2e-16 * math.Abs(v)
	for j, d := range p.d {
		if d != 0 {
			e += math.Abs(d) * p.err[j]
		}
	}
	if doubt != nil {
		e += doubt(x, p.jet)
	}
	return Number{v, e}
}

// At returns f at x.
func (f Function) At(s *solver.Solution, x float64) Number {
	return newAlong(s).number(f.F, f.Doubt, x)
}

// Integral integrates f over [a, b]; either may be infinite where the problem's interval is. Beyond its last mesh point a solution is
// at its limit to within its error, so an integral to infinity ends there. What is left out is put at no more than what the last quarter
// of the mesh adds, as is so where f falls exponentially (common practice, no source). The second result is false where f does not fall to
// nothing there: then the integral does not exist, or cannot be told.
func (f Function) Integral(s *solver.Solution, a, b float64) (Number, bool) {
	if a > b {
		n, ok := f.Integral(s, b, a)
		return Number{-n.Value, n.Error}, ok
	}
	first, last := s.Mesh[0], s.Mesh[len(s.Mesh)-1]
	from, to := math.Max(a, first), math.Min(b, last)
	n := f.finite(s, from, to)
	for _, end := range []struct{ outside, inner, outer float64 }{{a, first + (last-first)/4, first}, {b, last - (last-first)/4, last}} {
		switch {
		case end.outside == math.Max(first, math.Min(last, end.outside)):
			continue
		case !math.IsInf(end.outside, 0): // some point beyond the mesh
			m := f.finite(s, math.Min(end.outer, end.outside), math.Max(end.outer, end.outside))
			n = Number{n.Value + m.Value, n.Error + m.Error}
			continue
		case !f.quiet(s, end.outer, from, to):
			return Number{math.NaN(), math.Inf(1)}, false
		}
		m := f.finite(s, math.Max(from, math.Min(end.inner, end.outer)), math.Min(to, math.Max(end.inner, end.outer)))
		n.Error += math.Abs(m.Value) + m.Error
	}
	return n, true
}

// quiet reports whether f is nothing at the end of the mesh, compared with its largest size and its error.
func (f Function) quiet(s *solver.Solution, end, from, to float64) bool {
	p := newAlong(s)
	size := 0.0
	for _, x := range samples(s, from, to) {
		size = math.Max(size, math.Abs(p.value(f.F, x)))
	}
	n := p.number(f.F, f.Doubt, end)
	return math.Abs(n.Value) <= 100*n.Error+1e3*s.Tol*size
}

// finite integrates over a stretch of finite length.
func (f Function) finite(s *solver.Solution, a, b float64) Number {
	if a == b {
		return Number{}
	}
	n := Integral(s, f.F, a, b)
	if f.Doubt != nil {
		n.Error += math.Abs(Integral(s, func(x float64, jet, _ []float64) float64 { return f.Doubt(x, jet) }, a, b).Value)
	}
	return n
}

// Zeros lists the places in [a, b], finite, where f changes its sign, ascending. Places where it only touches zero, and two that are
// closer together than the samples of an element, may be missed.
func (f Function) Zeros(s *solver.Solution, a, b float64) []Point {
	p := newAlong(s)
	var out []Point
	for _, x := range crossings(func(x float64) float64 { return p.value(f.F, x) }, samples(s, a, b)) {
		n := p.number(f.F, f.Doubt, x)
		out = append(out, Point{X: Number{x, p.miss(f.F, n.Error, x, a, b)}, Value: n})
	}
	return out
}

// miss is how far a place where f takes a value may be off when f is off by err.
func (p *along) miss(f Integrand, err, x, a, b float64) float64 {
	h := 1e-5 * (b - a)
	lo, hi := math.Max(a, x-h), math.Min(b, x+h)
	slope := (p.value(f, hi) - p.value(f, lo)) / (hi - lo)
	return err/math.Abs(slope) + 4e-16*math.Max(math.Abs(a), math.Abs(b))
}

// crossings finds the sign changes of f between samples.
func crossings(f func(float64) float64, x []float64) []float64 {
	var out []float64
	x0, v0 := x[0], f(x[0])
	if v0 == 0 {
		out = append(out, x0)
	}
	for _, x1 := range x[1:] {
		v1 := f(x1)
		switch {
		case v1 == 0:
			out = append(out, x1)
		case v0*v1 < 0:
			out = append(out, bisect(f, x0, x1, v0))
		}
		x0, v0 = x1, v1
	}
	return out
}

// Largest returns the place in [a, b], finite, where f is largest. Places are all the ones whose values cannot be told from the largest one
// and that are not the same place; there is more than one where, say, two peaks are equally high.
func (f Function) Largest(s *solver.Solution, a, b float64) (best Point, places []Point) {
	p := newAlong(s)
	x := samples(s, a, b)
	v := make([]float64, len(x))
	for i := range x {
		v[i] = p.value(f.F, x[i])
	}
	add := func(x, dx float64) {
		places = append(places, Point{X: Number{x, dx}, Value: p.number(f.F, f.Doubt, x)})
	}
	add(a, 0)
	if f.Slope != nil {
		for _, c := range crossings(func(x float64) float64 { return p.value(f.Slope, x) }, x) {
			if c > a && c < b {
				add(c, p.miss(f.Slope, p.number(f.Slope, nil, c).Error, c, a, b))
			}
		}
	}
	// Kinks have no slope that crosses zero in between samples, and f may have no known slope at all.
	for i := 1; i+1 < len(x); i++ {
		if v[i] >= v[i-1] && v[i] >= v[i+1] {
			c := golden(func(x float64) float64 { return p.value(f.F, x) }, x[i-1], x[i+1])
			near := slices.ContainsFunc(places, func(q Point) bool { return math.Abs(q.X.Value-c) <= (x[i+1]-x[i-1])/2 })
			if f.Slope != nil && near {
				continue
			}
			add(c, p.blunt(f, c, a, b))
		}
	}
	add(b, 0)
	best = places[0]
	for _, q := range places {
		if q.Value.Value > best.Value.Value {
			best = q
		}
	}
	kept := places[:0]
	for _, q := range places {
		indistinct := best.Value.Value-q.Value.Value <= best.Value.Error+q.Value.Error
		apart := math.Abs(q.X.Value-best.X.Value) > 4*(q.X.Error+best.X.Error)+1e-7*(b-a)
		if q == best || indistinct && apart {
			kept = append(kept, q)
		}
	}
	return best, kept
}

// blunt is how far a maximum found by comparing values may be off: sqrt(2 err/|f”|), where f” is a difference.
func (p *along) blunt(f Function, x, a, b float64) float64 {
	h := 1e-4 * (b - a)
	if x-h < a || x+h > b {
		return h
	}
	n := p.number(f.F, f.Doubt, x)
	curve := math.Abs(p.value(f.F, x-h)-2*n.Value+p.value(f.F, x+h)) / (h * h)
	return math.Min(math.Sqrt(2*(n.Error+4e-16*math.Abs(n.Value))/curve), b-a)
}

// golden finds a maximum of f in [a, b] by golden sections (J. Kiefer, Proc. Amer. Math. Soc. 4, 1953, 502–506).
func golden(f func(float64) float64, a, b float64) float64 {
	const g = 0.6180339887498949
	c, d := b-g*(b-a), a+g*(b-a)
	fc, fd := f(c), f(d)
	for range 80 {
		if fc > fd {
			b, d, fd = d, c, fc
			c = b - g*(b-a)
			fc = f(c)
		} else {
			a, c, fc = c, d, fd
			d = a + g*(b-a)
			fd = f(d)
		}
		if !(b > a) || c >= d {
			break
		}
	}
	return (a + b) / 2
}
