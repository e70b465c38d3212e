package handout

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"nodespan/expr/lesson"
	"nodespan/expr/notation"
	"nodespan/solver/table"
	"nodespan/solver/working"
)

// matrix is a table of one matrix of the working, or of several with the same rows side by side.
type matrix struct {
	name          string // of a matrix that has more than one column and stands first
	part          string // which columns, of a matrix that is set in parts
	characters    int    // about how many wide it is, or the widest of its parts
	rows, columns []lesson.Label
	begins        []int      // the columns at which further matrices begin
	cells         [][]string // nil: blank
	values        [][]float64
	labels        []string // of the rows, as the working has them
}

// mostColumns is the largest number of columns of a matrix that can be read on paper.
const mostColumns = 30

// tables makes the tables of a step. What the step's formulas say already is not told again.
func (h *Handout) tables(l *lesson.Lesson, s lesson.Step, blank bool) []matrix {
	var out []matrix
	for _, name := range s.Matrices {
		m := l.Working.Matrix(name)
		if !blank && (name == "polynomial" || s.ID == working.StepPolynomial) {
			continue
		}
		if len(m.Columns) > mostColumns || len(m.Rows) > mostColumns {
			out = append(out, matrix{name: m.Name, part: fmt.Sprintf("%d rows and %d columns, too many for paper",
				len(m.Rows), len(m.Columns))})
			continue
		}
		next := h.matrix(m, blank)
		if n := len(out); n > 0 && out[n-1].joins(&next) {
			out[n-1].join(&next)
			h.figures(&out[n-1])
			continue
		}
		out = append(out, next)
	}
	var parts []matrix
	for i := range out {
		parts = append(parts, out[i].parts()...)
	}
	return parts
}

// described are the tables whose rows and columns say all, so that their names would say nothing more.
var described = map[string]bool{"polynomial": true, "roots": true, "coef": true, "table": true, "check": true,
	"check_conditions": true}

func (h *Handout) matrix(m *working.Matrix, blank bool) matrix {
	b := matrix{name: m.Name, labels: m.Rows}
	for _, r := range m.Rows {
		b.rows = append(b.rows, h.labels.Set(r))
	}
	for _, c := range m.Columns {
		b.columns = append(b.columns, h.labels.Set(c))
	}
	switch {
	case described[m.Name]:
		b.name = ""
	case len(m.Columns) == 1: // a vector is named by its heading
		b.columns[0] = lesson.Label{Formula: formula(&notation.Name{Name: lesson.Symbol(m.Name)})}
		b.name = ""
	}
	if blank {
		return b
	}
	for i, row := range m.Values {
		b.values = append(b.values, make([]float64, len(row)))
		for j := range row {
			b.values[i][j] = m.Shown(i, j)
		}
	}
	h.figures(&b)
	return b
}

// figures prints the entries of a matrix, with fewer figures where it is too wide for paper with all.
func (h *Handout) figures(b *matrix) {
	if b.values == nil {
		return
	}
	for figures := mostFigures; figures >= leastFigures; figures-- {
		b.cells = [][]string{}
		for _, row := range b.values {
			var cells []string
			for _, v := range row {
				cells = append(cells, h.entry(v, figures))
			}
			b.cells = append(b.cells, cells)
		}
		if b.width() <= widest {
			return
		}
	}
}

const mostFigures, leastFigures = 6, 4

// joins reports whether a matrix, a vector or another of the same rows, can stand beside this one.
func (b *matrix) joins(next *matrix) bool {
	return next.name == "" && b.part == "" && slices.Equal(b.labels, next.labels) &&
		(b.cells == nil) == (next.cells == nil) && b.width()+next.columnWidth(0) <= widest
}

func (b *matrix) join(next *matrix) {
	b.begins = append(b.begins, len(b.columns))
	b.columns = append(b.columns[:len(b.columns):len(b.columns)], next.columns...)
	for i, row := range next.values {
		b.values[i] = append(b.values[i], row...)
	}
}

// widest is how many characters wide a matrix may be on paper, in the smallest of the sizes in use.
const widest = 104

// width is about how many characters wide a matrix is. Labels are set smaller than entries.
func (b *matrix) width() int {
	n := width(b.name)
	for _, r := range b.rows {
		n = max(n, r.Width()*9/10)
	}
	for j := range b.columns {
		n += b.columnWidth(j)
	}
	return n
}

func (b *matrix) columnWidth(j int) int {
	w := b.columns[j].Width() * 9 / 10
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
	if n <= 1 {
		b.characters = b.width()
		return []matrix{*b}
	}
	each := (len(b.columns) + n - 1) / n
	var out []matrix
	for from := 0; from < len(b.columns); from += each {
		to := min(from+each, len(b.columns))
		p := matrix{name: b.name, part: fmt.Sprintf("columns %d to %d of %d", from+1, to, len(b.columns)),
			rows: b.rows, columns: b.columns[from:to]}
		for _, row := range b.cells {
			p.cells = append(p.cells, row[from:to])
		}
		for _, begin := range b.begins {
			if from < begin && begin < to {
				p.begins = append(p.begins, begin-from)
			}
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
	if scientific := mantissa + "e" + strconv.Itoa(n); width(scientific) < width(plain) && (n < -3 || n > 5) {
		plain = scientific
	}
	return h.digits.Point(table.Digits{Firm: plain}, table.TSV).String()
}

// width is about how many digits wide a number or a name is; a power of ten is set as × 10 with its exponent raised.
func width(s string) int {
	n := utf8.RuneCountInString(s)
	if _, power, ok := strings.Cut(s, "e"); ok && power != "" && strings.Trim(power, "-0123456789") == "" {
		n += 2 - len(power)*2/5
	}
	return n
}
