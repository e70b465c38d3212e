package batch

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestLoad(t *testing.T) {
	file := filepath.Join(t.TempDir(), "list.json")
	type row struct{ Name string }
	for _, c := range []struct{ text, fault string }{
		{`[{"name": "a"}, {"name": "b"}]`, ""},
		{`[]`, "is an empty list"},
		{`[{"nam": "a"}]`, "unknown field"},
		{`{`, "unexpected"},
	} {
		if err := os.WriteFile(file, []byte(c.text), 0o600); err != nil {
			t.Fatal(err)
		}
		rows, err := Load[row](file)
		switch {
		case c.fault == "" && (err != nil || len(rows) != 2 || rows[1].Name != "b"):
			t.Errorf("%v, %v", rows, err)
		case c.fault != "" && (err == nil || !strings.Contains(err.Error(), c.fault) ||
			!strings.HasPrefix(err.Error(), file)):
			t.Errorf("%s: %v", c.text, err)
		}
	}
	if _, err := Load[row](file + ".none"); !os.IsNotExist(err) {
		t.Errorf("%v", err)
	}
}

func TestQuantile(t *testing.T) {
	for _, c := range []struct {
		all  []int
		p    float64
		want int
	}{
		{nil, 0.5, 0}, {[]int{7}, 0.5, 7}, {[]int{3, 1, 2}, 0.5, 2}, {[]int{4, 1, 3, 2}, 0.5, 3},
		{[]int{10, 9, 8, 7, 6, 5, 4, 3, 2, 1}, 0.9, 10}, {[]int{2, 5, 3}, 1, 5},
	} {
		if got := Quantile(c.all, c.p); got != c.want {
			t.Errorf("the %g quantile of %v is %d, want %d", c.p, c.all, got, c.want)
		}
	}
}

func TestCommand(t *testing.T) {
	var out, errs bytes.Buffer
	c := &Command{"judge", &out, &errs}
	f := c.Flags()
	n := f.Int("n", 1, "how many")
	if err := f.Parse([]string{"-n", "3"}); err != nil || *n != 3 {
		t.Errorf("%v, %d", err, *n)
	}
	if err := f.Parse([]string{"-m"}); err == nil || !strings.Contains(errs.String(), "-m") {
		t.Errorf("%v, %q", err, errs.String())
	}
	errs.Reset()
	if status := c.Fail(os.ErrNotExist); status != 1 || errs.String() != "judge: file does not exist\n" {
		t.Errorf("status %d, %q", status, errs.String())
	}
	if Status(0) != 0 || Status(3) != 1 {
		t.Error("the status")
	}
}
