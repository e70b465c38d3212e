package rules

import (
	"encoding/json"
	"go/parser"
	"go/token"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"sort"
	"strings"
	"testing"
)

const root = "../.."

// output runs a command in the project's root.
func output(t *testing.T, name string, args ...string) string {
	t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Dir = root
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %s: %v", name, strings.Join(args, " "), err)
	}
	return string(out)
}

// files lists the project's own files, committed or about to be, relative to the root.
func files(t *testing.T) []string {
	t.Helper()
	var there []string
	for _, f := range strings.Fields(output(t, "git", "ls-files", "-co", "--exclude-standard")) {
		if _, err := os.Stat(filepath.Join(root, f)); err == nil {
			there = append(there, f)
		}
	}
	if len(there) < 20 {
		t.Fatalf("only %d files found: the rules would check nothing", len(there))
	}
	return there
}

func read(t *testing.T, file string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(root, file))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// room returns the top folder of a package or file of this project.
func room(path string) string {
	top, _, _ := strings.Cut(strings.TrimPrefix(path, "nodespan/"), "/")
	return top
}

// meetsSolver are the packages of expr that know the solver.
var meetsSolver = regexp.MustCompile(
	`^expr/(sheet|numbers|report|guess|why|lesson|script|figure|raster|handout|course)/`)

// sheetStandsOn are the packages of the solver that sheet needs to say what a problem is, and that it is one.
var sheetStandsOn = map[string]bool{"nodespan/solver/bvp": true, "nodespan/solver/singular": true,
	"nodespan/solver/blocks": true}

// knowNoBrowser are the packages of the browser program that are the formats of links and of kept sheets.
var knowNoBrowser = map[string]bool{"nodespan/wasm/link": true, "nodespan/wasm/keep": true}

// forTests are the packages that tests share.
var forTests = map[string]bool{"nodespan/solver/bvp/bvptest": true, "nodespan/expr/sheet/sheettest": true}

// faultOfImport says what is wrong with file importing path, or "".
func faultOfImport(file, path string) string {
	isTest := strings.HasSuffix(file, "_test.go")
	switch {
	case strings.HasPrefix(path, "nodespan/"):
		from, to := room(file), room(path)
		switch {
		case path == "nodespan/solver/table/greek":
			return "" // one list of letters, which the formats of tables need too
		case forTests[path] && !isTest:
			return "this package is for tests"
		case forTests[filepath.ToSlash(filepath.Join("nodespan", filepath.Dir(file)))]:
			return "" // the solver's and the reader's tests stand on them
		case from == "solver" && to == "expr" && !strings.HasPrefix(file, "solver/cmd/") && !isTest:
			return "solver knows no text: a problem reaches it as functions"
		case strings.HasPrefix(file, "expr/sheet/") && to == "solver" && !sheetStandsOn[path] && !isTest:
			return "sheet needs the problem's vocabulary, what the equations ask at a singular end, and elimination"
		case from == "expr" && to == "solver" && !meetsSolver.MatchString(file) && !isTest:
			return "in expr, sheet alone makes problems; report takes numbers from solutions, numbers reads those to " +
				"be judged, the others show and tell"
		case path == "nodespan/expr/raster" && !strings.HasPrefix(file, "solver/cmd/nodespan/"):
			return "pictures of pixels are the command's; the page draws on its canvas"
		case knowNoBrowser[path] &&
			(strings.HasPrefix(file, "solver/cmd/nodespan/") || strings.HasPrefix(file, "site/")):
			return "" // the command reads what the page has kept or copied, and makes its links
		case to == "wasm" && from != "wasm":
			return "nothing else stands on the browser program"
		case strings.HasPrefix(file, "expr/function/") && !isTest:
			return "function stands on nothing"
		case strings.HasPrefix(file, "expr/notation/") && path != "nodespan/expr/notation" &&
			path != "nodespan/expr/function" && !isTest:
			return "notation stands on the table of functions alone"
		}
	case path == "syscall/js" || strings.HasPrefix(path, "honnef.co/go/js/dom"):
		if room(file) != "wasm" {
			return "only wasm knows a browser"
		}
	case strings.HasPrefix(path, "gonum.org/v1/gonum/"):
		special := path == "gonum.org/v1/gonum/mathext" && strings.HasPrefix(file, "expr/function/")
		if room(file) != "solver" && !strings.HasPrefix(file, "expr/sheet/") && !special && !isTest {
			return "gonum belongs to the solver and to sheet, which knows it; its special functions to package function"
		}
	case path == "github.com/Knetic/govaluate":
		if room(file) != "expr" {
			return "govaluate belongs to expr"
		}
	case path == "golang.org/x/text/width":
		if !strings.HasPrefix(file, "solver/cmd/nodespan/") {
			return "the width of characters matters on a terminal alone"
		}
	case strings.HasPrefix(path, "golang.org/x/image/"):
		if !strings.HasPrefix(file, "expr/raster/") {
			return "pixels belong to raster"
		}
	case strings.HasPrefix(path, "github.com/rogpeppe/go-internal/"):
		if !strings.HasPrefix(file, "solver/cmd/") || !isTest {
			return "scripts test the commands"
		}
	case strings.Contains(strings.Split(path, "/")[0], "."):
		return "not one of the chosen packages"
	}
	return ""
}

