package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// A program that Go really links must come back from the page's own decoder, byte for byte, and must have become shorter.
func TestShorten(t *testing.T) {
	dir := t.TempDir()
	file := func(name string) string { return filepath.Join(dir, name) }
	write := func(name string, data []byte) {
		t.Helper()
		if err := os.WriteFile(file(name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("main.go", []byte("package main\n\nimport \"fmt\"\n\nfunc main() { fmt.Println(\"hut\", 1<<40, 0.1) }\n"))
	cmd := exec.Command("go", "build", "-o", file("main.wasm"), file("main.go"))
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if text, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	module, err := os.ReadFile(file("main.wasm"))
	if err != nil {
		t.Fatal(err)
	}
	short, err := shorten(module)
	if err != nil {
		t.Fatal(err)
	}
	if saved := len(module) - len(short); saved < len(module)/100 {
		t.Errorf("%d of %d bytes saved", saved, len(module))
	}
	unpack, err := os.ReadFile("../unpack.js")
	if err != nil {
		t.Fatal(err)
	}
	write("short", short)
	write("run.js", append(unpack, `
const fs = require("fs");
fs.writeFileSync(process.argv[3], moduleOfShort(new Uint8Array(fs.readFileSync(process.argv[2]))));`...))
	if text, err := exec.Command("node", file("run.js"), file("short"), file("out")).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if got, err := os.ReadFile(file("out")); err != nil || !bytes.Equal(got, module) {
		t.Errorf("%d bytes came back as %d others, %v", len(module), len(got), err)
	}
	if _, err := shorten(module[:len(module)/2]); err == nil {
		t.Error("half a module was taken for one")
	}
}
