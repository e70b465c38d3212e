package blocks

import (
	"math"
	"math/cmplx"
	"math/rand"
	"sort"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The eigenvalues are those that mat.Eigen finds, and those of the matrix −2, 1 in closed form: −4 sin²(k π/(2 (n+1))).
func TestEigenvalues(t *testing.T) {
	random := rand.New(rand.NewSource(3))
	sorted := func(v []complex128) []complex128 {
		sort.Slice(v, func(i, j int) bool {
			if d := real(v[i]) - real(v[j]); math.Abs(d) > 1e-9 {
				return d < 0
			}
			return imag(v[i]) < imag(v[j])
		})
		return v
	}
	for _, n := range []int{1, 2, 3, 7, 20, 90} {
		a := mat.NewDense(n, n, nil)
		for i := range n {
			for j := range n {
				a.Set(i, j, random.NormFloat64()*math.Exp(random.NormFloat64()))
			}
		}
		var eig mat.Eigen
		if !eig.Factorize(a, mat.EigenNone) {
			t.Fatal(n)
		}
		got, ok := Eigenvalues(a)
		want := sorted(eig.Values(nil))
		for i, v := range sorted(got) {
			if !ok || cmplx.Abs(v-want[i]) > 1e-9*(1+cmplx.Abs(want[i])) {
				t.Errorf("%d: %v, want %v", n, v, want[i])
			}
		}
		second := mat.NewDense(n, n, nil)
		for i := range n {
			second.Set(i, i, -2)
			if i > 0 {
				second.Set(i, i-1, 1)
				second.Set(i-1, i, 1)
			}
		}
		got, ok = Eigenvalues(second)
		for i, v := range sorted(got) {
			s := math.Sin(float64(n-i) * math.Pi / float64(2*(n+1)))
			if !ok || cmplx.Abs(v+complex(4*s*s, 0)) > 1e-12 {
				t.Errorf("%d: %v, want %v", n, v, -4*s*s)
			}
		}
	}
}

// The singular values are those of mat.SVD, and u s vᵀ is the matrix, with orthonormal columns; Hilbert's matrix of
// order 5 has the condition number 476607.25 (Golub and Van Loan, Matrix Computations, from memory).
func TestSVD(t *testing.T) {
	random := rand.New(rand.NewSource(4))
	for _, shape := range [][2]int{{1, 1}, {5, 5}, {9, 4}, {4, 9}, {40, 3}, {90, 90}} {
		m, n := shape[0], shape[1]
		a := mat.NewDense(m, n, nil)
		for i := range m {
			for j := range n {
				a.Set(i, j, random.NormFloat64())
			}
		}
		if m > 3 {
			a.SetRow(2, a.RawRowView(1)) // a rank that is short by one where the shape allows it
		}
		var want mat.SVD
		want.Factorize(a, mat.SVDThin)
		u, s, v, ok := SVD(a)
		if !ok {
			t.Fatal(shape)
		}
		for i, w := range want.Values(nil) {
			if math.Abs(s[i]-w) > 1e-13*s[0] {
				t.Errorf("%v: value %d is %g, want %g", shape, i, s[i], w)
			}
		}
		var back, scaled, uu, vv mat.Dense
		scaled.CloneFrom(u)
		for j, w := range s {
			for i := range m {
				scaled.Set(i, j, scaled.At(i, j)*w)
			}
		}
		back.Mul(&scaled, v.T())
		uu.Mul(u.T(), u)
		vv.Mul(v.T(), v)
		one := mat.NewDiagDense(len(s), nil)
		for i := range s {
			one.SetDiag(i, 1)
		}
		if !mat.EqualApprox(&back, a, 1e-12) || !mat.EqualApprox(&uu, one, 1e-12) || !mat.EqualApprox(&vv, one, 1e-12) {
			t.Errorf("%v: u s vᵀ is not the matrix", shape)
		}
	}
	hilbert := mat.NewDense(5, 5, nil)
	for i := range 5 {
		for j := range 5 {
			hilbert.Set(i, j, 1/float64(i+j+1))
		}
	}
	if c := Condition(hilbert); math.Abs(c-476607.25) > 0.01 {
		t.Errorf("condition number %v", c)
	}
	if c := Condition(mat.NewDense(2, 2, []float64{1, 0, 0, 0})); !math.IsInf(c, 1) {
		t.Errorf("condition number %v", c)
	}
}

// TestSVDScale: a matrix of another size has the same digits.
func TestSVDScale(t *testing.T) {
	const n = 9
	a := mat.NewDense(n, n, nil)
	for i := range n {
		for j := range n {
			a.Set(i, j, math.Sin(float64(1+i*n+j*j))*math.Pow(300, -float64(j))) // columns of very different sizes
		}
	}
	_, want, _, _ := SVD(a)
	for _, k := range []int{-60, 90} {
		var b mat.Dense
		b.Scale(math.Ldexp(1, k), a)
		_, got, _, ok := SVD(&b)
		for i, v := range got {
			if !ok || v != math.Ldexp(want[i], k) {
				t.Errorf("2^%d times: value %d is %v, want %v times that", k, i, v, want[i])
			}
		}
	}
}
