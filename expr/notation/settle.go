package notation

import "strings"

// What a token means may hang on the rest of the text: whether a dot above a letter is a derivative, a comma a decimal
// one, a line the continuation of the one before. A settler decides it, before the text is cut into statements.

type settler struct {
	toks    []Token
	faults  ErrorList // what the faulty tokens stand for, in their order
	remarks []Remark
	named   map[string]bool // names that the text gives a value or a derivative, for measures
	unknown map[string]bool // names that carry a derivative, for asked
}

func (s *settler) run() {
	s.over()
	s.oneSided()
	s.algebra()
	s.operators()
	s.namedOperators()
	s.orders()
	s.crosses()
	s.dots()
	s.partials()
	s.subscripts()
	s.gradients()
	s.spellings()
	s.brackets()
	s.figures()
	s.decimals()
	s.continuations()
	s.columns()
	s.measures()
	s.ramps()
	s.pieces()
	s.intervals()
	s.asked()
}

//go:noinline
func (s *settler) remark(sp Span, text string) {
	s.remarks = append(s.remarks, Remark{Sp: sp, Text: text})
}

// fault makes token i a faulty one. The choices are clear ways to write it, where it has more than one reading.
func (s *settler) fault(i int, msg, hint string, choices ...string) {
	s.faultOf(i, &Error{Msg: msg, Hint: hint, Choices: ReadChoices(&Names{}, choices...)})
}

// faultOf makes token i a faulty one, which stands for e.
func (s *settler) faultOf(i int, e *Error) {
	n := 0
	for _, t := range s.toks[:i] {
		if t.Kind == faulty {
			n++
		}
	}
	e.Span = s.toks[i].Sp
	s.faults = append(s.faults[:n:n], append(ErrorList{e}, s.faults[n:]...)...)
	s.toks[i] = Token{Kind: faulty, Sp: s.toks[i].Sp}
}

// ends reports whether a token ends a statement that no bracket keeps open.
//
//go:noinline
func ends(t Token) bool {
	switch t.Kind {
	case separator, softSeparator, joiner, CommaToken, colon:
		return true
	}
	return false
}

// starts reports whether a statement begins at token i.
//
//go:noinline
func (s *settler) starts(i int) bool { return i == 0 || ends(s.toks[i-1]) }

// says reports whether one of the words stands in the line from token i on.
func (s *settler) says(i int, words ...string) bool {
	for ; i < len(s.toks) && s.toks[i].Kind != separator; i++ {
		for _, w := range words {
			if s.toks[i].is(NameToken, w) {
				return true
			}
		}
	}
	return false
}

// over reads {a \over b} as \frac{a}{b}.
func (s *settler) over() {
	has := false
	for _, t := range s.toks {
		has = has || t.is(CommandToken, "over")
	}
	if !has {
		return
	}
	var out []Token
	var opens []int // places in out
	for i, t := range s.toks {
		switch {
		case t.Kind == OpenToken:
			opens = append(opens, len(out))
		case t.Kind == CloseToken && len(opens) > 0:
			opens = opens[:len(opens)-1]
		case t.is(CommandToken, "over"):
			if len(opens) == 0 || !out[opens[len(opens)-1]].is(OpenToken, "{") {
				s.toks = append(out, s.toks[i:]...)
				s.fault(len(out), "“\\over” stands outside braces", "write \\frac{a}{b}")
				s.over()
				return
			}
			at := opens[len(opens)-1]
			frac, end, open := out[at], t, t
			frac.Kind, frac.Text = CommandToken, "frac"
			out = append(out[:at], append([]Token{frac}, out[at:]...)...)
			out[at+1].Space = false
			end.Kind, end.Text, end.Space = CloseToken, "}", false
			open.Kind, open.Text, open.Space = OpenToken, "{", false
			opens[len(opens)-1] = len(out) + 1
			out = append(out, end, open)
			continue
		}
		out = append(out, t)
	}
	s.toks = out
}

