package slips

import (
	"math"
	"slices"

	"nodespan/solver/bvp"
)

// This file solves equations of second order by finite volumes and by linear finite elements, as they are taught: with
// c (q(x, T, T')' + S(x, T, T')) = 0 the equation of an unknown, both say of the hat function φ of each point that
// [q φ] − ∫ q φ' dx + ∫ S φ dx = 0, with T linear between the points. They differ in how the integrals are taken. The
// slopes at the ends stand in the conditions alone: they are natural.

// quadrature is how an integral over an element is taken.
type quadrature int

const (
	atPoints quadrature = iota // the trapezoidal rule: half the element belongs to each of its points
	atMiddle                   // one value in the middle
	byGauss                    // three values: exact for smooth data to more digits than are given
	linearly                   // of the values at the points, taken as linear between them
)

// elements is a scheme: the rules for q, for what of S depends on the unknowns, and for the rest of it, the load.
type elements struct {
	name             string
	flux, part, load quadrature
	// centred: the points are the centres of equal cells, and the ends.
	centred bool
}

var elementSchemes = []elements{
	{"finite volumes", atMiddle, atPoints, atPoints, false},
	{"finite volumes with mean coefficients", atPoints, atPoints, atPoints, false},
	{"finite volumes about the centres of cells", atMiddle, atPoints, atPoints, true},
	{"linear finite elements", byGauss, byGauss, byGauss, false},
	{"linear finite elements", byGauss, linearly, linearly, false},
	{"linear finite elements with lumped loads", byGauss, byGauss, atPoints, false},
	{"linear finite elements with the load at the points", byGauss, byGauss, linearly, false},
	{"linear finite elements with lumped masses", byGauss, atPoints, atPoints, false},
	{"linear finite elements with the midpoint rule", atMiddle, atMiddle, atMiddle, false},
}

// volumes is one discretisation by elements.
type volumes struct {
	elements
	p        *bvp.Problem
	balanced bvp.Residuals // what stands for the state in balances; nil: the state itself
	x, faces []float64
	equation []int
	// scratch
	in, f, df, c, dc []float64
}

// values are the values and slopes of all unknowns at a place.
type values struct{ y, slope []float64 }

// flux is q of unknown i.
func (s *volumes) fluxAt(x float64, v values, i int) (q, byY []float64, bySlope float64) {
	s.fill(v)
	if s.balanced == nil {
		return v.slope[i : i+1], nil, 1
	}
	s.balanced(x, s.in, s.c, s.dc)
	row := s.dc[(2*i+1)*len(s.in):]
	for u := range s.p.Unknowns {
		byY = append(byY, row[3*u])
	}
	return s.c[2*i+1 : 2*i+2], byY, row[3*i+1]
}

func (s *volumes) fill(v values) {
	for u := range s.p.Unknowns {
		s.in[3*u], s.in[3*u+1], s.in[3*u+2] = v.y[u], v.slope[u], 0
	}
}

// source is S of unknown i.
func (s *volumes) source(x float64, v values, i int) float64 {
	p := s.p
	if x == p.A || x == p.B { // the equation may have no value there: y'/x
		s.fill(v)
		if p.Equations(x, s.in, s.f, s.df); !bvp.AllFinite(s.f) || !bvp.AllFinite(s.df) {
			x = math.Min(math.Max(x, p.A+nudged*(p.B-p.A)), p.B-nudged*(p.B-p.A))
		}
	}
	_, byY, bySlope := s.fluxAt(x, v, i)
	drift := 0.0
	if s.balanced != nil {
		d := 1e-5 * (p.B - p.A)
		lo, hi := math.Max(x-d, p.A), math.Min(x+d, p.B)
		up, _, _ := s.fluxAt(hi, v, i)
		high := up[0]
		down, _, _ := s.fluxAt(lo, v, i)
		drift = (high - down[0]) / (hi - lo)
		for u, b := range byY {
			drift += b * v.slope[u]
		}
	}
	s.fill(v)
	p.Equations(x, s.in, s.f, s.df)
	e := s.equation[i]
	return s.f[e]*bySlope/s.df[e*len(s.in)+3*i+2] - drift
}

