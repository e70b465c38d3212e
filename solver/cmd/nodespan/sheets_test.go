package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Sheets as people paste them: mails, notes, PDF text, LaTeX, Markdown, prose. What a colleague reads without a
// question is to be read, what they would ask about refused, and nothing is read as another problem.

// courseFloor is the least number of sheets of course_sheets.json that come out as expected. None is misread.
const courseFloor = 132

// pastedRefused is how many sheets of pasted_sheets.txt may be refused that a person reads.
const pastedRefused = 0

// solvedSheet is what the command prints as JSON.
type solvedSheet struct {
	Columns []string
	Rows    [][]*float64
	Found   map[string]json.RawMessage
	Reports map[string]struct{ Value *float64 }
}

// solveSheet runs the command on a sheet.
func solveSheet(t *testing.T, sheet string, args ...string) (a solvedSheet, status int, message string) {
	t.Helper()
	out, errs, status := nodespan(sheet, append([]string{"-out", "json"}, args...)...)
	if status == 0 {
		if err := json.Unmarshal([]byte(out), &a); err != nil {
			t.Fatalf("%s\n%v", sheet, err)
		}
	}
	return a, status, errs
}

var plainLetters = strings.NewReplacer("″", "''", "‴", "'''", "′", "'", "\\", "", "{", "", "}", "", "_", "", " ", "",
	"θ",
	"theta", "λ", "lambda", "φ", "phi", "ϕ", "phi", "ψ", "psi", "ω", "omega", "μ", "mu", "ξ", "xi", "η", "eta", "₁",
	"1",
	"₂", "2", "₀", "0")

// column returns the values of a column at the points of the rows.
func (a solvedSheet) column(name string) []float64 {
	k := slices.IndexFunc(a.Columns,
		func(c string) bool { return plainLetters.Replace(c) == plainLetters.Replace(name) })
	var values []float64
	for _, row := range a.Rows {
		v := math.NaN()
		if k >= 0 && row[k] != nil {
			v = *row[k]
		}
		values = append(values, v)
	}
	return values
}

// found returns sought numbers: eigenvalues, or one by its name.
func (a solvedSheet) found(name string) []float64 {
	var list []struct{ Value float64 }
	if json.Unmarshal(a.Found["eigenvalues"], &list) == nil && len(list) > 0 {
		var values []float64
		for _, l := range list {
			values = append(values, l.Value)
		}
		return values
	}
	for key, raw := range a.Found {
		var one struct{ Value float64 }
		if (plainLetters.Replace(key) == plainLetters.Replace(name) || name == "") && json.Unmarshal(raw, &one) == nil {
			return []float64{one.Value}
		}
	}
	return nil
}

// near reports whether values agree to a tolerance relative to the largest.
func near(got, want []float64, tol float64) bool {
	largest := 0.0
	for _, w := range want {
		largest = max(largest, math.Abs(w))
	}
	if largest == 0 {
		largest = 1
	}
	if len(got) < len(want) {
		return false
	}
	for i, w := range want {
		if !(math.Abs(got[i]-w) <= tol*largest) {
			return false
		}
	}
	return true
}

func points(at []float64) string {
	var s []string
	for _, x := range at {
		s = append(s, strconv.FormatFloat(x, 'g', -1, 64))
	}
	return strings.Join(s, ", ")
}

