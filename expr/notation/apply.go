package notation

import "fmt"

// Names and what they are applied to: unknowns at points, derivatives, functions, abbreviations.

// name reads a name and what belongs to it.
func (p *parser) name() Node {
	start := p.i
	t := p.peek()
	_, abbrev := p.n.Abbrevs[t.Text]
	switch {
	case p.n.Unknowns[t.Text]:
		return p.jet()
	case abbrev:
		return p.abbreviation()
	case p.isQuantity(t):
		return p.quantity()
	case p.n.declared(t.Text):
		p.i++
		order, end := matchPrimes(p.toks, p.i)
		if order == 0 || p.toks[p.i].is(OperatorToken, "^") && !p.toks[p.i+1].is(CommandToken, "prime") &&
			!p.raisedPrimes(p.i) {
			x := &Name{t.Sp, t.Text}
			if p.ofUnknown(x, start) || !p.n.Varying[t.Text] {
				return x
			}
			if d := p.placed(&Diff{t.Sp, 0, x, nil}, start); d.At != nil {
				return d
			}
			return x
		}
		if t.Text == p.n.Variable {
			p.i = end
			p.fail(p.span(start), fmt.Sprintf("“%s” is the variable and has no derivative", t.raw),
				"put the prime after an unknown, as in y'")
		}
		p.i = end
		d := &Diff{p.span(start), order, &Name{t.Sp, t.Text}, nil}
		return p.placed(d, start)
	case p.step(t, p.i+1) != "":
		f := p.step(t, p.i+1)
		p.i++
		x := &Call{Func: f, Args: p.arguments(false)}
		x.Sp = p.span(start)
		if f == "heaviside" {
			p.remark(t.Sp, t.raw+" is read as the step function, 0 and then 1")
		}
		return x
	case constants[t.Text]:
		p.i++
		return &Name{t.Sp, t.Text}
	case t.Text == "gamma" && (t.raw != "gamma" || p.i+1 >= len(p.toks) || p.toks[p.i+1].Kind != OpenToken):
		// Rather a forgotten constant than the gamma function.
		panic(&Error{Span: t.Sp, Msg: "unknown name “gamma”", Unknown: t.Text,
			Hint: "give it a value, as in gamma = 1, or write gamma(x) for the gamma function"})
	case function(t.Text) != "":
		return p.call(function(t.Text))
	}
	p.unknownName(t)
	return nil
}

// ofUnknown passes over the argument of K(u) where K = … is a formula of the unknown u: it is K itself. Of another name
// it asks, as it may be a product.
func (p *parser) ofUnknown(x *Name, start int) bool {
	if p.ofAll() {
		return true
	}
	if p.i+2 >= len(p.toks) || !p.toks[p.i].is(OpenToken, "(") || p.toks[p.i].Space || x.Name == p.n.Variable ||
		p.toks[p.i+2].Kind != CloseToken || !p.n.Unknowns[p.toks[p.i+1].Text] || p.toks[p.i+1].Kind != NameToken {
		return false
	}
	u := p.toks[p.i+1].Text
	p.i += 3
	if p.n.Formulas[[2]string{x.Name, u}] {
		return true
	}
	text := p.written(start, p.i)
	alone, product := x.Name, x.Name+"*"+u
	p.ask(p.span(start), fmt.Sprintf("“%s” may be %s where the unknown is %s, or a product", text, x.Name, u),
		fmt.Sprintf("write %s or %s", alone, product), alone, product)
	return false
}

// ofAll passes over the list of f(x, y, y') where f = … is given without it: the variable, unknowns and derivatives.
func (p *parser) ofAll() bool {
	if !p.peek().is(OpenToken, "(") || p.peek().Space {
		return false
	}
	k, commas := p.i+1, 0
	for ; k < len(p.toks) && p.toks[k].Kind != CloseToken; k++ {
		switch t := p.toks[k]; {
		case t.Kind == CommaToken:
			commas++
		case t.Kind == NameToken && (t.Text == p.n.Variable || p.n.Unknowns[t.Text]), t.Kind == PrimeToken:
		default:
			return false
		}
	}
	if k == len(p.toks) || commas == 0 {
		return false
	}
	p.i = k + 1
	return true
}

// raisedPrimes reports whether ^{…} at i holds primes rather than a bracketed number.
func (p *parser) raisedPrimes(i int) bool {
	return i+2 < len(p.toks) && (p.toks[i+2].is(CommandToken, "prime") || p.toks[i+2].Kind == PrimeToken)
}