// brackets reads [0; 2] as [0, 2]: a semicolon in a bracket that closes on the same line.
func (s *settler) brackets() {
	var semicolons []int // in the brackets that are open
	depth := 0
	for i, t := range s.toks {
		switch {
		case t.Kind == OpenToken:
			if depth++; depth == 1 {
				semicolons = semicolons[:0]
			}
		case t.Kind == CloseToken && depth > 0:
			if depth--; depth == 0 {
				for _, k := range semicolons {
					s.toks[k].Kind, s.toks[k].Text = CommaToken, ","
				}
			}
		case t.is(separator, ";") && depth > 0:
			semicolons = append(semicolons, i)
		case t.Kind == separator, t.Kind == joiner:
			depth = 0
		}
	}
}

// decimals reads 2,25 as 2.25 where nothing else can be meant: no number has a decimal point, at least two have a comma
// that is closed up on both sides, not all of them could be thousands, and none stands where a pair belongs.
func (s *settler) decimals() {
	var places []int // of the commas
	clear := false   // one of them is no thousands
	var opens []int
	for i, t := range s.toks {
		switch t.Kind {
		case NumberToken:
			if strings.ContainsAny(t.Text, ".") {
				return
			}
		case OpenToken:
			opens = append(opens, i)
		case CloseToken:
			opens = opens[:max(0, len(opens)-1)]
		case separator, joiner:
			opens = opens[:0]
		case CommaToken:
			if len(opens) > 0 && s.pair(opens[len(opens)-1]) {
				if s.closedPair(i) {
					return
				}
				continue
			}
			if !s.closedPair(i) {
				continue
			}
			places = append(places, i)
			clear = clear || len(s.toks[i+1].Text) != 3 || s.toks[i-1].Text == "0"
		}
	}
	if len(places) < 2 || !clear {
		return
	}
	out := s.toks[:0:0]
	from := 0
	for _, i := range places {
		if i-1 < from || i > 1 && s.toks[i-2].Kind == CommaToken && i-2 >= from-1 && from > 0 &&
			s.toks[i-1].Sp.From.Offset == s.toks[i-2].Sp.To {
			return // 1,2,3
		}
		n := s.toks[i-1]
		n.Text, n.raw = n.Text+"."+s.toks[i+1].Text, n.raw+","+s.toks[i+1].raw
		n.Sp.To = s.toks[i+1].Sp.To
		out = append(append(out, s.toks[from:i-1]...), n)
		from = i + 2
		s.remark(n.Sp, n.raw+" is read as "+n.Text)
	}
	s.toks = append(out, s.toks[from:]...)
}

// closedPair reports whether the comma at i stands closed up between two whole numbers.
func (s *settler) closedPair(i int) bool {
	return i > 0 && i+1 < len(s.toks) && s.toks[i-1].Kind == NumberToken && s.toks[i+1].Kind == NumberToken &&
		!s.toks[i].Space && !s.toks[i+1].Space &&
		allDigits(s.toks[i-1].Text) && allDigits(strings.SplitN(s.toks[i+1].Text, "e", 2)[0]) &&
		!strings.Contains(s.toks[i+1].Text, ".")
}

// pair reports whether the bracket at i belongs to an interval or to a function of several arguments.
func (s *settler) pair(i int) bool {
	if i == 0 || s.toks[i].is(OpenToken, "[") || s.toks[i-1].Kind == joiner || s.toks[i-1].is(NameToken, "in") {
		return true
	}
	f := function(s.toks[i-1].Text)
	return s.toks[i-1].Kind == NameToken && f != "" && Functions[f] > 1
}

