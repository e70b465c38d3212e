package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"nodespan/solver"
	"nodespan/solver/table"
)

// nodespan runs the command.
func nodespan(stdin string, args ...string) (stdout, stderr string, status int) {
	var out, errs bytes.Buffer
	status = run(args, strings.NewReader(stdin), &out, &errs)
	return out.String(), errs.String(), status
}

// The hut's wall, warmed by its own stove: y = (e^x + e^(1-x))/(1+e), from the textbook problem y” = y.
const (
	wall  = "y'' = y\ny(0) = 1\ny(1) = 1"
	joist = "w'''' = 1, w(0) = w'(0) = 0, w(L) = w'(L) = 0, L = 2"
)

func wallExact(x float64) float64 { return (math.Exp(x) + math.Exp(1-x)) / (1 + math.E) }

func TestUsage(t *testing.T) {
	for _, c := range []struct {
		args []string
		want string // standard error; nothing is printed and the status is 1
	}{
		{[]string{"-foo"}, "nodespan: unknown flag -foo\nhint: -h lists the flags\n"},
		{[]string{"-nodes"}, "nodespan: -nodes needs a value\nhint: -h lists the flags\n"},
		{[]string{"-nodes", "five"}, "nodespan: -nodes takes a number, not \"five\"\n"},
		{[]string{"-nodes", "-1"}, "nodespan: -nodes -1 is negative\nhint: 0 lets the number be chosen\n"},
		{[]string{"-elements", "-3"}, "nodespan: -elements -3 is negative\nhint: 0 lets the number be chosen\n"},
		{[]string{"-method", "one", "-elements", "2"}, "nodespan: one polynomial has one piece\nhint: use -method " +
			"pieces with -elements\n"},
		{[]string{"-method", "magic"}, "nodespan: unknown -method magic\nhint: it is one of auto, one, pieces, " +
			"differences\n"},
		{[]string{"-family", "gauss"}, "nodespan: unknown -family gauss\nhint: it is one of legendre, chebyshev, " +
			"lobatto, radau, equispaced\n"},
		{[]string{"-out", "xml"}, "nodespan: unknown -out xml\nhint: it is one of tsv, csv, json, markdown, latex\n"},
		{[]string{"-tol", "0"}, "nodespan: -tol 0 is outside 1e-13 to 0.1\nhint: 1e-8 asks for about eight digits\n"},
		{[]string{"-tol", "NaN"}, "nodespan: -tol NaN is outside 1e-13 to 0.1\nhint: 1e-8 asks for about " +
			"eight digits\n"},
		{[]string{"-tol", "tight"}, "nodespan: -tol takes a number, not \"tight\"\n"},
		{[]string{"-count", "0"}, "nodespan: -count 0: at least one eigenvalue is wanted\n"},
		{[]string{"-mode", "0"}, "nodespan: -mode 0 is not one of the 5 eigenvalues wanted\nhint: they are counted " +
			"from 1; -count asks for more\n"},
		{[]string{"-mode", "3", "-count", "2"}, "nodespan: -mode 3 is not one of the 2 eigenvalues wanted\nhint: " +
			"they are counted from 1; -count asks for more\n"},
		{[]string{"-set", "L"}, "nodespan: -set L is not name=value\nhint: write it as in -set Bi=2.5, or -set " +
			"\"L = 2 pi\"\n"},
		{[]string{"-set", "=2"}, "nodespan: -set =2 is not name=value\nhint: write it as in -set Bi=2.5, or -set " +
			"\"L = 2 pi\"\n"},
		{[]string{"sheet.txt", "-tol", "1e-4"}, "nodespan: one sheet at a time, not 3: sheet.txt -tol 1e-4\nhint: " +
			"flags go before the file\n"},
		{[]string{"-ladder", "-nodes", "301"}, "nodespan: -nodes 301 is too many for a ladder\nhint: it goes to " +
			"300 at most\n"},
		{[]string{"-script", "basic"}, "nodespan: unknown -script basic\nhint: it is one of python, octave\n"},
		{[]string{"-handout", "pdf"}, "nodespan: unknown -handout pdf\nhint: it is one of html, latex\n"},
		{[]string{"-handout", "html", "-working"}, "nodespan: -handout has everything in it\nhint: leave out " +
			"-ladder, -working, -script, -numbers and -figure\n"},
		{[]string{"-blank", "powers"}, "nodespan: -note and -blank are for a handout\nhint: add -handout html or " +
			"-handout latex\n"},
		{[]string{"-figure", "fin.jpg"}, "nodespan: -figure fin.jpg is neither .svg nor .png\nhint: the end of the " +
			"file's name says how it is written\n"},
		{[]string{"-figure", "fin.svg", "-working"}, "nodespan: -figure draws the solution that the table shows, or " +
			"the ladder\nhint: leave out -working, -script and -numbers\n"},
		{[]string{"-figure", "fin.svg", "-script", "python"}, "nodespan: -figure draws the solution that the table " +
			"shows, or the ladder\nhint: leave out -working, -script and -numbers\n"},
		{[]string{"-figure", "fin.svg", "-numbers", "mine.txt"}, "nodespan: -figure draws the solution that the " +
			"table shows, or the ladder\nhint: leave out -working, -script and -numbers\n"},
		{[]string{"-figure", "fin.svg", "-width", "20"}, "nodespan: a width of 20 is outside 240 to 4000 pixels\n"},
		{[]string{"-at", "0, 1.5"}, "-at:1:4: x = 1.5 is outside the interval from 0 to 1\n  0, 1.5\n     ~~~\n"},
		{[]string{"-at", "0,,1"}, "-at:1:3: a point is missing here\n  0,,1\n    ^\nhint: write the points between " +
			"commas, as in 0, 0.5, 1\n"},
		{[]string{"-at", "0, 1/0"}, "-at:1:4: this point is not a finite number\n  0, 1/0\n     ~~~\n"},
	} {
		out, errs, status := nodespan(wall, c.args...)
		if out != "" || status != cannotRun || errs != c.want {
			t.Errorf("%q: status %d\n%s\nwant\n%s\n%s", c.args, status, errs, c.want, out)
		}
	}
}