func TestImports(t *testing.T) {
	govaluate := map[string]bool{}
	for _, file := range files(t) {
		if !strings.HasSuffix(file, ".go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), file, read(t, file), parser.ImportsOnly)
		if err != nil {
			t.Error(err)
			continue
		}
		for _, spec := range f.Imports {
			path := strings.Trim(spec.Path.Value, `"`)
			if fault := faultOfImport(file, path); fault != "" {
				t.Errorf("%s imports %s: %s", file, path, fault)
			}
			if path == "github.com/Knetic/govaluate" {
				govaluate[file] = true
			}
		}
	}
	// The library is archived upstream; one file alone holds it, so that it can be replaced.
	if len(govaluate) != 1 {
		t.Errorf("govaluate is imported by %v, want exactly one file", keys(govaluate))
	}
}

func TestFaultOfImport(t *testing.T) {
	for _, c := range []struct {
		file, path string
		allowed    bool
	}{
		{"solver/solver.go", "nodespan/solver/bvp", true},
		{"solver/solver.go", "nodespan/expr/sheet", false},
		{"solver/adapt/adapt_test.go", "nodespan/solver/bvp/bvptest", true},
		{"solver/adapt/adapt.go", "nodespan/solver/bvp/bvptest", false},
		{"expr/sheet/sheettest/sheettest.go", "nodespan/solver", true},
		{"expr/lesson/lesson.go", "nodespan/expr/sheet/sheettest", false},
		{"solver/cmd/nodespan/main.go", "nodespan/expr/sheet", true},
		{"expr/sheet/sheet.go", "nodespan/solver/bvp", true},
		{"expr/sheet/report.go", "nodespan/solver", false},
		{"expr/report/report.go", "nodespan/solver/derived", true},
		{"expr/tape/tape.go", "nodespan/solver/bvp", false},
		{"expr/notation/lex.go", "nodespan/expr/tape", false},
		{"expr/notation/names.go", "nodespan/expr/function", true},
		{"expr/notation/unicode.go", "nodespan/solver/table/greek", true},
		{"expr/notation/unicode.go", "nodespan/solver/table", false},
		{"expr/function/table.go", "nodespan/expr/notation", false},
		{"expr/sheet/sheet.go", "nodespan/wasm/page", false},
		{"expr/figure/figure.go", "nodespan/solver", true},
		{"expr/figure/figure.go", "nodespan/wasm/page", false},
		{"expr/plot/draw.go", "nodespan/solver/bvp", false},
		{"expr/handout/handout.go", "nodespan/solver/agree", true},
		{"expr/handout/handout.go", "nodespan/wasm/worker", false},
		{"solver/cmd/nodespan/main.go", "nodespan/expr/figure", true},
		{"solver/cmd/nodespan/main.go", "nodespan/expr/raster", true},
		{"wasm/worker/desk.go", "nodespan/expr/raster", false},
		{"expr/raster/painter.go", "golang.org/x/image/vector", true},
		{"expr/plot/svg.go", "golang.org/x/image/vector", false},
		{"solver/cmd/nodespan/script_test.go", "github.com/rogpeppe/go-internal/testscript", true},
		{"solver/cmd/nodespan/main.go", "github.com/rogpeppe/go-internal/testscript", false},
		{"solver/cmd/nodespan/main.go", "nodespan/wasm/page", false},
		{"solver/cmd/nodespan/pages.go", "nodespan/wasm/link", true},
		{"solver/cmd/check/main.go", "nodespan/wasm/link", false},
		{"expr/course/course.go", "nodespan/wasm/link", false},
		{"expr/course/course.go", "nodespan/solver", true},
		{"solver/solver.go", "nodespan/expr/figure", false},
		{"wasm/page/page.go", "syscall/js", true},
		{"solver/solver.go", "syscall/js", false},
		{"solver/blocks/lu.go", "gonum.org/v1/gonum/mat", true},
		{"expr/tape/tape.go", "gonum.org/v1/gonum/mat", false},
		{"expr/function/special.go", "gonum.org/v1/gonum/mathext", true},
		{"wasm/page/page.go", "github.com/Knetic/govaluate", false},
		{"solver/cmd/nodespan/draw.go", "golang.org/x/text/width", true},
		{"solver/solver.go", "golang.org/x/text/width", false},
		{"solver/solver.go", "github.com/stretchr/testify/assert", false},
		{"solver/solver.go", "encoding/json", true},
	} {
		if got := faultOfImport(c.file, c.path); (got == "") != c.allowed {
			t.Errorf("%s importing %s: %q", c.file, c.path, got)
		}
	}
}

// modules lists the modules that go.mod requires for our own code.
func TestModules(t *testing.T) {
	var mod struct {
		Module  struct{ Path string }
		Require []struct {
			Path, Version string
			Indirect      bool
		}
		Replace []any
	}
	if err := json.Unmarshal([]byte(output(t, "go", "mod", "edit", "-json")), &mod); err != nil {
		t.Fatal(err)
	}
	chosen := map[string]string{
		"gonum.org/v1/gonum":              "v0.17.0",
		"github.com/Knetic/govaluate":     "v3.0.0+incompatible",
		"github.com/rogpeppe/go-internal": "v1.16.0",
		"golang.org/x/image":              "v0.44.0",
		"golang.org/x/text":               "v0.40.0",
		"honnef.co/go/js/dom/v2":          "v2.0.0-20231112215516-51f43a291193",
	}
	// Published, the module's path is the address it is fetched from (.ci/publish-as).
	if filepath.Base(mod.Module.Path) != "nodespan" || len(mod.Replace) > 0 {
		t.Errorf("module %q, replaced %v", mod.Module.Path, mod.Replace)
	}
	for _, r := range mod.Require {
		if r.Indirect { // what the chosen ones need
			continue
		}
		if chosen[r.Path] != r.Version {
			t.Errorf("go.mod requires %s %s, which was not chosen", r.Path, r.Version)
		}
		delete(chosen, r.Path)
	}
	for path := range chosen {
		t.Errorf("go.mod lacks %s", path)
	}
}

// A ban is a pattern that must not occur in some files; example is a line that it must catch.
type ban struct {
	why      string
	files    *regexp.Regexp
	pattern  *regexp.Regexp
	example  string
	harmless string
}

// browserSide is what the page is made of, and what is written for a browser to show.
var browserSide = regexp.MustCompile(`^(wasm|site|expr/plot|expr/figure|expr/handout|expr/course)` +
	`/[^/]+(/[^/]+)*\.(go|js|mjs|html|css)$`)

var bans = []ban{
	{
		"text never becomes HTML: build DOM nodes", browserSide,
		regexp.MustCompile(`(?i)innerHTML|outerHTML|insertAdjacentHTML|document\.write|` +
			`createContextualFragment|DOMParser|setHTMLUnsafe`),
		`out.Set("innerHTML", text)`, `out.Set("textContent", text)`,
	},
	{
		"no code is made from text", browserSide,
		regexp.MustCompile(`\beval\(|\bnew Function\b|\bset(Timeout|Interval)\(\s*["'` + "`" +
			`]|js\.Global\(\)\.(Call|Get)\("(eval|Function)"`),
		`js.Global().Call("eval", s)`, `setTimeout(() => draw(), 0)`,
	},
	{
		"the policy allows neither inline styles or scripts by wholesale nor eval", browserSide,
		regexp.MustCompile(`'unsafe-inline'|'unsafe-eval'`),
		`script-src 'unsafe-eval'`, `script-src 'wasm-unsafe-eval'`,
	},
	{
		"the page talks to nobody", browserSide,
		regexp.MustCompile(`XMLHttpRequest|WebSocket|EventSource|sendBeacon|` +
			`(src|href)\s*=\s*["']?(https?:)?//|@import|url\(\s*["']?(https?:)?//`),
		`<script src="https://example.org/a.js">`, `<script src="start.js">`,
	},
	{
		"tests are not skipped", regexp.MustCompile(`_test\.go$|^site/test/`),
		regexp.MustCompile(`\b[tbf]\.Skip(Now|f)?\(|testing\.Short\(\)|\b(it|test|describe)\.(skip|todo|only)\(`),
		"t.Skip(\"slow\")", "// t is skipped over",
	},
}

func TestBans(t *testing.T) {
	all := files(t)
	for _, b := range bans {
		if !b.pattern.MatchString(b.example) || b.pattern.MatchString(b.harmless) {
			t.Errorf("%q: the pattern does not tell its own examples apart", b.why)
		}
		checked := 0
		for _, file := range all {
			if !b.files.MatchString(file) || strings.HasPrefix(file, ".ci/rules/") || b.isBrowserTest(file) {
				continue
			}
			checked++
			for i, line := range strings.Split(read(t, file), "\n") {
				if b.pattern.MatchString(line) {
					t.Errorf("%s:%d: %s\n\t%s", file, i+1, b.why, strings.TrimSpace(line))
				}
			}
		}
		if checked == 0 {
			t.Errorf("%q: no file was checked", b.why)
		}
	}
}

// isBrowserTest reports a file that runs beside the page, not in it: what must not be in the page
// may be named there.
func (b ban) isBrowserTest(file string) bool {
	return b.files == browserSide && strings.HasPrefix(file, "site/test/")
}

// Others' code comes through go.mod and package-lock.json, built files come from the build.
func TestNothingForeignIsCommitted(t *testing.T) {
	foreign := regexp.MustCompile(`(^|/)(node_modules|vendor|third_party)/|(^|/)wasm_exec(_node)?\.js$|` +
		`\.min\.(js|css)$|\.(wasm|woff2?|ttf|otf|exe|so|gz|br|zip|test)$`)
	for file, want := range map[string]bool{"site/node_modules/a.js": true, "site/wasm_exec.js": true,
		"site/start.js": false} {
		if foreign.MatchString(file) != want {
			t.Errorf("%s: the pattern does not tell its own examples apart", file)
		}
	}
	for _, file := range files(t) {
		if foreign.MatchString(file) {
			t.Errorf("%s is built or belongs to others", file)
		}
		info, err := os.Stat(filepath.Join(root, file))
		if err != nil {
			t.Fatal(err)
		}
		if info.Size() > 1<<20 {
			t.Errorf("%s has %d bytes: too large to be written by hand", file, info.Size())
		}
		if f, err := os.Open(filepath.Join(root, file)); err == nil {
			head := make([]byte, 4)
			io.ReadFull(f, head)
			f.Close()
			if string(head) == "\x7fELF" || string(head) == "\x00asm" {
				t.Errorf("%s is a program", file)
			}
		}
	}
}

// Every package says what it is for.
func TestPackageComments(t *testing.T) {
	said := map[string]bool{}
	for _, file := range files(t) {
		if !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), file, read(t, file),
			parser.PackageClauseOnly|parser.ParseComments)
		if err != nil {
			t.Error(err)
			continue
		}
		dir := filepath.Dir(file)
		said[dir] = said[dir] || f.Doc != nil && len(f.Doc.Text()) > 60
	}
	for _, dir := range keys(said) {
		if !said[dir] {
			t.Errorf("package %s: no comment says what it is for", dir)
		}
	}
}

