package plot

import (
	"math"
	"reflect"
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

// TestClipped cuts lines at a square from 0 to 10.
func TestClipped(t *testing.T) {
	box := [4]float64{0, 0, 10, 10}
	for _, c := range []struct {
		name string
		xy   []float64
		want [][]float64
	}{
		{"inside", []float64{1, 1, 9, 2, 3, 8}, [][]float64{{1, 1, 9, 2, 3, 8}}},
		{"outside", []float64{-5, 20, 30, 21}, nil},
		{"around a corner", []float64{-3, 2, 2, -4}, nil},
		{"across", []float64{-10, 5, 30, 5}, [][]float64{{0, 5, 10, 5}}},
		{"out and in again", []float64{5, 5, 5, -5, 8, -5, 8, 5}, [][]float64{{5, 5, 5, 0}, {8, 0, 8, 5}}},
		{"far away", []float64{5, 5, 5, 1e300}, [][]float64{{5, 5, 5, 10}}},
		{"on the edge", []float64{0, 0, 0, 10}, [][]float64{{0, 0, 0, 10}}},
		{"closed", []float64{1, 1, 4, 1, 4, 7, 1, 1}, [][]float64{{1, 1, 4, 1, 4, 7, 1, 1}}},
	} {
		if got := Clipped(c.xy, box); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// Dashes of a slanted line lie on it, one behind the other, as long as the pattern says.
func TestDashesSlanted(t *testing.T) {
	const x0, y0, x1, y1 = 10, 20, 40, 60 // 50 long
	out := Dashes([]float64{x0, y0, x1, y1}, []float64{6, 4})
	if len(out) != 5 {
		t.Fatalf("%v", out)
	}
	for k, d := range out {
		for i, at := range []float64{float64(10 * k), float64(10*k + 6)} {
			x, y := d[2*i], d[2*i+1]
			if wx, wy := x0+0.6*at, y0+0.8*at; len(d) != 4 || math.Hypot(x-wx, y-wy) > 1e-9 {
				t.Errorf("dash %d: (%g, %g), want (%g, %g)", k, x, y, wx, wy)
			}
		}
	}
}
