// Package derived takes numbers from a solution: integrals and means with any weight, extremes, zero crossings. Each comes with an
// error estimate that includes the solution's own. It knows no text and no browser.
package derived

import (
	"math"
	"slices"

	"nodespan/solver"
	"nodespan/solver/nodes"
)

// Number is a derived number with its estimated error.
type Number struct{ Value, Error float64 }

// Integrand is a function of the point, the jet there (package bvp has its layout) and nothing else. It writes its derivatives
// with respect to the entries of the jet to d (same length as the jet, cleared before) and returns its value.
type Integrand func(x float64, jet, d []float64) float64

// Entry returns the integrand weight(x) · jet[entry]; a nil weight is 1. With x or x² it gives integrals over cylinders and spheres.
func Entry(entry int, weight func(x float64) float64) Integrand {
	return func(x float64, jet, d []float64) float64 {
		w := 1.0
		if weight != nil {
			w = weight(x)
		}
		d[entry] = w
		return w * jet[entry]
	}
}

// rule is the number of Gauss points on each stretch; the check uses as many again on both halves.
const rule = 12

// Integral integrates f over [a, b], element by element. The error is the sum of what the solution's error estimate may do and of the
// difference between the rule on whole stretches and on their halves (Gauss quadrature: M. Abramowitz, I. A. Stegun, 25.4.30).
// a > b gives the negative of the integral from b to a.
func Integral(s *solver.Solution, f Integrand, a, b float64) Number {
	if a > b {
		n := Integral(s, f, b, a)
		return Number{-n.Value, n.Error}
	}
	cuts := []float64{a}
	for _, x := range s.Mesh {
		if x > a && x < b {
			cuts = append(cuts, x)
		}
	}
	cuts = append(cuts, b)
	// One element of a high degree needs more stretches than one.
	if n := (s.Degree + 7) / 8; n > 1 {
		cuts = divide(cuts, n)
	}
	t := &taker{s: s, f: f, jet: make([]float64, s.Problem.Jet()), d: make([]float64, s.Problem.Jet()), err: make([]float64, s.Problem.Jet())}
	x, w := nodes.Gauss(rule)
	var whole, halves sum
	var doubt, size float64
	for i := range len(cuts) - 1 {
		l, r := cuts[i], cuts[i+1]
		m := l + (r-l)/2
		whole.add(t.stretch(x, w, l, r, nil, nil))
		halves.add(t.stretch(x, w, l, m, &doubt, &size))
		halves.add(t.stretch(x, w, m, r, &doubt, &size))
	}
	v := halves.value()
	return Number{v, math.Abs(v-whole.value()) + doubt + 4e-16*size}
}

// taker evaluates an integrand with scratch space.
type taker struct {
	s           *solver.Solution
	f           Integrand
	jet, d, err []float64
}

// stretch applies a rule on [l, r]; doubt gathers the effect of the solution's error, size the sizes of what is added.
func (t *taker) stretch(x, w []float64, l, r float64, doubt, size *float64) float64 {
	v := 0.0
	h := (r - l) / 2
	for i, u := range x {
		at := l + h*(1+u)
		t.s.At(at, t.jet)
		clear(t.d)
		g := h * w[i] * t.f(at, t.jet, t.d)
		v += g
		if doubt != nil {
			*size += math.Abs(g)
			t.s.ErrorAt(at, t.err)
			for j, d := range t.d {
				if d != 0 {
					*doubt += h * w[i] * math.Abs(d) * t.err[j]
				}
			}
		}
	}
	return v
}

// sum adds with compensation (W. Kahan, Comm. ACM 8, 1965, 40).
type sum struct{ s, c float64 }

func (k *sum) add(v float64) {
	y := v - k.c
	t := k.s + y
	k.c = (t - k.s) - y
	k.s = t
}

func (k *sum) value() float64 { return k.s }

// Mean is the integral of weight · f over that of the weight; a nil weight is 1.
func Mean(s *solver.Solution, f Integrand, weight func(x float64) float64, a, b float64) Number {
	if weight == nil {
		weight = func(float64) float64 { return 1 }
	}
	top := Integral(s, func(x float64, jet, d []float64) float64 {
		w := weight(x)
		v := f(x, jet, d)
		for i := range d {
			d[i] *= w
		}
		return w * v
	}, a, b)
	bottom := Integral(s, func(x float64, _, _ []float64) float64 { return weight(x) }, a, b)
	v := top.Value / bottom.Value
	return Number{v, (top.Error + math.Abs(v)*bottom.Error) / math.Abs(bottom.Value)}
}

