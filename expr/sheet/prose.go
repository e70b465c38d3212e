package sheet

import (
	"strings"
	"unicode/utf8"

	"nodespan/expr/notation"
	"nodespan/expr/prose"
)

// prose takes the words of the text off: what is passed over is noted, what may carry mathematics is a fault.
func (r *reader) prose() []notation.Edit {
	if len(r.text) > notation.MaxText || !utf8.ValidString(r.text) {
		return nil
	}
	words := prose.Read(r.text)
	places := newPlaces(r.text)
	for _, n := range words.Notes {
		r.note(places.span(n.From, n.To), "%s", n.Text)
		if strings.Contains(n.Text, " … ") {
			r.sheet.Inferences[len(r.sheet.Inferences)-1].Whole = strings.TrimSpace(r.text[n.From:n.To])
		}
	}
	for _, f := range words.Faults {
		r.fault(places.span(f.From, f.To), f.Hint, "%s", f.Msg)
	}
	for _, s := range words.Remarks {
		r.sheet.Remarks = append(r.sheet.Remarks, places.span(s.From, s.To))
	}
	return words.Edits
}

// places finds lines and columns.
type places struct {
	text  string
	lines []int // where lines begin
}

func newPlaces(text string) places {
	p := places{text: text, lines: []int{0}}
	for i := 0; i < len(text); i++ {
		if text[i] == '\n' {
			p.lines = append(p.lines, i+1)
		}
	}
	return p
}

func (p places) span(from, to int) notation.Span {
	line := 0
	for line+1 < len(p.lines) && p.lines[line+1] <= from {
		line++
	}
	column := utf8.RuneCountInString(p.text[p.lines[line]:from]) + 1
	return notation.Span{From: notation.Pos{Offset: from, Line: line + 1, Column: column},
		To: from + len(strings.TrimRight(p.text[from:to], " \t\r\n"))}
}
