package notation

import (
	"fmt"
	"sort"
	"strings"
	"unicode/utf8"

	functions "nodespan/expr/function"
)

// Names is what a parse needs to know. All names canonical.
type Names struct {
	Variable  string
	Unknowns  map[string]bool
	Constants map[string]bool // constants, sought parameters and abbreviations without an argument list
	// Abbrevs holds abbreviations with an argument list, k(T) = …, and how many arguments they take. A name that is in
	// Constants as well may be written without its arguments too, as in (k T')'.
	Abbrevs map[string]int
	// Varying are those of Constants whose formula changes with the variable or the unknowns: u(1) is u at 1.
	Varying map[string]bool
	// Formulas holds names of Varying with each unknown that stands in their formula: K(u) is K where K = 1 + u.
	Formulas map[[2]string]bool
	// Quantities are functions of the sheet's own, such as integral(y, 0, 1): how many arguments each takes, at least
	// and at most. Such a name may also be in Constants; then it is the function where a bracket follows closed up.
	Quantities map[string][2]int
}

// declared reports whether the sheet gives the name a meaning.
//
//go:noinline
func (n *Names) declared(name string) bool {
	if name == n.Variable && name != "" || n.Unknowns[name] || n.Constants[name] {
		return true
	}
	_, ok := n.Abbrevs[name]
	_, quantity := n.Quantities[name]
	return ok || quantity
}

// constants are names with a value of their own, unless declared.
var constants = map[string]bool{"pi": true, "e": true, "inf": true}

// Functions lists the built-in functions by canonical name with their number of arguments; aliases gives other
// spellings, which hold unless they are declared; inverses the functions that sin^-1 and the like stand for.
var Functions, aliases, inverses = func() (args map[string]int, aliases, inverses map[string]string) {
	args, aliases, inverses = map[string]int{}, map[string]string{}, map[string]string{}
	for _, f := range functions.All() {
		if f.Derived {
			continue
		}
		args[f.Name] = f.Args
		for _, a := range f.Aliases {
			aliases[a] = f.Name
		}
		if f.InverseOf != "" {
			inverses[f.InverseOf] = f.Name
		}
	}
	return args, aliases, inverses
}()

// IsFunction reports whether a name is that of a built-in function, in any of its spellings.
//
//go:noinline
func IsFunction(name string) bool { return function(name) != "" }

// function returns the canonical name of a built-in function, or "".
//
//go:noinline
func function(name string) string {
	if f, ok := aliases[name]; ok {
		return f
	}
	if _, ok := Functions[name]; ok {
		return name
	}
	return ""
}

// SplitName splits a run of letters into known names, if that can be done in one way only: "xy" into x and y, "EIv"
// into EI and v. ways counts the ways (2 stands for any larger number); parts is one of them, nil if there is none. The
// spelled name of a Greek letter is not split.
func SplitName(name string, known func(string) bool) (parts []string, ways int) {
	if len(name) < 2 || len(name) > 64 || Greek(name) {
		return nil, 0
	}
	// count[i] is the number of ways to split name[i:]; next[i] is where the first part of one of them ends.
	count := make([]int, len(name)+1)
	next := make([]int, len(name))
	count[len(name)] = 1
	for i := len(name) - 1; i >= 0; i-- {
		for j := i + 1; j <= len(name); j++ {
			if count[j] > 0 && letter(rune(name[i])) && (i > 0 || j < len(name)) && known(name[i:j]) {
				count[i] = min(count[i]+count[j], 2)
				next[i] = j
			}
		}
	}
	if count[0] == 0 {
		return nil, 0
	}
	for i := 0; i < len(name); i = next[i] {
		parts = append(parts, name[i:next[i]])
	}
	return parts, count[0]
}

