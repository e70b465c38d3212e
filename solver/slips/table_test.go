package slips

import (
	"math"
	"testing"
)

// What a number of a column is worked out to.
func TestUnits(t *testing.T) {
	for _, c := range []struct {
		name  string
		cells []Cell
		want  []float64
	}{
		{"0.125, 12.500, 1.000", []Cell{{0.125, 3, 3}, {12.5, 3, 5}, {1, 3, 4}}, []float64{1e-3, 1e-3, 1e-3}},
		{"0.5, 0.4794, 0.5646: a spreadsheet dropped zeros", []Cell{{0.5, 1, 1}, {0.4794, 4, 4}, {0.5646, 4, 4}},
			[]float64{1e-4, 1e-4, 1e-4}},
		{"0.00123457, 12.3457, 123457", []Cell{{0.00123457, 8, 6}, {12.3457, 4, 6}, {123457, 0, 6}},
			[]float64{1e-8, 1e-4, 1}},
		{"1.5e3, 2e-1", []Cell{{1500, -2, 2}, {0.2, 1, 1}}, []float64{1e2, 1e-1}},
		{"0, 0.25", []Cell{{0, 0, 0}, {0.25, 2, 2}}, []float64{1e-2, 1e-2}},
	} {
		for i, u := range units(c.cells) {
			if math.Abs(u-c.want[i]) > 1e-9*c.want[i] {
				t.Errorf("%s: %v, want %v", c.name, units(c.cells), c.want)
				break
			}
		}
	}
}
