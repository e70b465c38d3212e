package notation

import (
	"fmt"
	"strconv"
)

// Relation is a parsed statement. Sides has one more entry than Ops; Ops are "=", "<", "<=", ">", ">=".
type Relation struct {
	Sides []Node
	Ops   []string
	// Range is set for "… in [a, b]" (x in [a, b], Bi = 2.5 in [0.1, 10]) and for a lone "[a, b]" (then Sides is
	// empty).
	Range []Node // nil or two
	// Sought is set for "name = ?"; Near for "name = ? near value" (nil otherwise). Sides then holds the name alone.
	Sought bool
	Near   Node
	// Remarks are choices of the reader that a person should see: log taken as the natural logarithm, a split name.
	Remarks []Remark
	// Covers are the stretches that functions in pieces are given on.
	Covers []Cover
	Sp     Span
}

// Cover is the stretch on which a function in pieces of Of is given; either end may be nil.
type Cover struct {
	Sp           Span
	Of, From, To Node
}

// Remark is a choice that the reader made, in plain words: "log is read as the natural logarithm".
type Remark struct {
	Sp   Span
	Text string
	// Unit is the unit behind the number at Sp, as it is printed: m/s², °C. Empty where the remark is about another
	// thing.
	Unit string
}

// Parse reads the tokens of a statement, from index from on, under the given names. Its error is an *Error.
func (s Statement) Parse(from int, n *Names) (rel *Relation, err error) {
	if n == nil {
		n = &Names{}
	}
	p := &parser{n: n, last: s.last}
	defer p.recover(&err)
	if from >= len(s.Tokens) {
		t := s.Tokens[len(s.Tokens)-1]
		p.unfinished(t, fmt.Sprintf("“%s” has nothing after it", t.raw), "write a statement after it")
	}
	p.toks = p.resolve(s.Tokens[from:])
	rel = p.relation()
	for _, side := range append(append(append([]Node{}, rel.Sides...), rel.Range...), rel.Near) {
		p.checkDepth(side)
	}
	rel.Remarks = append(s.remarks[:len(s.remarks):len(s.remarks)], p.remarks...)
	rel.Covers = p.covers
	return rel, nil
}

// ParseExpr reads one formula from plain text (for overrides, points of a table, and tests). Its error is an *Error or
// an ErrorList.
//
//go:noinline
func ParseExpr(text string, n *Names) (x Node, err error) { return parseExpr(text, n, false) }

// parseExpr is ParseExpr; a choice is read without choices of its own.
func parseExpr(text string, n *Names, choice bool) (x Node, err error) {
	list, err := Split(text)
	if err != nil {
		return nil, err
	}
	if len(list) == 0 {
		return nil, &Error{Span: Span{From: Pos{Line: 1, Column: 1}}, Msg: "there is no formula",
			Hint: "write one, as in 2 pi", Incomplete: true}
	}
	if len(list) > 1 {
		return nil, &Error{Span: list[1].Sp, Msg: "one formula is wanted, and here a second begins", Hint: "delete it"}
	}
	if n == nil {
		n = &Names{}
	}
	p := &parser{n: n, last: true, settled: choice}
	defer p.recover(&err)
	p.toks = p.resolve(list[0].Tokens)
	x = p.sum()
	if p.i < len(p.toks) {
		p.unexpected()
	}
	p.checkDepth(x)
	return x, nil
}

// A parser reads the tokens of one statement by recursive descent, one method per rule of the grammar in the package
// comment. It gives up at the first fault by a panic with an *Error, which recover turns into the result.
type parser struct {
	toks    []Token
	i       int
	n       *Names
	depth   int  // nesting at the place
	bars    int  // open | at this bracket level
	last    bool // the statement ends the text
	settled bool // the text is a Choice
	remarks []Remark
	covers  []Cover
}

func (p *parser) recover(err *error) {
	switch e := recover().(type) {
	case nil:
	case *Error:
		*err = e
	default:
		panic(e)
	}
}

//go:noinline
func (p *parser) fail(sp Span, msg, hint string) { panic(&Error{Span: sp, Msg: msg, Hint: hint}) }

// ask fails at what has more than one reading. The choices are clear ways to write it.
//
//go:noinline
func (p *parser) ask(sp Span, msg, hint string, choices ...string) {
	panic(&Error{Span: sp, Msg: msg, Hint: hint, Choices: p.choices(choices)})
}

// choices reads each of the texts as a formula; there are none in a text that is a choice itself.
func (p *parser) choices(texts []string) []Choice {
	if p.settled {
		return nil
	}
	return ReadChoices(p.n, texts...)
}