// jet reads an unknown with its primes and its point.
func (p *parser) jet() Node {
	start := p.i
	t := p.peek()
	p.i++
	order, end := matchPrimes(p.toks, p.i)
	if order == 0 && p.i+3 < len(p.toks) && p.toks[p.i].is(OperatorToken, "^") && p.toks[p.i+1].is(OpenToken, "(") &&
		p.toks[p.i+3].Kind == CloseToken {
		if n := smallCount(p.toks[p.i+2].Text); n > 0 {
			text := p.written(start, p.i+4)
			p.i += 4
			prime := "''''''''"[:min(n, 8)]
			if n > 4 {
				prime = fmt.Sprintf("^{(%d)}", n)
			}
			derivative, power := t.Text+prime, fmt.Sprintf("%s^%d", t.Text, n)
			p.ask(p.span(start), fmt.Sprintf("“%s” may be a derivative or a power", text),
				fmt.Sprintf("write %s or %s", derivative, power), derivative, power)
		}
	}
	p.i = end
	return p.point(&Jet{p.span(start), t.Text, order, nil}, start)
}

// point reads the point at which an unknown is taken, if one follows.
func (p *parser) point(j *Jet, start int) Node {
	t := p.peek()
	if t.is(CommandToken, "at") {
		p.i++
		j.At = p.barPoint(t)
		j.Sp = p.span(start)
		return j
	}
	if !t.is(OpenToken, "(") && !(t.is(OpenToken, "[") && !t.Space) {
		return j
	}
	end := matching(p.toks, p.i)
	if p.namesPoint(p.i) { // y(x = 0)
		j.At = p.barPoint(t)
		j.Sp = p.span(start)
		return j
	}
	has := p.mentions(p.i+1, end)
	inside := p.written(p.i+1, end)
	switch {
	case end == p.i+2 && p.toks[p.i+1].Text == p.n.Variable && p.n.Variable != "":
		p.i = end + 1
		j.Sp = p.span(start)
		if q := p.peek(); q.Kind == PrimeToken {
			p.fail(q.Sp, "a prime stands after the point", fmt.Sprintf("write %s%s(%s)", j.Name, q.Text, inside))
		}
		return j
	case has.unknown:
		return j // y(1 - y) is a product
	case has.variable && t.Space:
		return j // y (1 - x) is a product
	case has.variable && j.Name == "delta" && j.Order > 0:
		p.fail(Span{j.Sp.From, p.toks[end].Sp.To}, "a couple, δ′, is not read in an equation",
			"state what jumps: w''(a+) - w''(a-) = M/EI, on a line of its own")
	case has.variable:
		name := p.written(start, p.i)
		p.i = end + 1
		p.ask(p.span(start), fmt.Sprintf("“%s” is neither %s at a point nor clearly a product", p.written(start, p.i),
			name), fmt.Sprintf("write %s*(%s) for a product", name, inside), fmt.Sprintf("%s*(%s)", name, inside))
	case t.Space && has.sum:
		name := p.written(start, p.i)
		p.i = end + 1
		at, product := fmt.Sprintf("%s(%s)", name, inside), fmt.Sprintf("%s*(%s)", name, inside)
		p.ask(p.span(start), twoReadings(p.written(start, p.i)),
			fmt.Sprintf("write %s for the value at a point, or %s", at, product), at, product)
	}
	j.At = p.group()
	j.Sp = p.span(start)
	if q := p.peek(); q.Kind == PrimeToken {
		p.fail(q.Sp, "a prime stands after the point", fmt.Sprintf("write %s%s(%s)", j.Name, q.Text, inside))
	}
	return j
}

// namesPoint reports whether the bracket at i holds "x = …".
func (p *parser) namesPoint(i int) bool {
	return i+2 < len(p.toks) && p.toks[i+1].Kind == NameToken && p.toks[i+2].is(OperatorToken, "=")
}

// barPoint reads the point in y|_{x=0}, after its bar, and that in y(x = 0).
func (p *parser) barPoint(bar Token) Node {
	t := p.peek()
	if t.Kind == NumberToken || t.Kind == NameToken {
		return p.primary()
	}
	if t.Kind != OpenToken {
		p.unfinished(bar, "“|_” needs a point after it", "write y'|_{x=0} or y'(0)")
	}
	if p.namesPoint(p.i) {
		if v := p.toks[p.i+1]; p.n.Variable != "" && v.Text != p.n.Variable {
			p.fail(v.Sp, fmt.Sprintf("“%s” is not the variable, which is %s", v.raw, p.n.Variable),
				"write the point of the variable")
		}
		end := matching(p.toks, p.i)
		p.enter()
		p.i += 3
		x := p.sum()
		if p.i != end {
			p.unexpected()
		}
		p.i++
		p.leave()
		return x
	}
	return p.group()
}

