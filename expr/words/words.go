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
	word, _, _ := strings.Cut(s, " ")
	if english(strings.TrimRight(word, ",;:")) {
		s = strings.ToUpper(s[:1]) + s[1:]
	}
	if last, _ := utf8.DecodeLastRuneInString(s); !strings.ContainsRune(".?…", last) {
		s += "."
	}
	return Numbers(s)
}

// Numbers sets the numbers of a sentence for reading, in the one style that everything shown has: a true minus before
// a number, and a power of ten in the place of "e-7". Between narrow no-break spaces it does not break over lines.
func Numbers(s string) string {
	var b strings.Builder
	digit := func(i int) bool { return i >= 0 && i < len(s) && s[i] >= '0' && s[i] <= '9' }
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == '-' && digit(i+1) && (i == 0 || strings.ContainsRune(" (=,[", rune(s[i-1]))):
			b.WriteString("−")
		case s[i] == 'e' && (digit(i-1) || i > 0 && s[i-1] == '.'):
			j, sign := i+1, ""
			if j < len(s) && (s[j] == '-' || s[j] == '+') {
				sign = strings.TrimPrefix(s[j:j+1], "+")
				j++
			}
			end := j
			for digit(end) {
				end++
			}
			power := strings.TrimLeft(s[j:end], "0")
			if power == "" || end < len(s) && unicode.IsLetter(rune(s[end])) {
				b.WriteByte(s[i]) // no power of ten: a hexadecimal number, a unit
				continue
			}
			b.WriteString("\u202f×\u202f10" + Raised(sign+power))
			i = end - 1
		default:
			b.WriteByte(s[i])
		}
	}
	return b.String()
}

// Raised writes a whole number as a superscript.
func Raised(number string) string { return raised.Replace(number) }

var raised = strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶",
	"7", "⁷", "8", "⁸", "9", "⁹")

// english reports whether a word is one of English rather than a name or a formula.
func english(word string) bool {
	return word == "a" || len(word) > 1 && strings.Trim(word, "abcdefghijklmnopqrstuvwxyz") == ""
}
