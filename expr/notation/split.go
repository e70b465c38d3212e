package notation

import (
	"fmt"
	"strings"
)

// Split reads the whole text into statements, with edits in the order of the text. Lexical faults come back as an
// ErrorList, beside the statements that have none; a statement with a fault is left out.
func Split(text string, edits ...Edit) ([]Statement, error) {
	start := Pos{Line: 1, Column: 1}
	if len(text) > MaxText {
		return nil, ErrorList{{Span: Span{start, 0}, Msg: fmt.Sprintf("the text has %d bytes, and at most %d are read",
			len(text), MaxText), Hint: "paste one problem at a time"}}
	}
	toks, faults, open := lex(text, edits)
	settled := settler{toks: toks, faults: faults}
	settled.run()
	s := splitter{toks: unbraced(settled.toks), faults: settled.faults, errs: open}
	s.run()
	for i := range s.done {
		s.done[i].Sp = Span{s.done[i].Tokens[0].Sp.From, s.done[i].Tokens[len(s.done[i].Tokens)-1].Sp.To}
		for _, r := range settled.remarks {
			if sp := s.done[i].Sp; sp.From.Offset <= r.Sp.From.Offset && r.Sp.To <= sp.To {
				s.done[i].remarks = append(s.done[i].remarks, r)
			}
		}
	}
	return s.done, s.errs.Err()
}

// A splitter cuts a flat run of tokens into statements and checks that brackets match within each.
type splitter struct {
	toks   []Token
	done   []Statement
	errs   ErrorList
	faults ErrorList // what the faulty tokens stand for, in their order
	cur    []Token
	join   string
	stack  []int // open brackets, as places in cur
	bad    bool  // the current statement has a fault
	rel    bool  // the current statement has a relation
}

var pairs = map[string]string{"(": ")", "[": "]", "{": "}"}

func (s *splitter) run() {
	for n := len(s.toks); n > 0 && (s.toks[n-1].Kind == separator || s.toks[n-1].Kind == softSeparator); n-- {
		s.toks = s.toks[:n-1]
	}
	s.cur = make([]Token, 0, len(s.toks)) // one piece of memory for the tokens of all statements
	for i := 0; i < len(s.toks); i++ {
		t := s.toks[i]
		inside := len(s.stack) > 0
		switch t.Kind {
		case faulty:
			if !s.bad {
				s.errs = append(s.errs, s.faults[0])
			}
			s.faults = s.faults[1:]
			s.bad = true
		case separator:
			if !inside || !s.broken(i) {
				s.end(t.Text, false)
			}
		case joiner:
			if inside {
				t.Kind = NameToken // Parse refuses it by name
				s.add(t)
				continue
			}
			s.end(t.Text, false)
		case softSeparator:
			if !inside && s.complete() && s.relationFollows(i+1) {
				join := "&"
				if t.Text == "\n" {
					join = "\n"
				}
				s.end(join, false)
			}
		case CommaToken:
			if inside {
				s.add(t)
				continue
			}
			if i > 0 && i+1 < len(s.toks) && s.toks[i-1].Kind == NumberToken && s.toks[i+1].Kind == NumberToken &&
				!t.Space && !s.toks[i+1].Space && allDigits(s.toks[i+1].Text) {
				from := s.toks[i-1].Sp.From
				a, b := s.toks[i-1].raw, s.toks[i+1].raw
				s.fault(Span{from, s.toks[i+1].Sp.To}, fmt.Sprintf("“%s,%s” is two things, never %s.%s", a, b, a, b),
					fmt.Sprintf("write %s.%s, or a space after the comma that separates", a, b), a+"."+b, a+", "+b)
				i++
				continue
			}
			s.end(",", false)
		case stop:
			if !s.endsAt(i + 1) {
				s.refuse('.', t.Sp)
			}
		case colon:
			if len(s.done) == 0 && len(s.cur) == 1 && isOpening(s.cur[0]) {
				continue // Solve:
			}
			if !inside && s.point() {
				s.end(":", false)
				continue
			}
			s.refuse(':', t.Sp)
		case OpenToken:
			if len(s.stack) == MaxNesting {
				s.fault(t.Sp, fmt.Sprintf("brackets nest more than %d deep", MaxNesting),
					"give a part a name of its own")
				s.skip(&i)
				continue
			}
			s.add(t)
			s.stack = append(s.stack, len(s.cur)-1)
		case CloseToken:
			s.close(t)
		default:
			s.add(t)
		}
	}
	s.end("", true)
}

// broken reports whether the separator i is a line end inside brackets that are closed on the next line, the first of
// them behind something that is no number alone: "2)" begins an item of a list.
func (s *splitter) broken(i int) bool {
	if s.toks[i].Text != "\n" {
		return false
	}
	open := len(s.stack)
	for k := i + 1; k < len(s.toks) && s.toks[k].Kind != separator; k++ {
		switch s.toks[k].Kind {
		case OpenToken:
			open++
		case CloseToken:
			if open--; open == 0 {
				s.toks[i+1].Space = true
				return k > i+2 || s.toks[i+1].Kind != NumberToken
			}
		}
	}
	return false
}

