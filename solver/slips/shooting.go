package slips

import (
	"math"

	"nodespan/solver/bvp"
)

// This file solves by one-step methods on a uniform mesh: what shooting with them gives, be it by Euler's method or by
// that of Runge and Kutta. The values at the start that meet the conditions are found by Newton's method.

// oneStep is a one-step method for z' = f(x, z): explicit with the tableau (c, a, b), or, where a is nil, implicit with
// the share theta of the new slope, or with the slope in the middle.
type oneStep struct {
	name   string
	order  int
	a      [][]float64
	b, c   []float64
	theta  float64
	middle bool
}

// oneSteps are the methods of every textbook.
var oneSteps = []oneStep{
	{name: "Euler's method", order: 1, a: [][]float64{nil}, b: []float64{1}, c: []float64{0}},
	{name: "the implicit Euler method", order: 1, theta: 1},
	{name: "the trapezoidal rule", order: 2, theta: 0.5},
	{name: "Heun's method", order: 2, a: [][]float64{nil, {1}}, b: []float64{0.5, 0.5}, c: []float64{0, 1}},
	{name: "the midpoint method", order: 2, a: [][]float64{nil, {0.5}}, b: []float64{0, 1}, c: []float64{0, 0.5}},
	{name: "the implicit midpoint rule", order: 2, middle: true},
	{name: "the Runge–Kutta method of order 4", order: 4, a: [][]float64{nil, {0.5}, {0, 0.5}, {0, 0, 1}},
		b: []float64{1. / 6, 1. / 3, 1. / 3, 1. / 6}, c: []float64{0, 0.5, 0.5, 1}},
}

// shooter integrates a problem by a one-step method.
type shooter struct {
	oneStep
	p     *bvp.Problem
	par   []float64
	in    []float64
	value []float64
	df    []float64
	// guess is the solution of the problem, which highest derivatives are looked for from.
	guess curve
	jet   []float64
	ok    bool
}

// slope writes z' for the state z at x. The highest derivatives are what the equations leave.
func (s *shooter) slope(x float64, z, out []float64) {
	p := s.p
	n, width := len(p.Unknowns), len(s.in)
	s.guess(x, s.jet)
	k := 0
	tops := make([]int, n)
	for i, u := range p.Unknowns {
		o := p.JetOffset(i)
		copy(s.in[o:o+u.Order], z[k:k+u.Order])
		tops[i] = o + u.Order
		s.in[tops[i]] = s.jet[tops[i]]
		k += u.Order
	}
	copy(s.in[p.Jet():], s.par)
	near, d := s.in, 0.0
	for iteration := range 20 {
		p.Equations(x+d, near, s.value, s.df)
		if iteration == 0 && (x == p.A || x == p.B) && !(bvp.AllFinite(s.value) && bvp.AllFinite(s.df)) {
			if d = nudged * (p.B - p.A); x == p.B {
				d = -d
			}
		}
		if d != 0 {
			near = s.beside(d)
			p.Equations(x+d, near, s.value, s.df)
		}
		a, f := make([]float64, n*n), make([]float64, n)
		for e := range n {
			largest := 0.0
			for i, top := range tops {
				a[e*n+i] = s.df[e*width+top]
				if d != 0 { // the lower derivatives beside the end hold the highest too
					a[e*n+i] += d * s.df[e*width+top-1]
				}
				largest = math.Max(largest, math.Abs(a[e*n+i]))
			}
			for i := range tops {
				a[e*n+i] /= largest
			}
			f[e] = s.value[e] / largest
		}
		step := eliminate(a, f)
		if step == nil || !bvp.AllFinite(step) {
			break
		}
		moved, size := 0.0, 0.0
		for i, top := range tops {
			s.in[top] -= step[i]
			moved, size = math.Max(moved, math.Abs(step[i])), math.Max(size, math.Abs(s.in[top]))
		}
		if moved <= 1e-11*size+1e-300 {
			k = 0
			for i, u := range p.Unknowns {
				o := p.JetOffset(i)
				copy(out[k:k+u.Order], s.in[o+1:o+1+u.Order])
				k += u.Order
			}
			return
		}
	}
	s.ok = false
}

// beside is the jet a little beside an end.
func (s *shooter) beside(d float64) []float64 {
	out := append([]float64(nil), s.in...)
	for i, u := range s.p.Unknowns {
		o := s.p.JetOffset(i)
		for k := range u.Order {
			out[o+k] += d * s.in[o+k+1]
		}
	}
	return out
}

// step moves z by h from x.
func (s *shooter) step(x, h float64, z []float64) {
	n := len(z)
	at := make([]float64, n)
	if s.a != nil {
		slopes := make([][]float64, len(s.b))
		for i := range slopes {
			copy(at, z)
			for j, a := range s.a[i] {
				for k := range at {
					at[k] += h * a * slopes[j][k]
				}
			}
			slopes[i] = make([]float64, n)
			s.slope(x+s.c[i]*h, at, slopes[i])
		}
		for i, b := range s.b {
			for k := range z {
				z[k] += h * b * slopes[i][k]
			}
		}
		return
	}
	s.implicit(x, h, z)
}

