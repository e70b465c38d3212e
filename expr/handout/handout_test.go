//go:build !js

package handout

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/xml"
	"errors"
	"fmt"
	"html"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"nodespan/expr/lesson"
	"nodespan/expr/sheet"
	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
	"nodespan/solver/table"
	"nodespan/testdata/demos"
)

type sample struct {
	name    string
	text    string
	options Options
}

// samples are the demonstrations and problems of the other kinds, with all that an author may ask for.
func samples() []sample {
	var all []sample
	for _, d := range demos.All() {
		all = append(all, sample{d.Name, d.Sheet, Options{Title: d.Title,
			Note: "Hand in by Friday.\n\nUse four digits."}})
	}
	return append(all,
		sample{"film", film, Options{}},
		sample{"blank", demos.All()[6].Sheet, Options{Blank: []string{All}}},
		sample{"twelve nodes", demos.All()[1].Sheet, Options{Solve: solver.Options{Nodes: 12},
			Table: table.Options{Digits: 5, Comma: true}}},
		sample{"eigenvalue", "y'' + lambda y = 0; y(0) = y(1) = 0; lambda = ?; report top = largest(y)",
			Options{Solve: solver.Options{Count: 3}}},
		sample{"unbounded", "y'' = y; y(0) = 1; y(inf) = 0; report A = integral(y), never = zero(y)", Options{}},
		sample{"no solution", "y'' + pi^2 y = 1; y(0) = 0; y(1) = 0", Options{}},
		sample{"hostile", "T_s'' = a_1*T_s; T_s(0) = -1.5; T_s(1) = x_0; a_1 = 2e-7; x_0 = 1e5; report y_0^2 + 0 " +
			"T_s(0); y_0 = 1",
			Options{Title: `A & B_c: 50 % of #1 {x} \end{document} <script>alert(1)</script> θ ≤ 3 漢 "q" ~ ^ $x$`,
				Note: "\\input{/etc/passwd} naïve Übung Łódź — “x” |a| 10 °C"}})
}

// film is a fin in symbols with the units and words of its author; its tip loses heat through a film of air.
const film = `# A straight fin; its base is 80 degrees warmer than the air
theta'' = n^2 theta
h = 25        # W/(m^2 K), to still air
k = 45        % W/(m K)
P = 0.106 m, A_c = 1.5e-4 m^2
L = 0.05      # m
q = 3000; f = 1.5*1000
n = sqrt(h P/(k A_c))
theta(0) = 80 K
k theta'(L) + h theta(L) = 0  # the tip
`

// What an author said in comments and units stays; numbers are as they were typed; what is a formula is set as one.
func TestWords(t *testing.T) {
	h := New(sheettest.Read(t, film), Options{Solve: solver.Options{Nodes: 5}})
	latex, html := string(h.LaTeX()), string(h.HTML())
	for _, want := range []string{"A straight fin; its base is 80 degrees warmer", "to still air", "the tip"} {
		if !strings.Contains(latex, want) || !strings.Contains(html, want) {
			t.Errorf("%q is not in it", want)
		}
	}
	for _, want := range []string{"W/(m$^{2}$ K), to still air", `P = 0.106$}\quad{\itshape m}`,
		`A_{c} = {1.5{\times}10^{-4}}$}\quad{\itshape m$^2$}`, "q = 3000$", `f = 1.5 \cdot 1000 = 1500$`,
		`\theta(0) = 80$}\quad{\itshape K}`, `\theta''(x_{1})`, `k\,\theta'(L) + h\,\theta(L) = 0$ & `,
		`\frac{d^{2}}{{d x}^{2}}`} {
		if !strings.Contains(latex, want) {
			t.Errorf("%s is not in the LaTeX", want)
		}
	}
	if i := regexp.MustCompile(`[^\\]theta|[0-9]e-?[0-9]`).FindStringIndex(latex); i != nil {
		t.Errorf("words for symbols: …%s…", latex[max(0, i[0]-60):i[1]+20])
	}
	for _, want := range []string{"W/(m<sup>2</sup> K), to still air", "4.84244\u202f×\u202f10<sup>−6</sup>"} {
		if !strings.Contains(html, want) {
			t.Errorf("%s is not in the HTML", want)
		}
	}
	if i := regexp.MustCompile(`theta|>[-−0-9.]*e[-−]?[0-9]`).FindStringIndex(html); i != nil {
		t.Errorf("words for symbols: …%s…", html[max(0, i[0]-60):i[1]+20])
	}
}

