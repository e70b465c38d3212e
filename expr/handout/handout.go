package handout

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"nodespan/expr/figure"
	"nodespan/expr/lesson"
	"nodespan/expr/notation"
	"nodespan/expr/plot"
	"nodespan/expr/report"
	"nodespan/expr/sheet"
	"nodespan/expr/typeset"
	"nodespan/expr/words"
	"nodespan/solver"
	"nodespan/solver/agree"
	"nodespan/solver/ladder"
	"nodespan/solver/nodes"
	"nodespan/solver/table"
	"nodespan/solver/working"
)

// Options says what goes into a handout. The zero value is a whole one without title and note.
type Options struct {
	// Title and Note are the author's own, plain text; a blank line in the note starts a paragraph.
	Title, Note string
	// Blank lists what students fill in: names of steps of the working, "answer" for the answer and the node table, or
	// "all".
	Blank []string
	// Omit lists what is left out altogether, by the same names; besides, "figure", "working", all its steps, and
	// "ladder".
	Omit []string
	// Preset is one of [Presets], "" for the first: what it leaves blank and out comes to what Blank and Omit say.
	Preset string
	// Solve says how the problem is solved; the working has its Nodes (as many as lesson.DefaultNodes for 0) and its
	// Family.
	Solve solver.Options
	// At are the points of the node table; nil means the nodes.
	At []float64
	// Table says how its numbers are printed.
	Table table.Options
}

// Answer is the word for the answer and the node table among what may be left blank, All for everything.
const (
	Answer = "answer"
	All    = "all"
)

// Blanks lists everything that may be left blank.
func Blanks() []string {
	names := []string{Answer}
	for _, id := range []working.StepID{working.StepMap, working.StepNodes, working.StepPoints, working.StepPowers,
		working.StepInverse,
		working.StepDerivatives, working.StepLinearise, working.StepCoefficients, working.StepOperator,
		working.StepConditions, working.StepRows,
		working.StepSolution, working.StepPolynomial, working.StepTable, working.StepCheck, working.StepStable,
		working.StepDigits} {
		names = append(names, string(id))
	}
	return append(names, All)
}

// Parts that may be left out, and are no steps of the working.
const (
	Figure  = "figure"
	Working = "working"
	Ladder  = "ladder"
)

// Parts lists everything that may be left out.
func Parts() []string {
	names := slices.DeleteFunc(Blanks(), func(name string) bool { return name == All })
	return append(names, Figure, Working, Ladder)
}

// preset is what a kind of handout leaves blank and out.
type preset struct {
	name        string
	blank, omit []working.StepID
}

var presets = []preset{
	{name: "full"},
	{name: "one-page", omit: []working.StepID{Working, Ladder}},
	{
		name:  "exercise",
		blank: []working.StepID{working.StepNodes, working.StepPoints, working.StepRows, working.StepSolution},
		omit: []working.StepID{Answer, Ladder, working.StepCoefficients,
			working.StepPowers, working.StepInverse, working.StepDerivatives,
			working.StepOperator, working.StepConditions, working.StepPolynomial, working.StepTable,
			working.StepCheck, working.StepStable, working.StepDigits},
	},
}

// Presets lists the kinds of handouts: full, the answer on one page, and an exercise for a class.
func Presets() []string {
	var names []string
	for _, p := range presets {
		names = append(names, p.name)
	}
	return names
}

// settled puts what the preset says into the lists.
func (o Options) settled() Options {
	for _, p := range presets {
		if p.name == o.Preset {
			for _, id := range p.blank {
				o.Blank = append(o.Blank[:len(o.Blank):len(o.Blank)], string(id))
			}
			for _, id := range p.omit {
				o.Omit = append(o.Omit[:len(o.Omit):len(o.Omit)], string(id))
			}
		}
	}
	return o
}

