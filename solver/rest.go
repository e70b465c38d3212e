package solver

import (
	"math"
)

// Power laws, (|u'|^(n-1) u')' = -G, have no derivative by u'' (or an infinite one) where u' is 0, so that nothing is
// learnt at a first guess at rest. For such equations the first guess is a parabola over the values that the conditions
// give, of the size, and the sign, at which the equations are met best at a few points.

// fromRest returns the problem with such a guess, itself where it has one or needs none.
func fromRest(p *Problem) *Problem {
	if p.Guess != nil || math.IsInf(p.A, 0) || math.IsInf(p.B, 0) || len(p.Parameters) > 0 {
		return p
	}
	for _, u := range p.Unknowns {
		if u.Order != 2 {
			return p
		}
	}
	r := restOf(p)
	if finite, _ := r.met(0); finite {
		return p
	}
	best, size := math.Inf(1), 0.0
	for k := -24; k <= 24; k++ {
		for _, sign := range []float64{1, -1} {
			s := sign * math.Pow(10, float64(k)/3)
			if finite, off := r.met(s); finite && off < best {
				best, size = off, s
			}
		}
	}
	if size == 0 {
		return p
	}
	q := *p
	q.Guess = func(x float64, jet []float64) { r.write(x, size, jet) }
	return &q
}

// rest is a straight line through the values at the ends, and the parabola that keeps to the conditions.
type rest struct {
	p       *Problem
	value   [2][]float64 // at either end; NaN: none is given
	in, f   []float64
	df      []float64
	inputs  int
	samples []float64
}

func restOf(p *Problem) *rest {
	n := len(p.Unknowns)
	r := &rest{p: p, inputs: p.Jet() + len(p.Parameters)}
	r.in, r.f, r.df = make([]float64, r.inputs), make([]float64, n), make([]float64, n*r.inputs)
	for k, end := range []float64{p.A, p.B} {
		r.value[k] = make([]float64, n)
		for i := range r.value[k] {
			r.value[k][i] = math.NaN()
		}
		for _, c := range p.Conditions {
			if len(c.At) != 1 || c.At[0].X != end || c.At[0].Derivative != 0 {
				continue
			}
			in, dg := []float64{0}, []float64{0}
			if v := -c.Residual(in, dg) / dg[0]; !math.IsNaN(v) && !math.IsInf(v, 0) {
				r.value[k][c.At[0].Unknown] = v
			}
		}
	}
	for _, t := range []float64{0.11, 0.29, 0.43, 0.61, 0.77, 0.93} {
		r.samples = append(r.samples, p.A+t*(p.B-p.A))
	}
	return r
}

// write writes the jet of the line and a parabola of the given size.
func (r *rest) write(x, size float64, jet []float64) {
	length := r.p.B - r.p.A
	t := (x - r.p.A) / length
	for i := range r.p.Unknowns {
		o := r.p.JetOffset(i)
		a, b := r.value[0][i], r.value[1][i]
		// The parabola vanishes where a value is given, and has its vertex at the other end, or in the middle.
		f, slope, bend := 4*t*(1-t), 4-8*t, -8.0
		switch {
		case math.IsNaN(a) && !math.IsNaN(b):
			f, slope, bend, a = 1-t*t, -2*t, -2, b
		case math.IsNaN(b) && !math.IsNaN(a):
			f, slope, bend, b = t*(2-t), 2-2*t, -2, a
		case math.IsNaN(a):
			a, b = 0, 0
		}
		jet[o] = a + (b-a)*t + size*f
		jet[o+1] = (b - a + size*slope) / length
		jet[o+2] = size * bend / (length * length)
	}
}

// met reports whether the equations have finite values, and derivatives by the highest derivatives that are finite and
// not 0, at most points, and how far they are from being met in the parts of their terms.
func (r *rest) met(size float64) (finite bool, off float64) {
	good := 0
	for _, x := range r.samples {
		r.write(x, size, r.in[:r.p.Jet()])
		r.p.Equations(x, r.in, r.f, r.df)
		ok, sum, all := true, 0.0, 0.0
		for i, f := range r.f {
			top := 0.0
			for k, u := range r.p.Unknowns {
				top = math.Max(top, math.Abs(r.df[i*r.inputs+r.p.JetOffset(k)+u.Order]))
			}
			ok = ok && top > 0 && !math.IsInf(top, 0) && !math.IsNaN(f) && !math.IsInf(f, 0)
			sum += math.Abs(f)
			all += math.Abs(f)
			for k, u := range r.p.Unknowns {
				o := r.p.JetOffset(k) + u.Order
				all += math.Abs(r.df[i*r.inputs+o] * r.in[o])
			}
		}
		if ok {
			good++
			off += sum / math.Max(all, math.SmallestNonzeroFloat64)
		}
	}
	return good >= len(r.samples)-1, off / math.Max(1, float64(good))
}
