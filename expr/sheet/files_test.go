package sheet

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"nodespan/expr/notation"
)

// sheets is where the sheets of the tests live, one case per file: "key: value" lines, a blank line, the sheet.
const sheets = "../../testdata/sheets"

// A sheetFile is one case. Unknown keys fail, so that a misspelt expectation cannot go unchecked.
type sheetFile struct {
	name string
	// expect is "read" or "refused"; comment says what the case tests; source is where the problem is from.
	expect, comment, source string
	// Of a sheet that is read: the variable; "y 2, z 1", unknowns with their orders in the order of
	// the sheet; "0 1", the interval; the number of conditions; "L=1 k=2", constants in any order;
	// "Bi 0.1 10", ranges; "omega near 3.5", sought parameters; break points; unknowns with exact
	// solutions and guesses; yes or no; sentences among the inferences.
	variable, unknowns, interval, conditions, constants, ranges string
	sought, breaks, exact, guess, eigenvalue, linear            string

	infers []string
	// reports are "name = formula": a number that is reported, and its closed form in the sheet's constants; or "name:
	// " and the sentence that says why it has no value.
	reports []string
	// Of a sheet that is refused: every fault as printed, and the piece of text that is underlined;
	// whether the sheet is merely unfinished; overrides "name=text".
	message, piece, incomplete string
	set                        string
	body                       string
}

func (f *sheetFile) assign(key, value string) bool {
	fields := map[string]*string{
		"expect": &f.expect, "comment": &f.comment, "source": &f.source,
		"variable": &f.variable, "unknowns": &f.unknowns, "interval": &f.interval, "conditions": &f.conditions,
		"constants": &f.constants, "ranges": &f.ranges, "sought": &f.sought, "breaks": &f.breaks, "exact": &f.exact,
		"guess": &f.guess, "eigenvalue": &f.eigenvalue, "linear": &f.linear,
		"message": &f.message, "piece": &f.piece, "incomplete": &f.incomplete, "set": &f.set,
	}
	switch key {
	case "infers":
		f.infers = append(f.infers, value)
		return true
	case "reports":
		f.reports = append(f.reports, value)
		return true
	}
	p := fields[key]
	if p == nil || *p != "" {
		return false
	}
	*p = value
	return true
}

func readFiles(t testing.TB) []*sheetFile {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(sheets, "*.sheet"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no sheets in %s (%v)", sheets, err)
	}
	var files []*sheetFile
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		head, body, found := bytes.Cut(data, []byte("\n\n"))
		if !found {
			t.Fatalf("%s: no blank line after the header", name)
		}
		f := &sheetFile{name: strings.TrimSuffix(filepath.Base(name), ".sheet"),
			body: strings.TrimSuffix(string(body), "\n")}
		for i, line := range strings.Split(string(head), "\n") {
			key, value, found := strings.Cut(line, ": ")
			if !found || !f.assign(key, strings.TrimSpace(value)) {
				t.Fatalf("%s:%d: unknown or repeated key: %s", name, i+1, line)
			}
		}
		if f.expect != "read" && f.expect != "refused" || f.comment == "" {
			t.Fatalf("%s: expect must be read or refused, and comment must be there", name)
		}
		files = append(files, f)
	}
	return files
}

func (f *sheetFile) options() Options {
	if f.set == "" {
		return Options{}
	}
	o := Options{Set: map[string]string{}}
	for _, s := range strings.Split(f.set, ", ") {
		name, value, _ := strings.Cut(s, "=")
		o.Set[name] = value
	}
	return o
}