// ReadChoices makes choices of texts, each with its formula where it is one.
func ReadChoices(n *Names, texts ...string) (out []Choice) {
	for _, text := range texts {
		x, err := parseExpr(text, n, true)
		if err != nil {
			x = nil
		}
		out = append(out, Choice{text, x})
	}
	return out
}

// askEither is ask for two readings of the text at sp.
func (p *parser) askEither(sp Span, text, one, other string) {
	p.ask(sp, twoReadings(text), fmt.Sprintf("write %s or %s", one, other), one, other)
}

// unfinished fails at token t; the fault is mere incompleteness when the place is the end of the text.
func (p *parser) unfinished(t Token, msg, hint string) {
	panic(&Error{Span: t.Sp, Msg: msg, Hint: hint, Incomplete: p.last && p.i >= len(p.toks)})
}

//go:noinline
func (p *parser) remark(sp Span, text string) {
	p.remarks = append(p.remarks, Remark{Sp: sp, Text: text})
}

// peek returns the token at the place; one of no kind at the end.
//
//go:noinline
func (p *parser) peek() Token {
	if p.i < len(p.toks) {
		return p.toks[p.i]
	}
	return Token{}
}

// enter counts one level of nesting, leave ends it.
func (p *parser) enter() {
	if p.depth++; p.depth > MaxNesting {
		p.fail(p.toks[min(p.i, len(p.toks)-1)].Sp, fmt.Sprintf("the formula nests more than %d deep", MaxNesting),
			"give a part a name of its own")
	}
}

func (p *parser) leave() { p.depth-- }

// span returns the stretch from token start to the last token read.
//
//go:noinline
func (p *parser) span(start int) Span { return tokenSpan(p.toks, start, p.i) }

// written returns the tokens [from, end) as they were written.
//
//go:noinline
func (p *parser) written(from, end int) string {
	return written(p.toks[from:end])
}

// leibniz matches a quotient of differentials, unless the sheet declares one of its names.
func (p *parser) leibniz(toks []Token, i int) (leibniz, bool) {
	l, ok := matchLeibniz(toks, i)
	if !ok {
		return l, false
	}
	for _, name := range l.names {
		if p.n.declared(name) {
			return l, false
		}
	}
	return l, true
}

func (p *parser) relation() *Relation {
	r := &Relation{}
	if t := p.peek(); t.Kind == OpenToken && t.Text != "{" && p.isInterval(p.i) {
		r.Range = p.interval()
		r.Sp = p.span(0)
		if p.i < len(p.toks) {
			p.unexpected()
		}
		return r
	}
	r.Sides = append(r.Sides, p.sum())
	for p.peek().relation() {
		op := p.peek()
		if op.Text == "=" && len(r.Sides) > 1 {
			p.runOn(r.Sides[len(r.Sides)-1])
		}
		p.i++
		if op.Text == "=" && p.peek().is(OperatorToken, "?") {
			if _, name := r.Sides[0].(*Name); !name || len(r.Sides) > 1 {
				p.fail(p.peek().Sp, "“?” stands for the value of a name that is sought", "write lambda = ?")
			}
			p.i++
			r.Sought = true
			if t := p.peek(); t.is(NameToken, "near") {
				p.i++
				if p.i >= len(p.toks) {
					p.unfinished(t, "“near” has nothing after it", "write a number after it")
				}
				r.Near = p.sum()
			}
			break
		}
		r.Ops = append(r.Ops, op.Text)
		r.Sides = append(r.Sides, p.sum())
	}
	if t := p.peek(); t.is(NameToken, "in") {
		if _, name := r.Sides[0].(*Name); !name || len(r.Sides) > 2 || len(r.Ops) == 1 && r.Ops[0] != "=" {
			p.unexpected()
		}
		p.i++
		if next := p.peek(); next.Kind != OpenToken || !p.isInterval(p.i) {
			p.unfinished(t, "“in” needs an interval after it", "write in [0, 1]")
		}
		r.Range = p.interval()
	}
	if p.i < len(p.toks) {
		p.unexpected()
	}
	r.Sp = p.span(0)
	return r
}

// runOn refuses "y(0) = 1 y(1) = 0", where a separator is missing and the end of a side is really the beginning of the
// next statement.
func (p *parser) runOn(side Node) {
	for {
		switch n := side.(type) {
		case *Negate:
			side = n.X
			continue
		case *Binary:
			switch n.Y.(type) {
			case *Name, *Jet:
				p.runOnAt(n)
				return
			}
			side = n.Y
			continue
		}
		return
	}
}

