package sheet

import (
	"slices"
	"strings"

	"nodespan/expr/notation"
)

// This stage brings conditions as they are said to one form, "y = 0 at x = 1", token by token: limits, points before
// a colon or behind a comma, several points, points of both signs, ends by name, that an unknown is bounded,
// symmetry.

// saying carries the statements through the stage.
type saying struct {
	r        *reader
	highest  map[string]int // the highest derivative of each unknown
	variable string
	in, out  []notation.Statement
	// waiting are the places in out of statements that may yet get a point from behind; last of those that got one.
	waiting, last []int
	forward       []notation.Token // a point said before, for what follows
	forwardRow    int
	bound         func(at []notation.Token) // states at a further point that an unknown is bounded
}

// said rewrites the statements.
func (r *reader) said(raws []notation.Statement) []notation.Statement {
	s := &saying{r: r, highest: map[string]int{}}
	for _, raw := range raws {
		s.in = append(s.in, s.lists(raw)...)
	}
	s.marks()
	s.chains()
	s.operators()
	s.layers()
	for i := range s.in {
		s.statement(i)
	}
	return s.out
}

// marks finds the orders of the unknowns and the name of the variable.
func (s *saying) marks() {
	for _, raw := range s.in {
		more := 0
		for k, t := range raw.Tokens {
			if isPrime(t) && k > 0 && raw.Tokens[k-1].Kind == notation.CloseToken {
				more = max(more, len(t.Text))
			}
		}
		for _, m := range raw.Marks() {
			if m.Unknown == "" {
				more += m.Order
			}
		}
		for _, m := range raw.Marks() {
			if m.Variable != "" {
				s.variable = m.Variable
			}
			if m.Unknown != "" {
				s.highest[m.Unknown] = max(s.highest[m.Unknown], m.Order+more)
			}
		}
	}
	for i, raw := range s.in {
		t := raw.Tokens
		if s.variable == "" && len(t) > 2 && isName(t[0]) && leads(t[1]) && i+1 < len(s.in) && s.in[i+1].Join == ":" &&
			s.mayVary(t[0].Text, false) {
			s.variable = t[0].Text // x = 0: y = 1
		}
		for k := range t {
			if s.variable == "" && t[k].Text == "at" && k+2 < len(t) && isName(t[k+1]) && leads(t[k+2]) {
				s.variable = t[k+1].Text
			}
		}
	}
}

// leads reports whether a token stands between a name and the value that it takes or goes to.
func leads(t notation.Token) bool {
	return t.Kind == notation.OperatorToken && (t.Text == "=" || t.Text == "→")
}

// lists cuts { y(0) = 0, y(1) = 0 } and its like into statements.
func (s *saying) lists(raw notation.Statement) []notation.Statement {
	t := raw.Tokens
	if len(t) < 5 || t[0].Kind != notation.OpenToken || t[len(t)-1].Kind != notation.CloseToken {
		return []notation.Statement{raw}
	}
	depth, from, relations := 0, 1, 0
	var parts [][]notation.Token
	for i, tok := range t {
		switch {
		case tok.Kind == notation.OpenToken:
			depth++
		case tok.Kind == notation.CloseToken:
			if depth--; depth == 0 && i < len(t)-1 {
				return []notation.Statement{raw}
			}
		case depth == 1 && tok.Kind == notation.CommaToken:
			parts, from = append(parts, t[from:i]), i+1
		case depth == 1 && tok.Text == "=":
			relations++
		}
	}
	parts = append(parts, t[from:len(t)-1])
	if relations < len(parts) {
		return []notation.Statement{raw}
	}
	var out []notation.Statement
	for i, p := range parts {
		if len(p) == 0 {
			continue
		}
		one := raw
		one.Tokens, one.Sp = p, spanOf(p)
		if i > 0 {
			one.Join = ","
		}
		out = append(out, one)
	}
	return out
}