// content says what a stretch of tokens holds.
type content struct{ unknown, variable, sum bool }

// mentions looks at the tokens [from, end).
func (p *parser) mentions(from, end int) content {
	var c content
	depth := 0
	for i := from; i < end; i++ {
		switch t := p.toks[i]; t.Kind {
		case NameToken:
			c.unknown = c.unknown || p.n.Unknowns[t.Text]
			c.variable = c.variable || t.Text == p.n.Variable && t.Text != ""
		case OpenToken:
			depth++
		case CloseToken:
			depth--
		case OperatorToken:
			c.sum = c.sum || depth == 0 && i > from && (t.Text == "+" || t.Text == "-") &&
				p.toks[i-1].Kind != OperatorToken
		}
	}
	return c
}

// factorAt reports whether a bracket at i, after something that might be taken at a point, is a factor.
func (p *parser) factorAt(i int) bool {
	end := matching(p.toks, i)
	has := p.mentions(i+1, end)
	return has.unknown || has.variable && end != i+2
}

// quotient reads a quotient of differentials.
func (p *parser) quotient(l leibniz) Node {
	start := p.i
	whole := tokenSpan(p.toks, start, l.end)
	text := p.written(start, l.end)
	if l.order != l.power {
		p.fail(whole, fmt.Sprintf("“%s” has order %d above and %d below", text, l.order, l.power),
			"give both the same order, as in d^2y/dx^2")
	}
	if p.n.Variable != "" && l.variable != p.n.Variable {
		p.fail(p.toks[l.varAt].Sp, fmt.Sprintf("the derivative is with respect to %s, and the variable is %s",
			l.variable, p.n.Variable), "use one variable throughout")
	}
	switch {
	case l.unknown != "":
		p.i = l.end
		if p.n.Unknowns[l.unknown] {
			return p.point(&Jet{whole, l.unknown, l.order, nil}, start)
		}
		at := p.toks[l.at]
		if l.unknown == l.variable {
			p.fail(whole, fmt.Sprintf("“%s” is the variable and has no derivative", l.variable),
				"differentiate an unknown")
		}
		if !p.n.declared(l.unknown) {
			if at.Text != l.unknown { // the name begins after its d
				at.Sp.From.Offset += len(at.raw) - len(cut(at.raw, len(at.Text)-len(l.unknown), len(at.Text)))
				at.Sp.From.Column += len(at.Text) - len(l.unknown)
				at.raw, at.Text = l.unknown, l.unknown
			}
			p.unknownName(at)
		}
		d := &Diff{whole, l.order, &Name{at.Sp, l.unknown}, nil}
		return p.placed(d, start)
	case l.group != 0:
		p.i = l.group
		x := p.group()
		p.i = l.end
		d := &Diff{whole, l.order, x, nil}
		return p.placed(d, start)
	}
	p.i = l.end
	t := p.peek()
	if t.Kind == OpenToken {
		x := p.group()
		d := &Diff{p.span(start), l.order, x, nil}
		return p.placed(d, start)
	}
	if !p.begins(t) || t.Kind == NumberToken {
		p.unfinished(p.toks[l.end-1], fmt.Sprintf("“%s” has nothing after it to differentiate", text),
			fmt.Sprintf("write %s(…)", text))
	}
	p.enter()
	x := p.power(false)
	p.leave()
	if next := p.peek(); p.begins(next) {
		p.fail(p.span(start), fmt.Sprintf("it is not clear how far “%s” reaches", text),
			"put brackets around what is differentiated")
	}
	if jet, ok := x.(*Jet); ok && jet.At == nil {
		return &Jet{p.span(start), jet.Name, jet.Order + l.order, nil}
	}
	return &Diff{p.span(start), l.order, x, nil}
}

// isQuantity reports whether the name t at the place is a quantity with its arguments, or one whose arguments are
// missing.
func (p *parser) isQuantity(t Token) bool {
	if _, ok := p.n.Quantities[t.Text]; !ok {
		return false
	}
	bracket := p.i+1 < len(p.toks) && p.toks[p.i+1].is(OpenToken, "(") && !p.toks[p.i+1].Space
	return bracket || !p.n.Constants[t.Text]
}