func TestHelp(t *testing.T) {
	out, errs, status := nodespan("", "-h")
	if errs != "" || status != 0 {
		t.Errorf("status %d, %s", status, errs)
	}
	f, _, _ := define()
	n := 0
	for _, name := range []string{"method", "nodes", "family", "elements", "tol", "at", "set", "count", "mode", "out",
		"points", "digits", "decimal", "errors", "width", "density", "title", "derivatives", "note", "blank",
		"ladder", "numbers", "working", "script", "handout", "figure"} {
		if f.Lookup(name) == nil || !strings.Contains(out, "  -"+name) {
			t.Errorf("-%s is not in the help", name)
		}
		n++
	}
	if n != strings.Count(out, "\n  -") {
		t.Errorf("%d flags in the help, %d expected", strings.Count(out, "\n  -"), n)
	}
}

// The words are those of the packages that read; here it is that place, line, underline and hint come through.
func TestFaultySheet(t *testing.T) {
	for _, c := range []struct {
		text string
		want string // message and hint are cut to their first letters: "unknown name …"
	}{
		{"y'' = y\ny(0) = 1\ny(1) = foo", "3:8: unknown name “foo”\n  y(1) = foo\n         ~~~\nhint: "},
		{"", "1:1: the sheet has no differential equation\n  \n  ^\nhint: "},
		{"T'' = (m^2 T\nT(0) = 1\nT(1) = 2", "1:7: “(” is not closed\n  T'' = (m^2 T\n        ~\nhint: "},
		{"# 壁の熱\r\ny″ = λ·y; λ = 1/0; y(0) = 1; y(1) = 2", "2:15: division by zero\n  y″ = λ·y; λ = 1/0; y(0) = 1; " +
			"y(1) = 2\n                ~~~\n"},
	} {
		out, errs, status := nodespan(c.text)
		if out != "" || status != faulty || !strings.HasPrefix(errs, c.want) {
			t.Errorf("%q: status %d\n%s%s\nwant\n%s", c.text, status, out, errs, c.want)
		}
		// The same with -set of a constant that the sheet does not have: still the sheet's fault.
		if _, _, status := nodespan(c.text, "-set", "none=1"); status != faulty {
			t.Errorf("%q with -set: status %d", c.text, status)
		}
	}
}

// columns reads a TSV table.
func columns(t *testing.T, out string) (names []string, rows [][]float64) {
	t.Helper()
	lines := strings.Split(strings.TrimSuffix(out, "\n"), "\n")
	names = strings.Split(lines[0], "\t")
	for _, line := range lines[1:] {
		var row []float64
		for _, cell := range strings.Split(line, "\t") {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatalf("%q is not a number in\n%s", cell, out)
			}
			row = append(row, v)
		}
		if len(row) != len(names) {
			t.Fatalf("a row of %d in\n%s", len(row), out)
		}
		rows = append(rows, row)
	}
	return names, rows
}

