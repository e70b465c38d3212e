package notation

// Token is a lexical token. Spelling variants (Unicode, LaTeX) have been brought to one form.
type Token struct {
	Kind  Kind
	Text  string // canonical
	Sp    Span
	Space bool // white space stood before it

	raw string // as written

	over    string // of a letter with dots above: its name where they are no derivative
	by      string // of primes that were written as a subscript: the variable
	partial bool   // of a d that was written as ∂
}

// Kind is the kind of a token.
type Kind int

// The kinds of the tokens of a statement.
const (
	NumberToken   Kind = iota + 1 // digits, a point, an exponent
	NameToken                     // letters: a name, a function, or a word such as in, near, exact
	OperatorToken                 // + - * / ^ = < <= > >= ?
	OpenToken                     // ( [ {
	CloseToken                    // ) ] }
	BarToken                      // |
	CommaToken                    // a comma inside brackets
	PrimeToken                    // one or more primes; Text has an apostrophe for each
	CommandToken                  // frac, sqrt, at (the bar of y|_{x=0}), prime, cases

	// The kinds below are gone when Split returns.
	separator     // newline or ";"; Text says which
	softSeparator // what may end a statement and may be mere space: \quad, a line end inside LaTeX mathematics
	joiner        // a joining word, in lower case
	stop          // a full stop
	colon         // a colon
	faulty        // a place with a fault; its statement is left out
)

// is reports whether the token is of kind k and reads text.
//
//go:noinline
func (t Token) is(k Kind, text string) bool { return t.Kind == k && t.Text == text }

// end returns the place just past the token.
//
//go:noinline
func (t Token) end() Pos {
	p := t.Sp.From
	for _, r := range t.raw {
		p.Column++
		if r == '\n' {
			p.Line++
			p.Column = 1
		}
	}
	p.Offset = t.Sp.To
	return p
}

// relation reports whether the token is one of = < <= > >=.
func (t Token) relation() bool {
	if t.Kind != OperatorToken {
		return false
	}
	switch t.Text {
	case "=", "<", "<=", ">", ">=":
		return true
	}
	return false
}

// Statement is a stretch of the sheet between separators: newline, ";", "," outside brackets, or a joining
// word (with, where, and, subject to, s.t., for, on). Comments, LaTeX dressing, "Solve"/"Find" and a final
// full stop are gone. It has at least one token.
type Statement struct {
	Tokens []Token
	Sp     Span
	// Join is what stood before it: "" at the start, "\n", ";", ",", ":", "&" for space within a row, or the joining
	// word in lower case.
	Join string

	last    bool // nothing but white space follows in the text
	remarks []Remark
}
