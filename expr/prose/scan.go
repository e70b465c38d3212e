package prose

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"nodespan/expr/notation"
)

// A scanner cuts the text into items and notes what of the dressing is dropped.
type scanner struct {
	text   string
	at     int
	space  bool
	items  []item
	edits  []notation.Edit
	faults []Fault
	// dollar is "$" or "$$" within such mathematics; shown counts \[ and environments of mathematics.
	dollar string
	shown  int
	// braces are the open braces that mean something here.
	braces []brace
	macros map[string]string
	latex  bool  // the text holds a command of LaTeX
	depth  int   // braces of any kind
	dashes []int // places of "- " at the beginning of lines, as numbers of items
	fenced bool
	cuts   map[int]bool // where a column that is no value begins or ends
	table  bool         // within a table of LaTeX
	cells  int          // the end of a row of a table that is being read
}

// A brace is one whose closing ends a dropped or a transparent command.
type brace struct {
	depth int
	words bool   // what it holds are words
	close string // what its closing is read as
	note  bool   // what is set below or above it is no mathematics
}

func (s *scanner) rest() string { return s.text[s.at:] }

func (s *scanner) rune() rune {
	r, _ := utf8.DecodeRuneInString(s.rest())
	if s.at >= len(s.text) {
		return 0
	}
	return r
}

// inMath reports whether the place is within LaTeX mathematics.
//
//go:noinline
func (s *scanner) inMath() bool {
	if n := len(s.braces); n > 0 && s.braces[n-1].words {
		return false
	}
	return s.dollar != "" || s.shown > 0
}

//go:noinline
func (s *scanner) add(k kind, n int) {
	s.items = append(s.items, item{kind: k, from: s.at, to: s.at + n, text: s.text[s.at : s.at+n], space: s.space,
		math: s.inMath()})
	s.at += n
	s.space = false
}

// drop passes over n bytes; they are read as text.
//
//go:noinline
func (s *scanner) drop(n int, text string) {
	if n > 0 || text != "" {
		s.edits = append(s.edits, notation.Edit{From: s.at, To: s.at + n, Text: text})
	}
	s.at += n
	s.space = true
}

func (s *scanner) run() {
	s.latex = strings.Contains(s.text, "\\")
	s.macros = map[string]string{}
	s.beginLine()
	for s.at < len(s.text) {
		s.next()
	}
}

func lineOf(text string) string {
	if i := strings.IndexByte(text, '\n'); i >= 0 {
		return text[:i]
	}
	return text
}

func (s *scanner) skipWhite() {
	for s.at < len(s.text) {
		r, n := utf8.DecodeRuneInString(s.rest())
		if r == '\n' || !unicode.IsSpace(r) {
			return
		}
		s.at += n
		s.space = true
	}
}

// beginLine passes over what Markdown, mails and plain text put before a line.
func (s *scanner) beginLine() {
	s.skipWhite()
	if s.inMath() {
		return
	}
	for s.rune() == '>' && !strings.HasPrefix(s.rest(), ">=") || strings.HasPrefix(s.rest(), "| >") {
		s.drop(1, "")
		s.skipWhite()
	}
	line := strings.TrimSpace(lineOf(s.rest()))
	switch {
	case s.row(line):
		return
	case strings.HasPrefix(line, "! ") || line == "!":
		s.comment()
		return
	case strings.HasPrefix(line, "```") || strings.HasPrefix(line, "~~~"):
		s.fenced = !s.fenced
		s.drop(len(lineOf(s.rest())), "")
		return
	case len(line) >= 3 && strings.Trim(line, line[:1]) == "" && strings.Contains("=-_*~", line[:1]), line == "--":
		s.drop(len(lineOf(s.rest())), "")
		return
	}
	r, n := utf8.DecodeRuneInString(s.rest())
	if after, _ := utf8.DecodeRuneInString(s.rest()[min(n, len(s.rest())):]); after == ' ' || after == '\t' ||
		after == 0xA0 {
		switch r {
		case '*', '•', '·', '◦', '▪', '‣', '●', '○', '∙', '⁃', '→', '➤':
			s.drop(n, "")
			s.skipWhite()
		case '-', '–', '—':
			if box := strings.ToLower(line[min(len(line), n+1):]); strings.HasPrefix(box, "[ ] ") ||
				strings.HasPrefix(box, "[x] ") {
				s.drop(n+4, "")
				s.skipWhite()
				break
			}
			s.dashes = append(s.dashes, len(s.items))
		}
	}
	switch r {
	case '%':
		s.comment()
	case '⇒', '⟹', '∴', '➔', '»', '›', '✓', '★', '☐', '☑':
		s.drop(n, "")
		s.skipWhite()
	}
	if pair := strings.IndexByte(line, ';'); pair > 0 && cellPair.MatchString(line) {
		at := s.at + pair
		s.edits = append(s.edits, notation.Edit{From: at, To: at + 1, Text: " = "})
	}
	s.columns(line)
	if '①' <= r && r <= '⑳' {
		s.drop(n, "")
		s.skipWhite()
	}
	if bar := strings.Index(line, " | "); bar > 0 && strings.Count(line, "|") == 1 && strings.IndexFunc(line[:bar],
		func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != ' ' && r != '.' }) < 0 {
		s.cells = s.at + len(lineOf(s.rest())) // a label before a bar
	}
}