// Every package has tests beside it, but for the few whose only test is the page in a browser.
func TestPackagesHaveTests(t *testing.T) {
	browserTested := map[string]string{
		"wasm":           "starts the page or the worker; site/test runs both",
		"wasm/page":      "the document; site/test reads and uses it",
		"wasm/worker":    "the other end of the page; site/test solves with it",
		"testdata/demos": "the sheets themselves; site/test solves every one",
		"site/build":     "site/test opens what it builds",
		".ci/rules":      "has tests only",
	}
	code, tests := map[string]bool{}, map[string]bool{}
	for _, file := range files(t) {
		if strings.HasSuffix(file, "_test.go") {
			tests[filepath.Dir(file)] = true
		} else if strings.HasSuffix(file, ".go") {
			code[filepath.Dir(file)] = true
		}
	}
	for _, dir := range keys(code) {
		if !tests[dir] && browserTested[dir] == "" {
			t.Errorf("package %s has no tests", dir)
		}
	}
	for dir := range browserTested {
		if !code[dir] {
			t.Errorf("package %s is named here and does not exist", dir)
		}
	}
}

func keys(m map[string]bool) []string {
	var ks []string
	for k := range m {
		ks = append(ks, k)
	}
	sort.Strings(ks)
	return ks
}

// TestTopLevel: nothing but the rooms and these files stands at the top.
func TestTopLevel(t *testing.T) {
	allowed := map[string]bool{}
	for _, name := range strings.Fields("wasm solver expr site testdata go.mod go.sum README.md DEVELOPERS.md " +
		"Makefile LICENSE .ci .gitignore") {
		allowed[name] = true
	}
	for _, f := range files(t) {
		if top, _, _ := strings.Cut(f, "/"); !allowed[top] {
			t.Errorf("%s stands at the top level", top)
		}
	}
}
