//go:build js && wasm

package page

import (
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/wasm/wire"
)

// opinionsPane shows what else speaks for or against an answer: other methods, and the sheet's exact solution.
type opinionsPane struct {
	button                    *dom.HTMLButtonElement
	check, checked, exactness element
	asking                    bool // what stands there is no opinion
}

func newOpinionsPane(ask func()) *opinionsPane {
	o := &opinionsPane{check: plain("check"), button: button("check-method"), checked: plain("checked"),
		exactness: plain("exactness")}
	on(o.button.BasicHTMLElement, "click", func(*dom.BasicEvent) {
		o.asking = true
		fill(o.checked, node("p", "", words("Solving by other methods …")))
		ask()
	})
	return o
}

// leave takes away what is no opinion: the sheet is being changed.
func (o *opinionsPane) leave() {
	if o.asking {
		fill(o.checked)
	}
	o.asking = false
}

// clear takes the opinions away, which were about an older answer.
func (o *opinionsPane) clear(usable bool) {
	o.asking = false
	show(o.check, usable)
	fill(o.checked)
	fill(o.exactness)
}

// say says a sentence in the place of an opinion.
func (o *opinionsPane) say(text string) {
	o.asking = true
	fill(o.checked, node("p", "", words(text)))
}

func (o *opinionsPane) setAgreement(a *wire.Agreement) {
	o.asking = false
	if a == nil {
		fill(o.checked)
		return
	}
	if a.Fault != "" {
		fill(o.checked, node("p", "", words(a.Fault)))
		return
	}
	fill(o.checked, verdicts(a.Lines)...)
}

func (o *opinionsPane) setExactness(e *wire.Exactness) {
	if e == nil {
		fill(o.exactness)
		return
	}
	fill(o.exactness, verdicts(e.Lines)...)
}

func verdicts(list []wire.Verdict) []js.Value {
	out := make([]js.Value, len(list))
	for i, v := range list {
		out[i] = node("p", "", words(v.Text))
		toggle(out[i], "loud", v.Loud)
	}
	return out
}
