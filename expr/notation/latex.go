package notation

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// The LaTeX side of the lexer: commands, modes and environments.

// fontCommand lists commands that only say how their argument looks.
var fontCommand = map[string]bool{
	"mathrm": true, "operatorname": true, "mathit": true, "mathbf": true, "mathsf": true, "mathtt": true,
	"mathnormal": true,
	"boldsymbol": true, "bm": true, "rm": true, "textrm": true, "textit": true, "mathcal": true, "ensuremath": true,
}

// spacing lists commands that stand for white space or for nothing.
var spacing = map[string]bool{
	",": true, ";": true, ":": true, "!": true, " ": true, ">": true, "/": true, "thinspace": true, "medspace": true,
	"thickspace":   true,
	"negthinspace": true, "enspace": true, "displaystyle": true, "textstyle": true, "scriptstyle": true, "limits": true,
	"nolimits": true,
	"nonumber": true, "notag": true, "hfill": true, "hline": true, "noindent": true, "centering": true,
	"allowbreak": true, "null": true,
}

// dropped lists commands whose argument in braces is dropped with them.
var dropped = map[string]bool{"label": true, "tag": true, "hspace": true, "vspace": true, "phantom": true,
	"hphantom": true, "vphantom": true, "cite": true}

// sizes lists the commands that size a delimiter.
var sizes = map[string]bool{
	"left": true, "right": true, "middle": true, "big": true, "Big": true, "bigg": true, "Bigg": true, "bigl": true,
	"bigr": true, "Bigl": true, "Bigr": true,
	"biggl": true, "biggr": true, "Biggl": true, "Biggr": true,
}

// commands gives the token that a command stands for.
var commands = map[string]Token{
	"cdot": {Kind: OperatorToken, Text: "*"}, "times": {Kind: OperatorToken, Text: "*"},
	"ast":    {Kind: OperatorToken, Text: "*"},
	"bullet": {Kind: OperatorToken, Text: "*"}, "div": {Kind: OperatorToken, Text: "/"},
	"slash": {Kind: OperatorToken, Text: "/"},
	"le":    {Kind: OperatorToken, Text: "<="}, "leq": {Kind: OperatorToken, Text: "<="},
	"leqslant": {Kind: OperatorToken, Text: "<="},
	"ge":       {Kind: OperatorToken, Text: ">="}, "geq": {Kind: OperatorToken, Text: ">="},
	"geqslant": {Kind: OperatorToken, Text: ">="},
	"lt":       {Kind: OperatorToken, Text: "<"}, "gt": {Kind: OperatorToken, Text: ">"},
	"to": {Kind: OperatorToken, Text: "→"}, "rightarrow": {Kind: OperatorToken, Text: "→"},
	"longrightarrow": {Kind: OperatorToken, Text: "→"}, "pm": {Kind: OperatorToken, Text: "±"},
	"equiv": {Kind: OperatorToken, Text: "="}, "coloneqq": {Kind: OperatorToken, Text: "="},
	"infty": {Kind: NameToken, Text: "inf"}, "in": {Kind: NameToken, Text: "in"},
	"frac": {Kind: CommandToken, Text: "frac"}, "dfrac": {Kind: CommandToken, Text: "frac"},
	"tfrac": {Kind: CommandToken, Text: "frac"},
	"cfrac": {Kind: CommandToken, Text: "frac"}, "nicefrac": {Kind: CommandToken, Text: "frac"},
	"sfrac": {Kind: CommandToken, Text: "frac"},
	"sqrt":  {Kind: CommandToken, Text: "sqrt"}, "prime": {Kind: CommandToken, Text: "prime"},
	"lvert": {Kind: BarToken, Text: "|"}, "rvert": {Kind: BarToken, Text: "|"}, "vert": {Kind: BarToken, Text: "|"},
	"mid": {Kind: BarToken, Text: "|"},
	"{":   {Kind: OpenToken, Text: "{"}, "}": {Kind: CloseToken, Text: "}"}, "lbrace": {Kind: OpenToken, Text: "{"},
	"rbrace": {Kind: CloseToken, Text: "}"},
	"lbrack": {Kind: OpenToken, Text: "["}, "rbrack": {Kind: CloseToken, Text: "]"},
	"lparen": {Kind: OpenToken, Text: "("}, "rparen": {Kind: CloseToken, Text: ")"},
	"colon": {Kind: colon, Text: ":"}, "rangle": {Kind: CloseToken, Text: ")"},
	"ell": {Kind: NameToken, Text: "l"}, "hbar": {Kind: NameToken, Text: "hbar"},
	"over": {Kind: CommandToken, Text: "over"}, "Pr": {Kind: NameToken, Text: "Pr"},
	"Re": {Kind: NameToken, Text: "Re"},
}

