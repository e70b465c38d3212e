package notation

// Token is a lexical token. Spelling variants (Unicode, LaTeX) have been brought to one form.
type Token struct {
	Kind  Kind
	Text  string // canonical
	Sp    Span
	Space bool // white space stood before it
}

// Kind is the kind of a token.
type Kind int

// Statement is a stretch of the sheet between separators: newline, ";", "," outside brackets, or a joining
// word (with, where, and, subject to, s.t., for, on). Comments, LaTeX dressing, "Solve"/"Find" and a final
// full stop are gone.
type Statement struct {
	Tokens []Token
	Sp     Span
	// Join is what stood before it: "" at the start, "\n", ";", ",", or the joining word in lower case.
	Join string
}

// Mark is an occurrence of a derivative, found before anything is known about names: y”, T'(0), d^2T/dx^2, (k T')', d/dr(…).
type Mark struct {
	Unknown  string // "" for the derivative of an expression
	Variable string // "x" in d/dx; "" for primes
	Order    int
	Argument string // "x" in y''(x) when the argument is a lone name; else ""
	Sp       Span
}

// Names is what a parse needs to know. All names canonical.
type Names struct {
	Variable  string
	Unknowns  map[string]bool
	Constants map[string]bool // constants, sought parameters and abbreviations without an argument list
	Abbrevs   map[string]int  // abbreviations with an argument list k(T) = …, and how many arguments
}

// Relation is a parsed statement. Sides has one more entry than Ops; Ops are "=", "<", "<=", ">", ">=".
type Relation struct {
	Sides []Node
	Ops   []string
	// Range is set for "… in [a, b]" (x in [a, b], Bi = 2.5 in [0.1, 10]) and for a lone "[a, b]" (then Sides is empty).
	Range []Node // nil or two
	// Sought is set for "name = ?"; Near for "name = ? near value" (nil otherwise). Sides then holds the name alone.
	Sought bool
	Near   Node
	Sp     Span
}

// Split reads the whole text into statements. Lexical faults come back as an ErrorList.
//
//	func Split(text string) ([]Statement, error)
//
// Marks lists the derivative marks of a statement, in order, before names are known.
//
//	func (s Statement) Marks() []Mark
//
// Parse reads the tokens of a statement (from index from) under the given names.
//
//	func (s Statement) Parse(from int, n *Names) (*Relation, error)
//
// ParseExpr reads one formula from plain text (for overrides, points of a table, and tests).
//
//	func ParseExpr(text string, n *Names) (Node, error)
