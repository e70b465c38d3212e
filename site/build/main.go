// Command build makes the page, in two forms, in a folder:
//
//	go run ./site/build [-out build]
//
//	build/site/          for any static server: index.html, nodespan.css, nodespan.js, nodespan.wasm (and .gz), math.woff2, licences.txt
//	build/nodespan.html  one file with everything inlined, which works from disk with no network
//
// It runs in the module's root. It needs Go, and Node with npm for the font and for packing (subset-font and 7z-wasm, pinned in site/package.json).
package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"flag"
	"fmt"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
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
	index, help           string // as they stand in site/
	style, script         string // the script has Go's own in front
	unpack                string // the script that unpacks the module
	module, packed        []byte // WebAssembly, and the same as LZMA
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
	short, err := shorten(p.module)
	if err != nil {
		return nil, fmt.Errorf("shortening the module: %w", err)
	}
	if p.packed, err = pack(work, short); err != nil {
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
	}{{"index.html", &p.index}, {"help.html", &p.help}, {"nodespan.css", &p.style}, {"start.js", &p.script}, {"unpack.js", &p.unpack}} {
		text, err := os.ReadFile(filepath.Join("site", f.name))
		if err != nil {
			return nil, err
		}
		*f.to = string(text)
	}
	p.script = string(runtime) + p.script
	return &p, nil
}

// fast are the packages of the inner loops. In the others the compiler does not put functions in the place of
// their calls, which saves a tenth of the packed module.
var fast = []string{
	"runtime", "internal/runtime/...", "math", "math/bits", "slices", "sort", "container/heap", "syscall/js",
	"gonum.org/v1/gonum/blas/...", "gonum.org/v1/gonum/internal/...", "gonum.org/v1/gonum/floats", "gonum.org/v1/gonum/mat",
	"nodespan/solver/bvp", "nodespan/solver/nodes", "nodespan/solver/blocks", "nodespan/solver/collocation", "nodespan/solver/newton",
	"nodespan/solver/differences", "nodespan/expr/tape",
}

// compile builds the WebAssembly module, without symbols and debug information (-s -w), and slims it.
func compile(to string) ([]byte, error) {
	// The tag page leaves govaluate out, which checks the tape in every test: see expr/tape/evaluate.go.
	args := []string{"build", "-tags", "page", "-trimpath", "-ldflags", "-s -w", "-gcflags", "all=-l"}
	for _, packages := range fast {
		args = append(args, "-gcflags", packages+"=")
	}
	cmd := exec.Command("go", append(args, "-o", to, "./wasm")...)
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	cmd.Stderr = os.Stderr
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("compiling ./wasm: %w", err)
	}
	module, err := os.ReadFile(to)
	if err != nil {
		return nil, err
	}
	if module, err = slim(module); err != nil {
		return nil, fmt.Errorf("slimming the module: %w", err)
	}
	return module, os.WriteFile(to, module, 0o644)
}

// squeeze is the module in gzip, for servers that send it so.
func squeeze(data []byte) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := z.Write(data); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// pack is the shortened module as LZMA, for the one file. The same module is not packed twice.
func pack(work string, module []byte) ([]byte, error) {
	in, out := filepath.Join(work, "nodespan.short"), filepath.Join(work, "nodespan.lzma")
	stamp, sum := filepath.Join(work, "packed.sha256"), hash(string(module))
	if old, err := os.ReadFile(stamp); err == nil && string(old) == sum {
		if packed, err := os.ReadFile(out); err == nil {
			return packed, nil
		}
	}
	if err := os.WriteFile(in, module, 0o644); err != nil {
		return nil, err
	}
	if err := node("pack.mjs", in, out); err != nil {
		return nil, fmt.Errorf("packing the module: %w", err)
	}
	if err := os.WriteFile(stamp, []byte(sum), 0o644); err != nil {
		return nil, err
	}
	return os.ReadFile(out)
}

// font cuts the math font down.
func font(to string) ([]byte, error) {
	if err := node("font.mjs", to); err != nil {
		return nil, fmt.Errorf("cutting the math font: %w", err)
	}
	return os.ReadFile(to)
}

// node runs a script of site/ with file names, after installing what it takes if that is not there yet.
func node(script string, files ...string) error {
	for _, tool := range []string{"subset-font", "7z-wasm"} {
		if _, err := os.Stat(filepath.Join("site", "node_modules", tool)); !errors.Is(err, os.ErrNotExist) {
			continue
		}
		install := exec.Command("npm", "ci", "--no-audit", "--no-fund", "--loglevel=error")
		install.Dir = "site"
		install.Stdout, install.Stderr = os.Stderr, os.Stderr
		if err := install.Run(); err != nil {
			return fmt.Errorf("npm ci in site/ (the build needs Node and npm): %w", err)
		}
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
		"style":  `<link rel="stylesheet" href="nodespan.css">`,
		"script": `<script src="nodespan.js"></script>`,
		"policy": "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; style-src 'self'; img-src data: blob:; " +
			"font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'",
	})
	if err != nil {
		return err
	}
	squeezed, err := squeeze(p.module)
	if err != nil {
		return err
	}
	for name, data := range map[string][]byte{
		"index.html":       []byte(page),
		"nodespan.css":     []byte(strings.ReplaceAll(p.style, fontMark, "math.woff2")),
		"nodespan.js":      []byte(p.script),
		"nodespan.wasm":    p.module,
		"nodespan.wasm.gz": squeezed,
		"math.woff2":       p.font,
		"licences.txt":     []byte(p.licences),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			return err
		}
	}
	fmt.Printf("%s  nodespan.wasm %d bytes, as gzip %d\n", dir, len(p.module), len(squeezed))
	return nil
}

func writeSingle(file string, p *parts) error {
	script := p.unpack + p.script
	style := strings.ReplaceAll(p.style, fontMark, "data:font/woff2;base64,"+base64.StdEncoding.EncodeToString(p.font))
	page, err := p.page(map[string]string{
		"style": "<style>" + style + "</style>",
		// The module stands before the script, which takes it up at once. A script of an unknown type is data to a browser.
		"script": `<script type="application/x-nodespan-module" id="module">` + encode(p.packed) + "</script>\n" +
			"<script>" + script + "</script>",
		"policy": "default-src 'none'; script-src " + hash(script) + " 'wasm-unsafe-eval'; worker-src blob:; style-src " + hash(style) +
			"; img-src data: blob:; font-src data:; connect-src 'none'; base-uri 'none'; form-action 'none'",
	})
	if err != nil {
		return err
	}
	if err := os.WriteFile(file, []byte(page), 0o644); err != nil {
		return err
	}
	fmt.Printf("%s  %d bytes\n", file, len(page))
	return nil
}

// fontMark stands in the style sheet where the address of the font goes.
const fontMark = "MATH-FONT"

// page fills the marks <!--name--> of the index. A mark that is missing or left over is an error.
func (p *parts) page(values map[string]string) (string, error) {
	values["help"] = p.help
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

var escape = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

// hash is the source expression that lets the policy admit one inline script or style.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}