// functionCommand reports whether a command names a function as the plain notation does, and no sign (\sqrt) or Greek
// letter (\gamma).
func functionCommand(name string) bool {
	_, sign := commands[name]
	return function(name) != "" && !sign && commandGreek(name) == ""
}

// unreadable gives the sentence and the advice for commands that cannot be read.
var unreadable = map[string][2]string{
	"nabla":  {"“\\nabla” is not read", "write the derivatives in the one variable"},
	"sum":    {"a sum sign is not read", "write every term"},
	"prod":   {"a product sign is not read", "write every factor"},
	"circ":   {"degrees are not read: angles are in radians", "write pi/180 times the degrees"},
	"mp":     {"“\\mp” states two things at once", "choose one sign"},
	"ldots":  {"“\\ldots” leaves something out", "write every term"},
	"dots":   {"“\\dots” leaves something out", "write every term"},
	"cdots":  {"“\\cdots” leaves something out", "write every term"},
	"neq":    {"“\\neq” is not read", "leave out what is merely excluded"},
	"ne":     {"“\\ne” is not read", "leave out what is merely excluded"},
	"approx": {"“\\approx” is not read", "write =, or name = ? near value for a number to be found"},
}

// environments lists what \begin may open; true where the name takes an argument of its own.
var environments = map[string]bool{
	"equation": false, "align": false, "aligned": false, "cases": false, "dcases": false, "gather": false,
	"gathered": false, "split": false,
	"multline": false, "eqnarray": false, "displaymath": false, "math": false, "flalign": false, "alignat": true,
	"alignedat": true, "array": true,
	"subequations": false, "document": false,
}

// commandGreek returns the canonical name of the Greek letter that a command names, or "".
//
//go:noinline
func commandGreek(name string) string {
	base := strings.TrimPrefix(name, "var")
	if Greek(base) {
		return base
	}
	return ""
}

// commandName returns the name of the command whose backslash is at the place: letters, or one other character.
func (l *lexer) commandName() string {
	rest := l.text[l.pos.Offset+1:]
	n := 0
	for n < len(rest) && letter(rune(rest[n])) {
		n++
	}
	if n == 0 && rest != "" {
		_, n = utf8.DecodeRuneInString(rest)
	}
	return rest[:n]
}

// skipSpace moves over white space within the line.
func (l *lexer) skipSpace() {
	for white(l.cur()) {
		l.advance(1)
	}
}

// command reads a token that begins with a backslash.
func (l *lexer) command() {
	from, spaceBefore := l.pos, l.space
	name := l.commandName()
	l.advance(1 + utf8.RuneCountInString(name))
	if l.layoutCommand(name, from) || l.groupCommand(name, from) || l.nameCommand(name, from) {
		return
	}
	if t, ok := commands[name]; ok {
		if t.Kind == BarToken {
			l.bar(from)
			return
		}
		l.emit(t.Kind, t.Text, from)
		if letter(rune(name[0])) {
			l.skipSpace()
		}
		return
	}
	l.space = spaceBefore
	if s, ok := unreadable[name]; ok {
		l.fault(from, s[0], s[1])
		return
	}
	if name == "" {
		l.fault(from, "a backslash ends the text", "delete it")
		return
	}
	l.fault(from, fmt.Sprintf("the command “\\%s” is not read", name), "write it with plain signs, or delete it")
}

// layoutCommand reads a command that separates, or that stands for white space or for nothing, and reports whether it
// is one.
func (l *lexer) layoutCommand(name string, from Pos) bool {
	switch {
	case name == "\\" || name == "newline" || name == "cr" || name == "tabularnewline" || name == "par":
		l.skipArgument('[', ']')
		l.rowEnd(from)
		return true
	case name == "quad" || name == "qquad":
		l.emit(softSeparator, "\\quad", from)
	case name == "\n" || name == "\r" || spacing[name]:
	case dropped[name]:
		if l.cur() == '*' {
			l.advance(1)
		}
		l.skipArgument('{', '}')
	default:
		return false
	}
	l.space = true
	return true
}

// groupCommand reads a command that opens, closes or dresses what follows, and reports whether it is one.
func (l *lexer) groupCommand(name string, from Pos) bool {
	switch {
	case name == "[" || name == "(":
		l.push("\\"+name, from)
	case name == "]" || name == ")":
		l.pop(map[string]string{"]": "\\[", ")": "\\("}[name], "\\"+name, from)
	case sizes[name]:
		l.delimiter(name)
	case name == "begin" || name == "end":
		l.environment(name, from)
	case name == "text" || name == "mbox" || name == "textnormal" || name == "intertext" || name == "shortintertext":
		l.words(from)
	case fontCommand[name]:
		l.font(from)
	case accentCommand[name] != "":
		l.accentCommand(name, from)
	case name == "langle":
		l.emit(CommandToken, "ramp", from)
		l.emit(OpenToken, "(", l.pos)
	default:
		return false
	}
	return true
}

