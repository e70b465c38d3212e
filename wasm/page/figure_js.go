//go:build js && wasm

package page

import (
	"math"
	"strconv"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/expr/plot"
	"nodespan/wasm/wire"
)

// figurePane draws the solution and the residual strip, and lets them be read and zoomed.
//
// Three canvases: the figure, the strip below it, and over both a transparent one for what moves with
// the pointer, so that the curves are drawn only when they change.
type figurePane struct {
	section, drawing, readout element
	text, canvas              element
	shadeText, zoomed         element
	derivatives, errors       *dom.HTMLInputElement
	derivativesLabel          element
	errorsPart                element
	reset, larger             *dom.HTMLButtonElement

	figure, strip, overlay *canvasPainter

	curves  *wire.Curves
	plotted *plot.Figure
	layout  *plot.Layout
	view    plot.View
	dimmed  bool
	large   bool
	flat    bool    // its height follows from its width alone, and it has no strip unless this is shown
	above   float64 // pixels of the page above it
	palette plot.Palette

	reading  *plot.Reading
	selected *[2]float64
	lit      *int               // the node of the row that is pointed at in the node table
	fingers  map[int][2]float64 // where the fingers are, by pointer
	pressed  float64            // where a drag began, in pixels; NaN for none
	resample *timer
	frame    *frameRequest

	own       *wire.Comparison // the reader's own numbers; nil for none
	exactness *wire.Exactness  // the difference to the sheet's exact solution; nil for none

	read    func(x float64)        // the value at x is wanted in words
	sample  func(from, to float64) // the curves are wanted for a part of the interval
	pointed func(node int)         // a node is pointed at; -1 for none
	drawn   func()
}

func newFigurePane() *figurePane {
	f := &figurePane{
		section: plain("figures"), drawing: plain("drawing"), readout: plain("readout"),
		text: plain("figure-text"), canvas: plain("figure"),
		errors: input("errors"), errorsPart: plain("errors-label"),
		derivatives: input("derivatives"), derivativesLabel: plain("derivatives-label"), reset: button("reset-zoom"),
		larger: button("larger"), shadeText: plain("shade-text"), zoomed: plain("zoomed"),
		figure:  newCanvasPainter(plain("figure").Value),
		strip:   newCanvasPainter(plain("residual").Value),
		overlay: newCanvasPainter(plain("overlay").Value),
		pressed: math.NaN(), fingers: map[int][2]float64{},
	}
	f.frame = newFrameRequest(f.draw)
	f.resample = newTimer(func() {
		if f.curves != nil {
			f.sample(f.view.X0, f.view.X1)
		}
	})
	if f.figure == nil || f.strip == nil || f.overlay == nil {
		f.readout.SetTextContent("This browser draws no canvas, so there is no figure; the node table says the same.")
		return f
	}
	f.listenPointer()
	f.listenRest()
	return f
}

// set shows an answer's curves.
func (f *figurePane) set(a *wire.Answer) {
	c := a.Curves
	show(f.section, c != nil)
	if c == nil {
		f.curves = nil
		return
	}
	if f.curves == nil || f.view.A != c.WholeA || f.view.B != c.WholeB || f.curves.Variable != c.Variable {
		f.view = plot.NewView(c.WholeA, c.WholeB)
	}
	f.curves, f.dimmed, f.reading, f.lit = c, false, nil, nil
	f.canvas.SetAttribute("aria-valuemin", exactly(c.WholeA))
	f.canvas.SetAttribute("aria-valuemax", exactly(c.WholeB))
	f.canvas.SetAttribute("aria-valuenow", exactly(c.WholeA))
	f.canvas.SetAttribute("aria-valuetext", notRead)
	if !a.HasExact {
		f.setError(nil)
	}
	setText(f.readout, "")
	more := false
	for _, column := range c.Columns {
		more = more || column.Derivative > 0
	}
	show(f.derivativesLabel, more)
	if !f.view.Whole() {
		f.sample(f.view.X0, f.view.X1)
	}
	f.draw()
}

// setWindow shows the curves of a part of the interval.
func (f *figurePane) setWindow(c *wire.Curves) {
	if f.curves == nil || c.WholeA != f.view.A || c.WholeB != f.view.B {
		return
	}
	f.curves = c
	f.redraw()
}

// setOwn shows the reader's own numbers as crosses; nil for none.
//
//go:noinline
func (f *figurePane) setOwn(c *wire.Comparison) {
	if f.own == nil && c == nil {
		return
	}
	f.own = c
	f.redraw()
}

