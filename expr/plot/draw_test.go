package plot

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"math/rand"
	"strings"
	"testing"
)

// recorder is a painter that checks what it is given and remembers where text stands.
type recorder struct {
	t       *testing.T
	what    string
	scale   float64
	width   float64
	height  float64
	clipped bool
	calls   int
	texts   []box
	styles  map[string]bool // dashes and colours of polylines
	rules   int
}

type box struct {
	x0, y0, x1, y1 float64
	text           string
}

var _ Painter = (*recorder)(nil)

func (r *recorder) numbers(v ...float64) {
	r.calls++
	for _, n := range v {
		if !finite(n) {
			r.t.Fatalf("%s: coordinate %g", r.what, n)
		}
	}
}

func (r *recorder) stroke(s Stroke) {
	if s.Color != "" && !(s.Width > 0 && s.Width < 20 && s.Alpha > 0 && s.Alpha <= 1 && len(s.Dash)%2 == 0) {
		r.t.Fatalf("%s: stroke %+v", r.what, s)
	}
}

func (r *recorder) fill(f Fill) {
	if f.Color != "" && !(f.Alpha > 0 && f.Alpha <= 1) {
		r.t.Fatalf("%s: fill %+v", r.what, f)
	}
}

func (r *recorder) Scale() float64 { return r.scale }
func (r *recorder) Line(x0, y0, x1, y1 float64, s Stroke) {
	r.numbers(x0, y0, x1, y1)
	r.stroke(s)
	// Rules: their edges fall on device pixels.
	if s.Dash == nil && s.Width < 1.6 && (x0 == x1 || y0 == y1) {
		at := x0
		if y0 == y1 {
			at = y0
		}
		r.rules++
		for _, edge := range []float64{at - s.Width/2, at + s.Width/2} {
			if d := edge * r.scale; math.Abs(d-math.Round(d)) > 1e-6 {
				r.t.Fatalf("%s: rule at %g, %g wide, is blurred at %g device pixels per pixel", r.what, at, s.Width,
					r.scale)
			}
		}
	}
}
func (r *recorder) Polyline(xy []float64, s Stroke) {
	if len(xy) < 4 || len(xy)%2 != 0 {
		r.t.Fatalf("%s: polyline of %d numbers", r.what, len(xy))
	}
	r.numbers(xy...)
	r.stroke(s)
	if r.styles == nil {
		r.styles = map[string]bool{}
	}
	r.styles[fmt.Sprint(s.Color, s.Dash)] = true
}
func (r *recorder) Polygon(xy []float64, f Fill, s Stroke) {
	if len(xy) < 6 || len(xy)%2 != 0 {
		r.t.Fatalf("%s: polygon of %d numbers", r.what, len(xy))
	}
	r.numbers(xy...)
	r.stroke(s)
	r.fill(f)
}
func (r *recorder) Circle(x, y, radius float64, f Fill, s Stroke) {
	r.numbers(x, y, radius)
	r.stroke(s)
	r.fill(f)
	if radius <= 0 {
		r.t.Fatalf("%s: radius %g", r.what, radius)
	}
}
func (r *recorder) Text(x, y float64, text string, t TextStyle) {
	r.numbers(x, y, t.Size)
	w := r.TextWidth(text, t)
	switch t.Align {
	case Middle:
		x -= w / 2
	case End:
		x -= w
	}
	r.texts = append(r.texts, box{x, y - 0.7*t.Size, x + w, y, text})
}
func (r *recorder) TextWidth(s string, t TextStyle) float64 {
	return 0.55 * t.Size * float64(len([]rune(s)))
}
func (r *recorder) Clip(x, y, w, h float64) {
	r.numbers(x, y, w, h)
	if r.clipped || w <= 0 || h <= 0 {
		r.t.Fatalf("%s: clip %g × %g, clipped before: %t", r.what, w, h, r.clipped)
	}
	r.clipped = true
}
func (r *recorder) Unclip() {
	if !r.clipped {
		r.t.Fatalf("%s: unclip without clip", r.what)
	}
	r.clipped = false
}

