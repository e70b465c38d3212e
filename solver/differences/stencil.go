package differences

import "math"

// Weights returns the weights by which values at the distinct points x give the derivatives 0 … d at z of the
// polynomial through them: (d+1)×len(x), row-major, row k for the k-th derivative.
//
// The recursion is that of B. Fornberg, Generation of finite difference formulas on arbitrarily spaced grids, Math.
// Comp. 51, 1988, 699–706.
func Weights(z float64, x []float64, d int) []float64 {
	n := len(x)
	if n == 0 || d < 0 {
		panic("differences: weights need a point and an order of at least 0")
	}
	w := make([]float64, (d+1)*n)
	c1, c4 := 1.0, x[0]-z
	w[0] = 1
	for i := 1; i < n; i++ {
		most := min(i, d)
		c2, c5 := 1.0, c4
		c4 = x[i] - z
		for j := range i {
			c3 := x[i] - x[j]
			c2 *= c3
			if j == i-1 {
				for k := most; k >= 1; k-- {
					w[k*n+i] = c1 * (float64(k)*w[(k-1)*n+i-1] - c5*w[k*n+i-1]) / c2
				}
				w[i] = -c1 * c5 * w[i-1] / c2
			}
			for k := most; k >= 1; k-- {
				w[k*n+j] = (c4*w[k*n+j] - float64(k)*w[(k-1)*n+j]) / c3
			}
			w[j] *= c4 / c3
		}
		c1 = c2
	}
	return w
}

// stencil gives one derivative at one place of a stretch with mesh width 1, from the values at consecutive mesh
// points.
type stencil struct {
	start   int // first mesh point, counted from the left end of the stretch
	weights []float64
}

// stencilAt returns the stencil of order p for derivative d at t, in mesh widths from the left end of a stretch of
// n intervals. At mesh points and mid-points it is symmetric where there is room; otherwise it takes the nearest
// points. A mesh with too few points gives what it has.
func stencilAt(t float64, d, p, n int) stencil {
	twice := 2 * t
	count, start := 0, 0
	if twice == math.Floor(twice) {
		left := int(math.Floor(t))
		if float64(left) == t { // a mesh point: 2r + 1 points
			r := 0
			switch {
			case d == 0:
			case d%2 == 0:
				r = (p + d - 2) / 2
			default:
				r = (p + d - 1) / 2
			}
			count, start = 2*r+1, left-r
		} else { // a mid-point: 2r points
			r := (p + d) / 2
			if d%2 == 1 {
				r = (p + d - 1) / 2
			}
			count, start = 2*r, left-r+1
		}
	} else {
		count, start = d+p+1, -1
	}
	if start < 0 || start+count > n+1 {
		count = min(max(count, d+p), n+1)
		start = nearest(t, count, n)
	}
	x := make([]float64, count)
	for i := range x {
		x[i] = float64(start + i)
	}
	w := Weights(t, x, d)[d*count:]
	if 2*start+count-1 == int(twice) && float64(int(twice)) == twice {
		mirror(w, d)
	}
	return stencil{start, w}
}

// mirror makes the weights of a symmetric stencil symmetric to the last bit: a difference between its halves would
// add the same multiple of the slope at every point.
func mirror(w []float64, d int) {
	sign := 1.0
	if d%2 == 1 {
		sign = -1
	}
	for i, j := 0, len(w)-1; i < j; i, j = i+1, j-1 {
		m := (w[i] + sign*w[j]) / 2
		w[i], w[j] = m, sign*m
	}
}

// nearest returns the first of the count mesh points of n + 1 that lie most evenly about t.
func nearest(t float64, count, n int) int {
	s := int(math.Ceil(t - float64(count)/2))
	return min(max(s, 0), n+1-count)
}
