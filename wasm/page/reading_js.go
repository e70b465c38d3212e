//go:build js && wasm

package page

import (
	"fmt"
	"syscall/js"

	"nodespan/wasm/wire"
)

// readingPane is the problem typeset, and what was inferred, in words.
type readingPane struct {
	pane   element
	lines  []js.Value
	spans  []wire.Span
	choose func(wire.Span) // a line was chosen
	point  func(line int)  // a line is pointed at; -1 for none
	kept   []js.Func       // listeners of the lines now shown
}

func newReadingPane(choose func(wire.Span), point func(int)) *readingPane {
	return &readingPane{pane: plain("reading"), choose: choose, point: point}
}

func (r *readingPane) set(reading *wire.Reading) {
	for _, f := range r.kept {
		f.Release()
	}
	r.kept, r.lines, r.spans = r.kept[:0], r.lines[:0], r.spans[:0]
	problem := node("div", "statements")
	for i, l := range reading.Lines {
		class := "statement"
		if l.Kind == "constant" {
			class += " constant"
		}
		n := node("div", class, mathML(l.Math))
		r.listen(n, i, l.Span)
		problem.Call("appendChild", n)
		r.lines, r.spans = append(r.lines, n), append(r.spans, l.Span)
	}
	parts := []js.Value{problem}
	if len(reading.Inferences) > 0 {
		parts = append(parts, r.inferred(reading))
	}
	fill(r.pane, parts...)
	r.setPast(false)
}

// inferred is what was inferred: one line that opens, and stands open where something was taken for granted that could
// have been meant otherwise.
func (r *readingPane) inferred(reading *wire.Reading) js.Value {
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

// listen lets the pointer mark a line's counterpart, and a press select it in the sheet.
func (r *readingPane) listen(n js.Value, line int, sp wire.Span) {
	add := func(event string, f func()) {
		fn := js.FuncOf(func(js.Value, []js.Value) any { f(); return nil })
		n.Call("addEventListener", event, fn)
		r.kept = append(r.kept, fn)
	}
	add("pointerenter", func() { r.point(line) })
	add("pointerleave", func() { r.point(-1) })
	add("click", func() { r.choose(sp) })
}

// mark marks a line, -1 for none.
func (r *readingPane) mark(line int) {
	for i, n := range r.lines {
		toggle(n, "marked", i == line)
	}
}

// setPast marks the reading of the last sheet that could be read.
func (r *readingPane) setPast(past bool) { classed(r.pane, "stale", past) }

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
