package rules

import (
	"archive/zip"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// published is a program of somebody else's, in a module of its own.
const published = `package main

import (
	"fmt"

	"git.example.org/hut/nodespan/solver"
)

func main() {
	p := &solver.Problem{
		A: 0, B: 1,
		Unknowns:   []solver.Unknown{{Name: "y", Order: 2}},
		Equations:  solver.ComplexStep(func(x float64, in, f []complex128) { f[0] = in[2] - 2 }),
		Conditions: []solver.Condition{solver.Value(0, 0, 0), solver.Value(0, 1, 1)},
	}
	s, err := solver.Solve(p, solver.Options{})
	if err != nil {
		panic(err)
	}
	y, _ := s.Value(0, 0, 0.5) // y = x²
	fmt.Printf("%.6f\n", y)
}
`

// TestPublished fetches the module as DEVELOPERS.md says, by go get from a module proxy (a folder), under the path that
// .ci/publish-as gave it and without a replace, and runs a program that stands on it.
func TestPublished(t *testing.T) {
	const path, version = "git.example.org/hut/nodespan", "v1.0.0"
	dir := t.TempDir()
	tree, proxy, program := filepath.Join(dir, "tree"), filepath.Join(dir, "proxy"), filepath.Join(dir, "program")
	put := func(file, text string) {
		t.Helper()
		if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	run := func(in string, env []string, name string, args ...string) string {
		t.Helper()
		cmd := exec.Command(name, args...)
		cmd.Dir, cmd.Env = in, append(os.Environ(), env...)
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
		}
		return string(out)
	}

	var code []string
	for _, file := range files(t) {
		if room(file) == "solver" || room(file) == "expr" || file == "go.mod" || file == "go.sum" {
			put(filepath.Join(tree, file), read(t, file))
			code = append(code, file)
		}
	}
	script, err := filepath.Abs(filepath.Join(root, ".ci/publish-as"))
	if err != nil {
		t.Fatal(err)
	}
	run(tree, nil, script, path)

	versions := filepath.Join(proxy, path, "@v")
	put(filepath.Join(versions, "list"), version+"\n")
	put(filepath.Join(versions, version+".info"), `{"Version":"`+version+`"}`)
	mod, err := os.ReadFile(filepath.Join(tree, "go.mod"))
	if err != nil {
		t.Fatal(err)
	}
	put(filepath.Join(versions, version+".mod"), string(mod))
	packed, err := os.Create(filepath.Join(versions, version+".zip"))
	if err != nil {
		t.Fatal(err)
	}
	z := zip.NewWriter(packed)
	for _, file := range code {
		text, err := os.ReadFile(filepath.Join(tree, file))
		if err != nil {
			t.Fatal(err)
		}
		w, err := z.Create(path + "@" + version + "/" + file)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(text); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	if err := packed.Close(); err != nil {
		t.Fatal(err)
	}

	// What we stand on comes from this machine's own module cache.
	cache := strings.TrimSpace(output(t, "go", "env", "GOMODCACHE"))
	env := []string{
		"GOPROXY=file://" + proxy + ",file://" + cache + "/cache/download", "GOSUMDB=off",
		"GOFLAGS=-trimpath -modcacherw",
		"GOMODCACHE=" + filepath.Join(dir, "cache"), "GOWORK=off",
	}
	put(filepath.Join(program, "main.go"), published)
	run(program, env, "go", "mod", "init", "example.org/ours")
	run(program, env, "go", "get", path+"/solver@"+version)
	if out := run(program, env, "go", "run", "."); out != "0.250000\n" {
		t.Errorf("the program prints %q", out)
	}
	if text, err := os.ReadFile(filepath.Join(program, "go.mod")); err != nil ||
		strings.Contains(string(text), "replace") {
		t.Errorf("%v\n%s", err, text)
	}
}
