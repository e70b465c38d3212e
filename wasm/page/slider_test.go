package page

import (
	"math"
	"strconv"
	"testing"
)

func TestSlider(t *testing.T) {
	for _, c := range []struct {
		s    slider
		at   int
		want string
	}{
		{slider{0.5, 5}, 0, "0.5"},
		{slider{0.5, 5}, 1000, "5"},
		{slider{0.5, 5}, 444, "2.5"},
		{slider{0.1, 10}, 500, "1"}, // logarithmic: the middle is the geometric mean
		{slider{0.1, 5}, 500, "2.55"},
		{slider{-1, 1}, 500, "0"},
		{slider{-10, -0.1}, 500, "-1"},
		{slider{1e-5, 1e-3}, 500, "1e-4"},
		{slider{192000, 1920000}, 500, "1056000"},
		{slider{0, 1}, 333, "0.333"},
	} {
		if got := c.s.value(c.at); got != c.want {
			t.Errorf("%v at %d: %s, want %s", c.s, c.at, got, c.want)
		}
	}
}

// Over whole scales: values ascend within the range, reading one gives its position back within five steps, and
// neighbours differ by no more than a few.
func TestSliderScales(t *testing.T) {
	for _, s := range []slider{{0.5, 5}, {0.1, 10}, {1e-9, 1e3}, {-3, 7}, {-1000, -1}, {299.5, 300.5}, {1, 50},
		{1, 51}} {
		before := math.Inf(-1)
		for k := range positions + 1 {
			v, err := strconv.ParseFloat(s.value(k), 64)
			if err != nil || v < s.low || v > s.high || v < before {
				t.Fatalf("%v at %d: %s after %g", s, k, s.value(k), before)
			}
			before = v
			if p := s.position(v); p < k-5 || p > k+5 {
				t.Errorf("%v: the value %g at %d is said to be at %d", s, v, k, p)
			}
		}
	}
}