// spanOf is the stretch of tokens, some of which may come from elsewhere in the text.
//
//go:noinline
func spanOf(t []notation.Token) notation.Span {
	sp := t[0].Sp
	for _, tok := range t {
		sp = join(sp, tok.Sp)
	}
	return sp
}

// layers puts intervals that follow one upon another, 0 < x < a and a < x < L, together: each unknown is continued
// over the whole.
func (s *saying) layers() {
	var domains []int
	var ends [][2][]notation.Token
	for i, raw := range s.in {
		if a, b, ok := interval(raw.Tokens); ok {
			domains, ends = append(domains, i), append(ends, [2][]notation.Token{a, b})
		}
	}
	if len(domains) < 2 {
		return
	}
	for i := 1; i < len(ends); i++ {
		if text(ends[i-1][1]) != text(ends[i][0]) {
			return
		}
	}
	first, last := s.in[domains[0]], s.in[domains[len(domains)-1]]
	n := len(first.Tokens)
	close := n // of the bracket of [0, 0.2]
	if first.Tokens[n-1].Kind == notation.CloseToken && len(ends[0][1]) > 0 &&
		first.Tokens[n-1].Sp != ends[0][1][len(ends[0][1])-1].Sp {
		close--
	}
	whole := slices.Concat(first.Tokens[:close-len(ends[0][1])], ends[len(ends)-1][1], first.Tokens[close:])
	s.r.layered = true
	s.r.note(last.Sp,
		"the intervals follow one upon another; each unknown is continued over the whole, and counts in its own")
	first.Tokens = whole
	s.in[domains[0]] = first
	for k := len(domains) - 1; k > 0; k-- {
		s.in = slices.Delete(s.in, domains[k], domains[k]+1)
	}
}

// interval returns the ends of a statement such as 0 < x < L.
func interval(t []notation.Token) (a, b []notation.Token, ok bool) {
	var at []int
	for i, tok := range t {
		switch {
		case isComparison(tok):
			at = append(at, i)
		case tok.Text == "=" || tok.Text == "→":
			return nil, nil, false
		}
	}
	if len(at) == 2 && at[0] > 0 && at[1] == at[0]+2 && isName(t[at[0]+1]) && t[at[0]].Text[0] == '<' {
		return t[:at[0]], t[at[1]+1:], true
	}
	// x in [a, b] and [a, b]
	open := 0
	if len(t) > 2 && isName(t[0]) && t[1].Text == "in" {
		open = 2
	}
	if len(at) > 0 || len(t) < open+5 || t[open].Kind != notation.OpenToken || t[len(t)-1].Kind != notation.CloseToken {
		return nil, nil, false
	}
	for i := open + 1; i < len(t); i++ {
		if t[i].Kind == notation.CommaToken {
			return t[open+1 : i], t[i+1 : len(t)-1], true
		}
	}
	return nil, nil, false
}

// text joins the texts of tokens.
//
//go:noinline
func text(t []notation.Token) string {
	var b strings.Builder
	for _, tok := range t {
		b.WriteString(tok.Text + " ")
	}
	return b.String()
}

// ends returns the ends of the interval of the sheet.
func (s *saying) ends() (a, b []notation.Token, ok bool) {
	for _, raw := range s.in {
		if a, b, ok = interval(raw.Tokens); ok {
			return a, b, true
		}
	}
	return nil, nil, false
}

