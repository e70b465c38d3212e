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
	"strings"
	"testing"

	"nodespan/solver/table"
)

// nodespan runs the command.
func nodespan(stdin string, args ...string) (stdout, stderr string, status int) {
	var out, errs bytes.Buffer
	status = run(args, strings.NewReader(stdin), &out, &errs)
	return out.String(), errs.String(), status
}

// The hut's wall, warmed by its own stove: y = (e^x + e^(1-x))/(1+e), from the textbook problem y” = y.
const wall = "y'' = y\ny(0) = 1\ny(1) = 1"

func wallExact(x float64) float64 { return (math.Exp(x) + math.Exp(1-x)) / (1 + math.E) }

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

// A sheet, or a table of one's own, of more than a megabyte is refused before it is read.
func TestLargest(t *testing.T) {
	long := strings.Repeat("# long\n", 1<<18)
	const want = "nodespan: the sheet is larger than a megabyte\nhint: is this the right file?\n"
	if _, errs, status := nodespan(long); status != cannotRun || errs != want {
		t.Errorf("status %d, %s", status, errs)
	}
	file := filepath.Join(t.TempDir(), "long.txt")
	if err := os.WriteFile(file, []byte(long), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, errs, status := nodespan(wall, "-numbers", file); status != cannotRun ||
		errs != strings.Replace(want, "sheet", "table", 1) {
		t.Errorf("status %d, %s", status, errs)
	}
}
