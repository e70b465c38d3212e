package lesson

import (
	"bytes"
	"encoding/json"
	"os"
	"regexp"
	"strings"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver/working"
	"nodespan/testdata/demos"
)

func of(t *testing.T, text string, o Options) *Lesson {
	t.Helper()
	sh := sheettest.Read(t, text)
	l, err := New(sh, o)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// y = x(2-x)/2 with one node in the middle: every number can be checked by hand.
const parabola = `y'' = -1
y(0) = 0
y(2) = 0
`

// The words and numbers of a working that can be done by hand, to the letter.
func TestText(t *testing.T) {
	var got bytes.Buffer
	if err := of(t, parabola, Options{Nodes: 1}).WriteText(&got); err != nil {
		t.Fatal(err)
	}
	const golden = "testdata/parabola.txt"
	if os.Getenv("UPDATE") != "" {
		if err := os.WriteFile(golden, got.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	// The solver's own error estimate is rounding here, and not this package's to fix.
	rounding := regexp.MustCompile(`about [0-9.e-]+ of its\s+largest`)
	blank := func(s string) string { return rounding.ReplaceAllString(s, "about … of its largest") }
	if blank(got.String()) != blank(string(want)) {
		t.Errorf("the text differs from %s:\n%s", golden, got.String())
	}
}

// Every step of every demonstration says something, its formulas have all three forms, and its matrices exist.
func TestSteps(t *testing.T) {
	for _, d := range demos.All() {
		l := of(t, d.Sheet, Options{})
		seen := map[working.StepID]bool{}
		for _, s := range l.Steps {
			seen[s.ID] = true
			if s.Title == "" || !strings.HasSuffix(s.Sentence, ".") && !strings.HasSuffix(s.Sentence, ".)") {
				t.Errorf("%s, %s: title %q, sentence %q", d.Name, s.ID, s.Title, s.Sentence)
			}
			for _, f := range s.Formulas {
				if f.MathML == nil || f.LaTeX == "" || f.Plain == "" {
					t.Errorf("%s, %s: formula %q has a form missing", d.Name, s.ID, f.Plain)
				}
			}
			for _, m := range s.Matrices {
				if l.Working.Matrix(m) == nil {
					t.Errorf("%s, %s: no matrix %s", d.Name, s.ID, m)
				}
			}
		}
		for _, id := range []working.StepID{StepEquation, working.StepMap, working.StepPowers, working.StepRows,
			working.StepDigits} {
			if !seen[id] {
				t.Errorf("%s has no step %s", d.Name, id)
			}
		}
		if seen[working.StepLinearise] == l.Sheet.Linear {
			t.Errorf("%s: linearised %v, linear %v", d.Name, seen[working.StepLinearise], l.Sheet.Linear)
		}
	}
}

// The reference variable never has a name of the sheet.
func TestSymbol(t *testing.T) {
	for _, d := range demos.All() {
		if d.Name == "smoke-in-the-flue" {
			l := of(t, d.Sheet, Options{Nodes: 2})
			if got := l.Working.Options.Symbol; got != "t" { // its unknown is s
				t.Errorf("reference variable %q", got)
			}
			return
		}
	}
	t.Fatal("no sheet with an unknown s")
}

func TestJSON(t *testing.T) {
	var b bytes.Buffer
	l := of(t, parabola, Options{Nodes: 1})
	if err := l.WriteJSON(&b); err != nil {
		t.Fatal(err)
	}
	var r Reply
	if err := json.Unmarshal(b.Bytes(), &r); err != nil {
		t.Fatal(err)
	}
	if len(r.Steps) != len(l.Steps) || len(r.Matrices) != len(l.Working.Matrices) || len(r.Routes) != 2 ||
		len(r.Rows) != 3 {
		t.Errorf("%d steps, %d matrices, %d routes, %d rows", len(r.Steps), len(r.Matrices), len(r.Routes), len(r.Rows))
	}
	for i, m := range r.Matrices {
		if m.Name != l.Working.Matrices[i].Name || len(m.Values) != len(m.Rows) || len(m.Values[0]) != len(m.Columns) {
			t.Errorf("matrix %s", m.Name)
		}
	}
}

func TestNoLesson(t *testing.T) {
	for text, want := range map[string]string{
		"y'' + lambda y = 0\ny(0) = y(1) = 0\nlambda = ?":     "eigenvalue",
		"y'' = y\ny(0) = 1\ny(inf) = 0":                       "finite interval",
		"k = if(x < 0.4, 1, 2)\n(k y')' = 1\ny(0) = y(1) = 0": "jumps",
		"y' = sqrt(-1 - y^2)\ny(0) = 1\n0 <= x <= 2":          "no solution to linearise around",
	} {
		sh := sheettest.Read(t, text)
		if _, err := New(sh, Options{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// A sought number takes a row of its own: no two conditions are said to take the same one.
func TestRowsOfSoughtNumber(t *testing.T) {
	l := of(t, "y'' + m y = 1; m = ?; y(0) = 0; y(1) = 0; y'(0) = 0.3", Options{Nodes: 3})
	for _, s := range l.Steps {
		if s.ID != working.StepRows {
			continue
		}
		rows := regexp.MustCompile(`row (\d+)`).FindAllStringSubmatch(s.Sentence, -1)
		seen := map[string]bool{}
		for _, r := range rows {
			if seen[r[1]] {
				t.Errorf("row %s is taken twice: %s", r[1], s.Sentence)
			}
			seen[r[1]] = true
		}
		if len(rows) != 3 || !strings.Contains(s.Sentence, "which the sought number asks for") {
			t.Errorf("three conditions: %s", s.Sentence)
		}
		return
	}
	t.Error("no step tells of rows")
}

// The step that checks says how much is left: nothing where all that is shown is 0, else how large a part of its terms.
func TestCheckIsSummed(t *testing.T) {
	seen := map[bool]int{}
	for _, demo := range demos.All() {
		for _, nodes := range []int{3, 9, 40} {
			l := of(t, demo.Sheet, Options{Nodes: nodes})
			nothing := true
			for _, name := range []string{"check", "check_conditions"} {
				m := l.Working.Matrix(name)
				for i := range m.Values {
					nothing = nothing && m.Shown(i, 0) == 0
				}
			}
			for _, s := range l.Steps {
				if s.ID == working.StepCheck && strings.HasSuffix(s.Sentence, "of its terms.") == nothing {
					t.Errorf("%s, %d nodes: nothing is left: %v, and %s", demo.Name, nodes, nothing, s.Sentence)
				}
			}
			seen[nothing]++
		}
	}
	if seen[true] == 0 || seen[false] == 0 {
		t.Errorf("only one kind was met: %v", seen)
	}
}