// TestCourseSheets scores the sheets of testdata/course_sheets.json, whose numbers are from two computations each
// (closed forms, Chebyshev collocation, SciPy's solve_bvp), made outside of this project.
func TestCourseSheets(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/course_sheets.json")
	if err != nil {
		t.Fatal(err)
	}
	var sheets []struct {
		Name, Sheet, Component, Expect string
		At, Values                     []float64
		Tol                            float64
		Also                           [][]float64
	}
	if err := json.Unmarshal(data, &sheets); err != nil {
		t.Fatal(err)
	}
	right := 0
	for _, e := range sheets {
		var args []string
		what, name, _ := strings.Cut(e.Component, ":")
		switch {
		case e.Component == "eigenvalues":
			args = []string{"-count", strconv.Itoa(int(slices.Max(e.At)))}
		case name == "" && len(e.At) > 0:
			args = []string{"-at", points(e.At)}
		}
		a, status, message := solveSheet(t, e.Sheet, args...)
		if strings.HasPrefix(message, "-at:") || strings.HasPrefix(message, "nodespan: -at") {
			t.Errorf("%s is misread: %s", e.Name, message)
			continue
		}
		if status != 0 {
			if e.Expect == "refused" {
				right++
			} else {
				t.Logf("%s is refused: %s", e.Name, strings.Split(message, "\n")[0])
			}
			continue
		}
		var got []float64
		switch {
		case e.Component == "eigenvalues":
			all := a.found("")
			for _, k := range e.At {
				if int(k) <= len(all) {
					got = append(got, all[int(k)-1])
				}
			}
		case what == "found":
			got = a.found(name)
		case what == "report":
			for key, r := range a.Reports {
				if plainLetters.Replace(key) == plainLetters.Replace(name) && r.Value != nil {
					got = []float64{*r.Value}
				}
			}
		default:
			got = a.column(e.Component)
		}
		ok := slices.ContainsFunc(append(e.Also, e.Values), func(v []float64) bool { return near(got, v, e.Tol) })
		if len(e.Values) == 0 || !ok {
			t.Errorf("%s is misread: %v, want %v\n%s", e.Name, got, e.Values, e.Sheet)
			continue
		}
		right++
	}
	t.Logf("%d of %d as expected", right, len(sheets))
	if right < courseFloor {
		t.Errorf("%d of %d sheets come out as expected, want %d", right, len(sheets), courseFloor)
	}
}

// TestPastedSheets compares each sheet of testdata/pasted_sheets.txt with the same problem in plain notation.
func TestPastedSheets(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/pasted_sheets.txt")
	if err != nil {
		t.Fatal(err)
	}
	refused := 0
	blocks := strings.Split(string(data), "\n=== ")
	for _, block := range blocks[1:] {
		head, body, _ := strings.Cut(block, "\n")
		if strings.HasSuffix(head, "REFUSE") {
			if _, status, _ := solveSheet(t, body); status != 2 {
				t.Errorf("%s: status %d, and a person would ask", head, status)
			}
			continue
		}
		sheet, plain, _ := strings.Cut(body, "\n---\n")
		want, status, message := solveSheet(t, plain)
		if status != 0 {
			t.Errorf("%s: the plain form: %s", head, message)
			continue
		}
		switch msg, read := sameAnswer(t, sheet, want); {
		case !read:
			refused++
			t.Logf("%s is refused: %s", head, msg)
		case msg != "":
			t.Errorf("%s is misread: %s", head, msg)
		}
	}
	if refused > pastedRefused {
		t.Errorf("%d sheets are refused that a person reads, want at most %d", refused, pastedRefused)
	}
}

// sameAnswer solves a sheet and compares it with an answer; read is false where the sheet is refused.
func sameAnswer(t *testing.T, sheet string, want solvedSheet) (msg string, read bool) {
	t.Helper()
	var at []float64
	for i, row := range want.Rows {
		if i%max(1, len(want.Rows)/5) == 0 {
			at = append(at, *row[0])
		}
	}
	args := []string{"-at", points(at)}
	if want.Found["eigenvalues"] != nil {
		args = nil
	}
	got, status, message := solveSheet(t, sheet, args...)
	if status != 0 {
		return strings.Split(message, "\n")[0], false
	}
	if args == nil {
		if a, b := got.found(""), want.found(""); !near(a, b, 1e-6) {
			return fmt.Sprintf("%v, want %v", a, b), true
		}
		return "", true
	}
	for _, name := range want.Columns[1:] {
		var values []float64
		for i, v := range want.column(name) {
			if slices.Contains(at, *want.Rows[i][0]) {
				values = append(values, v)
			}
		}
		v := got.column(name)
		for i := len(v) - 1; i >= 0 && len(v) > 1; i-- {
			if len(v) == len(values) && math.IsNaN(v[i]) { // another layer, where the unknown does not count
				v, values = slices.Delete(v, i, i+1), slices.Delete(values, i, i+1)
			}
		}
		if !near(v, values, 1e-5) {
			return fmt.Sprintf("%s is %v, want %v", name, v, values), true
		}
	}
	for name := range maps.Keys(want.Found) {
		if a, b := got.found(name), want.found(name); !near(a, b, 1e-5) {
			return fmt.Sprintf("%s is %v, want %v", name, a, b), true
		}
	}
	return "", true
}
