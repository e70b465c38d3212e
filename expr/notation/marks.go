package notation

import "strings"

// Marks and Parse recognise derivatives by the same two matchers, which look at tokens alone.

// Mark is an occurrence of a derivative, found before anything is known about names: y”, T'(0), d^2T/dx^2, (k T')',
// d/dr(…).
type Mark struct {
	Unknown  string // "" for the derivative of an expression
	Variable string // "x" in d/dx; "" for primes
	Order    int    // 0: the differential of an integral
	Dotted   bool   // a dot above, which is a derivative by the time where nothing else is said
	Argument string // "x" in y''(x) when the argument is a lone name; else ""
	Sp       Span
	// Names are the closed-up names that a quotient of differentials was read from (dy, dx). A sheet that declares one
	// of them means that name, and the mark is none.
	Names []string
}

// Marks lists the derivative marks of a statement, in order, before names are known. Unknown is the name as it is
// written closed up, so that x y' without its space gives "xy": see SplitName.
func (s Statement) Marks() []Mark {
	var marks []Mark
	toks := s.Tokens
	var opens []int
	for i := 0; i < len(toks); {
		t := toks[i]
		if l, ok := matchLeibniz(toks, i); ok {
			m := Mark{Unknown: l.unknown, Variable: l.variable, Order: l.order, Names: l.names,
				Sp: tokenSpan(toks, i, l.end)}
			if l.unknown != "" {
				m.Argument = loneArgument(toks, l.end)
				marks = append(marks, m)
				i = l.end
				continue
			}
			m.Unknown = loneOperand(toks, l)
			marks = append(marks, m)
			if l.group == 0 {
				i = l.end
				continue
			}
			opens = append(opens, l.group)
			i = l.group + 1 // inside d(…)/dx there may be more
			continue
		}
		switch t.Kind {
		case CommandToken:
			if t.Text == "int" {
				if v := integrated(toks[i+1:]); v != "" {
					marks = append(marks, Mark{Variable: v, Sp: t.Sp})
				}
			}
		case NameToken:
			if n, end := matchPrimes(toks, i+1); n > 0 {
				marks = append(marks, Mark{Unknown: t.Text, Variable: toks[end-1].by, Order: n,
					Argument: loneArgument(toks, end), Dotted: t.over != "", Sp: tokenSpan(toks, i, end)})
				i = end
				continue
			}
		case OpenToken:
			opens = append(opens, i)
		case CloseToken:
			from := i
			if len(opens) > 0 {
				from = opens[len(opens)-1]
				opens = opens[:len(opens)-1]
			}
			if n, end := matchPrimes(toks, i+1); n > 0 {
				m := Mark{Order: n, Variable: toks[end-1].by, Sp: tokenSpan(toks, from, end)}
				if i-from == 2 {
					m.Unknown, m.Argument = loneName(toks, from+1), loneArgument(toks, end) // (y)', {y}''
				}
				marks = append(marks, m)
				i = end
				continue
			}
		}
		i++
	}
	return marks
}

// integrated returns the variable of an integral whose sign stands before the tokens.
func integrated(toks []Token) string {
	for i := 0; i < len(toks); i++ {
		if m, ok := matchLeibniz(toks, i); ok {
			i = m.end - 1
			continue
		}
		t := toks[i]
		if v := differential(t); v != "" && (i == 0 || !toks[i-1].is(OperatorToken, "/")) {
			return v
		}
		if t.is(NameToken, "d") && i+1 < len(toks) && toks[i+1].Kind == NameToken &&
			(i == 0 || !toks[i-1].is(OperatorToken, "/")) {
			return toks[i+1].Text
		}
	}
	return ""
}

//
//go:noinline
func tokenSpan(toks []Token, from, end int) Span { return Span{toks[from].Sp.From, toks[end-1].Sp.To} }

// loneArgument returns the name in "(name)" at i, or ""; pi, e and inf are no names here.
func loneArgument(toks []Token, i int) string {
	if i+2 < len(toks) && toks[i].is(OpenToken, "(") && toks[i+1].Kind == NameToken && !constants[toks[i+1].Text] &&
		toks[i+2].Kind == CloseToken {
		return toks[i+1].Text
	}
	return ""
}

// loneName returns the name at i, or "" if there is none or it is a function's or a constant's.
func loneName(toks []Token, i int) string {
	if i >= len(toks) || toks[i].Kind != NameToken || constants[toks[i].Text] || function(toks[i].Text) != "" {
		return ""
	}
	return toks[i].Text
}

