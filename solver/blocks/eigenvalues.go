package blocks

import (
	"math"

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
