package collocation

import (
	"math"
	"sync"

	"nodespan/solver/nodes"
)

// basis holds the reference matrices of one element with k collocation nodes on 0 ≤ s ≤ 1.
// Integrals are taken in s, from 0.
type basis struct {
	k int
	s []float64 // the nodes, ascending, inside (0, 1)
	// integral[l] is k×k, row-major: the l-fold integral up to node i of the Lagrange polynomial of node j
	// (l = 0: the identity, not stored).
	integral [][]float64
	// end[l] holds the l-fold integrals up to 1 (l = 0: the values at 1).
	end [][]float64
	// largest[l] holds the largest size in each row of integral[l], and after these in end[l].
	largest [][]float64
	// coef is k×k, row-major: values at the nodes → Legendre coefficients on the element.
	coef []float64
	// legendre is k×k, row-major: P_0 … P_(k−1) at each node.
	legendre []float64
	// start holds the values at 0 of the Lagrange polynomials.
	start []float64
	// slope is k×k, row-major: values at the nodes → derivatives in s there.
	slope []float64
}

type basisKey struct {
	family nodes.Family
	k      int
}

// The cache of reference matrices. Adaptation asks for the same few sizes thousands of times.
var cache = struct {
	sync.Mutex
	of      map[basisKey]*basis
	numbers int
}{of: map[basisKey]*basis{}}

// cacheNumbers bounds the cache: 4 million numbers are 32 MB.
const cacheNumbers = 4 << 20

// basisFor returns the matrices for k nodes with integrals up to the given fold.
func basisFor(family nodes.Family, k, fold int) *basis {
	cache.Lock()
	defer cache.Unlock()
	key := basisKey{family, k}
	b := cache.of[key]
	if b == nil {
		x := nodes.Interior(family, k)
		b = &basis{k: k, s: make([]float64, k)}
		for i, t := range x {
			b.s[i] = (1 + t) / 2
		}
		b.coef = nodes.Coefficients(x).RawMatrix().Data
		b.start = b.weightsAt(0, 0)[0]
		b.legendre = make([]float64, k*k)
		for i, s := range b.s {
			legendreTo(b.legendre[i*k:(i+1)*k], s)
		}
		b.slope = nodes.Differentiation(b.s).RawMatrix().Data
		cache.numbers += 3 * k * k
	}
	if len(b.end) <= fold {
		// Copy before extending: others may be reading the old one.
		c := *b
		b = &c
		x := nodes.Interior(family, k)
		at := append(append([]float64(nil), x...), 1)
		scale := 1.0
		b.integral, b.end, b.largest = nil, nil, nil
		for l := 0; l <= fold; l++ {
			m := nodes.Integration(x, at, l).RawMatrix().Data
			row := make([]float64, (k+1)*k)
			for i := range row {
				row[i] = m[i] * scale
			}
			b.integral = append(b.integral, row[:k*k])
			b.end = append(b.end, row[k*k:])
			largest := make([]float64, k+1)
			for i := range largest {
				largest[i] = largestOf(row[i*k : (i+1)*k])
			}
			b.largest = append(b.largest, largest)
			scale /= 2
			cache.numbers += len(row)
		}
	}
	if cache.numbers > cacheNumbers {
		clear(cache.of)
		cache.numbers = 0
	}
	cache.of[key] = b
	return b
}

// largestOf returns the largest size of the numbers.
func largestOf(v []float64) float64 {
	most := 0.0
	for _, w := range v {
		most = math.Max(most, math.Abs(w))
	}
	return most
}

// integrateSeriesTo writes the Legendre coefficients on 0 ≤ s ≤ 1 of start + h ∫_0^s of the series c (polynomials
// P_n(2s − 1)) to out, which is zero and one longer than c. With t = 2s − 1, ∫ P_n dt = (P_(n+1) − P_(n−1))/(2n+1).
func integrateSeriesTo(out, c []float64, h, start float64) {
	for n, v := range c {
		v *= h / 2 // dt = 2 ds
		if n == 0 {
			out[1] += v
			out[0] += v
			continue
		}
		v /= float64(2*n + 1)
		out[n+1] += v
		out[n-1] -= v
	}
	// Each (P_(n+1) − P_(n−1)) vanishes at t = −1, and so does P_1 + P_0: the integral starts from 0.
	out[0] += start
}

// recurrence holds (2n+1)/(n+1) and n/(n+1) of Legendre's recurrence P_(n+1) = (2n+1)/(n+1) t P_n − n/(n+1) P_(n−1).
var recurrence = func() (r [512][2]float64) {
	for n := range r {
		f := float64(n)
		r[n] = [2]float64{(2*f + 1) / (f + 1), f / (f + 1)}
	}
	return r
}()

// legendreTo writes P_0 … at t = 2s − 1.
func legendreTo(p []float64, s float64) {
	t := 2*s - 1
	a, b := 0.0, 1.0 // P_(n−1), P_n
	for n := range p {
		p[n] = b
		c := recurrenceOf(n)
		a, b = b, c[0]*t*b-c[1]*a
	}
}

// recurrenceOf returns the factors of Legendre's recurrence for n.
func recurrenceOf(n int) [2]float64 {
	if n < len(recurrence) {
		return recurrence[n]
	}
	f := float64(n)
	return [2]float64{(2*f + 1) / (f + 1), f / (f + 1)}
}

// legendreFour is legendreTo at four points.
func legendreFour(p [][4]float64, r, s, t, u float64) {
	r, s, t, u = 2*r-1, 2*s-1, 2*t-1, 2*u-1
	var r0, s0, t0, u0 float64 // P_(n−1)
	r1, s1, t1, u1 := 1.0, 1.0, 1.0, 1.0
	for n := range p {
		p[n] = [4]float64{r1, s1, t1, u1}
		c := recurrenceOf(n)
		r0, r1 = r1, c[0]*r*r1-c[1]*r0
		s0, s1 = s1, c[0]*s*s1-c[1]*s0
		t0, t1 = t1, c[0]*t*t1-c[1]*t0
		u0, u1 = u1, c[0]*u*u1-c[1]*u0
	}
}

// Reference returns the k nodes of a family on (0, 1) and the k×k matrix, row-major, that turns values there into
// Legendre coefficients. Neither may be changed.
func Reference(family nodes.Family, k int) (s, coef []float64) {
	b := basisFor(family, k, 0)
	return b.s, b.coef
}
