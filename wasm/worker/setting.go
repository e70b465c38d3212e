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
	case e.Tag == "msup" && len(e.Children) == 2 && e.Children[1].Tag == "mo" && e.Children[1].Text != "" && strings.Trim(e.Children[1].Text, "′″‴⁗") == "":
		out.Tag = "mrow"
		prime := out.Children[1]
		prime.Attrs = append(prime.Attrs, typeset.Attr{Name: "lspace", Value: "0"}, typeset.Attr{Name: "rspace", Value: "0"})
	case e.Tag == "mrow" && !tall(e):
		for _, c := range out.Children {
			if c.Tag == "mo" && c.Text != "" && strings.Contains("()[]|", c.Text) {
				c.Attrs = append(c.Attrs, typeset.Attr{Name: "stretchy", Value: "false"})
			}
		}
	}
	return &out
}

// tall reports whether a piece is higher than a line of text.
func tall(e *wire.Element) bool {
	found := false
	e.Walk(func(c *wire.Element) { found = found || c.Tag == "mfrac" || c.Tag == "mroot" || c.Tag == "mtable" })
	return found
}
