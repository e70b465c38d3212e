package page

import (
	"strings"
	"unicode/utf16"
)

// A text area counts in UTF-16 units, the reader in bytes. These two functions are the only place
// where one is turned into the other.

// utf16Offset returns the number of UTF-16 units before the given byte of text.
//
//go:noinline
func utf16Offset(text string, bytes int) int {
	n := 0
	for i, r := range text {
		if i >= bytes {
			break
		}
		n += max(1, utf16.RuneLen(r))
	}
	return n
}

// byteOffset returns the number of bytes before the given UTF-16 unit of text. A unit in the middle
// of a character counts as its start.
func byteOffset(text string, units int) int {
	n := 0
	for i, r := range text {
		n += max(1, utf16.RuneLen(r))
		if n > units {
			return i
		}
	}
	return len(text)
}

// plainNumbers writes the numbers of a text that is set for reading as programs read them: 1 234.5 × 10⁻⁷, with narrow
// spaces and a true minus, is 1234.5e-7.
func plainNumbers(text string) string {
	parts := strings.Split(text, "\u202f×\u202f10")
	for i := 1; i < len(parts); i++ {
		rest := strings.TrimLeft(parts[i], "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
		power := parts[i][:len(parts[i])-len(rest)]
		parts[i] = "e" + lowered.Replace(power) + rest
	}
	return unset.Replace(strings.Join(parts, ""))
}

var (
	unset   = strings.NewReplacer("\u202f", "", "−", "-", "\u00a0", " ")
	lowered = strings.NewReplacer("⁻", "-", "⁰", "0", "¹", "1", "²", "2", "³", "3", "⁴", "4", "⁵", "5", "⁶", "6",
		"⁷", "7", "⁸", "8", "⁹", "9")
)