// setError has the difference to the exact solution at hand, to be shown where it is asked for; nil for none.
func (f *figurePane) setError(e *wire.Exactness) {
	show(f.errorsPart, e != nil && len(e.X) > 1)
	if f.exactness == nil && e == nil {
		return
	}
	f.exactness = e
	if f.errors.Checked() {
		f.redraw()
	}
}

// dim draws the figure faintly, while the sheet is faulty.
//
//go:noinline
func (f *figurePane) dim(on bool) {
	if f.dimmed != on {
		f.dimmed = on
		f.redraw()
	}
}

// redraw draws at the next frame.
//
//go:noinline
func (f *figurePane) redraw() {
	f.frame.ask()
}

// build makes plot's figure of the curves.
func (f *figurePane) build() *plot.Figure {
	c := f.curves
	fig := &plot.Figure{
		Variable: c.Variable, Unit: c.Unit, A: c.WholeA, B: c.WholeB, Mesh: c.Mesh, Dimmed: f.dimmed,
	}
	if shown := !rawDoc.Get("documentElement").Get("classList").Call("contains", "no-strip").Bool(); shown {
		fig.Residual = &plot.Residual{Line: plot.Curve{X: c.ResidualX, Y: c.Residual}}
		if len(c.Worst) == 2 {
			fig.Shades = [][2]float64{{c.Worst[0], c.Worst[1]}}
		}
	}
	derivatives := f.derivatives.Checked()
	for _, column := range c.Columns {
		if column.Derivative > 0 && !derivatives {
			continue
		}
		s := plot.Series{
			Name:  column.Label,
			Unit:  column.Unit,
			Line:  plot.Curve{X: c.X, Y: column.Y},
			Nodes: plot.Curve{X: c.Nodes, Y: column.Nodes},
		}
		if len(column.Exact) == len(c.X) {
			s.Exact = plot.Curve{X: c.X, Y: column.Exact}
		}
		if f.own != nil {
			for _, o := range f.own.Columns {
				if o.Label == column.Label {
					s.Own = plot.Curve{X: o.X, Y: o.Y}
				}
			}
		}
		fig.Series = append(fig.Series, s)
	}
	if e := f.exactness; e != nil && len(e.X) > 1 && f.errors.Checked() {
		fig.Panels = append(plot.Group(fig.Series), []int{len(fig.Series)}) // a panel of its own, whatever its scale
		fig.Series = append(fig.Series, plot.Series{Name: e.Label, Line: plot.Curve{X: e.X, Y: e.Y}})
	}
	return fig
}

func (f *figurePane) draw() {
	if f.curves == nil || f.figure == nil {
		return
	}
	width := math.Floor(f.drawing.Value.Get("clientWidth").Float())
	if width < 50 {
		return
	}
	scale := js.Global().Get("devicePixelRatio").Float()
	f.palette = currentPalette()
	f.plotted = f.build()
	o := plot.Options{Width: width, Palette: f.palette}
	o.Height, o.Most = f.heights()
	f.layout = plot.NewLayout(f.plotted, f.view, o, f.figure)
	f.figure.resize(width, f.layout.FigureHeight, scale)
	f.strip.resize(width, f.layout.Height-f.layout.FigureHeight, scale)
	f.overlay.resize(width, f.layout.Height, scale)
	f.layout.DrawFigure(f.figure)
	f.layout.DrawStrip(f.strip)
	f.drawOverlay()
	setText(f.text, plot.Describe(f.plotted, f.view))
	show(f.shadeText, len(f.plotted.Shades) > 0)
	f.tellView()
	if f.drawn != nil {
		f.drawn()
	}
}

// onPaper lays the figure out for paper; nil where there is none.
func (f *figurePane) onPaper(m plot.Measurer) *picture {
	if f.curves == nil {
		return nil
	}
	l := plot.NewLayout(f.build(), f.view, plot.Options{Width: paperWidth, Most: paperMost, Palette: plot.Print,
		FontSize: paperFont}, m)
	return &picture{l.Width, l.Height, l.Draw}
}

// beside is from which width on question and answer stand side by side, as the style sheet has it.
const beside = 1100

// heights are that of the figure where one is asked for, 0 for none, and the largest that it may choose: half the
// window, and what the answer leaves of it, so that they are in one view; in a narrow window, whose height changes with
// its keyboard, its width.
func (f *figurePane) heights() (height, most float64) {
	const least, narrow = 240, 768
	window := js.Global().Get("innerHeight").Float()
	wide := js.Global().Get("innerWidth").Float()
	switch {
	case f.flat:
		return 0, math.Min(math.Max(0.6*wide, least), 420)
	case f.large:
		return math.Max(0.85*window, least), 0
	case wide < narrow:
		return 0, math.Max(wide, least)
	}
	most = math.Floor(window / 2)
	if wide >= beside {
		most = math.Min(most, window-f.above)
	}
	return 0, math.Max(most, least)
}

