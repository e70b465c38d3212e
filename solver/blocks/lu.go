package blocks

import (
	"math"

	"gonum.org/v1/gonum/blas"
	blasgonum "gonum.org/v1/gonum/blas/gonum"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack"
	lapackgonum "gonum.org/v1/gonum/lapack/gonum"
	"gonum.org/v1/gonum/mat"
)

// LU holds the factors of a square matrix by elimination with row pivoting (G. H. Golub and C. F. Van Loan, Matrix
// Computations, 4th ed., 2013, section 3.4): the steps of gonum's mat.LU, without what this has for other shapes.
type LU struct {
	a        *mat.Dense
	pivot    []int
	work     []float64
	iwork    []int
	cond     float64
	singular bool // a pivot is zero
}

// ill is the condition number from which a matrix is as good as singular in double precision.
const ill = 1e16

// Factorize factorises a copy of a.
func (f *LU) Factorize(a *mat.Dense) {
	n, _ := a.Dims()
	if len(f.pivot) != n {
		numbers, ints := make([]float64, n*n+4*n), make([]int, 2*n)
		f.a, f.work = mat.NewDense(n, n, numbers[:n*n:n*n]), numbers[n*n:]
		f.pivot, f.iwork = ints[:n:n], ints[n:]
	}
	for i := range n {
		copy(f.a.RawRowView(i), a.RawRowView(i))
	}
	m := f.a.RawMatrix()
	var lib lapackgonum.Implementation
	norm := lib.Dlange(lapack.MaxRowSum, n, n, m.Data, m.Stride, f.work)
	f.singular = !lib.Dgetrf(n, n, m.Data, m.Stride, f.pivot)
	f.cond = math.Inf(1)
	if !f.singular {
		f.cond = 1 / lib.Dgecon(lapack.MaxRowSum, n, m.Data, m.Stride, norm, f.work, f.iwork)
	}
}

// Cond returns the condition number in the maximum norm, estimated; +Inf for a singular matrix.
func (f *LU) Cond() float64 { return f.cond }

// Regular reports whether the matrix is not as good as singular.
func (f *LU) Regular() bool { return f.cond <= ill }

// SolveVec overwrites b with the solution of a x = b; it reports false, with b as it was, where a is singular.
// These are Dgetrs's steps for a matrix of one column, without what looks at shapes: closing systems are small, and
// there are many right sides.
func (f *LU) SolveVec(b []float64) bool {
	if f.singular {
		return false
	}
	m := f.a.RawMatrix()
	for i, p := range f.pivot {
		b[i], b[p] = b[p], b[i]
	}
	for i := range b {
		sum := b[i]
		for k, v := range m.Data[i*m.Stride:][:i] {
			sum -= v * b[k]
		}
		b[i] = sum
	}
	for i := len(b) - 1; i >= 0; i-- {
		row, sum := m.Data[i*m.Stride:][:len(b)], b[i]
		for k := i + 1; k < len(row); k++ {
			sum -= row[k] * b[k]
		}
		b[i] = sum * (1 / row[i])
	}
	return true
}

// Solve returns the solution of a X = B; ok is false where a is singular.
func (f *LU) Solve(b *mat.Dense) (x *mat.Dense, ok bool) {
	x = Copy(b)
	if f.singular {
		return x, false
	}
	a, m := f.a.RawMatrix(), x.RawMatrix()
	var lib lapackgonum.Implementation
	lib.Dgetrs(blas.NoTrans, a.Rows, m.Cols, a.Data, a.Stride, f.pivot, m.Data, m.Stride)
	return x, true
}

// Inverse returns the inverse of a square matrix; ok is false where it is singular. Its errors are even along a row.
func Inverse(a *mat.Dense) (inverse *mat.Dense, ok bool) {
	var f LU
	if f.Factorize(a); f.singular {
		return nil, false
	}
	m := f.a.RawMatrix()
	var lib lapackgonum.Implementation
	return f.a, lib.Dgetri(m.Rows, m.Data, m.Stride, f.pivot, make([]float64, m.Rows), m.Rows)
}

// Product returns a b.
func Product(a, b *mat.Dense) *mat.Dense {
	x, y := a.RawMatrix(), b.RawMatrix()
	out := mat.NewDense(x.Rows, y.Cols, nil)
	z := out.RawMatrix()
	var lib blasgonum.Implementation
	lib.Dgemm(blas.NoTrans, blas.NoTrans, x.Rows, y.Cols, x.Cols, 1, x.Data, x.Stride, y.Data, y.Stride, 0,
		z.Data, z.Stride)
	return out
}

// Copy returns a copy of a matrix.
func Copy(a *mat.Dense) *mat.Dense {
	m, n := a.Dims()
	out := mat.NewDense(m, n, nil)
	for i := range m {
		copy(out.RawRowView(i), a.RawRowView(i))
	}
	return out
}

func transposed(a *mat.Dense) *mat.Dense {
	m, n := a.Dims()
	out := mat.NewDense(n, m, nil)
	for j := range n {
		copy(out.RawRowView(j), Column(a, j))
	}
	return out
}

// Column returns a copy of column j.
//
//go:noinline
func Column(a *mat.Dense, j int) []float64 {
	n, _ := a.Dims()
	out := make([]float64, n)
	for i := range out {
		out[i] = a.At(i, j)
	}
	return out
}

// Norm returns the norm that belongs to the maximum norm of vectors: the largest sum of sizes in a row.
func Norm(a *mat.Dense) float64 {
	n, _ := a.Dims()
	largest := 0.0
	for i := range n {
		largest = max(largest, floats.Norm(a.RawRowView(i), 1))
	}
	return largest
}