// quantity reads integral(y, 0, 1): a function of the sheet's own that may take several numbers of arguments.
func (p *parser) quantity() Node {
	start := p.i
	t := p.peek()
	want := p.n.Quantities[t.Text]
	p.i++
	if next := p.peek(); !next.is(OpenToken, "(") && !next.is(OpenToken, "[") {
		p.unfinished(t, fmt.Sprintf("“%s” needs its argument in brackets", t.raw), fmt.Sprintf("write %s(…)", t.Text))
	}
	args := p.arguments(false)
	if len(args) < want[0] || len(args) > want[1] {
		takes := arguments(want[1])
		if want[0] < want[1] {
			takes = fmt.Sprintf("%d to %s", want[0], takes)
		}
		p.fail(p.span(start), fmt.Sprintf("“%s” takes %s, and here %s", t.raw, takes, count(len(args))),
			"look at what each argument stands for")
	}
	c := &Call{Sp: p.span(start), Func: t.Text, Args: args}
	if t.Text == "integral" {
		c.By = p.n.Variable
	}
	return c
}

// abbreviation reads k(T), or k alone where that is allowed.
func (p *parser) abbreviation() Node {
	start := p.i
	t := p.peek()
	want := p.n.Abbrevs[t.Text]
	p.i++
	next := p.peek()
	if !next.is(OpenToken, "(") && !next.is(OpenToken, "[") {
		if !p.n.Constants[t.Text] {
			p.unfinished(t, fmt.Sprintf("“%s” takes %s", t.raw, arguments(want)), fmt.Sprintf("write %s(…)", t.Text))
		}
		if order, end := matchPrimes(p.toks, p.i); order > 0 && !next.is(OperatorToken, "^") {
			p.i = end
			return &Diff{p.span(start), order, &Name{t.Sp, t.Text}, nil}
		}
		return &Name{t.Sp, t.Text}
	}
	if next.Space && p.n.Constants[t.Text] && !p.ofVariable(p.i) {
		inside := p.written(p.i, matching(p.toks, p.i)+1)
		p.i = matching(p.toks, p.i) + 1
		p.askEither(p.span(start), p.written(start, p.i), t.Text+inside, t.Text+"*"+inside)
	}
	args := p.arguments(false)
	if len(args) != want {
		p.fail(p.span(start), fmt.Sprintf("“%s” takes %s, and here %s", t.raw, arguments(want), count(len(args))),
			"give it as many as in its definition")
	}
	return &Call{Sp: p.span(start), Func: t.Text, Args: args}
}

// ofVariable reports whether the bracket at token i holds the variable alone, as the f (x) of PDF text.
func (p *parser) ofVariable(i int) bool {
	return i+2 < len(p.toks) && p.toks[i+1].is(NameToken, p.n.Variable) && p.toks[i+2].Kind == CloseToken
}

//go:noinline
func arguments(n int) string {
	if n == 1 {
		return "1 argument"
	}
	return fmt.Sprintf("%d arguments", n)
}

//go:noinline
func count(n int) string {
	if n == 1 {
		return "is 1"
	}
	return fmt.Sprintf("are %d", n)
}

// arguments reads a bracket with a list; with choice, its first entry is a comparison.
//
//go:noinline
func (p *parser) arguments(choice bool) (args []Node) {
	p.within(func() {
		if choice {
			args = append(args, p.compare())
		} else {
			args = append(args, p.sum())
		}
		for p.peek().Kind == CommaToken {
			p.i++
			args = append(args, p.sum())
		}
	})
	return args
}