// letters returns the size of the smallest letters of a PDF file in points, and the largest.
func letters(t *testing.T, file string) (smallest, largest float64) {
	t.Helper()
	smallest = math.Inf(1)
	// At this zoom it writes sizes in thirds of a point.
	xml := execute(t, filepath.Dir(file), "pdftohtml", "-xml", "-i", "-zoom", "3", "-stdout", file)
	for _, m := range regexp.MustCompile(`<fontspec id="[0-9]+" size="([0-9]+)"`).FindAllSubmatch(xml, -1) {
		size, err := strconv.ParseFloat(string(m[1]), 64)
		if err != nil {
			t.Fatal(err)
		}
		smallest, largest = math.Min(smallest, size/3), math.Max(largest, size/3)
	}
	return smallest, largest
}

func execute(t *testing.T, dir, program string, args ...string) []byte {
	t.Helper()
	c := exec.Command(program, args...)
	c.Dir = dir
	out, err := c.CombinedOutput()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", program, args, err, tail(out))
	}
	return out
}

func tail(b []byte) []byte { return b[max(0, len(b)-2500):] }

// pages returns the text of a PDF file page by page, white space reduced to single blanks.
func pages(t *testing.T, file string) []string {
	t.Helper()
	text := string(execute(t, filepath.Dir(file), "pdftotext", "-enc", "UTF-8", file, "-"))
	var all []string
	for _, p := range strings.Split(text, "\f") {
		all = append(all, strings.Join(strings.Fields(strings.ReplaceAll(p, "−", "-")), " "))
	}
	return all
}

// TestLaTeX compiles every sample with the LaTeX of Debian's texlive-latex-base.
func TestLaTeX(t *testing.T) {
	packages := regexp.MustCompile(`\\usepackage(?:\[[^]]*\])?\{([^}]*)\}`)
	required := map[string]bool{"inputenc": true, "amsmath": true, "graphicx": true, "color": true}
	for _, s := range samples() {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			source := New(sheettest.Read(t, s.text), s.options).LaTeX()
			for _, m := range packages.FindAllSubmatch(source, -1) {
				if !required[string(m[1])] {
					t.Errorf("it asks for %s", m[1])
				}
			}
			dir := t.TempDir()
			if err := os.WriteFile(filepath.Join(dir, "handout.tex"), source, 0o666); err != nil {
				t.Fatal(err)
			}
			out := execute(t, dir, "pdflatex", "-interaction=nonstopmode", "-halt-on-error", "-no-shell-escape",
				"handout.tex")
			for _, line := range strings.Split(string(out), "\n") {
				if strings.HasPrefix(line, "Overfull") {
					t.Error(line)
				}
			}
			if small, _ := letters(t, filepath.Join(dir, "handout.pdf")); small < 7 {
				t.Errorf("letters of %.1f points", small)
			}
			text := strings.Join(pages(t, filepath.Join(dir, "handout.pdf")), " ")
			for _, want := range []string{"The problem", "The answer", "The working", "licensed practitioner"} {
				if !strings.Contains(text, want) {
					t.Errorf("%q is not in it", want)
				}
			}
			if strings.Contains(text, "root:") || s.name == "hostile" && !strings.Contains(text, "document") {
				t.Error("the author's words were taken for commands")
			}
		})
	}
}

