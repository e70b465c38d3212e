//go:build js && wasm

package page

import (
	"strconv"
	"strings"
	"syscall/js"

	"nodespan/expr/plot"
)

// Paper has no pixels of the screen's: what is drawn on canvases is drawn for it as SVG, which the style sheet shows on
// paper alone. A browser lays pages out as soon as it is told to print, so they are ready before: soon after each
// answer, and again when printing is announced.

// The widths on A4 between its margins, in CSS pixels: of the text, and of one of two columns.
const (
	paperWidth  = 672
	paperColumn = 320
	paperMost   = 340 // of the figure's height: answer and figure share a page
	paperFont   = 13  // of tick labels: their powers are 7 points high
	paperAfter  = 400 // milliseconds after the last drawing
)

// paperPane draws the figure and the ladder for paper.
type paperPane struct {
	figure, ladder element
	soon           *timer
	stale          bool // what was drawn since is not there yet
}

// newPaperPane draws by the two functions, which return nil where there is nothing to draw.
func newPaperPane(figure, ladder func(plot.Measurer) *picture) *paperPane {
	p := &paperPane{figure: plain("figure-paper"), ladder: plain("ladder-paper")}
	measurer := newCanvasPainter(node("canvas", ""))
	if measurer == nil {
		return p
	}
	draw := func() {
		if p.stale {
			p.stale = false
			p.put(p.figure, figure(measurer), measurer)
			p.put(p.ladder, ladder(measurer), measurer)
			mark("nodespan-paper")
		}
	}
	p.soon = newTimer(draw)
	listener := js.FuncOf(func(js.Value, []js.Value) any { draw(); return nil })
	js.Global().Call("addEventListener", "beforeprint", listener)
	return p
}

// renew says that something was drawn anew.
func (p *paperPane) renew() {
	if p.soon != nil {
		p.stale = true
		p.soon.start(paperAfter)
	}
}

// picture is something laid out.
type picture struct {
	width, height float64
	on            func(plot.Painter)
}

func (p *paperPane) put(e element, pic *picture, m plot.Measurer) {
	if pic == nil {
		fill(e)
		return
	}
	root := vector("svg", "viewBox", "0 0 "+exactly(pic.width)+" "+exactly(pic.height), "aria-hidden", "true")
	s := &vectorPainter{Measurer: m, id: e.ID(), root: root, into: root}
	pic.on(s)
	fill(e, root)
}

// vectorPainter is plot's surface as elements of SVG. Widths of text are those that the browser measures.
type vectorPainter struct {
	plot.Measurer
	id         string
	clips      int
	root, into js.Value
}

var _ plot.Painter = (*vectorPainter)(nil)

// vector makes an element of SVG with attributes, given as names and values.
func vector(tag string, attributes ...string) js.Value {
	n := rawDoc.Call("createElementNS", "http://www.w3.org/2000/svg", tag)
	for i := 0; i+1 < len(attributes); i += 2 {
		n.Call("setAttribute", attributes[i], attributes[i+1])
	}
	return n
}

// add adds an element with its filling and its outline.
func (s *vectorPainter) add(f plot.Fill, k plot.Stroke, tag string, attributes ...string) js.Value {
	if f.Color == "" {
		f.Color, f.Alpha = "none", 1
	}
	attributes = append(attributes, "fill", f.Color, "fill-opacity", hundredth(f.Alpha))
	if k.Color != "" {
		attributes = append(attributes, "stroke", k.Color, "stroke-width", hundredth(k.Width),
			"stroke-opacity", hundredth(k.Alpha))
		var dash []string
		for _, d := range k.Dash {
			dash = append(dash, hundredth(d))
		}
		if dash != nil {
			attributes = append(attributes, "stroke-dasharray", strings.Join(dash, " "))
		}
	}
	n := vector(tag, attributes...)
	s.into.Call("appendChild", n)
	return n
}

func hundredth(v float64) string { return strconv.FormatFloat(v, 'f', 2, 64) }

func points(xy []float64) string {
	var b []byte
	for _, v := range xy {
		b = append(strconv.AppendFloat(b, v, 'f', 2, 64), ' ')
	}
	return string(b)
}

func (s *vectorPainter) Scale() float64 { return 1 }

func (s *vectorPainter) Line(x0, y0, x1, y1 float64, k plot.Stroke) {
	s.Polyline([]float64{x0, y0, x1, y1}, k)
}

func (s *vectorPainter) Polyline(xy []float64, k plot.Stroke) {
	if k.Color != "" {
		s.add(plot.Fill{}, k, "polyline", "points", points(xy))
	}
}

func (s *vectorPainter) Polygon(xy []float64, f plot.Fill, k plot.Stroke) {
	s.add(f, k, "polygon", "points", points(xy))
}

func (s *vectorPainter) Circle(x, y, r float64, f plot.Fill, k plot.Stroke) {
	s.add(f, k, "circle", "cx", hundredth(x), "cy", hundredth(y), "r", hundredth(r))
}

func (s *vectorPainter) Text(x, y float64, text string, t plot.TextStyle) {
	anchor := [...]string{plot.Start: "start", plot.Middle: "middle", plot.End: "end"}[t.Align]
	style := "normal"
	if t.Italic {
		style = "italic"
	}
	n := s.add(plot.Fill{Color: t.Color, Alpha: t.Alpha}, plot.Stroke{}, "text", "x", hundredth(x), "y", hundredth(y),
		"font-size", hundredth(t.Size), "font-family", families[t.Family], "font-style", style, "text-anchor", anchor)
	n.Set("textContent", text)
}

func (s *vectorPainter) Clip(x, y, w, h float64) {
	s.clips++
	id := s.id + strconv.Itoa(s.clips)
	clip := vector("clipPath", "id", id)
	clip.Call("appendChild", vector("rect", "x", hundredth(x), "y", hundredth(y), "width", hundredth(w),
		"height", hundredth(h)))
	group := vector("g", "clip-path", "url(#"+id+")")
	s.root.Call("append", clip, group)
	s.into = group
}

func (s *vectorPainter) Unclip() { s.into = s.root }
