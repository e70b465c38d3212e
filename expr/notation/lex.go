package notation

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// The lexer turns text into one flat run of tokens. It knows characters, numbers, names and LaTeX dressing, but not
// where statements end; split.go cuts the run.

type lexer struct {
	text   string
	pos    Pos
	space  bool // white space stands before the next token
	toks   []Token
	faults ErrorList // one for each faulty token
	open   []frame   // LaTeX modes and environments that are open
	edits  []Edit    // still to come
}

// A frame is an open LaTeX mode ($, $$, \[, \() or environment.
type frame struct {
	name      string
	at        Span
	piecewise bool // a cases environment that is a value, not a list of statements
}

// lex returns the tokens of the text, the faults that its faulty tokens stand for, in the same order, and the faults
// of modes left open.
func lex(text string, edits []Edit) (toks []Token, faults, open ErrorList) {
	l := &lexer{text: text, pos: Pos{Line: 1, Column: 1}, toks: make([]Token, 0, len(text)/2+8), edits: edits}
	for l.pos.Offset < len(text) || len(l.edits) > 0 {
		if len(l.edits) > 0 && l.edits[0].From <= l.pos.Offset {
			l.edit()
			continue
		}
		if l.pos.Offset >= len(text) {
			break
		}
		l.next()
	}
	if len(l.open) > 0 {
		f := l.open[0] // the others are the same slip
		open = append(open, &Error{Span: f.at, Msg: fmt.Sprintf("“%s” is not closed", f.name),
			Hint: "close it with " + closer(f.name), Incomplete: true})
	}
	return l.toks, l.faults, open
}

// rune returns the character at offset, brought to its plain form, and its size; (0, 0) at the end.
func (l *lexer) rune(offset int) (rune, int) {
	if offset >= len(l.text) {
		return 0, 0
	}
	r, size := utf8.DecodeRuneInString(l.text[offset:])
	return plain(r), size
}

//go:noinline
func (l *lexer) cur() rune {
	r, _ := l.rune(l.pos.Offset)
	return r
}

// peek returns the character after the current one.
func (l *lexer) peek() rune {
	_, size := l.rune(l.pos.Offset)
	r, _ := l.rune(l.pos.Offset + size)
	return r
}

// advance moves over n characters.
func (l *lexer) advance(n int) {
	for ; n > 0 && l.pos.Offset < len(l.text); n-- {
		r, size := utf8.DecodeRuneInString(l.text[l.pos.Offset:])
		l.pos.Offset += size
		l.pos.Column++
		if r == '\n' {
			l.pos.Line++
			l.pos.Column = 1
		}
	}
}

// emit appends a token that runs from a place to the current one. It is called in many places, so that inlining it
// would make the page larger.
//
//go:noinline
func (l *lexer) emit(kind Kind, text string, from Pos) {
	l.toks = append(l.toks, Token{Kind: kind, Text: text, Sp: Span{from, l.pos.Offset}, Space: l.space,
		raw: l.text[from.Offset:l.pos.Offset]})
	l.space = false
}

//go:noinline
func (l *lexer) fault(from Pos, msg, hint string) {
	l.faults = append(l.faults, &Error{Span: Span{from, l.pos.Offset}, Msg: msg, Hint: hint})
	l.toks = append(l.toks, Token{Kind: faulty, Sp: Span{from, l.pos.Offset}})
}

// before returns the last token, or a token of no kind.
func (l *lexer) before() Token {
	if len(l.toks) == 0 {
		return Token{}
	}
	return l.toks[len(l.toks)-1]
}

// math reports whether the place is within LaTeX mathematics.
func (l *lexer) math() bool { return len(l.open) > 0 }

// closedName reports whether T∞ is a name where the token is T: letters without a subscript.
func closedName(t Token) bool {
	return !strings.Contains(t.Text, "_") && t.raw != "" && (letter(plain([]rune(t.raw)[0])) ||
		greek[[]rune(t.raw)[0]] != "")
}

