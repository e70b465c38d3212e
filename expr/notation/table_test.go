package notation

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// A row is one line of a table in testdata/formulas: a formula, what it must give, and the names it is read under.
type row struct {
	line    int // in the table
	formula string
	want    string
	names   *Names
	whole   bool // a part of it means something else on its own
}

// readTable reads rows "formula => result". A line "@ x | y T | k L | f/1" sets the variable, the unknowns, the
// constants and the abbreviations for the rows below it, "@!" those for rows of which no part is read on its own; "//"
// starts a comment; "⏎" stands for a new line in a formula.
func readTable(t testing.TB, name string) []row {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "formulas", name))
	if err != nil {
		t.Fatal(err)
	}
	var rows []row
	names, whole := &Names{}, false
	for i, line := range strings.Split(string(data), "\n") {
		switch {
		case strings.HasPrefix(line, "//") || strings.TrimSpace(line) == "":
			continue
		case strings.HasPrefix(line, "@"):
			whole = strings.HasPrefix(line, "@!")
			names = parseNames(strings.TrimPrefix(line[1:], "!"))
			continue
		}
		formula, want, ok := strings.Cut(line, " => ")
		if !ok {
			t.Fatalf("%s:%d: no “ => ”", name, i+1)
		}
		rows = append(rows, row{i + 1, strings.ReplaceAll(strings.TrimRight(formula, " "), "⏎", "\n"),
			strings.TrimSpace(want), names, whole})
	}
	return rows
}

func parseNames(s string) *Names {
	n := &Names{Unknowns: map[string]bool{}, Constants: map[string]bool{}, Abbrevs: map[string]int{}}
	part := strings.Split(s, "|")
	n.Variable = strings.TrimSpace(part[0])
	for i := 1; i < len(part); i++ {
		for _, name := range strings.Fields(part[i]) {
			switch i {
			case 1:
				n.Unknowns[name] = true
			case 2:
				n.Constants[name] = true
			case 3:
				f, args, _ := strings.Cut(name, "/")
				n.Abbrevs[f], _ = strconv.Atoi(args)
			}
		}
	}
	return n
}

// reading reads a formula as a sheet and prints it in canonical form, its statements joined by " ; ", or the fault.
func reading(formula string, n *Names) (string, []*Relation, error) {
	list, err := Split(formula)
	if err != nil {
		return "", nil, err
	}
	var out []string
	var rels []*Relation
	for _, s := range list {
		r, err := s.Parse(0, n)
		if err != nil {
			return "", nil, err
		}
		out = append(out, showRelation(r))
		rels = append(rels, r)
	}
	return strings.Join(out, " ; "), rels, nil
}

func TestAccepted(t *testing.T) {
	rows := readTable(t, "accepted.txt")
	if len(rows) < 120 {
		t.Errorf("only %d rows", len(rows))
	}
	seen := map[string]int{}
	for _, r := range rows {
		if seen[r.formula] > 0 {
			t.Errorf("accepted.txt:%d: repeats line %d", r.line, seen[r.formula])
		}
		seen[r.formula] = r.line
		got, rels, err := reading(r.formula, r.names)
		if err != nil {
			t.Errorf("accepted.txt:%d: %s\n\t%v", r.line, r.formula, err)
			continue
		}
		if got != r.want {
			t.Errorf("accepted.txt:%d: %s\n\tgot  %s\n\twant %s", r.line, r.formula, got, r.want)
		}
		for _, rel := range rels {
			sides := append(append([]Node{}, rel.Sides...), rel.Range...)
			if rel.Near != nil {
				sides = append(sides, rel.Near)
			}
			for _, side := range sides {
				if p := checkTree(r.formula, side); p != "" {
					t.Errorf("accepted.txt:%d: %s\n\t%s", r.line, r.formula, p)
				}
				Walk(side, func(n Node) bool {
					if n.Span() == (Span{}) {
						return false
					}
					if r.whole || strings.Contains(r.formula, "begin{cases}") || strings.Contains(r.formula, "|_") {
						return true // the text of a part is no formula of its own
					}
					if p := claim(r.formula, n, r.names); p != "" {
						t.Errorf("accepted.txt:%d: %s\n\t%s", r.line, r.formula, p)
					}
					return true
				})
			}
		}
	}
}

func TestRefused(t *testing.T) {
	rows := readTable(t, "refused.txt")
	if len(rows) < 60 {
		t.Errorf("only %d rows", len(rows))
	}
	for _, r := range rows {
		got, _, err := reading(r.formula, r.names)
		if err == nil {
			t.Errorf("refused.txt:%d: %s is read as %s", r.line, r.formula, got)
			continue
		}
		checkError(t, r.formula, err)
		text := strings.ReplaceAll(err.Error(), "\n", " & ")
		if unfinished(err) {
			text += " (unfinished)"
		}
		if text != r.want {
			t.Errorf("refused.txt:%d: %s\n\tgot  %s\n\twant %s", r.line, r.formula, text, r.want)
		}
	}
}

// unfinished reports whether every fault is mere incompleteness.
func unfinished(err error) bool {
	switch e := err.(type) {
	case *Error:
		return e.Incomplete
	case ErrorList:
		for _, one := range e {
			if !one.Incomplete {
				return false
			}
		}
		return true
	}
	return false
}