// continuations joins a line to the one before where it begins, or that one ends, with a sign that needs more on its
// other side, unless both are whole statements. A line that begins with = always goes on.
func (s *settler) continuations() {
	sign := func(i int) bool {
		return i >= 0 && i < len(s.toks) && s.toks[i].Kind == OperatorToken && s.toks[i].Text != "?"
	}
	any := false
	for i, t := range s.toks {
		any = any || t.Kind == separator && t.Text == "\n" && (sign(i-1) || sign(i+1))
	}
	if !any {
		return
	}
	out := make([]Token, 0, len(s.toks))
	last := 0 // where the line before begins, in out
	joined := false
	for i, t := range s.toks {
		if t.Kind == separator {
			if t.Text == "\n" && s.goesOn(out[last:], s.toks[i+1:]) {
				joined = true
				if i+1 < len(s.toks) {
					s.toks[i+1].Space = true
				}
				continue
			}
			out = append(out, t)
			last = len(out)
			continue
		}
		out = append(out, t)
	}
	if joined {
		s.toks = out
	}
}

// goesOn reports whether what follows a line end belongs to the line before it.
func (s *settler) goesOn(before, after []Token) bool {
	for k, t := range after {
		if t.Kind == separator {
			after = after[:k]
			break
		}
	}
	if len(before) == 0 || len(after) == 0 {
		return false
	}
	begins, stands := after[0], before[len(before)-1]
	if begins.relation() {
		return len(after) > 1 && !after[1].relation() && !stands.relation()
	}
	sign := func(t Token) bool { return t.Kind == OperatorToken && strings.Contains("+-*/", t.Text) }
	if !sign(begins) && !sign(stands) && !stands.relation() || begins.Kind == CommaToken {
		return false
	}
	a, b := has(before, states), has(after, states)
	switch {
	case a && b:
		return false
	case a:
		return !has(after, func(t Token) bool { return t.Kind == joiner })
	case b:
		mark := func(t Token) bool {
			return t.Kind == PrimeToken || t.is(CommandToken, "frac") || t.is(OperatorToken, "/")
		}
		return sign(begins) && has(before, mark)
	}
	return sign(begins) || sign(stands)
}

//
//go:noinline
func has(toks []Token, f func(Token) bool) bool {
	for _, t := range toks {
		if f(t) {
			return true
		}
	}
	return false
}

// columnBefore reports whether a statement stands before the white space that out ends with.
func (s *settler) columnBefore(out []Token) bool {
	k := len(out)
	for k > 0 && out[k-1].Kind == softSeparator {
		k--
	}
	if k == len(out) {
		return false
	}
	from := k
	for from > 0 && !ends(out[from-1]) {
		from--
	}
	return has(out[from:k], states)
}

