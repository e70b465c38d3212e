package handout

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"nodespan/expr/lesson"
	"nodespan/expr/plot"
	"nodespan/solver/table"
	"nodespan/solver/table/greek"
)

// preamble asks for the required bundles of LaTeX alone. \fit sets a table as it is, or smaller where it is wider than
// the page; \beside sets what is said with tables at its right. No letter is smaller than 7 points, raised and lowered
// ones neither.
const preamble = `\documentclass[10pt,a4paper]{article}
\usepackage[utf8]{inputenc}
\usepackage{amsmath}
\usepackage{graphicx}
\usepackage{color}
\setlength{\textwidth}{176mm}
\setlength{\textheight}{268mm}
\setlength{\oddsidemargin}{-8.4mm}
\setlength{\evensidemargin}{-8.4mm}
\setlength{\topmargin}{-28mm}
\setlength{\footskip}{6mm}
\setlength{\parindent}{0pt}
\setlength{\parskip}{2pt plus 2pt}
\setlength{\tabcolsep}{3pt}
\DeclareMathSizes{10}{10}{7}{7}
\DeclareMathSizes{9}{9}{7}{7}
\DeclareMathSizes{8}{8}{7}{7}
\DeclareMathSizes{7}{7}{7}{7}
\emergencystretch=3em
\newsavebox{\fitbox}
\newsavebox{\tablebox}
\newcommand{\fit}[1]{\sbox{\fitbox}{#1}\ifdim\wd\fitbox>\linewidth\resizebox{\linewidth}{!}{\usebox{\fitbox}}\else\usebox{\fitbox}\fi}
\newcommand{\beside}[2]{\sbox{\tablebox}{#2}\par\medskip\begin{minipage}[t]{\dimexpr\linewidth-\wd\tablebox-2em}\setlength{\parskip}{2pt}#1\end{minipage}\hfill\usebox{\tablebox}\par}
\newenvironment{keep}{\par\medskip\begin{minipage}{\linewidth}\setlength{\parskip}{2pt}}{\end{minipage}\par}
\newcommand{\blank}{\underline{\rule[-1mm]{0pt}{6.5mm}\hspace{12mm}}}
`

// LaTeX returns the document as LaTeX source. One run of LaTeX is enough.
func (h *Handout) LaTeX() []byte {
	w := &latexWriter{h: h}
	w.put(preamble + "\\begin{document}\n{\\Large " + latexText(h.Title) + "\\par}\n")
	for _, b := range h.blocks {
		w.block(b)
	}
	w.put("\\end{document}\n")
	return []byte(w.b.String())
}

type latexWriter struct {
	h *Handout
	b strings.Builder
}

//go:noinline
func (w *latexWriter) put(s string) { w.b.WriteString(s) }

func (w *latexWriter) block(b block) {
	switch b := b.(type) {
	case heading:
		w.put("\n\\medskip{\\large\\bfseries " + latexText(b.text) + "\\par}\\nopagebreak\n")
	case paragraph:
		if b.note {
			w.put("{\\itshape " + latexText(b.text) + "\\par}\n\n")
		} else {
			w.put(latexText(b.text) + "\n\n")
		}
	case problem:
		w.problem(b)
	case equals:
		w.equals(b)
	case shown:
		w.put("{\\raggedright\n")
		for _, part := range b {
			w.block(part)
		}
		w.put("\\par}\n")
	case picture:
		w.put("\\mbox{" + w.picture(b) + "}\\quad\n")
	case grid:
		w.grid(b)
	case step:
		w.step(b)
	case readings:
		w.readings(b)
	}
}

// problem sets the statements, and the constants beside them.
func (w *latexWriter) problem(b problem) {
	width := "\\linewidth"
	if len(b.constants) > 0 {
		width = "0.48\\linewidth"
	}
	for _, lines := range [][]line{b.statements, b.constants} {
		if len(lines) == 0 {
			continue
		}
		w.put("\\begin{minipage}[t]{" + width + "}\\raggedright\n")
		for _, l := range lines {
			w.put("\\fit{$\\displaystyle " + latexMath(l.formula) + "$}")
			if l.comment != "" {
				w.put("\\quad{\\itshape " + latexText(l.comment) + "}")
			}
			w.put("\\\\[1pt]\n")
		}
		w.put("\\end{minipage}\\hfill\n")
	}
	w.put("\n")
}

