package worker

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"nodespan/expr/lesson"
	"nodespan/expr/sheet"
	"nodespan/expr/typeset"
	"nodespan/expr/words"
	"nodespan/solver"
	"nodespan/solver/working"
	"nodespan/wasm/wire"
)

// The working: every matrix of one polynomial, as it is taught.

// taught keeps the last working, so that questions about its entries cost nothing.
type taught struct {
	text   string
	nodes  int
	family string
	*lesson.Lesson
}

// interior is the number of nodes that a working has, and their family: those of the method sentence where it speaks of
// a polynomial, those of the answer where the working is to follow it and can; 0 is the usual number.
func interior(q wire.Request) (n int, family string) {
	m := q.Method
	switch named := m.Name == string(solver.One) || m.Name == string(solver.Pieces); {
	case named && m.Nodes > 0:
		return m.Nodes, m.Family
	case q.Follow && q.Used.Name == string(solver.One) && q.Used.Nodes <= working.Shown:
		return q.Used.Nodes, q.Used.Family
	}
	return 0, m.Family
}

// follows tells in a sentence why the working takes another number of nodes than the answer did, and the number that
// it could take to follow it, 0 where it cannot.
func follows(q wire.Request) (why string, n int) {
	usual, took := words.Count(lesson.DefaultNodes, "interior node"), words.Count(q.Used.Nodes, "interior node")
	followed, _ := interior(q)
	switch {
	case q.Used.Name == "" || followed > 0 && !q.Follow:
		return "", 0
	case q.Used.Name == string(solver.Pieces):
		return fmt.Sprintf("The answer took %s; here is one polynomial on %s.",
			words.Count(q.Used.Elements, "piece"), usual), 0
	case q.Used.Name != string(solver.One):
		return fmt.Sprintf("The answer took finite differences; here is one polynomial on %s.", usual), 0
	case q.Used.Nodes == lesson.DefaultNodes:
		return "", 0
	case q.Used.Nodes > working.Shown:
		return fmt.Sprintf("The answer took %s, whose matrices are too large to be read; here are %d, on which every "+
			"step is the same.", took, lesson.DefaultNodes), 0
	case followed > 0:
		return fmt.Sprintf("These are the %s that the answer took.", took), q.Used.Nodes
	}
	return fmt.Sprintf("The answer took %s; here are %d, enough to show every step, with matrices that are quickly "+
		"read.", took, lesson.DefaultNodes), q.Used.Nodes
}

// lesson lays out the working of a request's sheet; the string says why there is none.
func (h *Handler) lesson(q wire.Request) (*lesson.Lesson, string) {
	n, family := interior(q)
	if t := h.taught; t != nil && t.text == q.Sheet && t.nodes == n && t.family == family {
		return t.Lesson, ""
	}
	if n > working.MaxNodes {
		return nil, fmt.Sprintf("The working is laid out for up to %d interior nodes; choose fewer of them.",
			working.MaxNodes)
	}
	sh, err := sheet.Read(q.Sheet, sheet.Options{})
	if err != nil {
		return nil, "There is no working of a sheet that cannot be read."
	}
	l, err := lesson.New(sh, lesson.Options{Nodes: n, Family: familyOf(family)})
	if err != nil {
		return nil, "There is no working: " + strings.TrimSuffix(err.Error(), ".") + "."
	}
	h.taught = &taught{q.Sheet, n, family, l}
	return l, ""
}

// teach answers what is asked about the working.
func (h *Handler) teach(q wire.Request, last *wire.Reply) {
	l, fault := h.lesson(q)
	switch {
	case q.Kind == wire.Working && fault != "":
		last.Lesson = &wire.Lesson{Fault: fault}
	case q.Kind == wire.Working && l.Working.Options.Nodes > working.Shown:
		last.Lesson = &wire.Lesson{Fault: fmt.Sprintf("With %d interior nodes the matrices are too large to be read "+
			"here; they are shown for up to %d.",
			l.Working.Options.Nodes, working.Shown)}
	case q.Kind == wire.Working:
		last.Lesson = laidOut(l)
		last.Lesson.Why, last.Lesson.Follow = follows(q)
	case fault == "" && q.Entry != nil:
		last.Provenance = came(l, *q.Entry)
	}
}

// laidOut makes a lesson ready to be shown.
func laidOut(l *lesson.Lesson) *wire.Lesson {
	w := &wire.Lesson{}
	labels := lesson.NewLabels(l.Sheet, l.Working.Options.Symbol)
	taken := make([]int, len(l.Working.Replaced))
	for i, t := range l.Working.Replaced {
		taken[i] = t.Row
	}
	for _, s := range l.Steps {
		t := wire.LessonStep{ID: string(s.ID), Title: s.Title, Sentence: s.Sentence}
		for _, f := range s.Formulas {
			t.Formulas = append(t.Formulas, set(typeset.Math(true, f.MathML)))
		}
		add := func(name, note string, rows []int) {
			m := matrix(l.Working.Matrix(name), labels)
			m.Note, m.Taken = note, rows
			t.Matrices = append(t.Matrices, m)
		}
		if s.ID == working.StepRows {
			add("A_all", "before", taken)
			add("b_all", "before", taken)
			add("A", "after", taken)
			add("b", "after", taken)
		} else {
			for _, name := range s.Matrices {
				add(name, "", nil)
			}
		}
		w.Steps = append(w.Steps, t)
	}
	return w
}

func matrix(m *working.Matrix, labels *lesson.Labels) wire.LessonMatrix {
	w := wire.LessonMatrix{Name: m.Name, Rows: labelsOf(m.Rows, labels), Columns: labelsOf(m.Columns, labels)}
	for i, row := range m.Values {
		cells := make([]string, len(row))
		for j := range row {
			if v := m.Shown(i, j); !math.IsNaN(v) {
				cells[j] = sixFigures(v)
			}
		}
		w.Cells = append(w.Cells, cells)
	}
	return w
}

// labelsOf sets the labels of rows or columns.
func labelsOf(names []string, labels *lesson.Labels) []wire.Label {
	var out []wire.Label
	for _, name := range names {
		l := labels.Set(name)
		w := wire.Label{Text: name, Words: l.Words}
		if l.Formula.MathML != nil {
			w.Math = set(typeset.Math(false, l.Formula.MathML))
		}
		out = append(out, w)
	}
	return out
}

// sixFigures prints an entry of a matrix as the plain text of the working does.
func sixFigures(v float64) string {
	if v == 0 {
		return "0" // and not -0
	}
	s := strconv.FormatFloat(v, 'g', 6, 64)
	return strings.Replace(strings.Replace(s, "e-0", "e-", 1), "e+0", "e", 1)
}

// came tells how an entry came about; nil where there is no such entry.
func came(l *lesson.Lesson, e wire.Entry) *wire.Provenance {
	m := l.Working.Matrix(e.Matrix)
	if m == nil || e.Row < 0 || e.Row >= len(m.Rows) || e.Col < 0 || e.Col >= len(m.Columns) {
		return nil
	}
	o := l.Working.Explain(e.Matrix, e.Row, e.Col)
	w := &wire.Provenance{Entry: e, Formula: o.Formula, Numbers: o.Numbers}
	for _, f := range o.From {
		w.From = append(w.From, wire.Entry{Matrix: f.Matrix, Row: f.Row, Col: f.Col})
	}
	return w
}
