package slips

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Cell is a number as it was written.
type Cell struct {
	Value float64
	// Decimals is the place of the last digit written: 3 for 0.125 and 12.500, -2 for 12e2.
	Decimals int
	// Figures is the number of significant digits written.
	Figures int
}

// Table is a pasted table: a column x and one or more columns of values.
type Table struct {
	// Header holds the names of all columns, x first; nil without a header.
	Header []string
	X      []Cell
	// Y holds the columns of values; each has as many entries as X.
	Y [][]Cell
}

// Limits of a table.
const (
	mostRows    = 10_000
	mostColumns = 64
)

// Read reads a table of numbers: a row a line, columns parted by tabs, semicolons, commas or blanks, or by | or & as in Markdown
// and LaTeX. A decimal comma is read where it cannot be anything else. Names of columns may stand in the first row. Empty lines
// and lines that begin with # are left out. The error is one sentence with the line.
func Read(text string) (*Table, error) {
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\ufeff", "", "\u00a0", " ", "\u2009", "", "\u202f", "", "−", "-", "–", "-", `\\`, "", `\hline`, "").Replace(text)
	var lines []string
	var places []int
	for i, l := range strings.Split(text, "\n") {
		if s := strings.TrimSpace(l); s == "" || s[0] == '#' || ruled(s) {
			continue
		}
		lines, places = append(lines, l), append(places, i+1)
	}
	if len(lines) == 0 {
		return nil, fmt.Errorf("there are no numbers; a table has a column x and a column y")
	}
	cut, decimalComma, err := separator(lines)
	if err != nil {
		return nil, err
	}
	t := &Table{}
	width := 0
	for i, l := range lines {
		fields := cut(l)
		row := make([]Cell, len(fields))
		bad := -1
		for j, f := range fields {
			var ok bool
			if row[j], ok = number(f, decimalComma); !ok && bad < 0 {
				bad = j
			}
		}
		if bad >= 0 && i == 0 {
			if _, ok := number(fields[0], decimalComma); !ok || len(fields) == 1 {
				t.Header = fields
				continue
			}
		}
		switch {
		case bad >= 0:
			return nil, fmt.Errorf("line %d: “%s” is not a number", places[i], fields[bad])
		case len(fields) < 2:
			return nil, fmt.Errorf("line %d has one number; a row has an x and a y", places[i])
		case len(fields) > mostColumns:
			return nil, fmt.Errorf("line %d has %d columns; at most %d are read", places[i], len(fields), mostColumns)
		case width == 0:
			width = len(fields)
			t.Y = make([][]Cell, width-1)
		case len(fields) != width:
			return nil, fmt.Errorf("line %d has %d columns and the lines before it have %d", places[i], len(fields), width)
		}
		if len(t.X) == mostRows {
			return nil, fmt.Errorf("the table has more than %d rows", mostRows)
		}
		t.X = append(t.X, row[0])
		for j, c := range row[1:] {
			t.Y[j] = append(t.Y[j], c)
		}
	}
	if len(t.X) == 0 {
		return nil, fmt.Errorf("there are names of columns and no numbers below them")
	}
	if t.Header != nil && len(t.Header) != width {
		t.Header = nil // a title, not names
	}
	return t, nil
}

// ruled reports whether a line is the rule of a Markdown table, |---|:--:| or the like, and holds no numbers.
func ruled(line string) bool {
	return strings.Trim(line, "|:-+= \t") == "" && (strings.Contains(line, "--") || strings.Contains(line, "=="))
}

// The shapes of numbers are read by hand: the regexp package weighs 90 KB in the page.

// shape takes a number apart: its digits before and after a mark (0: none found), and whether it is a number at all.
func shape(s string) (before, after int, mark byte, exponent, ok bool) {
	s = strings.TrimPrefix(strings.TrimPrefix(s, "-"), "+")
	digits := func() int {
		n := 0
		for n < len(s) && '0' <= s[n] && s[n] <= '9' {
			n++
		}
		s = s[n:]
		return n
	}
	before = digits()
	if s != "" && (s[0] == '.' || s[0] == ',') {
		mark, s = s[0], s[1:]
		after = digits()
	}
	if s != "" && (s[0] == 'e' || s[0] == 'E') && before+after > 0 {
		s = s[1:]
		if s != "" && (s[0] == '+' || s[0] == '-') {
			s = s[1:]
		}
		if exponent = digits() > 0; !exponent {
			return before, after, mark, false, false
		}
	}
	return before, after, mark, exponent, s == "" && before+after > 0
}