// nearest returns the known name that is most like name, or "".
func (n *Names) nearest(name string) string {
	var all []string
	for u := range n.Unknowns {
		all = append(all, u)
	}
	for c := range n.Constants {
		all = append(all, c)
	}
	for a := range n.Abbrevs {
		all = append(all, a)
	}
	for q := range n.Quantities {
		all = append(all, q)
	}
	if n.Variable != "" {
		all = append(all, n.Variable)
	}
	sort.Strings(all)
	declared := len(all)
	for f := range Functions {
		all = append(all, f)
	}
	all = append(all, "pi", "inf")
	sort.Strings(all[declared:])
	best, least := "", 1+min(2, len(name)/2)
	for _, other := range all {
		d := distance(name, other)
		if strings.EqualFold(name, other) || strings.ReplaceAll(name, "_", "") == strings.ReplaceAll(other, "_", "") {
			d = 0
		} else if len(other) < 2 || d >= len(other) {
			continue
		}
		if d < least || d == least && best != "" && common(name, other) > common(name, best) {
			best, least = other, d
		}
	}
	return best
}

// common returns the length of what a and b both begin with.
func common(a, b string) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n
}

// distance is the least number of letters inserted, deleted or replaced that turns a into b (V. I. Levenshtein, Binary
// codes capable of correcting deletions, insertions and reversals, Soviet Physics Doklady 10, 1966).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j := range b {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

// resolve prepares the tokens of a statement for parsing: names that are not known are split where they can be.
// It panics with an *Error where they can be split in two ways.
func (p *parser) resolve(toks []Token) []Token {
	var kept map[int]bool // names in quotients of differentials, and the differentials of integrals
	if has(toks, func(t Token) bool { return t.is(CommandToken, "int") }) {
		kept = map[int]bool{}
		for i, t := range toks {
			v := differential(t)
			kept[i] = v != "" && v == p.n.Variable || t.is(NameToken, "d")
		}
	}
	for i := 0; i < len(toks); i++ {
		if l, ok := p.leibniz(toks, i); ok {
			if kept == nil {
				kept = map[int]bool{}
			}
			kept[l.varAt] = true
			if l.unknown != "" {
				kept[l.at] = true
			}
			kept[i] = true // the d itself
			if toks[i].Kind == CommandToken {
				kept[i+2] = true
			}
			if l.group == 0 {
				for j := i; j < l.end; j++ {
					kept[j] = true
				}
				i = l.end - 1
			} else {
				for j := l.groupEnd; j < l.end; j++ {
					kept[j] = true
				}
			}
		}
	}
	var out []Token
	for i, t := range toks {
		parts := p.parts(toks, i, kept[i])
		if parts == nil {
			if out != nil {
				out = append(out, t)
			}
			continue
		}
		if out == nil {
			out = append(make([]Token, 0, len(toks)+8), toks[:i]...)
		}
		p.remark(t.Sp, fmt.Sprintf("%s is read as %s", t.Text, strings.Join(parts, "*")))
		for k, part := range parts {
			piece := t
			piece.Text = part
			piece.Space = t.Space && k == 0
			a, b := place(t, parts, k), place(t, parts, k+1)
			piece.raw = cut(t.raw, a, b)
			piece.Sp.From.Offset = t.Sp.From.Offset + len(cut(t.raw, 0, a))
			piece.Sp.From.Column = t.Sp.From.Column + a
			piece.Sp.To = piece.Sp.From.Offset + len(piece.raw)
			out = append(out, piece)
		}
	}
	if out == nil {
		return toks
	}
	return out
}

// place returns at which character of the token as written its part k begins: what is written in plain letters is
// counted from the end, so that \lambda_1y ends with y.
func place(t Token, parts []string, k int) int {
	if k == 0 {
		return 0
	}
	tail := 0
	for _, part := range parts[k:] {
		tail += len(part)
	}
	return max(0, utf8.RuneCountInString(t.raw)-tail)
}

// cut returns the characters from to end of s.
func cut(s string, from, end int) string {
	n, a := 0, len(s)
	for i := range s {
		if n == from {
			a = i
		}
		if n == end {
			return s[a:i]
		}
		n++
	}
	return s[a:]
}

