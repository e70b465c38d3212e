package worker

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/report"
	"nodespan/expr/typeset"
	"nodespan/expr/words"
	"nodespan/solver"
	"nodespan/solver/bvp"
	"nodespan/solver/table"
	"nodespan/wasm/wire"
)

// answer puts a solution into words, curves and a table.
func (s *solved) answer() *wire.Answer {
	a := &wire.Answer{Status: string(s.Status), Usable: s.Usable(), Variable: []wire.Run{s.variable()}}
	if !a.Usable {
		a.Headline = plain(words.Sentence(s.Message))
		return a
	}
	a.Curves = s.curves(0, 0)
	a.Sentence = report.Sentence(s.sheet, s.Solution, s.digits())
	main, further := s.numbers()
	switch {
	case s.Status == solver.Solved:
		a.Headline = main
		why := standing(s.Error) + s.measure(a.Curves) + ", " + strings.TrimSuffix(words.Numbers(s.Message), ".") + "."
		if s.Eigenvalues != nil {
			why = words.Sentence(s.Message) // it speaks of them all
		}
		a.Notes = append(further, plain(why))
	case s.shows():
		a.Headline = append(plain("Short of what was asked: "), main...)
		a.Notes = append([][]wire.Run{plain(words.Sentence(s.Message))}, further...)
	default:
		a.Headline = plain(words.Sentence(s.Message))
		a.Notes = append(a.Notes, plain("The figure and the table show what was reached; they are not an answer."))
	}
	if s.shows() {
		if ends := s.ends(); ends != nil {
			a.Notes = append(a.Notes, ends)
		}
	}
	a.Chosen, a.Used, a.Modes = s.chosen(), s.used(), s.modes()
	for i := range s.Problem.Unknowns {
		a.HasExact = a.HasExact || s.sheet.HasExact(i)
	}
	a.Table = s.table()
	return a
}

// shows reports whether the numbers are worth telling: a digit of them stands.
func (s *solved) shows() bool {
	return s.Status == solver.Solved || s.Status == solver.Short && s.Error < 0.05
}

func plain(text string) []wire.Run { return []wire.Run{{Text: text}} }

// standing says how many digits stand on the whole interval.
func standing(relative float64) string {
	n := 15
	if relative > 0 {
		n = min(n, int(math.Floor(-math.Log10(2*relative))))
	}
	switch {
	case n < 1:
		return "No digit is reliable everywhere"
	case n == 1:
		return "One reliable digit everywhere"
	}
	words := [...]string{2: "Two", 3: "Three", 4: "Four", 5: "Five", 6: "Six", 7: "Seven", 8: "Eight", 9: "Nine",
		10: "Ten",
		11: "Eleven", 12: "Twelve", 13: "Thirteen", 14: "Fourteen", 15: "Fifteen"}
	return words[n] + " reliable digits everywhere"
}

// measure says what the error of an unknown is measured by, where this is much more than what is seen of it: where an
// unknown is less than a hundredth of its largest value over half of the interval.
func (s *solved) measure(c *wire.Curves) string {
	for _, y := range c.Columns {
		if y.Derivative > 0 || len(c.X) < 2 {
			continue
		}
		largest, low := 0.0, 0.0
		for _, v := range y.Y {
			largest = max(largest, math.Abs(v))
		}
		for i := 1; i < len(c.X); i++ {
			if math.Abs(y.Y[i-1]) < largest/100 && math.Abs(y.Y[i]) < largest/100 {
				low += c.X[i] - c.X[i-1]
			}
		}
		if low > (c.X[len(c.X)-1]-c.X[0])/2 {
			return ", relative to the largest |" + y.Label + "|"
		}
	}
	return ""
}

// number returns the runs of a number in prose, with honest digits, but at most so many as were asked for.
func (s *solved) number(value, err float64) []wire.Run {
	return inProse(table.Asked(value, err, s.digits()))
}

// honest returns them with all digits that stand.
func honest(value, err float64) []wire.Run { return inProse(table.Honest(value, err)) }

func inProse(d table.Digits) []wire.Run {
	d = d.Prose()
	runs := []wire.Run{{Text: d.Firm, Style: wire.Sure}}
	if d.Firm == "" {
		runs = runs[:0]
	}
	if d.Doubtful != "" {
		runs = append(runs, wire.Run{Text: d.Doubtful, Style: wire.Doubtful})
	}
	if d.Exponent != "" {
		runs = append(runs, wire.Run{Text: d.Exponent, Style: wire.Sure})
	}
	return runs
}

// rough writes a size with two digits.
func rough(v float64) string {
	if v == 0 {
		return "0"
	}
	mantissa, power, _ := strings.Cut(strconv.FormatFloat(v, 'e', 1, 64), "e")
	p, _ := strconv.Atoi(power)
	if p >= -3 && p < 2 {
		return strconv.FormatFloat(v, 'f', 1-p, 64)
	}
	return table.Digits{Firm: mantissa, Exponent: "e" + strconv.Itoa(p)}.Prose().String()
}