// runOnAt refuses a product without a sign whose second factor stands behind a space.
func (p *parser) runOnAt(n *Binary) {
	from := n.Y.Span().From
	for k, t := range p.toks[:p.i] {
		if n.Op == '*' && t.Sp.From == from && t.Space && p.toks[k-1].Kind != OperatorToken {
			p.fail(p.span(k), fmt.Sprintf("a new statement seems to begin at “%s”", p.written(k, p.i)),
				"put a comma before it, or * for a product")
		}
	}
}

// isInterval reports whether the bracket at i holds two things with a comma between.
func (p *parser) isInterval(i int) bool { return commas(p.toks[i+1:max(i+1, matching(p.toks, i))]) > 0 }

// commas counts the commas outside brackets.
func commas(toks []Token) (n int) {
	depth := 0
	for _, t := range toks {
		switch t.Kind {
		case OpenToken:
			depth++
		case CloseToken:
			depth--
		case CommaToken:
			if depth == 0 {
				n++
			}
		}
	}
	return n
}

func (p *parser) interval() []Node {
	open := p.peek()
	p.i++
	a := p.sum()
	if p.peek().Kind != CommaToken {
		p.unexpected()
	}
	p.i++
	b := p.sum()
	if p.peek().Kind == CommaToken {
		p.fail(open.Sp, "an interval has two ends, and here are more", "write [0, 1]")
	}
	if p.peek().Kind != CloseToken {
		p.unexpected()
	}
	p.i++
	return []Node{a, b}
}

func (p *parser) sum() Node {
	start := p.i
	x := p.signed()
	for {
		t := p.peek()
		if !t.is(OperatorToken, "+") && !t.is(OperatorToken, "-") {
			return x
		}
		p.i++
		y := p.signed()
		x = &Binary{p.span(start), t.Text[0], x, y}
	}
}

// signed reads a product with signs before it; the sign takes the whole product.
func (p *parser) signed() Node { return p.signs(p.product) }

// signs reads what may have signs before it.
func (p *parser) signs(read func() Node) Node {
	t := p.peek()
	if !t.is(OperatorToken, "+") && !t.is(OperatorToken, "-") {
		return read()
	}
	start := p.i
	p.enter()
	p.i++
	x := p.signs(read)
	p.leave()
	if t.Text == "-" {
		return &Negate{p.span(start), x}
	}
	return x
}

func (p *parser) product() Node {
	start := p.i
	x := p.factor()
	left := start // where the left side of the last quotient begins
	slash := -1   // the sign of the quotient just read
	for {
		t := p.peek()
		at := p.i
		switch {
		case t.is(OperatorToken, "*") || t.is(OperatorToken, "/"):
			p.i++
			y := p.factor()
			x = &Binary{p.span(start), t.Text[0], x, y}
			if t.Text == "/" {
				slash = at
			} else {
				left, slash = at+1, -1
			}
		case p.begins(t):
			p.beforeFactor(at)
			y := p.power(false)
			if slash >= 0 && (!t.Space || p.constantsOnly(left, slash, at)) {
				a, b, c := p.written(left, slash), p.written(slash+1, at), p.written(at, p.i)
				p.askEither(p.span(left), p.written(left, p.i), fmt.Sprintf("(%s/%s)*%s", a, b, c),
					fmt.Sprintf("%s/(%s*%s)", a, b, c))
			}
			x = &Binary{p.span(start), '*', x, y}
			slash = -1
		case t.Kind == PrimeToken || t.is(CommandToken, "prime"):
			p.fail(t.Sp, fmt.Sprintf("a prime stands after “%s”", p.toks[p.i-1].raw),
				"put it after the name of an unknown, as in y', or after a bracket, as in (k y')'")
		default:
			return x
		}
	}
}

// constantsOnly reports whether the quotient from token left on, with its sign at slash, has a constant alone below,
// and a constant follows it at token at: h P / k A is (h P/k) A to some and h P/(k A) to others. A number above tells,
// as in 1/k A.
func (p *parser) constantsOnly(left, slash, at int) bool {
	constant := func(t Token) bool {
		return t.Kind == NameToken && p.n.Constants[t.Text] && !p.n.Varying[t.Text] && !p.n.Unknowns[t.Text]
	}
	if at != slash+2 || !constant(p.toks[slash+1]) || !constant(p.toks[at]) {
		return false
	}
	for _, t := range p.toks[left:slash] {
		if t.Kind == NameToken {
			return true
		}
	}
	return false
}

// begins reports whether a factor can begin with t, a product sign left out before it.
func (p *parser) begins(t Token) bool {
	switch t.Kind {
	case NumberToken, OpenToken:
		return true
	case NameToken:
		return !(t.Text == "in" || t.Text == "near") || p.n.declared(t.Text)
	case BarToken:
		return p.bars == 0
	case CommandToken:
		return t.Text == "frac" || t.Text == "sqrt" || t.Text == "cases" || t.Text == "int" || t.Text == "ramp"
	}
	return false
}

