// Command build makes the page, in two forms, in a folder:
//
//	go run ./site/build [-out build]
//
//	build/site/          for any static server: index.html, nodespan.css, nodespan.js, nodespan.wasm (and .gz, .br),
//	                     math.woff2, licences.txt, frame.js for course pages, and sw.js, manifest.webmanifest and
//	                     icon.svg, by which it is installed and works with no network; course/, an example of a
//	                     course's pages
//	build/nodespan.html  one file with everything inlined, which works from disk with no network
//
// It runs in the module's root. It needs Go, and Node with npm for the font (subset-font, pinned in site/package.json)
// and for Brotli.
package main

import (
	"crypto/sha256"
	"encoding/ascii85"
	"encoding/base64"
	"errors"
	"flag"
	"fmt"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"time"

	"nodespan/expr/course"
	"nodespan/solver/nodes"
)

func main() {
	log.SetFlags(0)
	log.SetPrefix("site/build: ")
	out := flag.String("out", "build", "folder to write to")
	flag.Parse()
	if flag.NArg() > 0 {
		flag.Usage()
		os.Exit(2)
	}
	started := time.Now()
	if err := build(*out); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("made in %.1f s\n", time.Since(started).Seconds())
}

// parts are the ingredients of the page.
type parts struct {
	index, help, keys     string // as they stand in site/
	written               string // testdata/written.txt
	style, script         string // the script has Go's own in front
	offline               string // the service worker
	module, gzip, brotli  []byte // WebAssembly, and the same compressed
	font                  []byte // WOFF2
	licences, versionText string
}

func build(out string) error {
	p, err := gather(out)
	if err != nil {
		return err
	}
	if err := writeFolder(filepath.Join(out, "site"), p); err != nil {
		return err
	}
	return writeSingle(filepath.Join(out, "nodespan.html"), p)
}

func gather(out string) (*parts, error) {
	work := filepath.Join(out, "work")
	if err := os.MkdirAll(work, 0o755); err != nil {
		return nil, err
	}
	var p parts
	var err error
	if p.versionText, err = version(); err != nil {
		return nil, err
	}
	if p.module, err = compile(filepath.Join(work, "nodespan.wasm")); err != nil {
		return nil, err
	}
	if p.gzip, p.brotli, err = compress(work, p.module); err != nil {
		return nil, err
	}
	if p.font, err = font(filepath.Join(work, "math.woff2")); err != nil {
		return nil, err
	}
	if p.licences, err = licences(); err != nil {
		return nil, err
	}
	root, err := goEnv("GOROOT")
	if err != nil {
		return nil, err
	}
	runtime, err := os.ReadFile(filepath.Join(root, "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return nil, fmt.Errorf("the JavaScript support file of Go: %w", err)
	}
	for _, f := range []struct {
		name string
		to   *string
	}{{"site/index.html", &p.index}, {"site/help.html", &p.help}, {"site/keys.html", &p.keys},
		{"site/nodespan.css", &p.style}, {"site/start.js", &p.script},
		{"site/sw.js", &p.offline},
		{"testdata/written.txt", &p.written}} {
		text, err := os.ReadFile(filepath.FromSlash(f.name))
		if err != nil {
			return nil, err
		}
		*f.to = string(text)
	}
	p.script = compact(string(runtime) + p.script)
	p.style = compact(p.style)
	return &p, nil
}

// onItsOwn is a comment of a style sheet or a script that has its lines to itself.
var onItsOwn = regexp.MustCompile(`(?sm)^[ \t]*(//[^\n]*|/\*.*?\*/)[ \t]*$`)

// indented is what stands before the first word of a line, empty lines included.
var indented = regexp.MustCompile(`\n\s+`)

// compact leaves out of a style sheet or a script what browsers do not need: comments on lines of their own, and white
// space at the beginnings of lines. Neither has texts that run over lines.
func compact(text string) string {
	return strings.TrimSpace(indented.ReplaceAllString(onItsOwn.ReplaceAllString(text, ""), "\n"))
}

// compile builds the WebAssembly module, without symbols and debug information (-s -w).
func compile(to string) ([]byte, error) {
	cmd := exec.Command("go", "build", "-trimpath", "-ldflags", "-s -w", "-o", to, "./wasm")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	cmd.Stderr = os.Stderr
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("compiling ./wasm: %w", err)
	}
	return os.ReadFile(to)
}