func (w *latexWriter) equals(b equals) {
	w.put("\\begin{quote}\n")
	for i, e := range b {
		w.put("$" + latexMath(e.left))
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
}

// step sets a step of the working: what is said, and its tables beside it where they are narrow, else below. What is
// said stays with the first table.
func (w *latexWriter) step(b step) {
	narrow := b.narrow()
	if narrow {
		w.put("\n\\beside{")
	} else {
		w.put("\n\\begin{keep}\n")
	}
	w.put("\\textbf{" + latexText(b.title) + "}\\quad " + latexText(b.sentence) + "\n\n")
	if len(b.formulas) > 0 {
		w.put("{\\raggedright\\hspace*{1em}")
		for _, f := range b.formulas {
			w.put("\\fit{$\\displaystyle " + latexMath(f) + "$}\\qquad\n")
		}
		w.put("\\par}\n")
	}
	if b.room {
		w.put("\\vspace{20mm}\n\n")
	}
	if narrow {
		w.put("}{")
		for i := range b.tables {
			if i > 0 {
				w.put("\\quad ")
			}
			w.matrix(&b.tables[i])
		}
		w.put("}\n")
		return
	}
	// The first row of tables stays with what is said.
	first, width := 0, 0
	for ; first < len(b.tables) && (first == 0 || width+b.tables[first].characters <= widest); first++ {
		width += b.tables[first].characters + 3
	}
	w.flow(b.tables[:first])
	w.put("\\end{keep}\n")
	w.flow(b.tables[first:])
}

// flow sets tables side by side, as many as there is room for.
func (w *latexWriter) flow(tables []matrix) {
	if len(tables) == 0 {
		return
	}
	w.put("{\\raggedright\\lineskip=4pt\n")
	for i := range tables {
		w.matrix(&tables[i])
		w.put("\\quad\n")
	}
	w.put("\\par}\n")
}

// perPage is how many rows of the node table stand on a page.
const perPage = 40

// grid sets the node table, in parts that each fit on a page.
func (w *latexWriter) grid(b grid) {
	first, form := true, strings.Repeat("r", len(b.columns))
	for _, rows := range b.parts() {
		for from := 0; from < len(rows); from += perPage {
			w.put("{" + latexSizes[b.size()] + "\\fit{\\begin{tabular}[b]{" + form + "}\n")
			if first {
				w.put(fmt.Sprintf("\\multicolumn{%d}{l}{\\textit{Node table}} \\\\\n", len(b.columns)))
			}
			w.put("\\hline\n")
			first = false
			var names []string
			for _, c := range b.columns {
				names = append(names, latexLabel(c))
			}
			w.put(strings.Join(names, " & ") + " \\\\\n\\hline\n")
			for _, row := range rows[from:min(from+perPage, len(rows))] {
				var cells []string
				for _, d := range row {
					cells = append(cells, w.number(d))
				}
				w.put(strings.Join(cells, " & ") + " \\\\\n")
			}
			w.put("\\hline\n\\end{tabular}}}\\quad\n")
		}
	}
}

func (w *latexWriter) readings(b readings) {
	w.put("\\begin{minipage}[b]{58mm}\\raggedright\\scriptsize\n")
	for _, s := range b {
		w.put("\\begin{tabular}[b]{rr}\n\\multicolumn{2}{l}{" + s.what + "} \\\\\n\\multicolumn{2}{l}{" + s.which +
			"} \\\\\n\\hline\n" + s.counted + " & error \\\\\n")
		for i, error := range w.numbers(s.errors) {
			w.put(s.nodes[i] + " & " + error + " \\\\\n")
		}
		w.put("\\end{tabular}\\quad\n")
	}
	w.put("\\end{minipage}\n")
}

// matrix sets a table of matrices: their names, and their entries between the labels.
func (w *latexWriter) matrix(b *matrix) {
	if len(b.columns) == 0 { // too large for paper
		w.put("$" + latexSymbol(b.name) + "$: " + b.part + ".")
		return
	}
	w.put("{" + latexSizes[size4(b.characters)])
	form := "r|"
	for j := range b.columns {
		if slices.Contains(b.begins, j) {
			form += "|"
		}
		form += "r"
	}
	w.put("\\fit{\\begin{tabular}[t]{" + form + "|}\n")
	if b.part != "" {
		w.put(fmt.Sprintf("\\multicolumn{%d}{l}{$%s$, %s} \\\\\n", len(b.columns)+1, latexSymbol(b.name), b.part))
	}
	w.put("\\multicolumn{1}{r}{")
	if b.name != "" {
		w.put("$" + latexSymbol(b.name) + "$")
	}
	w.put("}")
	for _, c := range b.columns {
		w.put(" & \\multicolumn{1}{r}{" + latexLabel(c) + "}")
	}
	w.put(" \\\\\n")
	for i, r := range b.rows {
		w.put(latexLabel(r))
		for j := range b.columns {
			w.put(" & ")
			if b.cells == nil {
				w.put("\\blank")
			} else if c := b.cells[i][j]; c != "" {
				w.put("$" + latexPowers(strings.ReplaceAll(c, ",", "{,}")) + "$")
			}
		}
		w.put(" \\\\\n")
	}
	w.put("\\end{tabular}}}")
}

// latexSizes are the sizes of type: 9, 8 and 7 points.
var latexSizes = map[string]string{"w1": "\\small", "w2": "\\footnotesize", "w3": "\\scriptsize"}

// latexLabel sets a label of a row or a column.
func latexLabel(l lesson.Label) string {
	s := latexText(l.Words)
	if l.Formula.MathML != nil {
		s += "$" + latexMath(l.Formula) + "$"
	}
	return s
}

// latexMath sets a formula, with powers of ten for numbers such as 1e-7.
//
//go:noinline
func latexMath(f lesson.Formula) string { return latexPowers(f.LaTeX) }

var latexPower = regexp.MustCompile(`([0-9](?:[0-9.]|\{,\})*)e(-?[0-9]+)`)

// latexPowers writes 1.5e-7 as 1.5 × 10^-7, set tight.
//
//go:noinline
func latexPowers(s string) string {
	return latexPower.ReplaceAllString(s, `{${1}{\times}10^{${2}}}`)
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
		s := strings.ReplaceAll(r.Text, "−", "-")
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
		s := latexLetters(latexEscape.Replace(r.Text))
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
