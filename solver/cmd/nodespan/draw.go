package main

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"

	"nodespan/expr/notation"
)

// draw prints the faults of a text, each with its line and the offending piece underlined:
//
//	sheet.txt:2:8: unknown name “foo”
//	  y'' + foo y = 0
//	        ~~~
//	hint: did you mean “f0”?
//
// A piece of no length, such as the end of the text, is marked by ^. name may be empty.
func draw(w io.Writer, name, text string, err error) {
	if name != "" {
		name += ":"
	}
	for _, e := range notation.Faults(err) {
		drawOne(w, name, text, e)
	}
}

func drawOne(w io.Writer, name, text string, e *notation.Error) {
	fmt.Fprintf(w, "%s%v: %s\n", name, e.Span.From, e.Msg)
	line, before, piece := excerpt(text, e.Span)
	mark := strings.Repeat("~", terminalWidth(piece))
	if mark == "" {
		mark = "^"
	}
	fmt.Fprintf(w, "  %s\n  %s%s\n", line, blank(before), mark)
	if e.Hint != "" {
		fmt.Fprintf(w, "hint: %s\n", e.Hint)
	}
}

// excerpt returns the line of a stretch of text, what stands before the stretch on that line, and
// the stretch itself as far as it is on the line. A long line is cut to the neighbourhood.
func excerpt(text string, sp notation.Span) (line, before, piece string) {
	from := min(max(sp.From.Offset, 0), len(text))
	start := strings.LastIndexAny(text[:from], "\n\r") + 1
	end := len(text)
	if i := strings.IndexAny(text[from:], "\n\r"); i >= 0 {
		end = from + i
	}
	to := min(max(sp.To, from), end)
	line, before, piece = clean(text[start:end]), clean(text[start:from]), clean(text[from:to])

	const context, longest = 40, 72 // columns before the piece, and of the piece with what follows
	if terminalWidth(before) > context {
		cut := len(before)
		for terminalWidth(before[cut:]) < context-1 {
			_, n := utf8.DecodeLastRuneInString(before[:cut])
			cut -= n
		}
		line, before = "…"+line[cut:], "…"+before[cut:]
	}
	after := line[len(before):]
	if terminalWidth(after) > longest {
		cut := 0
		for terminalWidth(after[:cut]) < longest-1 {
			_, n := utf8.DecodeRuneInString(after[cut:])
			cut += n
		}
		line = before + after[:cut] + "…"
		piece = piece[:min(len(piece), cut)]
	}
	return line, before, piece
}

// clean makes one column of what a terminal would obey: a tab is a space, other control characters and broken
// bytes are shown as a replacement mark.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case unicode.IsControl(r) || isFormat(r):
			return utf8.RuneError
		}
		return r
	}, strings.ToValidUTF8(s, string(utf8.RuneError)))
}

// isFormat tells the invisible characters that turn the direction of writing.
func isFormat(r rune) bool { return r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 }

// blank returns white space as wide as s.
func blank(s string) string { return strings.Repeat(" ", terminalWidth(s)) }

// terminalWidth counts the columns of s on a terminal: accents that stand over the letter before take none, letters of
// East Asian scripts and pictures take two (Unicode Standard Annex 11).
func terminalWidth(s string) int {
	n := 0
	for _, r := range s {
		if unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf) {
			continue
		}
		switch width.LookupRune(r).Kind() {
		case width.EastAsianWide, width.EastAsianFullwidth:
			n += 2
		default:
			n++
		}
	}
	return n
}
