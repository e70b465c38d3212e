package plot

import (
	"math"
	"testing"
)

// TestDashes cuts a line of 19.5 into dashes of 3 and gaps of 2, and goes on round a corner.
func TestDashes(t *testing.T) {
	total := 0.0
	parts := Dashes([]float64{0, 0, 11, 0, 11, 8.5}, []float64{3, 2})
	for _, p := range parts {
		for i := 0; i+3 < len(p); i += 2 {
			total += math.Hypot(p[i+2]-p[i], p[i+3]-p[i+1])
		}
	}
	if len(parts) != 4 || math.Abs(total-12) > 1e-12 || len(parts[2]) != 6 { // the third, from 10 to 13, bends at 11
		t.Errorf("%d dashes of total length %g: %v", len(parts), total, parts)
	}
}
