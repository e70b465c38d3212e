package notation

import (
	"fmt"
	"strconv"
	"strings"
)

// figures refuses numbers that are two things on paper: 2·10−9, whose minus was raised; 2·105; 2.10⁵, where the
// point may multiply; 9·81; 5–50; the 1.0D-1 of Fortran.
func (s *settler) figures() {
	for i := 0; i < len(s.toks); i++ {
		if q := s.lowered(i); q != nil {
			s.toks[i].Sp.To = s.toks[i+q.tokens-1].Sp.To
			s.fault(i, q.msg, q.hint, q.choices...)
			s.toks = append(s.toks[:i+1], s.toks[i+q.tokens:]...)
			continue
		}
		if s.toks[i].Kind != NumberToken {
			continue
		}
		for _, f := range []func(int) *question{s.lostPower, s.pointedTen, s.span, s.plusMinus, s.fortran} {
			q := f(i)
			if q == nil {
				continue
			}
			s.toks[i].Sp.To = s.toks[i+q.tokens-1].Sp.To
			s.fault(i, q.msg, q.hint, q.choices...)
			s.toks = append(s.toks[:i+1], s.toks[i+q.tokens:]...)
			break
		}
	}
}

// question is what is asked about tokens that are two things on paper.
type question struct {
	tokens    int
	msg, hint string
	choices   []string
}

// either asks which of two readings of n tokens, written as text, is meant.
func either(n int, text, one, other string) *question {
	return &question{n, twoReadings(text), fmt.Sprintf("write %s or %s", one, other), []string{one, other}}
}

// closed returns token i if it is closed up to the one before, and else one of no kind.
//
//go:noinline
func (s *settler) closed(i int) Token {
	if i >= len(s.toks) || i > 0 && s.toks[i].Space {
		return Token{}
	}
	return s.toks[i]
}

// text returns n tokens from i on as they were written.
func (s *settler) text(i, n int) string {
	var b strings.Builder
	for k, t := range s.toks[i : i+n] {
		if k > 0 && t.Space {
			b.WriteByte(' ')
		}
		b.WriteString(t.raw)
	}
	return b.String()
}

//go:noinline
func twoReadings(text string) string { return fmt.Sprintf("“%s” can be read in two ways", text) }

// lostPower finds a·10−9, a·105 and the 9·81 whose point was raised.
func (s *settler) lostPower(i int) *question {
	a := s.toks[i]
	if i+2 >= len(s.toks) || !s.toks[i+1].is(OperatorToken, "*") || s.toks[i+1].raw == "*" || s.toks[i+1].raw == "**" {
		return nil
	}
	b := s.toks[i+2]
	if b.Kind != NumberToken || !allDigits(b.Text) || i > 0 && !s.toks[i].Space && s.toks[i-1].is(OperatorToken, "^") {
		return nil
	}
	sign, power := s.closed(i+3), s.closed(i+4)
	if b.Text == "10" && (sign.is(OperatorToken, "-") || sign.is(OperatorToken, "+")) && power.Kind == NumberToken &&
		allDigits(power.Text) && len(power.Text) < 3 {
		text := s.text(i, 5)
		return either(5, text, a.Text+"*10^"+strings.Trim(sign.Text, "+")+power.Text,
			fmt.Sprintf("%s*10 %s %s", a.Text, sign.Text, power.Text))
	}
	if i+3 < len(s.toks) && s.toks[i+3].is(OperatorToken, "^") {
		return nil
	}
	small, err := strconv.ParseFloat(a.Text, 64)
	text := s.text(i, 3)
	switch {
	case err != nil:
	case len(b.Text) > 2 && len(b.Text) < 5 && strings.HasPrefix(b.Text, "10") && b.Text[2] != '0' && small < 10:
		return either(3, text, a.Text+"*10^"+b.Text[2:], a.Text+"*"+b.Text)
	case (s.toks[i+1].raw == "·" || s.toks[i+1].raw == "⋅") && allDigits(a.Text) && !s.toks[i+1].Space && !b.Space &&
		(len(b.Text) > 1 || a.Text == "0"):
		return either(3, text, a.Text+"."+b.Text, a.Text+"*"+b.Text)
	}
	return nil
}

