package prose

import (
	"strings"
	"unicode"
)

// kind is the kind of an item.
type kind int

const (
	letters   kind = iota + 1 // letters that may be a word
	symbol                    // a name, a Greek letter, a command of mathematics
	number                    // digits with a point
	operator                  // + - * / ^
	relation                  // = < > ≤ ≥ → ∈
	prime                     // a derivative mark: ′, \dot, d/dx
	opening                   // ( [ {
	closing                   // ) ] }
	comma                     // ,
	semicolon                 // ;
	colon                     // :
	stop                      // a full stop, ! or ?
	lineEnd                   // the end of a line or of displayed mathematics, \\
	blank                     // \quad, &, a line end within mathematics
	mark                      // any other character
)

// An item is a piece of the text as this package sees it.
type item struct {
	kind     kind
	from, to int
	text     string // of letters: in lower case
	space    bool   // white space stands before it
	math     bool   // within LaTeX mathematics
	word     bool   // letters that are a word of prose
}

// separates reports whether a clause ends at an item of this kind outside brackets.
func (k kind) separates() bool {
	switch k {
	case comma, semicolon, colon, stop, lineEnd, blank:
		return true
	}
	return false
}

// used finds the names that the text uses as mathematics: left of an equals sign, with a prime, in a quotient of
// differentials, with an exponent.
func used(items []item, text string) map[string]bool {
	names := map[string]bool{}
	for i, it := range items {
		name := text[it.from:it.to]
		if it.kind == prime && len(name) > 1 && name[0] == 'd' { // du/dx
			names[strings.TrimLeft(name[1:], "^0123456789")] = true
		}
		if it.kind != letters && it.kind != symbol {
			continue
		}
		next, before := item{}, item{}
		if i+1 < len(items) {
			next = items[i+1]
		}
		if i > 0 {
			before = items[i-1]
		}
		if len(name) > 1 && name[0] == 'd' && before.kind == opening && i > 1 &&
			strings.HasSuffix(text[items[i-2].from:items[i-2].to], "frac") { // \frac{du}{dx}
			names[name[1:]] = true
		}
		switch {
		case next.kind == relation && next.text == "=", next.kind == prime && !next.space, next.kind == operator &&
			!next.space && next.text == "^":
			names[name] = true
		case next.kind == operator && !next.space && strings.Contains("*/+", next.text), before.kind == operator &&
			!it.space && before.text != "-",
			before.kind == number && !it.space:
			names[name] = true
		}
	}
	return names
}

// isWord reports whether letters are a word of prose. names are the names that the text uses as mathematics.
func isWord(it item, text string, names map[string]bool) bool {
	raw := text[it.from:it.to]
	low := it.text
	switch {
	case it.kind != letters || it.math || names[raw] || functions[raw] || reserved[low]:
		return false
	case len([]rune(raw)) == 1 || raw[0] == 'd' && names[raw[1:]]:
		return false
	case common[low] || changing[low] || places[low] || told[low] || asking[low] || asides[low] ||
		joining[low] != "" || keywords[low]:
		return true
	case len([]rune(raw)) == 2:
		return raw == "RB"
	}
	// A run of single names, as the abx of a b x, and a name such as PeM or kA.
	single, upper := true, 0
	for i, r := range raw {
		single = single && names[string(r)]
		if i > 0 && unicode.IsUpper(r) {
			upper++
		}
	}
	return !single && (upper == 0 || upper == len([]rune(raw))-1 || strings.ContainsAny(raw, "-–'’/"))
}
