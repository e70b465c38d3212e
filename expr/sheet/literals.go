package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Literal is a number that stands in an equation or a condition without a name, and the sheet with a name in its place.
type Literal struct {
	// Text is the number as it was typed, Line where it stands.
	Text string
	Line int
	// Name is the constant that Sheet has in its place.
	Name  string
	Sheet *Sheet
}

// mostLiterals bounds the sheets that Literals reads.
const mostLiterals = 8

// Literals lists the numbers other than 0 in the equations and conditions of a sheet, but for exponents, indices and
// the orders of derivatives, each with the sheet that gives it a name.
func (s *Sheet) Literals(o Options) []Literal {
	name := "number"
	for strings.Contains(s.Text, name) {
		name += "x"
	}
	var out []Literal
	for _, st := range s.Statements {
		if st.Kind != KindEquation && st.Kind != KindCondition {
			continue
		}
		for at := st.Span.From.Offset; at < st.Span.To; {
			from, to := nextNumber(s.Text, at, st.Span.To)
			if from < 0 || len(out) == mostLiterals {
				break
			}
			at = to
			v, err := strconv.ParseFloat(s.Text[from:to], 64)
			if err != nil || v == 0 || math.IsInf(v, 0) {
				continue
			}
			text := fmt.Sprintf("%s %s %s\n%s = %s", s.Text[:from], name, s.Text[to:], name, s.Text[from:to])
			if other, err := Read(text, o); err == nil && len(other.Unknowns) == len(s.Unknowns) &&
				len(other.Sought) == len(s.Sought) && !other.moves(name) {
				out = append(out, Literal{s.Text[from:to], 1 + strings.Count(s.Text[:from], "\n"), name, other})
			}
		}
	}
	return out
}

// moves reports whether a constant moves an end, a break or the point of a condition.
func (s *Sheet) moves(name string) bool {
	p := s.Problem()
	values := make([]float64, len(p.Constants))
	for i, c := range p.Constants {
		if values[i] = c.Value; c.Name == name {
			values[i] *= 1.0625
		}
	}
	q := p.With(values)
	if q == nil || q.A != p.A || q.B != p.B || !slices.Equal(q.Breaks, p.Breaks) {
		return true
	}
	for i, c := range p.Conditions {
		if !slices.Equal(c.At, q.Conditions[i].At) {
			return true
		}
	}
	return false
}

// nextNumber returns where the next number behind at stands that is no exponent, index or part of a name; -1 where
// there is none.
func nextNumber(text string, at, end int) (from, to int) {
	for ; at < end; at++ {
		if text[at] < '0' || text[at] > '9' {
			continue
		}
		from = at
		for at < end && (text[at] >= '0' && text[at] <= '9' || text[at] == '.') {
			at++
		}
		before, _ := utf8.DecodeLastRuneInString(strings.TrimRight(text[:from], " {("))
		glued, _ := utf8.DecodeLastRuneInString(text[:from])
		if before == '^' || before == '_' || unicode.IsLetter(glued) || glued == '.' || glued == '\'' {
			continue
		}
		return from, at
	}
	return -1, end
}