// compress is the module as gzip, for the one file and for servers that send it so, and as Brotli, for servers. The
// same module is not compressed twice, as it takes its time.
func compress(work string, module []byte) (gzip, brotli []byte, err error) {
	in := filepath.Join(work, "nodespan.wasm")
	stamp, sum := filepath.Join(work, "compressed.sha256"), hash(string(module))
	if old, err := os.ReadFile(stamp); err != nil || string(old) != sum {
		done := make(chan error)
		for _, form := range []string{".gz", ".br"} {
			go func() { done <- node("compress.mjs", in, in+form) }()
		}
		if err := errors.Join(<-done, <-done); err != nil {
			return nil, nil, fmt.Errorf("compressing the module: %w", err)
		}
		if err := os.WriteFile(stamp, []byte(sum), 0o644); err != nil {
			return nil, nil, err
		}
	}
	if gzip, err = os.ReadFile(in + ".gz"); err != nil {
		return nil, nil, err
	}
	brotli, err = os.ReadFile(in + ".br")
	return gzip, brotli, err
}

// font cuts the math font down.
func font(to string) ([]byte, error) {
	if err := node("font.mjs", to); err != nil {
		return nil, fmt.Errorf("cutting the math font: %w", err)
	}
	return os.ReadFile(to)
}

// installed reports whether a package of npm's is there.
func installed(name string) bool {
	_, err := os.Stat(filepath.Join("site", "node_modules", filepath.FromSlash(name)))
	return err == nil
}

// install fetches npm's packages, once a run and only if they are not there yet: two scripts that run side by side
// must not unpack into one folder.
var install = sync.OnceValue(func() error {
	if installed("subset-font") && installed("@gfx/zopfli") {
		return nil
	}
	cmd := exec.Command("npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error")
	cmd.Dir = "site"
	cmd.Stdout, cmd.Stderr = os.Stderr, os.Stderr
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("npm ci in site/ (the build needs Node and npm): %w", err)
	}
	return nil
})

// node runs a script of site/ with file names.
func node(script string, files ...string) error {
	if err := install(); err != nil {
		return err
	}
	args := []string{script}
	for _, f := range files {
		whole, err := filepath.Abs(f)
		if err != nil {
			return err
		}
		args = append(args, whole)
	}
	cmd := exec.Command("node", args...)
	cmd.Dir = "site"
	cmd.Stderr = os.Stderr
	return cmd.Run()
}

// version names the commit that the page was built from, where git knows it.
func version() (string, error) {
	text, err := exec.Command("git", "describe", "--always", "--dirty", "--tags").Output()
	if err != nil {
		return "unversioned", nil // a downloaded archive has no history
	}
	return strings.TrimSpace(string(text)), nil
}

func goEnv(name string) (string, error) {
	text, err := exec.Command("go", "env", name).Output()
	if err != nil {
		return "", fmt.Errorf("go env %s: %w", name, err)
	}
	return strings.TrimSpace(string(text)), nil
}

func writeFolder(dir string, p *parts) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	page, err := p.page(map[string]string{
		"style": `<link rel="stylesheet" href="nodespan.css">` + "\n" +
			`<link rel="manifest" href="manifest.webmanifest">`,
		"script": `<script src="nodespan.js"></script>`,
		"policy": "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self' blob:; " +
			"style-src 'self'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; frame-src 'self'; " +
			"manifest-src 'self'; base-uri 'none'; form-action 'none'",
	})
	if err != nil {
		return err
	}
	icon, err := p.icon()
	if err != nil {
		return err
	}
	files := map[string][]byte{
		"index.html":    []byte(page),
		"nodespan.css":  []byte(strings.ReplaceAll(p.style, fontMark, "math.woff2")),
		"nodespan.js":   []byte(p.script),
		"frame.js":      []byte(compact(course.Script)),
		"nodespan.wasm": p.module,
		"math.woff2":    p.font,
		"licences.txt":  []byte(p.licences),

		"icon.svg":             []byte(icon),
		"manifest.webmanifest": []byte(manifest),
	}
	if files["sw.js"], err = p.serviceWorker(files); err != nil {
		return err
	}
	files["nodespan.wasm.gz"], files["nodespan.wasm.br"] = p.gzip, p.brotli // which servers send in the module's place
	pages, err := hutCourse()
	if err != nil {
		return err
	}
	for name, data := range pages {
		files["course/"+name] = data
	}
	for name, data := range files {
		file := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(file, data, 0o644); err != nil {
			return err
		}
	}
	fmt.Printf("%s  nodespan.wasm %d bytes, as gzip %d, as Brotli %d\n", dir, len(p.module), len(p.gzip), len(p.brotli))
	return nil
}

