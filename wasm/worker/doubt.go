package worker

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"nodespan/expr/notation"
	"nodespan/expr/numbers"
	"nodespan/expr/typeset"
	"nodespan/expr/words"
	"nodespan/solver"
	"nodespan/solver/agree"
	"nodespan/solver/slips"
	"nodespan/solver/table"
	"nodespan/wasm/wire"
)

// Second opinions: other methods, the sheet's exact solution, the reader's own numbers.

//go:noinline
func quiet(text string) wire.Verdict { return wire.Verdict{Text: words.Sentence(text)} }

//go:noinline
func loud(text string) wire.Verdict { return wire.Verdict{Text: words.Sentence(text), Loud: true} }

// agreement solves by other methods and says to how many digits they agree, at a point too where one is given.
func (s *solved) agreement(point string) *wire.Agreement {
	var o agree.Options
	if point != "" {
		x, fault := s.point(point)
		if fault != "" {
			return &wire.Agreement{Fault: fault}
		}
		o.At = []float64{x}
	}
	r := agree.Compare(s.Solution, o)
	w := &wire.Agreement{}
	x := s.Problem.VariableName()
	for _, c := range r.Checks {
		switch {
		case !c.Solution.Usable():
			w.Lines = append(w.Lines, quiet(capitalised(c.How)+" gave no answer to compare with: "+c.Solution.Message))
		case c.Excess > 1 && math.IsNaN(c.ExcessX):
			w.Lines = append(w.Lines, loud(fmt.Sprintf("%s give sought numbers that differ by %s times what the "+
				"error estimates allow. Trust neither before you know why", capitalised(c.Subject()), rough(c.Excess))))
		case c.Excess > 1:
			w.Lines = append(w.Lines, loud(fmt.Sprintf("%s differ by up to %s of the largest value, %s times what "+
				"the error estimates allow, at %s = %s. Trust neither before you know why",
				capitalised(c.Subject()), rough(c.Largest), rough(c.Excess), x, short(c.ExcessX))))
		default:
			text := fmt.Sprintf("%s agree with it to %s everywhere", capitalised(c.Subject()), digitsOf(int(c.Digits)))
			for _, q := range c.Points {
				text += fmt.Sprintf(", and in %s(%s) to %s", s.Problem.Unknowns[q.Unknown].Name, short(q.X),
					digitsOf(int(q.Digits)))
			}
			for i, digits := range c.Sought {
				text += fmt.Sprintf(", and in %s to %s", written(s.Problem.Parameters[i].Name), digitsOf(int(digits)))
			}
			w.Lines = append(w.Lines, quiet(text))
		}
	}
	return w
}

// written is a name as it is written in a sentence: with Greek letters, its parts on one level.
func written(name string) string {
	var b strings.Builder
	typeset.Math(false, typeset.MathML(&notation.Name{Name: name})).Walk(func(e *wire.Element) {
		b.WriteString(e.Text)
	})
	return b.String()
}

//go:noinline
func capitalised(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// short writes a place with six digits.
func short(x float64) string { return table.Honest(rounded(x), 0).Prose().String() }

// exactness judges the sheet's exact solution and measures the computed one against it; nil where the sheet gives none.
func (s *solved) exactness() *wire.Exactness {
	jet := s.sheet.ExactJet()
	if jet == nil {
		return nil
	}
	r := agree.Exact(s.Solution, jet)
	w := &wire.Exactness{}
	p, n := s.Problem, agree.Numbers{Size: rough, Place: short}
	if faults := r.Faults(p, n); faults != "" {
		w.Lines = append(w.Lines, loud(faults))
	}
	if math.IsNaN(r.X) {
		return w
	}
	w.Lines = append(w.Lines, quiet(r.Measured(p, n)))
	w.Label = p.Unknowns[r.Unknown].Name + " − exact"
	for _, q := range r.Curve {
		w.X, w.Y = append(w.X, q.X), append(w.Y, q.Y)
	}
	return w
}

// judged keeps the last search for a slip: a second table of the same sheet costs little.
type judged struct {
	text string
	mode int
	*slips.Search
}

// mostCompared bounds the rows that are shown.
const mostCompared = 400

// compare compares a reader's own numbers with the solution.
func (h *Handler) compare(s *solved, text string) *wire.Comparison {
	given, err := numbers.Read(text)
	if err != nil {
		return &wire.Comparison{Fault: words.Sentence(err.Error())}
	}
	if h.judged == nil || h.judged.text != s.text || h.judged.mode != s.method.Mode {
		solution := solver.MustSolve(s.sheet.Problem(), solver.Options{Tol: math.Min(s.Tol, numbers.Tolerance),
			Mode: s.method.Mode})
		h.judged = &judged{s.text, s.method.Mode, slips.NewSearch(solution,
			numbers.Options(s.sheet))}
	}
	v, err := h.judged.Judge(given)
	if err != nil {
		return &wire.Comparison{Fault: words.Sentence(err.Error())}
	}
	w := &wire.Comparison{Verdict: quiet(v.Sentence), Head: []string{s.Problem.VariableName(), "", "yours", "solution",
		"error"}}
	w.Verdict.Loud = v.Slip != ""
	largest := map[string]float64{}
	for _, r := range v.Rows {
		for _, v := range []float64{r.Given, r.Solution} {
			if !math.IsNaN(v) { // as outside the interval
				largest[r.Column] = math.Max(largest[r.Column], math.Abs(v))
			}
		}
	}
	for i, r := range v.Rows {
		k := slices.IndexFunc(w.Columns, func(o wire.OwnNumbers) bool { return o.Label == r.Column })
		if k < 0 {
			k = len(w.Columns)
			w.Columns = append(w.Columns, wire.OwnNumbers{Label: r.Column})
		}
		w.Columns[k].X, w.Columns[k].Y = append(w.Columns[k].X, r.X), append(w.Columns[k].Y, r.Given)
		if i >= mostCompared {
			continue
		}
		row := wire.ComparedRow{Wrong: !r.Right, Cells: []string{
			table.Honest(r.X, 0).String(), r.Column, table.Honest(r.Given, 0).String(), "outside", "",
		}}
		if !math.IsNaN(r.Solution) {
			// To nine digits of the largest value, which is what the solution was solved for.
			row.Cells[3] = table.Honest(r.Solution, numbers.Tolerance*largest[r.Column]).String()
			row.Cells[4] = rough(r.Error)
			if math.Abs(r.Error) < numbers.Tolerance*largest[r.Column] {
				row.Cells[4] = "0"
			}
		}
		w.Rows = append(w.Rows, row)
	}
	return w
}
