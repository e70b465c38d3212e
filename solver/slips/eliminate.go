package slips

import "math"

// eliminate solves a x = f by Gaussian elimination with partial pivoting and returns x, nil where a is singular. a,
// row-major, and f are spent. Rows are short: only what lies between the first and the last entry of a row is touched,
// so that a matrix of a mesh costs about its length times its band squared.
func eliminate(a, f []float64) []float64 {
	n := len(f)
	last := make([]int, n) // entry of each row that is not 0
	rows := make([][]float64, n)
	for i := range rows {
		rows[i] = a[i*n : (i+1)*n]
		for last[i] = n - 1; last[i] > 0 && rows[i][last[i]] == 0; last[i]-- {
		}
	}
	for k := range n {
		p := k
		for i := k + 1; i < n; i++ {
			if math.Abs(rows[i][k]) > math.Abs(rows[p][k]) {
				p = i
			}
		}
		if !(math.Abs(rows[p][k]) > 1e-15) { // rows are of size one
			return nil
		}
		rows[k], rows[p], f[k], f[p], last[k], last[p] = rows[p], rows[k], f[p], f[k], last[p], last[k]
		for i := k + 1; i < n; i++ {
			m := rows[i][k] / rows[k][k]
			if m == 0 {
				continue
			}
			for j := k; j <= last[k]; j++ {
				rows[i][j] -= m * rows[k][j]
			}
			f[i] -= m * f[k]
			last[i] = max(last[i], last[k])
		}
	}
	for k := n - 1; k >= 0; k-- {
		for j := k + 1; j <= last[k]; j++ {
			f[k] -= rows[k][j] * f[j]
		}
		f[k] /= rows[k][k]
	}
	return f
}
