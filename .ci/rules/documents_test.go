package rules

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// TestExamplesInDocuments runs every command in the ```console blocks of the documents, as a reader would
// in the project's root, and holds the document to the real output. Tabs and runs of spaces count alike.
func TestExamplesInDocuments(t *testing.T) {
	ran := 0
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		for _, e := range examples(read(t, name)) {
			cmd := exec.Command("bash", "-c", e.command)
			cmd.Dir = root
			got, err := cmd.CombinedOutput()
			if _, exited := err.(*exec.ExitError); err != nil && !exited {
				t.Fatal(err)
			}
			if squeeze(string(got)) != squeeze(e.output) {
				t.Errorf("%s: $ %s\nprints\n%s\nthe document says\n%s", name, e.command, got, e.output)
			}
			ran++
		}
	}
	if ran == 0 {
		t.Error("no example was found")
	}
}

type example struct{ command, output string }

// examples returns the commands of a document's console blocks: lines that begin with "$ ", each
// followed by its output.
func examples(text string) []example {
	var list []example
	inside := false
	for _, line := range strings.Split(text, "\n") {
		switch {
		case !inside && line == "```console":
			inside = true
		case inside && line == "```":
			inside = false
		case inside && strings.HasPrefix(line, "$ "):
			list = append(list, example{command: line[2:]})
		case inside && len(list) > 0:
			list[len(list)-1].output += line + "\n"
		}
	}
	return list
}

func squeeze(s string) string {
	s = regexp.MustCompile(`[ \t]+`).ReplaceAllString(s, " ")
	return strings.TrimSpace(regexp.MustCompile(`[ \t]*\n\s*`).ReplaceAllString(s, "\n"))
}

func TestExamples(t *testing.T) {
	got := examples("text\n```console\n$ echo a\na\n$ echo b\nb\n```\n```sh\n$ no\n```\n")
	if len(got) != 2 || got[0] != (example{"echo a", "a\n"}) || got[1] != (example{"echo b", "b\n"}) {
		t.Errorf("got %q", got)
	}
	if squeeze("x\t1 \n\n y  2\n") != squeeze("x 1\ny 2") {
		t.Error("squeeze")
	}
}

// The figure that README.md shows is the one that the command draws, to a twentieth of a pixel: how the last bits of a
// solution fall is the machine's affair.
func TestFigureOfReadme(t *testing.T) {
	const name, sheet = "testdata/pictures/stove-pipe-fin.svg", "testdata/demos/stove-pipe-fin.txt"
	if !strings.Contains(read(t, "README.md"), "("+name+")") {
		t.Errorf("README.md does not show %s", name)
	}
	if !strings.Contains(read(t, "Makefile"), "-figure "+name+" -width 640 "+sheet) {
		t.Error("make pictures draws another figure than this test")
	}
	drawn := filepath.Join(t.TempDir(), "drawn.svg")
	output(t, "build/nodespan", "-figure", drawn, "-width", "640", sheet)
	data, err := os.ReadFile(drawn)
	if err != nil {
		t.Fatal(err)
	}
	got, gotNumbers := apart(string(data))
	want, wantNumbers := apart(read(t, name))
	if got != want {
		t.Fatalf("%s is not what the command draws; make pictures draws it anew", name)
	}
	for i, v := range gotNumbers {
		if math.Abs(v-wantNumbers[i]) > 0.05 {
			t.Fatalf("%s: %g stands in the place of %g; make pictures draws it anew", name, wantNumbers[i], v)
		}
	}
}

// apart takes a text and the decimal numbers in it apart.
func apart(s string) (text string, numbers []float64) {
	decimal := regexp.MustCompile(`-?\d+(\.\d+)?`)
	text = decimal.ReplaceAllStringFunc(s, func(d string) string {
		v, _ := strconv.ParseFloat(d, 64) // the pattern lets nothing else through
		numbers = append(numbers, v)
		return "0"
	})
	return text, numbers
}

// Links between the documents lead somewhere, and no place is left to be written.
func TestDocuments(t *testing.T) {
	link := regexp.MustCompile(`\]\(([^)#:]+)(#[^)]*)?\)`)
	unfinished := regexp.MustCompile(`TO FINISH|TODO|<!-- example`)
	links := 0
	for _, name := range files(t) {
		if !strings.HasSuffix(name, ".md") {
			continue
		}
		text := read(t, name)
		if place := unfinished.FindString(text); place != "" {
			t.Errorf("%s is not finished: %q", name, place)
		}
		for _, m := range link.FindAllStringSubmatch(text, -1) {
			links++
			if there, _ := filepath.Glob(filepath.Join(root, filepath.Dir(name), m[1])); len(there) == 0 {
				t.Errorf("%s: link to %s leads nowhere", name, m[1])
			}
		}
	}
	if links == 0 {
		t.Error("no link was found")
	}
}

// TestWrittenInReadme holds the README's table of what is read to testdata/written.txt, which a test of expr/sheet
// holds to the reader; site/build puts the same into the help.
func TestWrittenInReadme(t *testing.T) {
	readme, rows := read(t, "README.md"), 0
	for _, line := range strings.Split(strings.TrimSpace(read(t, "testdata/written.txt")), "\n") {
		cells := strings.Split(line, " | ")
		if strings.HasPrefix(line, "//") || len(cells) != 3 {
			continue
		}
		rows++
		if !strings.HasPrefix(cells[2], "refused: ") {
			cells[2] = "`" + cells[2] + "`"
		}
		if row := "| " + cells[0] + " | `" + cells[1] + "` | " + cells[2] + " |\n"; !strings.Contains(readme, row) {
			t.Errorf("README.md lacks the row\n%s", row)
		}
	}
	_, table, _ := strings.Cut(readme, "| what | as it may stand in notes | read as |\n| --- | --- | --- |\n")
	table, _, _ = strings.Cut(table, "\n\n")
	if have := strings.Count(table, "\n") + 1; have != rows {
		t.Errorf("README.md has %d rows, testdata/written.txt %d", have, rows)
	}
}
