package blocks

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/lapack"
	lapackgonum "gonum.org/v1/gonum/lapack/gonum"
	"gonum.org/v1/gonum/mat"
)

// Eigenvalues returns the eigenvalues of a square matrix, in no order, and whether the iteration converged. The matrix
// is balanced, brought to Hessenberg form and iterated by the QR algorithm (G. H. Golub and C. F. Van Loan, Matrix
// Computations, 4th ed., 2013, sections 7.4 and 7.5), all by gonum; mat.Eigen does the same, and brings the computation
// of eigenvectors into every program that links it, 0.1 MB of the page's module.
func Eigenvalues(a mat.Matrix) ([]complex128, bool) {
	m := mat.DenseCopyOf(a)
	n, _ := m.Dims()
	h := m.RawMatrix()
	_, exponent := math.Frexp(math.Max(mat.Max(m), -mat.Min(m))) // far from the ends of the range of numbers; exact
	for i, v := range h.Data {
		h.Data[i] = math.Ldexp(v, -exponent)
	}
	var lib lapackgonum.Implementation
	scale, tau := make([]float64, n), make([]float64, max(n-1, 0))
	lo, hi := lib.Dgebal(lapack.PermuteScale, n, h.Data, h.Stride, scale)
	work := make([]float64, 1)
	lib.Dgehrd(n, lo, hi, h.Data, h.Stride, tau, work, -1) // how much room it asks for
	work = make([]float64, max(int(work[0]), n))
	lib.Dgehrd(n, lo, hi, h.Data, h.Stride, tau, work, len(work))
	re, im := make([]float64, n), make([]float64, n)
	work[0] = 0
	lib.Dhseqr(lapack.EigenvaluesOnly, lapack.SchurNone, n, lo, hi, h.Data, h.Stride, re, im, nil, 1, work, -1)
	work = make([]float64, max(int(work[0]), n))
	left := lib.Dhseqr(lapack.EigenvaluesOnly, lapack.SchurNone, n, lo, hi, h.Data, h.Stride, re, im, nil, 1, work,
		len(work))
	out := make([]complex128, n)
	for i := range out {
		out[i] = complex(math.Ldexp(re[i], exponent), math.Ldexp(im[i], exponent))
	}
	return out, left == 0
}

// SVD returns the singular values of a matrix, descending, with the singular vectors as the columns of u and v: a = u s
// vᵀ, where u and v have as many columns as there are values. The matrix is brought to bidiagonal form and iterated by
// the QR algorithm (Golub and Van Loan, section 8.6), all by gonum; mat.SVD brings along what serves matrices of other
// shapes, another 0.1 MB.
func SVD(a mat.Matrix) (u *mat.Dense, s []float64, v *mat.Dense, ok bool) { return svd(a, true) }

// Condition returns the condition number of a matrix in the 2-norm: the largest singular value by the smallest, +Inf
// where that is 0, NaN where the iteration does not converge.
func Condition(a mat.Matrix) float64 {
	_, s, _, ok := svd(a, false)
	if !ok {
		return math.NaN()
	}
	return s[0] / s[len(s)-1]
}

// svd is SVD, without vectors where these are not wanted.
func svd(a mat.Matrix, vectors bool) (u *mat.Dense, s []float64, v *mat.Dense, ok bool) {
	m, n := a.Dims()
	if m < n {
		v, s, u, ok = svd(a.T(), vectors)
		return u, s, v, ok
	}
	b := mat.DenseCopyOf(a)
	h := b.RawMatrix()
	var lib lapackgonum.Implementation
	s = make([]float64, n)
	e, tauQ, tauP := make([]float64, n), make([]float64, n), make([]float64, n)
	work := make([]float64, 1)
	lib.Dgebrd(m, n, h.Data, h.Stride, s, e, tauQ, tauP, work, -1) // how much room it asks for
	work = make([]float64, max(int(work[0]), 4*n, m))
	lib.Dgebrd(m, n, h.Data, h.Stride, s, e, tauQ, tauP, work, len(work))
	if !vectors {
		return nil, s, nil, lib.Dbdsqr(blas.Upper, n, 0, 0, 0, s, e, nil, 1, nil, 1, nil, 1, work)
	}
	vt := mat.DenseCopyOf(b.Slice(0, n, 0, n))
	p := vt.RawMatrix()
	lib.Dorgbr(lapack.GeneratePT, n, n, n, p.Data, p.Stride, tauP, work, len(work))
	lib.Dorgbr(lapack.GenerateQ, m, n, n, h.Data, h.Stride, tauQ, work, len(work))
	ok = lib.Dbdsqr(blas.Upper, n, n, m, 0, s, e, p.Data, p.Stride, h.Data, h.Stride, nil, 1, work)
	return b, s, mat.DenseCopyOf(vt.T()), ok
}
