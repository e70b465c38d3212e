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
			s.toks[from-1].Kind != NameToken && s.toks[from-1].Kind != CloseToken {
			continue
		}
		open := from - 1
		for depth := 0; open > 0 && (depth > 0 || s.toks[open].Kind != OpenToken) && !ends(s.toks[open]); open-- {
			switch s.toks[open].Kind {
			case CloseToken:
				depth++
			case OpenToken:
				depth--
			}
		}
		if open == 0 || s.toks[open].Kind != OpenToken || s.toks[open].Space ||
			s.toks[open-1].Kind != NameToken && s.toks[open-1].Kind != PrimeToken && s.toks[open-1].Kind != CloseToken {
			continue
		}
		zero := Token{Kind: NumberToken, Text: "0", raw: "0", Sp: sign.Sp}
		s.toks = slices.Replace(s.toks, from, end, sign, zero)
	}
}

// crosses reads the x of 2 x 10^-5 as a sign of multiplication.
func (s *settler) crosses() {
	for i := 1; i+2 < len(s.toks); i++ {
		if x := s.toks[i]; x.is(NameToken, "x") && x.raw == "x" && x.Space && s.toks[i-1].Kind == NumberToken &&
			s.toks[i+1].is(NumberToken, "10") && s.toks[i+1].Space && s.toks[i+2].is(OperatorToken, "^") {
			s.toks[i].Kind, s.toks[i].Text, s.toks[i].raw = OperatorToken, "*", "×"
		}
	}
}

// algebra reads the diff(y, x, 2) of computer algebra as y”, and diff(k*diff(y, x), x) as (k*y')'.
func (s *settler) algebra() {
	for i := len(s.toks) - 2; i >= 0; i-- {
		if t := s.toks[i]; !t.is(NameToken, "diff") && !t.is(NameToken, "Derivative") ||
			!s.toks[i+1].is(OpenToken, "(") || s.toks[i+1].Space {
			continue
		}
		end := matching(s.toks, i+1)
		if end == 0 {
			continue
		}
		var args [][]Token
		depth, from := 0, i+2
		for k := i + 2; k <= end; k++ {
			switch t := s.toks[k]; {
			case t.Kind == OpenToken:
				depth++
			case t.Kind == CloseToken && k < end:
				depth--
			case k == end || t.Kind == CommaToken && depth == 0:
				args, from = append(args, s.toks[from:k]), k+1
			}
		}
		variable, order := "", 0
		for _, a := range args[1:] {
			switch {
			case len(a) == 1 && a[0].Kind == NameToken && (variable == "" || variable == a[0].Text):
				variable, order = a[0].Text, order+1
			case len(a) == 1 && a[0].Kind == NumberToken && order == 1:
				order = smallCount(a[0].Text)
			case len(a) == 3 && a[0].Kind == NameToken && a[1].Text == "$" && order == 0:
				variable, order = a[0].Text, smallCount(a[2].Text)
			default:
				order = -9
			}
		}
		if order < 1 || order > 8 || len(args[0]) == 0 {
			continue
		}
		whole := Span{s.toks[i].Sp.From, s.toks[end].Sp.To}
		x := slices.Clone(args[0])
		lone := len(x) == 1 || len(x) == 4 && x[1].is(OpenToken, "(") && x[2].is(NameToken, variable)
		if lone {
			x = x[:1]
		} else {
			x = append([]Token{s.toks[i+1]}, append(x, s.toks[end])...)
		}
		x[0].Space = s.toks[i].Space
		prime := Token{Kind: PrimeToken, Text: "''"[:order], Sp: Span{s.toks[end].Sp.From, s.toks[end].Sp.To},
			raw: s.toks[end].raw, by: variable}
		s.remark(whole, "diff is read as a derivative by "+variable)
		s.toks = slices.Replace(s.toks, i, end+1, append(x, prime)...)
	}
}

// variable returns the name that the text takes derivatives by, or compares; x where there is no other sign.
func (s *settler) variable() string {
	for i := range s.toks {
		if m, ok := matchLeibniz(s.toks, i); ok && m.variable != "" {
			return m.variable
		}
		if s.toks[i].Kind == PrimeToken && s.toks[i].by != "" {
			return s.toks[i].by
		}
	}
	for i := 1; i+1 < len(s.toks); i++ {
		if s.toks[i].Kind == NameToken && s.toks[i-1].relation() && s.toks[i+1].relation() &&
			s.toks[i-1].Text != "=" && s.toks[i+1].Text != "=" {
			return s.toks[i].Text
		}
		if loneArgument(s.toks, i) != "" && s.toks[i-1].Kind == PrimeToken {
			return loneArgument(s.toks, i)
		}
	}
	for _, other := range []string{"r", "t", "z", "s"} {
		if has(s.toks, func(t Token) bool { return t.is(NameToken, other) }) &&
			!has(s.toks, func(t Token) bool { return t.is(NameToken, "x") }) {
			return "" // it may be one of these
		}
	}
	return "x"
}