// loneOperand returns the name that an operator differentiates when that is all there is: d/dx y, d/dx (y), d(y)/dx.
func loneOperand(toks []Token, l leibniz) string {
	if l.group != 0 {
		if l.groupEnd == l.group+2 {
			return loneName(toks, l.group+1)
		}
		return ""
	}
	if l.end < len(toks) && toks[l.end].Kind == OpenToken {
		if matching(toks, l.end) == l.end+2 {
			return loneName(toks, l.end+1)
		}
		return ""
	}
	return loneName(toks, l.end)
}

// matchPrimes reads the primes at i in any of their forms (two apostrophes, ^{\prime\prime}, ^{(4)}, ^{(iv)}) and
// returns the order and where they end; order 0 if there are none. Plain y^(4) is not among them: it may be a power.
func matchPrimes(toks []Token, i int) (order, end int) {
	for i < len(toks) && toks[i].Kind == PrimeToken {
		order += len(toks[i].Text)
		i++
	}
	if order > 0 {
		return order, i
	}
	if i+1 >= len(toks) || !toks[i].is(OperatorToken, "^") {
		return 0, i
	}
	j := i + 1
	if toks[j].is(CommandToken, "prime") {
		return 1, j + 1
	}
	if n := roman(toks[j].Text); n > 1 && toks[j].Text == strings.ToUpper(toks[j].Text) {
		return n, j + 1 // w^IV
	}
	if !toks[j].is(OpenToken, "{") {
		return 0, i
	}
	j++
	letters, k := "", j
	for ; k < len(toks) && toks[k].Kind == NameToken; k++ {
		letters += toks[k].Text
	}
	if n := roman(letters); n > 1 && k < len(toks) && toks[k].is(CloseToken, "}") {
		return n, k + 1 // w^{IV}
	}
	for ; j < len(toks) && (toks[j].is(CommandToken, "prime") || toks[j].Kind == PrimeToken); j++ {
		if toks[j].Kind == PrimeToken {
			order += len(toks[j].Text)
		} else {
			order++
		}
	}
	if order > 0 && j < len(toks) && toks[j].is(CloseToken, "}") {
		return order, j + 1
	}
	if order == 0 && j+3 < len(toks) && toks[j].is(OpenToken, "(") && toks[j+2].is(CloseToken, ")") &&
		toks[j+3].is(CloseToken, "}") {
		if n := smallCount(toks[j+1].Text); n > 0 {
			return n, j + 4
		}
	}
	return 0, i
}

// smallCount reads 1 to 99, or a Roman number up to viii; 0 for anything else.
func smallCount(s string) int {
	if len(s) == 1 && digit(rune(s[0])) {
		return int(s[0] - '0')
	}
	if len(s) == 2 && digit(rune(s[0])) && digit(rune(s[1])) && s[0] != '0' {
		return int(s[0]-'0')*10 + int(s[1]-'0')
	}
	if n := roman(s); n > 0 {
		return n
	}
	return map[string]int{"i": 1, "I": 1, "v": 5, "V": 5}[s]
}

// roman reads a Roman number of two letters or more, up to viii; 0 for anything else.
func roman(s string) int {
	for n, roman := range []string{2: "ii", 3: "iii", 4: "iv", 6: "vi", 7: "vii", 8: "viii"} {
		if roman != "" && (s == roman || s == strings.ToUpper(roman)) {
			return n
		}
	}
	return 0
}

// leibniz is a quotient of differentials.
type leibniz struct {
	order    int
	unknown  string // "" if an expression is differentiated
	at       int    // the token that holds the unknown
	variable string
	varAt    int // the token that holds the variable
	power    int // the order as the denominator states it
	group    int // the opening bracket of the expression in d(…)/dx; 0 for the operator d/dx, which stands before it
	groupEnd int
	names    []string // closed-up names that it was read from
	end      int
}

// matchLeibniz reads a quotient of differentials at i: dy/dx, d^2y/dx^2, d/dx, d(…)/dx, and each as \frac.
func matchLeibniz(toks []Token, i int) (leibniz, bool) {
	var l leibniz
	if i >= len(toks) || toks[i].Kind != CommandToken && (toks[i].Kind != NameToken || toks[i].Text[0] != 'd') {
		return l, false
	}
	if toks[i].is(CommandToken, "frac") {
		if i+1 >= len(toks) || !toks[i+1].is(OpenToken, "{") {
			return l, false
		}
		j, ok := l.numerator(toks, i+2)
		if !ok || j+1 >= len(toks) || !toks[j].is(CloseToken, "}") || !toks[j+1].is(OpenToken, "{") {
			return l, false
		}
		if j, ok = l.denominator(toks, j+2); !ok || j >= len(toks) || !toks[j].is(CloseToken, "}") {
			return l, false
		}
		l.end = j + 1
		return l, true
	}
	j, ok := l.numerator(toks, i)
	if !ok || j >= len(toks) || !toks[j].is(OperatorToken, "/") {
		return l, false
	}
	braced := j+1 < len(toks) && toks[j+1].is(OpenToken, "{")
	if braced {
		j++
	}
	if j, ok = l.denominator(toks, j+1); !ok {
		return l, false
	}
	if braced {
		if j >= len(toks) || !toks[j].is(CloseToken, "}") {
			return l, false
		}
		j++
	}
	l.end = j
	return l, true
}

