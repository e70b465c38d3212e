package notation

import (
	"fmt"
	"slices"
)

// orders reads w^(4) as the fourth derivative where w has a derivative nowhere else but at points: as a power it would
// leave no differential equation.
func (s *settler) orders() {
	for i := 0; i+4 < len(s.toks); i++ {
		t := s.toks[i]
		if t.Kind != NameToken || !s.toks[i+1].is(OperatorToken, "^") || !s.toks[i+2].is(OpenToken, "(") ||
			s.toks[i+3].Kind != NumberToken || smallCount(s.toks[i+3].Text) < 2 || !s.toks[i+4].is(CloseToken, ")") ||
			!s.onlyAtPoints(t.Text) {
			continue
		}
		open, end := s.toks[i+2], s.toks[i+4]
		open.Text, end.Text = "{", "}"
		open.Sp.To, end.Sp.From = open.Sp.From.Offset, end.end()
		s.remark(Span{t.Sp.From, s.toks[i+4].Sp.To}, fmt.Sprintf("%s^(%s) is read as a derivative",
			t.raw, s.toks[i+3].Text))
		s.toks = slices.Insert(s.toks, i+5, end)
		s.toks = slices.Insert(s.toks, i+2, open)
	}
}

// onlyAtPoints reports whether a name has values at points, and derivatives at points alone.
func (s *settler) onlyAtPoints(name string) bool {
	values := false
	for k := range s.toks {
		if l, ok := matchLeibniz(s.toks, k); ok && l.unknown == name {
			return false
		}
		if !s.toks[k].is(NameToken, name) {
			continue
		}
		_, end := matchPrimes(s.toks, k+1)
		at := end+2 < len(s.toks) && s.toks[end].is(OpenToken, "(") && !s.toks[end].Space &&
			(s.toks[end+1].Kind == NumberToken || s.toks[end+1].Kind == NameToken ||
				s.toks[end+1].is(OperatorToken, "-"))
		if end > k+1 && !at {
			return false
		}
		values = values || at
	}
	return values
}

// oneSided reads the points of limits from one side, a-, a^+ and a^{-}, as a - 0 and a + 0.
func (s *settler) oneSided() {
	for i := 1; i+1 < len(s.toks); i++ {
		sign := s.toks[i]
		if !sign.is(OperatorToken, "-") && !sign.is(OperatorToken, "+") {
			continue
		}
		from, end := i, i+1
		if s.toks[i-1].is(OperatorToken, "^") {
			from--
		} else if s.toks[i-1].is(OpenToken, "{") && s.toks[end].is(CloseToken, "}") && i > 1 &&
			s.toks[i-2].is(OperatorToken, "^") {
			from, end = i-2, end+1
		}
		if end >= len(s.toks) || s.toks[end].Kind != CloseToken || from == 0 || s.toks[from-1].Kind != NumberToken &&
			s.toks[from-1].Kind != NameToken {
			continue
		}
		open := from - 1
		for open > 0 && s.toks[open].Kind != OpenToken && !ends(s.toks[open]) {
			open--
		}
		if open == 0 || s.toks[open].Kind != OpenToken || s.toks[open].Space ||
			s.toks[open-1].Kind != NameToken && s.toks[open-1].Kind != PrimeToken && s.toks[open-1].Kind != CloseToken {
			continue
		}
		zero := Token{Kind: NumberToken, Text: "0", raw: "0", Sp: sign.Sp}
		s.toks = slices.Replace(s.toks, from, end, sign, zero)
	}
}