// columns cuts off what stands before a name and its value in columns, and what stands behind them and their unit.
func (s *scanner) columns(line string) {
	if !strings.Contains(line, "\t") && !strings.Contains(line, "  ") {
		return
	}
	list := columnGap.FindAllStringIndex(line, -1)
	if len(list) < 2 {
		return
	}
	cell := func(k int) string {
		from, to := 0, len(line)
		if k > 0 {
			from = list[k-1][1]
		}
		if k < len(list) {
			to = list[k][0]
		}
		return line[from:to]
	}
	for k := 0; k < min(2, len(list)); k++ {
		if !cellName.MatchString(cell(k)) || !cellNumber.MatchString(cell(k+1)) {
			continue
		}
		if s.cuts == nil {
			s.cuts = map[int]bool{}
		}
		if k > 0 {
			s.cuts[s.at+list[0][0]] = true
		}
		last := k + 1
		if last < len(list) && notation.IsUnit(cell(last+1)) {
			last++
		}
		if last < len(list) {
			s.cuts[s.at+list[last][0]] = true
		}
		return
	}
}

// row reads the beginning of a row of a table: | k | 2 |. Its cells are statements; a name and a number beside it are
// one.
func (s *scanner) row(line string) bool {
	if len(line) < 5 || line[0] != '|' || line[len(line)-1] != '|' || !strings.Contains(" -:\t", line[1:2]) ||
		strings.Count(line, "|") < 3 {
		return false
	}
	if strings.Trim(line, "|-: ") == "" {
		s.drop(len(lineOf(s.rest())), "")
		return true
	}
	s.cells = s.at + len(line)
	s.drop(1, "")
	s.skipWhite()
	return true
}

var (
	cellPair = regexp.MustCompile(`^\pL[\pL\d_]*(;) ?[-−]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?$`) // k;2
	// percentage finds the (20 %) and the (p. 4) behind a statement, dimensionless the unit of a plain number.
	percentage    = regexp.MustCompile(`^\((?:\d+ ?\\?%|(?i:p|pp|s|eqs?|fig|sec|see|vgl|ch|cf)\. ?\d[\d.–-]*)\)`)
	dimensionless = regexp.MustCompile(`^\[ ?[-–−] ?\]`)
	namely        = regexp.MustCompile(`^(i\. ?e\.|e\. ?g\.|viz\.|d\. ?h\.|z\. ?B\.),?(\s|$)`)
	initials      = regexp.MustCompile(`^([BCDEIOPRV]\.){2,4}s?:?`) // B.C.: and O.D.E.
	cellName      = regexp.MustCompile(`^\$?\\?\pL[\pL\d_{}]*\$?$`)
	columnGap     = regexp.MustCompile(`\t[ \t]*|  [ \t]*`)
	cellNumber    = regexp.MustCompile(`^\$?[-−]?\d+(\.\d+)?([eE][-+]?\d+)?\$?$`)
)

// parts reports whether the bars of the line, all of them between blanks, part statements: a = 1 | b = 2.
func (s *scanner) parts() bool {
	from := strings.LastIndexByte(s.text[:s.at], '\n') + 1
	list := strings.Split(lineOf(s.text[from:]), " | ")
	for _, part := range list {
		if !strings.Contains(part, "=") || strings.Contains(part, "|") {
			return false
		}
	}
	return len(list) > 1
}

