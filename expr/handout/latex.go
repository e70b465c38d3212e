package handout

import (
	"fmt"
	"strings"

	"nodespan/expr/lesson"
	"nodespan/expr/plot"
	"nodespan/solver/table"
	"nodespan/solver/table/greek"
)

// preamble asks for the required bundles of LaTeX alone. \fit sets a table as it is, or smaller where it is wider than
// the page.
const preamble = `\documentclass[10pt,a4paper]{article}
\usepackage[utf8]{inputenc}
\usepackage{amsmath}
\usepackage{graphicx}
\usepackage{color}
\setlength{\textwidth}{170mm}
\setlength{\textheight}{266mm}
\setlength{\oddsidemargin}{-5.4mm}
\setlength{\evensidemargin}{-5.4mm}
\setlength{\topmargin}{-27mm}
\setlength{\parindent}{0pt}
\setlength{\parskip}{3pt plus 2pt}
\setlength{\tabcolsep}{4pt}
\emergencystretch=3em
\newsavebox{\fitbox}
\newcommand{\fit}[1]{\sbox{\fitbox}{#1}\ifdim\wd\fitbox>\linewidth\resizebox{\linewidth}{!}{\usebox{\fitbox}}\else\usebox{\fitbox}\fi}
\newenvironment{keep}{\par\medskip\begin{minipage}{\linewidth}\setlength{\parskip}{3pt}}{\end{minipage}\par\smallskip}
\newcommand{\blank}{\underline{\hspace{12mm}}}
`

// LaTeX returns the document as LaTeX source. One run of LaTeX is enough.
func (h *Handout) LaTeX() []byte {
	w := &latexWriter{h: h}
	w.put(preamble + "\\begin{document}\n{\\LARGE " + latexText(h.Title) + "\\par}\n\\medskip\n")
	for _, b := range h.blocks {
		// A step's heading stays with its sentence, its formulas and its first matrix.
		head, starts := b.(heading)
		if starts {
			w.close()
			if head.step {
				w.put("\n\\begin{keep}\n")
				w.open = true
			}
		}
		w.block(b)
		if _, ends := b.(matrix); ends {
			w.close()
		}
	}
	w.close()
	w.put("\\end{document}\n")
	return []byte(w.b.String())
}

type latexWriter struct {
	h    *Handout
	b    strings.Builder
	open bool // a heading is kept together with what follows it
}

func (w *latexWriter) close() {
	if w.open {
		w.put("\\end{keep}\n")
		w.open = false
	}
}

func (w *latexWriter) put(s string) { w.b.WriteString(s) }

func (w *latexWriter) block(b block) {
	switch b := b.(type) {
	case heading:
		kind := "subsection*"
		if b.step {
			kind = "subsubsection*"
		}
		w.put("\n\\" + kind + "{" + latexText(b.text) + "}\n")
	case paragraph:
		if b.note {
			w.put("{\\itshape " + latexText(b.text) + "\\par}\n\n")
		} else {
			w.put(latexText(b.text) + "\n\n")
		}
	case formulas:
		if len(b) == 0 {
			w.put("\\vspace{20mm}\n\n")
			break
		}
		w.put("\\begin{quote}\n")
		for i, f := range b {
			end := "\\\\[1pt]\n"
			if i == len(b)-1 {
				end = "\n"
			}
			w.put("\\fit{$\\displaystyle " + f.LaTeX + "$}" + end)
		}
		w.put("\\end{quote}\n")
	case equals:
		w.put("\\begin{quote}\n")
		for i, e := range b {
			w.put("$" + e.left.LaTeX)
			switch {
			case e.words != "":
				w.put("$: " + latexText(e.words))
			case e.value == (table.Digits{}):
				w.put(" = {}$\\blank")
			default:
				w.put(" = {}$" + w.number(e.value))
			}
			if i < len(b)-1 {
				w.put("\\\\[3pt]")
			}
			w.put("\n")
		}
		w.put("\\end{quote}\n")
	case picture:
		w.put("\\begin{center}\n" + w.picture(b) + "\\end{center}\n")
	case grid:
		w.grid(b)
	case matrix:
		w.matrix(b)
	case rungs:
		w.put("\\begin{samepage}" + latexText(b.what) + ":\\nopagebreak\\\\[2pt]\n{\\small\\fit{\\begin{tabular}{l|" +
			strings.Repeat("r", len(b.nodes)) + "}\n")
		w.put("number & " + strings.Join(w.numbers(b.nodes), " & ") + " \\\\\n")
		w.put("error & " + strings.Join(w.numbers(b.errors), " & ") + " \\\\\n\\end{tabular}}}\\end{samepage}\n\n")
	}
}

