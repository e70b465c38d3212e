package worker

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
	"nodespan/expr/typeset"
	"nodespan/solver"
	"nodespan/solver/table"
	"nodespan/wasm/wire"
)

// answer puts a solution into words, curves and a table.
func (s *solved) answer() *wire.Answer {
	a := &wire.Answer{Status: string(s.Status), Usable: s.Usable(), Variable: []wire.Run{s.variable()}}
	if !a.Usable {
		a.Headline = plain(sentence(s.Message))
		return a
	}
	a.Headline = s.headline()
	switch s.Status {
	case solver.Solved:
		a.Notes = append(a.Notes, plain(standing(s.Error)+", "+strings.TrimSuffix(s.Message, ".")+"."))
	case solver.Short:
		a.Headline = append(plain("Short of what was asked: "), a.Headline...)
		a.Notes = append(a.Notes, plain(sentence(s.Message)))
	default:
		a.Headline = plain(sentence(s.Message))
		a.Notes = append(a.Notes, plain("The figure and the table show the best that was reached; they are not an answer."))
	}
	if found := s.found(); found != nil {
		a.Notes = append(a.Notes, found)
	}
	if s.Status != solver.Failed {
		if ends := s.ends(); ends != nil {
			a.Notes = append(a.Notes, ends)
		}
	}
	if e, ok := table.ExactError(s.Solution, s.sheet.Exact); ok {
		a.Notes = append(a.Notes, plain("Against the sheet’s exact solution the largest difference is "+rough(e)+"."))
	}
	a.Chosen = s.chosen()
	a.Curves = s.curves(0, 0)
	a.Table = s.table()
	return a
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
		return "No digit stands everywhere"
	case n == 1:
		return "One digit stands everywhere"
	}
	words := [...]string{2: "Two", 3: "Three", 4: "Four", 5: "Five", 6: "Six", 7: "Seven", 8: "Eight", 9: "Nine", 10: "Ten",
		11: "Eleven", 12: "Twelve", 13: "Thirteen", 14: "Fourteen", 15: "Fifteen"}
	return words[n] + " digits stand everywhere"
}

// number returns the runs of a number in prose, with honest digits.
func number(value, err float64) []wire.Run {
	d := table.Honest(value, err).Prose()
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

// formula is a tree as a run.
func formula(n notation.Node) wire.Run {
	return wire.Run{Math: set(typeset.Math(false, typeset.MathML(n)))}
}

func (s *solved) variable() wire.Run {
	return formula(&notation.Name{Name: table.Variable(s.Problem)})
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
		j.At = numeral(e.x)
	}
	return formula(j)
}

// state says "y'(0) = 1.234".
func (s *solved) state(e entry, point bool) []wire.Run {
	jet, err := make([]float64, s.Problem.Jet()), make([]float64, s.Problem.Jet())
	s.At(e.x, jet)
	s.ErrorAt(e.x, err)
	k := s.Problem.JetOffset(e.unknown) + e.derivative
	return append([]wire.Run{s.symbol(e, point), {Text: "\u00a0=\u00a0"}}, number(jet[k], err[k])...)
}

// pinned reports whether a condition alone fixes the entry, so that it is known and not found.
func (s *solved) pinned(e entry) bool {
	for _, c := range s.Problem.Conditions {
		if len(c.At) == 1 && c.At[0].X == e.x && c.At[0].Unknown == e.unknown && c.At[0].Derivative == e.derivative {
			return true
		}
	}
	return false
}

// ab returns the ends of the interval as it was solved.
func (s *solved) ab() (a, b float64) { return s.Mesh[0], s.Mesh[len(s.Mesh)-1] }

// notable is the number that the headline tells: the first unknown at an end where nothing fixes
// it, else in the middle.
func (s *solved) notable() entry {
	a, b := s.ab()
	for _, x := range []float64{a, b} {
		if e := (entry{x: x}); !s.pinned(e) {
			return e
		}
	}
	return entry{x: a + (b-a)/2}
}

func (s *solved) headline() []wire.Run { return s.state(s.notable(), true) }

// ends lists what was found at the ends: values, slopes, moments that no condition fixes.
func (s *solved) ends() []wire.Run {
	const most = 6
	a, b := s.ab()
	shown := s.notable()
	var runs []wire.Run
	count := 0
	for _, x := range []float64{a, b} {
		for i, u := range s.Problem.Unknowns {
			for k := range u.Order {
				e := entry{x, i, k}
				if e == shown || s.pinned(e) || count == most {
					continue
				}
				if count > 0 {
					runs = append(runs, wire.Run{Text: ", "})
				}
				count++
				runs = append(runs, s.state(e, true)...)
			}
		}
	}
	if count == 0 {
		return nil
	}
	return append(append(plain("At the ends: "), runs...), wire.Run{Text: "."})
}

