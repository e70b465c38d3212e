package rules

import (
	"os/exec"
	"path/filepath"
	"regexp"
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
