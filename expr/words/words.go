// Package words forms what many sentences share: counts that agree with their nouns, and sentences of messages.
package words

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Count is a number of things: 1 node, 3 nodes. The noun has a plural in s.
func Count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}

// Sentence makes a sentence of a message: a capital at the start, a full stop at the end. A message that begins with a
// piece of mathematics keeps its first letter.
func Sentence(s string) string {
	if s == "" {
		return ""
	}
	first, size := utf8.DecodeRuneInString(s)
	second, _ := utf8.DecodeRuneInString(s[size:])
	word, _, _ := strings.Cut(s, " ")
	if unicode.IsLower(first) && first < 0x80 && (unicode.IsLower(second) || word == "a") && plain(word) {
		s = string(unicode.ToUpper(first)) + s[size:]
	}
	if !strings.ContainsAny(s[len(s)-1:], ".?…") {
		s += "."
	}
	return s
}

// plain reports whether a word is one of English rather than a name or a formula.
func plain(s string) bool {
	if s == "a" {
		return true
	}
	for _, r := range strings.TrimRight(s, ",;:") {
		if !unicode.IsLower(r) {
			return false
		}
	}
	return len(s) > 1
}