// differential returns what stands after the d of a closed-up name such as dy, or "".
func differential(t Token) string {
	if t.Kind != NameToken || len(t.Text) < 2 || t.Text[0] != 'd' || !letter(rune(t.Text[1])) || Greek(t.Text) ||
		t.raw == "" || t.raw[0] == '\\' {
		return ""
	}
	return t.Text[1:]
}

// counted reads d2y as the numerator of a second derivative whose raised 2 was lost on the way: order 2 and "y".
func counted(t Token) (order int, rest string) {
	if t.Kind == NameToken && len(t.Text) > 2 && t.Text[0] == 'd' && '2' <= t.Text[1] && t.Text[1] <= '8' &&
		letter(rune(t.Text[2])) {
		return int(t.Text[1] - '0'), t.Text[2:]
	}
	return 0, ""
}

func (l *leibniz) numerator(toks []Token, i int) (int, bool) {
	if i >= len(toks) {
		return i, false
	}
	if rest := differential(toks[i]); rest != "" {
		l.order, l.unknown, l.at = 1, rest, i
		l.names = append(l.names, toks[i].Text)
		return i + 1, true
	}
	if n, rest := counted(toks[i]); n > 0 {
		l.order, l.unknown, l.at = n, rest, i
		l.names = append(l.names, toks[i].Text)
		return i + 1, true
	}
	if !toks[i].is(NameToken, "d") {
		return i, false
	}
	i++
	l.order, i = matchOrder(toks, i)
	if i >= len(toks) {
		return i, false
	}
	switch toks[i].Kind {
	case NameToken:
		l.unknown, l.at = toks[i].Text, i
		return i + 1, true
	case OpenToken:
		end := matching(toks, i)
		if end == 0 {
			return i, false
		}
		if end == i+2 && toks[i+1].Kind == NameToken && toks[i].Text == "{" {
			l.unknown, l.at = toks[i+1].Text, i+1
			return end + 1, true
		}
		l.group, l.groupEnd = i, end
		return end + 1, true
	}
	return i, true
}

func (l *leibniz) denominator(toks []Token, i int) (int, bool) {
	if i >= len(toks) {
		return i, false
	}
	if rest := differential(toks[i]); rest != "" {
		// dx2 beside d2y is dx^2.
		if n, _ := counted(toks[l.at]); n > 0 && l.unknown != "" && strings.HasSuffix(rest, string(rune('0'+n))) &&
			len(rest) > 1 {
			l.variable, l.varAt, l.power = rest[:len(rest)-1], i, n
			l.names = append(l.names, toks[i].Text)
			return i + 1, true
		}
		l.variable, l.varAt = rest, i
		l.names = append(l.names, toks[i].Text)
		i++
	} else {
		if !toks[i].is(NameToken, "d") || i+1 >= len(toks) {
			return i, false
		}
		i++
		braced := i+2 < len(toks) && toks[i].is(OpenToken, "{") && toks[i+2].is(CloseToken, "}") // d{x}
		if braced {
			i++
		}
		if toks[i].Kind != NameToken {
			return i, false
		}
		l.variable, l.varAt = toks[i].Text, i
		if i++; braced {
			i++
		}
	}
	l.power, i = matchOrder(toks, i)
	return i, true
}

// matchOrder reads ^2 or ^{2} at i; the order is 1 if there is none.
func matchOrder(toks []Token, i int) (order, end int) {
	if i+1 >= len(toks) || !toks[i].is(OperatorToken, "^") {
		return 1, i
	}
	j := i + 1
	if toks[j].Kind == NumberToken {
		if n := smallCount(toks[j].Text); n > 0 {
			return n, j + 1
		}
	}
	if j+2 < len(toks) && toks[j].is(OpenToken, "{") && toks[j+1].Kind == NumberToken && toks[j+2].is(CloseToken, "}") {
		if n := smallCount(toks[j+1].Text); n > 0 {
			return n, j + 3
		}
	}
	return 1, i
}

// matching returns the place of the bracket that closes the one at i, or 0.
//
//go:noinline
func matching(toks []Token, i int) int {
	depth := 0
	for j := i; j < len(toks); j++ {
		switch toks[j].Kind {
		case OpenToken:
			depth++
		case CloseToken:
			if depth--; depth == 0 {
				return j
			}
		}
	}
	return 0
}
