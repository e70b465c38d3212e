package sheet

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"nodespan/expr/notation"
	"nodespan/testdata"
)

// A dresser writes a sheet as somebody else would: with greetings, lead-ins, labels, numbers of lines, other
// spellings of signs and conditions, other line ends. What it makes is the same problem to any reader.
type dresser struct {
	*rand.Rand
	variable string
	unknowns map[string]bool
}

func (d *dresser) one(of ...string) string { return of[d.IntN(len(of))] }

func (d *dresser) odds(n int) bool { return d.IntN(n) == 0 }

var (
	comment = regexp.MustCompile(`(?m)#.*$`)
	lone    = regexp.MustCompile(`^(-?[A-Za-z]\w*)('*)\(([^()=]+)\) = ([^=<>]+)$`)
	keyed   = regexp.MustCompile(`^(exact|guess|break|report)\b`)
)

// dress returns the sheet in another dress.
func (d *dresser) dress(text string) string {
	var lines []string
	for _, line := range strings.Split(comment.ReplaceAllString(text, ""), "\n") {
		if line = strings.TrimSpace(line); line != "" {
			lines = append(lines, line)
		}
	}
	for i, line := range lines {
		lines[i] = d.said(line)
	}
	spell := d.spelling()
	for i := range lines {
		lines[i] = spell(lines[i])
	}
	if d.odds(3) {
		lines[0] = d.one("Consider ", "Solve ", "We have ", "Let us solve the equation ", "Given: ", "ODE: ",
			"Betrachte ",
			"On considère ", "The governing equation is ", "Find the solution of ") + lines[0]
	}
	d.number(lines)
	for i := range lines {
		if d.odds(8) && !strings.Contains(lines[i], "$") {
			lines[i] += d.one("   (given)", "  (see the notes)", "   [prescribed]", "  // from the table")
		}
	}
	return d.around(d.join(lines))
}

// said writes a line that is a single condition in another way.
func (d *dresser) said(line string) string {
	m := lone.FindStringSubmatch(line)
	if m == nil || d.variable == "" || d.odds(2) || strings.Contains(line, ",") || strings.Contains(line, ";") {
		return line
	}
	what, point, value := m[1]+m[2], m[3], m[4]
	if !d.unknowns[m[1]] || d.unknowns[point] || point == d.variable {
		return line
	}
	switch d.IntN(6) {
	case 0:
		return fmt.Sprintf("%s = %s at %s = %s", what, value, d.variable, point)
	case 1:
		return fmt.Sprintf("at %s = %s: %s = %s", d.variable, point, what, value)
	case 2:
		return fmt.Sprintf("%s = %s: %s = %s", d.variable, point, what, value)
	case 3:
		return fmt.Sprintf("%s|_{%s=%s} = %s", what, d.variable, point, value)
	case 4:
		return fmt.Sprintf("%s = %s when %s = %s", what, value, d.variable, point)
	}
	return fmt.Sprintf("[%s]_{%s=%s} = %s", what, d.variable, point, value)
}

// spelling draws a way to write signs.
func (d *dresser) spelling() func(string) string {
	var pairs []string
	for _, p := range [][]string{{"'''", "‴"}, {"''", "″"}, {"<=", "≤"}, {"^2", "²"}, {"^3", "³"}, {"*", "·"}, {" - ",
		" − "},
		{"lambda", "λ"}, {"theta", "θ"}, {"inf)", "∞)"}} {
		if d.odds(2) {
			pairs = append(pairs, p...)
		}
	}
	r := strings.NewReplacer(pairs...)
	dollar := d.odds(5)
	return func(line string) string {
		if strings.Contains(line, "**") {
			return line
		}
		line = r.Replace(line)
		if dollar && !keyed.MatchString(line) && !strings.Contains(line, ":") && !strings.Contains(line, " when ") {
			return "$" + line + "$"
		}
		return line
	}
}

// number gives the lines numbers, bullets or labels.
func (d *dresser) number(lines []string) {
	style := d.IntN(14)
	for i, line := range lines {
		n := strconv.Itoa(i + 1)
		roman := []string{"i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x"}[min(i, 9)]
		switch {
		case style == 0:
			lines[i] = "(" + n + ") " + line
		case style == 1:
			lines[i] = n + ") " + line
		case style == 2:
			lines[i] = "[" + n + "]  " + line
		case style == 3 && len(lines) < 10:
			lines[i] = "(" + roman + ") " + line
		case style == 4:
			lines[i] = line + "     (" + n + ")"
		case style == 5:
			lines[i] = line + "   (3." + n + ")"
		case style == 6:
			lines[i] = "* " + line
		case style == 7:
			lines[i] = "• " + line
		case style == 8:
			lines[i] = "- " + d.one("line", "given", "from the notes") + ": " + line
		}
	}
}

// join puts the lines together.
func (d *dresser) join(lines []string) string {
	switch d.IntN(4) {
	case 0:
		return strings.Join(lines, "\n\n")
	case 1:
		return strings.Join(lines, "\r\n")
	case 2:
		var b strings.Builder
		for i, line := range lines {
			b.WriteString(line + "\n")
			if i < len(lines)-1 && d.odds(4) {
				b.WriteString(d.one("This is from the lecture.\n", "with the conditions\n",
					"Here we assume steady state.\n",
					"and, as in the notes,\n", "Boundary conditions:\n", "where\n", "-----\n"))
			}
		}
		return b.String()
	}
	return strings.Join(lines, "\n")
}

