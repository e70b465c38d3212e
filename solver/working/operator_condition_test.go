package working

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"nodespan/solver/nodes"
)

// TestOperatorConditions holds the condition numbers that are told of both routes to gonum's, of the matrices with
// their rows and then their columns scaled to a largest entry of 1.
func TestOperatorConditions(t *testing.T) {
	w := lay(t, grow(0, 2), Options{Nodes: 9, Family: nodes.Chebyshev, Reference: Own})
	for i, name := range []string{"A", "B"} {
		values := w.byName[name].Values
		m := mat.NewDense(len(values), len(values[0]), nil)
		for r, row := range values {
			for c, v := range row {
				m.Set(r, c, v/maxAbs(row))
			}
		}
		for c := range values[0] {
			column := mat.Col(nil, c, m)
			for r, v := range column {
				m.Set(r, c, v/maxAbs(column))
			}
		}
		if got, want := w.Routes[i].Operator, mat.Cond(m, 2); !(math.Abs(got-want) <= 1e-6*want) {
			t.Errorf("the condition number of %s is %g, want %g", name, got, want)
		}
	}
}

func maxAbs(v []float64) float64 { return mat.Norm(mat.NewVecDense(len(v), v), math.Inf(1)) }
