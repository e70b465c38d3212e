//go:build js && wasm

package page

import (
	"strings"
	"syscall/js"
)

// belowPane is everything that belongs to an answer: it is marked where the answer is that of an earlier sheet, and
// away where there is none.
type belowPane struct {
	told     element    // says to which sheet it belongs
	rest     element    // the answer
	parts    []element  // what is away without an answer; what only some answers have appears with them
	controls []js.Value // what copies, saves, compares or asks
}

func newBelowPane() *belowPane {
	b := &belowPane{told: plain("of-last"), rest: plain("answer")}
	for _, id := range strings.Fields("take report working figures tables ladders check ask-form mode-part") {
		b.parts = append(b.parts, plain(id))
	}
	// A handful of elements, each of which need only be switched.
	list := rawDoc.Call("querySelectorAll", "[data-format], [data-save], [data-take], #report-form button, "+
		"#check-method, #copy-sentence, #ask, #mode, #others")
	for i := range list.Length() {
		b.controls = append(b.controls, list.Index(i))
	}
	return b
}

// always is how many of the parts every answer has.
const always = 3

func (b *belowPane) set(s standing) {
	for i, e := range b.parts {
		if s == nothing || i < always {
			if s == nothing && e.Value.Call("contains", rawDoc.Get("activeElement")).Bool() {
				b.rest.Focus() // the keyboard is not lost with what had it
			}
			show(e, s != nothing)
		}
	}
	text := ""
	if s == ofLast {
		text = "What is shown is the answer of the last sheet that could be read."
	}
	setText(b.told, text)
	if s == before {
		return // it lasts for a moment: what is pressed meanwhile says so
	}
	for _, c := range b.controls {
		c.Set("disabled", s != ofThis)
	}
}
