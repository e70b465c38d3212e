package lesson

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"nodespan/solver/table"
	"nodespan/solver/working"
)

//go:noinline
func num(v float64) string   { return working.Figures(v, 6) }
func short(v float64) string { return working.Figures(v, 4) }

// bracketed puts a negative number in brackets.
func bracketed(v float64) string {
	if v < 0 {
		return "(" + num(v) + ")"
	}
	return num(v)
}

// WriteText writes the working as plain text: six figures, one matrix under the other.
func (l *Lesson) WriteText(w io.Writer) error {
	b := bufio.NewWriter(w)
	for i, s := range l.Steps {
		fmt.Fprintf(b, "%d. %s\n", i+1, s.Title)
		wrap(b, s.Sentence)
		for _, f := range s.Formulas {
			fmt.Fprintf(b, "    %s\n", f.Plain)
		}
		for _, name := range s.Matrices {
			writeMatrix(b, l.Working.Matrix(name))
		}
		fmt.Fprintln(b)
	}
	return b.Flush()
}

// wrap writes a paragraph in lines of at most 100 characters.
func wrap(w io.Writer, s string) {
	n := 0
	for i, word := range strings.Fields(s) {
		k := utf8.RuneCountInString(word)
		if i > 0 && n+1+k > 100 {
			fmt.Fprintln(w)
			n = 0
		} else if i > 0 {
			fmt.Fprint(w, " ")
			n++
		}
		fmt.Fprint(w, word)
		n += k
	}
	fmt.Fprintln(w)
}

func writeMatrix(w io.Writer, m *working.Matrix) {
	cells := [][]string{append([]string{""}, m.Columns...)}
	for i, r := range m.Values {
		row := []string{m.Rows[i]}
		for j := range r {
			if v := m.Shown(i, j); math.IsNaN(v) {
				row = append(row, "·")
			} else {
				row = append(row, num(v))
			}
		}
		cells = append(cells, row)
	}
	width := make([]int, len(cells[0]))
	for _, r := range cells {
		for j, c := range r {
			width[j] = max(width[j], utf8.RuneCountInString(c))
		}
	}
	fmt.Fprintf(w, "\n    %s\n", m.Name)
	for _, r := range cells {
		var line strings.Builder
		line.WriteString("    ")
		for j, c := range r {
			pad := strings.Repeat(" ", width[j]-utf8.RuneCountInString(c))
			if j == 0 {
				line.WriteString(c + pad)
			} else {
				line.WriteString("  " + pad + c)
			}
		}
		fmt.Fprintln(w, strings.TrimRight(line.String(), " "))
	}
}

// Reply is the working as other programs read it.
type Reply struct {
	Steps    []ReplyStep   `json:"steps"`
	Matrices []ReplyMatrix `json:"matrices"`
	Routes   []ReplyRoute  `json:"routes"`
	// Columns and Rows are the node table.
	Columns []string         `json:"columns"`
	Rows    [][]table.Number `json:"rows"`
}

// ReplyStep is a step in words; formulas are plain text.
type ReplyStep struct {
	ID       string   `json:"id"`
	Title    string   `json:"title"`
	Sentence string   `json:"sentence"`
	Formulas []string `json:"formulas"`
	Matrices []string `json:"matrices"`
}

// ReplyMatrix is a matrix row by row; null marks a place without a number.
type ReplyMatrix struct {
	Name    string           `json:"name"`
	Rows    []string         `json:"rows"`
	Columns []string         `json:"columns"`
	Values  [][]table.Number `json:"values"`
}

// ReplyRoute is what a route cost in digits.
type ReplyRoute struct {
	Name     string       `json:"name"`
	Powers   table.Number `json:"conditionPowers"`
	Operator table.Number `json:"conditionOperator"`
	Lost     table.Number `json:"digitsLostExpected"`
	Kept     table.Number `json:"digitsKept"`
}

// NewReply puts the working together for other programs.
func (l *Lesson) NewReply() *Reply {
	r := &Reply{Columns: l.Working.Columns, Rows: numbers(l.Working.Rows)}
	for _, s := range l.Steps {
		t := ReplyStep{ID: string(s.ID), Title: s.Title, Sentence: s.Sentence, Formulas: []string{},
			Matrices: append([]string{}, s.Matrices...)}
		for _, f := range s.Formulas {
			t.Formulas = append(t.Formulas, f.Plain)
		}
		r.Steps = append(r.Steps, t)
	}
	for _, m := range l.Working.Matrices {
		r.Matrices = append(r.Matrices, ReplyMatrix{m.Name, m.Rows, m.Columns, numbers(m.Values)})
	}
	for _, t := range l.Working.Routes {
		r.Routes = append(r.Routes, ReplyRoute{t.Name, table.Number(t.Powers), table.Number(t.Operator),
			table.Number(t.Lost), table.Number(t.Kept)})
	}
	return r
}

func numbers(rows [][]float64) [][]table.Number {
	out := make([][]table.Number, len(rows))
	for i, r := range rows {
		out[i] = make([]table.Number, len(r))
		for j, v := range r {
			out[i][j] = table.Number(v)
		}
	}
	return out
}

// WriteJSON writes the working as one line of JSON.
func (l *Lesson) WriteJSON(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(l.NewReply())
}