// element adds what element e says to the rows of its two points: sums[side][unknown].
func (s *volumes) element(e int, left, right []float64, sums [2][]float64) {
	n := len(s.p.Unknowns)
	a, b := s.x[e], s.x[e+1]
	h := b - a
	slope, zero := make([]float64, n), make([]float64, n)
	for u := range slope {
		slope[u] = (right[u] - left[u]) / h
	}
	at := func(t float64) (float64, values) {
		y := make([]float64, n)
		for u := range y {
			y[u] = left[u] + t*(right[u]-left[u])
		}
		return a + t*h, values{y, slope}
	}
	face := (s.faces[e] - a) / h
	for i := range n {
		q := 0.0
		mean := func(ts, weights []float64) {
			for k, t := range ts {
				x, v := at(t)
				one, _, _ := s.fluxAt(x, v, i)
				q += one[0] * weights[k]
			}
		}
		switch s.flux {
		case atMiddle:
			mean([]float64{face}, []float64{1})
		case atPoints:
			mean([]float64{0, 1}, []float64{0.5, 0.5})
		default:
			mean(gaussPoints[:], gaussWeights[:])
		}
		sums[0][i] += q
		sums[1][i] -= q
		load := func(t float64) float64 { x, _ := at(t); return s.source(x, values{zero, zero}, i) }
		part := func(t float64) float64 { x, v := at(t); return s.source(x, v, i) - load(t) }
		l1, r1 := s.part.integral(part, face)
		l2, r2 := s.load.integral(load, face)
		sums[0][i] += h * (l1 + l2)
		sums[1][i] += h * (r1 + r2)
	}
}

// Gauss's rule of three points on 0 … 1.
var (
	gaussPoints  = [3]float64{0.5 - math.Sqrt(0.15), 0.5, 0.5 + math.Sqrt(0.15)}
	gaussWeights = [3]float64{5. / 18, 8. / 18, 5. / 18}
)

// integral returns the integrals of f times each of the hat functions over an element, by its length.
func (rule quadrature) integral(f func(t float64) float64, face float64) (left, right float64) {
	switch rule {
	case atPoints:
		if face > 0 {
			left = face * f(0)
		}
		if face < 1 {
			right = (1 - face) * f(1)
		}
	case atMiddle:
		left = f(0.5) / 2
		right = left
	case byGauss:
		for k, t := range gaussPoints {
			one := gaussWeights[k] * f(t)
			left, right = left+(1-t)*one, right+t*one
		}
	case linearly:
		l, r := f(0), f(1)
		left, right = l/3+r/6, l/6+r/3
	}
	return left, right
}

// volumes solves a problem by elements; nil where it is not of second order, or has no solution.
func (f *Search) volumes(p *bvp.Problem, steps int, scheme elements) curve {
	if len(p.Parameters) > 0 || slices.ContainsFunc(p.Unknowns, func(u bvp.Unknown) bool { return u.Order != 2 }) {
		return nil
	}
	n := len(p.Unknowns)
	s := &volumes{elements: scheme, p: p, balanced: f.o.Balanced, equation: equationOf(p, f.s.At),
		in: make([]float64, 3*n), f: make([]float64, n), df: make([]float64, 3*n*n), c: make([]float64, 2*n),
		dc: make([]float64, 6*n*n)}
	h := (p.B - p.A) / float64(steps)
	for j := range steps + 1 {
		x := p.A + h*float64(j)
		switch {
		case !scheme.centred:
			if s.x = append(s.x, x); j > 0 {
				s.faces = append(s.faces, x-h/2)
			}
		case j == 0:
			s.x = append(s.x, p.A)
		default:
			s.x, s.faces = append(s.x, x-h/2), append(s.faces, x-h)
		}
	}
	s.x[len(s.x)-1] = p.B
	if scheme.centred {
		s.x[len(s.x)-1] = p.B - h/2
		s.x, s.faces = append(s.x, p.B), append(s.faces, p.B)
	}
	return s.solve(f)
}

// solve finds the values at the points by Newton's method. The unknowns are, point by point, the values, between the
// slopes at the left and the right end.
func (s *volumes) solve(f *Search) curve {
	p, n, points := s.p, len(s.p.Unknowns), len(s.x)
	size := n * (points + 2)
	v, jet := make([]float64, size), make([]float64, p.Jet())
	for j, x := range s.x {
		f.s.At(x, jet)
		for u := range n {
			v[(j+1)*n+u] = jet[3*u]
			if j == 0 {
				v[u] = jet[3*u+1]
			} else if j == points-1 {
				v[size-n+u] = jet[3*u+1]
			}
		}
	}
	for _, c := range p.Conditions {
		for _, at := range c.At {
			if at.X != p.A && at.X != p.B || at.Derivative > 1 {
				return nil
			}
		}
	}
	for range 20 {
		a, r := s.assemble(v)
		if !bvp.AllFinite(r) {
			return nil
		}
		step := eliminate(a, r)
		if step == nil || !bvp.AllFinite(step) {
			return nil
		}
		for k := range v {
			v[k] -= step[k]
		}
		if bvp.Largest(step) <= 1e-10*bvp.Largest(v) {
			return s.curve(v)
		}
	}
	return nil
}