// intervals gives the interval that stands behind an equation a statement of its own, and one form: y” = y (0 < x < 1),
// y” = y in (0, 1), x from 0 to 2, from x = 0 to x = 2, x between 0 and 2.
func (s *settler) intervals() {
	if !has(s.toks, func(t Token) bool {
		return t.relation() && t.Text != "=" || t.Text == "in" || t.Text == "from" || t.Text == "between"
	}) {
		return
	}
	out := make([]Token, 0, len(s.toks)+8)
	from := 0 // where the statement begins, in out
	for i := 0; i < len(s.toks); i++ {
		t := s.toks[i]
		stands := out[from:]
		begins := t
		begins.Kind, begins.Text = joiner, "for"
		switch {
		case ends(t):
			out = append(out, t)
			from = len(out)
			continue
		case t.is(OpenToken, "(") && t.Space && s.comparison(i) && (has(stands, states) || s.columnBefore(out)):
			end := matching(s.toks, i)
			out = append(append(out, begins), s.toks[i+1:end]...)
			i = end
			continue
		case t.is(NameToken, "in") && len(stands) == 0 && s.columnBefore(out) && i+1 < len(s.toks) &&
			s.toks[i+1].Kind == OpenToken: // && \text{in } (0, 1)
			for len(out) > 0 && out[len(out)-1].Kind == softSeparator {
				out = out[:len(out)-1]
			}
			out = append(out, begins)
			from = len(out)
			continue
		case t.is(NameToken, "in") && has(stands, states) &&
			has(behindName(stands), func(t Token) bool {
				return t.Kind == PrimeToken || t.is(NameToken, "d") ||
					differential(t) != ""
			}):
			if i+1 < len(s.toks) && (s.toks[i+1].Kind == OpenToken || s.toks[i+1].Kind == NumberToken ||
				s.toks[i+1].Kind == NameToken && i+2 < len(s.toks) && s.toks[i+2].relation()) {
				out = append(out, begins)
				from = len(out)
				continue
			}
		case t.is(NameToken, "from") || t.is(NameToken, "between"):
			if a, b, end := s.stretch(i); end > 0 {
				name := s.toks[i] // of the variable
				if k := len(a); k > 2 && a[0].Kind == NameToken && a[1].is(OperatorToken, "=") {
					name, a = a[0], a[2:]
					out = append(out, begins)
				} else if len(stands) != 1 || stands[0].Kind != NameToken {
					break
				} else {
					out, name = out[:from], stands[0]
				}
				if len(b) > 2 && b[0].Text == name.Text && b[1].is(OperatorToken, "=") {
					b = b[2:]
				}
				word := func(kind Kind, text string) Token {
					return Token{Kind: kind, Text: text, Sp: t.Sp, Space: true, raw: t.raw}
				}
				place := func(kind Kind, text string, at Token) Token {
					return Token{Kind: kind, Text: text, Sp: Span{at.Sp.From, at.Sp.From.Offset}, Space: true}
				}
				close := Token{Kind: CloseToken, Text: "]", Sp: Span{b[len(b)-1].end(), b[len(b)-1].Sp.To}}
				out = append(append(append(append(append(out, name, word(NameToken, "in"), place(OpenToken, "[", a[0])),
					a...), place(CommaToken, ",", b[0])), b...), close)
				i = end - 1
				continue
			}
		}
		out = append(out, t)
	}
	s.toks = out
}

// behindName leaves out the name that a statement gives a value: the d of "d = 0.5 in [0, 1]" is no differential.
func behindName(stands []Token) []Token {
	if len(stands) > 1 && stands[0].Kind == NameToken && stands[1].Text == "=" {
		return stands[1:]
	}
	return stands
}

// comparison reports whether the bracket at i holds a comparison, as (0 < x < 1) does, and ends its statement.
func (s *settler) comparison(i int) bool {
	end := matching(s.toks, i)
	if end == 0 || end+1 < len(s.toks) && !ends(s.toks[end+1]) && s.toks[end+1].Kind != stop {
		return false
	}
	compares, depth := false, 0
	for _, t := range s.toks[i+1 : end] {
		switch {
		case t.Kind == OpenToken:
			depth++
		case t.Kind == CloseToken:
			depth--
		case ends(t) && depth == 0:
			return false
		case t.relation() && t.Text != "=":
			compares = compares || depth == 0
		}
	}
	return compares
}

// stretch reads "from A to B" and "between A and B", whose first word is token i: both ends, and where it ends; 0 if it
// is none.
func (s *settler) stretch(i int) (a, b []Token, end int) {
	middle := 0
	for end = i + 1; end < len(s.toks); end++ {
		t := s.toks[end]
		switch {
		case middle == 0 && s.toks[i].Text == "from" && t.is(NameToken, "to"), middle == 0 &&
			s.toks[i].Text == "between" && t.is(joiner, "and"):
			middle = end
			continue
		case ends(t), t.Kind == stop, t.is(NameToken, "with"):
		default:
			continue
		}
		break
	}
	if middle == 0 || middle == i+1 || middle+1 == end {
		return nil, nil, 0
	}
	return s.toks[i+1 : middle], s.toks[middle+1 : end], end
}

