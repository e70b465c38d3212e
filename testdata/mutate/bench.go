package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"syscall"
	"time"
)

type verdict string

const (
	found    verdict = "found"
	survives verdict = "SURVIVES"
	unbuilt  verdict = "no build"
	untried  verdict = "not tried" // tests fail without the change; or only a browser runs the code, and none is wanted
)

// tree is the project with its packages.
type tree struct {
	root  string
	rooms []*room
	// testers lists by import path the packages whose tests could notice a change of it: its own first, then the
	// nearest ones.
	testers map[string][]string
}

// listed is what the go command says of a package.
type listed struct {
	Dir, ImportPath                    string
	GoFiles                            []string
	Imports, TestImports, XTestImports []string
}

func list(root string, env ...string) ([]listed, error) {
	cmd := exec.Command("go", "list", "-json", "./...", "./testdata", "./testdata/demos", "./.ci/rules")
	cmd.Dir, cmd.Env = root, append(os.Environ(), env...)
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	var all []listed
	d := json.NewDecoder(bytes.NewReader(out))
	for {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all, nil
		} else if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
}

// loadTree reads the packages; those files that only a browser runs are rooms of their own.
func loadTree(root string) (*tree, error) {
	root, err := filepath.Abs(root)
	if err != nil {
		return nil, err
	}
	native, err := list(root)
	if err != nil {
		return nil, err
	}
	t := &tree{root: root, testers: testers(native)}
	known := map[string]bool{}
	add := func(p listed, isBrowser bool) error {
		r := &room{path: p.ImportPath, browser: isBrowser, texts: map[string]string{}}
		for _, f := range p.GoFiles {
			path, err := filepath.Rel(root, filepath.Join(p.Dir, f))
			if err != nil {
				return err
			}
			if known[path] {
				continue
			}
			known[path] = true
			b, err := os.ReadFile(filepath.Join(root, path))
			if err != nil {
				return err
			}
			r.files, r.texts[path] = append(r.files, path), string(b)
			if err := r.find(path, string(b)); err != nil {
				return err
			}
		}
		t.rooms = append(t.rooms, r)
		return nil
	}
	for _, p := range native {
		if err := add(p, false); err != nil {
			return nil, err
		}
	}
	inBrowser, err := list(root, "GOOS=js", "GOARCH=wasm")
	if err != nil {
		return nil, err
	}
	for _, p := range inBrowser {
		if err := add(p, true); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// testers finds for each package those whose tests stand on it, by the number of steps between them.
func testers(all []listed) map[string][]string {
	users := map[string][]string{}
	for _, p := range all {
		for _, imports := range [][]string{p.Imports, p.TestImports, p.XTestImports} {
			for _, i := range imports {
				if !slices.Contains(users[i], p.ImportPath) {
					users[i] = append(users[i], p.ImportPath)
				}
			}
		}
	}
	out := map[string][]string{}
	for _, p := range all {
		order := []string{p.ImportPath}
		for k := 0; k < len(order); k++ {
			next := slices.Clone(users[order[k]])
			sort.Strings(next)
			for _, u := range next {
				if !slices.Contains(order, u) {
					order = append(order, u)
				}
			}
		}
		out[p.ImportPath] = order
	}
	return out
}

// bench is the copy of the tree in which changes are tried.
type bench struct {
	*tree
	copy    string
	browser string
	without []string // packages that are tested for their own changes alone
	// unchanged says of packages whose tests found a change what these find without one: nothing, as they should.
	unchanged map[string]error
}

// newBench copies the files that are committed or about to be.
func newBench(t *tree, browser string, without []string) (*bench, error) {
	dir, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return nil, err
	}
	b := &bench{t, dir, browser, without, map[string]error{}}
	cmd := exec.Command("git", "ls-files", "-co", "--exclude-standard")
	cmd.Dir = t.root
	out, err := cmd.Output()
	if err != nil {
		return nil, err
	}
	for _, f := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		text, err := os.ReadFile(filepath.Join(t.root, f))
		if err != nil {
			continue // deleted and not yet committed
		}
		if err := os.MkdirAll(filepath.Dir(filepath.Join(dir, f)), 0o755); err != nil {
			return nil, err
		}
		info, _ := os.Stat(filepath.Join(t.root, f))
		if err := os.WriteFile(filepath.Join(dir, f), text, info.Mode()); err != nil {
			return nil, err
		}
	}
	if err := os.Symlink(filepath.Join(t.root, "site/node_modules"),
		filepath.Join(dir, "site/node_modules")); err != nil {
		return nil, err
	}
	// The rules' tests ask git for the list of files, and run the command.
	if out, err := b.shell(time.Minute, "git init -q && git add -A"); err != nil {
		return nil, fmt.Errorf("git: %w\n%s", err, out)
	}
	return b, nil
}