func TestFiles(t *testing.T) {
	count := map[string]int{}
	for _, f := range readFiles(t) {
		count[f.expect]++
		t.Run(f.name, func(t *testing.T) {
			s, err := Read(f.body, f.options())
			if f.expect == "refused" {
				f.checkRefused(t, err)
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			f.checkRead(t, s)
			checkPlaces(t, s)
			p := s.Problem()
			checkDerivatives(t, p)
			checkNoAllocation(t, p)
			checkWith(t, p)
			checkExact(t, s, p)
			// What they say is checked in package report, which works them out.
			if len(s.Asked()) != len(f.reports) || s.HasReports() != (f.reports != nil) {
				t.Errorf("%d reports, want %q", len(s.Asked()), f.reports)
			}
		})
	}
	if count["read"] < 60 || count["refused"] < 60 {
		t.Errorf("%d sheets to read and %d to refuse, want 60 of each", count["read"], count["refused"])
	}
}

func (f *sheetFile) checkRefused(t *testing.T, err error) {
	if err == nil {
		t.Fatalf("was read, want %q", f.message)
	}
	if got := strings.ReplaceAll(err.Error(), "\n", " | "); got != f.message {
		t.Errorf("message\n got %s\nwant %s", got, f.message)
	}
	if got := Incomplete(err); got != (f.incomplete == "yes") {
		t.Errorf("incomplete is %v", got)
	}
	for i, e := range err.(notation.ErrorList) {
		piece := f.body[e.Span.From.Offset:e.Span.To]
		if i == 0 && piece != f.piece {
			t.Errorf("piece %q, want %q", piece, f.piece)
		}
		if strings.HasSuffix(e.Msg, ".") || strings.HasSuffix(e.Hint, ".") && !strings.HasSuffix(e.Hint, "…") {
			t.Errorf("a sentence of %q ends with a full stop", e)
		}
	}
}

func (f *sheetFile) checkRead(t *testing.T, s *Sheet) {
	check := func(what, got, want string) {
		if want != "" && got != want {
			t.Errorf("%s: %s, want %s", what, got, want)
		}
	}
	yes := map[bool]string{true: "yes", false: "no"}
	var unknowns []string
	for _, u := range s.Unknowns {
		unknowns = append(unknowns, fmt.Sprint(u.Name, " ", u.Order))
	}
	check("unknowns", strings.Join(unknowns, ", "), f.unknowns)
	check("variable", s.Variable, f.variable)
	p := s.Problem()
	check("interval", fmt.Sprint(short(p.A), " ", short(p.B)), f.interval)
	check("conditions", strconv.Itoa(len(p.Conditions)), f.conditions)
	if f.eigenvalue == "" {
		f.eigenvalue = "no"
	}
	check("eigenvalue", yes[s.Eigenvalue], f.eigenvalue)
	if f.linear == "" {
		f.linear = "yes"
	}
	check("linear", yes[s.Linear], f.linear)
	var ranges, sought, breaks []string
	constants := map[string]string{}
	for _, c := range s.Constants {
		constants[c.Name] = short(c.Value)
		if c.Range != nil {
			ranges = append(ranges, fmt.Sprint(c.Name, " ", short(c.Range[0]), " ", short(c.Range[1])))
		}
	}
	for _, c := range strings.Fields(f.constants) {
		name, value, _ := strings.Cut(c, "=")
		check("constant "+name, constants[name], value)
	}
	check("ranges", strings.Join(ranges, ", "), or(f.ranges, ""))
	for _, q := range p.Parameters {
		text := q.Name
		if q.HasGuess {
			text += " near " + short(q.Guess)
		}
		sought = append(sought, text)
	}
	if got := strings.Join(sought, ", "); got != f.sought {
		t.Errorf("sought: %s, want %s", got, f.sought)
	}
	for _, b := range p.Breaks {
		breaks = append(breaks, short(b))
	}
	if got := strings.Join(breaks, " "); got != f.breaks {
		t.Errorf("breaks: %s, want %s", got, f.breaks)
	}
	var exact, guess []string
	for i, u := range s.Unknowns {
		if s.HasExact(i) {
			exact = append(exact, u.Name)
		}
		if s.model.guess[i] != nil {
			guess = append(guess, u.Name)
		}
	}
	if got := strings.Join(exact, " "); got != f.exact {
		t.Errorf("exact: %s, want %s", got, f.exact)
	}
	if got := strings.Join(guess, " "); got != f.guess || (p.Guess != nil) != (f.guess != "") {
		t.Errorf("guess: %s, want %s", got, f.guess)
	}
	for _, want := range f.infers {
		found := false
		for _, i := range s.Inferences {
			found = found || i.Text == want
		}
		if !found {
			t.Errorf("no inference %q among", want)
			for _, i := range s.Inferences {
				t.Log("  ", i.Text)
			}
		}
	}
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func short(v float64) string {
	if math.IsInf(v, 0) {
		return strings.TrimPrefix(strings.ToLower(strconv.FormatFloat(v, 'g', -1, 64)), "+")
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// checkPlaces checks that every stretch lies in the text, and that what is named there is the text.
func checkPlaces(t *testing.T, s *Sheet) {
	inside := func(what string, sp notation.Span) bool {
		ok := sp.From.Offset >= 0 && sp.From.Offset < sp.To && sp.To <= len(s.Text) && sp.From.Line > 0 &&
			sp.From.Column > 0
		if !ok {
			t.Errorf("%s: stretch %v to %d of a text of %d bytes", what, sp.From, sp.To, len(s.Text))
			return false
		}
		before := s.Text[:sp.From.Offset]
		lineStart := strings.LastIndex(before, "\n") + 1
		if line := strings.Count(before, "\n") + 1; line != sp.From.Line {
			t.Errorf("%s: line %d, want %d", what, sp.From.Line, line)
		}
		if column := len([]rune(before[lineStart:])) + 1; column != sp.From.Column {
			t.Errorf("%s: column %d, want %d", what, sp.From.Column, column)
		}
		return true
	}
	for _, l := range s.Reading() {
		inside(string(l.Kind), l.Span)
		if l.Kind == "" || l.Relation == nil {
			t.Errorf("statement %q has no kind or no tree", s.Text[l.Span.From.Offset:l.Span.To])
		}
	}
	for _, i := range s.Inferences {
		inside(i.Text, i.Span)
	}
	for _, c := range s.Constants {
		if inside(c.Name, c.Span) && inside(c.Name, c.ValueSpan) && c.ValueSpan.To > c.Span.To {
			t.Errorf("the value of %s ends after its statement", c.Name)
		}
	}
}
