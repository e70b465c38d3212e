package prose

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"nodespan/expr/notation"
)

// mathEnvironments hold mathematics; any other environment lays text out, but for matrices, which nobody reads here.
var mathEnvironments = set(`
equation align aligned cases dcases gather gathered split multline eqnarray displaymath math flalign alignat
alignedat array subequations
`)

// headings are commands whose argument is a remark; layout are commands that mean nothing.
var (
	headings = set(`
section subsection subsubsection chapter part title author date paragraph subparagraph caption usepackage
documentclass footnote
`)
	layout = set(`
maketitle bigskip medskip smallskip newpage clearpage par noindent indent centering hfill vfill hrule hline protect
small large footnotesize eqno leqno
`)
	dressed   = set(`textbf emph textit textrm textsf texttt underline uline textsc`)
	relations = map[string]string{"le": "<=", "leq": "<=", "ge": ">=", "geq": ">=", "lt": "<", "gt": ">", "to": "→",
		"rightarrow": "→", "longrightarrow": "→", "in": "in",
		"equiv": "=", "approx": "~", "neq": "!=", "ne": "!=", "leqslant": "<=", "geqslant": ">=", "coloneqq": "=",
		"sim": "~", "mapsto": "→", "ll": "<", "gg": ">"}
	skipped = set(`
left right middle big Big bigg Bigg bigl bigr Bigl Bigr displaystyle textstyle limits nolimits nonumber notag
`)
	argued = set(`label tag vspace phantom hphantom vphantom cite ref eqref eqno`)
)

// commandName returns the name of the command at the place.
func (s *scanner) commandName() string {
	rest := s.rest()[1:]
	n := 0
	for n < len(rest) && (rest[n] >= 'a' && rest[n] <= 'z' || rest[n] >= 'A' && rest[n] <= 'Z') {
		n++
	}
	if n == 0 && rest != "" {
		_, n = utf8.DecodeRuneInString(rest)
	}
	return rest[:n]
}

// group returns the length of the group in braces that begins at offset n behind the place, with what stands before
// it; 0 if none.
func (s *scanner) group(n int) int {
	rest := s.rest()
	i := n
	for i < len(rest) && (rest[i] == ' ' || rest[i] == '*') {
		i++
	}
	if i >= len(rest) || rest[i] != '{' {
		return 0
	}
	depth := 0
	for ; i < len(rest); i++ {
		switch rest[i] {
		case '{':
			depth++
		case '}':
			if depth--; depth == 0 {
				return i + 1
			}
		}
	}
	return 0
}

// newLine is a line end that the text does not have.
func (s *scanner) newLine(n int) {
	s.drop(n, "\n")
	s.items = append(s.items, item{kind: lineEnd, from: s.at, to: s.at, text: "\n"})
	s.skipWhite()
}