// nameCommand reads a command that is the name of a function, an operator or a Greek letter, and reports whether it is
// one.
func (l *lexer) nameCommand(name string, from Pos) bool {
	switch {
	case name == "lim":
		l.skipSpace()
		for l.cur() == '\\' && (l.commandName() == "limits" || l.commandName() == "nolimits") {
			l.advance(1 + len(l.commandName()))
		}
		if l.cur() == '_' {
			l.advance(1)
		}
		l.emit(NameToken, "lim", from)
	case functionCommand(name):
		l.skipSpace()
		if name == "log" {
			name += l.subscript()
		}
		l.emit(NameToken, name, from)
	case name == "int":
		l.integral(from)
	case name == "partial":
		l.partial(from)
	case differentials[name] != 0:
		l.quotient(name, from)
	case commandGreek(name) != "":
		end := l.pos
		l.emitGreek(commandGreek(name)+l.subscript(), from)
		if end == l.pos {
			l.skipSpace() // the space that ends a command means nothing
		}
	default:
		return false
	}
	return true
}

// skipArgument moves over an argument in the given brackets, if one follows.
func (l *lexer) skipArgument(open, close rune) {
	save := l.pos
	l.skipSpace()
	if l.cur() != open {
		l.pos = save
		return
	}
	for depth := 0; l.pos.Offset < len(l.text); {
		switch l.cur() {
		case open:
			depth++
		case close:
			depth--
		}
		l.advance(1)
		if depth == 0 {
			return
		}
	}
	l.pos = save
}

// argument returns the text between the braces that follow, and moves over it; ok is false if none follow.
func (l *lexer) argument() (text string, ok bool) {
	save := l.pos
	l.skipSpace()
	if l.cur() != '{' {
		l.pos = save
		return "", false
	}
	end := strings.IndexByte(l.text[l.pos.Offset:], '}')
	if end < 0 {
		l.pos = save
		return "", false
	}
	text = l.text[l.pos.Offset+1 : l.pos.Offset+end]
	l.advance(utf8.RuneCountInString(text) + 2)
	return text, true
}

// delimiter reads what follows \left, \right or \big: the delimiter itself, or the dot that stands for none.
func (l *lexer) delimiter(name string) {
	l.skipSpace()
	switch l.cur() {
	case '.':
		if name == "left" || name == "right" || name == "middle" {
			l.advance(1)
			l.skipSpace()
		}
	case '\\':
		// A lone brace before a list of statements is dressing.
		if cmd := l.commandName(); cmd == "{" || cmd == "lbrace" {
			rest := strings.TrimLeft(l.text[l.pos.Offset+1+len(cmd):], " \t\r\n")
			for _, gap := range []string{"\\;", "\\,", "\\:", "\\!", "\\quad"} {
				rest = strings.TrimLeft(strings.TrimPrefix(rest, gap), " \t\r\n")
			}
			if strings.HasPrefix(rest, "\\begin") {
				l.advance(1 + len(cmd))
			}
		}
	}
}

// push opens a mode; pop closes it.
func (l *lexer) push(name string, from Pos) {
	l.open = append(l.open, frame{name: name, at: Span{from, l.pos.Offset}})
	l.edge(name, from)
}

func (l *lexer) pop(name, written string, from Pos) {
	if n := len(l.open); n > 0 && l.open[n-1].name == name {
		l.open = l.open[:n-1]
	} else if n > 0 {
		l.fault(from, fmt.Sprintf("“%s” closes “%s”", written, l.open[n-1].name),
			"close what was opened last with "+closer(l.open[n-1].name))
		l.open = l.open[:n-1]
	} else {
		l.fault(from, fmt.Sprintf("“%s” closes nothing", written), "delete it or open it before")
	}
	l.edge(name, from)
}

// edge marks where displayed mathematics begins or ends: a statement ends there. Mathematics in a line of text is
// only dressing.
func (l *lexer) edge(name string, from Pos) {
	if name == "$" || name == "\\(" {
		l.space = true
		return
	}
	l.emit(separator, "\n", from)
	l.space = true
}

func closer(name string) string {
	switch name {
	case "\\[":
		return "\\]"
	case "\\(":
		return "\\)"
	case "$", "$$":
		return name
	}
	return "\\end{" + strings.TrimSuffix(strings.TrimPrefix(name, "\\begin{"), "}") + "}"
}