// numeral is a number as a tree, for typesetting.
func numeral(v float64) notation.Node {
	n := &notation.Number{Value: math.Abs(v), Text: table.Honest(math.Abs(v), 0).String()}
	if v < 0 {
		return &notation.Negate{X: n}
	}
	return n
}

// rounded is a place on the axis with six digits, as a label.
func rounded(x float64) float64 { return table.Rounded(x, 6) }

// formula is a tree as a run.
func formula(n notation.Node) wire.Run {
	return wire.Run{Math: set(typeset.Math(false, typeset.MathML(n)))}
}

//go:noinline
func (s *solved) variable() wire.Run {
	return formula(&notation.Name{Name: s.Problem.VariableName()})
}

// entry is one number of the solution: a derivative of an unknown at a point.
type entry struct {
	x          float64
	unknown    int
	derivative int
}

// symbol is the entry's name: y'(0), or y' without its point.
func (s *solved) symbol(e entry, point bool) wire.Run {
	j := &notation.Jet{Name: s.Problem.Unknowns[e.unknown].Name, Order: e.derivative}
	if point {
		j.At = numeral(rounded(e.x))
	}
	return formula(j)
}

// state says "y'(0) = 1.234", the number printed as is asked.
func (s *solved) state(e entry, point bool, print func(value, err float64) []wire.Run) []wire.Run {
	jet, err := make([]float64, s.Problem.Jet()), make([]float64, s.Problem.Jet())
	s.At(e.x, jet)
	s.ErrorAt(e.x, err)
	k := s.Problem.JetOffset(e.unknown) + e.derivative
	return append([]wire.Run{s.symbol(e, point), {Text: "\u00a0=\u00a0"}}, print(jet[k], err[k])...)
}

// pinned reports whether a condition alone fixes the entry, so that it is known and not found.
func (s *solved) pinned(e entry) bool {
	fixed, _ := s.Problem.Fixed(bvp.PointValue{X: e.x, Unknown: e.unknown, Derivative: e.derivative})
	return fixed
}

// ab returns the ends of the interval as it was solved.
func (s *solved) ab() (a, b float64) { return s.Mesh[0], s.Mesh[len(s.Mesh)-1] }

// bounded reports whether an end of the interval is one of the problem's own.
func (s *solved) bounded(x float64) bool { return report.Bounded(s.Solution, x) }

// notable is the number that the headline tells where the sheet asks for none.
//
//go:noinline
func (s *solved) notable() entry {
	v := report.Notable(s.Solution)
	return entry{x: v.X, unknown: v.Unknown, derivative: v.Derivative}
}

// digits is how many were asked for.
func (s *solved) digits() int {
	if s.method.Digits > 0 {
		return s.method.Digits
	}
	return 8
}

// numbers returns what the headline tells and further sentences of the same kind: what the sheet asks to be
// reported, else its sought numbers or eigenvalues, else a notable value.
func (s *solved) numbers() (main []wire.Run, further [][]wire.Run) {
	for _, r := range report.All(s.sheet, s.Solution) {
		name := strings.ReplaceAll(r.Name, ", ", ",\u00a0") // mean(T, r) stays whole in a narrow window
		line := plain(name + "\u00a0=\u00a0")
		if r.Fault != "" {
			line = plain(name + ": " + words.Sentence(r.Fault))
		} else {
			line = append(line, s.number(r.Value, r.Error)...)
		}
		if main == nil {
			main = line
		} else {
			further = append(further, line)
		}
	}
	found := s.found()
	switch {
	case main == nil && found != nil:
		return found, s.more()
	case main == nil:
		return s.state(s.notable(), true, s.number), nil
	case found != nil:
		return main, append(append(further, found), s.more()...)
	}
	return main, further
}

// ends lists what was found at the ends: values, slopes, moments that no condition fixes.
func (s *solved) ends() []wire.Run {
	const most = 6
	if s.Eigenvalues != nil {
		return nil // the size of an eigenfunction is a matter of agreement
	}
	a, b := s.ab()
	shown := entry{unknown: -1}
	if !s.sheet.HasReports() && len(s.Found) == 0 {
		shown = s.notable()
	}
	var runs []wire.Run
	count := 0
	for _, x := range []float64{a, b} {
		for i, u := range s.Problem.Unknowns {
			for k := range u.Order {
				e := entry{x, i, k}
				if e == shown || s.pinned(e) || !s.bounded(x) || count == most {
					continue
				}
				if count > 0 {
					runs = append(runs, wire.Run{Text: ", "})
				}
				count++
				runs = append(runs, s.state(e, true, s.number)...)
			}
		}
	}
	if count == 0 {
		return nil
	}
	return append(append(plain("At the ends: "), runs...), wire.Run{Text: "."})
}

