package notation

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Integrals: ∫₀¹ u dx and \int_0^1 u\,dx are the function integral(u, 0, 1) of the sheet; without bounds, integral(u).

// integral reads the sign and its bounds, as the command int and two groups; both are empty where there are no bounds.
func (l *lexer) integral(from Pos) {
	l.emit(CommandToken, "int", from)
	var bounds [2][2]Pos // below and above
	var shifted [2]string
	for l.pos.Offset < len(l.text) {
		raw, _ := utf8.DecodeRuneInString(l.text[l.pos.Offset:])
		if strings.HasPrefix(l.text[l.pos.Offset:], "\\limits") {
			l.advance(len("\\limits"))
			continue
		}
		if raw == '_' || raw == '^' {
			k := map[rune]int{'_': 0, '^': 1}[raw]
			l.advance(1)
			bounds[k] = l.bound()
			continue
		}
		k, table := 0, subscripts
		if superscripts[raw] != 0 {
			k, table = 1, superscripts
		}
		if table[raw] == 0 || shifted[k] != "" {
			break
		}
		bounds[k][0] = l.pos
		for table[raw] != 0 {
			shifted[k] += string(table[raw])
			l.advance(1)
			raw, _ = utf8.DecodeRuneInString(l.text[l.pos.Offset:])
		}
		bounds[k][1] = l.pos
	}
	end := l.pos
	order := [2]int{0, 1} // in the order of the text
	if bounds[1] != ([2]Pos{}) && bounds[1][0].Offset < bounds[0][0].Offset {
		order = [2]int{1, 0}
		l.toks[len(l.toks)-1].by = "^"
	}
	for _, k := range order {
		if bounds[k] == ([2]Pos{}) {
			bounds[k] = [2]Pos{end, end}
			if other := bounds[1-k]; k == 0 && other != ([2]Pos{}) {
				bounds[k] = [2]Pos{other[0], other[0]}
			}
		}
		l.pos = bounds[k][0]
		l.emit(OpenToken, "{", l.pos)
		if shifted[k] != "" {
			l.shifted(shifted[k], bounds[k])
		}
		for shifted[k] == "" && l.pos.Offset < bounds[k][1].Offset {
			l.next()
		}
		l.pos = bounds[k][1]
		l.emit(CloseToken, "}", l.pos)
	}
	l.pos = end
	l.space = true
}

// bound moves over a bound behind _ or ^: braces, or a sign with digits, a letter or a command.
func (l *lexer) bound() [2]Pos {
	l.skipSpace()
	if l.cur() == '{' {
		inside, _ := l.braced()
		return inside
	}
	b := [2]Pos{l.pos}
	if r := l.cur(); r == '-' || r == '+' {
		l.advance(1)
	}
	switch r := l.cur(); {
	case digit(r):
		for digit(l.cur()) || l.cur() == '.' && digit(l.peek()) {
			l.advance(1)
		}
	case r == '\\':
		l.advance(1 + utf8.RuneCountInString(l.commandName()))
	case l.pos.Offset < len(l.text):
		l.advance(1)
	}
	b[1] = l.pos
	return b
}

// shifted emits a bound that was written in raised or lowered characters.
func (l *lexer) shifted(text string, at [2]Pos) {
	place := func(kind Kind, s string) {
		l.toks = append(l.toks, Token{Kind: kind, Text: s, Sp: Span{at[0], at[1].Offset},
			raw: l.text[at[0].Offset:at[1].Offset]})
	}
	for text != "" {
		r, size := utf8.DecodeRuneInString(text)
		switch {
		case digit(r):
			n := len(text) - len(strings.TrimLeft(text, "0123456789"))
			place(NumberToken, text[:n])
			size = n
		case r == '+' || r == '-':
			place(OperatorToken, string(r))
		default:
			place(NameToken, plainName(r))
		}
		text = text[size:]
	}
}

// differentialOf returns where the integral's differential dx stands: its first token, the one behind it, and its
// variable.
func (p *parser) differentialOf(i int) (at, end int, variable string) {
	depth, inner := 0, 0
	for ; i < len(p.toks); i++ {
		t := p.toks[i]
		switch t.Kind {
		case OpenToken:
			depth++
		case CloseToken:
			if depth--; depth < 0 {
				return 0, 0, ""
			}
		case CommandToken:
			if t.Text == "int" {
				inner++
			}
		case NameToken:
			if depth > 0 {
				continue
			}
			if m, ok := p.leibniz(p.toks, i); ok {
				i = m.end - 1
				continue
			}
			v, size := differential(t), 1
			if t.Text == "d" && i+1 < len(p.toks) && p.toks[i+1].Kind == NameToken {
				v, size = p.toks[i+1].Text, 2
			}
			if v == "" || p.n.Variable != "" && v != p.n.Variable {
				continue
			}
			if inner--; inner < 0 {
				return i, i + size, v
			}
		}
		if t.relation() && depth == 0 {
			return 0, 0, ""
		}
	}
	return 0, 0, ""
}

// integral reads an integral up to its dx.
func (p *parser) integral() Node {
	start := p.i
	sign := p.peek()
	p.i++
	var bounds []Node
	for k := range 2 {
		if end := matching(p.toks, p.i); end == p.i+1 {
			p.i = end + 1
		} else if x := p.group(); k == len(bounds) {
			bounds = append(bounds, x)
		}
	}
	if sign.by == "^" && len(bounds) == 2 {
		bounds[0], bounds[1] = bounds[1], bounds[0]
	}
	at, end, variable := p.differentialOf(p.i)
	if end == 0 {
		p.fail(sign.Sp, fmt.Sprintf("the integral “%s” has no end", sign.raw),
			fmt.Sprintf("write d%s behind what is integrated", p.variable()))
	}
	rest := p.toks
	bars := p.bars
	p.toks, p.bars = p.toks[:at], 0
	p.enter()
	if p.i == at {
		p.toks = rest
		p.fail(p.span(start), "the integral has nothing to integrate", "write what stands between the sign and its end")
	}
	x := p.sum()
	if p.i < at {
		p.unexpected()
	}
	p.leave()
	p.toks, p.bars, p.i = rest, bars, end
	if len(bounds) == 1 {
		p.fail(sign.Sp, "the integral has one bound only", "write both, or none for the whole interval")
	}
	return &Call{Sp: p.span(start), Func: "integral", Args: append([]Node{x}, bounds...),
		By: variable}
}

func (p *parser) variable() string {
	if p.n.Variable == "" {
		return "x"
	}
	return p.n.Variable
}