// beforeFactor refuses a number that follows something without a sign between them, and a bar that may as well close
// as open (|2|x|-1|).
func (p *parser) beforeFactor(at int) {
	t, before := p.toks[at], p.toks[at-1]
	if t.Kind == BarToken && at+1 < len(p.toks) && (p.toks[at+1].is(OperatorToken, "-") ||
		p.toks[at+1].is(OperatorToken, "+")) {
		p.fail(t.Sp, "it is not clear whether this “|” opens or closes", "write abs(…)")
	}
	if t.Kind != NumberToken {
		return
	}
	sp := Span{before.Sp.From, t.Sp.To}
	if before.Kind == NumberToken {
		p.askNumbers(sp, before, t, p.written(at-1, at+1))
	}
	p.fail(t.Sp, fmt.Sprintf("the number “%s” follows “%s” without a sign between them", t.raw, before.raw),
		fmt.Sprintf("write ^%s for a power, or *%s", t.Text, t.Text))
}

// askNumbers asks what two numbers side by side are: one, as 1 000, or a product.
func (p *parser) askNumbers(sp Span, before, t Token, text string) {
	msg := fmt.Sprintf("two numbers stand side by side: “%s”", text)
	one, product := before.Text+t.Text, before.Text+"*"+t.Text
	switch gap := t.Sp.From.Offset - before.Sp.To; {
	case p.i > 1 && p.toks[p.i-2].is(OperatorToken, "/") || p.i+1 < len(p.toks) && p.toks[p.i+1].is(OperatorToken, "/"):
		p.fail(sp, msg, "write * between them for a product")
	case !allDigits(before.Text) || !digit(rune(t.Text[0])) || gap > 3: // something that was passed over parts them
		p.ask(sp, msg, fmt.Sprintf("write %s for their product", product), product)
	case len(t.Text) == 3 && allDigits(t.Text):
		p.ask(sp, msg, fmt.Sprintf("write %s for one number", one), one)
	case gap == 1:
		p.ask(sp, msg, fmt.Sprintf("write %s for one number, or %s", one, product), one, product)
	}
	p.ask(sp, msg, fmt.Sprintf("write %s for their product", product), product)
}

// factor reads a power with signs before it; the sign takes the power alone.
func (p *parser) factor() Node { return p.signs(func() Node { return p.power(false) }) }

// power reads a primary and its exponent; bare says that a bracket is read without primes after it.
func (p *parser) power(bare bool) Node {
	start := p.i
	var x Node
	if t := p.peek(); bare && t.Kind == OpenToken {
		x = p.group()
	} else {
		x = p.primary()
	}
	caret := p.peek()
	if !caret.is(OperatorToken, "^") {
		return x
	}
	p.i++
	first := p.i
	y := p.exponent()
	p.farExponent(x, start, first)
	next := p.peek()
	if jet, ok := x.(*Jet); ok && jet.At == nil && next.is(OpenToken, "(") && !next.Space && !p.factorAt(p.i) {
		end := matching(p.toks, p.i) + 1
		arg, base, exp := p.written(p.i, end), p.written(start, first-1), p.written(first, p.i)
		p.i = end
		right := base + arg + "^" + exp
		p.ask(p.span(start), fmt.Sprintf("“%s” takes the power before the point", p.written(start, end)),
			"write "+right, right)
	}
	return &Binary{p.span(start), '^', x, y}
}

// farExponent refuses what may belong to an exponent without brackets or not: e^2x, e^-k x, e^-x/2, x^1/2.
func (p *parser) farExponent(x Node, start, first int) {
	next, from := p.peek(), p.i
	base, ok := x.(*Name)
	euler := ok && base.Name == "e" && !p.n.declared("e")
	_, numeric := x.(*Number) // 10^3x
	slash := next.is(OperatorToken, "/") && !next.Space && p.i+1 < len(p.toks) && !p.toks[p.i+1].Space
	bare := p.toks[p.i-1].Kind == NumberToken || p.toks[p.i-1].Kind == NameToken
	if !bare {
		return // e^{…}
	}
	has := p.mentions(first, p.i)
	sign := "*"
	switch {
	case slash && (euler && p.toks[p.i+1].Kind == NameToken || p.toks[p.i+1].Kind == NumberToken &&
		(euler || p.written(first, p.i) == "1")):
		sign, from = "/", p.i+1
	case next.is(NameToken, "n") && !next.Space && !euler && !numeric && p.n.declared("n") && !p.n.Unknowns["n"] &&
		p.toks[p.i-1].Kind == NumberToken: // x^2n
	case (euler || numeric) && next.Kind == NameToken && p.begins(next) && !p.functionAt(next) &&
		(!next.Space || !numeric && !has.unknown && !has.variable && next.Text == p.n.Variable):
	default:
		return
	}
	exp, power := p.written(first, p.i), p.written(start, first)
	p.i = from + 1
	rest := p.written(from, p.i)
	p.askEither(p.span(start), p.written(start, p.i), fmt.Sprintf("%s(%s%s%s)", power, exp, sign, rest),
		parenthesised(power, exp)+sign+rest)
}

