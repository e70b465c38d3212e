package lesson

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"nodespan/expr/notation"
	"nodespan/expr/sheet"
	"nodespan/expr/typeset"
	"nodespan/solver/table/greek"
	"nodespan/solver/working"
)

// Labels sets the labels of rows and columns: "equation, x_1" is a word and a formula, y'(x_1) a formula.
type Labels struct {
	names      notation.Names
	conditions map[string]Formula // by the text that the working calls them by
	letters    map[string]bool    // the names of Greek letters that names of the sheet are made of
}

// Label is a label: words, then a formula; either may be missing.
type Label struct {
	Words   string
	Formula Formula
}

// NewLabels sets labels of the names of a sheet and of what its working adds to them; symbol is the reference
// variable.
func NewLabels(sh *sheet.Sheet, symbol string) *Labels {
	l := &Labels{names: notation.Names{Unknowns: map[string]bool{}, Constants: map[string]bool{
		sh.Variable: true, symbol: true}}, conditions: map[string]Formula{}, letters: map[string]bool{}}
	for n := range working.MaxNodes {
		l.names.Constants[fmt.Sprintf("%s_%d", sh.Variable, n+1)] = true
	}
	for _, q := range sh.Sought {
		l.names.Constants[q.Name] = true
	}
	for _, u := range sh.Unknowns {
		l.names.Unknowns[u.Name] = true
		delete(l.names.Constants, u.Name)
	}
	for name := range l.names.Unknowns {
		l.spell(name)
	}
	for _, s := range sh.Statements {
		l.spell(s.Name)
	}
	for _, line := range sh.Reading() {
		if line.Kind == sheet.KindCondition && line.Span.To > line.Span.From.Offset {
			l.conditions[sh.Text[line.Span.From.Offset:line.Span.To]] = formula(line.Relation)
		}
	}
	return l
}

// spell notes the letters of a name.
func (l *Labels) spell(name string) {
	_, stem, sub := greek.Split(name)
	l.letters[stem], l.letters[sub] = true, true
}

// Set sets a label; what is no formula of the sheet's names stays in words.
func (l *Labels) Set(text string) Label {
	if f, ok := l.conditions[text]; ok {
		return Label{Formula: f}
	}
	words, rest := "", text
	for _, before := range []string{", ", "factor of "} {
		if i := strings.LastIndex(text, before); i >= 0 {
			words, rest = text[:i+len(before)], text[i+len(before):]
			break
		}
	}
	r := &notation.Relation{}
	for i, side := range strings.Split(rest, " = ") {
		n, err := notation.ParseExpr(side, &l.names)
		if err != nil {
			return Label{Words: text}
		}
		if r.Sides = append(r.Sides, n); i > 0 {
			r.Ops = append(r.Ops, "=")
		}
	}
	return Label{words, formula(r)}
}

// spelled matches what may be the name of a letter within a text.
var spelled = regexp.MustCompile(`[A-Za-z]+`)

// Spoken writes the letters of Greek names of the sheet, where a text has these names.
func (l *Labels) Spoken(text string) string {
	return spelled.ReplaceAllStringFunc(text, func(word string) string {
		if letter, ok := greek.Of(word); ok && l.letters[word] {
			return string(letter.Letter)
		}
		return word
	})
}

// Width is about how many digits wide a label is.
func (l Label) Width() int {
	n := utf8.RuneCountInString(l.Words)
	if l.Formula.MathML != nil {
		l.Formula.MathML.Walk(func(e *typeset.Element) {
			if e.Text != "\u2061" { // the application of a function, which is not seen
				n += utf8.RuneCountInString(e.Text)
			}
		})
	}
	return n
}
