package sheet

import (
	"math"
	"testing"

	"nodespan/solver/bvp"
)

// TestFormulas: the formulas of a sheet's equations reach the problem, with bounds on a stretch; what depends on the
// unknowns is told apart.
func TestFormulas(t *testing.T) {
	s, err := Read("c = 0.3\n-y'' + y/(2+x) + tanh(y) = exp(-((x-c)/0.01)^2)\ny(0)=0\ny(1)=1", Options{})
	if err != nil {
		t.Fatal(err)
	}
	f := s.Problem().Formulas
	if f == nil || f.Inputs != 3 || len(f.Moving) != 3 {
		t.Fatalf("%+v", f)
	}
	out := make([]bvp.Enclosure, 3)
	moving := 0
	f.Enclose(0.1, 0.2, nil, out)
	for i, e := range out {
		if f.Moving[i] {
			moving++
			if e != (bvp.Enclosure{}) {
				t.Errorf("a moving node was written: %+v", e)
			}
			continue
		}
		exp := e.Lo >= 0 && e.Lo < 1e-100 && e.Hi < 1e-40
		over := math.Abs(e.Lo-1/2.2) < 0.003 && math.Abs(e.Hi-1/2.1) < 0.003
		if !exp && !over {
			t.Errorf("%+v is neither the exponential nor 1/(2+x)", e)
		}
	}
	if moving != 1 {
		t.Errorf("%d nodes move, want 1", moving)
	}
	if q := s.Problem().With([]float64{0.15}); q == nil {
		t.Error("no other problem")
	} else if q.Formulas.Enclose(0.1, 0.2, nil, out); !(max(out[0].Hi, out[1].Hi, out[2].Hi) == 1) {
		t.Errorf("with c = 0.15 the exponential peaks inside: %+v", out)
	}
}
