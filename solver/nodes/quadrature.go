package nodes

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Gauss returns the n nodes and weights of the Gauss–Legendre rule on [-1, 1], exact for
// polynomials of degree 2n-1. It panics for n < 1.
func Gauss(n int) (x, w []float64) {
	if n < 1 {
		panic("nodes: fewer than one node")
	}
	if both, ok := gaussCache.get(n); ok {
		both = append([]float64(nil), both...)
		return both[:n:n], both[n:]
	}
	x, w = make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(x, w, -1, 1)
	// gonum v0.17 has a weight of 0 in its table for n = 26. The formula, 2/((1-x²) P'_n²): Abramowitz and Stegun,
	// Handbook of Mathematical Functions, 1964, 25.4.29, with (1-x²) P'_n = n (P_(n-1) - x P_n); P_n is not quite 0 at
	// the rounded zero, and that counts.
	for i := range w {
		if w[i] == 0 {
			p := make([]float64, n+1)
			LegendreTo(p, x[i])
			d := float64(n) * (p[n-1] - x[i]*p[n])
			w[i] = 2 * (1 - x[i]) * (1 + x[i]) / (d * d)
		}
	}
	if n > 1 && x[0] > x[n-1] {
		reverse(x)
		reverse(w)
	}
	// Symmetric to the last bit, so that a symmetric problem has a symmetric answer.
	for i := 0; i < n/2; i++ {
		x[i], w[i] = -x[n-1-i], w[n-1-i]
	}
	if n%2 == 1 {
		x[n/2] = 0
	}
	gaussCache.put(n, append(append([]float64(nil), x...), w...))
	return x, w
}

var gaussCache cache[int]

// GaussLobatto returns the n nodes and weights of the rule that includes both ends, exact for
// degree 2n-3. It panics for n < 2.
//
// With N = n-1 the inner nodes are the zeros of P'_N and
//
//	w_i = 2/(N (N+1) P_N(x_i)²)
//
// (M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 1964, 25.4.32).
func GaussLobatto(n int) (x, w []float64) {
	if n < 2 {
		panic("nodes: a Lobatto rule has at least two nodes")
	}
	x, w = make([]float64, n), make([]float64, n)
	N := n - 1
	nn := float64(N) * float64(N+1)
	x[0], x[N] = -1, 1
	w[0], w[N] = 2/nn, 2/nn
	for k := 1; 2*k <= N; k++ { // the k-th node from the right end, not left of the middle
		// P'_N by Newton's method; its derivative from Legendre's equation,
		// (1-x²) P'' = 2 x P' - N (N+1) P.
		t := newton(startJacobi(k, n-2, 1, 1), func(t float64) float64 {
			p, d := legendreEnd(N, t)
			x, q := 1-t, t*(2-t) // q = 1-x²
			// P_(N-1) - x P_N = t P_N - d
			p1 := float64(N) * (t*p - d) / q
			return p1 * q / (2*x*p1 - nn*p)
		})
		if 2*k == N {
			t = 1
		}
		p, _ := legendreEnd(N, t)
		x[N-k], w[N-k] = 1-t, 2/(nn*p*p)
		x[k], w[k] = t-1, w[N-k]
	}
	return x, w
}

// GaussRadau returns the n nodes and weights of the rule that includes the right end, exact for
// degree 2n-2. It panics for n < 1.
//
// The nodes are the zeros of P_n - P_(n-1), and
//
//	w_i = (1 + x_i)/(n² P_(n-1)(x_i)²),   at the right end 2/n²
//
// (Abramowitz and Stegun, 25.4.31, mirrored).
func GaussRadau(n int) (x, w []float64) {
	if n < 1 {
		panic("nodes: fewer than one node")
	}
	x, w = make([]float64, n), make([]float64, n)
	nf := float64(n)
	x[n-1], w[n-1] = 1, 2/(nf*nf)
	for k := 1; k < n; k++ { // the k-th inner node from the right
		t := startJacobi(k, n-1, 1, 0)
		if t <= 1 { // right half, t = 1-x: (P_n - P_(n-1))' = n (P_n + P_(n-1))/(1+x)
			t = newton(t, func(t float64) float64 {
				p, d := legendreEnd(n, t)
				return d * (2 - t) / (nf * (2*p - d))
			})
			p, d := legendreEnd(n, t)
			x[n-1-k], w[n-1-k] = 1-t, (2-t)/(nf*nf*(p-d)*(p-d))
			continue
		}
		// left half, t = 1+x: with u = -x it is P_n + P_(n-1) at u, whose derivative is n (P_(n-1) - P_n)/(1-u)
		t = newton(2-t, func(t float64) float64 {
			p, d := legendreEnd(n, t)
			return (2*p - d) * t / (-nf * d)
		})
		p, d := legendreEnd(n, t)
		x[n-1-k], w[n-1-k] = t-1, t/(nf*nf*(p-d)*(p-d))
	}
	return x, w
}

// startJacobi returns 1-x near the k-th zero x from the right of the Jacobi polynomial
// P_n^(a,b), by the leading term of the asymptotic formula for its angle (Szegő, Orthogonal
// Polynomials, 1939, section 8.9): right to a few hundredths of the spacing even for n = 1.
func startJacobi(k, n int, a, b float64) float64 {
	s := math.Sin((float64(k) + a/2 - 0.25) * math.Pi / (float64(n) + (a+b+1)/2) / 2)
	return 2 * s * s
}

// newton repeats t -= step(t), where t = 1-x is the distance from the right end of a node with x ≥ 0;
// step returns the function over its derivative with respect to x.
func newton(t float64, step func(t float64) float64) float64 {
	for range 20 {
		dx := step(t)
		t += dx
		if math.Abs(dx) <= 1e-16*t {
			break
		}
	}
	return t
}

// legendreEnd returns P_n and P_n - P_(n-1) at x = 1-t. It carries the difference along, which
// keeps full accuracy near the end of the interval, where zeros crowd:
//
//	(k+1)(P_(k+1) - P_k) = k (P_k - P_(k-1)) - (2k+1) t P_k.
//
//go:noinline
func legendreEnd(n int, t float64) (p, d float64) {
	p = 1
	for k := range n {
		d = (float64(k)*d - float64(2*k+1)*t*p) / float64(k+1)
		p += d
	}
	return p, d
}

func reverse(x []float64) {
	for i, j := 0, len(x)-1; i < j; i, j = i+1, j-1 {
		x[i], x[j] = x[j], x[i]
	}
}
