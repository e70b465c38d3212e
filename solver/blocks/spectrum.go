package blocks

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack"
	lapackgonum "gonum.org/v1/gonum/lapack/gonum"
	"gonum.org/v1/gonum/mat"
)

// Eigenvalues takes gonum's steps one by one, those of LAPACK without blocks. mat.Eigen does the same with more steps,
// for vectors that nobody asks for and sizes that are not met here, and would bring all of them into the page; mat.SVD
// is as large again, and is no more accurate than the dozen lines here: half a megabyte of the module in all.

// Eigenvalues returns the eigenvalues of a square matrix, in no order, and whether the iteration converged. The matrix
// is balanced, brought to Hessenberg form and iterated by the QR algorithm (G. H. Golub and C. F. Van Loan, Matrix
// Computations, 4th ed., 2013, sections 7.4 and 7.5).
func Eigenvalues(a *mat.Dense) ([]complex128, bool) {
	m := Copy(a)
	n, _ := m.Dims()
	h := m.RawMatrix()
	_, exponent := math.Frexp(floats.Norm(h.Data, math.Inf(1))) // far from the ends of the range of numbers; exact
	for i, v := range h.Data {
		h.Data[i] = math.Ldexp(v, -exponent)
	}
	var lib lapackgonum.Implementation
	lo, hi := lib.Dgebal(lapack.PermuteScale, n, h.Data, h.Stride, make([]float64, n))
	lib.Dgehd2(n, lo, hi, h.Data, h.Stride, make([]float64, max(n-1, 0)), make([]float64, n))
	re, im := make([]float64, n), make([]float64, n)
	for i := range n {
		re[i] = m.At(i, i) // of those that balancing has set apart
	}
	for i := 2; i < n; i++ {
		clear(m.RawRowView(i)[:i-1]) // the reflectors
	}
	left := lib.Dlahqr(false, false, n, lo, hi, h.Data, h.Stride, re[:hi+1], im[:hi+1], 0, n-1, nil, 1)
	out := make([]complex128, n)
	for i := range out {
		out[i] = complex(math.Ldexp(re[i], exponent), math.Ldexp(im[i], exponent))
	}
	return out, left == 0
}

// SVD returns the singular values of a matrix, descending, with the singular vectors as the columns of u and v: a = u s
// vᵀ, where u and v have as many columns as there are values. Columns are turned in pairs until all are at right angles
// (M. R. Hestenes, Inversion of matrices by biorthogonalization and related results, J. SIAM 6, 1958, 51–90; Golub and
// Van Loan, section 8.6.5), which finds small values to more digits than a bidiagonal form does.
func SVD(a *mat.Dense) (u *mat.Dense, s []float64, v *mat.Dense, ok bool) {
	if m, n := a.Dims(); m < n {
		v, s, u, ok = SVD(transposed(a))
		return u, s, v, ok
	}
	w := transposed(a) // its rows are the columns that are turned
	n, m := w.Dims()
	_, exponent := math.Frexp(floats.Norm(w.RawMatrix().Data, math.Inf(1)))
	for i, x := range w.RawMatrix().Data {
		w.RawMatrix().Data[i] = math.Ldexp(x, -exponent)
	}
	turned := mat.NewDense(n, n, nil)
	for i := range n {
		turned.Set(i, i, 1)
	}
	noise := epsilon * floats.Norm(w.RawMatrix().Data, 2) // the direction of what is smaller is rounding
	for sweep := 0; !ok && sweep < mostSweeps; sweep++ {
		ok = turn(w, turned, epsilon*noise)
	}
	s = make([]float64, n)
	order := make([]int, n)
	for i := range order {
		order[i], s[i] = i, floats.Norm(w.RawRowView(i), 2)
	}
	sort.Slice(order, func(i, j int) bool { return s[order[i]] > s[order[j]] })
	left, right, sizes := mat.NewDense(n, m, nil), mat.NewDense(n, n, nil), make([]float64, n)
	for to, from := range order {
		sizes[to] = math.Ldexp(s[from], exponent)
		copy(right.RawRowView(to), turned.RawRowView(from))
		if s[from] > 0 {
			floats.ScaleTo(left.RawRowView(to), 1/s[from], w.RawRowView(from))
		}
		if s[from] <= float64(m)*noise { // any at right angles to the others does
			complete(left, to)
		}
	}
	return transposed(left), sizes, transposed(right), ok
}

const (
	epsilon    = 1.0 / (1 << 52)
	mostSweeps = 40 // a dozen are enough for what is met here
)

// turn turns every pair of rows of w, and of v with them, to right angles, and reports whether all stood so, but for
// those that count as zero. (The rows that stand for a value of zero get shorter with every pass.)
func turn(w, v *mat.Dense, zero float64) bool {
	n, _ := w.Dims()
	squares := make([]float64, n)
	for p := range squares {
		x := w.RawRowView(p)
		squares[p] = dot4(x, x)
	}
	done := true
	for p := range n {
		x := w.RawRowView(p)
		for q := p + 1; q < n; q++ {
			y := w.RawRowView(q)
			xx, yy, xy := squares[p], squares[q], dot4(x, y)
			small, large := math.Sqrt(min(xx, yy)), math.Sqrt(max(xx, yy))
			if small <= zero || !(math.Abs(xy) > 4*epsilon*small*large) {
				continue
			}
			done = false
			zeta := (yy - xx) / (2 * xy)
			t := math.Copysign(1/(math.Abs(zeta)+math.Hypot(1, zeta)), zeta)
			c := 1 / math.Hypot(1, t)
			rotate(x, y, c, t)
			rotate(v.RawRowView(p), v.RawRowView(q), c, t)
			squares[p], squares[q] = xx-t*xy, yy+t*xy
			if small < 1e-3*large { // the difference has lost digits
				squares[p], squares[q] = dot4(x, x), dot4(y, y)
			}
		}
	}
	return done
}

// rotate turns two rows in their plane, by the angle with the cosine c and the tangent t.
func rotate(x, y []float64, c, t float64) {
	y = y[:len(x)]
	for i, a := range x {
		b := y[i]
		x[i], y[i] = c*(a-t*b), c*(t*a+b)
	}
}

// dot4 returns the sum of products, in four sums side by side.
func dot4(a, b []float64) float64 {
	var s0, s1, s2, s3 float64
	b = b[:len(a)]
	for ; len(a) >= 4; a, b = a[4:], b[4:] {
		s0 += a[0] * b[0]
		s1 += a[1] * b[1]
		s2 += a[2] * b[2]
		s3 += a[3] * b[3]
	}
	return (s0 + s1) + (s2 + s3) + Dot(a, b)
}

// complete replaces row k by a unit vector at right angles to the rows before it.
func complete(a *mat.Dense, k int) {
	_, m := a.Dims()
	row := a.RawRowView(k)
	for i := range m {
		clear(row)
		row[i] = 1
		for range 2 {
			for j := range k {
				floats.AddScaled(row, -Dot(row, a.RawRowView(j)), a.RawRowView(j))
			}
		}
		if size := floats.Norm(row, 2); size > 0.5/math.Sqrt(float64(m)) { // one of them is so far off
			floats.Scale(1/size, row)
			return
		}
	}
}

// Condition returns the condition number of a matrix in the 2-norm: the largest singular value by the smallest, +Inf
// where that is 0, NaN where the iteration does not converge.
func Condition(a *mat.Dense) float64 {
	_, s, _, ok := SVD(a)
	if !ok {
		return math.NaN()
	}
	return s[0] / s[len(s)-1]
}
