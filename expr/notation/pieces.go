package notation

import (
	"fmt"
	"slices"
)

// Functions given in pieces, brought to the form of a cases environment: k = 2 for x < 1, k = 6 for x > 1;
// q = 2.2 if r < 2, 4.0 otherwise; q(x) = { q0 for 0 < x < a; 0 for a < x < L }. And ⟨x − a⟩^n, which is 0 left of a.

// ramps reads <x - a>^n as ⟨x − a⟩^n: no comparison ends with >^.
func (s *settler) ramps() {
	for end := 1; end+1 < len(s.toks); end++ {
		if !s.toks[end].is(OperatorToken, ">") || !s.toks[end+1].is(OperatorToken, "^") || s.toks[end+1].Space {
			continue
		}
		k := end - 1
		for k >= 0 && !ends(s.toks[k]) && !s.toks[k].relation() {
			k--
		}
		if k < 0 || !s.toks[k].is(OperatorToken, "<") || k+1 == end {
			continue
		}
		open := s.toks[k]
		s.toks[end].Kind, s.toks[end].Text = CloseToken, ")"
		s.toks[k].Kind, s.toks[k].Text = CommandToken, "ramp"
		open.Kind, open.Text, open.Space = OpenToken, "(", false
		s.toks = slices.Insert(s.toks, k+1, open)
		end++
	}
}

// columns reads k, a tab and 0.5 on a line of their own as k = 0.5.
func (s *settler) columns() {
	for i := 0; i+2 < len(s.toks); i++ {
		if s.toks[i].Kind != NameToken || i > 0 && s.toks[i-1].Kind != separator ||
			s.toks[i+1].Kind != softSeparator {
			continue
		}
		k := i + 2
		if s.toks[k].is(OperatorToken, "-") {
			k++
		}
		if k >= len(s.toks) || s.toks[k].Kind != NumberToken {
			continue
		}
		if k+2 < len(s.toks) && s.toks[k+1].Kind == softSeparator {
			if m, ok := s.unit(k + 2); ok && (m.end == len(s.toks) || s.toks[m.end].Kind == separator) {
				s.toks = slices.Delete(s.toks, k+1, k+2) // a third column with the unit
				s.toks[k+1].Space = true
			}
		} else if k+1 < len(s.toks) && s.toks[k+1].Kind != separator {
			continue
		}
		s.toks[i+1].Kind, s.toks[i+1].Text = OperatorToken, "="
		s.remark(Span{s.toks[i].Sp.From, s.toks[k].Sp.To}, fmt.Sprintf("the columns are read as %s = %s",
			s.toks[i].raw, written(s.toks[i+2:k+1])))
	}
}

// pieces finds them. The tokens of one choice stand for themselves but for its words.
func (s *settler) pieces() {
	if !has(s.toks, func(t Token) bool {
		return t.relation() && t.Text != "=" || t.Text == "otherwise" ||
			t.Text == "elsewhere" || t.is(joiner, "on")
	}) {
		return
	}
	out := make([]Token, 0, len(s.toks)+8)
	for i := 0; i < len(s.toks); {
		if s.starts(i) {
			if tokens, end := s.choice(i); end > i {
				out = append(out, tokens...)
				i = end
				continue
			}
		}
		if i > 0 && s.toks[i-1].Kind == OperatorToken && s.toks[i-1].Text != "^" && s.toks[i].is(OpenToken, "{") {
			if tokens, end := s.choices(i, ""); end > i {
				out = append(out, tokens...)
				i = end
				continue
			}
		}
		out = append(out, s.toks[i])
		i++
	}
	s.toks = out
}

// head returns where the value begins behind "k =", "k(x) =" or "u” =" at token i; 0 where there is no such head.
func (s *settler) head(i int) int {
	t := s.toks
	if i+1 >= len(t) || t[i].Kind != NameToken {
		return 0
	}
	k := i + 1
	for k+1 < len(t) && t[k].Kind == PrimeToken {
		k++
	}
	if t[k].is(OpenToken, "(") && k+3 < len(t) && t[k+1].Kind == NameToken && t[k+2].is(CloseToken, ")") {
		k += 3
	}
	if t[k].is(OperatorToken, "=") {
		return k + 1
	}
	return 0
}