// done checks what can be seen only in the end.
func (r *recorder) done(roomy bool) {
	if r.clipped {
		r.t.Errorf("%s: clip left open", r.what)
	}
	if r.rules == 0 {
		r.t.Errorf("%s: no rule drawn", r.what)
	}
	if !roomy {
		return
	}
	for i, a := range r.texts {
		if a.x0 < -0.5 || a.x1 > r.width+0.5 || a.y0 < -0.5 || a.y1 > r.height+0.5 {
			r.t.Errorf("%s: %q at %.0f … %.0f, %.0f … %.0f leaves the picture of %g × %g", r.what, a.text, a.x0, a.x1,
				a.y0, a.y1, r.width, r.height)
		}
		for _, b := range r.texts[:i] {
			if a.x0 < b.x1-0.5 && b.x0 < a.x1-0.5 && a.y0 < b.y1-0.5 && b.y0 < a.y1-0.5 {
				r.t.Errorf("%s: %q and %q overlap", r.what, a.text, b.text)
			}
		}
	}
}

func TestDrawIsSound(t *testing.T) {
	for _, d := range demos() {
		for _, w := range []float64{0, 320, 480, 760, 1100, 1600} {
			for _, scale := range []float64{1, 1.5, 2, 3} {
				r := &recorder{t: t, what: fmt.Sprintf("%s at %g px × %g", d.name, w, scale), scale: scale}
				l := NewLayout(d.fig, d.view, Options{Width: w, Palette: Dark}, r)
				r.width, r.height = l.Width, l.Height
				l.Draw(r)
				r.done(w >= 320)
				if l.Left >= l.Right || l.FigureHeight > l.Height {
					t.Errorf("%s: plot from %g to %g, %g of %g high", r.what, l.Left, l.Right, l.FigureHeight, l.Height)
				}
				// Panels are apart and inside.
				bottom := 0.0
				for _, p := range l.panels {
					if p.top < bottom || p.bottom < p.top+minPlot || p.bottom > l.FigureHeight {
						t.Errorf("%s: panel %g … %g after %g", r.what, p.top, p.bottom, bottom)
					}
					bottom = p.bottom
				}
				if l.strip != nil && (l.strip.top < l.FigureHeight || l.strip.bottom > l.Height) {
					t.Errorf("%s: strip %g … %g", r.what, l.strip.top, l.strip.bottom)
				}
				// Every overlay is sound as well, also at places that do not exist.
				for _, x := range []float64{d.fig.A, d.fig.B, d.view.X0 + 0.3*(d.view.X1-d.view.X0), math.Inf(1)} {
					reading := l.Read(x)
					for _, lit := range []int{-1, 0, 3, 1 << 30} {
						l.DrawOverlay(r, Overlay{Reading: &reading, Lit: &lit, Select: &[2]float64{x, d.fig.A}})
					}
				}
				l.DrawOverlay(r, Overlay{})
			}
		}
	}
}

// TestDrawRandom draws figures of any numbers at all.
func TestDrawRandom(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	hostile := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, math.MaxFloat64, -math.MaxFloat64, 5e-324, 1e-310}
	number := func() float64 {
		if rng.Intn(3) == 0 {
			return hostile[rng.Intn(len(hostile))]
		}
		return rng.NormFloat64() * math.Pow(10, float64(rng.Intn(600)-300))
	}
	for k := range 400 {
		lo, hi := randomRange(rng)
		curve := func() Curve {
			c := Curve{X: even(lo, hi, 1+rng.Intn(30))}
			for range c.X {
				c.Y = append(c.Y, number())
			}
			return c
		}
		fig := &Figure{Variable: "x", A: lo, B: hi, Residual: &Residual{Line: curve()},
			Mesh: even(lo, hi, rng.Intn(4)+1)}
		for range rng.Intn(7) {
			s := Series{Name: "y", Line: curve(), Nodes: curve(), Exact: curve(), Own: curve()}
			s.Band = Band{X: s.Line.X, Lo: s.Line.Y, Hi: s.Line.Y}
			fig.Series = append(fig.Series, s)
		}
		v := NewView(lo, hi)
		if rng.Intn(2) == 0 {
			v = v.Pinch(lo+rng.Float64()*(hi-lo), 20)
		}
		r := &recorder{t: t, what: fmt.Sprint("random ", k), scale: 1}
		l := NewLayout(fig, v, Options{Width: 100 + 1000*rng.Float64(), Height: 1000 * rng.Float64()}, r)
		l.Draw(r)
		r.done(false)
		reading := l.Read(lo)
		l.DrawOverlay(r, Overlay{Reading: &reading})
		if s := Describe(fig, v); s == "" || strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
			t.Errorf("described as %q", s)
		}
	}
}

func TestDrawnTwiceIsTheSame(t *testing.T) {
	for _, d := range demos() {
		var files [2][]byte
		for i := range files {
			s := NewSVG(700, 400, "")
			NewLayout(d.fig, d.view, Options{Width: 700}, s).Draw(s)
			files[i] = s.Bytes()
		}
		if !bytes.Equal(files[0], files[1]) {
			t.Errorf("%s: two drawings differ", d.name)
		}
	}
}

