//go:build js && wasm

package page

import (
	"strconv"
	"syscall/js"

	"nodespan/expr/plot"
)

// canvasPainter is plot's surface on a canvas. Its unit is the CSS pixel; the canvas has the device's own.
type canvasPainter struct {
	canvas, context js.Value
	scale           float64
	buffer          []byte // a path as text, reused

	// The state of the context, so that it is set only when it changes: every call out of WebAssembly counts.
	fill, stroke, font, align string
	width, alpha              float64
	dash                      string
	widths                    map[string]float64 // of text, by font and text
}

var _ plot.Painter = (*canvasPainter)(nil)

// newCanvasPainter returns nil where the browser has no canvas.
func newCanvasPainter(canvas js.Value) *canvasPainter {
	context := canvas.Call("getContext", "2d")
	if !context.Truthy() {
		return nil
	}
	return &canvasPainter{canvas: canvas, context: context, scale: 1, widths: map[string]float64{}}
}

// resize gives the canvas a size in CSS pixels and clears it.
func (p *canvasPainter) resize(width, height, scale float64) {
	p.scale = scale
	p.canvas.Set("width", int(width*scale+0.5))
	p.canvas.Set("height", int(height*scale+0.5))
	style := p.canvas.Get("style")
	style.Call("setProperty", "width", strconv.FormatFloat(width, 'f', -1, 64)+"px")
	style.Call("setProperty", "height", strconv.FormatFloat(height, 'f', -1, 64)+"px")
	p.context.Call("setTransform", scale, 0, 0, scale, 0, 0)
	// Setting the width of a canvas resets its state.
	p.fill, p.stroke, p.font, p.align, p.dash, p.width, p.alpha = "", "", "", "", "", -1, -1
	p.context.Set("lineJoin", "round")
	p.context.Set("lineCap", "round")
}

func (p *canvasPainter) clear() {
	p.context.Call("clearRect", 0, 0, p.canvas.Get("width").Float()/p.scale, p.canvas.Get("height").Float()/p.scale)
}

func (p *canvasPainter) Scale() float64 { return p.scale }

//go:noinline
func (p *canvasPainter) set(name, value string, now *string) {
	if *now != value {
		*now = value
		p.context.Set(name, value)
	}
}

//go:noinline
func (p *canvasPainter) setAlpha(a float64) {
	if p.alpha != a {
		p.alpha = a
		p.context.Set("globalAlpha", a)
	}
}

func (p *canvasPainter) prepare(s plot.Stroke) {
	p.set("strokeStyle", s.Color, &p.stroke)
	if p.width != s.Width {
		p.width = s.Width
		p.context.Set("lineWidth", s.Width)
	}
	dash := ""
	lengths := make([]any, len(s.Dash))
	for i, d := range s.Dash {
		dash += strconv.FormatFloat(d, 'g', -1, 64) + " "
		lengths[i] = d
	}
	if p.dash != dash {
		p.dash = dash
		p.context.Call("setLineDash", lengths)
	}
	p.setAlpha(s.Alpha)
}

// path makes a path from points by way of its text: one call out of WebAssembly for a whole curve
// instead of one for each point.
func (p *canvasPainter) path(xy []float64, closed bool) js.Value {
	b := p.buffer[:0]
	for i := 0; i+1 < len(xy); i += 2 {
		switch i {
		case 0:
			b = append(b, 'M')
		default:
			b = append(b, 'L')
		}
		b = strconv.AppendFloat(b, xy[i], 'f', 2, 64)
		b = append(b, ' ')
		b = strconv.AppendFloat(b, xy[i+1], 'f', 2, 64)
	}
	if closed {
		b = append(b, 'Z')
	}
	p.buffer = b
	return js.Global().Get("Path2D").New(string(b))
}

// Line draws one straight line.
func (p *canvasPainter) Line(x0, y0, x1, y1 float64, s plot.Stroke) {
	if s.Color == "" {
		return
	}
	p.prepare(s)
	p.context.Call("beginPath")
	p.context.Call("moveTo", x0, y0)
	p.context.Call("lineTo", x1, y1)
	p.context.Call("stroke")
}

// Polyline draws an open line.
func (p *canvasPainter) Polyline(xy []float64, s plot.Stroke) {
	if s.Color == "" {
		return
	}
	p.prepare(s)
	p.context.Call("stroke", p.path(xy, false))
}

// Polygon fills and outlines a closed line.
func (p *canvasPainter) Polygon(xy []float64, f plot.Fill, s plot.Stroke) {
	path := p.path(xy, true)
	if f.Color != "" {
		p.set("fillStyle", f.Color, &p.fill)
		p.setAlpha(f.Alpha)
		p.context.Call("fill", path)
	}
	if s.Color != "" {
		p.prepare(s)
		p.context.Call("stroke", path)
	}
}

// Circle fills and outlines a circle.
func (p *canvasPainter) Circle(x, y, r float64, f plot.Fill, s plot.Stroke) {
	p.context.Call("beginPath")
	p.context.Call("arc", x, y, r, 0, 6.283185307179586)
	if f.Color != "" {
		p.set("fillStyle", f.Color, &p.fill)
		p.setAlpha(f.Alpha)
		p.context.Call("fill")
	}
	if s.Color != "" {
		p.prepare(s)
		p.context.Call("stroke")
	}
}

// The families of the style sheet.
var families = [...]string{
	plot.Sans:  `system-ui, sans-serif`,
	plot.Serif: `"Nodespan Math", serif`,
	plot.Mono:  `ui-monospace, monospace`,
}

func fontOf(t plot.TextStyle) string {
	font := strconv.FormatFloat(t.Size, 'f', 2, 64) + "px " + families[t.Family]
	if t.Italic {
		font = "italic " + font
	}
	return font
}

// Text writes one line of text.
func (p *canvasPainter) Text(x, y float64, text string, t plot.TextStyle) {
	p.set("font", fontOf(t), &p.font)
	p.set("fillStyle", t.Color, &p.fill)
	p.set("textAlign", [...]string{plot.Start: "left", plot.Middle: "center", plot.End: "right"}[t.Align], &p.align)
	p.setAlpha(t.Alpha)
	p.context.Call("fillText", text, x, y)
}

// TextWidth returns the advance width in CSS pixels.
func (p *canvasPainter) TextWidth(text string, t plot.TextStyle) float64 {
	font := fontOf(t)
	key := font + "\x00" + text
	if w, known := p.widths[key]; known {
		return w
	}
	p.set("font", font, &p.font)
	w := p.context.Call("measureText", text).Get("width").Float()
	if len(p.widths) > 4000 {
		clear(p.widths)
	}
	p.widths[key] = w
	return w
}

// Clip limits what follows to a rectangle, until Unclip.
func (p *canvasPainter) Clip(x, y, w, h float64) {
	p.context.Call("save")
	p.context.Call("beginPath")
	p.context.Call("rect", x, y, w, h)
	p.context.Call("clip")
}

// Unclip ends the clip, and with it everything that was set since.
func (p *canvasPainter) Unclip() {
	p.context.Call("restore")
	p.fill, p.stroke, p.font, p.align, p.dash, p.width, p.alpha = "", "", "", "", "?", -1, -1
}
