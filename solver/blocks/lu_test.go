package blocks

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The factors give what gonum's mat.LU gives, to the last digit: solutions, condition number, the product;
// the inverse within rounding, for it is made without blocks.
func TestLUAgainstGonum(t *testing.T) {
	next := Signs(7)
	for _, n := range []int{1, 2, 5, 40, 70} {
		a, b := mat.NewDense(n, n, nil), mat.NewDense(n, 3, nil)
		for i := range n {
			for j := range n {
				a.Set(i, j, next()*math.Exp(next()*float64((7*i+3*j)%5)))
			}
			for j := range 3 {
				b.Set(i, j, next()*float64(1+i%4))
			}
		}
		for _, scale := range []float64{1, 1e-9} { // the second is far from regular
			for j := range n {
				a.Set(0, j, a.At(0, j)*scale)
			}
			var want mat.LU
			want.Factorize(a)
			var x mat.Dense
			_ = want.SolveTo(&x, false, b)
			var lu LU
			lu.Factorize(a)
			got, ok := lu.Solve(b)
			if !ok || !mat.Equal(got, &x) || lu.Cond() != want.Cond() {
				t.Errorf("%d, %g: solved %v, condition %g, want %g", n, scale, ok, lu.Cond(), want.Cond())
			}
			v := Column(b, 1)
			if !lu.SolveVec(v) || !mat.Equal(mat.NewVecDense(n, v), x.ColView(1)) {
				t.Errorf("%d, %g: a vector is solved for otherwise than a column", n, scale)
			}
			if norm := mat.Norm(a, math.Inf(1)); math.Abs(Norm(a)-norm) > 1e-14*norm {
				t.Errorf("%d: norm %g, want %g", n, Norm(a), norm)
			}
			inverse, ok := Inverse(a)
			var inv mat.Dense
			_ = inv.Inverse(a)
			if !ok || !mat.EqualApprox(inverse, &inv, 1e-15*lu.Cond()*mat.Norm(&inv, math.Inf(1))) {
				t.Errorf("%d, %g: another inverse than gonum's", n, scale)
			}
		}
		var product mat.Dense
		product.Mul(a, b)
		if !mat.Equal(Product(a, b), &product) {
			t.Errorf("%d: another product than gonum's", n)
		}
	}
}

// A matrix without inverse gives nothing, and what was to be solved stays; one that is nearly so is told.
func TestLUSingular(t *testing.T) {
	var lu LU
	lu.Factorize(mat.NewDense(2, 2, []float64{1, 2, 2, 4}))
	b := []float64{3, 5}
	if lu.SolveVec(b) || b[0] != 3 || b[1] != 5 || lu.Regular() || !math.IsInf(lu.Cond(), 1) {
		t.Errorf("a singular matrix: %v, condition %g", b, lu.Cond())
	}
	if _, ok := Inverse(mat.NewDense(2, 2, []float64{0, 0, 0, 1})); ok {
		t.Error("a singular matrix has an inverse")
	}
	lu.Factorize(mat.NewDense(2, 2, []float64{1, 1, 1, 1 + 1e-15}))
	if !lu.SolveVec(b) || lu.Regular() == (lu.Cond() > 1e16) {
		t.Errorf("nearly singular: condition %g, regular %v", lu.Cond(), lu.Regular())
	}
	lu.Factorize(mat.NewDense(1, 1, []float64{4})) // another size, by the same factors
	if b := []float64{2}; !lu.SolveVec(b) || b[0] != 0.5 || !lu.Regular() {
		t.Errorf("2/4 is %g", b[0])
	}
}