// perPage is how many rows of the node table stand on a page.
const perPage = 40

// grid sets the node table, in parts that each fit on a page.
func (w *latexWriter) grid(b grid) {
	for from := 0; from < len(b.cells); from += perPage {
		w.put("\\begin{center}\\small\n\\fit{\\begin{tabular}{" + strings.Repeat("r", len(b.columns)) + "}\n\\hline\n")
		var names []string
		for _, c := range b.columns {
			names = append(names, table.LaTeXName(c))
		}
		w.put(strings.Join(names, " & ") + " \\\\\n\\hline\n")
		for _, row := range b.cells[from:min(from+perPage, len(b.cells))] {
			var cells []string
			for _, d := range row {
				cells = append(cells, w.number(d))
			}
			w.put(strings.Join(cells, " & ") + " \\\\\n")
		}
		w.put("\\hline\n\\end{tabular}}\n\\end{center}\n")
	}
}

// matrix sets a matrix of the working: its name, and its entries between the labels.
func (w *latexWriter) matrix(b matrix) {
	size := map[string]string{"w1": "\\small", "w2": "\\footnotesize", "w3": "\\scriptsize"}[size4(b.characters)]
	name := "$" + latexSymbol(b.name) + "$:\\quad"
	if b.part != "" {
		w.put("$" + latexSymbol(b.name) + "$, " + b.part + ":\\nopagebreak\n\n")
		name = ""
	}
	w.put("{" + size + "\\fit{" + name + "\\begin{tabular}{r|" + strings.Repeat("r", len(b.columns)) +
		"|}\n\\multicolumn{1}{r}{}")
	for _, c := range b.columns {
		w.put(" & \\multicolumn{1}{r}{" + latexText(c) + "}")
	}
	w.put(" \\\\\n")
	for i, r := range b.rows {
		w.put(latexText(r))
		for j := range b.columns {
			w.put(" & ")
			if b.cells == nil {
				w.put("\\blank")
			} else if c := b.cells[i][j]; c != "" {
				mantissa, power, has := strings.Cut(strings.ReplaceAll(c, ",", "{,}"), "e")
				if has {
					mantissa += "\\mathrm{e}{" + power + "}" // narrower than a power of ten
				}
				w.put("$" + mantissa + "$")
			}
		}
		w.put(" \\\\\n")
	}
	w.put("\\end{tabular}}\\par}\n")
}

// number sets a number that may have a decimal comma.
func (w *latexWriter) number(d table.Digits) string {
	d.Firm, d.Doubtful = strings.ReplaceAll(d.Firm, ",", "{,}"), strings.ReplaceAll(d.Doubtful, ",", "{,}")
	return table.LaTeXNumber(d)
}

func (w *latexWriter) numbers(words []string) []string {
	out := make([]string, len(words))
	for i, s := range words {
		mantissa, power, has := strings.Cut(s, "e")
		d := table.Digits{Firm: mantissa}
		if has {
			d.Exponent = "e" + power
		}
		out[i] = w.number(d)
	}
	return out
}