// command reads a token that begins with a backslash.
func (s *scanner) command() {
	name := s.commandName()
	n := 1 + len(name)
	switch {
	case name == "\\" || name == "newline":
		s.add(lineEnd, n)
	case name == "quad" || name == "qquad":
		s.add(blank, n)
	case name == "hspace":
		s.drop(max(n, s.group(n)), "\\quad")
		s.items = append(s.items, item{kind: blank, from: s.at, to: s.at, text: "\\quad"})
	case name == "begin" || name == "end":
		s.environment(name, n)
	case name == "item":
		if strings.HasPrefix(s.rest()[n:], "[") {
			n += strings.IndexByte(s.rest()[n:], ']') + 1
		}
		s.newLine(n)
	case headings[name]:
		if m := s.group(n); m > 0 {
			n = m
		}
		s.newLine(n)
	case layout[name]:
		s.drop(max(n, s.numbered(name)), "")
	case name == "intertext" || name == "shortintertext":
		s.transparent(n, "\n")
	case name == "text" || name == "mbox" || name == "hbox" || name == "textnormal":
		s.textCommand(n)
	case dressed[name]:
		s.transparent(n, "")
	case name == "boxed" || name == "fbox":
		s.unwrap(n)
	case name == "underbrace" || name == "overbrace":
		s.unwrap(n)
		if m := len(s.braces); m > 0 {
			s.braces[m-1].note = true
		}
	case name == "SI" || name == "qty" || name == "num" || name == "unit" || name == "si":
		s.quantity(name, n)
	case name == "newcommand" || name == "renewcommand" || name == "providecommand" || name == "def":
		s.define(name, n)
	case name == "[" || name == "(":
		s.enter(name, n)
	case name == "]" || name == ")":
		s.leave(name, n)
	case relations[name] != "":
		s.add(relation, n)
		s.items[len(s.items)-1].text = relations[name]
	case skipped[name]:
		s.at += n
	case argued[name]:
		s.at += max(n, s.group(n))
		s.space = true
	case name == "dot" || name == "ddot" || name == "dv":
		s.add(prime, n)
	case strings.Contains("frac dfrac tfrac", name) && len(name) > 3:
		body := strings.TrimLeft(s.rest()[n:], " {")
		k := symbol
		if strings.HasPrefix(body, "d") && !strings.HasPrefix(body, "delta") || strings.HasPrefix(body,
			"\\mathrm{d}") || strings.HasPrefix(body, "\\mathrm d") {
			k = prime
		}
		s.add(k, n)
	case s.macros[name] != "":
		body, n := s.expand(name, n)
		s.edits = append(s.edits, notation.Edit{From: s.at, To: s.at + n, Text: body})
		k := symbol
		if strings.Contains(body, "frac") && (strings.Contains(body, "{d") || strings.Contains(body, "mathrm{d")) {
			k = prime
		}
		s.add(k, n)
	case len(name) == 1 && !unicode.IsLetter(rune(name[0])) && name != "{" && name != "}":
		s.at += n
		s.space = true
	default:
		s.add(symbol, n)
	}
}

func (s *scanner) enter(name string, n int) {
	if name == "[" {
		s.add(lineEnd, n)
		s.shown++
		return
	}
	s.at += n
	s.space = true
	s.dollar = "\\("
}

func (s *scanner) leave(name string, n int) {
	if name == "]" {
		s.shown = max(0, s.shown-1)
		s.add(lineEnd, n)
		return
	}
	s.at += n
	s.space = true
	s.dollar = ""
}

func (s *scanner) environment(which string, n int) {
	m := s.group(n)
	if m == 0 {
		s.add(symbol, n)
		return
	}
	arg := strings.TrimSuffix(strings.Trim(s.rest()[n:m], " {}"), "*")
	switch {
	case mathEnvironments[arg]:
		if which == "begin" && arg == "array" {
			m = max(m, s.group(m))
		}
		if arg != "math" && s.shown+len(s.dollar) == 0 || which == "end" {
			s.add(lineEnd, m)
		} else {
			s.add(blank, m)
		}
		if which == "begin" {
			s.shown++
		} else {
			s.shown = max(0, s.shown-1)
		}
	case strings.HasSuffix(arg, "matrix"):
		s.add(symbol, m)
	default:
		for strings.HasPrefix(s.rest()[m:], "[") && strings.Contains(s.rest()[m:], "]") {
			m += strings.IndexByte(s.rest()[m:], ']') + 1
		}
		if strings.HasPrefix(arg, "tabular") || arg == "longtable" {
			s.table = which == "begin"
			if s.table {
				m = max(m, s.group(m))
			}
		}
		s.newLine(m)
	}
}

// transparent passes over a command and the braces of its argument, which is read as words.
func (s *scanner) transparent(n int, separator string) {
	if s.group(n) == 0 {
		s.drop(n, separator)
		return
	}
	for s.rest()[n] != '{' {
		n++
	}
	s.drop(n+1, separator)
	if separator != "" {
		s.items = append(s.items, item{kind: lineEnd, from: s.at, to: s.at, text: "\n"})
	}
	s.depth++
	s.braces = append(s.braces, brace{depth: s.depth, words: true, close: separator})
}

// textCommand reads \text{…}: words, or a name, which is left to the reader of mathematics.
func (s *scanner) textCommand(n int) {
	m := s.group(n)
	if m == 0 {
		s.add(symbol, n)
		return
	}
	inside := strings.Trim(s.rest()[n:m], " {}~")
	low := strings.ToLower(strings.Trim(inside, " ,.:;"))
	if label := strings.Trim(inside, "()[]"); len(label)+2 == len(inside) && len(label) > 1 && inside[0] != label[0] &&
		onlyLetters(label) {
		s.drop(m, "") // \text{(ODE)}
		return
	}
	lone := !strings.ContainsAny(inside, " $") && low != "" && !common[low] && !keywords[low] && !told[low] &&
		joining[low] == "" && (len(low) < 4 || strings.ToLower(inside) != inside)
	if before := strings.TrimRight(s.text[:s.at], " "); strings.HasSuffix(before, "_") || strings.HasSuffix(before,
		"^") || strings.HasSuffix(before, "_{") || lone || inside == "," || s.choice() {
		s.add(symbol, m)
		return
	}
	s.transparent(n, "")
}

