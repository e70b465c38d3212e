package sheet_test

import (
	"testing"

	"nodespan/expr/sheet"
)

// TestLayers checks in which interval each unknown counts, and that the mesh has a point where two meet.
func TestLayers(t *testing.T) {
	whole := [][2]float64{{0, 2}, {0, 2}}
	for _, c := range []struct {
		name, sheet string
		own         [][2]float64
		breaks      int
	}{
		{"said", "A'' = 0 on [0, a], B'' = 0 on [a, 2]\nA(0) = 1, B(2) = 0, A(a) = B(a), A'(a) = 3B'(a)\na = 0.5",
			[][2]float64{{0, 0.5}, {0.5, 2}}, 1},
		{"no interval", "A'' = 0, B'' = 0, A(0) = 1, B(2) = 0, A(1) = B(1), A'(1) = 3B'(1)",
			[][2]float64{{0, 1}, {1, 2}}, 1},
		{"the right one first", "A'' = 0, B'' = 0, A(2) = 1, B(0) = 0, A(1) = B(1), A'(1) = 3B'(1)",
			[][2]float64{{1, 2}, {0, 1}}, 1},
		{"three", "u'' = 0, v'' = 1, w'' = 0, u(0) = 0, w(2) = 1\nu(1) = v(1), u'(1) = v'(1)\n" +
			"v(3/2) = w(3/2), v'(3/2) = w'(3/2)",
			[][2]float64{{0, 1}, {1, 1.5}, {1.5, 2}}, 2},
		{"one interval is given", "A'' = 0, B'' = 0, A(0) = 1, B(2) = 0, A(1) = B(1), A'(1) = 3B'(1), 0 < x < 2",
			whole, 0},
		{"coupled", "A'' = B, B'' = 0, A(0) = 1, B(2) = 0, A(1) = B(1), A'(1) = 3B'(1)", whole, 0},
		{"overlapping", "A'' = 0, B'' = 0, A(0) = 1, B(2) = 0, A(1) = B(1), A'(1) = 3B'(0)", whole, 0},
	} {
		s, err := sheet.Read(c.sheet, sheet.Options{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		p := s.Problem()
		for i, want := range c.own {
			if a, b := p.Counts(i); a != want[0] || b != want[1] {
				t.Errorf("%s: %s counts from %v to %v, want %v", c.name, p.Unknowns[i].Name, a, b, want)
			}
		}
		if len(p.Breaks) != c.breaks {
			t.Errorf("%s: breaks %v, want %d", c.name, p.Breaks, c.breaks)
		}
	}
}
