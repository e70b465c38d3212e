//go:build js && wasm

package page

import (
	"syscall/js"

	"honnef.co/go/js/dom/v2"
)

// Elements and events are package dom's plain types, made here without its wrappers: those look
// seventy constructors up for every element (a tenth of a millisecond, and a page makes hundreds),
// and by naming every type of the document they would add 0.3 MB to the module.

// element is an element of the document.
type element = *dom.BasicHTMLElement

// rawDoc is the document. Run sets it: a worker is the same program and has none.
var rawDoc js.Value

func wrap(v js.Value) element {
	return &dom.BasicHTMLElement{BasicElement: &dom.BasicElement{BasicNode: &dom.BasicNode{Value: v}}}
}

// byID returns an element that the page is known to have.
func byID(id string) element {
	v := rawDoc.Call("getElementById", id)
	if v.IsNull() {
		panic("page: the document has no element " + id)
	}
	return wrap(v)
}

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
	e.Call("replaceChildren", args...)
}

// show unhides or hides an element.
func show(e element, visible bool) { e.Set("hidden", !visible) }

// toggle gives a class or takes it away.
func toggle(e js.Value, class string, on bool) { e.Get("classList").Call("toggle", class, on) }

// setText changes the text of an element only where it differs, so that a live region speaks once.
func setText(e element, text string) {
	if e.TextContent() != text {
		e.SetTextContent(text)
	}
}

// on listens to an event for as long as the page lives.
func on(target js.Value, event string, f func(*dom.BasicEvent)) {
	target.Call("addEventListener", event, js.FuncOf(func(_ js.Value, args []js.Value) any {
		f(&dom.BasicEvent{Value: args[0]})
		return nil
	}))
}

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