// cell reads the bar between two cells of a row.
func (s *scanner) cell() {
	before := s.text[:s.at]
	before = strings.TrimSpace(before[strings.LastIndexAny(before, "|\n")+1:])
	after, _, _ := strings.Cut(s.rest()[1:], "|")
	after = strings.TrimSpace(after)
	switch {
	case cellName.MatchString(before) && cellNumber.MatchString(after):
		s.add(relation, 1)
		s.items[len(s.items)-1].text = "="
		s.edits = append(s.edits, notation.Edit{From: s.at - 1, To: s.at, Text: " = "})
	case cellNumber.MatchString(before):
		s.drop(1, " ")
	default:
		s.newLine(1)
	}
}

// comment passes over the rest of the line; the reader of mathematics may not know it for a comment.
func (s *scanner) comment() { s.drop(len(lineOf(s.rest())), "") }

func (s *scanner) next() {
	r, n := utf8.DecodeRuneInString(s.rest())
	switch {
	case r == '\n':
		if s.inMath() {
			s.add(blank, 1)
		} else {
			s.add(lineEnd, 1)
		}
		s.space = true
		s.beginLine()
	case unicode.IsSpace(r) && !s.cuts[s.at]:
		s.at += n
		s.space = true
	case r == '#':
		s.at += len(lineOf(s.rest()))
	case r == '~' && s.latex:
		s.drop(1, " ")
	case r == '|' && s.at < s.cells && !s.inMath():
		s.cell()
	case r == '|' && !s.inMath() && s.parts():
		s.newLine(1)
	case s.cuts[s.at] || r == '&' && s.table && !s.inMath():
		s.newLine(n)
	case r == '%' && s.percent(), r == '!' && s.remarks():
		s.comment()
	case r == '[' && dimensionless.MatchString(s.rest()):
		s.drop(len(dimensionless.FindString(s.rest())), "")
	case r == '(' && percentage.MatchString(s.rest()):
		s.drop(len(percentage.FindString(s.rest())), "")
	case r == '.' && s.continued() > 0:
		s.drop(s.continued(), " ")
	case r == '.' && s.leader() > 0:
		s.drop(s.leader(), " ")
	case r == '(' && s.starred() > 0:
		s.drop(s.starred(), "")
	case strings.HasPrefix(s.rest(), "/*") && strings.Contains(s.rest(), "*/"):
		s.drop(strings.Index(s.rest(), "*/")+2, " ")
	case r == '“' || r == '„' || r == '«' || r == '»' || r == '”' && !s.prime():
		s.drop(n, "")
	case strings.HasPrefix(s.rest(), "//") && s.space && strings.HasPrefix(s.rest(), "// "):
		s.comment()
	case r == '\\':
		s.command()
	case r == '$':
		s.dollars()
	case unicode.IsDigit(r):
		m := 0
		for m < len(s.rest()) && (digit(s.rest()[m]) || s.rest()[m] == '.' && m+1 < len(s.rest()) &&
			digit(s.rest()[m+1])) {
			m++
			if tail := s.rest()[m:]; len(tail) > 3 && (tail[:3] == "{.}" || tail[:3] == "{,}") && digit(tail[3]) {
				m += 3
			}
		}
		s.add(number, max(m, n))
	case strings.ContainsRune("ievdz", r) && s.namely() > 0:
		s.drop(s.namely(), " ")
	case unicode.IsUpper(r) && !s.inMath() && initials.MatchString(s.rest()):
		s.drop(len(initials.FindString(s.rest())), " ")
	case unicode.IsLetter(r):
		s.name()
	case r == '*' || r == '_' || r == '`':
		s.emphasis(r)
	default:
		s.sign(r, n)
	}
}

func digit(c byte) bool { return '0' <= c && c <= '9' }

// percent reports whether the sign at the place begins a comment: in LaTeX it does, elsewhere where a word follows
// it and no number stands close before.
func (s *scanner) percent() bool {
	before := strings.TrimRight(s.text[:s.at], " \t")
	if s.latex {
		return !strings.HasSuffix(before, "\\")
	}
	gap := s.at - len(before)
	rest := strings.TrimSpace(lineOf(s.rest()[1:]))
	return gap >= 2 && rest != "" && unicode.IsLetter([]rune(rest)[0])
}