// largestFile is what the one file may weigh, in bytes.
const largestFile = 5_000_000

func writeSingle(file string, p *parts) error {
	style := strings.ReplaceAll(p.style, fontMark, "data:font/woff2;base64,"+base64.StdEncoding.EncodeToString(p.font))
	page, err := p.page(map[string]string{
		"style": "<style>" + style + "</style>",
		// The module stands before the script, which takes it up at once. A script of an unknown type is data to a
		// browser.
		"script": `<script type="application/x-nodespan-module" id="module">` +
			ascii85Text(p.gzip) + "</script>\n" +
			"<script>" + p.script + "</script>",
		"policy": "default-src 'none'; script-src " + hash(p.script) +
			" 'wasm-unsafe-eval'; worker-src blob:; style-src " + hash(style) +
			"; img-src data: blob:; font-src data:; connect-src 'none'; frame-src 'self'; " +
			"base-uri 'none'; form-action 'none'",
	})
	if err != nil {
		return err
	}
	if len(page) > largestFile {
		return fmt.Errorf("the one file has %d bytes; it may have %d", len(page), largestFile)
	}
	if err := os.WriteFile(file, []byte(page), 0o644); err != nil {
		return err
	}
	fmt.Printf("%s  %d bytes\n", file, len(page))
	return nil
}

// ascii85Text writes bytes as ASCII85 (encoding/ascii85) for the text of a script element; start.js undoes it. It takes
// a quarter more than the bytes, base64 a third.
func ascii85Text(b []byte) string {
	text := make([]byte, ascii85.MaxEncodedLen(len(b)))
	return strings.ReplaceAll(string(text[:ascii85.Encode(text, b)]), "<", "v") // which ASCII85 does not use
}

// fontMark stands in the style sheet where the address of the font goes.
const fontMark = "MATH-FONT"

// page fills the marks <!--name--> of the index. A mark that is missing or left over is an error.
func (p *parts) page(values map[string]string) (string, error) {
	written, err := written(p.written)
	if err != nil {
		return "", err
	}
	values["help"] = strings.NewReplacer("<!--functions-->", functions(), "<!--written-->", written).Replace(p.help)
	values["keys"] = p.keys
	values["families"] = families()
	if values["examples"], err = examples(); err != nil {
		return "", err
	}
	values["version"] = p.versionText
	values["licences"] = escape.Replace(p.licences)
	text := p.index
	for name, value := range values {
		mark := "<!--" + name + "-->"
		if strings.Count(text, mark) != 1 {
			return "", fmt.Errorf("site/index.html: the mark %s must occur once", mark)
		}
		text = strings.Replace(text, mark, value, 1)
	}
	return text, nil
}

// families are the options of the families of nodes; Legendre is the usual one, and has no value.
func families() string {
	var options []string
	for _, f := range nodes.Families() {
		value := f.String()
		if f == nodes.Legendre {
			value = ""
		}
		options = append(options, fmt.Sprintf(`<option value="%s">%s</option>`, value, f.Title()))
	}
	return strings.Join(options, "\n        ")
}

// written are the examples of what is read (testdata/written.txt), as terms and their descriptions.
func written(table string) (string, error) {
	var items []string
	for _, line := range strings.Split(strings.TrimSpace(table), "\n") {
		if line == "" || strings.HasPrefix(line, "//") {
			continue
		}
		cells := strings.Split(escape.Replace(line), " | ")
		if len(cells) != 3 {
			return "", fmt.Errorf("testdata/written.txt: a row has %d cells: %s", len(cells), line)
		}
		means, refused := cells[2], strings.HasPrefix(cells[2], "refused: ")
		if !refused {
			means = "is <code>" + means + "</code>"
		}
		items = append(items, fmt.Sprintf("<dt>%s</dt><dd><code>%s</code><br>%s</dd>", cells[0],
			strings.ReplaceAll(cells[1], " ⏎ ", "</code><br><code>"), means))
	}
	return strings.Join(items, "\n            "), nil
}

var escape = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

// hash is the source expression that lets the policy admit one inline script or style.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}
