package table

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"strings"
)

// Format is a way to write a table as text.
type Format string

const (
	TSV      Format = "tsv"      // tab-separated values, as spreadsheets paste them
	CSV      Format = "csv"      // RFC 4180: commas, lines ended by CR LF
	Markdown Format = "markdown" // a pipe table
	LaTeX    Format = "latex"    // a tabular environment that needs no package
)

// Formats lists every format.
func Formats() []Format { return []Format{TSV, CSV, Markdown, LaTeX} }

// Write writes the table with honest digits. An error is the writer's.
func (t *Table) Write(w io.Writer, f Format) error {
	switch f {
	case TSV:
		return t.lines(w, "", "\t", "", func(s string) string { return s }, Digits.String)
	case CSV:
		c := csv.NewWriter(w)
		c.UseCRLF = true
		if err := c.Write(t.Columns); err != nil {
			return err
		}
		for i := range t.Rows {
			if err := c.Write(t.cells(i, Digits.String)); err != nil {
				return err
			}
		}
		c.Flush()
		return c.Error()
	case Markdown:
		return t.lines(w, "| ", " | ", " |", markdownName, Digits.String, "|"+strings.Repeat(" ---: |", len(t.Columns)))
	case LaTeX:
		b := bufio.NewWriter(w)
		fmt.Fprintf(b, "\\begin{tabular}{%s}\n\\hline\n", strings.Repeat("r", len(t.Columns)))
		if err := t.lines(b, "", " & ", ` \\`, latexName, latexNumber, `\hline`); err != nil {
			return err
		}
		fmt.Fprint(b, "\\hline\n\\end{tabular}\n")
		return b.Flush()
	}
	panic("table: unknown format " + string(f))
}

// lines writes the heading, any lines under it, and the rows.
func (t *Table) lines(w io.Writer, before, between, after string, name func(string) string, number func(Digits) string, under ...string) error {
	b := bufio.NewWriter(w)
	line := func(cells []string) { fmt.Fprint(b, before, strings.Join(cells, between), after, "\n") }
	heading := make([]string, len(t.Columns))
	for j, c := range t.Columns {
		heading[j] = name(c)
	}
	line(heading)
	for _, u := range under {
		fmt.Fprintln(b, u)
	}
	for i := range t.Rows {
		line(t.cells(i, number))
	}
	return b.Flush()
}

func (t *Table) cells(row int, number func(Digits) string) []string {
	cells := make([]string, len(t.Columns))
	for j := range cells {
		cells[j] = number(t.Cell(row, j))
	}
	return cells
}

// markdownName keeps the marks of Markdown in a name from being taken as such.
func markdownName(s string) string {
	return strings.NewReplacer(`\`, `\\`, `|`, `\|`, `*`, `\*`, `_`, `\_`).Replace(s)
}

// latexNumber sets a number in mathematics, with its power of ten raised.
func latexNumber(d Digits) string {
	s := d.Firm + d.Doubtful
	switch s {
	case "nan", "?":
		return s
	case "inf", "-inf":
		return "$" + strings.Replace(s, "inf", `\infty`, 1) + "$"
	}
	if d.Exponent != "" {
		s += `\times10^{` + strings.TrimPrefix(d.Exponent, "e") + "}"
	}
	return "$" + s + "$"
}

// Greek letters that LaTeX has a command for, by the names that sheets use.
var greek = map[string]bool{}

func init() {
	for _, name := range strings.Fields(`alpha beta gamma delta epsilon zeta eta theta iota kappa lambda mu nu xi pi rho sigma tau
		upsilon phi chi psi omega Gamma Delta Theta Lambda Xi Pi Sigma Upsilon Phi Psi Omega`) {
		greek[name] = true
	}
}

// latexName sets the name of a column in mathematics: T_s” as $T_{s}”$, theta as $\theta$.
func latexName(s string) string {
	name, order, power := strings.Cut(s, "^")
	bare := strings.TrimRight(name, "'")
	primes := name[len(bare):]
	parts := strings.Split(bare, "_")
	out := latexWord(parts[0])
	if len(parts) > 1 {
		sub := make([]string, len(parts)-1)
		for i, p := range parts[1:] {
			sub[i] = latexWord(p)
		}
		out += "_{" + strings.Join(sub, ",") + "}"
	}
	if power {
		primes = "^{" + order + "}"
	}
	return "$" + out + primes + "$"
}

// latexWord sets a letter as it is, a Greek one by its command, a longer word upright.
func latexWord(s string) string {
	switch {
	case greek[s]:
		return `\` + s
	case len([]rune(s)) <= 1 || strings.Trim(s, "0123456789") == "":
		return s
	case strings.Trim(s[1:], "0123456789") == "": // y1
		return s[:1] + "_{" + s[1:] + "}"
	}
	return `\mathrm{` + s + "}"
}