//go:noinline
func (s *splitter) add(t Token) {
	s.cur = append(s.cur, t)
	s.rel = s.rel || states(t)
}

// states reports whether the token is what makes a statement: a relation or the word in.
//
//go:noinline
func states(t Token) bool { return t.relation() || t.is(OperatorToken, "→") || t.is(NameToken, "in") }

// point reports whether the current statement is the "x = 0" or "at x = 0" before a colon.
func (s *splitter) point() bool {
	t := s.cur
	if len(t) > 0 && t[0].is(NameToken, "at") {
		t = t[1:]
	}
	return len(t) > 2 && t[0].Kind == NameToken && (t[1].is(OperatorToken, "=") || t[1].is(OperatorToken, "→"))
}

// refuse adds the fault of a character that is not read where it stands.
func (s *splitter) refuse(r rune, sp Span) {
	msg, hint := unreadSign(r)
	s.fault(sp, msg, hint)
}

// fault notes the first fault of a statement; what follows it is mostly the same slip.
func (s *splitter) fault(sp Span, msg, hint string, choices ...string) {
	if !s.bad {
		s.errs = append(s.errs, &Error{Span: sp, Msg: msg, Hint: hint, Choices: ReadChoices(&Names{}, choices...)})
	}
	s.bad = true
}

// skip moves to the end of the statement after a fault that leaves nothing to be read.
func (s *splitter) skip(i *int) {
	for *i+1 < len(s.toks) && s.toks[*i+1].Kind != separator {
		*i++
	}
	s.stack = s.stack[:0]
}

// close matches a closing bracket with its opener. A half-open interval such as [0, inf) may mix the round and the
// square.
func (s *splitter) close(t Token) {
	if len(s.stack) == 0 {
		s.fault(t.Sp, fmt.Sprintf("“%s” closes nothing", t.raw), "delete it or open it before")
		return
	}
	open := s.cur[s.stack[len(s.stack)-1]]
	at := s.stack[len(s.stack)-1]
	s.stack = s.stack[:len(s.stack)-1]
	if pairs[open.Text] == t.Text || len(s.stack) == 0 && open.Text != "{" && t.Text != "}" && s.interval(at) {
		s.add(t)
		return
	}
	s.fault(open.Sp, fmt.Sprintf("“%s” is closed by “%s”", open.raw, t.raw),
		fmt.Sprintf("close it with “%s”", pairs[open.Text]))
}

// interval reports whether the bracket at place at in the current statement can open an interval: it starts the
// statement or stands after "in", and holds one comma.
func (s *splitter) interval(at int) bool {
	if at > 0 && !s.cur[at-1].is(NameToken, "in") {
		return false
	}
	return commas(s.cur[at+1:]) == 1
}

// end closes the current statement, before a separator that reads join.
func (s *splitter) end(join string, last bool) {
	if len(s.stack) > 0 && !s.bad {
		open := s.cur[s.stack[0]]
		s.errs = append(s.errs, &Error{Span: open.Sp, Msg: fmt.Sprintf("“%s” is not closed", open.raw),
			Hint: fmt.Sprintf("add “%s”", pairs[open.Text]), Incomplete: last})
		s.bad = true
	}
	s.stack = s.stack[:0]
	cur := s.cur
	if len(s.done) == 0 && s.join == "" && len(cur) > 0 && isOpening(cur[0]) && (len(cur) == 1 || !cur[1].relation()) {
		cur = cur[1:]
	}
	if len(cur) > 0 && !s.bad {
		s.done = append(s.done, Statement{Tokens: cur[:len(cur):len(cur)], Join: s.join})
	}
	switch {
	case len(cur) > 0 || s.bad:
		s.join = join
	case isJoiningWord(join), len(s.done) > 0 && !isJoiningWord(s.join):
		s.join = join // of several separators in a row the joining word counts, or else the last
	}
	if last && len(cur) > 0 && !s.bad {
		s.done[len(s.done)-1].last = true
	}
	s.cur, s.bad, s.rel = s.cur[len(s.cur):], false, false
}

func isJoiningWord(join string) bool {
	return join != "" && join != "\n" && join != ";" && join != "," && join != ":" && join != "&"
}

// isOpening reports whether the token is the word that may open a sheet.
func isOpening(t Token) bool {
	return t.Kind == NameToken && (strings.EqualFold(t.Text, "solve") || strings.EqualFold(t.Text, "find"))
}

//go:noinline
func allDigits(s string) bool { return strings.Trim(s, "0123456789") == "" }

// endsAt reports whether a statement or its display ends at token i.
func (s *splitter) endsAt(i int) bool {
	return i >= len(s.toks) || s.toks[i].Kind == separator || s.toks[i].Kind == softSeparator ||
		s.toks[i].Kind == joiner
}

