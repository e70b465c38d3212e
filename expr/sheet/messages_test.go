package sheet

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"nodespan/expr/notation"
)

var update = flag.Bool("update", false, "write testdata/messages.txt anew")

// catalogue holds every message of the reader, each with a sheet that provokes it.
const catalogue = "../../testdata/messages.txt"

// An entry of the catalogue is a sheet, and what is told of it.
type entry struct {
	line  int
	sheet string // as it is written: ⏎ for a line end, ⟨400×(⟩ for what is repeated
	told  []string
}

// text returns the sheet.
func (e entry) text() string {
	text := repeatedText.ReplaceAllStringFunc(e.sheet, func(m string) string {
		part := repeatedText.FindStringSubmatch(m)
		n, _ := strconv.Atoi(part[1])
		return strings.Repeat(part[2], n)
	})
	return strings.ReplaceAll(text, "⏎", "\n")
}

var repeatedText = regexp.MustCompile(`⟨(\d+)×([^⟩]*)⟩`)

// read reads the sheet, with constants set where it begins with "set k=2:", and points of it where it begins with
// "at 0, 1:".
func (e entry) read() error {
	text := e.text()
	if rest, ok := strings.CutPrefix(text, "set "); ok {
		set, text, _ := strings.Cut(rest, ": ")
		name, value, _ := strings.Cut(set, "=")
		_, err := Read(text, Options{Set: map[string]string{name: value}})
		return err
	}
	if rest, ok := strings.CutPrefix(text, "at "); ok {
		points, text, _ := strings.Cut(rest, ": ")
		s, err := Read(text, Options{})
		if err == nil {
			_, err = s.Points(points)
		}
		return err
	}
	_, err := Read(text, Options{})
	return err
}

// tell prints faults as the catalogue has them: the place, the piece that is underlined, the sentence; then the
// choices.
func (e entry) tell(err error) (lines []string) {
	text := e.text()
	if rest, ok := strings.CutPrefix(text, "at "); ok {
		text, _, _ = strings.Cut(rest, ": ")
	} else if strings.HasPrefix(text, "set ") {
		_, text, _ = strings.Cut(text, ": ")
	}
	for _, f := range notation.Faults(err) {
		piece := ""
		if f.Span.From.Offset <= f.Span.To && f.Span.To <= len(text) {
			piece = strings.ReplaceAll(text[f.Span.From.Offset:f.Span.To], "\n", "⏎")
		}
		if r := []rune(piece); len(r) > 40 {
			piece = string(r[:30]) + " … " + string(r[len(r)-7:])
		}
		line := fmt.Sprintf("%v ‹%s› %s", f.Span.From, piece, f.Msg)
		if f.Hint != "" {
			line += "; " + f.Hint
		}
		if f.Incomplete {
			line += " (unfinished)"
		}
		for _, c := range f.Choices {
			line += " [" + c.Text + "]"
		}
		lines = append(lines, line)
	}
	return lines
}

// readCatalogue returns the lines of the file, and its entries.
func readCatalogue(t *testing.T) (lines []string, entries []entry) {
	data, err := os.ReadFile(catalogue)
	if err != nil {
		t.Fatal(err)
	}
	lines = strings.Split(strings.TrimSuffix(string(data), "\n"), "\n")
	for i, line := range lines {
		switch told, ok := strings.CutPrefix(line, "    "); {
		case ok && len(entries) > 0:
			entries[len(entries)-1].told = append(entries[len(entries)-1].told, told)
		case line != "" && !strings.HasPrefix(line, "//"):
			entries = append(entries, entry{line: i + 1, sheet: line})
		}
	}
	return lines, entries
}