// TestPartsMakeTheWhole draws figure and strip apart and together: the same number of things.
func TestPartsMakeTheWhole(t *testing.T) {
	for _, d := range demos() {
		whole := &recorder{t: t, what: d.name, scale: 1}
		l := NewLayout(d.fig, d.view, Options{Width: 800}, whole)
		l.Draw(whole)
		parts := &recorder{t: t, what: d.name, scale: 1}
		l.DrawFigure(parts)
		first := len(parts.texts)
		l.DrawStrip(parts)
		if parts.calls != whole.calls+1 { // one background more
			t.Errorf("%s: %d calls for the parts, %d for the whole", d.name, parts.calls, whole.calls)
		}
		for i := first; i < len(parts.texts); i++ {
			a, b := parts.texts[i], whole.texts[i]
			if a.text != b.text || math.Abs(a.y0+l.FigureHeight-b.y0) > 1e-9 {
				t.Errorf("%s: %q at %g in the strip, %g in the whole", d.name, a.text, a.y0, b.y0)
			}
		}
	}
}

func TestHeight(t *testing.T) {
	d := demos()[0]
	for _, h := range []float64{300, 420, 900} {
		l := NewLayout(d.fig, d.view, Options{Width: 700, Height: h}, digitWidths{})
		if math.Abs(l.Height-h) > 3 { // whole pixels
			t.Errorf("asked for a height of %g, got %g", h, l.Height)
		}
	}
	if l := NewLayout(d.fig, d.view, Options{Width: 700, Height: 1}, digitWidths{}); l.panels[0].bottom-
		l.panels[0].top < minPlot {
		t.Error("a height too small makes the plot vanish")
	}
}

// TestCurvesOfAPanelDiffer holds dashes and colours of five curves apart, each in more than colour.
func TestCurvesOfAPanelDiffer(t *testing.T) {
	seen := map[string]bool{}
	for _, d := range dashes {
		seen[fmt.Sprint(d)] = true
	}
	if len(seen) != len(dashes) {
		t.Errorf("only %d different dashes", len(seen))
	}
	for _, d := range demos() {
		if d.name != "five" {
			continue
		}
		r := &recorder{t: t, what: d.name, scale: 1}
		NewLayout(d.fig, d.view, Options{Width: 700}, r).Draw(r)
		if len(r.styles) != 5 {
			t.Errorf("five curves in %d styles", len(r.styles))
		}
	}
	// Markers: five shapes.
	shapes := map[string]bool{}
	for rank := range dashes {
		s := NewSVG(20, 20, "")
		l := &Layout{fig: &Figure{}, pal: Palette{Paper: "#ffffff",
			Curves: [5]string{"#000000", "#000000", "#000000", "#000000", "#000000"}}}
		l.pen(s, 0).marker(10, 10, 4, rank)
		shapes[string(s.Bytes())] = true
	}
	if len(shapes) != len(dashes) {
		t.Errorf("only %d different markers", len(shapes))
	}
}

// TestExactIsSeen holds the exact solution apart from what is under it: dark on paper, light on the curve.
func TestExactIsSeen(t *testing.T) {
	for _, c := range []struct{ name, color string }{{"fin", Light.Paper}, {"coarse", Light.Ink}} {
		found := false
		for _, d := range demos() {
			if d.name == c.name {
				found = true
				r := &recorder{t: t, what: d.name, scale: 1}
				NewLayout(d.fig, d.view, Options{Width: 700}, r).Draw(r)
				if !r.styles[fmt.Sprint(c.color, exactDash)] {
					t.Errorf("%s: no dashed line in %s among %v", c.name, c.color, r.styles)
				}
			}
		}
		if !found {
			t.Errorf("no figure %q", c.name)
		}
	}
}

func TestSVGIsWellFormed(t *testing.T) {
	all := append([]demo(nil), demos()...)
	nasty := *all[0].fig
	nasty.Variable = "<x>&\"'\x00\xff]]>"
	nasty.Series = append([]Series(nil), nasty.Series...)
	nasty.Series[0].Name = "</svg><script>y"
	all = append(all, demo{"nasty", &nasty, all[0].view})
	for _, d := range all {
		s := NewSVG(500, 300, "a <title> & more\x01")
		l := NewLayout(d.fig, d.view, Options{Width: 500}, s)
		l.Draw(s)
		dec := xml.NewDecoder(bytes.NewReader(s.Bytes()))
		elements := map[string]int{}
		for {
			tok, err := dec.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", d.name, err)
			}
			if e, ok := tok.(xml.StartElement); ok {
				elements[e.Name.Local]++
				for _, a := range e.Attr {
					if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
						t.Errorf("%s: %s=%q", d.name, a.Name.Local, a.Value)
					}
				}
			}
		}
		if elements["svg"] != 1 || elements["title"] != 1 || elements["script"] != 0 || elements["text"] == 0 {
			t.Errorf("%s: elements %v", d.name, elements)
		}
	}
}