// found lists the sought numbers.
func (s *solved) found() []wire.Run {
	list := s.Found
	if s.Eigenvalues != nil {
		list = s.Eigenvalues
	}
	if len(list) == 0 {
		return nil
	}
	runs := plain("Found: ")
	for i, f := range list {
		if i > 0 {
			runs = append(runs, wire.Run{Text: ", "})
		}
		runs = append(runs, formula(&notation.Name{Name: f.Name}), wire.Run{Text: "\u00a0=\u00a0"})
		runs = append(runs, number(f.Value, f.Error)...)
	}
	return append(runs, wire.Run{Text: "."})
}

// chosen says what the method sentence left open.
func (s *solved) chosen() string {
	family := familyNames[families[s.method.Family]]
	switch s.Method {
	case solver.One:
		if s.method.Name == string(solver.One) && s.method.Nodes > 0 {
			return fmt.Sprintf("The polynomial has degree %d.", s.Degree)
		}
		return fmt.Sprintf("It took one polynomial of degree %d, through %s.", s.Degree, many(s.Interior, "interior "+family+" node"))
	case solver.Pieces:
		return fmt.Sprintf("It took %s, with at most %s in each.", many(s.Elements, "piece"), many(s.Interior, family+" node"))
	case solver.Differences:
		return fmt.Sprintf("It took %s.", many(s.Interior+1, "step"))
	}
	return ""
}

func many(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

// table is the node table, printed as the native command prints it.
func (s *solved) table() *wire.Table {
	t := table.New(s.Solution, nil)
	w := &wire.Table{Columns: [][]wire.Run{{s.variable()}}}
	for i, u := range s.Problem.Unknowns {
		for k := range u.Order {
			w.Columns = append(w.Columns, []wire.Run{s.symbol(entry{0, i, k}, false)})
		}
	}
	for i := range t.Rows {
		row := make([]wire.Cell, len(t.Columns))
		for j := range row {
			d := t.Cell(i, j)
			row[j] = wire.Cell{Sure: d.Firm, Doubtful: d.Doubtful, Power: d.Exponent}
		}
		w.Rows = append(w.Rows, row)
	}
	return w
}

// copyAs writes the node table for other programs, and counts its rows.
func (s *solved) copyAs(f table.Format) (string, int) {
	known := false
	for _, g := range table.Formats() {
		known = known || f == g
	}
	if !known {
		return "", 0
	}
	t := table.New(s.Solution, nil)
	var b bytes.Buffer
	if err := t.Write(&b, f); err != nil {
		panic(err) // a buffer takes everything
	}
	return b.String(), len(t.Rows)
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
		runs = append(runs, number(x, s.width()*1e-5)...)
	}
	for i, u := range s.Problem.Unknowns {
		for k := range u.Order {
			if brief && k > 0 {
				break
			}
			if len(runs) > 0 {
				runs = append(runs, wire.Run{Text: ", "})
			}
			runs = append(runs, s.state(entry{x, i, k}, false)...)
		}
	}
	if brief {
		runs = append(runs, wire.Run{Text: ", residual " + rough(s.residual(x))})
	}
	return &wire.Point{Runs: runs}
}

func (s *solved) width() float64 { a, b := s.ab(); return b - a }

// point reads a point of the interval: a number or a formula in the sheet's constants.
func (s *solved) point(text string) (x float64, fault string) {
	values, names := map[string]float64{"pi": math.Pi, "e": math.E}, &notation.Names{Constants: map[string]bool{}}
	for _, c := range s.sheet.Constants {
		values[c.Name] = c.Value
		names.Constants[c.Name] = true
	}
	n, err := notation.ParseExpr(text, names)
	if err == nil {
		x, err = tape.Govaluate(n, func(n notation.Node) (float64, bool) {
			name, ok := n.(*notation.Name)
			if !ok {
				return 0, false
			}
			v, ok := values[name.Name]
			return v, ok
		})
	}
	if err != nil {
		r := faults(err)
		if e, ok := err.(*notation.Error); ok {
			r = faults(notation.ErrorList{e})
		}
		f := r.Faults[0]
		if f.Hint != "" {
			f.Message += "; " + f.Hint
		}
		return 0, sentence(f.Message)
	}
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, "This is not a finite number."
	}
	a, b := s.ab()
	for _, end := range []float64{a, b} {
		if math.Abs(x-end) <= 4e-16*math.Max(math.Abs(a), math.Abs(b)) {
			return end, ""
		}
	}
	if x < a || x > b {
		return 0, fmt.Sprintf("%s = %s is outside the interval from %s to %s.", table.Variable(s.Problem),
			table.Honest(x, 0).Prose(), table.Honest(a, 0).Prose(), table.Honest(b, 0).Prose())
	}
	return x, ""
}