// gradients reads dp/dx = -12 as the value of a name where p itself is used nowhere, and dp/dx elsewhere: a pressure
// gradient.
func (s *settler) gradients() {
	type use struct{ total, quotients, first int }
	uses := map[string]*use{}
	var at []int // where quotients begin
	for i := range s.toks {
		m, ok := matchLeibniz(s.toks, i)
		if !ok || m.unknown == "" || m.order != 1 {
			continue
		}
		at = append(at, i)
		u := uses[m.unknown]
		if u == nil {
			u = &use{first: -1}
			uses[m.unknown] = u
		}
		u.quotients++
		if s.starts(i) && m.end < len(s.toks) && s.toks[m.end].is(OperatorToken, "=") {
			u.first = i
		}
	}
	if len(at) == 0 {
		return
	}
	for _, t := range s.toks {
		if t.Kind != NameToken {
			continue
		}
		if u := uses[t.Text]; u != nil {
			u.total++
		}
		if u := uses[strings.TrimPrefix(t.Text, "d")]; u != nil && differential(t) != "" {
			u.total++
		}
	}
	var out []Token
	from := 0
	for _, i := range at {
		m, _ := matchLeibniz(s.toks, i)
		u := uses[m.unknown]
		if u.first < 0 || u.quotients < 2 || u.total != u.quotients || i < from || s.derives(u.first+m.end-i) {
			continue
		}
		t := s.toks[i]
		t.Kind, t.Text = NameToken, "d"+m.unknown+"_d"+m.variable
		t.Sp.To = s.toks[m.end-1].Sp.To
		t.raw = written(s.toks[i:m.end])
		out = append(append(out, s.toks[from:i]...), t)
		from = m.end
		s.remark(t.Sp, t.raw+" is a number, since "+m.unknown+" itself is used nowhere")
	}
	if from > 0 {
		s.toks = append(out, s.toks[from:]...)
	}
}

// derives reports whether the statement goes on with a derivative from token i on.
func (s *settler) derives(i int) bool {
	for ; i < len(s.toks) && !ends(s.toks[i]); i++ {
		if _, ok := matchLeibniz(s.toks, i); ok || s.toks[i].Kind == PrimeToken {
			return true
		}
	}
	return false
}

// written returns tokens as they were written, spaces as single ones.
func written(toks []Token) string {
	var b strings.Builder
	to := -1
	for k, t := range toks {
		if t.Space && k > 0 {
			b.WriteByte(' ')
		}
		if t.Sp.To > to { // not a part of a character that is already written
			b.WriteString(t.raw)
			to = t.Sp.To
		}
	}
	return b.String()
}

// spellings takes T0 for T_0, and Tinf for T_inf, where the text gives a value to one of the two only.
func (s *settler) spellings() {
	if !has(s.toks, func(t Token) bool { return t.Kind == NameToken && strings.Contains(t.Text, "_") }) {
		return
	}
	plain := map[string][]string{} // a name without its underscore: as it is spelled
	given := map[string]bool{}
	for i, t := range s.toks {
		if t.Kind != NameToken {
			continue
		}
		key := spelling(t.Text)
		known := false
		for _, other := range plain[key] {
			known = known || other == t.Text
		}
		if !known {
			plain[key] = append(plain[key], t.Text)
		}
		if i+1 < len(s.toks) {
			next := s.toks[i+1]
			given[t.Text] = given[t.Text] || next.is(OperatorToken, "=") && s.starts(i) || next.Kind == PrimeToken
		}
	}
	for i := range s.toks {
		t := &s.toks[i]
		if t.Kind != NameToken || given[t.Text] || function(t.Text) != "" || len(plain[spelling(t.Text)]) < 2 {
			continue
		}
		value, several := "", false
		for _, other := range plain[spelling(t.Text)] {
			if given[other] {
				value, several = other, value != ""
			}
		}
		if value != "" && !several {
			s.remark(t.Sp, t.raw+" is taken for "+value)
			t.Text = value
		}
	}
}

// spelling returns a name without its underscore; infinity is spelled in several ways.
func spelling(name string) string {
	base, sub, ok := strings.Cut(name, "_")
	if ok && (sub == "infty" || sub == "infinity" || sub == "oo") {
		sub = "inf"
	}
	return base + sub
}

