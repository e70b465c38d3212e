//go:build js && wasm

package page

import (
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/wasm/wire"
)

// findingsPane draws the solutions that a search has found beside each other. A press on one makes it the answer.
type findingsPane struct {
	list, told element
	found      []wire.Finding
}

func newFindingsPane(choose func(sheet string)) *findingsPane {
	f := &findingsPane{list: plain("findings"), told: plain("findings-text")}
	on(f.list, "click", func(e *dom.BasicEvent) {
		b := e.Get("target").Call("closest", "button")
		if b.IsNull() {
			return
		}
		if k, err := strconv.Atoi(b.Get("value").String()); err == nil && f.found[k].Sheet != "" {
			choose(f.found[k].Sheet)
		}
	})
	return f
}

// clear takes away what an older answer had beside it.
func (f *findingsPane) clear() {
	f.found = nil
	show(f.list, false)
	fill(f.list)
	setText(f.told, "")
}

// setPast marks what belongs to the last sheet that had an answer; none of it can be chosen then.
func (f *findingsPane) setPast(past bool) {
	classed(f.list, "stale", past)
	for i := range f.found {
		f.button(i).Set("disabled", past || !choosable(&f.found[i]))
	}
}

func (f *findingsPane) set(w *wire.Findings) {
	setText(f.told, w.Sentence)
	if len(w.Solutions) < 2 {
		return
	}
	show(f.list, true)
	for i := len(f.found); i < len(w.Solutions); i++ { // those that stand there keep the keyboard
		s := &w.Solutions[i]
		b := node("button", "finding", node("span", "", runs(s.Label)...))
		b.Set("type", "button")
		b.Set("value", i)
		b.Call("setAttribute", "aria-pressed", strconv.FormatBool(s.Shown))
		b.Set("disabled", !choosable(s))
		b.Set("title", "Make this solution the answer: a first guess that leads to it is written into the sheet")
		f.list.Call("append", b)
	}
	f.found = w.Solutions
	for i := range f.found { // a new one may be larger than all before
		b := f.button(i)
		if old := b.Call("querySelector", "svg"); !old.IsNull() {
			old.Call("remove")
		}
		b.Call("prepend", sketch(f.found[i].Curves, w.Low, w.High))
	}
}

func (f *findingsPane) button(i int) js.Value { return f.list.Get("children").Index(i) }

func choosable(f *wire.Finding) bool { return f.Shown || f.Sheet != "" }

// sketch draws curves with values between low and high, and the axis.
func sketch(curves [][]float64, low, high float64) js.Value {
	const width, height = 96, 54
	if high == low {
		high = low + 1
	}
	at := func(y float64) string { return strconv.FormatFloat(3+(height-6)*(high-y)/(high-low), 'f', 1, 64) }
	picture := vector("svg", "viewBox", "0 0 "+strconv.Itoa(width)+" "+strconv.Itoa(height), "aria-hidden", "true")
	picture.Call("append", vector("path", "class", "axis", "d", "M0 "+at(0)+"H"+strconv.Itoa(width)))
	for _, row := range curves {
		var d strings.Builder
		for k, y := range row {
			command := "L"
			if k == 0 {
				command = "M"
			}
			d.WriteString(command + strconv.Itoa(k*width/(len(row)-1)) + " " + at(y))
		}
		picture.Call("append", vector("path", "d", d.String()))
	}
	return picture
}