// parts returns the names that token i is to be split into, or nil.
func (p *parser) parts(toks []Token, i int, kept bool) []string {
	t := toks[i]
	if kept || t.Kind != NameToken || len(t.Text) < 2 || p.n.declared(t.Text) || constants[t.Text] ||
		function(t.Text) != "" || p.word(t) {
		return nil
	}
	characters := 0
	for range t.raw {
		characters++
	}
	if characters != len(t.Text) && !strings.Contains(t.Text, "_") {
		return nil // each letter must have its own place in the text
	}
	power := i+1 < len(toks) && toks[i+1].is(OperatorToken, "^")
	known := func(s string) bool { return p.n.declared(s) || s == "pi" }
	parts, ways := SplitName(t.Text, known)
	if ways == 0 && power && strings.HasSuffix(t.Text, "e") {
		head := strings.TrimSuffix(t.Text, "e") // x e^x without its space
		if known(head) {
			return []string{head, "e"}
		}
		if parts, ways = SplitName(head, known); ways > 0 {
			parts = append(parts, "e")
		}
	}
	if ways > 1 {
		other := other(t.Text, parts, known)
		one, two := strings.Join(parts, "*"), strings.Join(other, "*")
		p.ask(t.Sp, fmt.Sprintf("“%s” is not a known name and can be split in two ways", t.Text),
			fmt.Sprintf("write %s or %s", one, two), one, two)
	}
	return parts
}

// other returns a split of name that differs from parts.
func other(name string, parts []string, known func(string) bool) []string {
	// Some part of the first split does not occur at its place in the second: forbid each in turn.
	for _, without := range parts {
		if o, n := SplitName(name, func(s string) bool { return s != without && known(s) }); n > 0 {
			return o
		}
	}
	// Both splits use the same names in another order.
	for i := 1; i < len(name); i++ {
		head, tail := name[:i], name[i:]
		if !known(head) || head == parts[0] {
			continue
		}
		if known(tail) {
			return []string{head, tail}
		}
		if o, n := SplitName(tail, known); n > 0 {
			return append([]string{head}, o...)
		}
	}
	return parts
}

// word reports whether the token is one of the words of a statement that are not names.
func (p *parser) word(t Token) bool {
	return (t.Text == "in" || t.Text == "near" || t.Text == "if") && !p.n.declared(t.Text)
}

// accentSuffix reports whether a name ends with that of an accent.
func accentSuffix(name string) bool {
	for _, accent := range accentCommand {
		if strings.HasSuffix(name, accent) {
			return true
		}
	}
	return false
}

// unknownName fails with a hint at the name that was probably meant.
func (p *parser) unknownName(t Token) {
	if t.partial {
		p.fail(t.Sp, "this “∂” is no part of a derivative", "write dy/dx or y'")
	}
	switch strings.ToLower(t.Text) {
	case "with", "where", "and", "for", "on", "subject to", "s.t.":
		word := t.Text
		if t.raw == "&" {
			word = t.raw
		}
		p.fail(t.Sp, fmt.Sprintf("“%s” stands inside a bracket", word), "close the bracket before it")
	case "at":
		p.fail(t.Sp, "this “"+t.Text+"” stands before no point, or has no condition before it",
			"write it as in y = 2 at x = 0")
	}
	hint := fmt.Sprintf("give it a value, as in %s = 1", t.Text)
	if _, unit := unitFactor(t.Text); unit && len(t.Text) > 1 && t.Space && p.i > 0 &&
		p.toks[p.i-1].Kind == NumberToken { // one letter is rather a constant that was forgotten
		hint = fmt.Sprintf("a unit in an equation is not read: leave it out, or give %s a value", t.Text)
	}
	letters := strings.TrimRight(t.Text, "0123456789")
	accented := t.raw != t.Text && accentSuffix(letters)
	meant := ""
	var choices []string
	if near := p.n.nearest(t.Text); near != "" && !accented {
		meant = near
		hint = fmt.Sprintf("did you mean “%s”?", near)
		choices = []string{near}
	} else if digits := t.Text[len(letters):]; digits != "" && p.n.declared(letters) {
		choices = []string{letters + "^" + digits, digits + "*" + letters}
		hint = fmt.Sprintf("did you mean %s or %s?", choices[0], choices[1])
	}
	panic(&Error{Span: t.Sp, Msg: fmt.Sprintf("unknown name “%s”", t.Text), Hint: hint, Unknown: t.Text, Meant: meant,
		Choices: p.choices(choices)})
}
