//go:build numpy

package slips_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// The committed tables are those that their program makes. This needs a Python with numpy, which a clean clone does not
// ask for: go test -tags numpy ./solver/slips. Another version of numpy may round a last digit otherwise.
func TestTablesAreRegenerated(t *testing.T) {
	python := ""
	for _, p := range []string{"/usr/bin/python3", "python3"} {
		if exec.Command(p, "-c", "import numpy").Run() == nil {
			python = p
			break
		}
	}
	if python == "" {
		t.Fatal("no python3 with numpy here; on Debian: apt-get install python3-numpy")
	}
	dir := t.TempDir()
	program, err := os.ReadFile("../../testdata/slips/make_tables.py")
	if err != nil {
		t.Fatal(err)
	}
	script := filepath.Join(dir, "make_tables.py")
	if err := os.WriteFile(script, program, 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(python, script).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	got, err := os.ReadFile(filepath.Join(dir, "tables.json"))
	if err != nil {
		t.Fatal(err)
	}
	want, err := os.ReadFile("../../testdata/slips/tables.json")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("tables.json is not what make_tables.py writes")
	}
}
