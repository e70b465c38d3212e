package singular

import (
	"math"
	"slices"

	"nodespan/solver/bvp"
)

// Natural is what an equation asks of a smooth solution at a singular end, where the term with its highest derivative
// falls away: a linear combination of the solution's values and derivatives there,
//
//	Σ_i (Factors[i][0] + Factors[i][1] p) · At[i] + Free[0] + Free[1] p = 0,
//
// where p is the sought number, if there is one. At the centre of a disc, with u” + u'/r = f, it is u'(0) = 0.
type Natural struct {
	End      End
	Equation int
	At       []bvp.PointValue
	Factors  [][2]float64
	Free     [2]float64
}

// Naturals lists what the equations ask at the singular ends. An equation that is not linear there, or not in the
// sought number, is left out.
func Naturals(p *bvp.Problem) []Natural {
	if len(p.Parameters) > 1 {
		return nil
	}
	whole := p
	p = cut(p)
	var out []Natural
	for _, e := range Ends(p) {
		if e.X != whole.A && e.X != whole.B {
			continue
		}
		for r := range p.Unknowns {
			if n, ok := natural(p, e, r); ok {
				out = append(out, n)
			}
		}
	}
	return out
}

// cut puts an infinite end at a distance of 1 from a finite one: near this, all is as before. Nothing is asked at the
// new end, where the equation is not singular by itself.
func cut(p *bvp.Problem) *bvp.Problem {
	q := *p
	switch {
	case math.IsInf(q.A, 0) && !math.IsInf(q.B, 0):
		q.A = q.B - 1
	case math.IsInf(q.B, 0) && !math.IsInf(q.A, 0):
		q.B = q.A + 1
	}
	return &q
}

// natural finds what equation r asks at an end. The limit is taken at several values of the sought number and jets,
// between which it must be linear.
func natural(p *bvp.Problem, e End, r int) (Natural, bool) {
	J, extra := p.Jet(), len(p.Parameters)
	var scale float64 // the power of t that the equation is divided by
	known := false
	limit := func(factor, parameter float64) ([]float64, bool) {
		in := make([]float64, J+extra)
		for i := range J {
			in[i] = factor * (1 + 0.17*float64(i))
		}
		if extra > 0 {
			in[J] = parameter
		}
		if !known {
			scale, known = leadingPower(p, e, r, in), true
		}
		return atEnd(p, e, r, in, scale)
	}
	at0, ok0 := limit(1, 0.6)
	at1, ok1 := limit(1, 1.6)
	at2, ok2 := limit(0.37, 2.6)
	if !ok0 || !ok1 || !ok2 {
		return Natural{}, false
	}
	// Entry i is affine in the parameter: its value at 0 and its slope.
	affine := func(i int) (v [2]float64, ok bool) {
		d := at1[i] - at0[i]
		size := math.Max(math.Abs(at0[i]), math.Abs(at2[i]))
		if math.Abs(d) > 1e-9*size {
			v[1] = d
		}
		v[0] = at0[i] - 0.6*v[1]
		if math.Abs(v[0]) < 1e-9*size {
			v[0] = 0
		}
		return v, math.Abs(at0[i]+2*d-at2[i]) <= 1e-8*size
	}
	n := Natural{End: e, Equation: r}
	size := 0.0
	for i := range at0 {
		size = math.Max(size, math.Abs(at0[i]))
	}
	if size == 0 {
		return n, false
	}
	entry := 0
	for k, u := range p.Unknowns {
		for d := range u.Order + 1 {
			v, ok := affine(entry)
			if math.Abs(at0[entry]) <= 1e-9*size && math.Abs(at1[entry]) <= 1e-9*size {
				v, ok = [2]float64{}, true
			}
			if !ok || d == u.Order && v != [2]float64{} {
				return n, false
			}
			if v != [2]float64{} {
				n.At = append(n.At, bvp.PointValue{X: e.X, Unknown: k, Derivative: d})
				n.Factors = append(n.Factors, v)
			}
			entry++
		}
	}
	if math.Abs(at0[J]) > 1e-9*size || math.Abs(at1[J]) > 1e-9*size {
		var ok bool
		if n.Free, ok = affine(J); !ok {
			return n, false
		}
	}
	if len(n.At) == 1 && n.Free == [2]float64{} {
		n.Factors = [][2]float64{{1, 0}} // its factor does not matter
	}
	return n, len(n.At) > 0
}

// leadingPower returns the least power of t of the coefficients below the highest derivatives; 0 where they are finite
// at the end and do not all vanish.
func leadingPower(p *bvp.Problem, e End, r int, in []float64) float64 {
	n, width := len(p.Unknowns), len(in)
	f, df := make([]float64, n), make([]float64, n*width)
	least := math.Inf(1)
	entry := 0
	for _, u := range p.Unknowns {
		for d := range u.Order {
			g := func(t float64) float64 {
				p.Equations(e.point(t), in, f, df)
				return df[r*width+entry+d]
			}
			if _, mu, ok := power(g, (p.B-p.A)*reach); ok {
				least = math.Min(least, mu)
			}
		}
		entry += u.Order + 1
	}
	return least
}

// atEnd returns the derivatives of equation r by the jet, divided by the power of t, at the end, and then what is free
// of the jet.
func atEnd(p *bvp.Problem, e End, r int, in []float64, scale float64) (out []float64, ok bool) {
	if math.IsInf(scale, 0) {
		return nil, false
	}
	n, J, width := len(p.Unknowns), p.Jet(), len(in)
	f, df := make([]float64, n), make([]float64, n*width)
	row := func(x, factor float64) []float64 {
		p.Equations(x, in, f, df)
		out := slices.Clone(df[r*width : r*width+J])
		rest := f[r]
		for i, c := range out {
			rest -= c * in[i]
		}
		out = append(out, rest)
		for i := range out {
			out[i] *= factor
		}
		return out
	}
	if scale == 0 {
		out = row(e.X, 1)
	}
	if scale != 0 || !bvp.AllFinite(out) {
		// The limit by Richardson's extrapolation of what is smooth in t.
		t := (p.B - p.A) / (1 << 16)
		at := func(t float64) []float64 { return row(e.point(t), math.Pow(t, -scale)) }
		a, b, c := at(t), at(t/2), at(t/4)
		out = make([]float64, len(a))
		for i := range out {
			out[i] = (a[i] - 6*b[i] + 8*c[i]) / 3
			if math.Abs(out[i]) < 1e-3*math.Abs(c[i]) {
				out[i] = 0
			}
		}
	}
	return out, bvp.AllFinite(out)
}
