package wire

// What the page asks about the working, and about what is taken away.
const (
	Working Kind = "working" // the working, step by step
	Origin  Kind = "origin"  // how an entry of a matrix of it came about
	Export  Kind = "export"  // a file, made as ExportOptions says; answered by Text, and by Words where there is none
)

// Entry is a place in a matrix of the working, counted from 0.
type Entry struct {
	Matrix   string
	Row, Col int
}

// ExportOptions says which file is made, and how. Zero fields are what the native command does without flags.
type ExportOptions struct {
	What string // table, handout, figure, ladder, or the language of a program
	// Format is that of a table (tsv, csv, markdown, latex, json), a handout (html, latex), or a picture (svg).
	Format string

	// The table: its points, its numbers.
	Points int    // equally spaced; 0 for those of At
	At     string // as typed; "" for the nodes
	Digits int    // 0 for honest ones
	Comma  bool
	Errors bool

	// The handout and the figure.
	Title, Note string
	Blank       []string
	Preset      string // of the handout
	Width       float64
	Derivatives bool
}

// Lesson is the working of a sheet, ready to be shown.
type Lesson struct {
	Fault  string // why there is none
	Why    string // why it does not take the nodes that the answer took
	Follow int    // how many interior nodes it would take to follow the answer; 0 where it cannot, or does anyway
	Steps  []LessonStep
}

// LessonStep is one step of the working.
type LessonStep struct {
	ID              string
	Title, Sentence string
	Formulas        []*Element
	Matrices        []LessonMatrix
}

// LessonMatrix is a matrix with its labels. An empty cell has no number.
type LessonMatrix struct {
	Name          string
	Note          string // "before" and "after" where rows change
	Rows, Columns []Label
	Cells         [][]string
	Taken         []int // rows that conditions take over
}

// Label is the label of a row or a column: words, then a formula, either of which may be missing.
type Label struct {
	Text  string // all of it, as the working calls it
	Words string
	Math  *Element
}

// Provenance tells how an entry came about.
type Provenance struct {
	Entry            Entry
	Formula, Numbers string // the rule in symbols, and with its numbers
	From             []Entry
}