// TestDense draws far more points than pixels: few are left, and all heights are covered.
func TestDense(t *testing.T) {
	for _, d := range demos() {
		if d.name != "dense" {
			continue
		}
		longest, lo, hi := 0, math.Inf(1), math.Inf(-1)
		p := &polylines{recorder: recorder{t: t, what: d.name, scale: 1}, see: func(xy []float64) {
			longest = max(longest, len(xy)/2)
			for i := 1; i < len(xy); i += 2 {
				lo, hi = math.Min(lo, xy[i]), math.Max(hi, xy[i])
			}
		}}
		l := NewLayout(d.fig, d.view, Options{Width: 600}, p)
		l.Draw(p)
		y := l.panels[0].y
		if longest == 0 || longest > 4*600+8 {
			t.Errorf("%d points for 600 pixels", longest)
		}
		if math.Abs(lo-y.px(999)) > 1e-9 || math.Abs(hi-y.px(0)) > 1e-9 {
			t.Errorf("drawn from %g to %g, want %g to %g", lo, hi, y.px(999), y.px(0))
		}
	}
}

type polylines struct {
	recorder
	see func([]float64)
}

func (p *polylines) Polyline(xy []float64, s Stroke) { p.see(xy) }

func TestDrawingLeavesTheFigureAlone(t *testing.T) {
	before, after := makeDemos(), makeDemos()
	for i, d := range after {
		s := NewSVG(500, 300, "")
		l := NewLayout(d.fig, d.view, Options{Width: 500}, s)
		l.Draw(s)
		if numbersOf(d.fig) != numbersOf(before[i].fig) {
			t.Errorf("%s: the figure was changed", d.name)
		}
	}
}

// numbersOf prints all of a figure: NaN, which differs from itself, is compared as text.
func numbersOf(fig *Figure) string {
	f := *fig
	f.Residual = nil
	s := fmt.Sprintf("%+v", f)
	if fig.Residual != nil {
		s += fmt.Sprintf("%+v", *fig.Residual)
	}
	return s
}

// nowhere is a painter without cost, to measure the drawing alone.
type nowhere struct{ digitWidths }

func (nowhere) Scale() float64                              { return 2 }
func (nowhere) Line(x0, y0, x1, y1 float64, s Stroke)       {}
func (nowhere) Polyline(xy []float64, s Stroke)             {}
func (nowhere) Polygon(xy []float64, f Fill, s Stroke)      {}
func (nowhere) Circle(x, y, r float64, f Fill, s Stroke)    {}
func (nowhere) Text(x, y float64, text string, t TextStyle) {}
func (nowhere) Clip(x, y, w, h float64)                     {}
func (nowhere) Unclip()                                     {}

func BenchmarkRedraw(b *testing.B) {
	x := even(0, 1, 1999)
	s := Series{Name: "y", Line: Curve{X: x}, Nodes: Curve{X: legendre5}}
	for _, v := range x {
		s.Line.Y = append(s.Line.Y, math.Sin(20*v))
	}
	for _, v := range legendre5 {
		s.Nodes.Y = append(s.Nodes.Y, math.Sin(20*v))
	}
	s.Exact = s.Line
	fig := &Figure{Variable: "x", A: 0, B: 1, Series: []Series{s}, Residual: &Residual{Line: Curve{X: x, Y: x}}}
	b.Run("points=2000/painter=none", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			NewLayout(fig, NewView(0, 1), Options{Width: 1000}, nowhere{}).Draw(nowhere{})
		}
	})
	b.Run("points=2000/painter=svg", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			p := NewSVG(1000, 500, "")
			NewLayout(fig, NewView(0, 1), Options{Width: 1000}, p).Draw(p)
		}
	})
	b.Run("points=2000/part=overlay", func(b *testing.B) {
		l := NewLayout(fig, NewView(0, 1), Options{Width: 1000}, nowhere{})
		b.ReportAllocs()
		for b.Loop() {
			r := l.Read(0.3)
			l.DrawOverlay(nowhere{}, Overlay{Reading: &r})
		}
	})
}