// Check says what is wrong with the options, nil for nothing.
func (o Options) Check() error {
	known := Blanks()
	for _, b := range o.Blank {
		if !slices.Contains(known, b) {
			return fmt.Errorf("there is no step %q to be left blank; there are %s", b, strings.Join(known, ", "))
		}
	}
	for _, name := range o.Omit {
		if !slices.Contains(Parts(), name) {
			return fmt.Errorf("there is no part %q to be left out; there are %s", name, strings.Join(Parts(), ", "))
		}
	}
	if o.Preset != "" && !slices.Contains(Presets(), o.Preset) {
		return fmt.Errorf("there is no preset %q; there are %s", o.Preset, strings.Join(Presets(), ", "))
	}
	if strings.ContainsAny(o.Title, "\n\r") {
		return fmt.Errorf("a title has one line")
	}
	return o.Table.Check()
}

// blank reports whether a part is left blank. What tells the solution is blank where the solution is.
func (o Options) blank(name string) bool {
	return slices.Contains(o.Blank, name) || slices.Contains(o.Blank, All) ||
		telltale[name] && slices.Contains(o.Blank, string(working.StepSolution))
}

// telltale are the parts from which the solution can be read.
var telltale = map[string]bool{Answer: true, Ladder: true, string(working.StepPolynomial): true,
	string(working.StepTable): true, string(working.StepCheck): true, string(working.StepStable): true,
	string(working.StepDigits): true}

//go:noinline
func (o Options) omit(name string) bool { return slices.Contains(o.Omit, name) }

// Handout is a document: blocks in order.
type Handout struct {
	Title string
	// Solution is what the document is about; where it is not usable the document says so and has no numbers.
	Solution *solver.Solution

	labels *lesson.Labels
	blocks []block
	fig    *plot.Figure
	digits table.Options
}

// The kinds of blocks.
type (
	block any
	// heading opens a section.
	heading struct{ text string }
	// paragraph is running text; a note is the author's.
	paragraph struct {
		text string
		note bool
	}
	// problem is what the sheet says: statements, and the constants beside them, each with its comment.
	problem struct{ statements, constants []line }
	line    struct {
		formula lesson.Formula
		comment string
	}
	// step is a step of the working.
	step struct {
		title, sentence string
		formulas        []lesson.Formula
		room            bool // to write in
		tables          []matrix
	}
	// equals lists numbers with their names.
	equals []equal
	equal  struct {
		left lesson.Formula
		// value is left blank where it has no digits; words stand in its place where there is no number.
		value table.Digits
		words string
	}
	picture struct {
		words  string
		ladder *plot.Ladder // nil: the handout's figure
	}
	// shown are a picture and a table of what it shows, side by side where there is room.
	shown []block
	// grid is a table of numbers with a heading: the node table. It stands in parts, side by side where they fit.
	grid struct {
		columns []lesson.Label
		cells   [][]table.Digits
	}
	// readings are what the ladder shows, a small table for each series.
	readings []series
	series   struct {
		what, which, counted string
		nodes, errors        []string
	}
)

// New gathers a handout. It solves the problem, lays out the working and climbs the ladder. The options must be in
// order: [Options.Check] tells.
func New(sh *sheet.Sheet, o Options) *Handout {
	s := solver.MustSolve(sh.Problem(), o.Solve)
	h := &Handout{Title: cmp.Or(o.Title, "A boundary value problem"), Solution: s, digits: o.Table}
	for _, p := range strings.Split(strings.ReplaceAll(o.Note, "\r\n", "\n"), "\n\n") {
		if p = strings.Join(strings.Fields(p), " "); p != "" {
			h.add(paragraph{p, true})
		}
	}
	h.labels = lesson.NewLabels(sh, "")
	h.problem(sh)
	o = o.settled()
	if !o.omit(Answer) {
		h.answer(sh, o)
	}
	if !o.omit(Working) {
		h.working(sh, o)
	}
	if !o.omit(Ladder) {
		h.ladder(sh, o)
	}
	h.add(paragraph{caution, false})
	return h
}

// caution stands at the end of every handout: whether a problem is about something that can hurt cannot be told from
// its equation.
const caution = "For teaching and checking. Where people’s safety depends on a result, design follows local codes " +
	"and a licensed practitioner."

func (h *Handout) add(b block) { h.blocks = append(h.blocks, b) }

