package nodes

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Barycentric returns the barycentric weights of distinct nodes,
//
//	w_j = 1/Π_(k≠j) (x_j - x_k),
//
// times one common factor that makes the largest of them 1 in size, so that they do not overflow
// (J.-P. Berrut and L. N. Trefethen, Barycentric Lagrange interpolation, SIAM Review 46, 2004, 501–517).
func Barycentric(x []float64) []float64 {
	w, _ := barycentric(x)
	return w
}

// barycentric also returns the common factor s as its logarithm: w_j = e^s/Π (x_j - x_k).
func barycentric(x []float64) (w []float64, s float64) {
	n := len(x)
	w = make([]float64, n)
	exponent := make([]int, n)
	largest := math.MinInt
	for j, xj := range x {
		p, e := 1.0, 0
		for k, xk := range x {
			if k == j {
				continue
			}
			// A mantissa and an exponent apart: no product overflows.
			var de int
			p, de = math.Frexp(p * (xj - xk))
			e += de
		}
		m, de := math.Frexp(1 / p)
		w[j], exponent[j] = m, de-e
		largest = max(largest, exponent[j])
	}
	top := 0.0
	for j := range w {
		w[j] = math.Ldexp(w[j], exponent[j]-largest)
		top = math.Max(top, math.Abs(w[j]))
	}
	for j := range w {
		w[j] /= top
	}
	return w, -float64(largest)*math.Ln2 - math.Log(top)
}

// InterpolateTo writes the values l_j(t) of the Lagrange polynomials of the nodes x with
// barycentric weights w (from Barycentric; any common factor will do). At a node the row is
// exactly a row of the unit matrix. row, x and w have one length.
func InterpolateTo(row, x, w []float64, t float64) {
	if len(row) != len(x) || len(w) != len(x) {
		panic("nodes: lengths do not match")
	}
	sum := 0.0
	for j, xj := range x {
		q := w[j] / (t - xj)
		if math.IsInf(q, 0) || math.IsNaN(q) { // t is the node, or nearer than a double can tell
			clear(row)
			row[j] = 1
			return
		}
		row[j] = q
		sum += q
	}
	for j := range row {
		row[j] /= sum
	}
}

func interpolation(x, at []float64) *mat.Dense {
	w := Barycentric(x)
	m := mat.NewDense(len(at), len(x), nil)
	for i, t := range at {
		InterpolateTo(m.RawRowView(i), x, w, t)
	}
	return m
}

// Differentiation returns the n×n matrix that takes values at the nodes x to the first derivative
// of their polynomial at the same nodes.
func Differentiation(x []float64) *mat.Dense { return Derivatives(x, 1) }

// Derivatives returns the n×n matrix of the k-th derivative at the nodes, k ≥ 0. With barycentric weights w,
//
//	D⁽ᵏ⁾_ij = k/(x_i - x_j) (w_j/w_i D⁽ᵏ⁻¹⁾_ii - D⁽ᵏ⁻¹⁾_ij),   D⁽ᵏ⁾_ii = -Σ_(j≠i) D⁽ᵏ⁾_ij
//
// (B. D. Welfert, Generation of pseudospectral differentiation matrices I, SIAM J. Numer. Anal. 34,
// 1997, 1640–1657). The diagonal makes the derivative of a constant vanish.
//
// Differentiation loses about n^(2k) in accuracy: solvers integrate instead; this is the matrix as it is taught.
func Derivatives(x []float64, k int) *mat.Dense {
	n := len(x)
	if n == 0 || k < 0 {
		panic("nodes: a derivative needs a node and an order of at least 0")
	}
	d := mat.NewDense(n, n, nil)
	if k >= n { // the polynomial has degree n-1
		return d
	}
	w := Barycentric(x)
	for i := range n {
		d.Set(i, i, 1)
	}
	for order := 1; order <= k; order++ {
		for i := range n {
			row := d.RawRowView(i)
			diagonal, sum := row[i], 0.0
			for j := range n {
				if j == i {
					continue
				}
				row[j] = float64(order) / (x[i] - x[j]) * (w[j]/w[i]*diagonal - row[j])
				sum += row[j]
			}
			row[i] = -sum
		}
	}
	return d
}

// Lebesgue returns the Lebesgue constant of the nodes x on [-1, 1],
//
//	max_t Σ_j |l_j(t)|,
//
// by which interpolation can magnify an error in the values. It is right to about twelve digits.
func Lebesgue(x []float64) float64 {
	if len(x) == 0 {
		panic("nodes: fewer than one node")
	}
	w, s := barycentric(x)
	// The first barycentric form: unlike the second it keeps its accuracy when the constant is huge.
	at := func(t float64) float64 {
		sum, p, logp := 0.0, 1.0, 0.0
		for j, xj := range x {
			d := math.Abs(t - xj)
			if d == 0 {
				return 1
			}
			sum += math.Abs(w[j]) / d
			if p *= d; p < 1e-250 {
				logp += math.Log(p)
				p = 1
			}
		}
		return math.Exp(math.Log(sum) + math.Log(p) + logp - s)
	}
	// Outside the nodes the sum grows towards the ends; between two nodes it has one hump.
	largest := math.Max(1, math.Max(at(-1), at(1)))
	for i := 0; i+1 < len(x); i++ {
		largest = math.Max(largest, at(Maximum(at, x[i], x[i+1], 36)))
	}
	return largest
}