// fit draws the figure anew where the answer above it has grown so that it would not be in one view with it, or
// leaves it more room again.
func (f *figurePane) fit() {
	if f.curves == nil || f.figure == nil {
		return
	}
	_, before := f.heights()
	f.above = math.Ceil(f.drawing.GetBoundingClientRect().Top()+js.Global().Get("scrollY").Float()) + 4
	if _, now := f.heights(); now != before {
		f.redraw()
	}
}

// enlarge lets the figure grow to most of the window, or shrink to what it was.
func (f *figurePane) enlarge() {
	f.large = !f.large
	text := "Larger figure"
	if f.large {
		text = "Smaller figure"
	}
	setText(f.larger.BasicHTMLElement, text)
	f.draw()
	if f.large {
		f.section.Call("scrollIntoView", map[string]any{"block": "nearest"})
	}
}

// tellView says which part of the interval is shown.
func (f *figurePane) tellView() {
	text := ""
	if !f.view.Whole() {
		text = f.curves.Variable + " from " + rounded(f.view.X0) + " to " + rounded(f.view.X1)
	}
	setText(f.zoomed, text)
	show(f.reset.BasicHTMLElement, text != "")
}

func rounded(x float64) string { return strconv.FormatFloat(x, 'g', 4, 64) }

func (f *figurePane) drawOverlay() {
	if f.layout == nil {
		return
	}
	f.overlay.clear()
	f.layout.DrawOverlay(f.overlay, plot.Overlay{Reading: f.reading, Select: f.selected, Lit: f.lit})
}

// setView zooms: at once with the points at hand, then with as many as the new scale needs.
func (f *figurePane) setView(v plot.View) {
	if v == f.view {
		return
	}
	f.view = v
	f.redraw()
	f.resample.start(60)
}

// readAt reads the figure at x.
func (f *figurePane) readAt(x float64) {
	r := f.layout.Read(x)
	f.reading = &r
	f.drawOverlay()
	f.pointed(r.Node)
	f.canvas.SetAttribute("aria-valuenow", exactly(r.X))
	f.read(r.X)
}

// stopReading takes the read-out away.
func (f *figurePane) stopReading() {
	if f.reading == nil {
		return
	}
	f.reading = nil
	f.drawOverlay()
	f.pointed(-1)
	fill(f.readout)
	f.canvas.SetAttribute("aria-valuetext", notRead)
}

// setReadout shows the value at the point that is read.
func (f *figurePane) setReadout(p *wire.Point) {
	if f.reading != nil && p.Fault == "" {
		fill(f.readout, runs(p.Runs)...)
		f.canvas.SetAttribute("aria-valuetext", f.readout.TextContent())
	}
}

// light marks a node, the pointed-at row of the node table; -1 for none.
func (f *figurePane) light(node int) {
	if f.lit = nil; node >= 0 {
		f.lit = &node
	}
	f.drawOverlay()
}

const (
	reach     = 10 // pixels within which the pointer takes hold of a node
	dragStart = 6  // pixels that a press must move to be a drag
)

// listenPointer lets the figure be read and zoomed by a pointer or fingers.
func (f *figurePane) listenPointer() {
	snap := func(px float64) float64 {
		if _, x, ok := f.layout.NearestNode(px, reach); ok {
			return x
		}
		return f.layout.X(px)
	}
	end := func() {
		f.pressed, f.selected = math.NaN(), nil
		f.drawOverlay()
	}
	on(f.drawing, "pointerdown", func(e *dom.BasicEvent) {
		pointer := e.Value
		if f.layout == nil || pointer.Get("button").Int() != 0 {
			return
		}
		x, y := place(e, f.drawing)
		if pointer.Get("pointerType").String() == "touch" {
			f.fingers[pointer.Get("pointerId").Int()] = [2]float64{x, y}
			if len(f.fingers) == 1 && f.layout.Inside(x, y) {
				f.readAt(snap(x))
			}
			return
		}
		if f.layout.Inside(x, y) {
			f.pressed = x
			f.drawing.Value.Call("setPointerCapture", pointer.Get("pointerId"))
		}
	})
	on(f.drawing, "pointermove", func(e *dom.BasicEvent) {
		if f.layout == nil {
			return
		}
		x, y := place(e, f.drawing)
		id := e.Get("pointerId").Int()
		if before, touching := f.fingers[id]; touching {
			if len(f.fingers) == 2 {
				f.pinch(id, before, [2]float64{x, y})
			} else if f.layout.Inside(x, y) {
				f.readAt(snap(x))
			}
			f.fingers[id] = [2]float64{x, y}
			return
		}
		if !math.IsNaN(f.pressed) && math.Abs(x-f.pressed) > dragStart {
			f.selected = &[2]float64{f.layout.X(f.pressed), f.layout.X(x)}
			f.stopReading()
			f.drawOverlay()
			return
		}
		if f.layout.Inside(x, y) {
			f.readAt(snap(x))
		} else {
			f.stopReading()
		}
	})
	on(f.drawing, "pointerup", func(e *dom.BasicEvent) {
		delete(f.fingers, e.Get("pointerId").Int())
		if f.selected != nil {
			f.setView(f.view.ZoomTo(f.selected[0], f.selected[1]))
		}
		end()
	})
	on(f.drawing, "pointercancel", func(e *dom.BasicEvent) {
		delete(f.fingers, e.Get("pointerId").Int())
		end()
	})
	on(f.drawing, "pointerleave", func(e *dom.BasicEvent) {
		delete(f.fingers, e.Get("pointerId").Int())
		if active(f.figure.canvas) && f.reading != nil || e.Get("pointerType").String() == "touch" {
			return // the keyboard reads on, and what a finger has read stays when it is lifted
		}
		f.stopReading()
	})
}