func (h *Handout) problem(sh *sheet.Sheet) {
	h.add(heading{text: "The problem"})
	if words := Opening(sh.Text); words != "" {
		h.add(paragraph{words, true})
	}
	var p problem
	for _, l := range sh.Reading() {
		switch l.Kind {
		case sheet.KindReport, sheet.KindGuess, sheet.KindBreak:
			continue
		}
		r := l.Relation
		if l.HasValue { // a constant that is worked out, or one given another value
			size := table.Rounded(math.Abs(l.Value), 7)
			value := &notation.Number{Value: size, Text: table.Honest(size, 0).String()}
			c := *r
			c.Sides, c.Ops = append(c.Sides[:len(c.Sides):len(c.Sides)], value),
				append(c.Ops[:len(c.Ops):len(c.Ops)], "=")
			if l.Value < 0 {
				c.Sides[len(c.Sides)-1] = &notation.Negate{X: value}
			}
			r = &c
		}
		list := &p.statements
		if l.Kind == sheet.KindConstant {
			list = &p.constants
		}
		*list = append(*list, line{relation(r), comment(sh.Text, l)})
	}
	h.add(p)
	var said []string
	for _, i := range sh.Inferences {
		if !i.Constants { // what they are stands above
			said = append(said, i.Text)
		}
	}
	h.add(paragraph{text: "Taken for granted: " + h.labels.Spoken(strings.Join(said, "; ")) + "."})
}

func relation(r *notation.Relation) lesson.Formula {
	return lesson.Formula{MathML: typeset.MathMLRelation(r), LaTeX: typeset.LaTeXRelation(r),
		Plain: typeset.PlainRelation(r)}
}

func formula(n notation.Node) lesson.Formula {
	return lesson.Formula{MathML: typeset.MathML(n), LaTeX: typeset.LaTeX(n), Plain: typeset.Plain(n)}
}

// answer tells what was found and why it is believed, with figure and node table.
func (h *Handout) answer(sh *sheet.Sheet, o Options) {
	s := h.Solution
	h.add(heading{text: "The answer"})
	blank := o.blank(Answer)
	if !s.Usable() {
		h.add(paragraph{text: words.Sentence(s.Message)})
		return
	}
	h.add(paragraph{text: h.verdict(sh)})
	var list equals
	put := func(left lesson.Formula, value, err float64, fault string) {
		e := equal{left: left, words: fault}
		if fault == "" && !blank {
			e.value = o.Table.Point(table.Honest(value, err), table.TSV)
		}
		list = append(list, e)
	}
	for _, f := range s.Found {
		put(formula(&notation.Name{Name: f.Name}), f.Value, f.Error, "")
	}
	for i, e := range s.Eigenvalues {
		put(formula(&notation.Name{Name: fmt.Sprintf("%s_%d", sh.Sought[0].Name, i+1)}), e.Value, e.Error, "")
	}
	for _, r := range report.All(sh, s) {
		left := formula(r.Left)
		if r.Left != nil && r.Fault == "" {
			for _, l := range sh.Reading() { // the whole line tells what the name stands for
				if l.Kind == sheet.KindReport && l.Span == r.Span {
					left = relation(l.Relation)
				}
			}
		}
		put(left, r.Value, r.Error, r.Fault)
	}
	if len(list) > 0 {
		h.add(list)
	}
	if blank {
		h.add(paragraph{text: "The figure and the node table are left out."})
		return
	}
	var both shown
	if !o.omit(Figure) {
		h.fig = figure.New(sh, s, figure.Options{Width: figureWidth})
		both = append(both, picture{words: plot.Describe(h.fig, plot.NewView(h.fig.A, h.fig.B))})
	}
	h.add(append(both, h.table(table.New(s, o.At), o)))
}

