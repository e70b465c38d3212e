package nodes

import (
	"gonum.org/v1/gonum/mat"

	"nodespan/solver/blocks"
)

// LegendreTo writes the Legendre polynomials P_0(t) … P_(len(p)-1)(t).
func LegendreTo(p []float64, t float64) {
	integralTo(p, t, 0)
}

// Coefficients returns the n×n matrix that takes values at the nodes x to Legendre coefficients:
// row k gives c_k.
//
// At Gauss nodes with weights w_i it is the discrete orthogonality
//
//	c_k = (2k+1)/2 Σ_i w_i P_k(x_i) f_i;
//
// at other nodes the polynomial is first evaluated at the n Gauss nodes, which is exact for its
// degree and as well conditioned as interpolation at x is.
func Coefficients(x []float64) *mat.Dense {
	n := len(x)
	g, w := Gauss(n)
	c := mat.NewDense(n, n, nil)
	p := make([]float64, n)
	for i := range n {
		LegendreTo(p, g[i])
		for k := range n {
			c.Set(k, i, float64(2*k+1)/2*w[i]*p[k])
		}
	}
	if equal(x, g) {
		return c
	}
	return blocks.Product(c, interpolation(x, g))
}

// Integration returns the len(at)×len(x) matrix of fold-fold integrals from -1: entry (i, j) is
//
//	∫_(-1)^(at_i) ∫_(-1)^(s_1) … l_j(s_fold) ds_fold … ds_1
//
// for the Lagrange polynomial l_j of the nodes x (fold 0: l_j(at_i) itself). Every row is accurate
// relative to its own size, also near -1, where it falls like (1+t)^fold. fold is 0 to 8.
//
// It costs len(at)·n² multiplications (and n³ more unless x are Gauss nodes): keep it where it is used often.
func Integration(x []float64, at []float64, fold int) *mat.Dense {
	if fold < 0 || fold > 8 {
		panic("nodes: fold out of range 0 to 8")
	}
	if len(x) == 0 || len(at) == 0 {
		panic("nodes: fewer than one node")
	}
	if fold == 0 {
		return interpolation(x, at)
	}
	e := mat.NewDense(len(at), len(x), nil)
	for i, t := range at {
		integralTo(e.RawRowView(i), t, fold)
	}
	return blocks.Product(e, Coefficients(x))
}

// integralTo writes the f-fold integrals from -1 to t of P_0, P_1, …. With Jacobi polynomials they are
//
//	I^f P_k = k!/(k+f)! (1+t)^f J_k,   J_k = P_k^(-f,f)(t)
//
// (H. Bateman's fractional integral; G. Szegő, Orthogonal Polynomials, 1939, chapter 4), which keeps
// what the repeated use of ∫P_k = (P_(k+1)-P_(k-1))/(2k+1) loses to cancellation near -1. The recurrence is
//
//	J_0 = 1,  J_1 = t - f,  k J_k = (2k-1) t J_(k-1) - ((k-1)² - f²)/(k-1) J_(k-2),
//
// started afresh at k = f, where J_f = C(2f,f) ((t-1)/2)^f exactly, so that nothing is lost near +1 either.
func integralTo(dst []float64, t float64, f int) {
	ff := float64(f)
	left := 1.0 // (1+t)^f k!/(k+f)!
	for i := 1; i <= f; i++ {
		left *= (1 + t) / float64(i)
	}
	var j1, j2 float64 // J_(k-1), J_(k-2)
	for k := range dst {
		kf := float64(k)
		var j float64
		switch {
		case k == 0:
			j = 1
		case k == f:
			j = 1
			for i := 1; i <= f; i++ { // C(2f,f) = Π (f+i)/i
				j *= (ff + float64(i)) / float64(i) * (t - 1) / 2
			}
		case k == 1:
			j = t - ff
		default:
			j = ((2*kf-1)*t*j1 - (kf-1-ff)*(kf-1+ff)/(kf-1)*j2) / kf
		}
		dst[k] = left * j
		left *= (kf + 1) / (kf + 1 + ff)
		j1, j2 = j, j1
	}
}

func equal(a, b []float64) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return len(a) == len(b)
}
