//go:build js && wasm

package page

import (
	"fmt"
	"slices"
	"strconv"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/wasm/wire"
)

// readingPane is the problem typeset, what was inferred, in words, and the sliders of its constants.
type readingPane struct {
	pane       element
	statements js.Value
	inferred   js.Value // undefined where nothing was inferred
	lines      []*readLine
	sheet      *sheetPane
	page       *page
	anew       bool // other constants have sliders now
}

// readLine is a statement of the reading. Its constant is as the text area has it.
type readLine struct {
	read    wire.Line
	node    js.Value
	math    js.Value
	slides  js.Value // the button that asks for a range; undefined for none
	scale   slider
	slider  js.Value // undefined for none, with the field for the exact value
	exactly js.Value
	kept    []js.Func
}

func newReadingPane(sheet *sheetPane, p *page) *readingPane {
	r := &readingPane{pane: plain("reading"), sheet: sheet, page: p}
	onKey(r.pane, func(e *dom.KeyboardEvent) {
		if (e.CtrlKey() || e.MetaKey()) && (e.Key() == "z" || e.Key() == "Z" || e.Key() == "y") &&
			!r.typing(e.Get("target")) {
			e.PreventDefault()
			p.settle()
			sheet.undo(e.ShiftKey() || e.Key() == "y")
		}
	})
	return r
}

// typing reports whether a field has something of its own to undo: its value was changed and not yet entered.
func (r *readingPane) typing(field js.Value) bool {
	for _, l := range r.lines {
		if l.exactly.Equal(field) {
			return field.Get("value").String() != r.sheet.source(l.read.Constant.At)
		}
	}
	return false
}

// set shows a reading. Where it has the lines of the one before, these stay, with their sliders: a slider that has the
// keyboard keeps it. The constant that was given a slider takes it.
func (r *readingPane) set(reading *wire.Reading, given string) {
	had := r.pane.Value.Call("contains", rawDoc.Get("activeElement")).Bool()
	if !r.same(reading) {
		r.build(reading)
	}
	for i, l := range r.lines {
		l.read.Span, l.read.Constant = reading.Lines[i].Span, reading.Lines[i].Constant
		l.show(reading.Lines[i].Math)
		if c := l.read.Constant; l.slider.Truthy() {
			l.scale = slider{c.Range[0], c.Range[1]}
			l.set(c.Value, r.sheet.source(c.At))
			if c.Name == given {
				l.slider.Call("focus")
			}
		}
	}
	if r.inferred.Truthy() {
		r.inferred.Call("remove")
	}
	if r.inferred = js.Undefined(); len(reading.Inferences) > 0 {
		r.inferred = inferred(reading)
		r.pane.Call("appendChild", r.inferred)
	}
	r.setPast(false)
	if had && active(rawDoc.Get("body")) { // what had the keyboard is gone
		r.sheet.area.Call("focus", map[string]any{"preventScroll": true})
	}
}

// follow shows how the formulas read while a constant moves.
func (r *readingPane) follow(reading *wire.Reading) {
	if r.same(reading) {
		for i, l := range r.lines {
			l.show(reading.Lines[i].Math)
		}
	}
}

// same reports whether a reading has the same kinds of lines as the one that is shown, with the same sliders.
func (r *readingPane) same(reading *wire.Reading) bool {
	if r.anew || len(reading.Lines) != len(r.lines) {
		return false
	}
	for i, l := range r.lines {
		a, b := l.read, reading.Lines[i]
		if a.Kind != b.Kind || (a.Constant == nil) != (b.Constant == nil) ||
			a.Constant != nil && (a.Constant.Name != b.Constant.Name ||
				len(a.Constant.Range) != len(b.Constant.Range)) {
			return false
		}
	}
	return true
}

// build makes the lines anew, still without their formulas.
func (r *readingPane) build(reading *wire.Reading) {
	before := r.lines
	r.lines, r.statements, r.anew = nil, node("div", "statements"), false
	for i, read := range reading.Lines {
		l := &readLine{read: read, node: node("div", "statement"), math: words("")}
		l.node.Call("appendChild", l.math)
		l.read.Math = nil
		toggle(l.node, "constant", read.Kind == "constant")
		l.hear(l.node, "pointerenter", func(js.Value) { r.page.point(i) })
		l.hear(l.node, "pointerleave", func(js.Value) { r.page.point(-1) })
		l.hear(l.node, "click", func(e js.Value) { r.pressed(l, e.Get("target")) })
		if c := read.Constant; c != nil && c.Range != nil && r.page.slides(c.Name) {
			r.addSlider(l)
		} else if c != nil && c.Range == nil {
			l.slides = node("button", "slides", words("slider"))
			l.slides.Set("type", "button")
			l.slides.Set("title", "Give "+c.Name+" a range to move in")
			l.slides.Call("setAttribute", "aria-label", "slider for "+c.Name)
			l.node.Call("appendChild", l.slides)
		}
		r.statements.Call("appendChild", l.node)
		r.lines = append(r.lines, l)
	}
	fill(r.pane, r.statements)
	for _, l := range before { // now that they are gone: one that had the keyboard was told so
		for _, f := range l.kept {
			f.Release()
		}
	}
}

// hear listens for as long as the line is shown.
func (l *readLine) hear(n js.Value, event string, f func(e js.Value)) {
	fn := js.FuncOf(func(_ js.Value, args []js.Value) any { f(args[0]); return nil })
	n.Call("addEventListener", event, fn)
	l.kept = append(l.kept, fn)
}