// call reads a built-in function, its power and its argument.
func (p *parser) call(fn string) Node {
	start := p.i
	t := p.peek()
	p.i++
	if t.Text == "log" || t.Text == "Log" {
		p.remark(t.Sp, "log is read as the natural logarithm")
	}
	if q := p.peek(); q.Kind == PrimeToken {
		p.fail(q.Sp, fmt.Sprintf("a prime stands after the function “%s”", t.raw), "write its derivative out")
	}
	var power Node
	if p.peek().is(OperatorToken, "^") {
		p.i++
		power = p.exponent()
		if minusOne(power) {
			inverse := inverses[fn]
			if inverse == "" {
				p.fail(p.span(start), fmt.Sprintf("“%s” is not read", p.written(start, p.i)),
					fmt.Sprintf("write 1/%s(x) for the reciprocal", fn))
			}
			fn, power = inverse, nil
		}
	}
	next := p.peek()
	want := Functions[fn]
	var args []Node
	switch {
	case next.Kind == OpenToken && (next.Text != "{" || want == 1):
		args = p.arguments(fn == "if")
	case want == 1 && next.Kind == BarToken && p.bars == 0:
		args = []Node{p.bar()}
	case want == 1 && p.begins(next):
		args = []Node{p.bareArgument(start, t)}
	case want == 1 && next.is(OperatorToken, "-"):
		p.fail(t.Sp, fmt.Sprintf("“%s” needs a bracket around a signed argument", t.raw),
			fmt.Sprintf("write %s(-x)", fn))
	default:
		p.unfinished(t, fmt.Sprintf("the function “%s” needs its argument", t.raw),
			fmt.Sprintf("write %s", map[int]string{1: fn + "(x)", 2: fn + "(a, b)", 3: "if(x < 0.4, 2, 5)"}[want]))
	}
	if len(args) != want && !(want == 2 && len(args) > 2) {
		p.fail(p.span(start), fmt.Sprintf("“%s” takes %s, and here %s", t.raw, arguments(want), count(len(args))),
			map[int]string{1: fmt.Sprintf("write %s(x)", fn), 2: fmt.Sprintf("write %s(a, b)", fn),
				3: "write if(x < 0.4, 2, 5)"}[want])
	}
	var x Node = &Call{Sp: p.span(start), Func: fn, Args: args}
	if want == 2 { // min(a, b, c) is min(min(a, b), c)
		x = &Call{Sp: p.span(start), Func: fn, Args: args[:2:2]}
		for _, a := range args[2:] {
			x = &Call{Sp: p.span(start), Func: fn, Args: []Node{x, a}}
		}
	}
	if power != nil {
		x = &Binary{p.span(start), '^', x, power}
	}
	return x
}

func minusOne(n Node) bool {
	neg, ok := n.(*Negate)
	if !ok {
		return false
	}
	one, ok := neg.X.(*Number)
	return ok && one.Value == 1
}

// bareArgument reads the argument of a function without brackets: one factor and what is closed up to it.
func (p *parser) bareArgument(start int, fn Token) Node {
	first := p.i
	p.enter()
	x := p.power(false)
	for {
		t := p.peek()
		if t.Space || !p.begins(t) {
			break
		}
		if t.Kind == OpenToken {
			p.i = matching(p.toks, p.i) + 1
			p.fail(p.span(start), fmt.Sprintf("it is not clear how far “%s” reaches", fn.raw),
				"put brackets around its argument")
		}
		p.beforeFactor(p.i)
		y := p.power(false)
		x = &Binary{p.span(first), '*', x, y}
	}
	p.leave()
	p.farArgument(start, first, fn)
	return x
}

// farArgument refuses what may belong to the argument of a function without brackets or not: sin 2 x, sin k x, sin x/2.
// first is the first token of the argument.
func (p *parser) farArgument(start, first int, fn Token) {
	next, from := p.peek(), p.i
	sign := ""
	if next.is(OperatorToken, "*") || next.is(OperatorToken, "/") {
		sign, from = next.Text, p.i+1
	}
	if from >= len(p.toks) {
		return
	}
	after := p.toks[from]
	end := from + 1
	if after.Kind == OpenToken {
		end = matching(p.toks, from) + 1
	}
	has := p.mentions(first, p.i)
	constant := !has.unknown && !has.variable
	arg, rest := p.written(first, p.i), p.written(from, end)
	switch {
	case sign == "/" && fn.raw != "√" && fn.raw != "∛" && arg != rest && after.Kind != OperatorToken:
	case sign != "/" && p.numeric(first, p.i) && p.mayFollow(after):
	case sign != "/" && constant && after.Kind == NameToken && p.mayFollow(after) && !p.n.Unknowns[after.Text]:
	default:
		return
	}
	if sign == "" {
		sign = "*"
	}
	p.i = end
	p.askEither(p.span(start), p.written(start, end), fmt.Sprintf("%s(%s%s%s)", fn.Text, arg, sign, rest),
		fmt.Sprintf("%s(%s)%s%s", fn.Text, arg, sign, rest))
}

// mayFollow reports whether a token may go on with the argument of a function without brackets.
func (p *parser) mayFollow(t Token) bool {
	return p.begins(t) && t.Kind != NumberToken && t.Kind != BarToken && !p.functionAt(t)
}

func (p *parser) functionAt(t Token) bool {
	return t.Kind == NameToken && !p.n.declared(t.Text) && function(t.Text) != ""
}

// numeric reports whether the tokens [from, end) hold no name but pi and e.
func (p *parser) numeric(from, end int) bool {
	for _, t := range p.toks[from:end] {
		if t.Kind == NameToken && (!constants[t.Text] || p.n.declared(t.Text)) {
			return false
		}
	}
	return true
}