// assemble works out the residuals at v and their derivatives, by differences, with rows of size one.
func (s *volumes) assemble(v []float64) (a, r []float64) {
	p, n, points := s.p, len(s.p.Unknowns), len(s.x)
	size := len(v)
	a, r = make([]float64, size*size), make([]float64, size)
	scale := bvp.Largest(v[n : size-n])
	if scale == 0 {
		scale = 1
	}
	// local adds f, which depends on some of the unknowns, to some rows, and its derivatives.
	local := func(rows, of []int, f func(out []float64)) {
		base, moved := make([]float64, len(rows)), make([]float64, len(rows))
		f(base)
		for k, row := range rows {
			r[row] += base[k]
		}
		for _, c := range of {
			kept, d := v[c], 1e-6*(scale+math.Abs(v[c]))
			v[c] += d
			clear(moved)
			f(moved)
			v[c] = kept
			for k, row := range rows {
				a[row*size+c] += (moved[k] - base[k]) / d
			}
		}
	}
	index := func(from int) []int {
		out := make([]int, n)
		for u := range out {
			out[u] = from + u
		}
		return out
	}
	for e := range points - 1 {
		both := append(index((e+1)*n), index((e+2)*n)...)
		local(both, both, func(out []float64) {
			s.element(e, v[(e+1)*n:(e+2)*n], v[(e+2)*n:(e+3)*n], [2][]float64{out[:n], out[n:]})
		})
	}
	end := func(x float64, value, slope int, sign float64) {
		local(index(value), append(index(value), index(slope)...), func(out []float64) {
			for i := range out {
				q, _, _ := s.fluxAt(x, values{v[value : value+n], v[slope : slope+n]}, i)
				out[i] += sign * q[0]
			}
		})
	}
	end(p.A, n, 0, -1)
	end(p.B, size-2*n, size-n, 1)
	s.conditions(v, a, r)
	for i := range size {
		if top := bvp.Largest(a[i*size : (i+1)*size]); top > 0 {
			for k := range size {
				a[i*size+k] /= top
			}
			r[i] /= top
		}
	}
	return a, r
}

// conditions writes the rows of the conditions.
func (s *volumes) conditions(v, a, r []float64) {
	p, n, size := s.p, len(s.p.Unknowns), len(v)
	// Conditions take the rows of the slopes, whose columns stand in the conditions and in the rows of the ends.
	for k := range p.Conditions {
		c := &p.Conditions[k]
		row := k
		if k >= n {
			row = size - 2*n + k
		}
		in, dg := make([]float64, len(c.At)), make([]float64, len(c.At))
		at := make([]int, len(c.At))
		for l, w := range c.At {
			at[l] = n + w.Unknown
			if w.X == p.B {
				at[l] = size - 2*n + w.Unknown
			}
			if w.Derivative == 1 && w.X == p.B {
				at[l] += n
			} else if w.Derivative == 1 {
				at[l] -= n
			}
			in[l] = v[at[l]]
		}
		r[row] = c.Residual(in, dg)
		for l, to := range at {
			a[row*size+to] += dg[l]
		}
	}
}

// curve gives the values at the points, and slopes between neighbours.
func (s *volumes) curve(v []float64) curve {
	n := len(s.p.Unknowns)
	last := len(s.x) - 1
	return func(x float64, jet []float64) {
		j, _ := slices.BinarySearch(s.x, x-1e-6*(s.x[last]-s.x[0]))
		for u := range n {
			jet[3*u], jet[3*u+1], jet[3*u+2] = math.NaN(), math.NaN(), math.NaN()
			if j > last || math.Abs(s.x[j]-x) > 1e-6*(s.x[last]-s.x[0]) {
				continue
			}
			jet[3*u] = v[(j+1)*n+u]
			switch j {
			case 0:
				jet[3*u+1] = v[u]
			case last:
				jet[3*u+1] = v[len(v)-n+u]
			default:
				jet[3*u+1] = (v[(j+2)*n+u] - v[j*n+u]) / (s.x[j+1] - s.x[j-1])
			}
		}
	}
}