// choice reads a function in pieces whose definition begins at token i, and returns its tokens and where it ends; 0
// where there is none.
func (s *settler) choice(i int) (tokens []Token, end int) {
	k := s.head(i)
	if k == 0 || k >= len(s.toks) {
		return nil, 0
	}
	tokens, end = s.choices(k, written(s.toks[i:k]))
	if end == 0 {
		return nil, 0
	}
	return append(s.toks[i:k:k], tokens...), end
}

// choices reads the pieces that begin at token k, in braces or behind a head.
func (s *settler) choices(k int, begin string) (tokens []Token, end int) {
	limit, braced := len(s.toks), false
	if s.toks[k].is(OpenToken, "{") {
		if m := matching(s.toks, k); m > 0 && (m+1 == len(s.toks) || ends(s.toks[m+1]) || s.toks[m+1].Kind == stop) {
			limit, braced, k = m, true, k+1
		}
	}
	mark := func(kind Kind, text string, at Token) Token {
		return Token{Kind: kind, Text: text, Sp: Span{at.Sp.From, at.Sp.From.Offset}}
	}
	var body []Token
	n, conditions, over := 0, 0, false
	for k < limit {
		value, when, next := s.piece(k, limit, braced)
		if next == 0 {
			break
		}
		if n > 0 {
			body = append(body, mark(CommandToken, "row", value[0]))
		}
		body = append(append(body, value...), mark(CommandToken, "when", value[len(value)-1]))
		if when == nil {
			body = append(body, mark(CommandToken, "otherwise", value[len(value)-1]))
			over = true
		} else {
			body = append(body, when...)
			conditions++
		}
		n++
		end = next
		if over {
			break
		}
		// What parts two pieces, and the head again where it is repeated.
		for k = next; k < limit && ends(s.toks[k]) && k < next+3; k++ {
		}
		if again := s.head(k); !braced && again > 0 && written(s.toks[k:again]) == begin {
			k = again
		} else if !braced && (k == next || s.toks[next].Kind == separator && s.toks[next].Text == "\n") {
			break // a line of its own begins anew
		}
	}
	if n < 2 || conditions == 0 || braced && end != limit {
		return nil, 0
	}
	if braced {
		end = limit + 1
	}
	open := mark(CommandToken, "cases", body[0])
	tokens = append(append(tokens, open, mark(OpenToken, "{", body[0])), body...)
	last := body[len(body)-1]
	return append(tokens, Token{Kind: CloseToken, Text: "}", Sp: Span{last.end(), last.Sp.To}}), end
}

// piece reads a value and its condition from token k on: "2 for x < 1", "4 otherwise", and in braces "2, x < 1". when
// is nil for otherwise; next is 0 where there is no piece.
func (s *settler) piece(k, limit int, braced bool) (value, when []Token, next int) {
	from, depth := k, 0
	for ; k < limit; k++ {
		t := s.toks[k]
		switch t.Kind {
		case OpenToken:
			depth++
		case CloseToken:
			depth--
		}
		if depth == 1 && k > from && t.is(OpenToken, "(") && t.Space && s.comparison(k) {
			end := matching(s.toks, k) // 5 (1 < x < 2)
			return s.toks[from:k], s.toks[k+1 : end], end + 1
		}
		if depth > 0 {
			continue
		}
		if t.Text == "otherwise" || t.Text == "elsewhere" || t.Text == "else" {
			value = s.toks[from:k]
			if n := len(value); n > 0 && value[n-1].Kind == CommaToken {
				value = value[:n-1]
			}
			if len(value) == 0 {
				return nil, nil, 0
			}
			return value, nil, k + 1
		}
		word := t.Kind == joiner && (t.Text == "for" || t.Text == "on" || t.Text == "where") || t.is(NameToken, "if") ||
			t.is(NameToken, "when")
		if comma := braced && t.Kind == CommaToken; word || comma {
			if k+1 < limit && (s.toks[k+1].Text == "otherwise" || s.toks[k+1].Text == "elsewhere") {
				continue
			}
			value = s.toks[from:k]
			break
		}
		if ends(t) || t.relation() {
			return nil, nil, 0
		}
	}
	if len(value) == 0 {
		return nil, nil, 0
	}
	if k++; k < limit && (s.toks[k].is(NameToken, "if") || s.toks[k].is(joiner, "for")) {
		k++ // 2, if x < 1
	}
	if when, next = s.within(k, limit); next > 0 {
		return value, when, next
	}
	start := k
	compares := false
	for depth = 0; k < limit; k++ {
		t := s.toks[k]
		switch t.Kind {
		case OpenToken:
			depth++
		case CloseToken:
			depth--
		}
		if depth <= 0 && (ends(t) || t.Kind == stop) {
			break
		}
		if t.is(OperatorToken, "=") {
			return nil, nil, 0
		}
		compares = compares || t.relation()
	}
	if !compares {
		return nil, nil, 0
	}
	return value, s.toks[start:k], k
}