// latexSymbol sets the name of a matrix.
func latexSymbol(name string) string {
	var b strings.Builder
	for _, r := range lesson.Runs(lesson.Symbol(name)) {
		s := r.Text
		if len([]rune(s)) > 1 && r.Level < 1 && strings.Trim(s, "0123456789") != "" {
			s = "\\mathrm{" + strings.ReplaceAll(s, "_", "\\_") + "}"
		}
		switch r.Level {
		case 1:
			s = "^{" + s + "}"
		case -1:
			s = "_{" + s + "}"
		}
		b.WriteString(s)
	}
	return b.String()
}

var (
	latexEscape = strings.NewReplacer(`\`, `\textbackslash{}`, `{`, `\{`, `}`, `\}`, `$`, `\$`, `&`, `\&`, `#`, `\#`,
		`%`, `\%`, `_`, `\_`,
		`^`, `\textasciicircum{}`, `~`, `\textasciitilde{}`, `<`, `$<$`, `>`, `$>$`, `|`, `$|$`, `"`, `''`,
		"“", "``", "”", "''", "‘", "`", "’", "'", "…", `\ldots{}`, "–", "--", "—", "---", "−", "$-$", "·", `$\cdot$`,
		"×", `$\times$`, "′", "$'$", "″", "$''$",
		"≤", `$\le$`, "≥", `$\ge$`, "∞", `$\infty$`, "→", `$\to$`, "±", `$\pm$`, "°", `$^\circ$`, "²", "$^2$", "³",
		"$^3$", "√", `$\surd$`, "∂", `$\partial$`,
		"⁻", "$^-$", "⁰", "$^0$", "¹", "$^1$", "⁴", "$^4$", "⁵", "$^5$", "⁶", "$^6$",
		"⁷", "$^7$", "⁸", "$^8$", "⁹", "$^9$",
		"\u00a0", "~", "\u202f", `\,`, "\u2009", `\,`, "µ", `$\mu$`)
)

// latexGreek is the command for a Greek letter, or "": those without one look like Latin ones.
func latexGreek(r rune) string {
	l, _ := greek.Named(r)
	return l.LaTeX()
}

// latexText sets running text. Letters of scripts that plain LaTeX does not have are named by their code.
func latexText(text string) string {
	var b strings.Builder
	for _, r := range lesson.Runs(text) {
		s := latexLetters(latexEscape.Replace(minus(r.Text)))
		switch r.Level {
		case 1:
			s = "$^{" + strings.ReplaceAll(s, "$", "") + "}$"
		case -1:
			s = "$_{\\mathrm{" + strings.ReplaceAll(s, "$", "") + "}}$"
		}
		b.WriteString(s)
	}
	return b.String()
}

func latexLetters(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r < 0x80:
			b.WriteRune(r)
		case latexGreek(r) != "":
			b.WriteString("$" + latexGreek(r) + "$")
		case r >= 0xc0 && r <= 0x17f && !strings.ContainsRune("ÐðÞþĦħĿŀŊŋŦŧĲĳĸŉſĄąĘęĮįŲų", r):
			b.WriteRune(r) // Latin letters with marks, as inputenc has them
		default:
			fmt.Fprintf(&b, "[U+%04X]", r)
		}
	}
	return b.String()
}

// picture draws the figure or the ladder by LaTeX's own picture environment.
func (w *latexWriter) picture(b picture) string {
	o, p := plot.Options{Width: figureWidth, Palette: plot.Print}, &latexPicture{}
	var width float64
	if b.ladder != nil {
		l := plot.NewLadderLayout(b.ladder, o, p)
		width, p.height = l.Width, l.Height
		l.Draw(p)
	} else {
		l := plot.NewLayout(w.h.fig, plot.NewView(w.h.fig.A, w.h.fig.B), o, p)
		width, p.height = l.Width, l.Height
		l.Draw(p)
	}
	return fmt.Sprintf("\\setlength{\\unitlength}{%.4fmm}%%\n\\begin{picture}(%s,%s)\n%s\\end{picture}%%\n",
		pictureUnit, coordinate(width), coordinate(p.height), p.b.String())
}