// loweredEuler refuses e−x closed up, whose minus was raised or not.
func (p *parser) loweredEuler() {
	if t := p.peek(); t.Text != "e" || p.n.declared("e") || p.i+2 >= len(p.toks) {
		return
	}
	sign, next := p.toks[p.i+1], p.toks[p.i+2]
	if !sign.is(OperatorToken, "-") || sign.Space || next.Space || next.Kind != NameToken && next.Kind != NumberToken {
		return
	}
	end := p.i + 3
	for end < len(p.toks) && !p.toks[end].Space && (p.toks[end].Kind == NameToken || p.toks[end].Kind == NumberToken) {
		end++
	}
	text, power := p.written(p.i, end), p.written(p.i+2, end)
	p.askEither(Span{p.toks[p.i].Sp.From, p.toks[end-1].Sp.To}, text, "e^(-"+power+")", "e - "+power)
}

// parenthesised is a power with brackets around the whole where it needs them.
func parenthesised(power, exp string) string {
	if exp == "1" {
		return "(" + power + exp + ")"
	}
	return power + exp
}

// exponent reads what stands after ^.
func (p *parser) exponent() Node {
	p.enter()
	defer p.leave()
	t := p.peek()
	if t.is(OperatorToken, "-") || t.is(OperatorToken, "+") {
		start := p.i
		p.i++
		x := p.exponent()
		if t.Text == "-" {
			return &Negate{p.span(start), x}
		}
		return x
	}
	return p.power(true)
}

func (p *parser) primary() Node {
	t := p.peek()
	start := p.i
	if l, ok := p.leibniz(p.toks, p.i); ok {
		return p.quotient(l)
	}
	switch t.Kind {
	case NumberToken:
		p.i++
		v, err := strconv.ParseFloat(t.Text, 64)
		if err != nil {
			p.fail(t.Sp, fmt.Sprintf("the number “%s” is too large", t.raw), "numbers go up to 1.7e308")
		}
		return &Number{t.Sp, v, t.Text}
	case NameToken:
		if !p.word(t) || t.Text == "if" {
			p.loweredEuler()
			return p.name()
		}
	case OpenToken:
		x := p.group()
		return p.primed(x, start)
	case BarToken:
		return p.bar()
	case CommandToken:
		switch t.Text {
		case "frac":
			p.i++
			x := p.braces(t, "two arguments")
			y := p.braces(t, "two arguments")
			return &Binary{p.span(start), '/', x, y}
		case "sqrt":
			return p.root()
		case "int":
			return p.integral()
		case "ramp":
			return p.ramp()
		case "cases":
			return p.choice()
		}
	}
	p.missing()
	return nil
}

// missing fails where a factor is wanted and there is none.
func (p *parser) missing() {
	t := p.peek()
	if p.i == 0 {
		p.fail(t.Sp, fmt.Sprintf("“%s” has nothing before it", t.raw), "write a formula before it")
	}
	before := p.toks[p.i-1]
	switch {
	case t.is(OperatorToken, "±"):
		p.unexpected()
	case before.Kind == OpenToken && t.Kind == CloseToken:
		p.fail(Span{before.Sp.From, t.Sp.To}, "an empty bracket", "write something in it or delete it")
	case t.is(OperatorToken, "?"):
		p.fail(t.Sp, "“?” stands for the value of a name that is sought", "write lambda = ? on a line of its own")
	case t.Kind == PrimeToken || t.is(CommandToken, "prime"):
		p.fail(t.Sp, fmt.Sprintf("a prime stands after “%s”", before.raw), "put it after the name of an unknown, as "+
			"in y', or after a bracket, as in (k y')'")
	case t.Kind == OperatorToken && (before.Kind == OpenToken || before.Kind == CommaToken || before.Kind == BarToken ||
		before.Kind == OperatorToken):
		p.fail(t.Sp, fmt.Sprintf("“%s” has nothing before it", t.raw), "write a formula before it")
	}
	p.unfinished(before, fmt.Sprintf("“%s” has nothing after it", before.raw), "write what belongs there")
}