// prime reports whether the closing quote at the place stands behind a name, so that it is a second derivative.
func (s *scanner) prime() bool {
	n := len(s.items)
	return n > 0 && !s.space && (s.items[n-1].kind == symbol || s.items[n-1].kind == letters ||
		s.items[n-1].kind == closing)
}

// remarks reports whether the exclamation mark at the place begins a comment, as in Fortran: it stands off by two
// blanks, and a word follows.
func (s *scanner) remarks() bool {
	before := strings.TrimRight(s.text[:s.at], " \t")
	rest := strings.TrimSpace(lineOf(s.rest()[1:]))
	return s.at-len(before) >= 2 && rest != "" && unicode.IsLetter([]rune(rest)[0])
}

// leader returns the length of the dots that lead to the number of an equation; 0 where there are none.
func (s *scanner) leader() int {
	rest := lineOf(s.rest())
	n := len(rest) - len(strings.TrimLeft(rest, ". "))
	if strings.Count(rest[:n], ".") < 3 || n == len(rest) || rest[n] != '(' && rest[n] != '[' {
		return 0
	}
	return n
}

// continued returns the length of the dots at the end of a line behind an operator, with the line end: the line goes
// on; 0 where there are none.
func (s *scanner) continued() int {
	line := lineOf(s.rest())
	if dots := strings.TrimRight(line, " \t\r"); dots != "..." || len(line) == len(s.rest()) || len(s.items) == 0 ||
		s.items[len(s.items)-1].kind != operator && s.items[len(s.items)-1].kind != relation {
		return 0
	}
	return len(line) + 1
}

// starred returns the length of a mark such as (*) or (†) behind a statement; 0 where there is none.
func (s *scanner) starred() int {
	rest := lineOf(s.rest())
	end := strings.IndexByte(rest, ')')
	if end < 2 || !s.space || strings.Trim(rest[1:end], "*†‡§#") != "" || len(rest) > end+1 &&
		!strings.ContainsAny(rest[end+1:end+2], " \t,;.\r") {
		return 0
	}
	return end + 1
}

func (s *scanner) dollars() {
	n := 1
	if strings.HasPrefix(s.rest(), "$$") && s.dollar != "$" {
		n = 2
	}
	sign := s.rest()[:n]
	if s.dollar == sign {
		s.dollar = ""
	} else if s.dollar == "" {
		s.dollar = sign
	}
	if n == 2 {
		s.add(lineEnd, 2)
		return
	}
	s.at++
	s.space = true
}

// emphasis passes over the stars, bars and quotes with which Markdown marks words.
func (s *scanner) emphasis(r rune) {
	if r == '`' {
		s.drop(1, "")
		return
	}
	n := 1
	if strings.HasPrefix(s.rest(), "**") || strings.HasPrefix(s.rest(), "__") {
		n = 2
	}
	rest := lineOf(s.rest())
	mark := rest[:n]
	first, _ := utf8.DecodeRuneInString(rest[n:])
	before, _ := utf8.DecodeLastRuneInString(s.text[:s.at])
	opens := s.at == 0 || unicode.IsSpace(before) || strings.ContainsRune("(>:.,;-–", before)
	if end := strings.Index(rest[n:], mark); !s.inMath() && opens && end > 0 && !unicode.IsSpace(first) && (n == 2 &&
		!unicode.IsDigit(first) || unicode.IsLetter(first)) {
		inside, after := rest[n:n+end], rest[n+end+n:]
		next, _ := utf8.DecodeRuneInString(after)
		if !unicode.IsSpace(rune(inside[len(inside)-1])) && (after == "" || unicode.IsSpace(next) ||
			strings.ContainsRune(".,:;!?)", next)) && (n == 2 || onlyWords(inside)) {
			s.drop(n, "")
			close := s.at + end
			s.edits = append(s.edits, notation.Edit{From: close, To: close + n}) // sorted at the end
			return
		}
	}
	for _, e := range s.edits {
		if e.From == s.at && e.To == s.at+n && e.Text == "" {
			s.at += n
			s.space = true
			return
		}
	}
	if r == '_' {
		s.add(mark2(), 1)
		return
	}
	s.add(operator, n)
	if n == 2 {
		s.items[len(s.items)-1].text = "^"
	}
}

func mark2() kind { return mark }

