package blocks

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack"
	lapackgonum "gonum.org/v1/gonum/lapack/gonum"
	"gonum.org/v1/gonum/mat"
)

// This file takes gonum's steps one by one, those of LAPACK without blocks. mat.Eigen and mat.SVD do the same with more
// steps, for vectors that nobody asks for, shapes that nobody has and sizes that are not met here, and would bring all
// of them into the page: half a megabyte of its module.

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
// vᵀ, where u and v have as many columns as there are values. The matrix is brought to bidiagonal form and iterated by
// the QR algorithm (Golub and Van Loan, section 8.6).
func SVD(a *mat.Dense) (u *mat.Dense, s []float64, v *mat.Dense, ok bool) { return svd(a, true) }

// Condition returns the condition number of a matrix in the 2-norm: the largest singular value by the smallest, +Inf
// where that is 0, NaN where the iteration does not converge.
func Condition(a *mat.Dense) float64 {
	_, s, _, ok := svd(a, false)
	if !ok {
		return math.NaN()
	}
	return s[0] / s[len(s)-1]
}

// svd is SVD, without vectors where these are not wanted.
func svd(a *mat.Dense, vectors bool) (u *mat.Dense, s []float64, v *mat.Dense, ok bool) {
	m, n := a.Dims()
	if m < n {
		v, s, u, ok = svd(transposed(a), vectors)
		return u, s, v, ok
	}
	u = Copy(a)
	q := u.RawMatrix()
	var lib lapackgonum.Implementation
	s = make([]float64, n)
	e, tauQ, tauP, work := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, max(m, 4*n))
	lib.Dgebd2(m, n, q.Data, q.Stride, s, e, tauQ, tauP, work)
	if !vectors {
		return nil, s, nil, lib.Dbdsqr(blas.Upper, n, 0, 0, 0, s, e, nil, 1, nil, 1, nil, 1, work)
	}
	// The reflectors of Pᵀ begin in the second row and column.
	vt := mat.NewDense(n, n, nil)
	for i := range n - 1 {
		copy(vt.RawRowView(i + 1)[i+1:], u.RawRowView(i)[i+1:])
	}
	vt.Set(0, 0, 1)
	p := vt.RawMatrix()
	if n > 1 {
		lib.Dorgl2(n-1, n-1, n-1, p.Data[p.Stride+1:], p.Stride, tauP[:n-1], work)
	}
	lib.Dorg2r(m, n, n, q.Data, q.Stride, tauQ, work)
	ok = lib.Dbdsqr(blas.Upper, n, n, m, 0, s, e, p.Data, p.Stride, q.Data, q.Stride, nil, 1, work)
	return u, s, transposed(vt), ok
}