// TestHTML parses every sample strictly, as XML, and looks for anything that could run or load.
func TestHTML(t *testing.T) {
	for _, s := range samples() {
		data := New(sheettest.Read(t, s.text), s.options).HTML()
		ids := map[string]bool{}
		elements := 0
		for d := xml.NewDecoder(bytes.NewReader(data)); ; {
			token, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", s.name, err)
			}
			e, ok := token.(xml.StartElement)
			if !ok {
				continue
			}
			elements++
			switch strings.ToLower(e.Name.Local) {
			case "script", "link", "img", "iframe", "object", "embed", "form", "a", "image", "use", "foreignobject":
				t.Errorf("%s: it has a %s", s.name, e.Name.Local)
			}
			for _, a := range e.Attr {
				name := strings.ToLower(a.Name.Local)
				if name == "style" || strings.HasPrefix(name, "on") || name == "href" || name == "src" {
					t.Errorf("%s: %s has %s", s.name, e.Name.Local, name)
				}
				if name == "id" {
					if ids[a.Value] {
						t.Errorf("%s: the id %s stands twice", s.name, a.Value)
					}
					ids[a.Value] = true
				}
			}
		}
		if elements < 50 {
			t.Errorf("%s: %d elements", s.name, elements)
		}
		if !bytes.Contains(data, []byte(`content="default-src 'none'; style-src 'sha256-`)) {
			t.Errorf("%s: there is no policy", s.name)
		}
		if !strings.Contains(html.UnescapeString(string(data)), s.options.Title) {
			t.Errorf("%s: its title is not in it", s.name)
		}
	}
}

// TestPolicy holds the hash of the style sheet (CSP level 3: base64 of SHA-256).
func TestPolicy(t *testing.T) {
	sum := sha256.Sum256([]byte(style))
	if want := "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) +
		"'"; policy != want {
		t.Errorf("the policy is %s, want %s", policy, want)
	}
}

// TestPrinted prints handouts with Chromium and checks that every matrix stands whole on one page.
func TestPrinted(t *testing.T) {
	browser := os.Getenv("CHROMIUM")
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if browser == "" {
			browser, _ = exec.LookPath(name)
		}
	}
	for _, s := range samples() {
		if !slices.Contains([]string{"boiler-coil", "twelve nodes", "stove-pipe-fin", "film"}, s.name) {
			continue
		}
		h := New(sheettest.Read(t, s.text), s.options)
		dir := t.TempDir()
		page, file := filepath.Join(dir, "handout.html"), filepath.Join(dir, "handout.pdf")
		if err := os.WriteFile(page, h.HTML(), 0o666); err != nil {
			t.Fatal(err)
		}
		execute(t, dir, browser, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
			"--user-data-dir="+filepath.Join(dir, "profile"),
			"--print-to-pdf="+file, "file://"+page)
		// A browser shrinks paper on which something is too wide: then the largest letters, of 16 points, are smaller.
		if _, large := letters(t, file); large < 15.9 {
			t.Errorf("%s: the title has %.1f points", s.name, large)
		}
		all := pages(t, file)
		matrices := 0
		for _, b := range h.blocks {
			st, ok := b.(step)
			if !ok {
				continue
			}
			for _, m := range st.tables {
				matrices += len(m.begins) + 1
				if !slices.ContainsFunc(all, func(page string) bool { return holds(page, m) }) {
					t.Errorf("%s: %s is cut, or not there: %v", s.name, st.title, m.cells)
				}
			}
		}
		if matrices < 15 {
			t.Errorf("%s: %d matrices", s.name, matrices)
		}
	}
}

