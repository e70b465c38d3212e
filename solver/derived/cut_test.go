package derived

import (
	"math"
	"slices"
	"testing"
)

// TestCut: a stretch ends at the last number before a change of sign and goes on at the next number where the function
// is not 0; at an end of a stretch nothing is left beyond it, and at a break the place is as uncertain on both sides.
func TestCut(t *testing.T) {
	after := func(x float64) float64 { return math.Nextafter(x, 9) }
	one := []stretch{{0, 1, 0, 1, 0, 0}}
	two := []stretch{{0, 1, 0, 1, 0, 0}, {1, 2, 1, 2, 0.25, 0}}
	at := func(x, miss float64, part int) change {
		return change{lo: x, hi: after(x), after: after(x), miss: miss, part: part}
	}
	between := at(1, 0.5, 0)
	between.between = true
	for what, c := range map[string]struct {
		parts []stretch
		list  []change
		want  []stretch
	}{
		"none": {one, nil, one},
		"one": {one, []change{at(0.3, 1e-6, 0)},
			[]stretch{{0, after(0.3), 0, 0.3, 0, 1e-6}, {after(0.3), 1, after(0.3), 1, 1e-6, 0}}},
		"a stretch where it is 0": {one, []change{{lo: 0.3, hi: after(0.3), after: 0.4, miss: 1e-6}},
			[]stretch{{0, after(0.3), 0, 0.3, 0, 1e-6}, {after(0.3), 1, 0.4, 1, 1e-6, 0}}},
		"two, in another order": {one, []change{at(0.6, 2e-6, 0), at(0.3, 1e-6, 0)},
			[]stretch{{0, after(0.3), 0, 0.3, 0, 1e-6}, {after(0.3), after(0.6), after(0.3), 0.6, 1e-6, 2e-6},
				{after(0.6), 1, after(0.6), 1, 2e-6, 0}}},
		"at the left end": {one, []change{at(0, 1e-6, 0)}, []stretch{{0, 1, after(0), 1, 1e-6, 0}}},
		"at the right end": {one, []change{{lo: 0.9, hi: after(0.9), after: 1, miss: 1e-6}}, []stretch{{0, 1, 0, 0.9, 0,
			1e-6}}},
		"at a break": {two, []change{between}, []stretch{{0, 1, 0, 1, 0, 0.5}, {1, 2, 1, 2, 0.5, 0}}},
		"in the second": {two, []change{at(1.5, 1e-6, 1)}, []stretch{{0, 1, 0, 1, 0, 0},
			{1, after(1.5), 1, 1.5, 0.25, 1e-6}, {after(1.5), 2, after(1.5), 2, 1e-6, 0}}},
	} {
		if got := cut(slices.Clone(c.parts), c.list); !slices.Equal(got, c.want) {
			t.Errorf("%s:\n%v, want\n%v", what, got, c.want)
		}
	}
}
