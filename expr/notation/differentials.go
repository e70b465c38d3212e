package notation

import (
	"fmt"
	"strconv"
	"strings"
)

// Derivatives that are spelled otherwise than by primes and d/dx are brought to these forms: \dv[2]{y}{x}, ∂²u/∂x²
// where there is one variable only, \partial_x u, u_xx, (k T_x)_x.

const onlyOrdinary = ", and only ordinary differential equations are read"

// differentials lists the commands for a quotient of differentials.
var differentials = map[string]byte{"dv": 'd', "odv": 'd', "derivative": 'd', "pdv": 'p', "pderivative": 'p'}

// quotient reads \dv[2]{y}{x} and \dv{x} as the fraction that it prints.
func (l *lexer) quotient(name string, from Pos) {
	if l.cur() == '*' {
		l.advance(1)
	}
	order := ""
	l.skipSpace()
	if l.cur() == '[' {
		end := strings.IndexByte(l.text[l.pos.Offset:], ']')
		if end < 0 || smallCount(strings.TrimSpace(l.text[l.pos.Offset+1:l.pos.Offset+end])) == 0 {
			l.fault(from, fmt.Sprintf("the order of “\\%s” is not a whole number", name), "write \\frac{d^2y}{dx^2}")
			return
		}
		order = strings.TrimSpace(l.text[l.pos.Offset+1 : l.pos.Offset+end])
		l.advance(end + 1)
		l.skipSpace()
	}
	above, ok := l.braced()
	if !ok {
		l.fault(from, fmt.Sprintf("“\\%s” needs braces", name), "write \\frac{dy}{dx}")
		return
	}
	save := l.pos
	l.skipSpace()
	below, two := l.braced()
	if !two {
		l.pos, below, above = save, above, [2]Pos{}
	}
	end := l.pos
	l.emit(CommandToken, "frac", from)
	l.toks[len(l.toks)-1].Sp.To = above[0].Offset
	if above == ([2]Pos{}) {
		l.toks[len(l.toks)-1].Sp.To = below[0].Offset
	}
	for k, inside := range [][2]Pos{above, below} {
		if l.pos = inside[0]; inside == ([2]Pos{}) {
			l.pos = below[0]
		}
		l.emit(OpenToken, "{", l.pos)
		l.emit(NameToken, "d", l.pos)
		l.toks[len(l.toks)-1].partial = name[0] == 'p'
		if k == 0 {
			l.power(order)
		}
		if inside[1].Offset > inside[0].Offset {
			l.emit(OpenToken, "{", l.pos)
			for l.pos.Offset < inside[1].Offset {
				l.next()
			}
			l.emit(CloseToken, "}", l.pos)
		}
		if k == 1 {
			l.power(order)
		}
		l.emit(CloseToken, "}", l.pos)
	}
	l.pos = end
}

// power emits ^order, or nothing for no order.
func (l *lexer) power(order string) {
	if order != "" {
		l.emit(OperatorToken, "^", l.pos)
		l.emit(NumberToken, order, l.pos)
	}
}

// braced moves over an argument in braces and returns where its inside begins and ends.
func (l *lexer) braced() (inside [2]Pos, ok bool) {
	if l.cur() != '{' {
		return inside, false
	}
	save := l.pos
	for depth := 0; l.pos.Offset < len(l.text); {
		switch l.cur() {
		case '{':
			depth++
		case '}':
			depth--
		}
		if depth == 0 {
			inside[1] = l.pos
			l.advance(1)
			return inside, true
		}
		l.advance(1)
		if inside[0] == (Pos{}) {
			inside[0] = l.pos
		}
	}
	l.pos = save
	return inside, false
}

// partial reads ∂, which is taken for d where the sheet has one variable; ∂_x and ∂_xx stand for the whole operator.
func (l *lexer) partial(from Pos) {
	raw, _ := l.rune(l.pos.Offset)
	if raw != '_' && subscripts[raw] == 0 {
		l.skipSpace()
		l.emit(NameToken, "d", from)
		l.toks[len(l.toks)-1].partial = true
		return
	}
	variable, order := repeated(strings.TrimPrefix(l.subscript(), "_"))
	if order == 0 {
		l.fault(from, "“∂” with more than one variable is a partial derivative"+onlyOrdinary, "write dy/dx or y'")
		return
	}
	if order == 1 {
		order = l.raisedOrder()
	}
	n := ""
	if order > 1 {
		n = strconv.Itoa(order)
	}
	l.emit(CommandToken, "frac", from)
	for _, text := range []string{"", variable} {
		l.emit(OpenToken, "{", l.pos)
		l.emit(NameToken, "d", l.pos)
		l.toks[len(l.toks)-1].partial = true
		if text != "" {
			l.emit(NameToken, text, l.pos)
		}
		l.power(n)
		l.emit(CloseToken, "}", l.pos)
	}
}

// raisedOrder reads ^2 or ² and returns it, 1 if there is none.
func (l *lexer) raisedOrder() int {
	raw, size := l.rune(l.pos.Offset)
	if d := superscripts[raw]; digit(d) {
		l.advance(1)
		return int(d - '0')
	}
	if raw != '^' {
		return 1
	}
	rest := l.text[l.pos.Offset+size:]
	for _, form := range []struct{ before, after string }{{"", ""}, {"{", "}"}} {
		if inner, ok := strings.CutPrefix(rest, form.before); ok && inner != "" && digit(rune(inner[0])) &&
			strings.HasPrefix(inner[1:], form.after) {
			l.advance(2 + len(form.before) + len(form.after))
			return int(inner[0] - '0')
		}
	}
	return 1
}

