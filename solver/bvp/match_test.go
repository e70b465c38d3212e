package bvp

import (
	"slices"
	"testing"
)

// Pairings that are found by hand.
func TestMatch(t *testing.T) {
	for _, c := range []struct {
		can  []string // a row for each equation
		want []int
	}{
		{nil, []int{}},
		{[]string{"x.", ".x"}, []int{0, 1}},
		{[]string{"xx", "x."}, []int{1, 0}},
		{[]string{"xx.", "x.x", "x.."}, []int{2, 0, 1}},
		{[]string{"x..", "x..", "..x"}, []int{0, -1, 2}},
		{[]string{"..", ".."}, []int{-1, -1}},
	} {
		can := make([][]bool, len(c.can))
		for r, row := range c.can {
			for _, mark := range row {
				can[r] = append(can[r], mark == 'x')
			}
		}
		if got := Match(can); !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, not %v", c.can, got, c.want)
		}
	}
}
