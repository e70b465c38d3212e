package plot

import (
	"math"
	"testing"
)

func TestPixelsAndValues(t *testing.T) {
	for _, d := range demos() {
		l := NewLayout(d.fig, d.view, Options{Width: 800}, digitWidths{})
		span := d.view.X1 - d.view.X0
		for i := 0.0; i <= 10; i++ {
			x := d.view.X0 + span*(i/10)
			if got := l.X(l.PX(x)); math.Abs(got-x) > 1e-12*span+1e-15*math.Abs(x)*4 {
				t.Errorf("%s: %g comes back as %g", d.name, x, got)
			}
		}
		if l.X(-1e9) != d.view.X0 || l.X(1e9) != d.view.X1 {
			t.Errorf("%s: places beside the axis are not clamped", d.name)
		}
	}
}

func TestReading(t *testing.T) {
	fin := demos()[0]
	l := NewLayout(fin.fig, fin.view, Options{Width: 800}, digitWidths{})
	f := func(x float64) float64 { return math.Cosh(2.5*(1-x)) / math.Cosh(2.5) }

	// At a node: its index, its own value, no loss of digits.
	r := l.Read(legendre5[2])
	if r.Node != 2 || r.Values[0].Y != f(legendre5[2]) || r.Values[0].Step != 0 {
		t.Errorf("at node 2: %+v", r)
	}
	// Between nodes: no node, right to the height of a pixel.
	r = l.Read(0.4)
	if v := r.Values[0]; r.Node != -1 || math.Abs(v.Y-f(0.4)) > v.Step || v.Step <= 0 ||
		math.Abs(v.Exact-f(0.4)) > v.Step {
		t.Errorf("at 0.4: %+v, want %g", r, f(0.4))
	}
	want := 3e-4
	for _, n := range legendre5[1:6] {
		want *= math.Abs((0.4 - n) / 0.3)
	}
	if math.Abs(r.Residual-want) > 0.02*want {
		t.Errorf("residual at 0.4: %g, want %g", r.Residual, want)
	}
	if r = l.Read(7); r.X != 1 {
		t.Errorf("reading beyond the end is at %g", r.X)
	}
}

func TestNodesInReach(t *testing.T) {
	fin := demos()[0]
	l := NewLayout(fin.fig, fin.view, Options{Width: 800}, digitWidths{})
	if i, x, ok := l.NearestNode(l.PX(0.5)+3, 8); !ok || i != 3 || x != 0.5 {
		t.Errorf("near 0.5: %d, %g, %t", i, x, ok)
	}
	if _, _, ok := l.NearestNode(l.PX(0.4), 8); ok {
		t.Error("a node far away is near")
	}
	// From end to end and back by the keys.
	x, steps := 0.0, 0
	for {
		i, next, ok := l.NextNode(x, 1)
		if !ok {
			break
		}
		steps++
		if i != steps || next != legendre5[steps] {
			t.Fatalf("step %d to node %d at %g", steps, i, next)
		}
		x = next
	}
	if steps != 6 {
		t.Errorf("%d steps over 7 nodes", steps)
	}
	if i, next, ok := l.NextNode(0.6, -1); !ok || i != 3 || next != 0.5 {
		t.Errorf("back from 0.6: %d, %g, %t", i, next, ok)
	}
	if _, _, ok := l.NextNode(0, -1); ok {
		t.Error("there is a node before the first")
	}
	// A fine step is a pixel; the ends hold.
	if d := l.PX(l.Step(0.5, 1)) - l.PX(0.5); math.Abs(d-1) > 1e-9 {
		t.Errorf("a fine step is %g px", d)
	}
	if l.Step(0, -1) != 0 || l.Step(1, 5) != 1 {
		t.Error("a step leaves the interval")
	}
	// Follow pans just as far as needed.
	l = NewLayout(fin.fig, fin.view.ZoomTo(0.2, 0.4), Options{Width: 800}, digitWidths{})
	if v := l.Follow(0.5); math.Abs(v.X1-0.5) > 1e-12 || math.Abs(v.X0-0.3) > 1e-12 {
		t.Errorf("follow 0.5: %g … %g", v.X0, v.X1)
	}
	if v := l.Follow(0.3); v != l.View {
		t.Errorf("follow what is visible: %+v", v)
	}
	// Figures without nodes.
	l = NewLayout(&Figure{A: 0, B: 1}, NewView(0, 1), Options{Width: 400}, digitWidths{})
	if _, _, ok := l.NextNode(0.5, 1); ok {
		t.Error("a node where there are none")
	}
	if _, _, ok := l.NearestNode(200, 1e9); ok {
		t.Error("a near node where there are none")
	}
}

func TestInside(t *testing.T) {
	fin := demos()[0]
	l := NewLayout(fin.fig, fin.view, Options{Width: 800}, digitWidths{})
	p := l.panels[0]
	for _, c := range []struct {
		x, y float64
		want bool
	}{
		{(l.Left + l.Right) / 2, (p.top + p.bottom) / 2, true},
		{(l.Left + l.Right) / 2, (l.strip.top + l.strip.bottom) / 2, true},
		{l.Left - 5, (p.top + p.bottom) / 2, false},
		{(l.Left + l.Right) / 2, l.FigureHeight, false},
	} {
		if got := l.Inside(c.x, c.y); got != c.want {
			t.Errorf("inside(%g, %g) = %t", c.x, c.y, got)
		}
	}
}

func TestVisibleRange(t *testing.T) {
	// The y range follows the visible part and holds all of it.
	fin := demos()[0]
	for _, v := range []View{fin.view, fin.view.ZoomTo(0.2, 0.3), fin.view.ZoomTo(0.9, 1)} {
		l := NewLayout(fin.fig, v, Options{Width: 800}, digitWidths{})
		y := l.panels[0].y
		lo, hi := interpolate(fin.fig.Series[0].Line, v.X1), interpolate(fin.fig.Series[0].Line, v.X0)
		if y.lo > lo || y.hi < hi || y.hi-y.lo > 1.3*(hi-lo) {
			t.Errorf("%g … %g: y from %g to %g, the curve from %g to %g", v.X0, v.X1, y.lo, y.hi, lo, hi)
		}
	}
	for _, c := range []struct{ lo, hi, wantLo, wantHi float64 }{
		{0, 0, -1, 1}, {20, 20, 10, 30}, {-20, -20, -30, -10}, {math.Inf(1), math.Inf(-1), -1, 1},
		{1, 1 + 1e-15, 0.5, 1.5},
		{0, 100, -6, 106},
	} {
		if lo, hi := within(c.lo, c.hi); math.Abs(lo-c.wantLo) > 1e-9 || math.Abs(hi-c.wantHi) > 1e-9 {
			t.Errorf("within(%g, %g) = %g, %g", c.lo, c.hi, lo, hi)
		}
	}
}
