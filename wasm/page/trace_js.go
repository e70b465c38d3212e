//go:build js && wasm

package page

import (
	"math"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/wasm/wire"
)

// tracePane shows how the solutions move with a constant: branches as curves, their folds and crossings marked. A press
// on a point makes it the answer.
type tracePane struct {
	page              *page
	part              *dom.HTMLDetailsElement
	constant          *dom.HTMLSelectElement
	from, to, against *dom.HTMLInputElement
	told, picture     element
	text, chosen      element
	place             *dom.HTMLInputElement // along all points
	shown             *wire.Trace
	width             float64 // of the picture
	suggested         string  // constant and range
	of                string  // the sheet that the trace belongs to, as it stands now
}

func (p *page) newTracePane() *tracePane {
	t := &tracePane{page: p, part: details("trace"), constant: choice("trace-constant"), from: input("trace-from"),
		to: input("trace-to"), against: input("trace-against"), told: plain("trace-told"),
		picture: plain("trace-picture"), text: plain("trace-text"), chosen: plain("trace-chosen"),
		place: input("trace-place")}
	on(t.constant.BasicHTMLElement, "input", func(*dom.BasicEvent) { t.suggest() })
	on(plain("trace-form"), "submit", func(e *dom.BasicEvent) {
		e.PreventDefault()
		t.ask()
	})
	on(t.place.BasicHTMLElement, "input", func(*dom.BasicEvent) { t.light(numeral(t.place)) })
	on(button("trace-pick").BasicHTMLElement, "click", func(*dom.BasicEvent) { t.pick() })
	onEach(plain("trace-shown").Value, "[data-trace]", "data-trace", t.take)
	on(t.picture, "pointermove", func(e *dom.BasicEvent) { t.point(e) })
	on(t.picture, "click", func(e *dom.BasicEvent) {
		if t.point(e) {
			t.pick()
		}
	})
	return t
}

// offer lists the constants of the sheet; away without any. What belongs to another sheet goes.
func (t *tracePane) offer(offered bool) {
	if t.of != t.page.sheet.text() {
		t.clear()
	}
	var options []js.Value
	had := t.constant.Value()
	for _, l := range t.page.reading.lines {
		if c := l.read.Constant; c != nil && offered {
			options = append(options, node("option", "", words(c.Name)))
		}
	}
	show(t.part.BasicHTMLElement, len(options) > 0)
	fill(t.constant.BasicHTMLElement, options...)
	if t.constant.SetValue(had); t.constant.SelectedIndex() < 0 {
		t.constant.SetSelectedIndex(0)
	}
	if t.of == "" {
		t.suggest()
	}
}

// suggest puts the range of the constant into the fields, where it is another than what was put there last.
func (t *tracePane) suggest() {
	for _, l := range t.page.reading.lines {
		if c := l.read.Constant; c != nil && c.Name == t.constant.Value() {
			ends := []float64{c.Value / 5, 2 * c.Value}
			if c.Range != nil {
				ends = c.Range
			}
			if text := c.Name + exactly(ends[0]) + " " + exactly(ends[1]); text != t.suggested {
				t.suggested = text
				t.from.SetValue(exactly(ends[0]))
				t.to.SetValue(exactly(ends[1]))
			}
		}
	}
}

// ask has the branches followed.
func (t *tracePane) ask() {
	from, to := numeral(t.from), numeral(t.to)
	if !(from != to) || math.IsNaN(from) || math.IsNaN(to) {
		setText(t.told, "Give two different numbers as the ends of the range.")
		return
	}
	if p := t.page; p.phase != current && p.phase != unsolved {
		setText(t.told, p.standing().why())
		return
	}
	t.clear()
	t.of = t.page.sheet.text()
	setText(t.told, "Following the branches …")
	q := t.page.asked
	t.page.latest[theTrace] = t.page.workers.spare(wire.Request{Kind: wire.Follow, Sheet: q.Sheet, Method: q.Method,
		Name: t.constant.Value(), From: from, To: to, Point: written(t.against.Value())})
}

// leave gives up what is being followed: it does not pause.
func (t *tracePane) leave() {
	if t.page.workers.giveUp(wire.Follow) {
		t.clear()
	}
}

func (t *tracePane) clear() {
	t.shown, t.of = nil, ""
	setText(t.told, "")
	show(plain("trace-shown"), false)
}

func (t *tracePane) set(w *wire.Trace) {
	setText(t.told, w.Fault)
	if w.Fault != "" {
		return
	}
	t.shown = w
	show(plain("trace-shown"), true)
	var lines []js.Value
	for _, l := range w.Lines {
		lines = append(lines, node("p", "", words(l)))
	}
	fill(t.text, lines...)
	t.place.Set("max", t.count()-1)
	t.draw()
	t.place.SetValue("0")
	t.light(0)
}

func (t *tracePane) count() (n int) {
	for i := range t.shown.Branches {
		n += len(t.shown.Branches[i].X)
	}
	return n
}

// Of the picture, in pixels where it is drawn: its height, the width that it may have, and what its frame leaves.
const (
	traceWidest, traceHeight          = 640, 320
	traceLeft, traceRight             = 72, 12
	traceTop, traceBottom             = 22, 34
	traceMark, traceTick, traceLetter = 4, 6, 5
)

//go:noinline
func (t *tracePane) x(v float64) float64 {
	a := t.shown.X
	return traceLeft + (t.width-traceLeft-traceRight)*(v-a.Low)/(a.High-a.Low)
}

func (t *tracePane) y(v float64) float64 {
	a := t.shown.Y
	return traceHeight - traceBottom - (traceHeight-traceTop-traceBottom)*(v-a.Low)/(a.High-a.Low)
}

