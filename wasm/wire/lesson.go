package wire

// What the page asks about the working, and about what is taken away.
const (
	Working Kind = "working" // the working, step by step
	Origin  Kind = "origin"  // how an entry of a matrix of it came about
	Take    Kind = "take"    // a file, made as Taking says; answered by Text, and by Words where there is none
)

// Entry is a place in a matrix of the working, counted from 0.
type Entry struct {
	Matrix   string
	Row, Col int
}

// Taking says which file is made, and how. Zero fields are what the native command does without flags.
type Taking struct {
	What string // table, python, octave, html, latex, figure, ladder

	// The table: its format (tsv, csv, markdown, latex, json), its points, its numbers.
	Format string
	Points int    // equally spaced; 0 for those of At
	At     string // as typed; "" for the nodes
	Digits int    // 0 for honest ones
	Comma  bool
	Errors bool

	// The handout and the figure.
	Title, Note string
	Blank       []string
	Width       float64
	Derivatives bool
}

func (v *Entry) code(c *coder) { c.string(&v.Matrix); c.int(&v.Row); c.int(&v.Col) }

func (v *Taking) code(c *coder) {
	c.string(&v.What)
	c.string(&v.Format)
	c.int(&v.Points)
	c.string(&v.At)
	c.int(&v.Digits)
	c.bool(&v.Comma)
	c.bool(&v.Errors)
	c.string(&v.Title)
	c.string(&v.Note)
	list(c, &v.Blank, c.string)
	c.float(&v.Width)
	c.bool(&v.Derivatives)
}

// Lesson is the working of a sheet, ready to be shown.
type Lesson struct {
	Fault string // why there is none
	Steps []LessonStep
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
	Rows, Columns []string
	Cells         [][]string
	Taken         []int // rows that conditions take over
}

func (v *Lesson) code(c *coder) {
	c.string(&v.Fault)
	list(c, &v.Steps, func(s *LessonStep) {
		c.string(&s.ID)
		c.string(&s.Title)
		c.string(&s.Sentence)
		list(c, &s.Formulas, func(e **Element) { optional(c, e, c.element) })
		list(c, &s.Matrices, func(m *LessonMatrix) {
			c.string(&m.Name)
			c.string(&m.Note)
			list(c, &m.Rows, c.string)
			list(c, &m.Columns, c.string)
			list(c, &m.Cells, func(row *[]string) { list(c, row, c.string) })
			list(c, &m.Taken, c.int)
		})
	})
}

// Came tells how an entry came about.
type Came struct {
	Entry            Entry
	Formula, Numbers string // the rule in symbols, and with its numbers
	From             []Entry
}

func (v *Came) code(c *coder) {
	v.Entry.code(c)
	c.string(&v.Formula)
	c.string(&v.Numbers)
	list(c, &v.From, func(e *Entry) { e.code(c) })
}