// statement reads one statement.
func (s *saying) statement(i int) {
	raw := s.in[i]
	t := s.limit(raw.Tokens)
	if raw.Join == "\n" || raw.Join == ";" || raw.Join == "" {
		s.waiting, s.last = nil, nil
		if s.forward != nil && i > 0 && s.forwardRow < i {
			s.forward = nil
		}
	}
	if leadingWords[strings.ToLower(t[0].Text)] != "" {
		s.emit(raw, t)
		return
	}
	further := s.bound
	s.bound = nil
	if s.told(raw, t) {
		return
	}
	what, points := s.points(t)
	switch {
	case points != nil && len(what) == 0 && further != nil && (raw.Join == "," || raw.Join == "and") &&
		(i+1 == len(s.in) || s.in[i+1].Join != ":"):
		further(points[0][2:])
		s.bound = further
		return
	case points == nil && further != nil && raw.Join == "and" && len(t) < 3 && isNumber(t[len(t)-1]):
		further(t) // y regular at 0 and 1
		return
	case points != nil && len(what) == 0:
		s.point(i, points)
		return
	case points == nil && s.more(raw, t):
		return
	case points != nil:
		s.apply(raw, what, points)
		return
	}
	if s.both(raw, t) {
		return
	}
	if s.lacksPoint(t) {
		if s.forward != nil {
			s.last = nil
			s.apply(raw, t, [][]notation.Token{s.forward})
			s.forwardRow = i + 1
			return
		}
		s.waiting = append(s.waiting, len(s.out))
	}
	s.emit(raw, t)
}

// emit keeps a statement.
//
//go:noinline
func (s *saying) emit(raw notation.Statement, t []notation.Token) {
	raw.Tokens, raw.Sp = t, spanOf(t)
	s.out = append(s.out, raw)
}

// points cuts the points off that a statement ends with: "… at x = 0", "… at ends"; a statement may be a point
// alone, with or without its "at".
func (s *saying) points(t []notation.Token) (what []notation.Token, points [][]notation.Token) {
	for k := range t {
		if t[k].Text != "at" || !isName(t[k]) || k+1 >= len(t) {
			continue
		}
		if which := t[k+1].Text; (which == "ends" || which == "leftend" || which == "rightend") && k+2 == len(t) {
			a, b, ok := s.ends()
			if !ok {
				s.r.fault(join(t[k].Sp, t[k+1].Sp), "add a line such as 0 <= x <= 1",
					"which ends these are is not known")
				return t[:k], nil
			}
			switch which {
			case "leftend":
				return t[:k], [][]notation.Token{s.pointOf(a, t[k])}
			case "rightend":
				return t[:k], [][]notation.Token{s.pointOf(b, t[k])}
			}
			return t[:k], [][]notation.Token{s.pointOf(a, t[k]), s.pointOf(b, t[k])}
		}
		if k+3 < len(t) && isName(t[k+1]) && leads(t[k+2]) {
			return t[:k], bothSigns(t[k+1:])
		}
		if rest := t[k+1:]; len(rest) == 5 && rest[0].Kind == notation.BarToken && isName(rest[1]) &&
			rest[2].Kind == notation.BarToken && rest[3].Text == "→" && rest[4].Text == "inf" { // as |x| → ∞
			sign := rest[3]
			sign.Text = "±"
			return t[:k], bothSigns([]notation.Token{rest[1], rest[3], sign, rest[4]})
		}
	}
	if len(t) > 2 && isName(t[0]) && leads(t[1]) && s.mayVary(t[0].Text, t[1].Text == "→") &&
		!hasText(t[2:], "=") && !hasText(t, "?") {
		return nil, bothSigns(t)
	}
	return t, nil
}

// mayVary reports whether a name can be that of the variable; towards says that a limit is taken in it.
//
//go:noinline
func (s *saying) mayVary(name string, towards bool) bool {
	if s.variable != "" {
		return name == s.variable
	}
	return s.highest[name] == 0 && (towards || slices.Contains(preference, name))
}

// pointOf makes "x = a" of the tokens of a; at stands in for what is not written.
//
//go:noinline
func (s *saying) pointOf(a []notation.Token, at notation.Token) []notation.Token {
	name := at
	name.Kind = notation.NameToken
	if name.Text = s.variable; name.Text == "" {
		name.Text = "x"
	}
	equals := at
	equals.Kind, equals.Text = notation.OperatorToken, "="
	return append([]notation.Token{name, equals}, a...)
}