func onlyLetters(s string) bool {
	return strings.IndexFunc(s, func(r rune) bool { return !unicode.IsLetter(r) }) < 0
}

// choice reports whether the place is within cases that are a value: f(x) = \begin{cases} …
func (s *scanner) choice() bool {
	i := max(strings.LastIndex(s.text[:s.at], "\\begin{cases}"), strings.LastIndex(s.text[:s.at], "\\begin{dcases}"))
	if i < 0 || strings.Contains(s.text[i:s.at], "\\end{") {
		return false
	}
	before := strings.TrimRight(s.text[:i], " \n\t&")
	return strings.HasSuffix(before, "=")
}

// unwrap passes over a command and the braces of its argument, which is mathematics.
func (s *scanner) unwrap(n int) {
	if s.group(n) == 0 {
		s.drop(n, "")
		return
	}
	for s.rest()[n] != '{' {
		n++
	}
	s.drop(n+1, "")
	s.depth++
	s.braces = append(s.braces, brace{depth: s.depth})
}

// define reads \newcommand{\name}{body} and \def\name{body}.
func (s *scanner) define(command string, n int) {
	rest := s.rest()
	i := n
	for i < len(rest) && (rest[i] == '{' || rest[i] == ' ' || rest[i] == '*') {
		i++
	}
	if i >= len(rest) || rest[i] != '\\' {
		s.add(symbol, n)
		return
	}
	name := wordAt(rest[i+1:])
	i += 1 + len(name)
	if i < len(rest) && rest[i] == '}' {
		i++
	}
	if i+2 < len(rest) && rest[i] == '[' && digit(rest[i+1]) && rest[i+2] == ']' {
		i += 3
	}
	m := s.group(i)
	if m == 0 {
		s.faults = append(s.faults, Fault{s.at, s.at + i, "a command with arguments is not read",
			"write out what “\\" + name + "” stands for"})
		s.add(symbol, i)
		return
	}
	open := i + strings.IndexByte(rest[i:m], '{')
	s.macros[name] = rest[open+1 : m-1]
	s.drop(m, "")
}

// numbered returns the length of \eqno(12), 0 for other commands.
func (s *scanner) numbered(name string) int {
	if !strings.HasSuffix(name, "eqno") {
		return 0
	}
	return strings.IndexByte(lineOf(s.rest()), ')') + 1
}

// expand returns what a macro with its arguments stands for, and how long these are with its name.
func (s *scanner) expand(name string, n int) (body string, length int) {
	body = s.macros[name]
	for k := byte('1'); k <= '9' && strings.Contains(body, "#"+string(k)); k++ {
		m := s.group(n)
		if m == 0 {
			break
		}
		open := n + strings.IndexByte(s.rest()[n:m], '{')
		body = strings.ReplaceAll(body, "#"+string(k), s.rest()[open+1:m-1])
		n = m
	}
	return body, n
}

// quantity reads \num{2}, \SI{300}{K} and \qty{300}{K} as the number and its unit, in plain letters.
func (s *scanner) quantity(name string, n int) {
	m := s.group(n)
	end := m
	if name == "SI" || name == "qty" {
		end = s.group(m)
	}
	if m == 0 || end == 0 || strings.Contains(s.rest()[:end], "\\") && strings.Contains(s.rest()[n:end], "\\") {
		s.add(symbol, n)
		return
	}
	inside := func(s string) string { return strings.ReplaceAll(strings.Trim(s, " {}"), ".", "*") }
	text := strings.Trim(s.rest()[n:m], " {}")
	if name == "unit" || name == "si" {
		text = " " + inside(s.rest()[n:m])
	} else if end > m {
		text += " " + inside(s.rest()[m:end])
	}
	s.edits = append(s.edits, notation.Edit{From: s.at, To: s.at + end, Text: text})
	s.add(number, end)
}
