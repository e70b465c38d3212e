//go:build js && wasm

package page

import (
	"strconv"
	"strings"

	"honnef.co/go/js/dom/v2"

	"nodespan/wasm/wire"
)

// methodSentence is the sentence of controls that says how to solve.
type methodSentence struct {
	form                             element
	name, family                     element
	nodes, elements, digits          element
	order, orderPart                 element // of differences
	nodesPart, elementsPart, famPart element
	chosen                           element
	mode                             int // the eigenfunction that is shown, which the answer lets choose; 0 for the first
	changed                          func()
}

func newMethodSentence(changed func()) *methodSentence {
	m := &methodSentence{
		form: byID("method"), name: byID("method-name"), family: byID("family"),
		nodes: byID("nodes"), elements: byID("elements"), digits: byID("digits"),
		nodesPart: byID("nodes-part"), elementsPart: byID("elements-part"), famPart: byID("family-part"),
		order: byID("order"), orderPart: byID("order-part"),
		chosen:  byID("chosen"),
		changed: changed,
	}
	on(m.form.Value, "submit", func(e *dom.BasicEvent) { e.PreventDefault() })
	on(m.form.Value, "input", func(*dom.BasicEvent) {
		m.arrange()
		m.setChosen("")
		m.changed()
	})
	m.arrange()
	return m
}

func value(e element) string { return strings.TrimSpace(e.Get("value").String()) }

func setValue(e element, v string) { e.Set("value", v) }

// number reads a field: 0 where it is empty, not a whole number, or out of the field's own range.
func number(e element) int {
	n, err := strconv.Atoi(value(e))
	if err != nil || !e.Call("checkValidity").Bool() {
		return 0
	}
	return n
}

// get returns what the sentence says.
func (m *methodSentence) get() wire.Method {
	w := wire.Method{Name: value(m.name), Digits: number(m.digits), Mode: m.mode}
	switch w.Name {
	case "one":
		w.Nodes, w.Family = number(m.nodes), value(m.family)
	case "pieces":
		w.Nodes, w.Family, w.Elements = number(m.nodes), value(m.family), number(m.elements)
	case "differences":
		w.Nodes = number(m.nodes)
		w.Order, _ = strconv.Atoi(value(m.order)) // empty for the usual one
	}
	if w.Digits == 8 {
		w.Digits = 0
	}
	return w
}

// set puts a method into the sentence.
func (m *methodSentence) set(w wire.Method) {
	blank := func(n int) string {
		if n == 0 {
			return ""
		}
		return strconv.Itoa(n)
	}
	setValue(m.name, w.Name)
	setValue(m.family, w.Family)
	setValue(m.nodes, blank(w.Nodes))
	setValue(m.elements, blank(w.Elements))
	if w.Digits == 0 {
		w.Digits = 8
	}
	setValue(m.digits, strconv.Itoa(w.Digits))
	setValue(m.order, blank(w.Order))
	m.mode = w.Mode
	m.arrange()
}

// arrange shows the parts of the sentence that belong to the method.
func (m *methodSentence) arrange() {
	name := value(m.name)
	show(m.nodesPart, name != "")
	show(m.elementsPart, name == "pieces")
	show(m.orderPart, name == "differences")
	show(m.famPart, name == "one" || name == "pieces")
	word := "through"
	switch name {
	case "pieces":
		word = "each through"
	case "differences":
		word = "on"
	}
	setText(byID("nodes-word"), word)
}

// setChosen says what was chosen.
func (m *methodSentence) setChosen(text string) { setText(m.chosen, text) }
