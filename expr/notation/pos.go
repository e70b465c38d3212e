package notation

import "fmt"

// Pos is a place in the text. Offset counts bytes from 0; Line and Column count from 1, Column in
// characters (code points), because pasted mathematics is full of multi-byte letters.
type Pos struct {
	Offset, Line, Column int
}

func (p Pos) String() string { return fmt.Sprintf("%d:%d", p.Line, p.Column) }

// Span is a stretch of the text: From its first character, To the offset in bytes just past it.
type Span struct {
	From Pos
	To   int
}
