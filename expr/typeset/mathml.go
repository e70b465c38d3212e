package typeset

import (
	"strconv"
	"strings"

	"nodespan/expr/function"
	"nodespan/expr/notation"
	"nodespan/solver/table/greek"
)

// Only elements and attributes of MathML Core (W3C) are used.

// Math wraps elements into a math element, set as a display (on a line of its own) or inline.
//
//go:noinline
func Math(display bool, children ...*Element) *Element {
	m := element("math", children...)
	m.Attrs = append(m.Attrs, Attr{"xmlns", "http://www.w3.org/1998/Math/MathML"})
	if display {
		m.Attrs = append(m.Attrs, Attr{"display", "block"})
	}
	return m
}

// MathML prints a tree as one MathML element, to stand within Math. The element of each node knows its stretch of the
// source.
//
//go:noinline
func MathML(n notation.Node) *Element { return mathml(n, false) }

// MathMLRelation prints a statement as one MathML element, to stand within Math.
func MathMLRelation(r *notation.Relation) *Element {
	row := element("mrow")
	put := func(e ...*Element) { row.Children = append(row.Children, e...) }
	for i, side := range r.Sides {
		if i > 0 {
			put(operator(sign(r.Ops[i-1])))
		}
		put(MathML(side))
	}
	if r.Sought {
		put(operator("="), text("mi", "?"))
	}
	if r.Near != nil {
		put(text("mtext", "\u00a0near\u00a0"), MathML(r.Near))
	}
	if len(r.Range) == 2 {
		if len(r.Sides) > 0 {
			put(operator("∈"))
		}
		open, end := interval(r)
		put(fence(open, end, MathML(r.Range[0]), operator(","), MathML(r.Range[1])))
	}
	return spanned(row, r.Sp)
}

func element(tag string, children ...*Element) *Element {
	return &Element{Tag: tag, Children: children}
}
func text(tag, s string) *Element { return &Element{Tag: tag, Text: s} }
func operator(s string) *Element  { return text("mo", s) }

// spanned notes the stretch of the source that an element shows.
func spanned(e *Element, sp notation.Span) *Element {
	if sp.To > sp.From.Offset {
		e.From, e.To = sp.From.Offset, sp.To
	}
	return e
}

// fence sets elements in brackets, which stretch.
//
//go:noinline
func fence(open, end string, inside ...*Element) *Element {
	row := element("mrow", operator(open))
	row.Children = append(row.Children, inside...)
	row.Children = append(row.Children, operator(end))
	return row
}

// sign is how an operator of a tree looks.
func sign(op string) string {
	switch op {
	case "-":
		return "−"
	case "<=":
		return "≤"
	case ">=":
		return "≥"
	}
	return op
}

const (
	invisibleTimes = "\u2062"
	applyFunction  = "\u2061"
)

// mathml prints a node; inExponent says that it stands in one, where small fractions are set on one line.
func mathml(n notation.Node, inExponent bool) *Element {
	if n == nil {
		return element("mrow")
	}
	return spanned(mathmlOf(n, inExponent), n.Span())
}

func mathmlOf(n notation.Node, inExponent bool) *Element {
	switch n := n.(type) {
	case *notation.Number:
		return mathmlNumber(n)
	case *notation.Name:
		return mathmlName(n.Name, nil)
	case *notation.Jet:
		name := mathmlName(n.Name, mathmlPrimes(n.Order))
		if n.At == nil {
			return name
		}
		return element("mrow", name, operator(applyFunction), fence("(", ")", mathml(n.At, inExponent)))
	case *notation.Diff:
		base := fence("(", ")", mathml(n.X, inExponent))
		if name, ok := n.X.(*notation.Name); ok {
			base = mathmlName(name.Name, mathmlPrimes(n.Order))
		} else if n.Order > 0 {
			base = element("msup", base, mathmlPrimes(n.Order))
		}
		if n.At == nil {
			return base
		}
		return element("mrow", base, operator(applyFunction), fence("(", ")", mathml(n.At, inExponent)))
	case *notation.Call:
		return mathmlCall(n, nil, inExponent)
	case *notation.Negate:
		return element("mrow", operator("−"), mathmlBracket(stackedLevel(n.X) <= levelSign || isChoice(n.X), n.X,
			inExponent))
	case *notation.Compare:
		return element("mrow", mathml(n.X, inExponent), operator(sign(n.Op)), mathml(n.Y, inExponent))
	case *notation.Binary:
		return mathmlBinary(n, inExponent)
	}
	return element("mrow")
}