// found lists the sought numbers, or the eigenvalue whose eigenfunction is shown; nil where nothing is sought.
func (s *solved) found() []wire.Run {
	var runs []wire.Run
	for i, f := range s.Sought() {
		if i > 0 {
			runs = append(runs, wire.Run{Text: ", "})
		}
		runs = append(runs, formula(&notation.Name{Name: f.Name}), wire.Run{Text: "\u00a0=\u00a0"})
		runs = append(runs, s.number(f.Value, f.Error)...)
	}
	return runs
}

// more lists all eigenvalues.
func (s *solved) more() [][]wire.Run {
	if len(s.Eigenvalues) < 2 {
		return nil
	}
	runs := plain("The eigenvalues found, in ascending order: ")
	for i, f := range s.Eigenvalues {
		if i > 0 {
			runs = append(runs, wire.Run{Text: ", "})
		}
		runs = append(runs, s.number(f.Value, f.Error)...)
	}
	return [][]wire.Run{append(runs, wire.Run{Text: ". The largest value of an eigenfunction is 1."})}
}

// modes prints the eigenvalues for a list to choose from.
func (s *solved) modes() []string {
	var list []string
	for i, f := range s.Eigenvalues {
		name := ""
		for _, r := range inText(formula(&notation.Name{Name: f.Name})) {
			name += r.Text
		}
		list = append(list, fmt.Sprintf("%d: %s = %s", i+1, name, short(f.Value)))
	}
	return list
}

// chosen says what the method sentence left open.
func (s *solved) chosen() string {
	family := familyOf(s.method.Family).Title()
	switch s.Method {
	case solver.One:
		if s.method.Name == string(solver.One) && s.method.Nodes > 0 {
			return fmt.Sprintf("The polynomial has degree %d.", s.Degree)
		}
		return fmt.Sprintf("It took one polynomial of degree %d, through %s.", s.Degree,
			words.Count(s.Interior, "interior "+family+" node"))
	case solver.Pieces:
		return fmt.Sprintf("It took %s, with at most %s in each.", words.Count(s.Elements, "piece"),
			words.Count(s.Interior, family+" node"))
	case solver.Differences:
		return fmt.Sprintf("It took %s.", words.Count(s.Interior+1, "step"))
	}
	return ""
}

// used is the method with everything that it left open.
func (s *solved) used() wire.Method {
	m := wire.Method{Name: string(s.Method), Nodes: s.Interior, Digits: s.method.Digits, Mode: s.method.Mode}
	switch s.Method {
	case solver.Differences:
		m.Order = s.method.Order
	case solver.Pieces:
		m.Family, m.Elements = s.method.Family, s.Elements
	default:
		m.Family = s.method.Family
	}
	return m
}

// table is the node table, printed as the native command prints it.
func (s *solved) table() *wire.Table {
	t := table.New(s.Solution, nil)
	in := func(head []wire.Run, name string, derivative int) []wire.Run {
		if unit := s.sheet.Unit(name, derivative); unit != "" {
			head = append(head, wire.Run{Text: " in " + unit})
		}
		return head
	}
	x := s.Problem.VariableName()
	w := &wire.Table{Columns: [][]wire.Run{in(inText(s.variable()), x, 0)}}
	for i, u := range s.Problem.Unknowns {
		for k := range u.Order {
			w.Columns = append(w.Columns, in(inText(s.symbol(entry{0, i, k}, false)), u.Name, k))
		}
	}
	for i := range t.Rows {
		row := make([]wire.Cell, len(t.Columns))
		for j := range row {
			d := t.Cell(i, j)
			if j == 0 {
				d = t.Place(i)
			}
			row[j] = wire.Cell{Sure: d.Firm, Doubtful: d.Doubtful, Power: d.Exponent}
		}
		w.Rows = append(w.Rows, row)
	}
	return w
}

// value tells the solution at a point that was typed.
func (s *solved) value(point string, brief bool) *wire.Point {
	x, fault := s.point(point)
	if fault != "" {
		return &wire.Point{Fault: fault}
	}
	var runs []wire.Run
	if brief {
		runs = append(runs, s.variable(), wire.Run{Text: "\u00a0=\u00a0"})
		runs = append(runs, honest(x, s.width()*1e-5)...)
	}
	for i, u := range s.Problem.Unknowns {
		if lo, hi := s.Problem.Counts(i); x < lo || x > hi {
			continue
		}
		for k := range u.Order {
			if brief && k > 0 {
				break
			}
			if len(runs) > 0 {
				runs = append(runs, wire.Run{Text: ", "})
			}
			runs = append(runs, s.state(entry{x, i, k}, false, honest)...)
		}
	}
	if brief {
		runs = append(runs, wire.Run{Text: ", residual " + rough(s.drawing().ResidualAt(x))})
	}
	return &wire.Point{Runs: runs}
}

func (s *solved) width() float64 { a, b := s.ab(); return b - a }

// point reads a point of the interval: a number or a formula in the sheet's constants.
func (s *solved) point(text string) (x float64, fault string) {
	at, err := s.sheet.Points(text)
	switch {
	case err != nil:
		return 0, firstFault(err)
	case len(at) != 1:
		return 0, "Give one point."
	}
	return at[0], ""
}