func (b *bench) close() { os.RemoveAll(b.copy) }

const (
	patience = 10 * time.Minute // after which tests are taken for ones that never end
	memory   = 12_000_000       // kilobytes that a changed program may take
)

// shell runs a command in the copy, with a limit to time and memory, and ends all that it started.
func (b *bench) shell(limit time.Duration, command string) (string, error) {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	cmd := exec.CommandContext(ctx, "bash", "-c", command)
	cmd.Dir = b.copy
	cmd.Env = append(os.Environ(), "PART=1")
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	cmd.Cancel = func() error { return syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
	cmd.WaitDelay = 10 * time.Second
	out, err := cmd.CombinedOutput()
	if ctx.Err() != nil {
		err = ctx.Err()
	}
	return string(out), err
}

// test runs the tests of a package.
func (b *bench) test(path string, limit time.Duration) (string, error) {
	prepare := ""
	if strings.HasSuffix(path, ".ci/rules") {
		prepare = "go build -o build/nodespan ./solver/cmd/nodespan && "
	}
	return b.shell(limit, fmt.Sprintf("ulimit -d %d; %sgo test -vet=off -timeout 30m %s", memory, prepare, path))
}

// passes reports whether the tests of a package pass without a change; it runs them once.
func (b *bench) passes(path string) error {
	err, known := b.unchanged[path]
	if !known {
		var out string
		if out, err = b.test(path, patience); err != nil {
			err = fmt.Errorf("the tests of %s fail without a change: %s", path, failure(out))
		}
		b.unchanged[path] = err
	}
	return err
}

// try makes a change, runs the tests until one fails, and takes the change back. It says which package's tests noticed.
func (b *bench) try(c change) (v verdict, by string) {
	path := filepath.Join(b.copy, c.file)
	text := c.room.texts[c.file]
	write := func(s string) {
		if err := os.WriteFile(path, []byte(s), 0o644); err != nil {
			panic(err)
		}
	}
	if c.room.browser && b.browser == "" {
		return untried, "no browser"
	}
	write(c.apply(text))
	defer write(text)
	if c.room.browser {
		if out, err := b.shell(patience, "GOOS=js GOARCH=wasm go build -o /dev/null ./wasm"); err != nil {
			return unbuilt, strings.TrimSpace(lastLine(out))
		}
		out, err := b.shell(2*patience, "mkdir -p build && go build -o build/nodespan ./solver/cmd/nodespan && go run "+
			"./site/build && "+b.browser)
		if err != nil {
			return found, "page: " + failure(out)
		}
		return survives, "page"
	}
	for _, p := range b.testers[c.room.path] {
		if p != c.room.path && (slices.Contains(b.without, p) || slices.Contains(b.without, "all")) {
			continue
		}
		out, err := b.test(p, patience)
		if err == nil {
			continue
		}
		if strings.Contains(out, "[build failed]") || strings.Contains(out, "[setup failed]") {
			return unbuilt, strings.TrimSpace(strings.Split(out, "\n")[0])
		}
		write(text)
		passes := b.passes(p)
		write(c.apply(text))
		switch {
		case passes != nil:
			return untried, passes.Error()
		case errors.Is(err, context.DeadlineExceeded):
			return found, p + ": never ends"
		}
		return found, p + ": " + failure(out)
	}
	return survives, fmt.Sprint("no test of ", len(b.testers[c.room.path]), " packages")
}

func lastLine(s string) string {
	lines := strings.Split(strings.TrimSpace(s), "\n")
	return lines[len(lines)-1]
}

// failure is the line of a test's output that says what failed.
func failure(out string) string {
	for _, line := range strings.Split(out, "\n") {
		for _, mark := range []string{"--- FAIL: ", "panic: ", "fatal error: ", "✖ "} {
			if _, after, ok := strings.Cut(line, mark); ok {
				return after
			}
		}
	}
	return lastLine(out)
}