// Point is a place on the solution: x and the value there, each with its error.
type Point struct {
	X, Value Number
	// Kind of an extreme: "largest", "smallest" over the interval; "maximum", "minimum" inside; empty for a crossing.
	Kind string
}

// Crossings lists the places in [a, b] where jet[entry] takes the level, ascending. Places where it only touches may be missed.
func Crossings(s *solver.Solution, entry int, level, a, b float64) []Point {
	jet, err := make([]float64, s.Problem.Jet()), make([]float64, s.Problem.Jet())
	at := func(x float64) float64 {
		s.At(x, jet)
		return jet[entry] - level
	}
	var out []Point
	x := samples(s, a, b)
	x0, v0 := x[0], at(x[0])
	mark := func(p float64) {
		s.At(p, jet)
		v := jet[entry]
		s.ErrorAt(p, err)
		slope := slopeAt(s, entry, p, a, b)
		out = append(out, Point{X: Number{p, err[entry]/math.Abs(slope) + 2e-16*math.Abs(p)}, Value: Number{v, err[entry]}})
	}
	if v0 == 0 {
		mark(x0)
	}
	for _, x1 := range x[1:] {
		v1 := at(x1)
		switch {
		case v1 == 0:
			mark(x1)
		case v0*v1 < 0:
			mark(bisect(at, x0, x1, v0))
		}
		x0, v0 = x1, v1
	}
	return out
}

// Extremes lists the largest and the smallest value of jet[entry] over [a, b], and the maxima and minima inside, ascending in x. The entry must
// not be a highest derivative.
func Extremes(s *solver.Solution, entry int, a, b float64) []Point {
	jet, err := make([]float64, s.Problem.Jet()), make([]float64, s.Problem.Jet())
	point := func(x, dx float64, kind string) Point {
		s.At(x, jet)
		s.ErrorAt(x, err)
		return Point{X: Number{x, dx}, Value: Number{jet[entry], err[entry]}, Kind: kind}
	}
	list := []Point{point(a, 0, "")}
	for _, c := range Crossings(s, entry+1, 0, a, b) {
		if c.X.Value == a || c.X.Value == b {
			continue
		}
		kind := "maximum"
		if slopeAt(s, entry+1, c.X.Value, a, b) > 0 {
			kind = "minimum"
		}
		list = append(list, point(c.X.Value, c.X.Error, kind))
	}
	list = append(list, point(b, 0, ""))
	high, low := 0, 0
	for i, p := range list {
		if p.Value.Value > list[high].Value.Value {
			high = i
		}
		if p.Value.Value < list[low].Value.Value {
			low = i
		}
	}
	list[high].Kind = "largest"
	if list[low].Value.Value < list[high].Value.Value {
		list[low].Kind = "smallest"
	}
	return slices.DeleteFunc(list, func(p Point) bool { return p.Kind == "" })
}

// samples lists points of [a, b] close enough together to see every sign change that the elements' degrees allow.
func samples(s *solver.Solution, a, b float64) []float64 {
	x := []float64{a}
	for _, m := range s.Mesh {
		if m > a && m < b {
			x = append(x, m)
		}
	}
	x = append(x, b)
	return divide(x, 2*s.Degree+6)
}

func divide(x []float64, n int) []float64 {
	out := make([]float64, 0, (len(x)-1)*n+1)
	for i := range len(x) - 1 {
		for j := range n {
			out = append(out, x[i]+(x[i+1]-x[i])*float64(j)/float64(n))
		}
	}
	return append(out, x[len(x)-1])
}

// bisect finds the sign change between a and b, where f(a) has the sign of fa.
func bisect(f func(float64) float64, a, b, fa float64) float64 {
	for range 200 {
		m := a + (b-a)/2
		if m <= a || m >= b {
			break
		}
		if f(m)*fa > 0 {
			a = m
		} else {
			b = m
		}
	}
	return b
}

// slopeAt is the slope of jet[entry] at x by a difference over a short stretch inside [a, b].
func slopeAt(s *solver.Solution, entry int, x, a, b float64) float64 {
	h := 1e-5 * (b - a)
	lo, hi := math.Max(a, x-h), math.Min(b, x+h)
	jet := make([]float64, s.Problem.Jet())
	s.At(lo, jet)
	v := jet[entry]
	s.At(hi, jet)
	return (jet[entry] - v) / (hi - lo)
}
