package course

import (
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strings"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

const resonant = "y'' + pi^2 y = 0; y(0) = 0; y(1) = 1"

// made is a course of two problems, the second of which has no solution; titles and captions are hostile.
func made(t *testing.T, address string) (files map[string][]byte, unsolved []string) {
	hostile := `</title><script>alert(1)</script><b onclick="x">&`
	sheet := "y'' = -2; y(0) = 0; y(1) = 0 # </pre><script>alert(2)</script>"
	return Files([]Problem{
		{Name: "parabola", Title: hostile, Caption: hostile, Text: sheet, Sheet: sheettest.Read(t, sheet),
			Frame: "#2.a", Whole: "#1.a", Height: 300, Solve: solver.Options{Tol: 1e-8}},
		{Name: "resonant", Title: "Resonant", Text: resonant, Sheet: sheettest.Read(t, resonant),
			Frame: "#2.b", Whole: "#1.b", Height: 300, Solve: solver.Options{Tol: 1e-8}},
	}, Options{Title: hostile, Page: "nodespan.html", Address: address, Archive: "everything.zip"})
}

// Every file is well formed, has no script but the one that a frame needs, and shares no id.
func TestFilesAreWhole(t *testing.T) {
	files, unsolved := made(t, "")
	if len(unsolved) != 1 || !strings.HasPrefix(unsolved[0], "Resonant: ") {
		t.Errorf("unsolved: %q", unsolved)
	}
	for _, name := range []string{"index.html", "parabola.html", "resonant.html", "handouts/parabola.html",
		"lecturer/index.html", "lecturer/resonant.html", "blocks/parabola.html", "frame.js", "course.css"} {
		if len(files[name]) < 100 {
			t.Errorf("%s has %d bytes", name, len(files[name]))
		}
	}
	if len(files) != 2+3+4*2 {
		t.Errorf("%d files", len(files))
	}
	for name, data := range files {
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		d := xml.NewDecoder(strings.NewReader(string(data)))
		d.Entity = xml.HTMLEntity
		ids, scripts := map[string]bool{}, 0
		for {
			token, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			e, is := token.(xml.StartElement)
			if is && e.Name.Local == "script" {
				scripts++
			}
			for _, a := range e.Attr {
				if strings.HasPrefix(a.Name.Local, "on") {
					t.Errorf("%s: %s=%q", name, a.Name.Local, a.Value)
				}
				if a.Name.Local == "id" {
					if ids[a.Value] {
						t.Errorf("%s: the id %s twice", name, a.Value)
					}
					ids[a.Value] = true
				}
			}
		}
		want := 0
		if name == "parabola.html" || name == "resonant.html" || name == "all.html" {
			want = 1
		}
		if scripts != want {
			t.Errorf("%s: %d scripts", name, scripts)
		}
	}
}

// Students are led to nothing that holds the answers; links within the folder lead to what is there.
func TestLinks(t *testing.T) {
	for _, address := range []string{"", "https://example.org/hut/"} {
		files, _ := made(t, address)
		for name, data := range files {
			if !strings.HasSuffix(name, ".html") {
				continue
			}
			up := ""
			if dir, _, in := strings.Cut(name, "/"); in {
				up = dir + "/"
			}
			for _, m := range regexp.MustCompile(`(?:href|src)="([^"]*)"`).FindAllStringSubmatch(string(data), -1) {
				to, _, _ := strings.Cut(m[1], "#")
				if address != "" && strings.HasPrefix(to, address) {
					to = strings.TrimPrefix(to, address)
				} else if rest, above := strings.CutPrefix(to, "../"); above {
					to = rest
				} else {
					to = up + to
				}
				if files[to] == nil && to != "nodespan.html" && to != "everything.zip" && m[1] != "data:," {
					t.Errorf("%s leads to %s, which is not there", name, m[1])
				}
				if strings.HasPrefix(to, "lecturer/") && up != "lecturer/" && to != "lecturer/index.html" {
					t.Errorf("%s leads to %s", name, to)
				}
			}
			if up == "" && strings.Contains(string(data), "lecturer/") {
				t.Errorf("%s leads to the lecturer's", name)
			}
		}
		if block := string(files["blocks/parabola.html"]); !strings.Contains(block, `href="`+map[bool]string{
			true: "../"}[address == ""]+address+`nodespan.html#1.a"`) {
			t.Errorf("the block's link: %s", block[len(block)-200:])
		}
	}
}

// What is left of a block when a strict system takes out the tags of formulas and figures is the sheet, and numbers.
func TestBlockWithoutTags(t *testing.T) {
	files, _ := made(t, "")
	text := regexp.MustCompile(`<[^>]*>`).ReplaceAllString(string(files["blocks/parabola.html"]), "")
	for _, want := range []string{"y&apos;&apos; = -2; y(0) = 0; y(1) = 0", "0.25"} {
		if !strings.Contains(strings.ReplaceAll(text, "'", "&apos;"), want) {
			t.Errorf("%q is not in %q", want, text)
		}
	}
}