// around puts a mail, a document or a list around the text.
func (d *dresser) around(text string) string {
	switch d.IntN(8) {
	case 0:
		return "Hi " + d.one("Jo", "all", "Marie") + ",\n\ncould you check this problem?\n\n" + text +
			"\n\nThanks and best wishes,\nAda\nRoom 12"
	case 1:
		return "> " + strings.ReplaceAll("Here it is again:\n"+text, "\n", "\n> ")
	case 2:
		return "# Homework 3\n\n```\n" + text + "\n```\n"
	case 3:
		return "Exercise 4.2 Steady state of a slab\n===================================\n" + text
	case 4:
		return "**Problem 7.** Solve the boundary value problem\n\n" + text + "\n\nPlot the solution."
	case 5:
		return "\\section{Model}\n" + text + "\n\\bigskip"
	}
	return text
}

// fingerprint evaluates the equations and conditions of a problem at drawn values.
func fingerprint(s *Sheet) []float64 {
	p := s.Problem()
	r := rand.New(rand.NewPCG(1, 2))
	prints := []float64{float64(len(p.Unknowns)), p.A, p.B, float64(len(p.Conditions)), float64(len(p.Breaks)),
		float64(len(p.Parameters))}
	jet, f := make([]float64, p.Jet()+len(p.Parameters)), make([]float64, len(p.Unknowns))
	for range 3 {
		for i := range jet {
			jet[i] = 0.3 + r.Float64()
		}
		p.Equations(middle(p.A, p.B, r.Float64()), jet, f, nil)
		prints = append(prints, f...)
	}
	for _, c := range p.Conditions {
		values := make([]float64, len(c.At)+len(p.Parameters))
		for i := range p.Parameters {
			values[len(c.At)+i] = 0.3 + r.Float64()
		}
		for i, at := range c.At {
			values[i] = 0.3 + r.Float64()
			prints = append(prints, at.X, float64(at.Unknown), float64(at.Derivative))
		}
		prints = append(prints, math.Abs(c.Residual(values, nil)))
	}
	return prints
}

func middle(a, b, share float64) float64 {
	if math.IsInf(a, 0) || math.IsInf(b, 0) {
		return share
	}
	return a + share*(b-a)
}

func sameFingerprint(a, b []float64) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] && !(math.Abs(a[i]-b[i]) <= 1e-9*(1+math.Abs(a[i]))) && !(math.IsNaN(a[i]) &&
			math.IsNaN(b[i])) {
			return false
		}
	}
	return true
}

// sheetsToDress are the demonstrations and the problems of the reference set.
func sheetsToDress(t testing.TB) []string {
	t.Helper()
	names, err := filepath.Glob("../../testdata/demos/*.txt")
	if err != nil || len(names) == 0 {
		t.Fatal("no demonstrations")
	}
	var list []string
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, string(data))
	}
	for _, b := range testdata.Problems() {
		list = append(list, b.Sheet)
	}
	return list
}

// dressed reads one dressing; it returns the text, whether it was read, and what is wrong with the reading.
func dressed(t testing.TB, list []string, seed uint64) (text string, read bool, wrong string) {
	t.Helper()
	d := &dresser{Rand: rand.New(rand.NewPCG(seed, 7))}
	base := list[d.IntN(len(list))]
	plain, err := Read(base, Options{})
	if err != nil {
		return base, false, ""
	}
	d.variable, d.unknowns = plain.Variable, map[string]bool{}
	for _, u := range plain.Unknowns {
		d.unknowns[u.Name] = true
	}
	text = d.dress(base)
	s, err := Read(text, Options{})
	if err != nil {
		if list, ok := err.(notation.ErrorList); !ok || len(list) == 0 || list[0].Msg == "" {
			return text, false, "no message"
		}
		return text, false, err.Error()
	}
	if !sameFingerprint(fingerprint(plain), fingerprint(s)) {
		return text, true, fmt.Sprintf("is read as another problem than\n%s", base)
	}
	return text, true, ""
}

// TestDressings reads some hundred dressings (DRESSINGS=5000 asks for more): each as the undressed sheet, or refused.
func TestDressings(t *testing.T) {
	n := 400
	if s := os.Getenv("DRESSINGS"); s != "" {
		n, _ = strconv.Atoi(s)
	}
	list := sheetsToDress(t)
	read, refused, why := 0, 0, map[string]string{}
	for seed := range n {
		text, ok, wrong := dressed(t, list, uint64(seed))
		switch {
		case ok && wrong != "":
			t.Errorf("seed %d:\n%s\n%s", seed, text, wrong)
		case ok:
			read++
		default:
			refused++
			why[wrong] = text
		}
	}
	t.Logf("%d dressings: %d read as the undressed sheet, %d refused", n, read, refused)
	if testing.Verbose() {
		for w, text := range why {
			t.Logf("%s\n%s\n", strings.Split(w, "\n")[0], text)
		}
	}
	if read < n*9/10 {
		t.Errorf("%d of %d dressings are read, want nine of ten", read, n)
	}
}

// FuzzDress draws dressings by a seed.
func FuzzDress(f *testing.F) {
	f.Add(uint64(1))
	list := sheetsToDress(f)
	f.Fuzz(func(t *testing.T, seed uint64) {
		if text, ok, wrong := dressed(t, list, seed); ok && wrong != "" {
			t.Errorf("%s\n%s", text, wrong)
		}
	})
}
