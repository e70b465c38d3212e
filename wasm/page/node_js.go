//go:build js && wasm

package page

import (
	"syscall/js"

	"honnef.co/go/js/dom/v2"
)

// The elements that the page always has are got once, at the start, as package dom's types, and used by their methods.
// They are made here and nowhere turned into dom's interfaces: that would bring every type of the document into the
// module with all its methods (0.22 MB of the one file), and dom looks each element's type up among seventy
// constructors. What is made by the hundred for every answer (the entries of tables, typeset formulas) are plain
// values.

// element is an element that the page always has.
type element = *dom.BasicHTMLElement

// rawDoc is the document. Run sets it: a worker is the same program and has none.
var rawDoc js.Value

func wrap(v js.Value) element {
	return &dom.BasicHTMLElement{BasicElement: &dom.BasicElement{BasicNode: &dom.BasicNode{Value: v}}}
}

// plain returns an element that the page is known to have.
func plain(id string) element {
	v := rawDoc.Call("getElementById", id)
	if v.IsNull() {
		panic("page: the document has no element " + id)
	}
	return wrap(v)
}

// tagged returns one that is known to have the tag.
func tagged(id, tag string) element {
	e := plain(id)
	if e.Get("localName").String() != tag {
		panic("page: the element " + id + " is no " + tag)
	}
	return e
}

//go:noinline
func input(id string) *dom.HTMLInputElement {
	return &dom.HTMLInputElement{BasicHTMLElement: tagged(id, "input")}
}

//go:noinline
func choice(id string) *dom.HTMLSelectElement {
	return &dom.HTMLSelectElement{BasicHTMLElement: tagged(id, "select")}
}

//go:noinline
func button(id string) *dom.HTMLButtonElement {
	return &dom.HTMLButtonElement{BasicHTMLElement: tagged(id, "button")}
}

//go:noinline
func area(id string) *dom.HTMLTextAreaElement {
	return &dom.HTMLTextAreaElement{BasicHTMLElement: tagged(id, "textarea")}
}

//go:noinline
func details(id string) *dom.HTMLDetailsElement {
	return &dom.HTMLDetailsElement{BasicHTMLElement: tagged(id, "details")}
}

// active reports whether an element has the keyboard.
//
//go:noinline
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
//
//go:noinline
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
//
//go:noinline
func show(e element, visible bool) { e.Set("hidden", !visible) }

// toggle gives a class or takes it away; classed does so for an element that the page always has.
func toggle(e js.Value, class string, on bool) { e.Get("classList").Call("toggle", class, on) }

//go:noinline
func classed(e element, class string, on bool) { toggle(e.Value, class, on) }

// setText changes the text of an element only where it differs, so that a live region speaks once.
func setText(e element, text string) {
	if e.TextContent() != text {
		e.SetTextContent(text)
	}
}

// on listens to an event for as long as the page lives; onValue does so for what is no element that the page always
// has.
//
//go:noinline
func on(target element, event string, f func(*dom.BasicEvent)) { onValue(target.Value, event, f) }

func onValue(target js.Value, event string, f func(*dom.BasicEvent)) {
	target.Call("addEventListener", event, js.FuncOf(func(_ js.Value, args []js.Value) any {
		f(&dom.BasicEvent{Value: args[0]})
		return nil
	}))
}

// onKey listens to the keyboard. (What fills fields in may send events by the name of a key's that are none.)
//
//go:noinline
func onKey(target element, f func(*dom.KeyboardEvent)) {
	on(target, "keydown", func(e *dom.BasicEvent) {
		if e.Get("key").Type() == js.TypeString {
			f(&dom.KeyboardEvent{BasicEvent: e})
		}
	})
}

// onEach listens to the clicks on every element below within that the selector finds; f is told the value of the
// attribute.
func onEach(within js.Value, selector, attribute string, f func(what string)) {
	list := within.Call("querySelectorAll", selector)
	for i := range list.Length() {
		what := list.Index(i).Call("getAttribute", attribute).String()
		onValue(list.Index(i), "click", func(*dom.BasicEvent) { f(what) })
	}
}

// place returns where a pointer is, relative to an element. (The methods of dom's events round to whole pixels.)
func place(e *dom.BasicEvent, within element) (x, y float64) {
	r := within.GetBoundingClientRect()
	return e.Get("clientX").Float() - r.Left(), e.Get("clientY").Float() - r.Top()
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

//go:noinline
func (t *timer) stop() {
	if t.pending {
		js.Global().Call("clearTimeout", t.id)
		t.pending = false
	}
}

// mark notes a moment for those who measure the page.
func mark(name string) { js.Global().Get("performance").Call("mark", name) }

// frameRequest draws at the browser's next frame, once however often it was asked to.
type frameRequest struct {
	f       js.Func
	waiting bool
}

func newFrameRequest(draw func()) *frameRequest {
	f := &frameRequest{}
	f.f = js.FuncOf(func(js.Value, []js.Value) any {
		f.waiting = false
		draw()
		return nil
	})
	return f
}

//go:noinline
func (f *frameRequest) ask() {
	if !f.waiting {
		f.waiting = true
		js.Global().Call("requestAnimationFrame", f.f)
	}
}
