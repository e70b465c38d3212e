package page

import "unicode/utf16"

// A text area counts in UTF-16 units, the reader in bytes. These two functions are the only place
// where one is turned into the other.

// utf16Offset returns the number of UTF-16 units before the given byte of text.
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