func TestSolve(t *testing.T) {
	for _, args := range [][]string{
		nil,
		{"-method", "one"},
		{"-method", "one", "-nodes", "12"},
		{"-family", "chebyshev"}, {"-family", "lobatto"}, {"-family", "radau"}, {"-family", "equispaced"},
		{"-tol", "1e-10"},
		{"-"},
	} {
		out, errs, status := nodespan(wall, args...)
		if status != solved || errs != "" {
			t.Errorf("%q: status %d, %s", args, status, errs)
			continue
		}
		names, rows := columns(t, out)
		if !slices.Equal(names, []string{"x", "y", "y'"}) {
			t.Errorf("%q: columns %q", args, names)
		}
		if len(rows) < 4 || rows[0][0] != 0 || rows[len(rows)-1][0] != 1 {
			t.Errorf("%q: rows\n%s", args, out)
		}
		for _, r := range rows {
			if math.Abs(r[1]-wallExact(r[0])) > 1e-8 {
				t.Errorf("%q: y(%v) = %v, exactly %v", args, r[0], r[1], wallExact(r[0]))
			}
		}
	}
}

func TestNodesAreKept(t *testing.T) {
	out, errs, status := nodespan(wall, "-method", "one", "-nodes", "3", "-tol", "0.1")
	if status != solved || errs != "" {
		t.Fatalf("status %d, %s", status, errs)
	}
	_, rows := columns(t, out)
	// The ends and the three Gauss points on [0, 1] (Abramowitz and Stegun, table 25.4).
	want := []float64{0, 0.1127016653792583, 0.5, 0.8872983346207417, 1}
	if len(rows) != len(want) {
		t.Fatalf("%d rows\n%s", len(rows), out)
	}
	for i, r := range rows {
		if math.Abs(r[0]-want[i]) > 1e-15 {
			t.Errorf("node %v, want %v", r[0], want[i])
		}
	}
}

func TestAtAndSet(t *testing.T) {
	for _, c := range []struct {
		args []string
		x    []float64
		l    float64
	}{
		{[]string{"-at", "0, L/2, L"}, []float64{0, 1, 2}, 2},
		{[]string{"-at", "L/2", "-set", "L=pi"}, []float64{math.Pi / 2}, math.Pi},
		{[]string{"-at", "max(0.25, 0.5), 1/4 L", "-set", "L = 2^2", "-set", "L=1"}, []float64{0.5, 0.25}, 1},
	} {
		out, errs, status := nodespan(joist, c.args...)
		if status != solved || errs != "" {
			t.Errorf("%q: status %d, %s", c.args, status, errs)
			continue
		}
		names, rows := columns(t, out)
		if !slices.Equal(names, []string{"x", "w", "w'", "w''", "w'''"}) {
			t.Errorf("columns %q", names)
		}
		if len(rows) != len(c.x) {
			t.Errorf("%q: %d rows", c.args, len(rows))
			continue
		}
		for i, r := range rows {
			x := c.x[i]
			// A beam held at both ends under an even load: x² (L-x)²/24.
			want := x * x * (c.l - x) * (c.l - x) / 24
			if math.Abs(r[0]-x) > 1e-15*c.l || math.Abs(r[1]-want) > 1e-8 {
				t.Errorf("%q: w(%v) = %v, want w(%v) = %v", c.args, r[0], r[1], x, want)
			}
		}
	}
	for _, c := range []struct{ set, want string }{
		{"M=3", "nodespan: -set: “M” cannot be set: it is not a constant of the sheet\n"},
		{"L=foo", "nodespan: -set: the value “foo” for L cannot be read: "},
	} {
		out, errs, status := nodespan(joist, "-set", c.set)
		if out != "" || status != cannotRun || !strings.HasPrefix(errs, c.want) || !strings.Contains(errs, "\nhint: ") {
			t.Errorf("-set %s: status %d\n%s\nwant\n%s", c.set, status, errs, c.want)
		}
	}
	_, errs, status := nodespan(joist, "-at", "0, pi·1 + M")
	if status != cannotRun || !strings.HasPrefix(errs, "-at:1:11: unknown name “M”\n  0, pi·1 + M\n            ~\n") {
		t.Errorf("status %d, %s", status, errs)
	}
}

