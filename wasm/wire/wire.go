// Package wire is the language that the page and its worker speak: one request type, one reply type,
// written as bytes. It holds words and numbers only. It knows no document, no worker and no
// mathematics, so that it compiles and is tested natively.
package wire

import "nodespan/expr/typeset"

// Kind says what a request asks and what a reply answers.
type Kind string

const (
	// read a sheet and solve it; answered by a Reading, then an Answer, with Progress in between
	Solve    Kind = "solve"
	Progress Kind = "progress" // reply only: what is being tried, in words
	Window   Kind = "window"   // sample the solution over an interval
	Value    Kind = "value"    // evaluate the solution at a point
	Slide    Kind = "slide"    // give a constant a range; answered by an Edit, or by a Value that says why not
)

// Largest values of the numbers of a Method.
const (
	MaxNodes    = 1000
	MaxElements = 100_000
	MaxDigits   = 13
	MaxModes    = 50
)

// Request is what the page asks. Which fields count depends on Kind.
type Request struct {
	ID   int // the replies carry it
	Kind Kind

	// Sheet and Method say which problem. Every request carries them, so that a worker that was
	// started afresh can answer; one that solved it last has the solution at hand.
	Sheet  string
	Method Method

	Moving bool // Solve: one of many while a constant is moved, which waits for the one before

	From, To float64 // Window: its ends, both 0 for the whole interval; Follow: of the constant
	Point    string  // Value, Agree: a number or a formula in the sheet's constants; Follow: what it is drawn against
	Brief    bool    // Value: the unknowns alone, for a read-out that moves
	Of       Kind    // Rest: what is given up
	Others   bool    // Climb: the other families of nodes too
	Numbers  string  // Compare: a table as it was pasted

	Branch, Place int // Pick: which point

	Used   Method         // Working, Origin: what the answer took
	Name   string         // Slide, Follow: of the constant
	Follow bool           // Working, Origin: take the answer's nodes, where it is one polynomial
	Entry  *Entry         // Origin
	Export *ExportOptions // Export
}

// Method is what the method sentence says. Zero fields leave the choice to the solver.
type Method struct {
	Name     string // one, pieces, differences; "" for a free choice
	Family   string // a name of package nodes; "" is legendre
	Order    int    // of differences: 4, 6 or 8; 0 means 2
	Nodes    int    // interior nodes per polynomial, or of differences interior points
	Elements int    // pieces
	Digits   int    // tolerance 10^-Digits; 0 means 8
	Mode     int    // which eigenfunction is shown, from 1; 0 means 1
}

// Reply is what the worker answers. Which fields count depends on Kind.
type Reply struct {
	ID   int
	Kind Kind
	Last bool // nothing more will come for this ID

	Words   string   // Progress
	Reading *Reading // first reply to Solve
	Answer  *Answer  // last reply to Solve, where there was something to solve
	Curves  *Curves  // Window
	Value   *Point   // Value
	Edit    *Edit    // Slide
	Text    string   // Export; Pick: the sheet
	File    File     // Export: what the text is as a file
	Rows    int      // Export: how many rows a table has
	Ladder  *Ladder  // Climb

	Trace    *Trace    // Follow
	Findings *Findings // Search; without solutions where there is nothing to search

	Agreement  *Agreement  // Agree
	Exactness  *Exactness  // Exact; nil where the sheet gives no exact solution
	Comparison *Comparison // Compare

	Lesson     *Lesson     // Working
	Provenance *Provenance // Origin
}

// File is the name of a file, and the type by which browsers know it.
type File struct{ Name, Media string }

// Reading is how a sheet was understood, or why it was not.
type Reading struct {
	Lines      []Line
	Inferences []Inference
	Remarks    []Span  // stretches of the sheet that are words and no mathematics
	Summary    string  // the variable and its interval, the unknowns, the number of constants, in a line
	Faults     []Fault // when there are any, nothing is solved
	Incomplete bool    // the sheet is merely unfinished
}

// Line is one statement of the sheet, typeset.
type Line struct {
	Span Span
	Kind string // equation, condition, constant, …
	Math *Element

	Constant *Constant // of a constant whose value does not follow from others
}

// Constant is a number of the sheet that can be moved.
type Constant struct {
	Name  string
	Value float64
	At    Span      // the formula of its value
	Range []float64 // its two ends; nil where the sheet gives none
}

// Edit is a change of the sheet: Text in the place of what stands at At.
type Edit struct {
	At   Span
	Text string
}

// Inference is something that the reader took for granted, in words.
type Inference struct {
	Text  string
	Whole string // the piece of the sheet that Text quotes without its middle
	Span  Span
	Plain bool // nobody could have read it otherwise
}

// Fault is what is wrong with the sheet.
type Fault struct {
	Span          Span
	Line, Column  int // from 1; columns in characters
	Message, Hint string
	Choices       []Choice // clear ways to write what stands at Span, where it has more than one reading
}

// Choice is one clear way to write a piece of the sheet.
type Choice struct {
	Text string
	Math *Element // Text typeset, where it is a formula
}

// Span is a stretch of the sheet in bytes.
type Span struct{ From, To int }

// Element is a piece of MathML.
type Element = typeset.Element

// Run is a stretch of text in one style, or a formula.
type Run struct {
	Text  string
	Style string   // one of those below, or ""
	Math  *Element // in the place of Text
}

// Styles of a Run.
const (
	Sure     = "number"   // digits that stand
	Doubtful = "doubtful" // digits that the error estimate does not support
	Symbol   = "symbol"   // a letter of a formula
	Below    = "below"    // a subscript
	Above    = "above"    // a superscript
)

// Answer is the outcome of a solve.
type Answer struct {
	Status   string  // solved, short-of-tolerance, failed
	Headline []Run   // the largest sentence
	Sentence string  // the answer in plain words, to be copied
	Notes    [][]Run // further ones: why it is believed, sought numbers, slopes at the ends
	Chosen   string  // what was chosen, to stand behind the method sentence
	Usable   bool    // whether there is anything to draw
	Curves   *Curves
	Table    *Table
	Variable []Run    // its symbol, for the field that asks for a value
	Used     Method   // what was used, where the method left it open too
	Modes    []string // the eigenvalues, printed, by the number of their eigenfunction
	HasExact bool     // whether the sheet gives an exact solution
}

// Curves is the solution over an interval, sampled where its curvature needs it.
type Curves struct {
	Variable, Unit string
	WholeA, WholeB float64 // the ends of the whole interval, finite
	X              []float64
	Columns        []Column
	ResidualX      []float64
	Residual       []float64 // size of the residual of the equations at each ResidualX
	Nodes          []float64 // abscissae of the node table
	Mesh           []float64 // ends of the elements
	Worst          []float64 // ends of the gap in which the residual is largest; nil where it is rounding
}

// Column is an unknown or one of its derivatives.
type Column struct {
	Label      string // y, y', …
	Unit       string // as it is printed; "" for none
	Derivative int
	Y          []float64 // at Curves.X
	Exact      []float64 // the sheet's exact solution at Curves.X; nil for none
	Nodes      []float64 // at Curves.Nodes
}

// Table is the node table, ready to be shown.
type Table struct {
	Columns [][]Run
	Rows    [][]Cell
}

// Cell is a number as it is printed: the digits that stand, the doubtful ones, the power of ten ("e-7").
type Cell struct{ Sure, Doubtful, Power string }

// Point is the solution at one point, in words, or why there is none.
type Point struct {
	Runs  []Run
	Fault string
}