// listenRest hears everything but the pointer that moves: buttons, the keyboard, and what changes how the figure must
// be drawn.
func (f *figurePane) listenRest() {
	on(f.drawing, "dblclick", func(*dom.BasicEvent) { f.setView(f.view.Reset()) })
	on(f.reset.BasicHTMLElement, "click", func(*dom.BasicEvent) {
		f.setView(f.view.Reset())
		f.canvas.Focus()
	})
	on(f.larger.BasicHTMLElement, "click", func(*dom.BasicEvent) { f.enlarge() })
	on(f.derivatives.BasicHTMLElement, "input", func(*dom.BasicEvent) { f.redraw() })
	on(f.errors.BasicHTMLElement, "input", func(*dom.BasicEvent) { f.redraw() })
	onKey(f.canvas, f.key)
	on(f.canvas, "blur", func(*dom.BasicEvent) { f.stopReading() })

	// Everything that changes how the figure must be drawn.
	again := js.FuncOf(func(js.Value, []js.Value) any { f.redraw(); return nil })
	js.Global().Get("ResizeObserver").New(again).Call("observe", f.drawing.Value)
	js.Global().Call("matchMedia", "(prefers-color-scheme: dark)").Call("addEventListener", "change", again)
	rawDoc.Get("fonts").Get("ready").Call("then", again)
}

// pinch moves and magnifies by two fingers.
func (f *figurePane) pinch(id int, before, after [2]float64) {
	for other, still := range f.fingers {
		if other == id {
			continue
		}
		was, is := math.Abs(before[0]-still[0]), math.Abs(after[0]-still[0])
		v := f.view
		if was > 20 && is > 20 {
			v = v.Pinch(f.layout.X((after[0]+still[0])/2), is/was)
		}
		v = v.Pan(f.layout.X((before[0]+still[0])/2) - f.layout.X((after[0]+still[0])/2))
		f.stopReading()
		f.setView(v)
	}
}

// key reads and zooms by the keyboard.
func (f *figurePane) key(e *dom.KeyboardEvent) {
	if f.layout == nil || modified(e) {
		return
	}
	x := (f.view.X0 + f.view.X1) / 2
	if f.reading != nil {
		x = f.reading.X
	}
	step := 1.0
	if e.ShiftKey() {
		step = 10
	}
	moveTo := func(x float64) {
		if v := f.layout.Follow(x); v != f.view {
			f.view = v
			f.draw()
			f.resample.start(60)
		}
		f.readAt(x)
	}
	node := func(dir int) {
		if _, next, ok := f.layout.NextNode(x, dir); ok {
			moveTo(next)
		}
	}
	switch e.Key() {
	case "ArrowLeft":
		moveTo(f.layout.Step(x, -step))
	case "ArrowRight":
		moveTo(f.layout.Step(x, step))
	case "ArrowUp", "PageDown", "n":
		node(1)
	case "ArrowDown", "PageUp", "p":
		node(-1)
	case "Home":
		moveTo(f.view.A)
	case "End":
		moveTo(f.view.B)
	case "+", "=":
		f.setView(f.view.Pinch(x, 2))
	case "-":
		f.setView(f.view.Pinch(x, 0.5))
	case "0":
		f.setView(f.view.Reset())
	case "Escape":
		f.stopReading()
		f.setView(f.view.Reset())
	default:
		return
	}
	e.PreventDefault()
}

// notRead is the value of the figure, as a slider, before it is read.
const notRead = "not read; the arrow keys read along the curve"

// exactly writes a number so that reading it gives the same number.
func exactly(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
