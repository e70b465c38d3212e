package testdata

import (
	"math"
	"testing"
)

func TestProblems(t *testing.T) {
	all, some := Problems(), Problems("layer", "eigenvalue")
	if len(all) != 132 {
		t.Errorf("%d problems, want 132", len(all))
	}
	// ε y″ = y, y(0) = 1, y(1) = 0 is sinh((1 − x)/√ε)/sinh(1/√ε), and y′ likewise.
	p, s := some[0], math.Sqrt(0.1)
	for _, at := range p.Reference.At {
		y, slope := math.Sinh((1-at.X)/s)/math.Sinh(1/s), -math.Cosh((1-at.X)/s)/s/math.Sinh(1/s)
		if math.Abs(at.Values["y"]-y) > 1e-15 || math.Abs(at.Values["y'"]-slope) > 1e-14 {
			t.Errorf("%s: %v at %v, want %v and %v", p.ID, at.Values, at.X, y, slope)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("a kind that no problem has")
		}
	}()
	defer Problems("layer", "magic")
	kinds := map[string]int{}
	for _, p := range some {
		kinds[p.Kind]++
	}
	if len(kinds) != 2 || kinds["eigenvalue"] != 12 || len(p.Reference.At) < 10 {
		t.Errorf("%v, %d rows", kinds, len(p.Reference.At))
	}
}

// TestRows: the published rule of two points is that of Gauss, ±1/√3 with the weights 1.
func TestRows(t *testing.T) {
	var rows []struct {
		N              int
		Nodes, Weights []float64
	}
	Rows("gauss-legendre", &rows)
	for _, r := range rows {
		if r.N == 2 && (math.Abs(r.Nodes[1]-1/math.Sqrt(3)) > 1e-15 || r.Weights[0] != 1) || len(r.Nodes) != r.N {
			t.Errorf("%+v", r)
		}
	}
	defer func() {
		if recover() == nil || len(rows) < 5 {
			t.Errorf("%d rows, and those of a table that there is not", len(rows))
		}
	}()
	Rows("magic", &rows)
}
