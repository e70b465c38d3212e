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