func letter(r rune) bool { return 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' }
func digit(r rune) bool  { return '0' <= r && r <= '9' }

// next reads one token, or white space.
func (l *lexer) next() {
	from := l.pos
	raw, size := utf8.DecodeRuneInString(l.text[from.Offset:])
	if raw == utf8.RuneError && size == 1 {
		l.pos.Offset++
		l.pos.Column++
		l.fault(from, "a byte that is not text (UTF-8)", "delete it")
		return
	}
	r := plain(raw)
	switch {
	case l.nextSpace(r, from), l.nextNumber(r, raw, from), l.nextName(r, raw, from):
	case r == '\\':
		l.command()
	case r == '$':
		l.dollar()
	default:
		l.sign(r, raw)
	}
}

// nextSpace reads white space, the end of a line or a comment, and reports whether there was one.
func (l *lexer) nextSpace(r rune, from Pos) bool {
	switch {
	case white(r):
		l.blank(from)
	case invisible(r):
		l.advance(1)
	case r == '\r' && l.peek() == '\n':
		l.advance(1)
	case r == '\n', r == '\r', r == 0x2028, r == 0x2029, r == 0x85:
		l.advance(1)
		l.newline(from)
	case r == '#', r == '%' && (l.math() || l.startsLine() || l.before().Kind == separator):
		for l.pos.Offset < len(l.text) && l.cur() != '\n' {
			l.advance(1)
		}
	default:
		return false
	}
	return true
}

// nextNumber reads a number in digits, a raised one or a fraction of one character, and reports whether there was one.
func (l *lexer) nextNumber(r, raw rune, from Pos) bool {
	switch {
	case r == '.' && strings.ContainsRune("*/^", l.peek()) && l.pos.Offset > 0 && !l.space:
		l.advance(1) // the .* of arrays
	case digit(r), r == '.' && digit(l.peek()):
		l.number()
	case superscripts[raw] != 0:
		l.raised()
	case fractions[raw] != [2]string{}:
		l.advance(1)
		l.fraction(fractions[raw], from)
	default:
		return false
	}
	return true
}

// spelledSigns gives the names that single signs stand for.
var spelledSigns = map[rune]string{'∈': "in", '√': "sqrt", '∛': "cbrt", '℃': "degC"}

// nextName reads a name or a sign that stands for one, and reports whether there was one.
func (l *lexer) nextName(r, raw rune, from Pos) bool {
	switch {
	case letter(r), ligatures[raw] != "":
		l.name()
	case greek[r] != "":
		l.advance(1)
		if accent := l.accent(); accent != "" {
			l.emitAccented(greek[r], accent, from)
		} else {
			l.greek(greek[r], from)
		}
	case raw == 'ħ' || raw == 'ℏ':
		l.advance(1)
		l.greek("hbar", from)
	case raw == '∞':
		l.advance(1)
		if t := l.before(); t.Kind == NameToken && !l.space && closedName(t) {
			l.glue("_inf") // T∞ is T_inf
		} else {
			l.emit(NameToken, "inf", from)
		}
	case accented[raw] != [2]rune{}:
		l.accented(accented[raw])
	case (raw == '°' || raw == 'º') && l.peek() == 'C':
		l.advance(2)
		l.emit(NameToken, "degC", from)
	case raw == '∫':
		l.advance(1)
		l.integral(from)
	case raw == '∂':
		l.advance(1)
		l.partial(from)
	case spelledSigns[raw] != "":
		l.advance(1)
		l.emit(NameToken, spelledSigns[raw], from)
	default:
		return false
	}
	return true
}

// fraction emits a fraction of one character, {1/2} for ½. Behind a whole number it is a part of it: 2½ is {2+1/2}.
func (l *lexer) fraction(parts [2]string, from Pos) {
	if n := len(l.toks) - 1; n >= 0 && !l.space && l.toks[n].Kind == NumberToken && allDigits(l.toks[n].Text) {
		whole := l.toks[n]
		open := whole
		open.Kind, open.Text, open.Sp.To, open.raw = OpenToken, "{", whole.Sp.From.Offset, ""
		whole.Space = false
		l.toks = append(l.toks[:n], open, whole)
		l.emit(OperatorToken, "+", from)
	} else {
		l.emit(OpenToken, "{", from)
	}
	for i, kind := range []Kind{NumberToken, OperatorToken, NumberToken, CloseToken} {
		l.emit(kind, []string{parts[0], "/", parts[1], "}"}[i], from)
	}
}

// wide is how many spaces separate what could stand on lines of its own, as columns do.
const wide = 2

// blank reads white space within a line. A tab, a wide space or several spaces may separate statements.
func (l *lexer) blank(from Pos) {
	width := 0
	for r := l.cur(); white(r); r = l.cur() {
		if width++; r == '\t' || r == 0x2003 || r == 0x2001 || r == 0x3000 {
			width += wide
		}
		l.advance(1)
	}
	word, _, _ := strings.Cut(l.text[l.pos.Offset:min(len(l.text), l.pos.Offset+6)], " ")
	if width >= wide && !l.math() && !l.startsLine() && !belongsBefore[word] {
		l.emit(softSeparator, "   ", from)
	}
	l.space = true
}

// startsLine reports whether only white space stands before the place on its line.
func (l *lexer) startsLine() bool {
	line := l.text[:l.pos.Offset]
	line = line[strings.LastIndexByte(line, '\n')+1:]
	return strings.TrimSpace(line) == ""
}

func (l *lexer) newline(from Pos) {
	if l.math() {
		l.emit(softSeparator, "\n", from)
	} else {
		l.emit(separator, "\n", from)
	}
	l.space = true
}

// signs gives the tokens of the signs that mean the same wherever they stand.
var signs = map[rune]Token{
	'→': {Kind: OperatorToken, Text: "→"}, '⟶': {Kind: OperatorToken, Text: "→"}, '⟼': {Kind: OperatorToken, Text: "→"},
	'↦': {Kind: OperatorToken, Text: "→"}, '±': {Kind: OperatorToken, Text: "±"}, '+': {Kind: OperatorToken, Text: "+"},
	'/': {Kind: OperatorToken, Text: "/"}, '?': {Kind: OperatorToken, Text: "?"},
	'≡': {Kind: OperatorToken, Text: "="}, '≔': {Kind: OperatorToken, Text: "="},
	'≤': {Kind: OperatorToken, Text: "<="}, '≦': {Kind: OperatorToken, Text: "<="},
	'⩽': {Kind: OperatorToken, Text: "<="}, '≥': {Kind: OperatorToken, Text: ">="},
	'≧': {Kind: OperatorToken, Text: ">="}, '⩾': {Kind: OperatorToken, Text: ">="},
	'(': {Kind: OpenToken, Text: "("}, '[': {Kind: OpenToken, Text: "["}, '{': {Kind: OpenToken, Text: "{"},
	')': {Kind: CloseToken, Text: ")"}, ']': {Kind: CloseToken, Text: "]"}, '}': {Kind: CloseToken, Text: "}"},
	'⟩': {Kind: CloseToken, Text: ")"}, '〉': {Kind: CloseToken, Text: ")"},
	',': {Kind: CommaToken, Text: ","}, ';': {Kind: separator, Text: ";"}, '.': {Kind: stop, Text: "."},
}

// sign reads punctuation and operators.
func (l *lexer) sign(r, raw rune) {
	from := l.pos
	l.advance(1)
	if t, ok := signs[r]; ok {
		l.emit(t.Kind, t.Text, from)
		return
	}
	switch r {
	case '-', '*', '=', '<', '>', ':':
		l.pair(r, raw, from)
	case '^':
		if m := celsius.FindString(l.text[from.Offset:]); m != "" {
			l.advance(utf8.RuneCountInString(m) - 1)
			l.emit(NameToken, "degC", from)
			return
		}
		l.emit(OperatorToken, "^", from)
	case '⟨', '〈':
		l.emit(CommandToken, "ramp", from)
		l.emit(OpenToken, "(", l.pos)
	case '|':
		l.bar(from)
	case '\'', '"', '‴', '⁗':
		l.primes(map[rune]int{'\'': 1, '"': 2, '‴': 3, '⁗': 4}[r], from)
	case '_':
		l.underscore(from)
	case '&':
		l.ampersand(from)
	case '~':
		if l.math() {
			l.space = true
			return
		}
		l.fault(from, "“~” is not read", "write = or leave a space")
	default:
		switch {
		case r == '!' && l.cur() == '=':
			l.advance(1)
			l.fault(from, "“!=” is not read", "leave out what is merely excluded")
		case unicode.Is(unicode.Mn, raw):
			l.fault(from, fmt.Sprintf("an accent (U+%04X) over a letter is not read", raw),
				"write a plain letter, with a subscript to tell it from others")
		default:
			l.refuse(raw, from)
		}
	}
}

// refuse adds the fault of a character that is not read.
func (l *lexer) refuse(r rune, from Pos) {
	msg, hint := unreadSign(r)
	l.fault(from, msg, hint)
}

// pair reads a sign that may be the first of two, as in <= and **.
func (l *lexer) pair(r, raw rune, from Pos) {
	kind, text, both := OperatorToken, string(r), true
	switch next := l.cur(); {
	case r == '-' && raw == '-' && next == '>':
		text = "→"
	case r == '*' && raw == '*' && next == '*':
		text = "^"
	case (r == '<' || r == '>') && next == '=':
		text += "="
	case (r == '=' || r == ':') && next == '=':
		text = "="
	case r == '=' && (next == '<' || next == '>'):
		l.advance(1)
		l.fault(from, fmt.Sprintf("“=%c” is not read", next), fmt.Sprintf("write “%c=”", next))
		both = false
	default:
		both = false
		if r == ':' {
			kind = colon
		}
	}
	if both {
		l.advance(1)
	}
	l.emit(kind, text, from)
}

// primes reads a sign of n primes. It joins those that it is closed up to.
func (l *lexer) primes(n int, from Pos) {
	if last := len(l.toks) - 1; last >= 0 && l.toks[last].Kind == PrimeToken && !l.space {
		l.toks[last].Text += strings.Repeat("'", n)
		l.toks[last].Sp.To = l.pos.Offset
		l.toks[last].raw = l.text[l.toks[last].Sp.From.Offset:l.pos.Offset]
		return
	}
	l.emit(PrimeToken, strings.Repeat("'", n), from)
}

// underscore reads a _ that belongs to no name: of a point, or of a derivative by its variable.
func (l *lexer) underscore(from Pos) {
	if n := l.barWithin(from.Offset); n > 0 {
		l.emit(CommandToken, "at", from)
		open := l.pos
		l.advance(1)
		l.emit(OpenToken, "{", open)
		l.advance(n)
		return
	}
	if l.before().Kind == CloseToken && !l.space && l.cur() == '{' && l.namesPoint(1) {
		l.emit(CommandToken, "at", from) // [T]_{x=0}
		return
	}
	if t := l.before(); t.is(CloseToken, ")") && !l.space {
		l.pos = from
		if v, n := repeated(strings.TrimPrefix(l.subscript(), "_")); n > 0 { // (k T_x)_x
			l.emit(PrimeToken, strings.Repeat("'", n), from)
			l.toks[len(l.toks)-1].by = v
			return
		}
	}
	l.refuse('_', from)
}

// barWithin returns the length of the bar in y_{|x=0}, whose underscore stands at an offset; 0 where there is none.
func (l *lexer) barWithin(offset int) int {
	for _, bar := range []string{"|", "\\vert", "\\mid"} {
		if strings.HasPrefix(l.text[offset:], "_{"+bar) {
			return len(bar)
		}
	}
	return 0
}

// bar reads |, and the bar of y|_{x=0}, which is the token at.
func (l *lexer) bar(from Pos) {
	if l.cur() == '_' {
		l.advance(1)
		l.emit(CommandToken, "at", from)
		return
	}
	raw, _ := utf8.DecodeRuneInString(l.text[l.pos.Offset:])
	b := l.before()
	follows := !l.space && (b.Kind == NameToken || b.Kind == PrimeToken || b.Kind == CloseToken)
	switch {
	case follows && subscripts[raw] != 0:
		l.emit(CommandToken, "at", from)
		l.loweredPoint()
		return
	case follows && l.namesPoint(0):
		l.emit(CommandToken, "at", from)
		l.pointRun()
		return
	}
	l.emit(BarToken, "|", from)
}

// namesPoint reports whether n characters on a name and an equals sign stand.
func (l *lexer) namesPoint(n int) bool {
	ahead := *l
	ahead.advance(n)
	ahead.skipSpace()
	begin := ahead.pos.Offset
	if ahead.cur() == '\\' {
		ahead.advance(1)
	}
	for r := ahead.cur(); letter(r) || greek[r] != ""; r = ahead.cur() {
		ahead.advance(1)
	}
	found := ahead.pos.Offset > begin
	ahead.skipSpace()
	return found && ahead.cur() == '='
}

// pointRun reads the point of θ|ξ=1, which ends at a space, a sign that goes on with the formula, or a comma.
func (l *lexer) pointRun() {
	end := l.pos
	for seen := false; end.Offset < len(l.text); {
		r, size := l.rune(end.Offset)
		if white(r) && seen || r == '\n' || r == ',' || r == ';' || r == '=' && seen || r == '|' || r == ')' ||
			r == '$' {
			break
		}
		seen = seen || r == '='
		end.Offset += size
	}
	l.emit(OpenToken, "{", l.pos)
	in := &lexer{text: l.text[:end.Offset], pos: l.pos, toks: l.toks}
	for in.pos.Offset < end.Offset {
		in.next()
	}
	l.toks, l.pos = in.toks, in.pos
	l.faults = append(l.faults, in.faults...)
	l.emit(CloseToken, "}", l.pos)
}

// loweredPoint reads the point of T|ₓ₌₀.
func (l *lexer) loweredPoint() {
	from := l.pos
	var b strings.Builder
	for {
		raw, _ := utf8.DecodeRuneInString(l.text[l.pos.Offset:])
		r := subscripts[raw]
		if i := strings.IndexRune("₌₋₊", raw); i >= 0 && raw != 0xFFFD {
			r = []rune("=-+")[i/3]
		}
		if r == 0 {
			break
		}
		b.WriteRune(r)
		l.advance(1)
	}
	if strings.HasSuffix(b.String(), "=") { // |ₓ₌L
		for r := l.cur(); letter(r) || digit(r) || r == '.'; r = l.cur() {
			b.WriteRune(r)
			l.advance(1)
		}
	}
	in := &lexer{text: "{" + b.String() + "}", pos: Pos{Line: 1, Column: 1}}
	for in.pos.Offset < len(in.text) {
		in.next()
	}
	for _, t := range in.toks {
		t.Sp = Span{from, l.pos.Offset}
		l.toks = append(l.toks, t)
	}
	l.faults = append(l.faults, in.faults...)
}

// number reads digits, a point, an exponent. A point at the end of a line or of displayed mathematics is a full stop.
func (l *lexer) number() {
	from := l.pos
	var b strings.Builder
	digits := func() {
		for digit(l.cur()) {
			b.WriteRune(l.cur())
			l.advance(1)
		}
	}
	digits()
	if rest := l.text[l.pos.Offset:]; b.Len() > 0 && len(rest) > 3 && (rest[:3] == "{,}" || rest[:3] == "{.}") &&
		digit(rune(rest[3])) {
		l.advance(3) // 2{,}5 is 2.5: braces around a comma are TeX's way to write a decimal comma
		b.WriteByte('.')
		digits()
	}
	if l.cur() == '.' {
		if digit(l.peek()) || !l.endsLine(l.pos.Offset+1) {
			b.WriteByte('.')
			l.advance(1)
			digits()
		}
	}
	if r := l.cur(); r == 'e' || r == 'E' {
		ahead := *l
		ahead.advance(1)
		sign := ""
		if r := ahead.cur(); r == '+' || r == '-' {
			sign = string(r)
			ahead.advance(1)
		}
		if digit(ahead.cur()) { // or else it is the name e
			l.pos = ahead.pos
			b.WriteString("e" + sign)
			digits()
		}
	}
	if l.cur() == '.' && digit(l.peek()) {
		for l.cur() == '.' || digit(l.cur()) {
			l.advance(1)
		}
		l.fault(from, fmt.Sprintf("“%s” is not a number", l.text[from.Offset:l.pos.Offset]), "write one decimal point")
		return
	}
	l.emit(NumberToken, b.String(), from)
}

// endsLine reports whether only white space stands between offset and the end of the line or of its mathematics.
func (l *lexer) endsLine(offset int) bool {
	for {
		r, size := l.rune(offset)
		switch {
		case size == 0, r == '\n', r == '\r', r == '$', r == '\\', r == '#':
			return true
		case !white(r):
			return false
		}
		offset += size
	}
}

// name reads a run of Latin letters and digits with its subscript, or a joining word.
func (l *lexer) name() {
	from := l.pos
	var b strings.Builder
	for raw, _ := utf8.DecodeRuneInString(l.text[l.pos.Offset:]); l.pos.Offset < len(l.text); raw,
		_ = utf8.DecodeRuneInString(l.text[l.pos.Offset:]) {
		if pair := ligatures[raw]; pair != "" {
			b.WriteString(pair)
			l.advance(1)
			continue
		}
		r := plain(raw)
		if !letter(r) && !digit(r) {
			break
		}
		b.WriteRune(r)
		l.advance(1)
	}
	word := b.String()
	if word == "int" && l.cur() == '_' {
		l.integral(from)
		return
	}
	if word == "lim" && l.cur() == '_' {
		l.advance(1)
		l.emit(NameToken, "lim", from)
		return
	}
	if len(word) == 1 {
		if accent := l.accent(); accent != "" {
			l.emitAccented(word, accent, from)
			return
		}
	}
	if strings.EqualFold(word, "infinity") || word == "Inf" {
		word = "inf"
	}
	switch strings.ToLower(word) {
	case "with", "where", "and", "for", "on":
		if l.cur() != '_' {
			l.emit(joiner, strings.ToLower(word), from)
			return
		}
	case "s":
		if l.suchThat(from) {
			return
		}
	case "to":
		if last := len(l.toks) - 1; last >= 0 && l.toks[last].Kind == NameToken &&
			strings.EqualFold(l.toks[last].Text, "subject") {
			from = l.toks[last].Sp.From
			l.space = l.toks[last].Space
			l.toks = l.toks[:last]
			l.emit(joiner, "subject to", from)
			return
		}
	}
	if l.gluesDelta() {
		l.glue(word + l.subscript())
		return
	}
	l.emit(NameToken, word+l.subscript(), from)
}

// suchThat reads the rest of "s.t." after its s.
func (l *lexer) suchThat(from Pos) bool {
	for _, tail := range []string{".t.", ".t", ". t."} {
		rest := l.text[l.pos.Offset:]
		if len(rest) < len(tail) || !strings.EqualFold(rest[:len(tail)], tail) {
			continue
		}
		if after, _ := l.rune(l.pos.Offset + len(tail)); tail == ".t" &&
			(letter(after) || digit(after) || after == '_') {
			continue
		}
		l.advance(len(tail))
		l.emit(joiner, "s.t.", from)
		return true
	}
	return false
}

// greek reads what follows a Greek letter (digits, a subscript) and emits the name.
func (l *lexer) greek(name string, from Pos) {
	for digit(l.cur()) {
		name += string(l.cur())
		l.advance(1)
	}
	l.emitGreek(name+l.subscript(), from)
}

func (l *lexer) emitGreek(name string, from Pos) {
	if l.gluesDelta() {
		l.glue(name)
		return
	}
	l.emit(NameToken, name, from)
}

// gluesDelta reports whether the last token is a Delta that belongs to the name at hand (ΔT, \Delta T).
func (l *lexer) gluesDelta() bool {
	t := l.before()
	return t.is(NameToken, "Delta") && t.raw != "Delta" && !l.space
}

func (l *lexer) glue(name string) {
	t := &l.toks[len(l.toks)-1]
	t.Text += name
	t.Sp.To = l.pos.Offset
	t.raw = l.text[t.Sp.From.Offset:t.Sp.To]
}

// charges are the subscripts of ions, n₊ and c_-, and what they are called.
var charges = [][2]string{{"₊", "_plus"}, {"₋", "_minus"}, {"_+", "_plus"}, {"_-", "_minus"}, {"_{+}", "_plus"},
	{"_{-}", "_minus"}}

// charge reads one of them; "" where there is none.
func (l *lexer) charge() string {
	for _, sign := range charges {
		if strings.HasPrefix(l.text[l.pos.Offset:], sign[0]) {
			l.advance(utf8.RuneCountInString(sign[0]))
			return sign[1]
		}
	}
	return ""
}

// subscript reads a subscript in any of its forms and returns it as "_s", or "" if there is none.
func (l *lexer) subscript() string {
	raw, _ := utf8.DecodeRuneInString(l.text[l.pos.Offset:])
	if low := subscripts[raw]; low != 0 && low != '-' && low != '+' {
		var b strings.Builder
		for subscripts[raw] != 0 {
			b.WriteString(plainName(subscripts[raw]))
			l.advance(1)
			raw, _ = utf8.DecodeRuneInString(l.text[l.pos.Offset:])
		}
		return "_" + b.String()
	}
	if name := l.charge(); name != "" {
		return name
	}
	if raw != '_' || l.barWithin(l.pos.Offset) > 0 {
		return ""
	}
	from := l.pos
	l.advance(1)
	var b strings.Builder
	depth := 0
	first := l.pos // behind what TeX takes for the subscript: a character, or a number
	for {
		r := l.cur()
		if depth == 0 && r == '_' && b.Len() > 1 && first.Offset < l.pos.Offset && letter(rune(l.text[first.Offset])) {
			s := b.String()[:first.Offset-from.Offset-1]
			l.pos = first // D_1c_1 is D_1 c_1
			return l.checkSubscript(s, from)
		}
		switch {
		case letter(r), digit(r):
			b.WriteRune(r)
		case ligatures[r] != "":
			b.WriteString(ligatures[r])
		case greek[r] != "":
			b.WriteString(greek[r])
		case r == '∞':
			b.WriteString("inf")
		case r == '{':
			depth++
		case r == '}' && depth > 0:
			depth--
			if depth == 0 {
				l.advance(1)
				return l.checkSubscript(b.String(), from)
			}
		case depth > 0 && (white(r) || r == ','):
		case r == '\\' && depth == 0 && b.Len() > 0:
			return l.checkSubscript(b.String(), from) // T_s\cdot 2: the command is not part of it
		case r == '\\':
			name := l.commandName()
			switch {
			case name == "infty":
				b.WriteString("inf")
			case name == "ell":
				b.WriteByte('l')
			case commandGreek(name) != "":
				b.WriteString(commandGreek(name))
			case fontCommand[name] || name == "text" || name == "mbox", name == ",":
			default:
				l.advance(1 + len(name))
				l.fault(from, fmt.Sprintf("“\\%s” is not read in a subscript", name),
					"write letters and digits, as in T_s")
				return l.checkSubscript(b.String()+"x", from)
			}
			l.advance(len(name)) // the backslash is moved over below
		default:
			return l.checkSubscript(b.String(), from)
		}
		l.advance(1)
		if depth == 0 && (b.Len() == 1 || digit(r) && allDigits(b.String())) && l.pos.Offset-from.Offset-1 == b.Len() {
			first = l.pos
		}
		if depth == 0 && commandEnded(l.text[from.Offset:l.pos.Offset]) {
			// T_\infty y: the command is the whole subscript.
			return l.checkSubscript(b.String(), from)
		}
	}
}

// commandEnded reports whether a subscript text is one complete LaTeX name such as _\infty.
func commandEnded(s string) bool {
	name := strings.TrimPrefix(s, "_\\")
	return name != s && (name == "infty" || commandGreek(name) != "")
}

//go:noinline
func (l *lexer) checkSubscript(s string, from Pos) string {
	if s == "" {
		l.fault(from, "a subscript is empty or not made of letters and digits", "write it as in T_s or T_{s}")
		return "_x"
	}
	return "_" + s
}

// plainName returns the canonical name of a letter.
func plainName(r rune) string {
	if name := greek[r]; name != "" {
		return name
	}
	return string(r)
}

// raised reads a run of superscript characters as ^{…} and reports whether there was one.
func (l *lexer) raised() bool {
	raw, _ := utf8.DecodeRuneInString(l.text[l.pos.Offset:])
	if superscripts[raw] == 0 {
		return false
	}
	start := l.pos
	l.space = false
	var open []Pos
	l.emit(OperatorToken, "^", start)
	l.emit(OpenToken, "{", start)
	for l.pos.Offset < len(l.text) {
		raw, _ = utf8.DecodeRuneInString(l.text[l.pos.Offset:])
		r := superscripts[raw]
		if r == 0 {
			break
		}
		from := l.pos
		switch {
		case digit(r):
			var b strings.Builder
			for digit(superscripts[raw]) {
				b.WriteRune(superscripts[raw])
				l.advance(1)
				raw, _ = utf8.DecodeRuneInString(l.text[l.pos.Offset:])
			}
			l.emit(NumberToken, b.String(), from)
			continue
		case r == '(':
			open = append(open, from)
			l.advance(1)
			l.emit(OpenToken, "(", from)
			continue
		case r == ')':
			l.advance(1)
			if len(open) == 0 {
				l.fault(from, fmt.Sprintf("“%s” closes nothing", string(raw)), "delete it or open it before")
				continue
			}
			open = open[:len(open)-1]
			l.emit(CloseToken, ")", from)
			continue
		case r == '+' || r == '-':
			l.advance(1)
			l.emit(OperatorToken, string(r), from)
			continue
		}
		l.advance(1)
		l.emit(NameToken, plainName(r), from)
	}
	if len(open) > 0 {
		l.fault(open[0], "a raised bracket is not closed", "add “⁾”")
	}
	l.emit(CloseToken, "}", l.pos)
	return true
}
