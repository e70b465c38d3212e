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

func (o Options) omit(name string) bool { return slices.Contains(o.Omit, name) }

// Handout is a document: blocks in order.
type Handout struct {
	Title string
	// Solution is what the document is about; where it is not usable the document says so and has no numbers.
	Solution *solver.Solution

	blocks []block
	fig    *plot.Figure
	digits table.Options
}

// The kinds of blocks.
type (
	block any
	// heading opens a section, or a step of the working.
	heading struct {
		text string
		step bool
	}
	// paragraph is running text; a note is the author's.
	paragraph struct {
		text string
		note bool
	}
	// formulas are set one under the other.
	formulas []lesson.Formula
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
	// grid is a table of numbers with a heading: the node table.
	grid struct {
		columns []string // names as in table.Table
		cells   [][]table.Digits
	}
	// matrix is a matrix of the working with its labels.
	matrix struct {
		name          string
		part          string // which columns, of a matrix that is set in parts
		characters    int    // about how many wide it is, or the widest of its parts
		rows, columns []string
		cells         [][]string // nil: blank
	}
	// rungs is a part of the ladder: what, then nodes and errors.
	rungs struct {
		what          string
		nodes, errors []string
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
	var lines formulas
	for _, l := range sh.Reading() {
		switch l.Kind {
		case sheet.KindReport, sheet.KindGuess, sheet.KindBreak:
			continue
		}
		r := l.Relation
		if l.HasValue { // a constant that is worked out, or one given another value
			value := &notation.Number{Value: math.Abs(l.Value), Text: table.Fixed(math.Abs(l.Value), 7).String()}
			c := *r
			c.Sides, c.Ops = append(c.Sides[:len(c.Sides):len(c.Sides)], value),
				append(c.Ops[:len(c.Ops):len(c.Ops)], "=")
			if l.Value < 0 {
				c.Sides[len(c.Sides)-1] = &notation.Negate{X: value}
			}
			r = &c
		}
		lines = append(lines, relation(r))
	}
	h.add(lines)
	var said []string
	for _, i := range sh.Inferences {
		if !i.Constants { // what they are stands above
			said = append(said, i.Text)
		}
	}
	h.add(paragraph{text: "Taken for granted: " + strings.Join(said, "; ") + "."})
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
	if !o.omit(Figure) {
		h.fig = figure.New(sh, s, figure.Options{Width: figureWidth})
		h.add(picture{words: plot.Describe(h.fig, plot.NewView(h.fig.A, h.fig.B))})
	}
	h.add(heading{text: "Node table"})
	h.table(table.New(s, o.At), o)
}

// table adds the node table, or rows of it where there are too many.
func (h *Handout) table(t *table.Table, o Options) {
	if len(t.Rows) > mostRows {
		h.add(paragraph{text: fmt.Sprintf("The table has %d rows; shown are %d of them, evenly chosen.", len(t.Rows),
			mostRows)})
	}
	g := grid{columns: t.Columns}
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
	h.add(g)
}

const (
	figureWidth = 640 // CSS pixels
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
		Numbered: o.blank(string(working.StepNodes)) || o.blank(string(working.StepPoints))})
	if err != nil {
		h.add(paragraph{text: words.Sentence(err.Error())})
		return
	}
	number := 0
	for _, s := range l.Steps {
		if s.ID == lesson.StepEquation || o.omit(string(s.ID)) {
			continue // the equation stands at the beginning
		}
		number++
		blank := o.blank(string(s.ID)) || s.ID == working.StepTable && o.blank(Answer)
		h.add(heading{text: fmt.Sprintf("%d. %s", number, s.Title), step: true})
		h.add(paragraph{text: s.Sentence})
		if len(s.Formulas) > 0 && !(blank && telling[s.ID]) {
			h.add(formulas(s.Formulas))
		}
		for _, name := range s.Matrices {
			m := l.Working.Matrix(name)
			h.matrix(m, blank)
		}
		if blank && len(s.Matrices) == 0 {
			h.add(formulas{}) // room to write
		}
	}
}

// telling are the steps whose formulas hold the numbers that students are to find.
var telling = map[working.StepID]bool{working.StepMap: true, working.StepNodes: true, working.StepPoints: true,
	working.StepCoefficients: true, working.StepPolynomial: true}

// mostColumns is the largest number of columns of a matrix that can be read on paper.
const mostColumns = 30

