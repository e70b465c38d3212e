package notation

import (
	"errors"
	"fmt"
	"sort"
	"strings"
)

// Error is one fault of a text: one sentence in plain words (without a full stop, lower case
// unless it starts with a piece of the text), what to try, and the offending piece.
type Error struct {
	Span Span
	Msg  string // "unknown name “foo”"
	Hint string // "did you mean “food”?"; may be empty
	// Incomplete says that the text is merely unfinished (an open bracket or a dangling operator
	// at its end, a condition still missing), so that a page can wait instead of scolding.
	Incomplete bool
	// Unknown is the name that has no meaning, where that is the fault.
	Unknown string
	// Meant is the name that was probably meant by it, or "".
	Meant string
	// Choices are clear ways to write what stands at Span, where it has more than one reading or another one was
	// probably meant.
	Choices []Choice
}

// Choice is one clear way to write a piece of a text.
type Choice struct {
	Text    string
	Formula Node // Text as a tree, or nil where it is no formula by itself
}

// SameName reports whether both faults are that the same name has no meaning.
func (e *Error) SameName(other *Error) bool { return e.Unknown != "" && e.Unknown == other.Unknown }

// Error prints line:column: message; hint.
func (e *Error) Error() string {
	if e.Hint == "" {
		return fmt.Sprintf("%v: %s", e.Span.From, e.Msg)
	}
	return fmt.Sprintf("%v: %s; %s", e.Span.From, e.Msg, e.Hint)
}

// ErrorList is a list of faults in the order of the text.
type ErrorList []*Error

// Err returns nil (a true nil error) for an empty list, and else the list sorted by place.
func (l ErrorList) Err() error {
	if len(l) == 0 {
		return nil
	}
	sort.SliceStable(l, func(i, j int) bool { return l[i].Span.From.Offset < l[j].Span.From.Offset })
	return l
}

func (l ErrorList) Error() string {
	lines := make([]string, len(l))
	for i, e := range l {
		lines[i] = e.Error()
	}
	return strings.Join(lines, "\n")
}

// Faults returns the faults that an error of the reader holds. Any other error becomes one at the beginning of the
// text.
func Faults(err error) ErrorList {
	var all ErrorList
	var one *Error
	switch {
	case errors.As(err, &all):
		return all
	case errors.As(err, &one):
		return ErrorList{one}
	}
	return ErrorList{{Span: Span{From: Pos{Line: 1, Column: 1}}, Msg: err.Error()}}
}
