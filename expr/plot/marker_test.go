package plot

import "testing"

// Markers shrink as they come closer to each other, and go before they touch.
func TestMarkerSize(t *testing.T) {
	l := &Layout{Left: 20, Right: 260}
	for _, c := range []struct {
		nodes int
		want  float64
	}{{0, 3.4}, {1, 3.4}, {20, 3.4}, {24, 3.4 * 10 / 12}, {40, 3.4 * 6 / 12}, {60, 1.4}, {68, 1.4}, {69, 0},
		{1000, 0}} {
		if got := l.markerSize(c.nodes); got < c.want-1e-12 || got > c.want+1e-12 {
			t.Errorf("%d nodes on 240 pixels: %g, want %g", c.nodes, got, c.want)
		}
	}
}