// unexpected fails at a token that cannot stand at its place.
func (p *parser) unexpected() {
	t := p.peek()
	switch {
	case t.Kind == 0:
		p.unfinished(p.toks[len(p.toks)-1], fmt.Sprintf("“%s” has nothing after it", p.toks[len(p.toks)-1].raw),
			"write what belongs there")
	case t.Kind == CommaToken:
		p.fail(t.Sp, "a comma stands in a bracket that holds one thing",
			"write a decimal point in a number, and * for a product")
	case t.relation():
		p.fail(t.Sp, fmt.Sprintf("“%s” stands inside a formula", t.raw), "write if(x < 0.4, 2, 5) for a choice")
	case t.is(OperatorToken, "?"):
		p.fail(t.Sp, "“?” stands for the value of a name that is sought", "write lambda = ? on a line of its own")
	case t.is(OperatorToken, "±"):
		p.fail(t.Sp, "“±” states two things at once", "choose one sign")
	case t.is(OperatorToken, "→"):
		p.fail(t.Sp, "“→” stands for a limit, and this is none", "write it as in y -> 0 as x -> inf, or y(inf) = 0")
	case t.is(NameToken, "near"):
		p.fail(t.Sp, "“near” follows a “?”", "write lambda = ? near 3")
	case t.is(NameToken, "in"):
		p.fail(t.Sp, "“in” follows the variable or the value of a constant", "write x in [0, 1]")
	case t.is(CommandToken, "at"):
		p.fail(t.Sp, "“|_” follows an unknown or its derivative", "write y'(0)")
	case t.Kind == CommandToken:
		p.fail(t.Sp, fmt.Sprintf("“%s” cannot stand here", t.raw), "write one value and one condition on each line")
	}
	p.fail(t.Sp, fmt.Sprintf("“%s” cannot stand here", t.raw), "delete it or write the sign that is missing before it")
}

// group reads a bracket and what it holds.
//
//go:noinline
func (p *parser) group() (x Node) {
	p.within(func() { x = p.sum() })
	return x
}

// within reads a bracket, whose content read takes.
func (p *parser) within(read func()) {
	end := matching(p.toks, p.i)
	p.enter()
	bars := p.bars
	p.bars = 0
	p.i++
	read()
	if p.i != end {
		p.unexpected()
	}
	p.i++
	p.bars = bars
	p.leave()
}

// primed reads what may stand after a bracket that began at token start: primes.
func (p *parser) primed(x Node, start int) Node {
	order, end := matchPrimes(p.toks, p.i)
	if order == 0 {
		if p.peek().is(CommandToken, "at") && holdsJet(x) { // [k dT/dx]_{x=0}
			d := p.placed(&Diff{p.span(start), 0, x, nil}, start)
			if jet, ok := x.(*Jet); ok && jet.At == nil {
				return &Jet{d.Sp, jet.Name, jet.Order, d.At}
			}
			return d
		}
		return x
	}
	brace := p.toks[start].Text == "{"
	p.i = end
	if jet, ok := x.(*Jet); ok && brace && jet.At == nil { // {y}''
		return p.point(&Jet{p.span(start), jet.Name, jet.Order + order, nil}, start)
	}
	return p.placed(&Diff{p.span(start), order, x, nil}, start)
}

func holdsJet(n Node) (found bool) {
	Walk(n, func(n Node) bool {
		_, jet := n.(*Jet)
		found = found || jet
		return !found
	})
	return found
}

// placed reads the point at which an expression is taken, if one follows.
func (p *parser) placed(d *Diff, start int) *Diff {
	t := p.peek()
	switch {
	case t.is(CommandToken, "at"):
		p.i++
		d.At = p.barPoint(t)
	case t.is(OpenToken, "(") && !t.Space && p.namesPoint(p.i):
		d.At = p.barPoint(t)
	case t.is(OpenToken, "(") && !t.Space && !p.factorAt(p.i):
		at := p.group()
		if name, ok := at.(*Name); !ok || name.Name != p.n.Variable {
			d.At = at
		}
	default:
		return d
	}
	d.Sp = p.span(start)
	return d
}

// braces reads the argument of a command.
func (p *parser) braces(cmd Token, want string) Node {
	if t := p.peek(); t.Kind != OpenToken {
		p.unfinished(cmd, fmt.Sprintf("“%s” needs %s in braces", cmd.raw, want),
			"write "+cmd.raw+map[string]string{"two arguments": "{a}{b}", "its argument": "{a}"}[want])
	}
	return p.group()
}

