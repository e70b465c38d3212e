package worker

import (
	"strings"

	"nodespan/expr/typeset"
	"nodespan/wasm/wire"
)

// set fits a piece of MathML to the page's math font, and returns it. Two things were seen to look wrong with
// it in both browsers: its larger brackets, which a browser takes already for brackets around a capital, stand
// far from what they hold; and its primes are drawn raised, so that as superscripts they are raised twice.
// The element itself is left as it is.
func set(e *wire.Element) *wire.Element {
	out := *e
	out.Attrs, out.Children = e.Attrs[:len(e.Attrs):len(e.Attrs)], nil
	for _, c := range e.Children {
		out.Children = append(out.Children, set(c))
	}
	switch {
	case (e.Tag == "msup" || e.Tag == "msubsup") && primes(e.Children[len(e.Children)-1]):
		last := len(out.Children) - 1
		prime := out.Children[last]
		if out.Tag = "mrow"; e.Tag == "msubsup" {
			out.Children = []*wire.Element{{Tag: "msub", Children: out.Children[:last]}, prime}
		}
		prime.Attrs = append(prime.Attrs, typeset.Attr{Name: "lspace", Value: "0"},
			typeset.Attr{Name: "rspace", Value: "0"})
	case e.Tag == "mrow" && !tall(e):
		for _, c := range out.Children {
			if c.Tag == "mo" && c.Text != "" && strings.Contains("()[]|", c.Text) {
				c.Attrs = append(c.Attrs, typeset.Attr{Name: "stretchy", Value: "false"})
			}
		}
	}
	return &out
}

func primes(e *wire.Element) bool {
	return e.Tag == "mo" && e.Text != "" && strings.Trim(e.Text, "′″‴⁗") == ""
}

// tall reports whether a piece is higher than a line of text.
func tall(e *wire.Element) bool {
	found := false
	e.Walk(func(c *wire.Element) { found = found || c.Tag == "mfrac" || c.Tag == "mroot" || c.Tag == "mtable" })
	return found
}

// inText sets a symbol (y, T_s', theta^(5)) as runs of text, for places where MathML is not read: a heading of a
// table counts as empty to some tools when it holds nothing else.
func inText(symbol wire.Run) []wire.Run {
	var runs []wire.Run
	var add func(e *wire.Element, style string)
	add = func(e *wire.Element, style string) {
		for i, c := range e.Children {
			switch {
			case i == 1 && (e.Tag == "msub" || e.Tag == "msubsup"):
				add(c, wire.Below)
			case i > 0 && (e.Tag == "msup" || e.Tag == "msubsup"):
				add(c, wire.Above)
			default:
				add(c, style)
			}
		}
		if e.Text == "" {
			return
		}
		if style == "" && e.Tag == "mi" {
			style = wire.Symbol
		}
		runs = append(runs, wire.Run{Text: e.Text, Style: style})
	}
	add(symbol.Math, "")
	return runs
}