// onlyWords reports whether s holds letters, blanks and punctuation only, and a word of three letters.
func onlyWords(s string) bool {
	run, long := 0, false
	for _, r := range s {
		switch {
		case unicode.IsLetter(r):
			run++
			long = long || run >= 3
		case unicode.IsSpace(r) || strings.ContainsRune(":.,-", r):
			run = 0
		default:
			return false
		}
	}
	return long
}

var signs = map[rune]kind{
	'+': operator, '-': operator, '−': operator, '–': operator, '/': operator, '^': operator, '·': operator,
	'×': operator, '⋅': operator, '±': operator, '∓': operator,
	'=': relation, '<': relation, '>': relation, '≤': relation, '≥': relation, '≈': relation, '≡': relation,
	'≠': relation, '→': relation, '∈': relation, '≔': relation,
	'⟶': relation, '↦': relation, '⩽': relation, '⩾': relation, '＝': relation, '∝': relation, '≃': relation,
	'′': prime, '″': prime, '‴': prime, '⁗': prime, '\'': prime, '’': prime,
	'(': opening, '[': opening, '{': opening, ')': closing, ']': closing, '}': closing, '（': opening, '）': closing,
	',': comma, ';': semicolon, ':': colon, '.': stop, '!': stop, '?': stop, '、': comma, '，': comma,
}

// sign reads punctuation and operators.
func (s *scanner) sign(r rune, n int) {
	k := signs[r]
	switch {
	case r == '{':
		s.depth++
		s.add(opening, n)
		return
	case r == '}':
		if m := len(s.braces); m > 0 && s.braces[m-1].depth == s.depth {
			s.depth--
			s.drop(1, s.braces[m-1].close)
			if s.braces[m-1].close != "" {
				s.items = append(s.items, item{kind: lineEnd, from: s.at, to: s.at, text: "\n"})
			}
			noted := s.braces[m-1].note
			s.braces = s.braces[:m-1]
			if under := s.rest(); noted && under != "" && (under[0] == '_' || under[0] == '^') {
				s.drop(s.group(1), "")
			}
			return
		}
		s.depth--
		s.add(closing, n)
		return
	case r == '-' && strings.HasPrefix(s.rest(), "->"):
		k, n = relation, 2
	case r == ':' && strings.HasPrefix(s.rest(), ":="):
		k, n = relation, 2
	case r == '.' && s.shortened():
		k = mark
	case r == '?' && len(s.items) > 0 && s.items[len(s.items)-1].kind == relation:
		k = symbol // lambda = ?
	case r == '!' && !s.endsWord():
		k = mark
	case r == '&' && s.inMath():
		k = blank
	case unicode.Is(unicode.Mn, r) && (r == 0x307 || r == 0x308):
		k = prime
	case unicode.Is(unicode.Mn, r):
		k = mark
	case k == 0 && (unicode.IsNumber(r) || r == '√' || r == '∞' || r == '∂' || r == '∫'):
		k = symbol
	case k == 0:
		k = mark
	}
	s.add(k, n)
	if r == ':' && n == 2 {
		s.items[len(s.items)-1].text = "="
	}
}

// endsWord reports whether white space or the end of the text follows the character at the place.
func (s *scanner) endsWord() bool {
	_, n := utf8.DecodeRuneInString(s.rest())
	rest := s.rest()[n:]
	return rest == "" || strings.ContainsAny(rest[:1], " \t\r\n)$") || strings.HasPrefix(rest, "**")
}

var abbreviations = set(`
e.g i.e etc ges geg ex exc eq eqs fig ch sec nr ext tel dr prof mr mrs ms bzw z.b d.h ca vgl resp s.t cf approx p pp vol st
`)

// shortened reports whether the full stop at the place ends an abbreviation or an initial.
func (s *scanner) shortened() bool {
	if !s.endsWord() {
		return true
	}
	n := len(s.items)
	if n == 0 {
		return false
	}
	last := s.items[n-1]
	return abbreviations[last.text] && last.kind == letters && last.to == s.at
}