// complete reports whether the current statement has a relation and something after it.
func (s *splitter) complete() bool {
	if len(s.cur) == 0 {
		return false
	}
	return s.rel && s.cur[len(s.cur)-1].Kind != OperatorToken
}

// belongsBefore lists the words that go on with the statement before them.
var belongsBefore = map[string]bool{"in": true, "near": true, "at": true, "when": true, "if": true, "as": true,
	"from": true}

// relationFollows reports whether what stands from token i up to the next separator is a statement of its own: it
// does not begin with an operator and has a relation.
func (s *splitter) relationFollows(i int) bool {
	if i >= len(s.toks) || s.toks[i].Kind == OperatorToken && s.toks[i].Text != "-" || s.toks[i].Kind == NameToken &&
		belongsBefore[s.toks[i].Text] {
		return false
	}
	depth, aligned := 0, false
	for ; i < len(s.toks); i++ {
		t := s.toks[i]
		switch t.Kind {
		case softSeparator:
			if t.Text != "&" || aligned { // the first may align the relation sought
				return false
			}
			aligned = true
		case separator, joiner:
			return false
		case OpenToken:
			depth++
		case CloseToken:
			if depth--; depth < 0 {
				return false
			}
		case CommaToken:
			if depth == 0 {
				return false
			}
		}
		if depth == 0 && states(t) {
			return true
		}
	}
	return false
}

// unbraced puts braces around arguments of \frac and \sqrt that have none: \frac12, \frac ab, \sqrt2 take one character
// each.
func unbraced(toks []Token) []Token {
	has := false
	for _, t := range toks {
		has = has || t.Kind == CommandToken
	}
	if !has {
		return toks
	}
	out := make([]Token, 0, len(toks)+8)
	// pending holds, for each argument that must close before another begins, the bracket depth it began at.
	type want struct{ depth, args int }
	var pending []want
	depth := 0
	var held Token // the rest of a token that was cut
	for i := 0; i < len(toks) || held.Kind != 0; {
		t := held
		if held.Kind != 0 {
			held = Token{}
		} else {
			t = toks[i]
			i++
		}
		if n := len(pending); n > 0 && pending[n-1].depth == depth && pending[n-1].args > 0 {
			if t.is(OpenToken, "{") {
				pending[n-1].args--
			} else if (t.Kind == NumberToken || t.Kind == NameToken) && (!t.is(NameToken, "in")) {
				pending[n-1].args--
				head, tail := firstCharacter(t)
				open, end := head, head
				open.Kind, open.Text, end.Kind, end.Text = OpenToken, "{", CloseToken, "}"
				open.Sp.To = open.Sp.From.Offset
				end.Sp.From = head.end()
				open.raw, end.raw = "", ""
				head.Space, end.Space = false, false
				out = append(out, open, head, end)
				held = tail
				for n := len(pending); n > 0 && pending[n-1].depth == depth && pending[n-1].args == 0; n-- {
					pending = pending[:n-1]
				}
				continue
			} else if !t.is(OpenToken, "[") || pending[n-1].args != 1 {
				pending = pending[:n-1] // not an argument: Parse says so
			}
		}
		switch {
		case t.is(CommandToken, "frac"):
			pending = append(pending, want{depth, 2})
		case t.is(CommandToken, "sqrt"):
			pending = append(pending, want{depth, 1})
		case t.Kind == OpenToken:
			depth++
		case t.Kind == CloseToken:
			depth--
			for n := len(pending); n > 0 && pending[n-1].depth > depth; n-- {
				pending = pending[:n-1]
			}
		case t.Kind == separator:
			pending, depth = pending[:0], 0
		}
		for n := len(pending); n > 0 && pending[n-1].depth == depth && pending[n-1].args == 0; n-- {
			pending = pending[:n-1]
		}
		out = append(out, t)
	}
	return out
}

// firstCharacter cuts a token after its first character when each of its characters is a plain one.
func firstCharacter(t Token) (head, tail Token) {
	if len(t.raw) != len(t.Text) || len(t.Text) < 2 {
		return t, Token{}
	}
	if t.Kind == NumberToken && !allDigits(t.Text) {
		return t, Token{}
	}
	for i := 1; i < len(t.Text); i++ {
		if t.Text[i] == '_' {
			return t, Token{}
		}
	}
	if t.Kind == NameToken && (Greek(t.Text) || t.raw != t.Text) {
		return t, Token{}
	}
	head, tail = t, t
	head.Text, head.raw, head.Sp.To = t.Text[:1], t.raw[:1], t.Sp.From.Offset+1
	tail.Text, tail.raw, tail.Space = t.Text[1:], t.raw[1:], false
	tail.Sp.From.Offset++
	tail.Sp.From.Column++
	if digit(rune(tail.Text[0])) {
		tail.Kind = NumberToken
	}
	return head, tail
}
