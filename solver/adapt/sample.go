package adapt

import "math"

// This file is what those who look along curves share: places on an element, and room for what is there.

// scratch is the room of those who judge a solution, which the next one takes again.
type scratch struct {
	at   points
	a, b []float64
	rule quadrature
}

// points are places on an element, in room that is used again.
type points struct {
	x       []float64
	cosines []float64 // 1 − cos, of as many
}

// equal returns the n + 1 points that divide the stretch from a to b into n equal parts.
func (p *points) equal(a, b float64, n int) []float64 {
	p.x = room(p.x, n+1)
	for j := range p.x {
		p.x[j] = a + (b-a)*float64(j)/float64(n)
	}
	return p.x
}

// crowded returns n + 1 points from a to b that crowd towards both, as the extremes of a polynomial do.
func (p *points) crowded(a, b float64, n int) []float64 {
	if len(p.cosines) != n+1 {
		p.cosines = room(p.cosines, n+1)
		for j := range p.cosines {
			p.cosines[j] = 1 - math.Cos(math.Pi*float64(j)/float64(n))
		}
	}
	p.x = room(p.x, n+1)
	for j, c := range p.cosines {
		p.x[j] = a + (b-a)*c/2
	}
	return p.x
}

// room returns n numbers of any value, those at hand where they are enough.
//
//go:noinline
func room(v []float64, n int) []float64 {
	if cap(v) < n {
		return make([]float64, n, n+n/2)
	}
	return v[:n]
}

// rows returns n rows of w zeros each.
func rows(n, w int) [][]float64 {
	out := make([][]float64, n)
	store := make([]float64, n*w)
	for i := range out {
		out[i], store = store[:w:w], store[w:]
	}
	return out
}

// raise raises each of most to the largest of its absolute values in the rows of v, times a factor; NaN counts as
// larger than any number.
func raise(most, v []float64, factor float64) {
	for ; len(v) >= len(most) && len(v) > 0; v = v[len(most):] {
		for i := range most {
			if d := factor * math.Abs(v[i]); d > most[i] || d != d {
				most[i] = d
			}
		}
	}
}
