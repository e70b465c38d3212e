package working

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// condition returns the condition number of a matrix in the 2-norm: the largest singular value by the smallest, +Inf where that is 0.
//
// The singular values are the lengths of the columns after plane rotations have made every two of them orthogonal (one-sided Jacobi
// iteration: M. R. Hestenes, J. Soc. Indust. Appl. Math. 6, 1958, 51–90; rotations as in H. Rutishauser, Numer. Math. 9, 1966, 1–10).
// The library's decomposition, mat.Cond, is what the tests compare with; it would add 250 KB to the packed page.
func condition(rows [][]float64) float64 {
	a := mat.DenseCopyOf(dense(rows).T()) // its rows are the columns
	n, _ := a.Dims()
	const sweeps = 60 // about ten are needed
	for range sweeps {
		turned := false
		for p := range n {
			for q := p + 1; q < n; q++ {
				x, y := a.RawRowView(p), a.RawRowView(q)
				xx, yy, xy := dot(x, x), dot(y, y), dot(x, y)
				if math.Abs(xy) <= 1e-15*math.Sqrt(xx)*math.Sqrt(yy) {
					continue
				}
				turned = true
				z := (yy - xx) / (2 * xy)
				t := math.Copysign(1/(math.Abs(z)+math.Hypot(1, z)), z)
				c := 1 / math.Hypot(1, t)
				s := c * t
				for k := range x {
					x[k], y[k] = c*x[k]-s*y[k], s*x[k]+c*y[k]
				}
			}
		}
		if !turned {
			break
		}
	}
	least, most := math.Inf(1), 0.0
	for p := range n {
		v := mat.Norm(a.RowView(p), 2)
		least, most = math.Min(least, v), math.Max(most, v)
	}
	return most / least
}
