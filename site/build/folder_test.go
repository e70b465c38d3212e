package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"nodespan/expr/course"
)

// TestFolder: the folder for servers holds every file under its name, and its service worker knows them by their
// hashes, but for what servers send in the module's place.
func TestFolder(t *testing.T) {
	p := &parts{style: "a { font: url(MATH-FONT) }", script: "s", module: []byte("m"),
		gzip: []byte("z"), brotli: []byte("b"), font: []byte("font"), licences: "l & l", versionText: "v1"}
	for name, to := range map[string]*string{"index.html": &p.index, "help.html": &p.help, "keys.html": &p.keys,
		"sw.js": &p.offline} {
		text, err := os.ReadFile("../" + name)
		if err != nil {
			t.Fatal(err)
		}
		*to = string(text)
	}
	p.written = "what | y'' = y ⏎ y(0) = 1 | y'' = y\n// a remark\n\nbad | 1/2x | refused: two readings"
	dir := filepath.Join(t.TempDir(), "site")
	if err := writeFolder(dir, p); err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	files, _ := filepath.Glob(dir + "/*.*") // not the course, which is no part of what is installed
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		got[filepath.Base(file)] = string(text)
	}
	for name, want := range map[string]string{"nodespan.css": "a { font: url(math.woff2) }", "nodespan.js": "s",
		"frame.js":      compact(course.Script),
		"nodespan.wasm": "m", "nodespan.wasm.gz": "z", "nodespan.wasm.br": "b", "math.woff2": "font",
		"licences.txt": "l & l"} {
		if got[name] != want {
			t.Errorf("%s: %q, want %q", name, got[name], want)
		}
	}
	for name, parts := range map[string][]string{
		"index.html": {"l &amp; l", "v1", `href="nodespan.css"`, `src="nodespan.js"`, "script-src 'self'",
			`<option value="">`,
			"<dt>what</dt><dd><code>y'' = y</code><br><code>y(0) = 1</code><br>" +
				"is <code>y'' = y</code></dd>",
			"<dt>bad</dt><dd><code>1/2x</code><br>refused: two readings</dd>"},
		"icon.svg": {"<svg ", "</svg>"},
	} {
		for _, part := range parts {
			if !strings.Contains(got[name], part) {
				t.Errorf("%s has no %s", name, part)
			}
		}
	}
	var about struct{ Icons []struct{ Src string } }
	err := json.Unmarshal([]byte(got["manifest.webmanifest"]), &about)
	if err != nil || about.Icons[0].Src != "icon.svg" {
		t.Errorf("manifest: %v, %v", about, err)
	}
	holds(t, got)
	if _, err := written("two | cells"); err == nil {
		t.Error("a row of two cells was taken")
	}
	p.index = strings.Replace(p.index, `rel="icon"`, `rel="none"`, 1)
	if err := writeFolder(dir, p); err == nil {
		t.Error("a page without an icon was written")
	}
}

// holds holds the service worker's list to the files.
func holds(t *testing.T, files map[string]string) {
	_, list, _ := strings.Cut(files["sw.js"], "= {")
	list, _, _ = strings.Cut(list, "};")
	var sums map[string]string
	if err := json.Unmarshal([]byte("{"+list+"}"), &sums); err != nil {
		t.Fatalf("%v: %s", err, list)
	}
	if len(sums) != len(files)-3 { // itself, and the module's two other forms
		t.Errorf("%d of %d files: %v", len(sums), len(files), sums)
	}
	for name, sum := range sums {
		if name == "./" {
			name = "index.html"
		}
		if want := strings.Trim(hash(files[name]), "'"); sum != want || files[name] == "" {
			t.Errorf("%s: %s, want %s", name, sum, want)
		}
	}
}

// TestNotices: each module that the page is made of has its notice, once, in the order of names.
func TestNotices(t *testing.T) {
	t.Chdir("../..")
	list, err := moduleNotices()
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, n := range list {
		name, version, _ := strings.Cut(n.name, " ")
		names = append(names, name)
		if uses[name] != n.use || !strings.HasPrefix(version, "v") || !strings.Contains(n.text, "opyright") {
			t.Errorf("%s: %s, %.40s", n.name, n.use, n.text)
		}
	}
	if got := strings.Join(names, " "); got != "github.com/Knetic/govaluate gonum.org/v1/gonum honnef.co/go/js/dom/v2" {
		t.Error(got)
	}
}
