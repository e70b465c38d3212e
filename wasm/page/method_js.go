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
	form                    element
	name, family, order     *dom.HTMLSelectElement // the order is that of differences
	nodes, elements, digits *dom.HTMLInputElement
	nodesPart, elementsPart element
	nodesWord               element
	famPart, orderPart      element
	chosen                  element
	mode                    int // the eigenfunction that is shown, which the answer lets choose; 0 for the first
	changed                 func()
}

func newMethodSentence(changed func()) *methodSentence {
	m := &methodSentence{
		form: plain("method"), name: choice("method-name"), family: choice("family"),
		nodes: input("nodes"), elements: input("elements"), digits: input("digits"),
		nodesPart: plain("nodes-part"), elementsPart: plain("elements-part"), famPart: plain("family-part"),
		order: choice("order"), orderPart: plain("order-part"), nodesWord: plain("nodes-word"),
		chosen:  plain("chosen"),
		changed: changed,
	}
	on(m.form, "submit", func(e *dom.BasicEvent) { e.PreventDefault() })
	on(m.form, "input", func(*dom.BasicEvent) {
		m.arrange()
		m.setChosen("")
		m.changed()
	})
	m.arrange()
	return m
}

// written is the text of a field without white space around it.
//
//go:noinline
func written(value string) string { return strings.TrimSpace(value) }

// number reads a field: 0 where it is empty, not a whole number, or out of the field's own range.
func number(e *dom.HTMLInputElement) int {
	n, err := strconv.Atoi(written(e.Value()))
	if err != nil || !e.CheckValidity() {
		return 0
	}
	return n
}

// get returns what the sentence says.
func (m *methodSentence) get() wire.Method {
	w := wire.Method{Name: m.name.Value(), Digits: number(m.digits), Mode: m.mode}
	switch w.Name {
	case "one":
		w.Nodes, w.Family = number(m.nodes), m.family.Value()
	case "pieces":
		w.Nodes, w.Family, w.Elements = number(m.nodes), m.family.Value(), number(m.elements)
	case "differences":
		w.Nodes = number(m.nodes)
		w.Order, _ = strconv.Atoi(m.order.Value()) // empty for the usual one
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
	m.name.SetValue(w.Name)
	m.family.SetValue(w.Family)
	m.nodes.SetValue(blank(w.Nodes))
	m.elements.SetValue(blank(w.Elements))
	if w.Digits == 0 {
		w.Digits = 8
	}
	m.digits.SetValue(strconv.Itoa(w.Digits))
	m.order.SetValue(blank(w.Order))
	m.mode = w.Mode
	m.arrange()
}

// arrange shows the parts of the sentence that belong to the method.
func (m *methodSentence) arrange() {
	name := m.name.Value()
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
	setText(m.nodesWord, word)
}

// setAnswer says what was chosen for an answer. One without eigenfunctions has none to choose from.
func (m *methodSentence) setAnswer(a *wire.Answer) {
	m.setChosen(a.Chosen)
	if len(a.Modes) == 0 {
		m.mode = 0
	}
}

// setChosen says what was chosen.
//
//go:noinline
func (m *methodSentence) setChosen(text string) { setText(m.chosen, text) }