// table makes the node table, or rows of it where there are too many.
func (h *Handout) table(t *table.Table, o Options) grid {
	if len(t.Rows) > mostRows {
		h.add(paragraph{text: fmt.Sprintf("The table has %d rows; shown are %d of them, evenly chosen.", len(t.Rows),
			mostRows)})
	}
	g := grid{}
	for _, c := range t.Columns {
		g.columns = append(g.columns, h.labels.Set(c))
	}
	// More than ten digits of a column's largest value help nobody on paper.
	largest := make([]float64, len(t.Columns))
	for _, row := range t.Rows {
		for j, v := range row {
			largest[j] = math.Max(largest[j], math.Abs(v))
		}
	}
	for _, i := range chosen(len(t.Rows), mostRows) {
		var cells []table.Digits
		for j := range t.Columns {
			d := t.CellWith(i, j, table.TSV, o.Table)
			switch {
			case o.Table.Digits > 0 || d == table.Digits{}:
			case j == 0:
				d = o.Table.Point(t.Place(i), table.TSV)
			case t.Rows[i][j] == 0 && t.Errors[i][j-1] == 0: // prescribed
			default:
				d = o.Table.Point(table.Honest(t.Rows[i][j], math.Max(t.Errors[i][j-1], 5e-11*largest[j])), table.TSV)
			}
			cells = append(cells, d)
		}
		g.cells = append(g.cells, cells)
	}
	return g
}

// parts are the rows of a long table in two halves, which stand side by side where they are narrow.
func (g grid) parts() [][][]table.Digits {
	if len(g.cells) <= 16 || g.width() > 50 {
		return [][][]table.Digits{g.cells}
	}
	half := (len(g.cells) + 1) / 2
	return [][][]table.Digits{g.cells[:half], g.cells[half:]}
}

// width is about how many digits wide a table is.
func (g grid) width() int {
	n := 0
	for j, c := range g.columns {
		w := c.Width()
		for _, row := range g.cells {
			w = max(w, width(row[j].String()))
		}
		n += w + 2
	}
	return n
}

// size is the size of its type: one that leaves room beside the figure where that can be.
func (g grid) size() string {
	if g.width() <= 46 {
		return "w2"
	}
	return size4(g.width())
}

// narrow reports whether the tables of a step stand beside what is said.
func (s step) narrow() bool {
	n := 0
	for i := range s.tables {
		n += s.tables[i].characters + 3
	}
	return n > 0 && n <= 52
}

const (
	figureWidth = 500 // CSS pixels
	mostRows    = 60
)

// chosen returns n numbers from 0, or most of them evenly spread with both ends.
func chosen(n, most int) []int {
	var out []int
	for i := range min(n, most) {
		if n <= most {
			out = append(out, i)
		} else {
			out = append(out, i*(n-1)/(most-1))
		}
	}
	return out
}

// verdict says how far the answer is to be trusted and why.
func (h *Handout) verdict(sh *sheet.Sheet) string {
	s := h.Solution
	var parts []string
	switch s.Status {
	case solver.Solved:
		parts = append(parts, "Solved "+h.by()+".")
	case solver.Short:
		parts = append(parts, "Short of what was asked: what was reached "+h.by()+" is shown.")
	default:
		parts = append(parts, "What is shown is not an answer.")
	}
	if s.Error > 0 && !math.IsInf(s.Error, 0) {
		parts = append(parts, fmt.Sprintf("The estimated error is nowhere larger than %s of an unknown’s largest "+
			"value (of 1 where that is smaller).", size(s.Error)))
	}
	parts = append(parts, words.Sentence(s.Message))
	if e, ok := table.ExactError(s, sh.Exact); ok {
		parts = append(parts, fmt.Sprintf("The largest difference from the exact solution of the sheet is %s.",
			size(e)))
	}
	if s.Condition > 10 {
		parts = append(parts, fmt.Sprintf("A relative change of the data may come out up to about %s times as large "+
			"in the solution.", size(s.Condition)))
	}
	return strings.Join(parts, " ")
}

// by says by what a solution was found.
func (h *Handout) by() string {
	s := h.Solution
	switch s.Method {
	case solver.Differences:
		return fmt.Sprintf("by finite differences on %d steps", s.Elements)
	case solver.Pieces:
		return fmt.Sprintf("by %s of degree up to %d", words.Count(s.Elements, "polynomial piece"), s.Degree)
	}
	return fmt.Sprintf("by one polynomial of degree %d", s.Degree)
}

// size writes the size of an error with one or two digits.
//
//go:noinline
func size(v float64) string {
	if v == 0 {
		return "0"
	}
	return table.Fixed(v, 2).String()
}