// root reads \sqrt{…} and \sqrt[n]{…}.
func (p *parser) root() Node {
	start := p.i
	cmd := p.peek()
	p.i++
	var n Node
	if t := p.peek(); t.is(OpenToken, "[") {
		n = p.group()
	}
	x := p.braces(cmd, "its argument")
	if n == nil {
		return &Call{Sp: p.span(start), Func: "sqrt", Args: []Node{x}}
	}
	if k, ok := n.(*Number); ok {
		switch k.Value {
		case 2:
			return &Call{Sp: p.span(start), Func: "sqrt", Args: []Node{x}}
		case 3:
			return &Call{Sp: p.span(start), Func: "cbrt", Args: []Node{x}}
		}
	}
	return &Binary{p.span(start), '^', x, &Binary{Op: '/', X: &Number{Value: 1, Text: "1"}, Y: n}}
}

// bar reads |x|.
func (p *parser) bar() Node {
	start := p.i
	open := p.peek()
	p.enter()
	p.bars++
	p.i++
	x := p.sum()
	p.bars--
	p.leave()
	if t := p.peek(); t.Kind != BarToken {
		if t.Kind == 0 || t.Kind == CloseToken || t.Kind == CommaToken || t.relation() {
			p.unfinished(open, "“|” is not closed", "add “|”")
		}
		p.unexpected()
	}
	p.i++
	return &Call{Sp: p.span(start), Func: "abs", Args: []Node{x}}
}

// choice reads a cases environment as nested if(…).
func (p *parser) choice() Node {
	start := p.i
	open := p.toks[p.i+1]
	end := matching(p.toks, p.i+1)
	p.enter()
	p.i += 2
	var values []Node
	var when []*chain // nil for "otherwise"
	for p.i < end {
		values = append(values, p.sum())
		if p.peek().Kind == CommaToken {
			p.i++
		}
		if !p.peek().is(CommandToken, "when") {
			p.fail(p.toks[p.i-1].Sp, "a value without its condition", "write 2 & x < 0.4 \\\\ in each line")
		}
		p.i++
		if p.peek().is(CommandToken, "otherwise") {
			p.i++
			when = append(when, nil)
		} else {
			when = append(when, p.chain())
		}
		if p.peek().Kind == CommaToken {
			p.i++
		}
		if p.peek().is(CommandToken, "row") {
			p.i++
			continue
		}
		break
	}
	if p.i != end {
		p.unexpected()
	}
	p.i++
	p.leave()
	for i, c := range when {
		if c == nil && i < len(when)-1 {
			p.fail(values[i].Span(), "“otherwise” stands before the last line", "write it in the last line")
		}
	}
	return p.chosen(p.span(start), open, values, when)
}

// A chain is the condition of a choice: a < x < b, or one comparison.
type chain struct {
	sides []Node
	ops   []string
	sp    Span
}

// chain reads the condition of a choice.
func (p *parser) chain() *chain {
	start := p.i
	c := &chain{sides: []Node{p.sum()}}
	for p.peek().relation() && p.peek().Text != "=" && len(c.ops) < 2 {
		c.ops = append(c.ops, p.peek().Text)
		p.i++
		c.sides = append(c.sides, p.sum())
	}
	if len(c.ops) == 0 {
		t := p.toks[p.i-1]
		p.unfinished(t, "a choice needs a comparison first", "write if(x < 0.4, 2, 5)")
	}
	if t := p.peek(); t.relation() || len(c.ops) == 2 && c.ops[0][0] != c.ops[1][0] {
		p.fail(p.span(start), "a choice holds one comparison, or one interval",
			"write 0 < x < 1, or a second choice inside "+
				"it: if(x < a, 1, if(x < b, 2, 3))")
	}
	c.sp = p.span(start)
	for _, s := range c.sides {
		p.checkDepth(s) // Equal walks them
	}
	return c
}

// interval returns what a chain of x says of it: lo < x < hi, where either may be nil; ok is false where no side is x.
func (c *chain) interval(x Node) (lo, hi Node, ok bool) {
	sides, ops := c.sides, c.ops
	if ops[0][0] == '>' { // read from the right
		sides = make([]Node, len(c.sides))
		for i, s := range c.sides {
			sides[len(sides)-1-i] = s
		}
	}
	switch {
	case len(sides) == 3:
		return sides[0], sides[2], Equal(sides[1], x)
	case Equal(sides[0], x):
		return nil, sides[1], true
	case Equal(sides[1], x):
		return sides[0], nil, true
	}
	return nil, nil, false
}

// middle returns what the chain is about: the middle of three, and of two the side that is the variable.
func (p *parser) middle(c *chain) Node {
	if len(c.sides) == 3 {
		return c.sides[1]
	}
	for _, s := range c.sides {
		if n, ok := s.(*Name); ok && n.Name == p.n.Variable {
			return s
		}
	}
	return c.sides[0]
}

// compare returns a chain of one comparison.
func (c *chain) compare() *Compare { return &Compare{c.sp, c.ops[0], c.sides[0], c.sides[1]} }