// holds reports whether all entries and all labels of a matrix stand on a page, as often as in the matrix.
func holds(page string, m matrix) bool {
	count := map[string]int{}
	for _, w := range strings.Fields(page) {
		count[w]++
	}
	for _, row := range m.cells {
		for _, c := range row {
			c, _, _ = strings.Cut(c, "e") // a power of ten stands apart
			if c != "" {
				if count[c]--; count[c] < 0 {
					return false
				}
			}
		}
	}
	for _, r := range m.rows {
		for _, w := range strings.Fields(r.Words) {
			if !strings.Contains(page, w) {
				return false
			}
		}
	}
	return true
}

// TestBlank: what is left blank is not told elsewhere, and what is not left blank is there.
func TestBlank(t *testing.T) {
	const text = "y'' = -1; y(0) = 0; y(3) = 0; report top = largest(y)" // y = x(3-x)/2, 1.125 in the middle
	for _, c := range []struct {
		blank           []string
		present, absent []string
	}{
		{nil, []string{"1.125", "Node table"}, nil},
		{[]string{Answer}, nil, []string{"1.125</", "Node table", "<svg"}},
		{[]string{"inverse"}, []string{"Node table", "1.125"}, nil},
	} {
		doc := string(New(sheettest.Read(t, text), Options{Blank: c.blank}).HTML())
		for _, p := range c.present {
			if !strings.Contains(doc, p) {
				t.Errorf("blank %v: %s is missing", c.blank, p)
			}
		}
		for _, a := range c.absent {
			if strings.Contains(strings.Split(doc, "<h2>The working")[0], a) {
				t.Errorf("blank %v: %s is there", c.blank, a)
			}
		}
		if blank := strings.Count(doc, "matrix w1 blank"); (blank > 0) != (len(c.blank) > 0) {
			t.Errorf("blank %v: %d blank matrices", c.blank, blank)
		}
	}
	for _, o := range []Options{{Blank: []string{"nothing"}}, {Title: "a\nb"}, {Table: table.Options{Digits: 20}}} {
		if o.Check() == nil {
			t.Errorf("%+v", o)
		}
	}
	doc := string(New(sheettest.Read(t, text), Options{Blank: []string{All}}).HTML())
	if n := strings.Count(doc, "1.125"); n > 0 {
		t.Errorf("all blank, and the answer stands %d times in it", n)
	}
}

// TestOnce: the same handout twice is the same, but for nothing.
func TestOnce(t *testing.T) {
	sh := sheettest.Read(t, demos.All()[6].Sheet)
	a, b := New(sh, Options{}), New(sh, Options{})
	if !bytes.Equal(a.HTML(), b.HTML()) || !bytes.Equal(a.LaTeX(), b.LaTeX()) {
		t.Error("two handouts of one sheet differ")
	}
}

func Example() {
	sh, err := sheet.Read("y'' = -1; y(0) = y(2) = 0", sheet.Options{})
	if err != nil {
		panic(err)
	}
	h := New(sh, Options{Title: "The shape of a washing line", Blank: []string{"inverse"},
		Solve: solver.Options{Nodes: 1}})
	fmt.Println(strings.Contains(string(h.HTML()), "<h1>The shape of a washing line</h1>"))
	fmt.Println(strings.HasPrefix(string(h.LaTeX()), `\documentclass`))
	// Output:
	// true
	// true
}

// A column is as wide as its widest number, or as its name, which is set smaller; a blank one leaves room to write.
func TestColumnWidth(t *testing.T) {
	labels := func(words ...string) (all []lesson.Label) {
		for _, w := range words {
			all = append(all, lesson.Label{Words: w})
		}
		return all
	}
	for _, c := range []struct {
		name  string
		cells [][]string
		want  int
	}{
		{"twenty characters ...", [][]string{{"1"}}, 18 + 2},
		{"x", [][]string{{"1.5e-7"}}, 8 + 2}, // the exponent is raised: 1.5 × 10 and two small ones
		{"x", [][]string{{"1"}, {"-0.123456"}}, 9 + 2},
		{"x", nil, 6 + 2},
	} {
		if got := (&matrix{columns: labels(c.name), cells: c.cells}).columnWidth(0); got != c.want {
			t.Errorf("%s, %v: %d, want %d", c.name, c.cells, got, c.want)
		}
	}
}

