package working

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"nodespan/solver/bvp"
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

// With a sought number too, every entry came from entries that exist, and one of its column from the number's own
// derivative.
func TestExplainSought(t *testing.T) {
	p := linear(0, 1, []func(float64) float64{always(0), always(0), always(1)}, always(0),
		[3]float64{0, 0, 0}, [3]float64{1, 0, 1}, [3]float64{0, 1, 0})
	equations := p.Equations
	p.Parameters = []bvp.Parameter{{Name: "k"}}
	p.Equations = func(x float64, in, out, df []float64) { // y" = k, with y = x² and k = 2
		equations(x, in, out, df)
		out[0] -= in[3]
		if df != nil {
			df[3] = -1
		}
	}
	w := lay(t, p, Options{Nodes: 3})
	for _, m := range w.Matrices {
		for i := range m.Rows {
			for j := range m.Columns {
				for _, e := range w.Explain(m.Name, i, j).From {
					from := w.Matrix(e.Matrix)
					if from == nil || e.Row < 0 || e.Row >= len(from.Rows) || e.Col < 0 || e.Col >= len(from.Columns) {
						t.Fatalf("%s[%d, %d] came from %+v, which does not exist", m.Name, i, j, e)
					}
				}
			}
		}
	}
	all := w.Matrix("A_all")
	last := len(all.Columns) - 1
	if f := w.Explain("A_all", 1, last).From; len(f) != 1 ||
		w.Matrix(f[0].Matrix).Values[f[0].Row][f[0].Col] != all.Values[1][last] {
		t.Errorf("the sought number's column came from %+v", f)
	}
	// The values at the ends take the rows there; the slope is left the row of the sought number, which belongs to no
	// point.
	want := []Replaced{{Row: 0, Unknown: 0, Point: 0, Own: true}, {Row: 4, Unknown: 0, Point: 4, Own: true},
		{Row: 5, Unknown: -1, Point: -1}}
	if !slices.Equal(w.Replaced, want) {
		t.Errorf("the conditions take %+v, want %+v", w.Replaced, want)
	}
}