// pressed selects a statement in the sheet; a press on a constant's name, or on its button, gives it a range.
func (r *readingPane) pressed(l *readLine, target js.Value) {
	if l.slides.Truthy() && (target.Equal(l.slides) || l.named(target)) {
		r.page.slide(l.read.Constant.Name)
		return
	}
	if name := target.Get("localName").String(); name != "input" {
		r.sheet.choose(l.read.Span)
	}
}

// named reports whether an element is the name that a line begins with.
func (l *readLine) named(target js.Value) bool {
	name := l.node.Call("querySelector", "msub, mi")
	return name.Truthy() && name.Call("contains", target).Bool()
}

// addSlider gives a line the slider of its constant and a field for the exact value.
func (r *readingPane) addSlider(l *readLine) {
	name := l.read.Constant.Name
	l.slider, l.exactly = node("input", "slider"), node("input", "exactly")
	l.slider.Set("type", "range")
	l.slider.Set("min", 0)
	l.slider.Set("max", positions)
	l.slider.Call("setAttribute", "aria-label", name)
	l.exactly.Set("spellcheck", false)
	l.exactly.Set("autocomplete", "off")
	l.exactly.Set("maxLength", 60)
	l.exactly.Set("size", 8)
	l.exactly.Call("setAttribute", "aria-label", "Value of "+name)
	toggle(l.node, "slid", true)
	l.node.Call("append", l.slider, l.exactly)
	moved := func(rests bool) func(js.Value) {
		return func(js.Value) {
			at, _ := strconv.Atoi(l.slider.Get("value").String())
			text := l.scale.value(at)
			l.tell(text)
			r.page.move(l.read.Constant, text, rests)
		}
	}
	l.hear(l.slider, "input", moved(false))
	l.hear(l.slider, "change", moved(true))
	l.hear(l.slider, "blur", func(js.Value) { r.page.settle() })
	l.hear(l.exactly, "change", func(js.Value) {
		text := written(l.exactly.Get("value").String())
		if v, err := strconv.ParseFloat(text, 64); err == nil && v >= l.scale.low && v <= l.scale.high {
			setText(r.sheet.fault, "")
			r.page.write(l.read.Constant, text)
			return
		}
		setText(r.sheet.fault, fmt.Sprintf("%s takes a number from %s to %s here; the sheet says the range.", name,
			number17(l.scale.low), number17(l.scale.high)))
		l.exactly.Set("value", r.sheet.source(l.read.Constant.At))
	})
}

// show shows the formula of a line where it is another than before.
func (l *readLine) show(math *wire.Element) {
	if !same(math, l.read.Math) {
		l.read.Math = math
		now := mathML(math)
		l.math.Call("replaceWith", now)
		l.math = now
	}
}

// same reports whether two formulas are set alike.
func same(a, b *wire.Element) bool {
	if a == nil || b == nil || a.Tag != b.Tag || a.Text != b.Text || len(a.Children) != len(b.Children) {
		return false
	}
	for i, c := range a.Children {
		if !same(c, b.Children[i]) {
			return false
		}
	}
	return slices.Equal(a.Attrs, b.Attrs)
}

// set puts a slider where a value is, written as the sheet has it.
func (l *readLine) set(value float64, source string) {
	l.slider.Set("value", l.scale.position(value))
	l.tell(source)
}

func (l *readLine) tell(value string) {
	l.exactly.Set("value", value)
	l.slider.Call("setAttribute", "aria-valuetext", value)
}

// inferred is what was inferred: one line that opens, and stands open where something was taken for granted that could
// have been meant otherwise.
func inferred(reading *wire.Reading) js.Value {
	list := node("ul", "inferences")
	open := false
	for _, inference := range reading.Inferences {
		said := words(inference.Text)
		if inference.Whole != "" {
			said = node("details", "", node("summary", "", said), node("p", "whole", words(inference.Whole)))
		}
		list.Call("appendChild", node("li", "", said))
		open = open || !inference.Plain
	}
	n := node("details", "inferred", node("summary", "", words(reading.Summary)), list)
	n.Set("open", open)
	return n
}

// mark marks a line, -1 for none.
func (r *readingPane) mark(line int) {
	for i, l := range r.lines {
		toggle(l.node, "marked", i == line)
	}
}

// setPast marks the reading of the last sheet that could be read, whose sliders move nothing.
func (r *readingPane) setPast(past bool) {
	classed(r.pane, "stale", past)
	for _, l := range r.lines {
		for _, control := range []js.Value{l.slider, l.exactly, l.slides} {
			if control.Truthy() {
				control.Set("disabled", r.sheet.lines == nil)
			}
		}
	}
}

const mathNamespace = "http://www.w3.org/1998/Math/MathML"

// mathML builds the nodes of a typeset statement. Text stays text: nothing is read as HTML.
func mathML(e *wire.Element) js.Value {
	n := rawDoc.Call("createElementNS", mathNamespace, e.Tag)
	for _, a := range e.Attrs {
		n.Call("setAttribute", a.Name, a.Value)
	}
	if e.Text != "" {
		n.Set("textContent", e.Text)
	}
	for _, c := range e.Children {
		n.Call("appendChild", mathML(c))
	}
	return n
}

// faultSentence is a fault as it stands under the sheet.
func faultSentence(f wire.Fault) string {
	s := fmt.Sprintf("Line %d, column %d: %s", f.Line, f.Column, f.Message)
	if f.Hint != "" {
		s += "; " + f.Hint
	}
	return s + "."
}