// variables are the names that a subscript may differentiate by.
var variables = []string{"x", "r", "t", "z", "s", "y", "xi", "eta", "tau", "zeta", "theta"}

// repeated reads x, xx, xixi as a variable that stands there several times: what it is, and how often. order is 0 for
// anything else.
func repeated(subscript string) (variable string, order int) {
	for _, v := range variables {
		if n := len(subscript) / len(v); n > 0 && n <= 8 && subscript == strings.Repeat(v, n) {
			return v, n
		}
	}
	return "", 0
}

// partials refuses ∂ where it is taken by more than one variable.
func (s *settler) partials() {
	first := ""
	for i := range s.toks {
		at := i
		if s.toks[i].is(CommandToken, "frac") {
			at = i + 2
		}
		if at >= len(s.toks) || !s.toks[at].partial {
			continue
		}
		m, ok := matchLeibniz(s.toks, i)
		switch {
		case !ok:
		case first == "":
			first = m.variable
			s.remark(s.toks[at].Sp, "∂ is read as d, since all derivatives are taken by "+first)
		case m.variable != first:
			if s.toks[at].raw == "" {
				at = i
			}
			s.fault(at, "“∂” is a partial derivative, by "+first+" and by "+m.variable+onlyOrdinary,
				"write dy/dx or y'")
			return
		}
	}
}

// dots reads a dotted letter as a derivative where the letter stands without its dot too, else as a name of its own.
func (s *settler) dots() {
	if !has(s.toks, func(t Token) bool { return t.over != "" }) {
		return
	}
	plain := map[string]bool{}
	for _, t := range s.toks {
		if t.Kind == NameToken {
			plain[t.Text] = plain[t.Text] || t.over == ""
		}
	}
	var out []Token
	for _, t := range s.toks {
		if t.over == "" || t.Kind != NameToken {
			out = append(out, t)
			continue
		}
		if !plain[t.Text] {
			t.Text, t.over = t.over, ""
			out = append(out, t)
			continue
		}
		prime := t
		prime.Kind, prime.Space = PrimeToken, false
		switch {
		case strings.Contains(t.over, "dddot"):
			prime.Text = "'''"
		case strings.Contains(t.over, "ddot"):
			prime.Text = "''"
		default:
			prime.Text = "'"
		}
		out = append(out, t, prime)
	}
	s.toks = out
}

// subscripts reads u_xx, and u_x beside it, as derivatives, where u is used on its own and u_xx has no value.
func (s *settler) subscripts() {
	if !has(s.toks, func(t Token) bool {
		_, sub, ok := strings.Cut(t.Text, "_")
		_, n := repeated(sub)
		return t.by != "" || ok && n > 1
	}) {
		return
	}
	type name struct{ base, variable string }
	bare, given, point, marked := map[string]bool{}, map[string]bool{}, map[string]bool{}, map[string]bool{}
	used := map[string]int{}
	candidates := map[string]name{}
	variable, several := "", false
	for i, t := range s.toks {
		if t.Kind == PrimeToken && t.by != "" {
			variable, several = t.by, several || variable != "" && variable != t.by
		}
		if t.Kind != NameToken {
			continue
		}
		bare[t.Text] = true
		used[t.Text]++
		if i+1 < len(s.toks) {
			next := s.toks[i+1]
			given[t.Text] = given[t.Text] || next.is(OperatorToken, "=") && s.starts(i) && !s.says(i, "at", "when")
			point[t.Text] = point[t.Text] || next.is(OpenToken, "(") && !next.Space || next.is(CommandToken, "at")
			marked[t.Text] = marked[t.Text] || next.Kind == PrimeToken
		}
		base, sub, ok := strings.Cut(t.Text, "_")
		if v, n := repeated(sub); ok && n > 0 {
			candidates[t.Text] = name{base, v}
		}
	}
	derivative := func(text string) bool {
		c, ok := candidates[text]
		if !ok || !bare[c.base] {
			return false
		}
		// u_xx = f is the equation where nothing else is said of derivatives of u, and u has values at points.
		return !given[text] || point[c.base] && !marked[c.base] && used[text] == 1
	}
	for _, t := range s.toks {
		c := candidates[t.Text]
		if _, n := repeated(strings.TrimPrefix(t.Text, c.base+"_")); t.Kind == NameToken && n > 1 &&
			derivative(t.Text) {
			several = several || variable != "" && variable != c.variable
			variable = c.variable
		}
	}
	if variable == "" {
		return
	}
	var out []Token
	for i, t := range s.toks {
		c := candidates[t.Text]
		if t.Kind != NameToken || c.variable != variable && !several || !derivative(t.Text) {
			out = append(out, t)
			continue
		}
		if several {
			s.fault(i, "the subscripts of “"+t.raw+"” and of others are derivatives by different variables",
				"only ordinary differential equations are read")
			return
		}
		_, n := repeated(strings.TrimPrefix(t.Text, c.base+"_"))
		s.remark(t.Sp, t.Text+" is read as "+c.base+strings.Repeat("'", n))
		prime := t
		t.Text = c.base
		prime.Kind, prime.Text, prime.Space, prime.by = PrimeToken, strings.Repeat("'", n), false, c.variable
		out = append(out, t, prime)
	}
	s.toks = out
}
