package notation

import "slices"

// operators reads (−½ d²/dx² + V) ψ as −½ ψ″ + V ψ: a bracket with derivatives of nothing, before a name.
func (s *settler) operators() {
	for i := 0; i < len(s.toks); i++ {
		if s.toks[i].Kind != OpenToken {
			continue
		}
		end := matching(s.toks, i)
		if end == 0 || end+1 >= len(s.toks) || s.toks[end+1].Kind != NameToken ||
			function(s.toks[end+1].Text) != "" || constants[s.toks[end+1].Text] {
			continue
		}
		operand := s.toks[end+1]
		inside, by := s.distributed(s.toks[i+1:end], operand)
		if inside == nil {
			continue
		}
		next := end + 2
		if loneArgument(s.toks, next) == by {
			next += 3
		}
		s.remark(tokenSpan(s.toks, i, end+2), "the operator in the bracket is read as applied to "+operand.raw)
		open, close := s.toks[i], s.toks[end]
		open.Text, close.Text = "(", ")"
		group := append(append([]Token{open}, inside...), close)
		s.toks = slices.Replace(s.toks, i, next, group...)
	}
}

// distributed applies each term of an operator to a name, and returns the variable of its derivatives; nil where there
// is no derivative that stands before nothing.
func (s *settler) distributed(toks []Token, operand Token) (out []Token, by string) {
	operand.Space = true
	bracket := func(kind Kind, text string, at Token) Token {
		return Token{Kind: kind, Text: text, Sp: at.Sp, raw: text, Space: true}
	}
	depth, from, found := 0, 0, false
	term := func(end int) bool {
		t := toks[from:end]
		if len(t) == 0 {
			return from == 0
		}
		for k := range t {
			m, ok := matchLeibniz(t, k)
			if !ok || m.unknown != "" || m.group != 0 || m.order != m.power || m.order > 8 {
				continue
			}
			if m.end != len(t) || by != "" && by != m.variable {
				return false // something stands behind it
			}
			by, found = m.variable, true
			prime := bracket(PrimeToken, "''''''''"[:m.order], operand)
			prime.Space, prime.by = false, m.variable
			out = append(append(out, t[:k]...), operand, prime)
			return true
		}
		out = append(append(out, bracket(OpenToken, "(", t[0])), t...)
		out = append(out, bracket(CloseToken, ")", t[len(t)-1]), operand)
		return true
	}
	for k, t := range toks {
		switch {
		case t.Kind == OpenToken:
			depth++
		case t.Kind == CloseToken:
			depth--
		case ends(t), t.relation():
			return nil, ""
		case depth == 0 && (t.is(OperatorToken, "+") || t.is(OperatorToken, "-")) &&
			(k == 0 || !toks[k-1].is(OperatorToken, "^")):
			if !term(k) {
				return nil, ""
			}
			out, from = append(out, t), k+1
		}
	}
	if !term(len(toks)) || !found {
		return nil, ""
	}
	return out, by
}

// namedOperators drops the "L[y] =" before an equation of its own, L[y] = y” + y = 0.
func (s *settler) namedOperators() {
	for i := 0; i+3 < len(s.toks); i++ {
		t := s.toks[i]
		if !s.starts(i) || t.Kind != NameToken || len(t.Text) != 1 {
			continue
		}
		k := i + 1
		if s.toks[k].Kind == OpenToken && k+2 < len(s.toks) && s.toks[k+2].Kind == CloseToken {
			k++
		}
		y := s.toks[k]
		if y.Kind != NameToken {
			continue
		}
		if k++; k > i+2 {
			k++
		}
		if k >= len(s.toks) || !s.toks[k].is(OperatorToken, "=") {
			continue
		}
		again, derived, used := false, false, 0
		for j := k + 1; j < len(s.toks) && !ends(s.toks[j]); j++ {
			again = again || s.toks[j].is(OperatorToken, "=")
			_, end := matchPrimes(s.toks, j+1)
			derived = derived || s.toks[j].is(NameToken, y.Text) && end > j+1
			if m, ok := matchLeibniz(s.toks, j); ok && m.unknown == y.Text {
				derived = true
			}
		}
		for _, other := range s.toks {
			if other.is(NameToken, t.Text) {
				used++
			}
		}
		if again && derived && used == 1 {
			s.remark(tokenSpan(s.toks, i, k), "the name of the operator is left out")
			s.toks = slices.Delete(s.toks, i, k+1)
		}
	}
}
