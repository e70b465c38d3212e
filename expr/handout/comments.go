package handout

import (
	"strings"

	"nodespan/expr/sheet"
)

// The author's own words: what stands in comments of the sheet.

// commented returns what stands before a comment of a line and what the comment says; ok tells whether there is one.
func commented(line string) (before, words string, ok bool) {
	for i := range line {
		for _, sign := range []string{"#", "%", "// "} {
			if rest, found := strings.CutPrefix(line[i:], sign); found {
				return line[:i], strings.TrimSpace(strings.TrimLeft(rest, sign)), true
			}
		}
	}
	return line, "", false
}

// Opening returns the comment that a sheet begins with, "" for none.
func Opening(text string) string {
	var all []string
	for _, line := range strings.Split(text, "\n") {
		before, words, _ := commented(line)
		if strings.TrimSpace(before) != "" {
			break
		}
		if words != "" {
			all = append(all, words)
		}
	}
	return strings.Join(all, " ")
}

// comment returns what the author says behind a statement: the unit of its number, and the comment that ends its line.
func comment(text string, l sheet.Line) string {
	if l.Span.To <= l.Span.From.Offset || l.Span.To > len(text) {
		return "" // a statement that the sheet does not have
	}
	var said []string
	for _, r := range l.Relation.Remarks {
		if r.Unit != "" {
			said = append(said, r.Unit)
		}
	}
	rest, _, _ := strings.Cut(text[l.Span.To:], "\n")
	// Behind further statements it is theirs.
	if before, words, _ := commented(rest); words != "" && !strings.Contains(before, "=") {
		said = append(said, words)
	}
	return strings.Join(said, "; ")
}
