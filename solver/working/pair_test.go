package working

import (
	"slices"
	"testing"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
)

// TestPair: each equation is imposed with the unknown whose highest derivative it holds, wherever it stands; where
// several fit, the order of the sheet decides.
func TestPair(t *testing.T) {
	type row [3]float64 // coefficients of the highest derivatives of u, v and w
	for _, c := range []struct {
		rows [3]row
		want []int
	}{
		{[3]row{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, []int{0, 1, 2}},
		{[3]row{{0, 1, 0}, {0, 0, 1}, {1, 0, 0}}, []int{2, 0, 1}},
		{[3]row{{0, 1, 0}, {1, 3, 0}, {0, 0, 2}}, []int{1, 0, 2}},
		{[3]row{{1, 1, 0}, {1, 1, 0}, {0, 0, 1}}, []int{0, 1, 2}},
		{[3]row{{1, 9, 0}, {9, 1, 0}, {0, 0, 1}}, []int{1, 0, 2}},
		{[3]row{{1, 0, 1}, {0, 1, 0}, {1, 0, 0}}, []int{2, 1, 0}},
	} {
		p := &bvp.Problem{A: 0, B: 1}
		for i, name := range []string{"u", "v", "w"} {
			p.Unknowns = append(p.Unknowns, bvp.Unknown{Name: name, Order: 2})
			p.Conditions = append(p.Conditions, bvptest.Given(0, i, 0, 1), bvptest.Given(1, i, 0, 2))
		}
		p.Equations = func(_ float64, in, f, df []float64) {
			clear(df)
			for r, k := range c.rows {
				f[r] = 0
				for i := range k {
					f[r] += k[i]*in[3*i+2] - in[3*i]
					if df != nil {
						df[9*r+3*i+2], df[9*r+3*i] = k[i], -1
					}
				}
			}
		}
		w := &Working{Problem: p, Linear: true, at: []float64{-0.5, 0.5}}
		if w.pair(); !slices.Equal(w.eq, c.want) {
			t.Errorf("%v: the unknowns have the equations %v, want %v", c.rows, w.eq, c.want)
		}
	}
}
