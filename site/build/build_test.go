package main

import (
	"bytes"
	"html"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"nodespan/testdata/demos"
)

// What the page's script undoes (ASCII85, gzip) and what a server may send (Brotli) is the module, byte for byte: Node,
// which has a browser's decoders, takes both apart.
func TestSqueezed(t *testing.T) {
	dir := t.TempDir()
	random := rand.New(rand.NewSource(1))
	noise := make([]byte, 70_001)
	random.Read(noise)
	t.Chdir("../..") // the build runs in the module's root
	program := `
const fs = require("fs"), [gz, br, plain] = process.argv.slice(1);
const bytes = require("vm").runInThisContext(fs.readFileSync("site/start.js", "utf8")
	.match(/const bytes = ([^]*?\n\t});/)[1]);
const unzipped = new Blob([bytes(fs.readFileSync(gz, "utf8"))]).stream().pipeThrough(new DecompressionStream("gzip"));
new Response(unzipped).arrayBuffer().then((data) => {
	const want = fs.readFileSync(plain);
	if (!want.equals(Buffer.from(data))) throw new Error("gzip");
	if (!want.equals(require("zlib").brotliDecompressSync(fs.readFileSync(br)))) throw new Error("Brotli");
	process.stdout.write(String(want.length));
});`
	for name, data := range map[string][]byte{"one byte": {7}, "noise": noise, "zeros": make([]byte, 300_000)} {
		gz, plain := filepath.Join(dir, "gz.txt"), filepath.Join(dir, "nodespan.wasm")
		if err := os.WriteFile(plain, data, 0o644); err != nil {
			t.Fatal(err)
		}
		zipped, _, err := compress(dir, data)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if err := os.WriteFile(gz, []byte(ascii85Text(zipped)), 0o644); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command("node", "-e", program, gz, plain+".br", plain).CombinedOutput()
		if err != nil || string(out) != strconv.Itoa(len(data)) {
			t.Errorf("%s: %v\n%s", name, err, out)
		}
	}
}

// The one file that a page of the given weight becomes is written below the limit, and refused above it.
func TestLargestFile(t *testing.T) {
	index, err := os.ReadFile("../index.html")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		weight int
		fits   bool
	}{{3_900_000, true}, {4_000_000, false}} {
		file := filepath.Join(t.TempDir(), "page.html")
		err := writeSingle(file, &parts{index: string(index), gzip: bytes.Repeat([]byte{1}, c.weight)})
		if _, missing := os.Stat(file); (err == nil) != c.fits || (missing == nil) != c.fits {
			t.Errorf("a module of %d bytes: %v", c.weight, err)
		}
	}
}

// Every mark of the page is filled once.
func TestPage(t *testing.T) {
	index, err := os.ReadFile("../index.html")
	if err != nil {
		t.Fatal(err)
	}
	p := &parts{index: string(index), licences: "a < b & c", versionText: "v"}
	text, err := p.page(map[string]string{"style": "S", "script": "J", "policy": "P"})
	if err != nil || strings.Contains(text, "<!--") || !strings.Contains(text, "a &lt; b &amp; c") {
		t.Errorf("%v: %s", err, text)
	}
	if _, err := p.page(map[string]string{"nonsense": "x"}); err == nil {
		t.Error("a value without a mark was taken")
	}
}

// The sheet that the help shows is whole, and the functions are those of the table.
func TestHelp(t *testing.T) {
	help, err := os.ReadFile("../help.html")
	if err != nil {
		t.Fatal(err)
	}
	_, sample, found := strings.Cut(string(help), `<pre id="sample">`)
	sample, _, ended := strings.Cut(sample, "</pre>")
	if !found || !ended {
		t.Fatal("no sample in help.html")
	}
	if picture, err := picture(html.UnescapeString(sample)); err != nil || !strings.Contains(picture, "<polyline") {
		t.Errorf("%v: %s", err, sample)
	}
	table, err := os.ReadFile("../../testdata/written.txt")
	if err != nil {
		t.Fatal(err)
	}
	list, err := written(string(table))
	if err != nil || strings.Count(list, "<dt>") < 15 || strings.Contains(list, "⏎") {
		t.Errorf("%v: %s", err, list)
	}
	if list := functions(); !strings.Contains(list, "<code>sqrt</code>") || strings.Contains(list, "<code></code>") {
		t.Errorf("functions: %s", list)
	}
}

// Every demonstration has a button with a picture of each of its unknowns.
func TestExamples(t *testing.T) {
	list, err := examples()
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range demos.All() {
		_, button, found := strings.Cut(list, `data-example="`+d.Name+`"`)
		button, _, _ = strings.Cut(button, "</button>")
		if n := strings.Count(button, "<polyline"); !found || n < 1 || !strings.Contains(button, d.Title) {
			t.Errorf("%s: %d curves: %s", d.Name, n, button)
		}
	}
}

// What comes without a history, as a downloaded archive, has no version.
func TestWithoutHistory(t *testing.T) {
	t.Setenv("GIT_CEILING_DIRECTORIES", os.TempDir())
	t.Chdir(t.TempDir())
	if v, err := version(); v != "unversioned" || err != nil {
		t.Errorf("%q, %v", v, err)
	}
}

// What browsers do not need is left out, and nothing else.
func TestCompact(t *testing.T) {
	in := "// one\n\ta = \"// b\"; // stays\n\n/* two\n lines */\n\t\tf(c);\n"
	if got, want := compact(in), "a = \"// b\"; // stays\nf(c);"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	for _, file := range []string{"../start.js", "../nodespan.css"} {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(text), "`") {
			t.Errorf("%s has a text that may run over lines", file)
		}
		bare := strings.NewReplacer(" ", "", "\t", "", "\n", "")
		whole, short := bare.Replace(onItsOwn.ReplaceAllString(string(text), "")), bare.Replace(compact(string(text)))
		if whole != short || len(short) < 2000 {
			t.Errorf("%s: compact has %d characters, the source %d", file, len(short), len(whole))
		}
	}
}

// TestPicture: an example's picture runs from one end of the interval to the other, and from the least value at the
// bottom to the largest at the top.
func TestPicture(t *testing.T) {
	for sheet, want := range map[string][2]string{
		"y'' = 0; y(2) = 5; y(6) = 9":  {"3.0,37.0", "69.0,3.0"},
		"y'' = 0; y(2) = 9; y(6) = 5":  {"3.0,3.0", "69.0,37.0"},
		"y'' = 0; y(-1) = 4; y(1) = 4": {"3.0,20.0", "69.0,20.0"},
	} {
		svg, err := picture(sheet)
		if err != nil {
			t.Fatal(err)
		}
		_, points, _ := strings.Cut(svg, `points="`)
		points, _, _ = strings.Cut(points, `"`)
		list := strings.Fields(points)
		if len(list) < 2 || list[0] != want[0] || list[len(list)-1] != want[1] {
			t.Errorf("%s: from %s to %s, want %v", sheet, list[0], list[len(list)-1], want)
		}
		if !strings.HasPrefix(svg, `<svg aria-hidden="true" viewBox="0 0 72 40" width="72" height="40">`) {
			t.Error(svg)
		}
		if !strings.HasSuffix(svg, `"/></svg>`) {
			t.Error(svg)
		}
	}
	for _, sheet := range []string{"y'' = (", "y'' + y = 0; y(0) = 0; y(pi) = 1"} {
		if _, err := picture(sheet); err == nil {
			t.Errorf("%s has a picture", sheet)
		}
	}
}