// implicit moves z by an implicit step, whose equations Newton's method solves.
func (s *shooter) implicit(x, h float64, z []float64) {
	n := len(z)
	old, new := make([]float64, n), append([]float64(nil), z...)
	if !s.middle && s.theta < 1 {
		s.slope(x, z, old)
	}
	at := make([]float64, n)
	residual := func(new, r []float64) {
		if s.middle {
			for k := range at {
				at[k] = (z[k] + new[k]) / 2
			}
			s.slope(x+h/2, at, r)
			for k := range r {
				r[k] = new[k] - z[k] - h*r[k]
			}
			return
		}
		s.slope(x+h, new, r)
		for k := range r {
			r[k] = new[k] - z[k] - h*(s.theta*r[k]+(1-s.theta)*old[k])
		}
	}
	r := make([]float64, n)
	for range 12 {
		residual(new, r)
		a := byDifferences(residual, new, r)
		step := eliminate(a, r)
		if step == nil || !bvp.AllFinite(step) {
			s.ok = false
			return
		}
		moved := 0.0
		for k := range new {
			new[k] -= step[k]
			moved = math.Max(moved, math.Abs(step[k])/(1e-300+math.Abs(new[k])))
		}
		if s.ok = s.ok && bvp.AllFinite(new); !s.ok || moved < 1e-12 || bvp.Largest(step) <= 1e-13*bvp.Largest(new) {
			break
		}
	}
	copy(z, new)
}

// byDifferences returns the derivatives of f at x, where it is y, with rows of size one: y is scaled as they are.
func byDifferences(f func(x, y []float64), x, y []float64) []float64 {
	n := len(x)
	a, moved := make([]float64, n*n), make([]float64, n)
	size := bvp.Largest(x)
	for k := range x {
		d := 1e-6 * (math.Abs(x[k]) + 1e-3*size)
		if d == 0 {
			d = 1e-6
		}
		kept := x[k]
		x[k] += d
		f(x, moved)
		x[k] = kept
		for i := range moved {
			a[i*n+k] = (moved[i] - y[i]) / d
		}
	}
	for i := range n {
		if top := bvp.Largest(a[i*n : (i+1)*n]); top > 0 {
			for k := range n {
				a[i*n+k] /= top
			}
			y[i] /= top
		}
	}
	return a
}

// run integrates from the state z and writes the jets at all mesh points.
func (s *shooter) run(z []float64, steps int, jets [][]float64) {
	p := s.p
	h := (p.B - p.A) / float64(steps)
	z = append([]float64(nil), z...)
	slope := make([]float64, len(z))
	for j := range steps + 1 {
		if j > 0 {
			s.step(p.A+h*float64(j-1), h, z)
		}
		if !s.ok || !bvp.AllFinite(z) {
			s.ok = false
			return
		}
		x := p.A + h*float64(j)
		if j == steps {
			x = p.B
		}
		s.slope(x, z, slope)
		copy(jets[j], s.in[:p.Jet()])
	}
}

// shoot solves a problem by a one-step method; nil where that has no solution.
func (f *Search) shoot(p *bvp.Problem, steps int, method oneStep) curve {
	n, width, par := len(p.Unknowns), p.Jet()+len(p.Parameters), len(p.Parameters)
	s := &shooter{oneStep: method, p: p, par: f.parameters(), in: make([]float64, width), value: make([]float64, n),
		df: make([]float64, n*width), guess: f.s.At, jet: make([]float64, p.Jet()), ok: true}
	if len(p.Conditions) != p.State()+par {
		return nil
	}
	jets := make([][]float64, steps+1)
	for j := range jets {
		jets[j] = make([]float64, p.Jet())
	}
	residual := func(v, r []float64) {
		s.par = v[len(v)-par:]
		s.run(v[:len(v)-par], steps, jets)
		for i := range p.Conditions {
			c := &p.Conditions[i]
			var in []float64
			for _, at := range c.At {
				j := pointOf(p, steps, at.X)
				if s.ok = s.ok && j >= 0 && j <= steps; !s.ok {
					return
				}
				in = append(in, jets[j][p.JetOffset(at.Unknown)+at.Derivative])
			}
			r[i] = c.Residual(append(in, s.par...), nil)
		}
	}
	v := s.start(p)
	r := make([]float64, len(v))
	for range 12 {
		residual(v, r)
		if !s.ok || !bvp.AllFinite(r) {
			return nil
		}
		step := eliminate(byDifferences(residual, v, r), r)
		if step == nil || !s.ok || !bvp.AllFinite(step) {
			return nil
		}
		for k := range v {
			v[k] -= step[k]
		}
		if bvp.Largest(step) <= 1e-11*bvp.Largest(v) {
			residual(v, r)
			return (&onMesh{p: p, steps: steps, jets: jets}).at
		}
	}
	return nil
}

// start is the state of the right solution at the left end, with the sought parameters.
func (s *shooter) start(p *bvp.Problem) []float64 {
	var v []float64
	s.guess(p.A, s.jet)
	for i, u := range p.Unknowns {
		o := p.JetOffset(i)
		v = append(v, s.jet[o:o+u.Order]...)
	}
	return append(v, s.par...)
}
