package numbers

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"nodespan/solver/slips"
)

// Limits of a table.
const (
	mostRows    = 10_000
	mostColumns = 64
)

// plain makes one character of those that look alike, and takes out what parts or marks nothing.
var plain = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\ufeff", "", "\u00a0", " ", "\u2009", "", "\u202f", "", "−",
	"-", "–", "-", `\\`, "", `\hline`, "")

// Read reads a table of numbers: a row a line, columns parted by tabs, semicolons, commas or blanks, or by | or & as in
// Markdown and LaTeX. A decimal comma is read where it cannot be anything else. Names of columns may stand in the first
// row, or before each number, as in x = 0.5, T = 20 or T(0.5) = 20; units may stand behind numbers and names. Empty
// lines and lines that begin with # are left out. The error is one sentence with the line.
func Read(text string) (*slips.Table, error) {
	var lines []string
	var places []int
	for i, l := range strings.Split(plain.Replace(text), "\n") {
		if s := strings.TrimSpace(l); s == "" || s[0] == '#' || ruled(s) {
			continue
		}
		lines, places = append(lines, l), append(places, i+1)
	}
	if len(lines) == 0 {
		return nil, errors.New("there are no numbers; a table has a column x and a column y")
	}
	if err := undress(lines, places); err != nil {
		return nil, err
	}
	lines, places = valuesAt(lines, places)
	cut, err := separator(lines)
	if err != nil {
		return nil, err
	}
	t := &slips.Table{}
	for i, l := range lines {
		fields := cut(l)
		names := make([]string, len(fields))
		for k := range fields {
			names[k], fields[k] = nameOf(fields[k])
		}
		row, bad := cells(fields)
		if i == 0 && bad < 0 && !slices.Contains(names, "") {
			t.Header = names
		}
		if i == 0 && bad >= 0 && (bad == 0 || len(fields) == 1) {
			t.Header = cut(unitOfName.ReplaceAllString(l, ""))
			continue
		}
		switch {
		case bad >= 0:
			return nil, fmt.Errorf("line %d: “%s” is not a number", places[i], fields[bad])
		case len(fields) < 2:
			return nil, fmt.Errorf("line %d has one number; a row has an x and a y", places[i])
		case len(fields) > mostColumns:
			return nil, fmt.Errorf("line %d has %d columns; at most %d are read", places[i], len(fields), mostColumns)
		case t.Y == nil:
			t.Y = make([][]slips.Cell, len(fields)-1)
		case len(fields) != len(t.Y)+1:
			return nil, fmt.Errorf("line %d has %d columns and the lines before it have %d", places[i], len(fields),
				len(t.Y)+1)
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
		return nil, errors.New("there are names of columns and no numbers below them")
	}
	if t.Header != nil && len(t.Header) != len(t.Y)+1 {
		t.Header = nil // a title, not names
	}
	return t, nil
}

// ruled reports whether a line is the rule of a Markdown table, |---|:--:| or the like, and holds no numbers.
func ruled(line string) bool {
	return strings.Trim(line, "|:-+= \t") == "" && (strings.Contains(line, "--") || strings.Contains(line, "=="))
}

// The shapes of numbers: any, one with a decimal comma, and a whole one. In each the mark of decimals may be either.
var (
	anyNumber = regexp.MustCompile(`^[-+]?(\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE]([-+]?\d+))?$`)
	withComma = regexp.MustCompile(`^[-+]?\d*,\d+(?:[eE][-+]?\d+)?$`)
	whole     = regexp.MustCompile(`^[-+]?\d+$`)
)

// separator finds out how the columns are parted. A comma that does not part them marks decimals.
func separator(lines []string) (cut func(string) []string, err error) {
	all := strings.Join(lines, "\n")
	for _, sep := range []string{"|", "&", "\t", ";"} {
		if strings.Contains(all, sep) {
			return by(sep), nil
		}
	}
	if !strings.Contains(all, ",") {
		return strings.Fields, nil
	}
	body := lines // without the first, which may hold names
	if len(lines) > 1 {
		body = lines[1:]
	}
	if blanksPart(body) {
		return strings.Fields, nil
	}
	// 0,5,1,25: a comma that parts columns and one that marks decimals look the same.
	most, bare := 0, true
	for _, l := range body {
		most = max(most, strings.Count(l, ","))
		bare = bare && !strings.Contains(l, ".") && len(strings.Fields(l)) < 2
	}
	if bare && most == 3 {
		return nil, errors.New("commas both part the columns and mark decimals here; put a tab or a semicolon " +
			"between the columns")
	}
	return by(","), nil
}

// by returns a function that cuts a line at sep.
func by(sep string) func(string) []string {
	return func(line string) []string {
		fields := strings.Split(strings.TrimSpace(line), sep)
		for i := range fields {
			fields[i] = strings.TrimSpace(fields[i])
		}
		if sep == "|" || sep == "\t" || sep == ";" { // a frame, or separators at the end of a line
			for len(fields) > 0 && fields[0] == "" && sep == "|" {
				fields = fields[1:]
			}
			for len(fields) > 0 && fields[len(fields)-1] == "" {
				fields = fields[:len(fields)-1]
			}
		}
		for i := range fields {
			fields[i] = strings.Trim(fields[i], `"$`)
		}
		return fields
	}
}

// blanksPart reports whether blanks part the columns of a table with commas: every line has several words, each of them
// a whole number or one with a comma inside.
func blanksPart(body []string) bool {
	for _, l := range body {
		words := strings.Fields(l)
		if len(words) < 2 {
			return false
		}
		for _, w := range words {
			if !withComma.MatchString(w) && !whole.MatchString(w) {
				return false
			}
		}
	}
	return true
}

// cells reads the fields of a line; bad is the first that is not a number, or -1.
func cells(fields []string) (row []slips.Cell, bad int) {
	row, bad = make([]slips.Cell, len(fields)), -1
	for j, f := range fields {
		var ok bool
		if row[j], ok = cell(f); !ok && bad < 0 {
			bad = j
		}
	}
	return row, bad
}

// cell reads one number.
func cell(s string) (slips.Cell, bool) {
	s = strings.TrimSpace(s)
	parts := anyNumber.FindStringSubmatch(s)
	if parts == nil {
		return slips.Cell{}, false
	}
	v, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	if err != nil {
		return slips.Cell{}, false
	}
	integer, fraction, _ := strings.Cut(strings.Replace(parts[1], ",", ".", 1), ".")
	c := slips.Cell{Value: v, Decimals: len(fraction), Figures: len(strings.TrimLeft(integer+fraction, "0"))}
	if e, err := strconv.Atoi(parts[2]); err == nil {
		c.Decimals -= e
	}
	return c, true
}
