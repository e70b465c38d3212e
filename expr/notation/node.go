package notation

import "slices"

// Node is a node of a syntax tree. Trees are immutable once built and may be shared.
// Every node knows the stretch of text it came from (zero for built ones).
type Node interface {
	Span() Span
}

type (
	// Number is a literal; Text is what was written ("1e-3").
	Number struct {
		Sp    Span
		Value float64
		Text  string
	}

	// Name is a constant, the independent variable, a sought parameter, or an unknown-free symbol.
	// Its name is canonical: Greek letters by their English names (lambda), subscripts as T_s,
	// infinity as "inf", pi as "pi".
	Name struct {
		Sp   Span
		Name string
	}

	// Jet is an unknown or one of its derivatives: y, y'', d^2y/dx^2, y'(0), y(x).
	// At is the point for y'(0) and y(2 pi); nil where it stands for the running point (y, y(x)).
	Jet struct {
		Sp    Span
		Name  string
		Order int
		At    Node
	}

	// Diff is the derivative of an expression with respect to the independent variable:
	// (k T')' has Order 1, d/dr(r dT/dr) too, (EI v'')'' has Order 2. At is the point for (EI v'')'(L), and nil for
	// the running point. With a point, Order may be 0: [k dT/dx]_{x=0}, and u(1) where the sheet says u = 3 v.
	Diff struct {
		Sp    Span
		Order int
		X     Node
		At    Node
	}

	// Call applies a built-in function or an abbreviation of the sheet: sin(x), k(T), if(x < 1, 2, 3).
	// Func is canonical: asin for arcsin and sin^-1, ln for log, abs for |x|, sqrt for \sqrt{x}, cbrt for \sqrt[3]{x}.
	// sin^2 x is Binary{'^', Call{sin}, 2}.
	Call struct {
		Sp   Span
		Func string
		Args []Node
		By   string // of an integral: its variable; "" where it is not known
	}

	// Negate is -X.
	Negate struct {
		Sp Span
		X  Node
	}

	// Binary is X Op Y with Op one of + - * / ^. \frac{a}{b} is a division.
	Binary struct {
		Sp   Span
		Op   byte
		X, Y Node
	}

	// Compare is X Op Y with Op one of "<" "<=" ">" ">=", inside if(…).
	Compare struct {
		Sp   Span
		Op   string
		X, Y Node
	}
)

func (n *Number) Span() Span  { return n.Sp }
func (n *Name) Span() Span    { return n.Sp }
func (n *Jet) Span() Span     { return n.Sp }
func (n *Diff) Span() Span    { return n.Sp }
func (n *Call) Span() Span    { return n.Sp }
func (n *Negate) Span() Span  { return n.Sp }
func (n *Binary) Span() Span  { return n.Sp }
func (n *Compare) Span() Span { return n.Sp }

// Equal reports whether two trees are the same but for their places and the spelling of numbers.
func Equal(a, b Node) bool {
	switch a := a.(type) {
	case nil:
		return b == nil
	case *Number:
		b, ok := b.(*Number)
		return ok && a.Value == b.Value
	case *Name:
		b, ok := b.(*Name)
		return ok && a.Name == b.Name
	case *Jet:
		b, ok := b.(*Jet)
		return ok && a.Name == b.Name && a.Order == b.Order && Equal(a.At, b.At)
	case *Diff:
		b, ok := b.(*Diff)
		return ok && a.Order == b.Order && Equal(a.X, b.X) && Equal(a.At, b.At)
	case *Call:
		b, ok := b.(*Call)
		if !ok || a.Func != b.Func || len(a.Args) != len(b.Args) {
			return false
		}
		for i := range a.Args {
			if !Equal(a.Args[i], b.Args[i]) {
				return false
			}
		}
		return true
	case *Negate:
		b, ok := b.(*Negate)
		return ok && Equal(a.X, b.X)
	case *Binary:
		b, ok := b.(*Binary)
		return ok && a.Op == b.Op && Equal(a.X, b.X) && Equal(a.Y, b.Y)
	case *Compare:
		b, ok := b.(*Compare)
		return ok && a.Op == b.Op && Equal(a.X, b.X) && Equal(a.Y, b.Y)
	}
	return false
}

// Children returns the direct parts of a node, in the order of the text.
func Children(n Node) []Node {
	switch n := n.(type) {
	case *Jet:
		if n.At != nil {
			return []Node{n.At}
		}
	case *Diff:
		if n.At != nil {
			return []Node{n.X, n.At}
		}
		return []Node{n.X}
	case *Call:
		return n.Args
	case *Negate:
		return []Node{n.X}
	case *Binary:
		return []Node{n.X, n.Y}
	case *Compare:
		return []Node{n.X, n.Y}
	}
	return nil
}

// Walk calls f for n and everything below it, parents first, and does not descend where f returns false.
func Walk(n Node, f func(Node) bool) {
	if n == nil || !f(n) {
		return
	}
	for _, c := range Children(n) {
		Walk(c, f)
	}
}

// Find returns the first node, in the order of the text, for which f holds, or nil. It does not look into the points of
// unknowns (the L of y(L)), nor into expressions at a point.
//
//go:noinline
func Find(n Node, f func(Node) bool) Node { return FindOutside(n, f, nil) }

// FindOutside does so without looking at what past, where it is not nil, holds for, nor below it.
func FindOutside(n Node, f, past func(Node) bool) Node {
	var found Node
	Walk(n, func(m Node) bool {
		if found != nil || past != nil && past(m) {
			return false
		}
		if f(m) {
			found = m
			return false
		}
		switch m := m.(type) {
		case *Jet:
			return false
		case *Diff:
			return m.At == nil
		}
		return true
	})
	return found
}

// Contains reports whether f holds for a node or a part of it, the points of unknowns included.
func Contains(n Node, f func(Node) bool) bool {
	found := false
	Walk(n, func(m Node) bool {
		found = found || f(m)
		return !found
	})
	return found
}

// Rebuild returns n with parts replaced: where f returns a node it stands in the place of its argument; where f returns
// nil the node is kept and its children are looked at. Parts that a tree shares are shared by the result, and f is
// asked of each once.
//
//go:noinline
func Rebuild(n Node, f func(Node) Node) Node {
	return rebuilder{f, map[Node]Node{}}.node(n)
}

type rebuilder struct {
	f    func(Node) Node
	done map[Node]Node
}

func (r rebuilder) node(n Node) Node {
	m, ok := r.done[n]
	if !ok {
		if m = r.f(n); m == nil {
			m = r.within(n)
		}
		r.done[n] = m
	}
	return m
}

// within rebuilds the children of a node.
func (r rebuilder) within(n Node) Node {
	children := Children(n)
	changed := false
	for i, c := range children {
		if b := r.node(c); b != c {
			if !changed {
				children, changed = slices.Clone(children), true
			}
			children[i] = b
		}
	}
	if !changed {
		return n
	}
	switch n := n.(type) {
	case *Jet:
		c := *n
		c.At = children[0]
		return &c
	case *Diff:
		c := *n
		if c.X = children[0]; n.At != nil {
			c.At = children[1]
		}
		return &c
	case *Call:
		c := *n
		c.Args = children
		return &c
	case *Negate:
		c := *n
		c.X = children[0]
		return &c
	case *Binary:
		c := *n
		c.X, c.Y = children[0], children[1]
		return &c
	case *Compare:
		c := *n
		c.X, c.Y = children[0], children[1]
		return &c
	}
	return n
}