func mathmlBinary(n *notation.Binary, inExponent bool) *Element {
	switch n.Op {
	case '+', '-':
		return element("mrow", mathmlBracket(isChoice(n.X), n.X, inExponent), operator(sign(string(n.Op))),
			mathmlBracket(level(n.Y) <= levelSign || isChoice(n.Y), n.Y, inExponent))
	case '*':
		row := element("mrow", mathmlBracket(stackedLevel(n.X) < levelProduct || isChoice(n.X), n.X, inExponent))
		if joinOf(n.X, n.Y, true) == joinDot || scientific(n.X) || scientific(n.Y) {
			row.Children = append(row.Children, operator("⋅"))
		} else {
			row.Children = append(row.Children, operator(invisibleTimes))
			if wide(lastFactor(n.X, true)) || wide(firstFactor(n.Y, true)) {
				row.Children = append(row.Children, &Element{Tag: "mspace", Attrs: []Attr{{"width", "0.17em"}}})
			}
		}
		row.Children = append(row.Children, mathmlBracket(bracketsRight(n.Y, true) || isChoice(n.Y), n.Y, inExponent))
		return row
	case '/':
		if inExponent && small(n) {
			return element("mrow", mathml(n.X, true), operator("/"), mathml(n.Y, true))
		}
		return element("mfrac", mathml(n.X, inExponent), mathml(n.Y, inExponent))
	}
	exponent := mathml(n.Y, true)
	if raised(n.X, n.Y) {
		return mathmlCall(n.X.(*notation.Call), exponent, inExponent)
	}
	if name, ok := n.X.(*notation.Name); ok {
		base := mathmlName(name.Name, exponent)
		spanned(base.Children[0], name.Sp)
		return base
	}
	return element("msup", mathmlBracket(bracketsBase(n.X) || isChoice(n.X), n.X, inExponent), exponent)
}

// wide reports whether a factor needs room beside it to be told from its neighbour: a word, a function, a
// derivative, a fraction.
func wide(n notation.Node) bool {
	switch n := n.(type) {
	case *notation.Name:
		_, stem, sub := greek.Split(n.Name)
		return sub != "" || len(stem) > 1 && !greek.Has(stem)
	case *notation.Jet:
		return n.Order > 0 || n.At != nil || len(n.Name) > 1 && !greek.Has(n.Name)
	case *notation.Call, *notation.Diff:
		return true
	case *notation.Binary:
		return n.Op == '/' || n.Op == '^' && wide(n.X)
	}
	return false
}

// scientific reports whether a number is set with a power of ten.
func scientific(n notation.Node) bool {
	l, ok := n.(*notation.Number)
	return ok && strings.ContainsAny(digits(l), "eE")
}

// mathmlNumber sets a number as it was typed, 1e-3 as a power of ten.
func mathmlNumber(n *notation.Number) *Element {
	e := mathmlDigits(digits(n))
	if negative(n) {
		return element("mrow", operator("−"), e)
	}
	return e
}

func mathmlDigits(s string) *Element {
	mantissa, exponent, ok := strings.Cut(strings.ToLower(s), "e")
	if !ok {
		return text("mn", s)
	}
	var power *Element
	exponent = strings.TrimPrefix(exponent, "+")
	if rest, minus := strings.CutPrefix(exponent, "-"); minus {
		power = element("mrow", operator("−"), text("mn", withoutZeros(rest)))
	} else {
		power = text("mn", withoutZeros(exponent))
	}
	ten := element("msup", text("mn", "10"), power)
	if mantissa == "1" {
		return ten
	}
	return element("mrow", text("mn", mantissa), operator("×"), ten)
}

// withoutZeros drops the zeros before a whole number.
func withoutZeros(s string) string {
	if t := strings.TrimLeft(s, "0"); t != "" {
		return t
	}
	return "0"
}

// mathmlName sets a name with its subscript, and above it what is raised (primes, an exponent; nil for nothing).
// Digits that end a name are set as its subscript. Where something is raised, the first child is the name's stem.
func mathmlName(name string, above *Element) *Element {
	mark, stem, sub := greek.Split(name)
	if sub == "" {
		if letters := strings.TrimRight(stem, "0123456789"); letters != "" {
			stem, sub = letters, stem[len(letters):]
		}
	}
	base := identifier(stem)
	if mark != "" {
		base = element("mrow", identifier(mark), base)
	}
	switch {
	case sub == "" && above == nil:
		return base
	case sub == "":
		return element("msup", base, above)
	}
	below := subscript(sub)
	if above == nil {
		return element("msub", base, below)
	}
	return element("msubsup", base, below, above)
}

// subscript sets what stands below; several parts (the 1, u and v of a_1_u_v) have commas between them.
func subscript(sub string) *Element {
	var parts []*Element
	for i, p := range strings.Split(sub, "_") {
		if i > 0 {
			parts = append(parts, operator(","))
		}
		if allDigits(p) {
			parts = append(parts, text("mn", p))
		} else {
			parts = append(parts, identifier(p))
		}
	}
	if len(parts) == 1 {
		return parts[0]
	}
	return element("mrow", parts...)
}

