package typeset

import "strings"

// Element is an element of MathML, to be made into nodes of a document.
type Element struct {
	Tag      string
	Attrs    []Attr
	Text     string // of an element without children
	Children []*Element
	// From and To are the stretch of the source that the element shows, as byte offsets (To is just past it);
	// both are 0 where it shows none.
	From, To int
}

// Attr is an attribute of an element.
type Attr struct{ Name, Value string }

// Walk calls f for the element and everything below it, parents first.
func (e *Element) Walk(f func(*Element)) {
	f(e)
	for _, c := range e.Children {
		c.Walk(f)
	}
}

// String prints the element as markup, with everything escaped, for files and tests. From and To are left out.
func (e *Element) String() string {
	var b strings.Builder
	e.print(&b)
	return b.String()
}

// Escape returns text as it stands in HTML and MathML, between tags or within an attribute's double quotes. The package
// html does the same, and brings along the names of all the characters that HTML knows.
//
//go:noinline
func Escape(text string) string { return escape.Replace(text) }

var escape = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

func (e *Element) print(b *strings.Builder) {
	b.WriteString("<" + e.Tag)
	for _, a := range e.Attrs {
		b.WriteString(" " + a.Name + `="` + Escape(a.Value) + `"`)
	}
	b.WriteString(">" + Escape(e.Text))
	for _, c := range e.Children {
		c.print(b)
	}
	b.WriteString("</" + e.Tag + ">")
}