func (h *Handout) matrix(m *working.Matrix, blank bool) {
	if len(m.Columns) > mostColumns || len(m.Rows) > mostColumns {
		h.add(paragraph{text: fmt.Sprintf("%s has %d rows and %d columns, too many for paper.", m.Name, len(m.Rows),
			len(m.Columns))})
		return
	}
	b := matrix{name: m.Name, rows: m.Rows, columns: m.Columns}
	if len(m.Columns) > 8 { // the place alone, in narrow columns
		b.columns = slices.Clone(m.Columns)
		for j, c := range b.columns {
			if _, place, ok := strings.Cut(c, " = "); ok {
				b.columns[j] = place
			}
		}
	}
	if !blank {
		b.cells = [][]string{}
		// Fewer figures where there are many columns, so that all fit on paper.
		figures := 6
		switch {
		case len(m.Columns) > 11:
			figures = 4
		case len(m.Columns) > 8:
			figures = 5
		}
		for i, row := range m.Values {
			var cells []string
			for j := range row {
				cells = append(cells, h.entry(m.Shown(i, j), figures))
			}
			b.cells = append(b.cells, cells)
		}
	}
	for _, part := range b.parts() {
		h.add(part)
	}
}

// widest is how many characters wide a matrix may be on paper, in the smallest of the sizes in use.
const widest = 112

// width is about how many characters wide a matrix is. Labels are set smaller than entries.
func (b *matrix) width() int {
	n := 0
	for _, r := range b.rows {
		n = max(n, width(r)*4/5)
	}
	for j := range b.columns {
		n += b.columnWidth(j)
	}
	return n
}

func (b *matrix) columnWidth(j int) int {
	w := width(b.columns[j]) * 4 / 5
	if b.cells == nil {
		w = max(w, 6)
	}
	for i := range b.cells {
		w = max(w, width(b.cells[i][j]))
	}
	return w + 2
}

// parts cuts a matrix that is too wide for paper into parts of as many columns each.
func (b *matrix) parts() []matrix {
	n := (b.width() + widest - 1) / widest
	if n == 1 {
		b.characters = b.width()
		return []matrix{*b}
	}
	each := (len(b.columns) + n - 1) / n
	var out []matrix
	for from := 0; from < len(b.columns); from += each {
		to := min(from+each, len(b.columns))
		p := matrix{name: b.name, part: fmt.Sprintf("columns %d to %d of %d", from+1, to, len(b.columns)), rows: b.rows,
			columns: b.columns[from:to]}
		for _, row := range b.cells {
			p.cells = append(p.cells, row[from:to])
		}
		out = append(out, p)
	}
	widest := 0
	for i := range out {
		widest = max(widest, out[i].width())
	}
	for i := range out {
		out[i].characters = widest
	}
	return out
}

// entry prints an entry of a matrix: with a power of ten where it is very large or small and this is shorter; "" where
// it has no number.
func (h *Handout) entry(v float64, figures int) string {
	switch {
	case math.IsNaN(v):
		return ""
	case v == 0:
		return "0" // and not -0
	}
	plain := strconv.FormatFloat(v, 'g', figures, 64)
	if v, err := strconv.ParseFloat(plain, 64); err == nil {
		plain = strconv.FormatFloat(v, 'f', -1, 64)
	}
	mantissa, power, _ := strings.Cut(strconv.FormatFloat(v, 'e', figures-1, 64), "e")
	if strings.Contains(mantissa, ".") {
		mantissa = strings.TrimRight(strings.TrimRight(mantissa, "0"), ".")
	}
	n, _ := strconv.Atoi(power)
	if scientific := mantissa + "e" + strconv.Itoa(n); len(scientific) < len(plain) && (n < -3 || n > 5) {
		plain = scientific
	}
	return h.digits.Point(table.Digits{Firm: plain}, table.TSV).String()
}

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
	if d := figure.NewLadder(l); d != nil {
		h.add(picture{l.Sentence, d})
	}
	for i := range l.Series {
		s := &l.Series[i]
		var solved []ladder.Rung
		for _, r := range s.Rungs {
			if r.Solved() {
				solved = append(solved, r)
			}
		}
		if len(solved) == 0 {
			continue
		}
		// What is beyond the best rung adds nothing but rounding, but for two that show so.
		best := 0
		for k, r := range solved {
			if r.Relative < solved[best].Relative {
				best = k
			}
		}
		solved = solved[:min(len(solved), best+3)]
		b := rungs{what: seriesName(s)}
		for _, k := range chosen(len(solved), 9) {
			r := solved[k]
			n := r.Nodes
			if s.Method == solver.Pieces {
				n = r.Steps
			}
			b.nodes = append(b.nodes, strconv.Itoa(n))
			b.errors = append(b.errors, h.entry(r.Error, 2))
		}
		h.add(b)
	}
}

func seriesName(s *ladder.Series) string {
	switch s.Method {
	case solver.Differences:
		return fmt.Sprintf("Differences of order %d: interior points and largest error", s.Order)
	case solver.Pieces:
		return fmt.Sprintf("Pieces with %s nodes: number of pieces and largest error", s.Family.Title())
	}
	return fmt.Sprintf("One polynomial with %s nodes: interior nodes and largest error", s.Family.Title())
}

// width is about how many digits wide a cell is.
func width(s string) int { return len([]rune(s)) }
