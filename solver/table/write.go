package table

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"nodespan/solver/table/greek"
)

// Format is a way to write a table as text.
type Format string

const (
	TSV      Format = "tsv"      // tab-separated values, as spreadsheets paste them
	CSV      Format = "csv"      // RFC 4180: commas (semicolons with a decimal comma), lines ended by CR LF
	Markdown Format = "markdown" // a pipe table
	LaTeX    Format = "latex"    // a tabular environment that needs no package
)

// files says how the file of each format ends, and the type by which browsers know it.
var files = []struct {
	format        Format
	ending, media string
}{
	{TSV, "tsv", "text/tab-separated-values"},
	{CSV, "csv", "text/csv"},
	{Markdown, "md", "text/markdown"},
	{LaTeX, "tex", "application/x-tex"},
}

// Formats lists every format.
func Formats() []Format {
	var all []Format
	for _, f := range files {
		all = append(all, f.format)
	}
	return all
}

// File says how a file of the format ends, behind the point, and the type by which browsers know it.
func (f Format) File() (ending, media string) {
	for _, k := range files {
		if k.format == f {
			return k.ending, k.media
		}
	}
	return "txt", "text/plain"
}

// Write writes the table with honest digits. An error is the writer's.
func (t *Table) Write(w io.Writer, f Format) error { return t.WriteWith(w, f, Options{}) }

// WriteWith writes the table as the options say; it panics on impossible options. An error is the writer's.
func (t *Table) WriteWith(w io.Writer, f Format, o Options) error {
	if err := o.Check(); err != nil {
		panic("table: " + err.Error())
	}
	number, name := Digits.String, func(s string) string { return s }
	switch f {
	case Markdown:
		name = markdownName
	case LaTeX:
		number, name = LaTeXNumber, LaTeXName
	}
	var heading []string
	for j, c := range t.Columns {
		heading = append(heading, name(c))
		if o.Errors && j > 0 {
			heading = append(heading, "error of "+name(c))
		}
	}
	lines := append(make([][]string, 0, len(t.Rows)+1), heading)
	for i := range t.Rows {
		var cells []string
		for j := range t.Columns {
			cells = append(cells, number(t.CellWith(i, j, f, o)))
			if o.Errors && j > 0 {
				cells = append(cells, number(t.ErrorCell(i, j, f, o)))
			}
		}
		lines = append(lines, cells)
	}
	return write(w, f, lines, o)
}

// WriteWords writes a table of words, the heading first. Words that are numbers are set as such. An error is the
// writer's.
func WriteWords(w io.Writer, f Format, lines [][]string, o Options) error {
	out := make([][]string, len(lines))
	for i, cells := range lines {
		for _, c := range cells {
			_, err := strconv.ParseFloat(c, 64)
			firm, exponent, _ := strings.Cut(c, "e")
			d := Digits{Firm: firm}
			if exponent != "" {
				d.Exponent = "e" + exponent
			}
			switch {
			case err == nil && f == LaTeX:
				c = LaTeXNumber(o.Point(d, f))
			case err == nil:
				c = o.Point(d, f).String()
			case f == Markdown:
				c = markdownName(c)
			case f == LaTeX:
				c = strings.NewReplacer(`_`, `\_`, `&`, `\&`, `%`, `\%`, `#`, `\#`, `$`, `\$`).Replace(c)
			}
			out[i] = append(out[i], c)
		}
	}
	return write(w, f, out, o)
}

// write writes lines of cells that are ready for the format, the heading first.
func write(w io.Writer, f Format, lines [][]string, o Options) error {
	b := bufio.NewWriter(w)
	put := func(before, between, after string, cells []string) {
		fmt.Fprint(b, before, strings.Join(cells, between), after, "\n")
	}
	columns := len(lines[0])
	switch f {
	case TSV:
		for _, cells := range lines {
			put("", "\t", "", cells)
		}
	case CSV:
		c := csv.NewWriter(b)
		c.UseCRLF = true
		if o.Comma {
			c.Comma = ';'
		}
		if err := c.WriteAll(lines); err != nil {
			return err
		}
	case Markdown:
		for i, cells := range lines {
			put("| ", " | ", " |", cells)
			if i == 0 {
				fmt.Fprintln(b, "|"+strings.Repeat(" ---: |", columns))
			}
		}
	case LaTeX:
		fmt.Fprintf(b, "\\begin{tabular}{%s}\n\\hline\n", strings.Repeat("r", columns))
		for i, cells := range lines {
			put("", " & ", ` \\`, cells)
			if i == 0 {
				fmt.Fprintln(b, `\hline`)
			}
		}
		fmt.Fprint(b, "\\hline\n\\end{tabular}\n")
	default:
		panic("table: unknown format " + string(f))
	}
	return b.Flush()
}

// markdownName keeps the marks of Markdown in a name from being taken as such.
func markdownName(s string) string {
	return strings.NewReplacer(`\`, `\\`, `|`, `\|`, `*`, `\*`, `_`, `\_`).Replace(s)
}

// LaTeXNumber sets a number for LaTeX, with its power of ten raised.
func LaTeXNumber(d Digits) string {
	s := d.Firm + d.Doubtful
	switch s {
	case "", "nan", "?":
		return s
	case "inf", "-inf":
		return "$" + strings.Replace(s, "inf", `\infty`, 1) + "$"
	}
	if d.Exponent != "" {
		s += `\times10^{` + strings.TrimPrefix(d.Exponent, "e") + "}"
	}
	return "$" + s + "$"
}

// LaTeXName sets the name of a column for LaTeX: T_s” as $T_{s}”$, theta as $\theta$.
func LaTeXName(s string) string {
	name, order, power := strings.Cut(s, "^")
	bare := strings.TrimRight(name, "'")
	primes := name[len(bare):]
	if power {
		primes = "^{" + order + "}"
	}
	if len(bare) > 1 && strings.Trim(bare[1:], "0123456789") == "" { // y1
		bare = bare[:1] + "_" + bare[1:]
	}
	return "$" + greek.LaTeX(bare) + primes + "$"
}