// working lays out the steps.
func (h *Handout) working(sh *sheet.Sheet, o Options) {
	h.add(heading{text: "The working"})
	l, err := lesson.New(sh, lesson.Options{Nodes: o.Solve.Nodes, Family: o.Solve.Family,
		Numbered: true}) // narrower, and nothing is given away
	if err != nil {
		h.add(paragraph{text: words.Sentence(err.Error())})
		return
	}
	h.labels = lesson.NewLabels(sh, l.Working.Options.Symbol)
	number := 0
	for _, s := range l.Steps {
		if s.ID == lesson.StepEquation || o.omit(string(s.ID)) {
			continue // the equation stands at the beginning
		}
		number++
		blank := o.blank(string(s.ID)) || s.ID == working.StepTable && o.blank(Answer)
		b := step{title: fmt.Sprintf("%d. %s", number, s.Title), sentence: h.labels.Spoken(s.Sentence)}
		if !blank || !telling[s.ID] {
			b.formulas = s.Formulas
		}
		b.tables = h.tables(l, s, blank)
		b.room = blank && len(b.tables) == 0
		h.add(b)
	}
}

// telling are the steps whose formulas hold the numbers that students are to find.
var telling = map[working.StepID]bool{working.StepMap: true, working.StepNodes: true, working.StepPoints: true,
	working.StepCoefficients: true, working.StepPolynomial: true}

// ladder tells how the error falls with more nodes.
func (h *Handout) ladder(sh *sheet.Sheet, o Options) {
	if !h.Solution.Usable() || sh.Eigenvalue {
		return
	}
	lo := ladder.Options{Families: []nodes.Family{o.Solve.Family}, Tol: o.Solve.Tol}
	h.add(heading{text: "How many nodes are enough"})
	lo, judged := agree.Against(lo, sh.Problem(), sh.Exact, sh.ExactJet())
	if judged != nil && !judged.Satisfies {
		h.add(paragraph{text: words.Sentence(judged.Sentence)})
	}
	l := ladder.Climb(sh.Problem(), lo)
	if l.Reason != "" {
		h.add(paragraph{text: words.Sentence(l.Reason)})
		return
	}
	if o.blank(Ladder) { // how far each rung is from the solution helps to find it
		h.add(paragraph{text: "The readings of the ladder are left out."})
		return
	}
	if l.Sentence != "" {
		h.add(paragraph{text: words.Sentence(l.Sentence)})
	}
	var both shown
	if d := figure.NewLadder(l); d != nil {
		both = append(both, picture{l.Sentence, d})
	}
	var all readings
	for i := range l.Series {
		if r := h.series(&l.Series[i]); len(r.nodes) > 0 {
			all = append(all, r)
		}
	}
	h.add(append(both, all))
}

// series tells some rungs of a series.
func (h *Handout) series(s *ladder.Series) series {
	var solved []ladder.Rung
	for _, r := range s.Rungs {
		if r.Solved() {
			solved = append(solved, r)
		}
	}
	// What is beyond the best rung adds nothing but rounding, but for two that show so.
	best := 0
	for k, r := range solved {
		if r.Relative < solved[best].Relative {
			best = k
		}
	}
	solved = solved[:min(len(solved), best+3)]
	out := series{}
	out.what, out.which, out.counted = seriesName(s)
	for _, k := range chosen(len(solved), mostReadings) {
		r := solved[k]
		n := r.Nodes
		if s.Method == solver.Pieces {
			n = r.Steps
		}
		out.nodes = append(out.nodes, strconv.Itoa(n))
		out.errors = append(out.errors, h.entry(r.Error, 2))
	}
	return out
}

// mostReadings is how many readings of each series are told.
const mostReadings = 7

// seriesName names a series, in two parts, and says what is counted along it.
func seriesName(s *ladder.Series) (what, which, counted string) {
	switch s.Method {
	case solver.Differences:
		return "Differences", fmt.Sprintf("of order %d", s.Order), "points"
	case solver.Pieces:
		return "Pieces", s.Family.Title() + " nodes", "pieces"
	}
	return "One polynomial", s.Family.Title() + " nodes", "nodes"
}