// chosen makes nested choices of values and conditions. Intervals of one variable that follow each other become x < b,
// x < c, …; what lies outside of them all is told to the sheet.
func (p *parser) chosen(sp Span, open Token, values []Node, when []*chain) Node {
	n := len(values)
	last := "the last line of a choice must hold otherwise"
	hint := "write \\text{otherwise} in place of its condition, or use if(…)"
	if n == 2 && when[1] != nil && len(when[0].ops) == 1 && len(when[1].ops) == 1 && complementary(when[0].compare(),
		when[1].compare()) {
		return &Call{Sp: sp, Func: "if", Args: []Node{when[0].compare(), values[0], values[1]}}
	}
	if x := p.tiled(sp, values, when); x != nil {
		return x
	}
	if n < 2 || when[n-1] != nil {
		p.fail(open.Sp, last, hint)
	}
	x := values[n-1]
	for i := n - 2; i >= 0; i-- {
		c := when[i]
		if len(c.ops) == 1 {
			x = &Call{Sp: sp, Func: "if", Args: []Node{c.compare(), values[i], x}}
			continue
		}
		if n > 6 {
			p.fail(c.sp, "a choice of this length holds one comparison in each line", "put a second choice inside it")
		}
		inner := &Call{Sp: sp, Func: "if", Args: []Node{&Compare{c.sp, c.ops[1], c.sides[1], c.sides[2]}, values[i], x}}
		x = &Call{Sp: sp, Func: "if", Args: []Node{&Compare{c.sp, c.ops[0], c.sides[0], c.sides[1]}, inner, x}}
	}
	return x
}

// tiled reads pieces on intervals that follow each other, nil where they do not.
func (p *parser) tiled(sp Span, values []Node, when []*chain) Node {
	n := len(values)
	var rest Node // the value outside
	if when[n-1] == nil {
		rest, values, when, n = values[n-1], values[:n-1], when[:n-1], n-1
	}
	if n == 0 || n == 1 && rest == nil {
		return nil
	}
	x := p.middle(when[0])
	los, his := make([]Node, n), make([]Node, n)
	for i, c := range when {
		var ok bool
		if los[i], his[i], ok = c.interval(x); !ok {
			return nil
		}
		if i > 0 && (los[i] == nil && n > 1 || his[i-1] == nil || los[i] != nil && !Equal(los[i], his[i-1])) {
			return nil
		}
	}
	if rest != nil && n == 1 && len(when[0].ops) == 1 {
		return nil // one comparison and otherwise
	}
	var out Node
	less := func(end, a, b Node) Node {
		return &Call{Sp: sp, Func: "if", Args: []Node{&Compare{sp, "<", x, end}, a, b}}
	}
	out = values[n-1]
	if rest != nil && his[n-1] != nil {
		out = less(his[n-1], out, rest)
	}
	for i := n - 2; i >= 0; i-- {
		out = less(his[i], values[i], out)
	}
	if rest != nil && los[0] != nil {
		out = less(los[0], rest, out)
	}
	if rest == nil {
		p.covers = append(p.covers, Cover{Sp: sp, Of: x, From: los[0], To: his[n-1]})
	}
	return out
}

// complementary reports whether two comparisons exclude each other and leave nothing between.
func complementary(a, b *Compare) bool {
	return Equal(a.X, b.X) && Equal(a.Y, b.Y) && a.Op[0] != b.Op[0]
}

// compare reads the condition of a choice.
func (p *parser) compare() *Compare {
	start := p.i
	x := p.sum()
	op := p.peek()
	if !op.relation() || op.Text == "=" {
		t := p.toks[p.i-1]
		p.unfinished(t, "a choice needs a comparison first", "write if(x < 0.4, 2, 5)")
	}
	p.i++
	y := p.sum()
	c := &Compare{p.span(start), op.Text, x, y}
	if t := p.peek(); t.relation() {
		p.fail(t.Sp, "a choice holds one comparison", "put a second choice inside it: if(x < a, 1, if(x < b, 2, 3))")
	}
	return c
}

// checkDepth refuses a tree that is too high to be walked by recursion on a small stack.
func (p *parser) checkDepth(n Node) {
	type item struct {
		n     Node
		depth int
	}
	if n == nil {
		return
	}
	for todo := []item{{n, 1}}; len(todo) > 0; {
		it := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if it.depth > MaxDepth {
			p.fail(n.Span(), fmt.Sprintf("the formula has more than %d operations one upon the other", MaxDepth),
				"give parts of it names of their own")
		}
		for _, c := range Children(it.n) {
			todo = append(todo, item{c, it.depth + 1})
		}
	}
}
