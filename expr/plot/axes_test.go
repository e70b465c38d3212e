package plot

import (
	"fmt"
	"math"
	"testing"
)

// ruled remembers straight lines too.
type ruled struct {
	recorder
	lines [][4]float64
}

func (r *ruled) Line(x0, y0, x1, y1 float64, s Stroke) {
	r.lines = append(r.lines, [4]float64{x0, y0, x1, y1})
	r.recorder.Line(x0, y0, x1, y1, s)
}

// has reports whether a text ends (End) or has its middle (Middle) at x, and its foot at y or a little above.
func (r *ruled) has(x, y, size float64, a Align) bool {
	for _, b := range r.texts {
		at := b.x1
		if a == Middle {
			at = (b.x0 + b.x1) / 2
		}
		if math.Abs(at-x) < 8 && b.y1 <= y+1 && b.y1 > y-size {
			return true
		}
	}
	return false
}

// TestAxes: every tick of every axis is drawn where its value is, with a number at each of the larger ones, and the
// power of ten that they leave out stands above.
func TestAxes(t *testing.T) {
	factors, minors := 0, 0
	for _, d := range demos() {
		r := &ruled{recorder: recorder{t: t, what: d.name, scale: 1}}
		l := NewLayout(d.fig, d.view, Options{Width: 760}, r)
		l.Draw(r)
		panels := l.panels
		if l.strip != nil {
			panels = append(panels, *l.strip)
		}
		for i, p := range panels {
			what := fmt.Sprintf("%s, panel %d", d.name, i)
			for _, tick := range p.y.major {
				if !r.has(l.Left-8, p.y.px(tick.at)+middle*l.font, l.font, End) {
					t.Errorf("%s: no number at %g on the left", what, tick.at)
				}
			}
			for _, v := range p.y.minor {
				minors++
				found := false
				for _, line := range r.lines {
					found = found || line[0] == l.Left-4 && line[2] == l.Left && math.Abs(line[1]-p.y.px(v)) <= 1
				}
				if !found {
					t.Errorf("%s: no tick at %g on the left", what, v)
				}
			}
			if p.y.factor != nil {
				factors++
				found := false
				for _, b := range r.texts {
					found = found || b.x0 < l.Left && b.y1 < p.top && b.y1 > p.top-60 && b.text != ""
				}
				if !found {
					t.Errorf("%s: no power of ten above the axis", what)
				}
			}
		}
		below := panels[len(l.panels)-1].bottom
		for _, tick := range l.x.major {
			if tick.label != nil && !r.has(l.PX(tick.at), below+8+2*l.font, 3*l.font, Middle) {
				t.Errorf("%s: no number at %g below", d.name, tick.at)
			}
		}
	}
	if factors == 0 || minors == 0 {
		t.Errorf("%d powers of ten and %d small ticks in all figures", factors, minors)
	}
}