// TestMessages: what stands in the catalogue is what is told, and every message of the code stands there.
func TestMessages(t *testing.T) {
	lines, entries := readCatalogue(t)
	var out []string
	var all []string
	at := 0
	for _, e := range entries {
		for ; at < e.line; at++ {
			out = append(out, lines[at])
		}
		at += len(e.told)
		err := e.read()
		if err == nil {
			t.Errorf("%s:%d: is read: %s", filepath.Base(catalogue), e.line, e.sheet)
			continue
		}
		got := e.tell(err)
		for _, line := range got {
			out = append(out, "    "+line)
		}
		if !*update && !slices.Equal(got, e.told) {
			t.Errorf("%s:%d: %s\n got %s\nwant %s", filepath.Base(catalogue), e.line, e.sheet,
				strings.Join(got, "\n     "), strings.Join(e.told, "\n     "))
		}
		for _, f := range notation.Faults(err) {
			all = append(all, f.Msg)
		}
	}
	for _, m := range messagesOf(t, "notation", "prose", "sheet", "tape") {
		if !slices.ContainsFunc(all, m.shape.MatchString) && !slices.Contains(beyondSheets, m.text) {
			t.Errorf("%s: the catalogue has no sheet for “%s”", m.where, m.text)
		}
	}
	if *update {
		text := strings.Join(append(out, lines[at:]...), "\n") + "\n"
		if err := os.WriteFile(catalogue, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// beyondSheets are messages that no sheet of the catalogue meets.
var beyondSheets = []string{
	"…: …; …",                                         // how a message is printed
	"a byte that is not text (UTF-8)",                 // the catalogue is text
	"more than … names depend on each other in a row", // TestLimits has it: it takes 200 names
	// Formulas by themselves: of programs, and of what the page asks for beside the sheet.
	"there is no formula", "one formula is wanted, and here a second begins",
	// Those who compile trees of their own meet these; the reader stops before.
	"a comparison has no value outside if(…)", "a formula cannot hold …", "“…” has no value here",
	"the derivative of an expression has to be worked out before it can be evaluated", "unknown operator …",
	"the first part of if(…) must be a comparison", "the order of “…” must be a whole number from 0 to …",
	"unknown comparison “…”", "no function “…” of … arguments", "not a finite number",
	"govaluate cannot read this: …", "govaluate cannot evaluate this: …",
	// The last resort of a switch whose other cases meet everything that was found.
	"a prime stands after the function “…”", "…, and … is sought", "this has no finite value",
	"the derivative of an expression has no point in a condition", "only a name alone can be sought",
	"only a constant has a range, as in Bi = 2.5 in [0.1, 10]", "this interval belongs to nothing",
}

// TestHintsFollowed follows the hints that say exactly what to write, and presses the choices: then the sheet is read,
// or something else is asked of it. No hint makes another fault at its own place.
func TestHintsFollowed(t *testing.T) {
	_, entries := readCatalogue(t)
	followed := 0
	for _, e := range entries {
		text := e.text()
		_, err := Read(text, Options{})
		if err == nil || strings.HasPrefix(text, "set ") || strings.HasPrefix(text, "at ") {
			continue
		}
		f := notation.Faults(err)[0]
		if f.Span.From.Offset > f.Span.To || f.Span.To > len(text) {
			continue
		}
		before, piece, after := text[:f.Span.From.Offset], text[f.Span.From.Offset:f.Span.To], text[f.Span.To:]
		tries := map[string]string{} // what is done, and the sheet that it makes
		for _, c := range f.Choices {
			tries["press "+c.Text] = before + c.Text + after
		}
		if m := valueAsIn.FindStringSubmatch(f.Hint); m != nil {
			tries[m[0]] = text + "\n" + m[1]
		}
		if m := meantIs.FindStringSubmatch(f.Hint); m != nil && len(f.Choices) == 0 {
			tries[m[0]] = before + m[1] + after
		}
		if strings.HasPrefix(f.Hint, "delete it") {
			tries["delete it"] = before + after
		}
		if strings.HasPrefix(f.Hint, "leave this line out") || strings.HasPrefix(f.Hint, "keep one of the two") {
			tries[f.Hint] = strings.TrimSuffix(strings.TrimSpace(before), ",") + after
		}
		if m := exactly.FindStringSubmatch(f.Hint); m != nil && len(f.Choices) == 0 {
			tries[f.Hint] = before + m[1] + after
		}
		for what, sheet := range tries {
			followed++
			_, err := Read(sheet, Options{})
			if err == nil {
				continue
			}
			for _, g := range notation.Faults(err) {
				here := g.Span.From.Offset <= f.Span.From.Offset && f.Span.From.Offset <= g.Span.To &&
					g.Span.To-g.Span.From.Offset <= len(piece)+6
				if here && !g.Incomplete && (g.Msg == f.Msg || strings.HasPrefix(what, "press")) {
					t.Errorf("%s: %s\n%s\n%v", e.sheet, what, sheet, g)
				}
			}
		}
	}
	if followed < 40 {
		t.Errorf("only %d hints say exactly what to write", followed)
	}
}

var (
	valueAsIn = regexp.MustCompile(`give it a value, as in (\S+ = 1)`)
	meantIs   = regexp.MustCompile(`did you mean “([^”]+)”\?`)
	exactly   = regexp.MustCompile(`^write “?([^ …,;“”]+)”?$`)
)
