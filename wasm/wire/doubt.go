package wire

// What the page asks in the worker's spare time, to see how far an answer can be trusted.
const (
	// error against number of nodes; answered by several Ladders, each with all that is known so far
	Climb Kind = "climb"
	Rest  Kind = "rest" // give up a Climb or a Search; not answered

	Search Kind = "search" // look for further solutions; answered by several Findings, each with all so far

	Follow Kind = "follow" // follow the solutions while a constant moves; answered by a Trace
	Pick   Kind = "pick"   // the sheet that leads to a point of the last trace; a Value says why there is none

	Agree   Kind = "agree"   // solve by other methods, and compare, at Point too where it is given
	Exact   Kind = "exact"   // judge the sheet's exact solution, and measure against it
	Compare Kind = "compare" // compare a reader's own numbers
)

// Ladder is error against the number of unknowns for several methods.
type Ladder struct {
	Series []LadderSeries
	Tol    float64 // relative to the largest value
	// From and To are the fewest and the most unknowns that are climbed, known from the first rung on.
	From, To int
	// Reason says why there is no ladder; empty when there is one.
	Reason string
	// Sentence says what the ladder shows, once it is complete.
	Sentence string
	// Against says in words what the errors were measured against.
	Against string
	// Resolution tells how well the answer that is shown is resolved; empty where it is not one polynomial.
	Resolution string
}

// LadderSeries is one method with its rungs in ascending order. Indices are −1 where there is no such rung.
type LadderSeries struct {
	Label  string // a word or two, for the picture
	Name   string // in full, for the table
	Choice Method // what the method sentence says for a rung, but for its numbers
	Main   bool   // it is drawn in a colour of its own
	Rungs  []Rung

	FirstMet, PlateauFrom, WiggleFrom int
	Plateau                           float64

	// Rate says how the error falls, in words; the fitted line runs through FitX (unknowns) and FitY.
	Rate       string
	FitX, FitY []float64

	// Met and Best say in words where the tolerance is met first, and how small the error gets.
	Met, Best string
}

// Rung is one number of nodes and its error.
type Rung struct {
	Nodes, Elements int // what the method sentence says
	Unknowns        int
	Error           float64 // relative to the largest value; NaN where this rung has no solution
	Words           string
}

// Findings are the solutions of a nonlinear sheet that a search has found, the answer that is shown among them.
type Findings struct {
	Sentence  string // what was found, and what that proves; empty while the search goes on
	Solutions []Finding
	// Low and High are the least and the largest value of the curves.
	Low, High float64
}

// Finding is one of several solutions, drawn small.
type Finding struct {
	Label []Run
	// Curves has a row of values for each unknown, at equal steps from end to end.
	Curves [][]float64
	Shown  bool
	// Sheet is the sheet with a first guess that leads to this solution; empty where none was found.
	Sheet string
}

// Trace is how the solutions move with a constant, or why that cannot be told.
type Trace struct {
	Fault             string
	Constant, Against string
	// X, Y are the two axes.
	X, Y     Axis
	Branches []Branch
	Specials []Special
	Lines    []string // in words
	Table    string   // all points, between tabs
}

// Axis has its ends and some round numbers between them, printed.
type Axis struct {
	Low, High float64
	At        []float64
	Labels    []string
}

// Branch is a curve of solutions, in the order in which it was followed.
type Branch struct {
	X, Y  []float64
	Words []string // each point in words
}

// Special is a fold, or a point where branches cross.
type Special struct {
	X, Y float64
	Fold bool
}

// Agreement is what second methods say about an answer.
type Agreement struct {
	Lines []Verdict
	Fault string // why there is nothing to tell
}

// Verdict is a sentence; a loud one warns.
type Verdict struct {
	Text string
	Loud bool
}

// Exactness is what holds of the sheet's exact solution, and of the computed one against it.
type Exactness struct {
	Lines []Verdict
	// Label names the difference, computed less exact, whose curve is X and Y.
	Label string
	X, Y  []float64
}

// Comparison is what is found about a reader's own numbers.
type Comparison struct {
	Fault string // why they cannot be compared
	// Verdict says how they compare, and the slip that reproduces them, if one does.
	Verdict Verdict
	Head    []string
	Rows    []ComparedRow
	// Columns are the numbers for the figure, by the label of what they are of.
	Columns []OwnNumbers
}

// ComparedRow is a row of the table that compares, printed.
type ComparedRow struct {
	Cells []string
	Wrong bool
}

// OwnNumbers are points of one curve.
type OwnNumbers struct {
	Label string
	X, Y  []float64
}
