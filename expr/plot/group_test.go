package plot

import (
	"slices"
	"testing"
)

// TestGroupRanges: a panel holds series whose ranges together are at most five times the least of them, which is that
// of all that have joined before.
func TestGroupRanges(t *testing.T) {
	for _, c := range []struct {
		what string
		of   [][2]float64 // least and largest value of each series
		want [][]int
	}{
		{"alike", [][2]float64{{0, 1}, {0, 2}, {-1, 1}}, [][]int{{0, 1, 2}}},
		{"one is larger", [][2]float64{{0, 1}, {0, 100}, {0, 2}, {20, 80}}, [][]int{{0, 2}, {1, 3}}},
		{"five times as large", [][2]float64{{0, 1}, {0, 5}}, [][]int{{0, 1}}},
		{"a little more", [][2]float64{{0, 1}, {0, 5.1}}, [][]int{{0}, {1}}},
		{"a chain, each four times the one before", [][2]float64{{0, 1}, {0, 4}, {0, 16}}, [][]int{{0, 1}, {2}}},
		{"a chain downwards", [][2]float64{{0, 16}, {0, 4}, {0, 1}}, [][]int{{0, 1}, {2}}},
		{"far apart", [][2]float64{{0, 1}, {3, 4}, {7, 8}}, [][]int{{0, 1}, {2}}},
		{"one beyond what two span", [][2]float64{{0, 1}, {4, 5}, {-0.5, 0.5}}, [][]int{{0, 1}, {2}}},
		{"large beside a small one", [][2]float64{{0, 5}, {0, 1}, {0, 6}}, [][]int{{0, 1}, {2}}},
		{"constants", [][2]float64{{0, 1}, {2, 2}, {9, 9}}, [][]int{{0, 1}, {2}}},
		{"a constant first", [][2]float64{{3, 3}, {0, 1}, {0, 0.5}}, [][]int{{0, 1}, {2}}},
		{"six", [][2]float64{{0, 1}, {0, 1}, {0, 1}, {0, 1}, {0, 1}, {0, 1}}, [][]int{{0, 1, 2, 3, 4}, {5}}},
	} {
		var list []Series
		for _, r := range c.of {
			list = append(list, Series{Line: Curve{X: []float64{0, 1}, Y: []float64{r[0], r[1]}}})
		}
		if got := Group(list); !slices.EqualFunc(got, c.want, slices.Equal) {
			t.Errorf("%s: %v, want %v", c.what, got, c.want)
		}
	}
}