func TestFormats(t *testing.T) {
	for out, starts := range map[string]string{
		"tsv":      "x\ty\ty'\n0\t1",
		"csv":      "x,y,y'\r\n0,1",
		"markdown": "| x | y | y' |\n| ---: | ---: | ---: |\n| 0 | 1",
		"latex":    "\\begin{tabular}{rrr}\n\\hline\n$x$ & $y$ & $y'$ \\\\\n\\hline\n$0$ & $1",
		"json":     `{"status":"solved","message":"`,
	} {
		got, errs, status := nodespan(wall, "-out", out)
		if status != solved || errs != "" || !strings.HasPrefix(got, starts) || !strings.HasSuffix(got, "\n") {
			t.Errorf("-out %s: status %d, %s\n%s", out, status, errs, got)
		}
	}
}

// The contract of -out json: one object with these fields, and the digits of the other formats.
func TestJSON(t *testing.T) {
	out, errs, status := nodespan(wall+"\nexact y = (exp(x) + exp(1 - x))/(1 + exp(1))", "-out", "json")
	if status != solved || errs != "" {
		t.Fatalf("status %d, %s", status, errs)
	}
	var fields map[string]json.RawMessage
	if err := json.Unmarshal([]byte(out), &fields); err != nil {
		t.Fatal(err)
	}
	want := []string{"columns", "degree", "elements", "errors", "exactError", "found", "message", "method", "rows",
		"seconds", "status"}
	if got := slices.Sorted(maps.Keys(fields)); !slices.Equal(got, want) {
		t.Errorf("fields %q, want %q", got, want)
	}
	var r table.Reply
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatal(err)
	}
	if r.ExactError == nil || *r.ExactError > 1e-8 || string(fields["found"]) != "{}" || r.Elements < 1 ||
		r.Degree < 1 || r.Method == "" || r.Message == "" {
		t.Errorf("%s", out)
	}
	for i, row := range r.Rows {
		off := math.Abs(float64(row[1]) - wallExact(float64(row[0])))
		if len(row) != 3 || len(r.Errors[i]) != 2 || !(off <= float64(r.Errors[i][0])+1e-15) {
			t.Errorf("row %v with errors %v is off by %v", row, r.Errors[i], off)
		}
	}
	var b strings.Builder
	if err := r.Table().Write(&b, table.TSV); err != nil {
		t.Fatal(err)
	}
	if tsv, _, _ := nodespan(wall, "-out", "tsv"); tsv != b.String() {
		t.Errorf("other digits in tsv:\n%s\nthan in json:\n%s", tsv, b.String())
	}
	out, _, _ = nodespan(wall, "-out", "json")
	if strings.Contains(out, "exactError") {
		t.Errorf("an exact error without an exact solution: %s", out)
	}
}

// With status 3 what was reached is still printed.
func TestShortOfTolerance(t *testing.T) {
	const layer = "1e-3 y'' + y' = 0, y(0) = 0, y(1) = 1"
	out, errs, status := nodespan(layer, "-method", "one", "-nodes", "6")
	if status != noSolution || !strings.HasPrefix(errs, "nodespan: ") || strings.Count(errs, "\n") != 1 {
		t.Errorf("status %d, %s", status, errs)
	}
	if !strings.HasPrefix(out, "x\ty\ty'\n") || strings.Count(out, "\n") < 5 {
		t.Errorf("the table:\n%s", out)
	}
	out, errs, status = nodespan(layer, "-method", "one", "-nodes", "6", "-out", "json")
	var r table.Reply
	if err := json.Unmarshal([]byte(out), &r); err != nil || status != noSolution || errs != "nodespan: "+r.Message+
		"\n" {
		t.Fatalf("status %d, %v, %s", status, err, errs)
	}
	if r.Status != "short-of-tolerance" || len(r.Rows) < 4 {
		t.Errorf("%s", out)
	}
}

func TestNoSolution(t *testing.T) {
	// sin(pi x) and cos(pi x) cannot be 0 at 0 and 1 at 1 together.
	out, errs, status := nodespan("y'' + pi^2 y = 0; y(0) = 0; y(1) = 1", "-out", "json")
	var r table.Reply
	if err := json.Unmarshal([]byte(out), &r); err != nil || status != noSolution || errs != "nodespan: "+r.Message+
		"\n" || r.Status == "solved" {
		t.Errorf("status %d, %v, %s\n%s", status, err, errs, out)
	}
}