func (l *lexer) dollar() {
	from := l.pos
	name := "$"
	if l.peek() == '$' {
		name = "$$"
	}
	if n := len(l.open); n > 0 && l.open[n-1].name == "$" {
		name = "$"
	}
	l.advance(len(name))
	for _, f := range l.open {
		if f.name == name {
			l.pop(name, name, from)
			return
		}
	}
	l.push(name, from)
}

// environment reads \begin{…} and \end{…}.
func (l *lexer) environment(which string, from Pos) {
	arg, ok := l.argument()
	if !ok {
		l.fault(from, fmt.Sprintf("“\\%s” needs the name of an environment in braces", which),
			"write \\"+which+"{equation}")
		return
	}
	base := strings.TrimSuffix(strings.TrimSpace(arg), "*")
	takes, known := environments[base]
	if !known {
		l.fault(from, fmt.Sprintf("the environment “%s” is not read", arg), "use equation, align, aligned or cases")
		return
	}
	name := "\\begin{" + arg + "}"
	if which == "begin" {
		if takes {
			l.skipArgument('[', ']')
			l.skipArgument('{', '}')
		}
		if b := l.before(); (base == "cases" || base == "dcases") && b.relation() {
			l.open = append(l.open, frame{name: name, at: Span{from, l.pos.Offset}, piecewise: true})
			l.emit(CommandToken, "cases", from)
			l.emit(OpenToken, "{", l.pos)
			return
		}
		l.push(name, from)
		return
	}
	if n := len(l.open); n > 0 && l.open[n-1].name == name && l.open[n-1].piecewise {
		l.open = l.open[:n-1]
		l.emit(CloseToken, "}", from)
		return
	}
	l.pop(name, "\\end{"+arg+"}", from)
}

// piecewise reports whether the innermost environment is a choice between values.
func (l *lexer) piecewise() bool { return len(l.open) > 0 && l.open[len(l.open)-1].piecewise }

// rowEnd reads \\.
func (l *lexer) rowEnd(from Pos) {
	if l.piecewise() {
		l.emit(CommandToken, "row", from)
	} else {
		l.emit(separator, "\n", from)
	}
	l.space = true
}

// ampersand reads &, which aligns, stands between two statements of a line, or before the condition of a choice.
func (l *lexer) ampersand(from Pos) {
	switch {
	case l.piecewise():
		l.emit(CommandToken, "when", from)
	case l.math():
		l.emit(softSeparator, "&", from) // between the columns of an alignment
		l.space = true
	case l.space && white(l.cur()):
		l.emit(joiner, "and", from)
	default:
		l.refuse('&', from)
	}
}

// words reads the argument of \text: a joining word, a name, or nothing.
func (l *lexer) words(from Pos) {
	arg, ok := l.argument()
	if !ok {
		l.fault(from, "“\\text” needs braces", "write \\text{with}")
		return
	}
	text := strings.ToLower(strings.Join(strings.Fields(strings.Trim(strings.ReplaceAll(arg, "~", " "), " ,;:.")), " "))
	comma := strings.Contains(arg, ",")
	switch text {
	case "":
		if comma {
			l.emit(CommaToken, ",", from)
		}
		l.space = true
		return
	case "with", "where", "and", "for", "on", "subject to", "s.t", "such that", "for all":
		join := map[string]string{"s.t": "s.t.", "such that": "s.t.", "for all": "for"}[text]
		if join == "" {
			join = text
		}
		if l.piecewise() {
			l.space = true // "for" before the condition of a choice
			return
		}
		l.emit(joiner, join, from)
		l.space = true
		return
	case "if", "otherwise", "else":
		if l.piecewise() {
			if text != "if" {
				l.emit(CommandToken, "otherwise", from)
			}
			l.space = true
			return
		}
	}
	if name := strings.TrimSpace(arg); isWord(name) {
		l.emit(NameToken, name+l.subscript(), from)
		return
	}
	for _, w := range wanted {
		if text == w {
			l.emit(OperatorToken, "=", from) // \mu \text{ to be found}
			l.emit(OperatorToken, "?", l.pos)
			return
		}
	}
	l.fault(from, fmt.Sprintf("the words “%s” are not read", strings.TrimSpace(arg)),
		"delete them, or use with, where, and, for, on")
}

// font reads the argument of \mathrm and the like: one name, or a group whose look is ignored.
func (l *lexer) font(from Pos) {
	if l.cur() == '*' {
		l.advance(1)
	}
	save := l.pos
	if arg, ok := l.argument(); ok && isWord(strings.TrimSpace(arg)) {
		name := strings.TrimSpace(arg)
		l.emitGreek(name+l.subscript(), from)
		return
	}
	l.pos = save
	l.skipSpace()
}

// isWord reports whether s is a letter followed by letters and digits.
func isWord(s string) bool {
	for i, r := range s {
		if !letter(r) && (i == 0 || !digit(r)) {
			return false
		}
	}
	return s != ""
}
