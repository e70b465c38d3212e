//go:build js && wasm

package page

import (
	"syscall/js"

	"honnef.co/go/js/dom/v2"
)

// The elements that the page always has are got once, at the start, as package dom's types, and used by their methods. What is made by
// the hundred for every answer (the entries of tables, typeset formulas) are plain values: dom looks each element's type up among seventy
// constructors, which takes a tenth of a millisecond.

// element is an element that the page always has.
type element = dom.HTMLElement

// document and rawDoc are the document. Run sets them: a worker is the same program and has none.
var (
	document dom.Document
	rawDoc   js.Value
)

// byID returns an element that the page is known to have, and that is known to be of the type.
func byID[T element](id string) T {
	e, ok := document.GetElementByID(id).(T)
	if !ok {
		panic("page: the document has no such element " + id)
	}
	return e
}

func plain(id string) element                 { return byID[element](id) }
func input(id string) *dom.HTMLInputElement   { return byID[*dom.HTMLInputElement](id) }
func choice(id string) *dom.HTMLSelectElement { return byID[*dom.HTMLSelectElement](id) }
func button(id string) *dom.HTMLButtonElement { return byID[*dom.HTMLButtonElement](id) }
func area(id string) *dom.HTMLTextAreaElement { return byID[*dom.HTMLTextAreaElement](id) }

// active reports whether an element has the keyboard.
func active(e js.Value) bool { return rawDoc.Get("activeElement").Equal(e) }

// node makes an element with a class ("" for none), and children.
func node(tag, class string, children ...js.Value) js.Value {
	n := rawDoc.Call("createElement", tag)
	if class != "" {
		n.Set("className", class)
	}
	for _, c := range children {
		n.Call("appendChild", c)
	}
	return n
}

// words makes a text node.
func words(s string) js.Value { return rawDoc.Call("createTextNode", s) }

// fill replaces the children of e.
func fill(e element, children ...js.Value) {
	args := make([]any, len(children))
	for i, c := range children {
		args[i] = c
	}
	e.Underlying().Call("replaceChildren", args...)
}

// show unhides or hides an element.
func show(e element, visible bool) { e.Underlying().Set("hidden", !visible) }

// toggle gives a class or takes it away; classed does so for an element that the page always has.
func toggle(e js.Value, class string, on bool) { e.Get("classList").Call("toggle", class, on) }

func classed(e dom.Element, class string, on bool) { toggle(e.Underlying(), class, on) }

// setText changes the text of an element only where it differs, so that a live region speaks once.
func setText(e element, text string) {
	if e.TextContent() != text {
		e.SetTextContent(text)
	}
}

// on listens to an event for as long as the page lives.
func on(target dom.EventTarget, event string, f func(dom.Event)) {
	target.AddEventListener(event, false, f)
}

// onKey listens to the keyboard. (What fills fields in may send events by the name of a key's that are none.)
func onKey(target dom.EventTarget, f func(*dom.KeyboardEvent)) {
	on(target, "keydown", func(e dom.Event) {
		if k, ok := e.(*dom.KeyboardEvent); ok {
			f(k)
		}
	})
}

// place returns where a pointer is, relative to an element. (The methods of dom's events round to whole pixels.)
func place(e dom.Event, within element) (x, y float64) {
	r := within.GetBoundingClientRect()
	return e.Underlying().Get("clientX").Float() - r.Left(), e.Underlying().Get("clientY").Float() - r.Top()
}

// modified reports whether a key that makes a command of a letter is held.
func modified(e *dom.KeyboardEvent) bool { return e.CtrlKey() || e.MetaKey() || e.AltKey() }

// timer runs a function once, some milliseconds after it was last started.
type timer struct {
	f       js.Func
	id      js.Value
	pending bool
}

func newTimer(f func()) *timer {
	t := &timer{}
	t.f = js.FuncOf(func(js.Value, []js.Value) any {
		t.pending = false
		f()
		return nil
	})
	return t
}

func (t *timer) start(milliseconds int) {
	t.stop()
	t.pending = true
	t.id = js.Global().Call("setTimeout", t.f, milliseconds)
}

func (t *timer) stop() {
	if t.pending {
		js.Global().Call("clearTimeout", t.id)
		t.pending = false
	}
}

// mark notes a moment for those who measure the page.
func mark(name string) { js.Global().Get("performance").Call("mark", name) }