// bothSigns returns the points that x = ±a stands for.
func bothSigns(t []notation.Token) [][]notation.Token {
	k := slices.IndexFunc(t, func(t notation.Token) bool { return t.Text == "±" })
	if k < 0 {
		return [][]notation.Token{t}
	}
	minus := slices.Clone(t)
	var plus []notation.Token
	for i, tok := range t { // the signs go together: u(±5) = ±1
		if tok.Text != "±" {
			plus = append(plus, tok)
			continue
		}
		minus[i].Text = "-"
		if before := t[max(i-1, 0)]; i > 0 && !isComparison(before) && !leads(before) &&
			before.Kind != notation.OpenToken {
			return [][]notation.Token{t} // 2 ± 0.1
		}
	}
	return [][]notation.Token{minus, plus}
}

// both makes two statements of one with u(±1).
func (s *saying) both(raw notation.Statement, t []notation.Token) bool {
	two := bothSigns(t)
	k := slices.IndexFunc(t, func(t notation.Token) bool { return t.Text == "±" })
	if len(two) < 2 || k < 2 || t[k-1].Kind != notation.OpenToken {
		return false
	}
	s.r.note(raw.Sp, "%s is read as two conditions", s.r.source(raw.Sp))
	for _, one := range two {
		s.emit(raw, one)
	}
	return true
}

// point reads a statement that is a point alone: for those before it on its row, or else for those behind.
func (s *saying) point(i int, points [][]notation.Token) {
	raw := s.in[i]
	next := notation.Statement{}
	if i+1 < len(s.in) {
		next = s.in[i+1]
	}
	switch {
	case s.forward != nil && isAt(raw) && len(points) == 1 && len(next.Tokens) > 0 && s.lacksPoint(next.Tokens):
		s.forward, s.forwardRow = points[0], i+1 // at x = 0, u = 3, at x = 1, u' = 0
	case next.Join != ":" && len(s.waiting) > 0:
		for _, k := range s.waiting {
			s.place(k, points)
		}
		s.last, s.waiting = s.waiting, nil
	case next.Join != ":" && len(s.last) > 0 && (raw.Join == "," || raw.Join == "and"):
		s.again(points)
	case len(points) == 1 && (next.Join == ":" || isAt(raw) || raw.Join != "," && raw.Join != "and" &&
		s.lacksPoint(next.Tokens)):
		s.forward, s.forwardRow = points[0], i+1
	default:
		s.emit(raw, raw.Tokens)
	}
}

func isAt(raw notation.Statement) bool { return raw.Tokens[0].Text == "at" && isName(raw.Tokens[0]) }

// more reads the 1 of "u = 0 at x = 0, 1", or "and 1": a further point.
func (s *saying) more(raw notation.Statement, t []notation.Token) bool {
	if len(s.last) == 0 || raw.Join != "," && raw.Join != "and" || slices.ContainsFunc(t, states) || len(t) > 6 {
		return false
	}
	for _, tok := range t {
		if leads(tok) || s.highest[tok.Text] > 0 || isPrime(tok) {
			return false
		}
	}
	s.again([][]notation.Token{s.pointOf(t, t[0])})
	return true
}

// again states what got a point last at further ones.
func (s *saying) again(points [][]notation.Token) {
	for _, k := range s.last {
		st := s.out[k]
		cut := slices.IndexFunc(st.Tokens, func(t notation.Token) bool { return t.Text == "at" })
		for _, p := range points {
			s.emit(st, withPoint(st.Tokens[:cut], p, st.Tokens[cut]))
		}
	}
}

// apply states a statement at points, and with it those that wait.
func (s *saying) apply(raw notation.Statement, what []notation.Token, points [][]notation.Token) {
	what = equals(what)
	if len(what) < 3 || !hasText(what, "=") {
		s.emit(raw, raw.Tokens)
		return
	}
	for _, k := range s.waiting {
		s.place(k, points)
	}
	s.last, s.waiting = s.waiting, nil
	for j, p := range points {
		if j == 0 {
			s.last = append(s.last, len(s.out))
		}
		s.emit(raw, withPoint(what, p, p[0]))
	}
}

