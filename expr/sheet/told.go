package sheet

import (
	"slices"
	"strings"

	"nodespan/expr/notation"
)

// This part of the stage reads what is said of an unknown in a word: that it is bounded, finite, regular or symmetric.

var bounded = map[string]bool{"bounded": true, "finite": true, "regular": true, "beschränkt": true, "endlich": true,
	"regulär": true, "borné": true, "bornée": true, "fini": true, "finie": true, "acotado": true, "acotada": true,
	"finito": true, "finita": true}

// told reads a statement with such a word, and |y(inf)| < inf.
func (s *saying) told(raw notation.Statement, t []notation.Token) bool {
	for _, tok := range t {
		switch word := strings.ToLower(tok.Text); {
		case !isName(tok):
		case bounded[word] && !slices.ContainsFunc(t[:1], func(t notation.Token) bool { return t.Text == "=" }):
			return s.bounded(raw, t)
		case word == "symmetric" || word == "symmetrisch" || word == "symétrique" || word == "simétrica":
			return s.symmetric(raw, t)
		}
	}
	n := len(t)
	if n > 4 && t[n-1].Text == "inf" && t[n-2].Text == "<" && !slices.ContainsFunc(t[:n-2], isComparison) {
		if u, _ := s.unknownIn(t); u != "" {
			return s.bounded(raw, t[:n-2])
		}
	}
	return false
}

// unknownIn returns the unknown that a statement speaks of, and the point in its bracket.
func (s *saying) unknownIn(t []notation.Token) (name string, at []notation.Token) {
	for k, tok := range t {
		if !isName(tok) || s.highest[tok.Text] == 0 {
			continue
		}
		n := afterPrimes(t, k+1)
		if n == len(t) || t[n].Text != "(" {
			return tok.Text, nil
		}
		inside := t[n+1:]
		end := slices.IndexFunc(inside, func(t notation.Token) bool { return t.Kind == notation.CloseToken })
		if end > 0 && inside[0].Text != s.variable {
			return tok.Text, inside[:end]
		}
		return tok.Text, nil
	}
	return "", nil
}

// bounded reads "y bounded as x → ∞" and "T finite at r = 0".
func (s *saying) bounded(raw notation.Statement, t []notation.Token) bool {
	u, at := s.unknownIn(t)
	if u == "" && len(s.highest) == 1 {
		for name := range s.highest {
			u = name
		}
	}
	for k, tok := range t {
		switch {
		case tok.Text != "at" || k+1 == len(t):
		case k+3 < len(t) && leads(t[k+2]):
			at = t[k+3:]
		case isNumber(t[k+1]) || t[k+1].Text == "inf":
			at = t[k+1:]
		}
	}
	if u == "" {
		return false
	}
	if lower, inf, ok := s.unending(); ok && at == nil && s.onlyAt(lower) {
		at = inf
	}
	if a, b, ok := s.ends(); ok {
		switch both := t[len(t)-1].Text == "ends" && hasText(t, "at"); {
		case both:
			s.boundedAt(raw, t, u, a)
			at = b
		case at == nil && hasText(b, "inf") && !hasText(a, "inf") && s.onlyAt(a):
			at = b // y bounded on 0 < x < inf
		}
	}
	if k := slices.IndexFunc(at, func(t notation.Token) bool { return t.Text == "±" }); k >= 0 {
		minus, plus := slices.Clone(at), slices.Delete(slices.Clone(at), k, k+1)
		minus[k].Text = "-"
		s.boundedAt(raw, t, u, minus)
		at = plus
	}
	s.boundedAt(raw, t, u, at)
	s.bound = func(at []notation.Token) { s.boundedAt(raw, t, u, at) }
	return true
}

// onlyAt reports whether the unknowns have values at one point only, the lower end of the interval.
func (s *saying) onlyAt(lower []notation.Token) bool {
	for _, raw := range s.in {
		t := raw.Tokens
		if _, at := s.unknownIn(t); at != nil && text(at) != text(lower) {
			return false
		}
		for k := range t {
			if k+2 < len(t) && isName(t[k]) && s.mayVary(t[k].Text, false) && leads(t[k+1]) &&
				text(t[k+2:]) != text(lower) {
				return false
			}
		}
	}
	return true
}