// asking are the words before what is wanted, and wanted those behind it.
var (
	asking = map[string]bool{"find": true, "determine": true, "compute": true, "calculate": true, "evaluate": true,
		"seek": true}
	wanted = []string{"to be found", "to be determined", "unknown", "is unknown", "is sought", "sought",
		"is to be found"}
)

// asked brings what is asked for to one form: "find λ" and "λ to be found" are λ = ?, and "compute y(1)" and y(1) = ?
// are reports.
func (s *settler) asked() {
	if !has(s.toks, func(t Token) bool {
		return t.is(OperatorToken, "?") || asking[strings.ToLower(t.Text)] || t.Text == "found" ||
			t.Text == "determined" || t.Text == "unknown" || t.Text == "sought"
	}) {
		return
	}
	s.unknown = map[string]bool{}
	for i, t := range s.toks {
		if t.Kind == NameToken {
			if n, _ := matchPrimes(s.toks, i+1); n > 0 {
				s.unknown[t.Text] = true
			}
		}
		if m, ok := matchLeibniz(s.toks, i); ok {
			s.unknown[m.unknown] = true
		}
	}
	var out []Token
	depth, from := 0, 0
	for i, t := range append(s.toks[:len(s.toks):len(s.toks)], Token{Kind: separator}) {
		switch {
		case t.Kind == OpenToken:
			depth++
		case t.Kind == CloseToken:
			depth--
		case ends(t) && (depth <= 0 || t.Kind == separator), t.Kind == stop:
			out = append(append(out, s.question(s.toks[from:i])...), t)
			from = i + 1
			if t.Kind == separator {
				depth = 0
			}
		}
	}
	s.toks = out[:len(out)-1]
}

// question returns the tokens of a statement in the form that asks.
func (s *settler) question(toks []Token) []Token {
	n := len(toks)
	if n == 0 {
		return toks
	}
	mark := func(kind Kind, text string, at Token) Token {
		return Token{Kind: kind, Text: text, Sp: Span{at.Sp.From, at.Sp.From.Offset}, Space: true}
	}
	report := func(toks []Token) []Token {
		first := toks[0]
		first.Space = true
		return append([]Token{mark(NameToken, "report", first), first}, toks[1:]...)
	}
	if n > 3 && toks[n-1].is(OperatorToken, "?") && toks[n-2].is(OperatorToken, "=") &&
		has(toks, func(t Token) bool { return t.Kind == NameToken && s.unknown[t.Text] }) {
		return report(toks[:n-2]) // y(1) = ?
	}
	seek := func(name Token) []Token {
		last := name
		return []Token{name, mark(OperatorToken, "=", last), mark(OperatorToken, "?", last)}
	}
	words := ""
	for _, t := range toks[1:] {
		words += " " + strings.ToLower(t.Text)
	}
	for _, w := range wanted {
		if toks[0].Kind == NameToken && words == " "+w {
			return seek(toks[0])
		}
	}
	if toks[0].Kind != NameToken || !asking[strings.ToLower(toks[0].Text)] || n < 2 || has(toks, states) {
		return toks
	}
	rest := toks[1:]
	for len(rest) > 1 && rest[0].Kind == NameToken && (rest[0].is(NameToken, "the") || rest[0].is(NameToken, "value") ||
		rest[0].is(NameToken, "of")) {
		rest = rest[1:]
	}
	switch {
	case len(rest) == 1 && rest[0].Kind == NameToken && (len(rest[0].Text) == 1 || Greek(rest[0].Text)) &&
		!s.unknown[rest[0].Text]:
		return seek(rest[0])
	case len(rest) > 2 && rest[0].Kind == NameToken && s.unknown[rest[0].Text] && rest[len(rest)-1].Kind == CloseToken:
		return report(rest)
	}
	return toks
}
