package unbounded

import (
	"math"

	"nodespan/solver/bvp"
)

// A front on the whole line, with a number to be found: without a first guess of its own it starts from a smooth step
// between its limits. From a straight line, which is no front anywhere, the speed of a travelling wave is not found.

// withFront returns the problem with such a guess, itself where it is none.
func withFront(p *bvp.Problem) *bvp.Problem {
	if p.Guess != nil || len(p.Parameters) == 0 || !math.IsInf(p.A, -1) || !math.IsInf(p.B, 1) {
		return p
	}
	left, right := limitsAt(p, p.A), limitsAt(p, p.B)
	step := false
	for i := range p.Unknowns {
		step = step || left[i] != right[i] && !math.IsNaN(left[i]-right[i])
	}
	if !step {
		return p
	}
	q := *p
	at, width := middle(p), 2*lengthScale(p)
	q.Guess = func(x float64, jet []float64) {
		t := math.Tanh((x - at) / width)
		for i, u := range p.Unknowns {
			o := p.JetOffset(i)
			between(left[i], right[i], t, width, jet[o:o+u.Order+1])
		}
	}
	return &q
}

// between writes a step from left to right, (left + right)/2 + (right - left)/2 t with t = tanh(x/width), and its
// derivatives; a limit alone where the other is not known.
func between(left, right, t, width float64, jet []float64) {
	clear(jet)
	switch {
	case math.IsNaN(left) && math.IsNaN(right):
		return
	case math.IsNaN(right):
		jet[0] = left
		return
	case math.IsNaN(left):
		jet[0] = right
		return
	}
	jet[0] = (left + right) / 2
	// c holds the coefficients of a polynomial in t; of t itself the derivative is (1 - t^2)/width.
	c := []float64{0, 1}
	for k := range jet {
		v := 0.0
		for d := len(c) - 1; d >= 0; d-- {
			v = v*t + c[d]
		}
		jet[k] += (right - left) / 2 * v
		next := make([]float64, len(c)+1)
		for d := 1; d < len(c); d++ {
			next[d-1] += float64(d) * c[d] / width
			next[d+1] -= float64(d) * c[d] / width
		}
		c = next
	}
}

// limitsAt returns the values that conditions give the unknowns at an end, NaN where there is none.
func limitsAt(p *bvp.Problem, end float64) []float64 {
	out := make([]float64, len(p.Unknowns))
	for i := range out {
		out[i] = math.NaN()
	}
	for _, c := range p.Conditions {
		if len(c.At) != 1 || c.At[0].X != end || c.At[0].Derivative != 0 {
			continue
		}
		in, dg := make([]float64, 1+len(p.Parameters)), make([]float64, 1+len(p.Parameters))
		r := c.Residual(in, dg)
		if in[0] = -r / dg[0]; c.Residual(in, nil) == 0 {
			out[c.At[0].Unknown] = in[0]
		}
	}
	return out
}