// identifier sets a word: one letter in italics, several (and capital Greek letters) upright.
func identifier(w string) *Element {
	if w == "inf" {
		return text("mi", "∞")
	}
	g, ok := greek.Of(w)
	if !ok {
		return text("mi", w)
	}
	e := text("mi", string(g.Letter))
	if 'A' <= w[0] && w[0] <= 'Z' {
		e.Attrs = []Attr{{"mathvariant", "normal"}}
	}
	return e
}

// mathmlPrimes sets the marks of a derivative; nil for order 0.
func mathmlPrimes(order int) *Element {
	switch order {
	case 0:
		return nil
	case 1, 2, 3:
		return operator([]string{"′", "″", "‴"}[order-1])
	}
	return fence("(", ")", text("mn", strconv.Itoa(order)))
}

// mathmlCall sets a function applied, with an exponent on its name (nil for none).
func mathmlCall(n *notation.Call, exponent *Element, inExponent bool) *Element {
	if len(n.Args) == 1 {
		x := n.Args[0]
		switch n.Func {
		case "sqrt":
			return element("msqrt", mathml(x, inExponent))
		case "cbrt":
			return element("mroot", mathml(x, inExponent), text("mn", "3"))
		case "abs":
			return mathmlBars(mathml(x, inExponent))
		}
	}
	if lines := branches(n); lines != nil {
		return mathmlCases(lines)
	}
	if integrates(n) {
		sign := operator("∫")
		if len(n.Args) == 3 {
			sign = element("msubsup", sign, mathml(n.Args[1], true), mathml(n.Args[2], true))
		}
		return element("mrow", sign, mathmlBracket(level(n.Args[0]) <= levelSign, n.Args[0], inExponent),
			&Element{Tag: "mspace", Attrs: []Attr{{"width", "0.17em"}}}, text("mi", "d"), mathmlName(n.By, nil))
	}
	if f, order, x, ok := derived(n); ok {
		name := element("msub", text("mi", f.Display), text("mn", digits(order)))
		if f.Primes {
			name = raisedBy(text("mi", f.Display), mathmlPrimes(int(order.Value)))
		}
		return element("mrow", name, operator(applyFunction), fence("(", ")", mathml(x, inExponent)))
	}
	row := element("mrow", functionName(n.Func, exponent), operator(applyFunction))
	bracket := fence("(", ")")
	inside := bracket.Children[:1:1]
	for i, a := range n.Args {
		if i > 0 {
			inside = append(inside, operator(","))
		}
		inside = append(inside, mathml(a, inExponent))
	}
	bracket.Children = append(inside, bracket.Children[1])
	row.Children = append(row.Children, bracket)
	return row
}

func functionName(name string, exponent *Element) *Element {
	f, ok := function.ByName(name)
	if !ok {
		return mathmlName(name, exponent) // an abbreviation of the sheet
	}
	stem, sub, has := strings.Cut(f.Display, "_")
	base := text("mi", stem)
	if stem == "Γ" {
		base.Attrs = []Attr{{"mathvariant", "normal"}}
	}
	switch {
	case has && exponent != nil:
		return element("msubsup", base, text("mn", sub), exponent)
	case has:
		return element("msub", base, text("mn", sub))
	}
	return raisedBy(base, exponent)
}

// raisedBy sets an exponent or primes on a base; nil for none.
func raisedBy(base, above *Element) *Element {
	if above == nil {
		return base
	}
	return element("msup", base, above)
}

// mathmlBars sets an absolute value; the same sign on both sides must be told which side it is on.
func mathmlBars(x *Element) *Element {
	bar := func(form string) *Element {
		return &Element{Tag: "mo", Text: "|", Attrs: []Attr{{"form", form}, {"stretchy", "true"}, {"fence", "true"}}}
	}
	return element("mrow", bar("prefix"), x, bar("postfix"))
}

// isChoice reports whether a node is set behind a brace, which does not show where it ends.
func isChoice(n notation.Node) bool { return branches(n) != nil }

// mathmlCases sets a choice as lines behind a brace.
func mathmlCases(lines []branch) *Element {
	table := element("mtable")
	for _, l := range lines {
		var when *Element
		if l.cond != nil {
			when = element("mrow", text("mtext", "if\u00a0"), mathml(l.cond, false))
		} else {
			when = text("mtext", "otherwise")
		}
		row := element("mtr")
		for _, cell := range []*Element{mathml(l.value, false), when} {
			// Cells are centred unless a style sheet says otherwise; the class is for that.
			row.Children = append(row.Children, &Element{Tag: "mtd", Attrs: []Attr{{"class", "case"}},
				Children: []*Element{cell}})
		}
		table.Children = append(table.Children, row)
	}
	brace := operator("{")
	brace.Attrs = []Attr{{"form", "prefix"}, {"stretchy", "true"}, {"fence", "true"}}
	return element("mrow", brace, table)
}

func mathmlBracket(bracket bool, n notation.Node, inExponent bool) *Element {
	if !bracket {
		return mathml(n, inExponent)
	}
	return fence("(", ")", mathml(n, inExponent))
}