// withComma reports whether s is a number with a decimal comma, such as 0,5.
func withComma(s string) bool {
	_, after, mark, _, ok := shape(s)
	return ok && mark == ',' && after > 0
}

// whole reports whether s is a whole number without mark or exponent.
func whole(s string) bool {
	_, _, mark, exponent, ok := shape(s)
	return ok && mark == 0 && !exponent
}

// separator finds out how the columns are parted, and whether a comma is a decimal comma.
func separator(lines []string) (cut func(string) []string, decimalComma bool, err error) {
	all := strings.Join(lines, "\n")
	by := func(sep string) func(string) []string {
		return func(l string) []string {
			fields := strings.Split(strings.TrimSpace(l), sep)
			if sep == "|" || sep == "\t" || sep == ";" { // a frame, or separators at the end of a line
				for len(fields) > 0 && strings.TrimSpace(fields[0]) == "" && sep == "|" {
					fields = fields[1:]
				}
				for len(fields) > 0 && strings.TrimSpace(fields[len(fields)-1]) == "" {
					fields = fields[:len(fields)-1]
				}
			}
			for i := range fields {
				fields[i] = strings.Trim(strings.TrimSpace(fields[i]), `"$`)
			}
			return fields
		}
	}
	for _, sep := range []string{"|", "&", "\t", ";"} {
		if strings.Contains(all, sep) {
			return by(sep), strings.Contains(all, ",") && !strings.Contains(all, "."), nil
		}
	}
	words := strings.Fields
	if !strings.Contains(all, ",") {
		return words, false, nil
	}
	// Blanks part the columns when every word of every line but the first is a whole number or has a comma inside.
	decimal, several := !strings.Contains(all, "."), false
	for i, l := range lines {
		w := words(l)
		several = several || len(w) > 1
		for _, f := range w {
			if !withComma(f) && !whole(f) && (i > 0 || len(lines) == 1) {
				decimal = false
			}
		}
		if len(w) < 2 && (i > 0 || len(lines) == 1) {
			decimal = false
		}
	}
	if decimal && several {
		return words, true, nil
	}
	// 0,5,1,25: a comma that parts columns and one that marks decimals look the same.
	most, bare := 0, true
	for i, l := range lines {
		if i > 0 || len(lines) == 1 {
			most = max(most, strings.Count(l, ","))
			bare = bare && !strings.Contains(l, ".") && len(strings.Fields(l)) < 2
		}
	}
	if bare && most == 3 {
		return nil, false, fmt.Errorf("commas both part the columns and mark decimals here; put a tab or a semicolon between the columns")
	}
	return by(","), false, nil
}

// number reads one cell.
func number(s string, decimalComma bool) (Cell, bool) {
	s = strings.TrimSpace(s)
	if decimalComma {
		s = strings.Replace(s, ",", ".", 1)
	}
	if _, _, _, _, ok := shape(s); !ok {
		return Cell{}, false
	}
	s = strings.Replace(s, ",", ".", 1)
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(v, 0) {
		return Cell{}, false
	}
	digits, exponent, _ := strings.Cut(strings.ToLower(strings.TrimLeft(s, "+-")), "e")
	c := Cell{Value: v}
	whole, fraction, _ := strings.Cut(digits, ".")
	c.Decimals = len(fraction)
	if e, err := strconv.Atoi(exponent); err == nil {
		c.Decimals -= e
	}
	c.Figures = len(strings.TrimLeft(whole+fraction, "0"))
	return c, true
}

// units returns the size of the last digit that each number of a column was worked out to. Spreadsheets drop zeros at the end, so 0.5
// among 0.4794 and 0.5646 is 0.5000: a number has as many decimals as the longest of its column, unless all have one number of
// significant digits.
func units(cells []Cell) []float64 {
	decimals, figures := math.MinInt, 0
	for _, c := range cells {
		decimals, figures = max(decimals, c.Decimals), max(figures, c.Figures)
	}
	out := make([]float64, len(cells))
	for i, c := range cells {
		out[i] = math.Pow10(-decimals)
		if c.Value != 0 {
			byFigures := math.Pow10(int(math.Floor(math.Log10(math.Abs(c.Value)))) + 1 - figures)
			out[i] = math.Max(out[i], byFigures)
		}
		out[i] = math.Min(out[i], math.Pow10(-c.Decimals))
	}
	return out
}