// lowered finds the k φ−1/2 whose exponent was raised: the sign is closed up, and the factors are not.
func (s *settler) lowered(i int) *question {
	if i == 0 || i+4 >= len(s.toks) || s.toks[i].Kind != NameToken || !s.toks[i].Space ||
		s.toks[i-1].Kind != NameToken && s.toks[i-1].Kind != NumberToken {
		return nil
	}
	sign, a, slash, b := s.closed(i+1), s.closed(i+2), s.closed(i+3), s.closed(i+4)
	if !sign.is(OperatorToken, "-") || sign.raw == "-" || a.Kind != NumberToken || !slash.is(OperatorToken, "/") ||
		b.Kind != NumberToken {
		return nil
	}
	name, power := s.toks[i].raw, a.Text+"/"+b.Text
	return either(5, s.text(i, 5), name+"^(-"+power+")", name+" - "+power)
}

// pointedTen finds 2.10⁵, which is 2·10⁵ in some countries.
func (s *settler) pointedTen(i int) *question {
	t := s.toks[i]
	if !strings.HasSuffix(t.Text, ".10") || !s.closed(i+1).is(OperatorToken, "^") {
		return nil
	}
	k := i + 2
	for k < len(s.toks) && (s.toks[k].Kind == OpenToken || s.toks[k].is(OperatorToken, "-") ||
		s.toks[k].is(OperatorToken, "+")) {
		k++
	}
	if k >= len(s.toks) || s.toks[k].Kind != NumberToken || !allDigits(s.toks[k].Text) {
		return nil
	}
	power := s.toks[k].Text
	if s.toks[k-1].is(OperatorToken, "-") {
		power = "-" + power
	}
	for k++; k < len(s.toks) && s.toks[k].Kind == CloseToken && s.toks[i+2].Kind == OpenToken && k < i+6; k++ {
	}
	whole := strings.TrimSuffix(t.Text, ".10")
	text := ""
	for _, t := range s.toks[i:k] {
		text += t.raw
	}
	return either(k-i, text, whole+"*10^"+power, fmt.Sprintf("(%s)^%s", t.Text, power))
}

// span finds 5–50 where nothing stands beside it: a range, or a difference.
func (s *settler) span(i int) *question {
	dash, b := s.closed(i+1), s.closed(i+2)
	if dash.is(OperatorToken, "-") && s.toks[i].Text == "10" && b.Kind == NumberToken && allDigits(b.Text) &&
		len(b.Text) < 3 && i > 0 && s.toks[i-1].is(OperatorToken, "=") && (i+3 >= len(s.toks) || ends(s.toks[i+3]) ||
		s.toks[i+3].Kind == stop) {
		return either(3, s.text(i, 3), "10^-"+b.Text, "10 - "+b.Text)
	}
	if !dash.is(OperatorToken, "-") || dash.raw != "–" || b.Kind != NumberToken || i == 0 ||
		i+3 < len(s.toks) && !ends(s.toks[i+3]) && s.toks[i+3].Kind != NameToken && s.toks[i+3].Kind != stop ||
		!s.toks[i-1].relation() && !s.toks[i-1].is(OperatorToken, "*") {
		return nil
	}
	difference := s.toks[i].Text + " - " + b.Text
	return &question{3, fmt.Sprintf("“%s” may be a range or a difference", s.text(i, 3)),
		fmt.Sprintf("write one number, a value in [%s, %s], or %s", s.toks[i].Text, b.Text, difference),
		[]string{difference}}
}

// plusMinus finds the 4 +- 1 of a value with its uncertainty.
func (s *settler) plusMinus(i int) *question {
	if minus := s.closed(i + 2); i+3 >= len(s.toks) || !s.toks[i+1].is(OperatorToken, "+") || !s.toks[i+1].Space ||
		!minus.is(OperatorToken, "-") || !s.toks[i+3].Space || s.toks[i+3].Kind != NumberToken {
		return nil
	}
	return &question{4, "“" + s.text(i, 4) + "” states two things at once", "choose one value", nil}
}

// fortran finds 1.0D-1.
func (s *settler) fortran(i int) *question {
	name := s.closed(i + 1)
	if name.Kind != NameToken || name.Text[0] != 'D' && name.Text[0] != 'd' || !allDigits(name.Text[1:]) {
		return nil
	}
	a, digits := s.toks[i].Text, name.Text[1:]
	if digits != "" && strings.Contains(a, ".") {
		text := s.text(i, 2)
		return either(2, text, a+"e"+digits, a+"*"+name.Text)
	}
	sign, b := s.closed(i+2), s.closed(i+3)
	if digits != "" || !sign.is(OperatorToken, "-") && !sign.is(OperatorToken, "+") || b.Kind != NumberToken ||
		!allDigits(b.Text) {
		return nil
	}
	text := s.text(i, 4)
	return either(4, text, a+"e"+strings.Trim(sign.Text, "+")+b.Text,
		fmt.Sprintf("%s*%s %s %s", a, name.Text, sign.Text, b.Text))
}