// ramp reads ⟨x − a⟩^n: 0 where x − a is negative, its power elsewhere; with n = 0 a step, with n = −1 a point load.
func (p *parser) ramp() Node {
	start := p.i
	p.i++
	x := p.group()
	sp := p.span(start)
	var y Node = &Number{Sp: sp, Text: "1", Value: 1}
	if p.peek().is(OperatorToken, "^") {
		p.i++
		y = p.exponent()
		sp = p.span(start)
	} else {
		p.remark(sp, "⟨…⟩ is read as what it holds where that is positive, else 0")
	}
	zero := &Number{Sp: sp, Text: "0"}
	if minusOne(y) {
		return &Call{Sp: sp, Func: "delta", Args: []Node{x}}
	}
	n, ok := y.(*Number)
	switch {
	case ok && n.Value == 0:
		return &Call{Sp: sp, Func: "heaviside", Args: []Node{x}}
	case ok && n.Value == 1:
		return &Call{Sp: sp, Func: "max", Args: []Node{x, zero}}
	case !ok || n.Value < 0:
		p.fail(y.Span(), "the exponent of ⟨…⟩ is −1, 0 or a positive number", "write ⟨x − a⟩^1")
	}
	return &Binary{sp, '^', &Call{Sp: sp, Func: "max", Args: []Node{x, zero}}, y}
}

// step reports whether a name before a bracket at i is the step or the impulse at a point, as H(x - a) and δ(x - a) are
// written: undeclared, with the variable in the bracket.
func (p *parser) step(t Token, i int) string {
	f := map[string]string{"H": "heaviside", "delta": "delta", "Theta": "heaviside", "step": "heaviside"}[t.Text]
	if f == "" || i >= len(p.toks) || !p.toks[i].is(OpenToken, "(") || p.toks[i].Space ||
		!p.mentions(i+1, matching(p.toks, i)).variable {
		return ""
	}
	return f
}

// within reads the (0, 0.5) of "f = 1 on (0, 0.5)" as 0 < x < 0.5, where the variable is known; next is 0 where there
// is none.
func (s *settler) within(k, limit int) (when []Token, next int) {
	if k < limit && s.toks[k].Kind == NameToken && k+1 < limit && s.toks[k+1].is(NameToken, "in") {
		k += 2
	}
	if k >= limit || s.toks[k].Kind != OpenToken || s.toks[k].Text == "{" {
		return nil, 0
	}
	end, comma := matching(s.toks, k), 0
	if end == 0 || end >= limit || end+1 < limit && !ends(s.toks[end+1]) && s.toks[end+1].Kind != stop {
		return nil, 0
	}
	depth := 0
	for i := k + 1; i < end; i++ {
		switch t := s.toks[i]; {
		case t.Kind == OpenToken:
			depth++
		case t.Kind == CloseToken:
			depth--
		case t.Kind == CommaToken && depth == 0:
			if comma > 0 {
				return nil, 0
			}
			comma = i
		case t.relation():
			return nil, 0
		}
	}
	name := s.variable()
	if comma == 0 || comma == k+1 || comma+1 == end || name == "" {
		return nil, 0
	}
	less := func(at Token) Token {
		return Token{Kind: OperatorToken, Text: "<", Sp: at.Sp, raw: at.raw, Space: true}
	}
	at := s.toks[comma]
	when = append(when, s.toks[k+1:comma]...)
	when = append(when, less(at), Token{Kind: NameToken, Text: name, Sp: at.Sp, raw: name, Space: true}, less(at))
	return append(when, s.toks[comma+1:end]...), end + 1
}
