package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Tables of testdata/slips, made by another program, judged by the command: one that is right and one for each of a few
// slips.
func TestNumbers(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/slips/tables.json")
	if err != nil {
		t.Fatal(err)
	}
	var all struct {
		Sheets       map[string]string
		Wrong, Right []struct{ Sheet, Slip, Table string }
	}
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "mine.txt")
	judge := func(sheet, table string) comparison {
		if err := os.WriteFile(file, []byte(table), 0o600); err != nil {
			t.Fatal(err)
		}
		out, errs, status := nodespan(all.Sheets[sheet], "-numbers", file, "-out", "json")
		if status != solved {
			t.Fatalf("status %d: %s", status, errs)
		}
		var c comparison
		if err := json.Unmarshal([]byte(out), &c); err != nil {
			t.Fatal(err)
		}
		return c
	}
	if c := judge(all.Right[0].Sheet, all.Right[0].Table); !c.Right || c.Slip != "" || len(c.Rows) == 0 {
		t.Errorf("%+v", c)
	}
	tried := map[string]bool{}
	for _, w := range all.Wrong {
		if w.Sheet != "varying" || tried[w.Slip] {
			continue
		}
		tried[w.Slip] = true
		if c := judge(w.Sheet, w.Table); c.Slip != w.Slip || c.Right || !strings.Contains(c.Sentence, w.Slip) {
			t.Errorf("%s: %+v", w.Slip, c)
		}
	}
	if len(tried) < 8 {
		t.Errorf("only %d slips tried", len(tried))
	}
}

func TestNumbersAsText(t *testing.T) {
	file := filepath.Join(t.TempDir(), "mine.txt")
	write := func(s string) {
		if err := os.WriteFile(file, []byte(s), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	// y = x(x-1)/2 solves y'' = 1 with y = 0 at 0 and 1; the second number is wrong.
	const sheet = "y'' = 1\ny(0) = 0\ny(1) = 0\n"
	write("x;y\n0,25;-0,09375\n0,5;-0,255\n")
	out, errs, status := nodespan(sheet, "-numbers", file)
	const want = "x\tcolumn\tgiven\tsolution\terror\n" +
		"0.25\ty\t-0.09375\t-0.09375\t0.0\n0.5\ty\t-0.255\t-0.125\t-1.3e-1\n"
	if status != solved || squash(out) != want {
		t.Errorf("status %d\n%q", status, squash(out))
	}
	if want := "no known slip reproduces these numbers"; !strings.Contains(errs, want) {
		t.Errorf("%q", errs)
	}
	write("0 1\nhalf 2\n")
	if _, errs, status := nodespan(sheet, "-numbers", file); status != cannotRun ||
		!strings.Contains(errs, "line 2: “half” is not a number") {
		t.Errorf("status %d: %s", status, errs)
	}
	if _, errs, status := nodespan(sheet, "-numbers", file+".none"); status != cannotRun ||
		!strings.Contains(errs, "cannot read the numbers") {
		t.Errorf("status %d: %s", status, errs)
	}
}

// squash takes the rounding out of the errors that vanish.
func squash(s string) string {
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		if cells := strings.Split(l, "\t"); len(cells) == 5 && strings.HasPrefix(cells[0], "0.25") {
			cells[4] = "0.0"
			lines[i] = strings.Join(cells, "\t")
		}
	}
	return strings.Join(lines, "\n")
}
