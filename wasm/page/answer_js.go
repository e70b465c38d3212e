//go:build js && wasm

package page

import (
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/wasm/wire"
)

// answerPane says what was found, how sure it is and why it is believed, or why there is no answer;
// and it gives the value at a point that is asked for.
type answerPane struct {
	pane            element
	ask             *dom.HTMLInputElement
	askForm         element
	askValue        element
	variable        element
	progress, words element
	cancel          *dom.HTMLButtonElement
	mode            *dom.HTMLSelectElement
	modePart        element
	asked           *timer
	says            bool // a sentence stands in the place of an answer
}

func newAnswerPane(ask func(point string), cancel func(), mode func(int)) *answerPane {
	a := &answerPane{
		pane: plain("answer"), ask: input("ask"), askForm: plain("ask-form"), askValue: plain("ask-value"),
		variable: plain("ask-variable"), progress: plain("progress"), words: plain("progress-words"),
		cancel: button("cancel"),
		mode:   choice("mode"), modePart: plain("mode-part"),
	}
	a.asked = newTimer(func() { ask(written(a.ask.Value())) })
	on(a.ask.BasicHTMLElement, "input", func(*dom.BasicEvent) { a.asked.start(pause) })
	on(a.askForm, "submit", func(e *dom.BasicEvent) {
		e.PreventDefault()
		a.asked.start(0)
	})
	on(a.mode.BasicHTMLElement, "input", func(*dom.BasicEvent) { mode(a.mode.SelectedIndex() + 1) })
	on(a.cancel.BasicHTMLElement, "click", func(*dom.BasicEvent) { cancel() })
	return a
}

// tags are the elements of the styles that have one of their own; the others are classes.
var tags = map[string]string{wire.Symbol: "i", wire.Below: "sub", wire.Above: "sup"}

// runs makes nodes of a sentence.
func runs(list []wire.Run) []js.Value {
	out := make([]js.Value, 0, len(list))
	for i, r := range list {
		switch {
		case r.Math != nil:
			out = append(out, mathML(r.Math))
		case r.Style == "" && i > 0 && list[i-1].Math != nil && strings.HasPrefix(r.Text, "\u00a0"):
			// Browsers break lines between a formula and a space that does not break.
			out[len(out)-1] = node("span", "whole", out[len(out)-1], words(r.Text))
		case r.Style == "":
			out = append(out, words(r.Text))
		case tags[r.Style] != "":
			out = append(out, node(tags[r.Style], "", words(r.Text)))
		default:
			out = append(out, node("span", r.Style, words(r.Text)))
		}
	}
	return out
}

// set shows an answer.
func (a *answerPane) set(w *wire.Answer) {
	parts := []js.Value{node("p", "headline", runs(w.Headline)...)}
	for _, n := range w.Notes {
		parts = append(parts, node("p", "note", runs(n)...))
	}
	fill(a.pane, parts...)
	a.says = false
	classed(a.pane, "unsolved", w.Status != "solved")
	fill(a.variable, runs(w.Variable)...)
	a.setModes(w)
	show(a.askForm, w.Usable)
	fill(a.askValue)
	if w.Usable && written(a.ask.Value()) != "" {
		a.asked.start(0)
	}
}

// setModes lists the eigenfunctions to choose from.
func (a *answerPane) setModes(w *wire.Answer) {
	show(a.modePart, len(w.Modes) > 1)
	if len(w.Modes) < 2 {
		return
	}
	var options []js.Value
	for _, m := range w.Modes {
		options = append(options, node("option", "", words(m)))
	}
	fill(a.mode.BasicHTMLElement, options...)
	a.mode.SetSelectedIndex(max(w.Used.Mode, 1) - 1)
}

// say shows one sentence in the place of an answer.
func (a *answerPane) say(text string) {
	fill(a.pane, node("p", "headline sentence", words(text)))
	a.says = true
}

// setPast marks the answer to the last sheet that had one, and setAwaited one whose successor is long in coming.
func (a *answerPane) setPast(past bool)       { classed(a.pane, "stale", past) }
func (a *answerPane) setAwaited(awaited bool) { classed(a.pane, "awaited", awaited) }

// setValue shows the value at the point that was asked for.
func (a *answerPane) setValue(p *wire.Point) {
	if p.Fault != "" {
		fill(a.askValue, node("span", "refused", words(p.Fault)))
		return
	}
	fill(a.askValue, runs(p.Runs)...)
}

// setProgress says what is being tried; "" when nothing is.
func (a *answerPane) setProgress(text string) {
	setText(a.words, text)
	show(a.cancel.BasicHTMLElement, text != "")
	classed(a.progress, "idle", text == "")
}