// A matrix that fits on paper stays whole, and one that is a character too wide is cut; type is as large as there is
// room for.
func TestParts(t *testing.T) {
	for _, c := range []struct{ left, right, parts int }{
		{widest/2 - 2, widest/2 - 2, 1}, {widest/2 - 3, widest/2 - 2, 1}, {widest/2 - 1, widest/2 - 2, 2},
	} {
		m := &matrix{columns: []lesson.Label{{Words: "a"}, {Words: "b"}},
			cells: [][]string{{strings.Repeat("1", c.left), strings.Repeat("1", c.right)}}}
		if got := len(m.parts()); got != c.parts {
			t.Errorf("%d characters: %d parts, want %d", m.width(), got, c.parts)
		}
	}
	for characters, want := range map[int]string{1: "w1", 76: "w1", 77: "w2", 88: "w2", 89: "w3"} {
		if got := size4(characters); got != want {
			t.Errorf("%d characters: %s, want %s", characters, got, want)
		}
	}
}

// fin is the demonstration of the stove-pipe fin.
func fin() string {
	all := demos.All()
	return all[slices.IndexFunc(all, func(d demos.Demo) bool { return d.Name == "stove-pipe-fin" })].Sheet
}

// Presets come to the pages that they are for, in both forms; and an exercise does not give its solution away: neither
// values nor places, which the whole document has.
func TestPresets(t *testing.T) {
	browser := os.Getenv("CHROMIUM")
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if browser == "" {
			browser, _ = exec.LookPath(name)
		}
	}
	fin := fin()
	tell := regexp.MustCompile(`0\.0042\d|0\.0207\d|226\.1\d|181\.6\d|111\.0\d`)
	for preset, most := range map[string]int{"full": 4, "one-page": 1, "exercise": 2} {
		h := New(sheettest.Read(t, fin), Options{Preset: preset, Solve: solver.Options{Nodes: 5, Tol: 1e-8}})
		dir := t.TempDir()
		page, file := filepath.Join(dir, "h.html"), filepath.Join(dir, "h.pdf")
		for name, text := range map[string][]byte{page: h.HTML(), filepath.Join(dir, "l.tex"): h.LaTeX()} {
			if err := os.WriteFile(name, text, 0o666); err != nil {
				t.Fatal(err)
			}
			if tells := tell.Match(text); tells == (preset == "exercise") {
				t.Errorf("%s, %s: its numbers are in it: %v", preset, filepath.Base(name), tells)
			}
		}
		execute(t, dir, browser, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
			"--user-data-dir="+filepath.Join(dir, "profile"), "--print-to-pdf="+file, "file://"+page)
		execute(t, dir, "pdflatex", "-interaction=nonstopmode", "-halt-on-error", "l.tex")
		for _, file := range []string{file, filepath.Join(dir, "l.pdf")} {
			if n := len(pages(t, file)) - 1; n > most {
				t.Errorf("%s: %d pages of %s, at most %d", preset, n, filepath.Base(file), most)
			}
		}
	}
}

// Where the solution is blank, everything that tells it is.
func TestBlankSolution(t *testing.T) {
	h := New(sheettest.Read(t, fin()), Options{Blank: []string{"solution"}, Solve: solver.Options{Nodes: 5, Tol: 1e-8}})
	if tell := regexp.MustCompile(`226\.1\d|181\.6\d|111\.0\d`).Find(h.LaTeX()); tell != nil {
		t.Errorf("%s is in it", tell)
	}
	if err := (Options{Omit: []string{"magic"}}).Check(); err == nil {
		t.Error("an unknown part is left out")
	}
	if err := (Options{Preset: "magic"}).Check(); err == nil {
		t.Error("an unknown preset is taken")
	}
}
