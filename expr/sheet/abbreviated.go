package sheet

import (
	"slices"

	"nodespan/expr/notation"
)

// Statements that stand for others: values given to several names at once, operators with a name.

// chains cuts ħ = m = 1 into ħ = 1 and m = 1, where the names are no unknowns, and drops the u of "u on [0, 1]".
func (s *saying) chains() {
	for i := 0; i < len(s.in); i++ {
		raw, names := s.in[i], 0
		t := raw.Tokens
		if len(t) == 1 && s.highest[t[0].Text] > 0 && i+1 < len(s.in) && s.in[i+1].Join == "on" {
			s.in = slices.Delete(s.in, i, i+1)
			continue
		}
		for k := 0; k+2 < len(t) && isName(t[k]) && t[k+1].Text == "=" && s.highest[t[k].Text] == 0; k += 2 {
			names++
		}
		last := t[min(2*names, len(t)):]
		if names < 2 || len(last) == 0 || slices.ContainsFunc(last, func(t notation.Token) bool {
			return isName(t) || isPrime(t) || t.Text == "=" || t.Text == "?"
		}) || s.joins(raw) {
			continue
		}
		var parts []notation.Statement
		for k := range names {
			one := raw
			one.Tokens = slices.Concat(t[2*k:2*k+2], last)
			one.Sp = spanOf(one.Tokens)
			if k > 0 {
				one.Join = ","
			}
			parts = append(parts, one)
		}
		s.in = slices.Replace(s.in, i, i+1, parts...)
		i += names - 1
	}
}

// joins reports whether a statement stands behind or before a point, so that its names may be unknowns.
func (s *saying) joins(raw notation.Statement) bool {
	return raw.Join == ":" || raw.Join == "at" || hasText(raw.Tokens, "at")
}

// operators puts what L[y] stands for, L[y] = y” + 4 y, in the place of L[y] in the other statements.
func (s *saying) operators() {
	for i := 0; i < len(s.in); i++ {
		t := s.in[i].Tokens
		if len(t) < 6 || !isName(t[0]) || t[1].Text != "[" || !isName(t[2]) || t[3].Text != "]" || t[4].Text != "=" ||
			s.highest[t[2].Text] == 0 || len(s.in[i].Marks()) == 0 || hasText(t[5:], "=") {
			continue
		}
		opening, closing := t[1], t[3]
		opening.Text, closing.Text = "(", ")"
		body := slices.Concat([]notation.Token{opening}, t[5:], []notation.Token{closing})
		used := false
		for k := range s.in {
			other := s.in[k].Tokens
			for at := 0; k != i && at+3 < len(other); at++ {
				if text(other[at:at+4]) == text(t[:4]) {
					other = slices.Concat(other[:at], body, other[at+4:])
					used = true
				}
			}
			if used && k != i {
				s.in[k].Tokens = other
			}
		}
		if used {
			s.r.note(s.in[i].Sp, "%s is put in where %s stands", s.r.source(spanOf(t[5:])), s.r.source(spanOf(t[:4])))
			s.in = slices.Delete(s.in, i, i+1)
			i--
		}
	}
}