// name reads letters with digits and subscripts, or words that a hyphen or an apostrophe ties together.
func (s *scanner) name() {
	rest := s.rest()
	n, plain := 0, true
	for n < len(rest) {
		r, m := utf8.DecodeRuneInString(rest[n:])
		switch {
		case unicode.Is(unicode.Greek, r) || 0x1D400 <= r && r <= 0x1D7FF:
			plain = false
		case unicode.IsLetter(r) && !(0x2090 <= r && r <= 0x209C):
		case unicode.Is(unicode.Mn, r) && r != 0x307 && r != 0x308 && r != 0x304:
		case strings.HasPrefix(rest[n:], "_{|") || strings.HasPrefix(rest[n:], "_{\\vert"):
			m = 0
		case r == '_' && n+1 < len(rest) && (rest[n+1] == '{' || unicode.IsLetter(rune(rest[n+1])) || digit(rest[n+1])):
			plain = false
			if rest[n+1] == '{' {
				if end := strings.IndexByte(rest[n:], '}'); end > 0 {
					n += end + 1
					continue
				}
			}
		case r == '_' && n+1 < len(rest) && rest[n+1] == '\\':
			plain = false
			m = 2
		case unicode.IsDigit(r), 0x2080 <= r && r <= 0x209C, 0x1D62 <= r && r <= 0x1D6A:
			plain = false
		case plain && s.ties(rest, n, r):
		default:
			m = 0
		}
		if m == 0 {
			break
		}
		n += m
	}
	if n == 0 {
		_, n = utf8.DecodeRuneInString(rest)
	}
	raw := rest[:n]
	k := symbol
	if plain && n > 1 {
		k = letters
	}
	s.add(k, n)
	last := &s.items[len(s.items)-1]
	if k == letters {
		last.text = strings.ToLower(raw)
	}
	if s.differential(raw) {
		last.kind = prime
	}
}

// ties reports whether the sign r at n binds letters to one word: cross-section, it's, Danckwerts'.
func (s *scanner) ties(rest string, n int, r rune) bool {
	before, after := 0, 0
	for i := n; i > 0; before++ {
		p, m := utf8.DecodeLastRuneInString(rest[:i])
		if !unicode.IsLetter(p) {
			break
		}
		i -= m
	}
	_, m := utf8.DecodeRuneInString(rest[n:])
	lower := true
	for _, p := range rest[n+m:] {
		if !unicode.IsLetter(p) {
			break
		}
		lower = lower && !unicode.IsUpper(p) || after == 0
		after++
	}
	tail := rest[n+m : n+m+min(len(rest)-n-m, 1)]
	_ = tail
	switch r {
	case '-', '–', '‐', '‑':
		return before >= 3 && after >= 2 && lower || before == 1 && after >= 4 && lower || before == 2 && after >= 3 &&
			lower
	case '/':
		return before >= 3 && after >= 3 && lower && !functions[strings.ToLower(rest[:n])] && !strings.HasPrefix(rest,
			"d")
	case '\'', '’':
		switch {
		case before >= 2 && after > 0:
			return !functions[wordAt(rest[n+m:])]
		case before == 1 && after >= 2:
			return strings.ContainsRune("ldjmnstcLDJMNSTC", rune(rest[0])) && lower && !functions[wordAt(rest[n+m:])]
		}
		// The apostrophe of "Danckwerts' boundary conditions".
		next := strings.TrimLeft(rest[n+m:], " ")
		return before >= 4 && strings.HasSuffix(rest[:n], "s") && len(next) < len(rest[n+m:]) && len(wordAt(next)) >= 4
	}
	return false
}

// wordAt returns the letters that a text begins with.
func wordAt(s string) string {
	for i, r := range s {
		if !unicode.IsLetter(r) {
			return s[:i]
		}
	}
	return s
}

// differential reports whether a name begins a quotient of differentials: dT/dx, d2T/dx2.
func (s *scanner) differential(raw string) bool {
	rest := s.rest()
	if !strings.HasPrefix(raw, "d") {
		return false
	}
	rest = strings.TrimLeft(rest, "^{}0123456789²³⁴ ")
	for i, r := range rest {
		if !unicode.IsLetter(r) && r != '_' && !unicode.IsDigit(r) {
			rest = strings.TrimLeft(rest[i:], " }")
			break
		}
	}
	return strings.HasPrefix(rest, "/d") || strings.HasPrefix(rest, "/ d") || strings.HasPrefix(rest, "/(d")
}

// namely returns the length of an "i.e." at the place, 0 where there is none.
func (s *scanner) namely() int {
	if s.inMath() {
		return 0
	}
	return len(namely.FindString(s.rest()[:min(8, len(s.rest()))]))
}
