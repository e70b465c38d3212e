package working

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The library's singular value decomposition is the oracle. It knows the smallest value to about 1e-16 of the largest,
// and so the condition number to about 1e-16 of itself times itself.
func TestCondition(t *testing.T) {
	var list [][][]float64
	for _, n := range []int{1, 2, 3, 7, 12} {
		s := make([]float64, n)
		hilbert := table(n, n)
		for i := range s {
			s[i] = float64(i+1) / float64(n)
			for j := range hilbert[i] {
				hilbert[i][j] = 1 / float64(i+j+1)
			}
		}
		list = append(list, powers(s, 0), hilbert)
	}
	list = append(list, [][]float64{{3, 0}, {0, -4e6}}, [][]float64{{0, 1}, {1, 0}})
	for i, m := range list {
		got, want := condition(m), mat.Cond(dense(m), 2)
		if !(math.Abs(got-want) <= (1e-13+1e-15*want)*want) && !(want > 1e15 && got > 1e15) {
			t.Errorf("matrix %d, %d rows: %v, want %v", i, len(m), got, want)
		}
	}
	if got := condition([][]float64{{1, 2}, {2, 4}}); !(got > 1e15) {
		t.Errorf("a singular matrix has the condition number %v", got)
	}
}