// place gives a statement that is kept its points.
func (s *saying) place(k int, points [][]notation.Token) {
	what := equals(s.out[k].Tokens)
	for j, p := range points {
		t := withPoint(what, p, p[0])
		if j == 0 {
			s.out[k].Tokens, s.out[k].Sp = t, spanOf(t)
			continue
		}
		s.emit(s.out[k], t)
	}
}

// equals reads the arrows of a limit as equals signs.
func equals(t []notation.Token) []notation.Token {
	out := slices.Clone(t)
	for i := range out {
		if out[i].Text == "→" {
			out[i].Text = "="
		}
	}
	return out
}

// withPoint puts "what at x = 0" together.
func withPoint(what, point []notation.Token, like notation.Token) []notation.Token {
	at := like
	at.Kind, at.Text, at.Space = notation.NameToken, "at", true
	return slices.Concat(what, []notation.Token{at}, equals(point))
}

// lacksPoint reports whether a statement is a condition without its point: it holds an unknown below its highest
// derivative, at no point, and declares no name.
func (s *saying) lacksPoint(t []notation.Token) bool {
	if len(t) < 3 || !slices.ContainsFunc(t, leads) || slices.ContainsFunc(t, isComparison) || hasText(t, "?") ||
		leadingWords[strings.ToLower(t[0].Text)] != "" || hasText(t, "in") {
		return false
	}
	if isName(t[0]) && t[1].Text == "=" && s.highest[t[0].Text] == 0 {
		return false
	}
	if slices.ContainsFunc(t, func(t notation.Token) bool { return t.Text == "→" }) {
		return true
	}
	holds := false
	for k, tok := range t {
		if !isName(tok) || s.highest[tok.Text] == 0 {
			continue
		}
		n := afterPrimes(t, k+1)
		if n+2 < len(t) && t[n].Text == "(" && !t[n].Space && t[n+1].Text != s.variable {
			return false // one value has its point, the other lacks it
		}
		holds = true
	}
	for _, m := range (notation.Statement{Tokens: t}).Marks() {
		if m.Unknown == "" || m.Order >= s.highest[m.Unknown] {
			return false
		}
		behind := slices.IndexFunc(t, func(t notation.Token) bool { return t.Sp.From.Offset >= m.Sp.To })
		if behind >= 0 && !t[behind].Space && (t[behind].Text == "(" && !hasText(t[behind+1:behind+2], s.variable) ||
			t[behind].Kind == notation.CommandToken && t[behind].Text == "at") {
			continue // it has its point: y'(1) = 0, t = 2
		}
		holds = true
	}
	return holds
}

// limit reads lim_{x→∞} f(x) = 2 as f = 2 at x = ∞.
func (s *saying) limit(t []notation.Token) []notation.Token {
	if t[0].Text != "lim" || len(t) < 6 {
		return t
	}
	from, to := 1, 4
	if t[1].Kind == notation.OpenToken {
		from = 2
		for to = 2; to < len(t) && t[to].Kind != notation.CloseToken; to++ {
		}
	} else if len(t) > 4 && t[3].Kind == notation.OperatorToken {
		to = 5
	}
	if to >= len(t) || to-from < 3 || !isName(t[from]) || t[from+1].Text != "→" {
		return t
	}
	point, rest := t[from:to], t[to:]
	if rest[0].Kind == notation.CloseToken {
		rest = rest[1:]
	}
	// f(x) is f.
	var what []notation.Token
	for k := 0; k < len(rest); k++ {
		if k+2 < len(rest) && rest[k].Text == "(" && rest[k+1].Text == point[0].Text && rest[k+2].Text == ")" {
			k += 2
			continue
		}
		what = append(what, rest[k])
	}
	return withPoint(what, point, point[0])
}
