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