// unending returns the lower end of the interval and infinity where the sheet gives the former alone, as x > 0 or
// 0 < x.
func (s *saying) unending() (lower, end []notation.Token, ok bool) {
	for _, raw := range s.in {
		t := raw.Tokens
		n := len(t)
		if n < 3 || n > 4 || slices.ContainsFunc(t, leads) {
			continue
		}
		inf := t[n-1]
		inf.Kind, inf.Text = notation.NameToken, "inf"
		switch {
		case isName(t[0]) && s.mayVary(t[0].Text, false) && t[1].Text[0] == '>':
			return t[2:], []notation.Token{inf}, true
		case isName(t[n-1]) && s.mayVary(t[n-1].Text, false) && t[n-2].Text[0] == '<':
			return t[:n-2], []notation.Token{inf}, true
		}
	}
	return nil, nil, false
}

// boundedAt states that the unknown u is bounded at a point, nil where none is said.
func (s *saying) boundedAt(raw notation.Statement, t []notation.Token, u string, at []notation.Token) {
	like := t[0]
	tokens := func(texts ...string) []notation.Token {
		var out []notation.Token
		for _, text := range texts {
			tok := like
			tok.Text, tok.Space = text, false
			tok.Kind = map[string]notation.Kind{"(": notation.OpenToken, ")": notation.CloseToken,
				"=": notation.OperatorToken, "'": notation.PrimeToken, "0": notation.NumberToken}[text]
			if tok.Kind == 0 {
				tok.Kind = notation.NameToken
			}
			out = append(out, tok)
		}
		return out
	}
	switch {
	case hasText(at, "inf") && s.highest[u] == 2:
		s.r.note(raw.Sp, "that %s stays bounded is read as %s' = 0 at infinity: it comes to rest there", u, u)
		s.emit(raw, slices.Concat(tokens(u, "'", "("), at, tokens(")", "=", "0")))
	case hasText(at, "inf"):
		s.r.fault(raw.Sp, "write the values that "+u+" and its derivatives go to, as in "+u+"(inf) = 0",
			"that %s stays bounded is not enough to go by", u)
	case at == nil:
		s.r.note(raw.Sp, "%s is taken to be regular: where the equation is singular, its own condition holds", u)
	default:
		raw.Tokens = slices.Concat(tokens(u, "("), at, tokens(")"))
		raw.Sp = spanOf(t)
		s.r.regular = append(s.r.regular, len(s.out))
		s.out = append(s.out, raw)
	}
}

// symmetric reads "symmetric about x = 0": the odd derivatives vanish there.
func (s *saying) symmetric(raw notation.Statement, t []notation.Token) bool {
	var at []notation.Token
	for k, tok := range t {
		if tok.Text == "at" && k+3 < len(t) && leads(t[k+2]) {
			at = t[k+3:]
		}
	}
	like := t[len(t)-1]
	token := func(kind notation.Kind, text string) notation.Token {
		tok := like
		tok.Kind, tok.Text, tok.Space = kind, text, false
		return tok
	}
	if at == nil {
		a, b, ok := s.ends()
		if !ok {
			s.r.fault(raw.Sp, "say about which point, as in symmetric about x = 0", "the middle is not known")
			return true
		}
		at = []notation.Token{token(notation.NumberToken, "0")}
		if text(a) != "- "+text(b) {
			at = slices.Concat([]notation.Token{token(notation.OpenToken, "(")}, a,
				[]notation.Token{token(notation.OperatorToken, "+")}, b, []notation.Token{token(notation.CloseToken,
					")"),
					token(notation.OperatorToken, "/"), token(notation.NumberToken, "2")})
		}
	}
	u, _ := s.unknownIn(t)
	if u == "" && len(s.highest) == 1 {
		for name := range s.highest {
			u = name
		}
	}
	if u == "" {
		s.r.fault(raw.Sp, "write the conditions of symmetry, as in u'(0) = 0",
			"which unknown is symmetric is not known")
		return true
	}
	s.r.note(raw.Sp, "symmetry is read as: the odd derivatives of %s vanish there", u)
	for order := 1; order < s.highest[u]; order += 2 {
		s.emit(raw, slices.Concat([]notation.Token{token(notation.NameToken, u), token(notation.PrimeToken,
			strings.Repeat("'", order)), token(notation.OpenToken, "(")}, at, []notation.Token{
			token(notation.CloseToken, ")"), token(notation.OperatorToken, "="), token(notation.NumberToken, "0")}))
	}
	return true
}
