package sheet

import (
	"os"
	"strings"
	"testing"

	"nodespan/expr/notation"
)

// TestWritten holds the table that README.md and the help show to the reader.
func TestWritten(t *testing.T) {
	data, err := os.ReadFile("../../testdata/written.txt")
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	for i, line := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		if strings.HasPrefix(line, "//") {
			continue
		}
		cells := strings.Split(line, " | ")
		if len(cells) != 3 {
			t.Fatalf("line %d has %d cells", i+1, len(cells))
		}
		rows++
		text := strings.ReplaceAll(cells[1], "⏎", "\n")
		s, err := Read(text, Options{})
		if msg, refused := strings.CutPrefix(cells[2], "refused: "); refused {
			if err == nil || !strings.HasPrefix(notation.Faults(err)[0].Msg, msg) {
				t.Errorf("%s: %v, want %s", text, err, msg)
			}
			continue
		}
		plain, perr := Read(cells[2], Options{})
		if err != nil || perr != nil {
			t.Errorf("%s: %v\n%s: %v", text, err, cells[2], perr)
			continue
		}
		if got, want := described(s), described(plain); got != want {
			t.Errorf("%s\n got %s\nwant %s", text, got, want)
		}
	}
	if rows < 15 {
		t.Errorf("%d rows", rows)
	}
}