func TestFile(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "wall.txt")
	if err := os.WriteFile(file, []byte(wall), 0o600); err != nil {
		t.Fatal(err)
	}
	fromFile, errs, status := nodespan("not a sheet", file)
	fromText, _, _ := nodespan(wall)
	if status != solved || errs != "" || fromFile != fromText {
		t.Errorf("status %d, %s\n%s\n%s", status, errs, fromFile, fromText)
	}
	if err := os.WriteFile(file, []byte("y'' = foo"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, errs, status := nodespan("", file); status != faulty || !strings.HasPrefix(errs, file+":1:") {
		t.Errorf("status %d, %s", status, errs)
	}
	if _, errs, status := nodespan("", dir); status != cannotRun ||
		!strings.HasPrefix(errs, "nodespan: cannot read the sheet: ") {
		t.Errorf("status %d, %s", status, errs)
	}
	if _, errs, status := nodespan("", file+".none"); status != cannotRun ||
		!strings.HasPrefix(errs, "nodespan: cannot read the sheet: open "+file+".none: ") {
		t.Errorf("status %d, %s", status, errs)
	}
	want := "nodespan: the sheet is larger than a megabyte\nhint: is this the right file?\n"
	if _, errs, status := nodespan(strings.Repeat("# long\n", 1<<18)); status != cannotRun || errs != want {
		t.Errorf("status %d, %s", status, errs)
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("disk full") }
func (broken) Read([]byte) (int, error)  { return 0, errors.New("line cut") }

func TestBrokenStreams(t *testing.T) {
	for _, out := range []string{"tsv", "csv", "json"} {
		var errs bytes.Buffer
		if status := run([]string{"-out", out}, strings.NewReader(wall), broken{}, &errs); status != cannotRun ||
			errs.String() != "nodespan: cannot write: disk full\n" {
			t.Errorf("-out %s: status %d, %s", out, status, errs.String())
		}
	}
	var errs bytes.Buffer
	if status := run(nil, broken{}, io.Discard, &errs); status != cannotRun ||
		errs.String() != "nodespan: cannot read the sheet: line cut\n" {
		t.Errorf("status %d, %s", status, errs.String())
	}
}

// Sought numbers have no place in the table: they go to standard error, and into JSON.
func TestFound(t *testing.T) {
	// y'' + omega² y = 0 with y(0) = 0, y'(0) = 1, y(1) = 0: omega = pi.
	const sheet = "y'' + omega^2 y = 0, y(0) = 0, y'(0) = 1, y(1) = 0, omega = ? near 3"
	_, errs, status := nodespan(sheet)
	value, ok := strings.CutPrefix(strings.TrimSuffix(errs, "\n"), "omega = ")
	if v, err := strconv.ParseFloat(value, 64); status != solved || !ok || err != nil || math.Abs(v-math.Pi) > 1e-7 {
		t.Errorf("status %d, %s", status, errs)
	}
	out, errs, status := nodespan(sheet, "-out", "json")
	var r table.Reply
	if err := json.Unmarshal([]byte(out), &r); err != nil || status != solved || errs != "" {
		t.Fatalf("status %d, %v, %s", status, err, errs)
	}
	if f := r.Found.Named["omega"]; math.Abs(float64(f.Value)-math.Pi) > float64(f.Error)+1e-15 || f.Error <= 0 {
		t.Errorf("found %v", f)
	}
}

func TestEigenvalues(t *testing.T) {
	s := &solver.Solution{
		Problem: &solver.Problem{Parameters: []solver.Parameter{{Name: "lambda"}}},
		Eigenvalues: []solver.Found{{Name: "lambda", Value: math.Pi * math.Pi, Error: 1e-9},
			{Name: "lambda", Value: 4 * math.Pi * math.Pi, Error: 1e-8}},
	}
	var b strings.Builder
	found(&b, s)
	if want := "lambda_1 = 9.869604401\nlambda_2 = 39.47841760\n"; b.String() != want {
		t.Errorf("%s\nwant\n%s", b.String(), want)
	}
	out, errs, status := nodespan("y'' + lambda y = 0, y(0) = 0, y(1) = 0, lambda = ?", "-count", "3", "-mode", "2")
	if !strings.HasPrefix(out, "x\ty\ty'\n") || status != solved || !strings.HasPrefix(errs, "lambda_1 = 9.86960440") ||
		strings.Count(errs, "\n") != 3 {
		t.Errorf("status %d, %s%s", status, out, errs)
	}
}