// draw draws the branches.
func (t *tracePane) draw() {
	w := t.shown
	t.width = math.Max(math.Min(t.picture.GetBoundingClientRect().Width(), traceWidest), traceHeight/2)
	root := vector("svg", "viewBox", "0 0 "+hundredth(t.width)+" "+strconv.Itoa(traceHeight), "role", "img",
		"aria-label", w.Against+" against "+w.Constant)
	add := func(tag string, attributes ...string) js.Value {
		n := vector(tag, attributes...)
		root.Call("append", n)
		return n
	}
	label := func(x, y float64, anchor, text string) {
		n := add("text", "x", hundredth(x), "y", hundredth(y), "text-anchor", anchor)
		n.Set("textContent", text)
	}
	bottom, right := float64(traceHeight-traceBottom), t.width-traceRight
	for i, v := range w.X.At {
		add("path", "class", "grid", "d", "M"+hundredth(t.x(v))+" "+strconv.Itoa(traceTop)+"V"+hundredth(bottom))
		label(t.x(v), bottom+3*traceTick, "middle", w.X.Labels[i])
	}
	for i, v := range w.Y.At {
		add("path", "class", "grid", "d", "M"+strconv.Itoa(traceLeft)+" "+hundredth(t.y(v))+"H"+hundredth(right))
		label(traceLeft-traceTick, t.y(v)+traceLetter, "end", w.Y.Labels[i])
	}
	label(right, traceHeight-2, "end", w.Constant)
	label(traceLeft, traceTop-traceTick-2, "middle", w.Against)
	for _, b := range w.Branches {
		var d strings.Builder
		for k := range b.X {
			command := "L"
			if k == 0 {
				command = "M"
			}
			d.WriteString(command + hundredth(t.x(b.X[k])) + " " + hundredth(t.y(b.Y[k])))
		}
		add("path", "class", "branch", "d", d.String())
	}
	for _, s := range w.Specials {
		class := "crossing"
		if s.Fold {
			class = "fold"
		}
		add("circle", "class", class, "cx", hundredth(t.x(s.X)), "cy", hundredth(t.y(s.Y)), "r", "5")
	}
	add("circle", "class", "here", "r", strconv.Itoa(traceMark))
	fill(t.picture, root)
}

// take copies or saves what is shown.
func (t *tracePane) take(as string) {
	name := "nodespan-" + t.shown.Constant + "." + as
	switch as {
	case "csv":
		save(wire.File{Name: name, Media: "text/csv"}, strings.ReplaceAll(t.shown.Table, "\t", ","))
	case "svg":
		save(wire.File{Name: name, Media: "image/svg+xml"}, t.standalone())
	default:
		copyText(t.shown.Table, t.told, "Copied "+strconv.Itoa(t.count())+" points")
		return
	}
	setText(t.told, "Asked the browser to save "+name)
}

// standalone is the picture as a file: what the page's style says of each element stands with it.
func (t *tracePane) standalone() string {
	drawn := t.picture.Get("firstElementChild")
	alone := drawn.Call("cloneNode", true)
	from, to := drawn.Call("querySelectorAll", "*"), alone.Call("querySelectorAll", "*")
	for i := range from.Length() {
		style := js.Global().Call("getComputedStyle", from.Index(i))
		for _, name := range []string{"fill", "stroke", "stroke-width", "font-size", "font-family"} {
			to.Index(i).Call("setAttribute", name, style.Call("getPropertyValue", name))
		}
	}
	return js.Global().Get("XMLSerializer").New().Call("serializeToString", alone).String()
}

// at is the branch and the place of a point, counted through all.
func (t *tracePane) at(n int) (branch, place int) {
	for i := range t.shown.Branches {
		if k := len(t.shown.Branches[i].X); n >= k {
			n -= k
			continue
		}
		return i, n
	}
	return 0, 0
}

// light marks a point and tells it.
func (t *tracePane) light(n float64) {
	if t.shown == nil || t.count() == 0 {
		return
	}
	i, k := t.at(int(n))
	b := &t.shown.Branches[i]
	mark := t.picture.Call("querySelector", ".here")
	mark.Call("setAttribute", "cx", hundredth(t.x(b.X[k])))
	mark.Call("setAttribute", "cy", hundredth(t.y(b.Y[k])))
	setText(t.chosen, b.Words[k])
	t.place.SetAttribute("aria-valuetext", b.Words[k])
}

// point marks the point nearest to the pointer, and reports whether there is one.
func (t *tracePane) point(e *dom.BasicEvent) bool {
	const near = 24
	x, y := place(e, t.picture)
	scale := t.width / t.picture.GetBoundingClientRect().Width()
	n, best, least := 0, -1, near*scale
	for i := range t.shown.Branches {
		for k, v := range t.shown.Branches[i].X {
			off := math.Hypot(t.x(v)-x*scale, t.y(t.shown.Branches[i].Y[k])-y*scale)
			if off < least {
				best, least = n, off
			}
			n++
		}
	}
	if best >= 0 {
		t.place.SetValue(strconv.Itoa(best))
		t.light(float64(best))
	}
	return best >= 0
}

// pick asks for the sheet that leads to the point that is marked.
func (t *tracePane) pick() {
	if t.of != t.page.sheet.text() {
		setText(t.told, "The sheet has changed; follow the branches anew.")
		return
	}
	i, k := t.at(int(numeral(t.place)))
	t.page.latest[thePick] = t.page.workers.spare(wire.Request{Kind: wire.Pick, Sheet: t.of, Branch: i, Place: k})
}

// picked makes it the answer.
func (t *tracePane) picked(r wire.Reply) {
	if r.Value != nil {
		setText(t.told, r.Value.Fault)
		return
	}
	if t.shown != nil && t.of == t.page.sheet.text() {
		t.of = r.Text
		t.page.putSheet(r.Text)
	}
}
