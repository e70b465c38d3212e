package handout

import (
	"strings"

	"nodespan/expr/figure"
	"nodespan/expr/lesson"
	"nodespan/expr/plot"
	"nodespan/expr/typeset"
	"nodespan/solver/table"
)

// style is the document's only style sheet. Nothing that belongs together is cut by the end of a page, and wide
// matrices are set smaller rather than cut.
const style = `
:root { color-scheme: light }
body { margin: 0 auto; padding: 1.5rem 1rem 3rem; max-width: 46rem; background: #fff; color: #1d1d1b;
  font: 1.05rem/1.5 "TeX Gyre Pagella", Palatino, Georgia, serif; hyphens: auto }
h1 { font-size: 1.9rem; line-height: 1.2; font-weight: normal; margin: 0 0 .75rem }
h2 { font-size: 1.3rem; font-weight: normal; margin: 2rem 0 .5rem; border-top: 1px solid #85826f; padding-top: .75rem }
h3 { font-size: 1.05rem; margin: 1.5rem 0 .25rem }
p { margin: 0 0 .6rem; max-width: 42rem }
.note { font-style: italic }
math { font-size: 1.06em }
.formulas { margin: .4rem 0 .8rem 1.5rem; padding: 0; list-style: none }
.formulas li { margin: .3rem 0; min-height: 1.6rem }
.room { height: 5rem; border: 1px dotted #85826f; margin: .5rem 0 }
.scroll { overflow-x: auto; margin: .6rem 0 1rem }
figure { margin: .8rem 0 }
figure svg { display: block; max-width: 100%; height: auto }
table { border-collapse: collapse; font-variant-numeric: tabular-nums lining-nums; line-height: 1.35 }
caption { text-align: left; padding: 0 0 .2rem; font-style: italic }
td, th { padding: .08rem .45em; text-align: right; white-space: nowrap; font-weight: normal }
.nodes thead th, .rungs tr:first-child > * { border-bottom: 1px solid #85826f }
.rungs th { text-align: left }
.doubtful { color: #8a877b }
.matrix th { color: #5a5850; font-size: .85em }
.matrix td:nth-child(2) { border-left: 1.5px solid #1d1d1b }
.matrix td:last-child { border-right: 1.5px solid #1d1d1b }
.blank td { min-width: 3.4em; height: 1.6em; border-bottom: 1px dotted #85826f }
.line { display: inline-block; min-width: 9em; border-bottom: 1px dotted #85826f }
.w1 { font-size: .95rem } .w2 { font-size: .8rem } .w3 { font-size: .68rem }
.w3 td, .w3 th { padding: .08rem .3em }
@page { size: A4; margin: 12mm 14mm }
@media print {
  :root { font-size: 9.5pt }
  body { max-width: none; padding: 0; font-size: 9.5pt; line-height: 1.35 }
  h2 { margin: .8rem 0 .3rem; padding-top: .4rem }
  h3 { margin: .7rem 0 .15rem }
  p { margin: 0 0 .3rem; max-width: none }
  figure svg { max-height: 88mm }
  .formulas li { margin: .1rem 0; min-height: 1.4rem }
  .formulas, .scroll { margin-top: .2rem; margin-bottom: .4rem }
  h2, h3, caption { break-after: avoid }
  table.matrix, .rungs, figure, tr, li, .room, .keep { break-inside: avoid }
  thead { display: table-header-group }
  .scroll { overflow: visible }
  p { orphans: 3; widows: 3 }
}
`

// policy lets in the document's own style sheet, by its hash, which a test holds to it, and nothing else.
const policy = "default-src 'none'; style-src 'sha256-UkOXwkaWRp9Jov+N3A9BqRf6GOPDYiVIVMc3MoNNZBc='"

// HTML returns the document as one file: no scripts, nothing to load.
func (h *Handout) HTML() []byte {
	w := &htmlWriter{h: h}
	w.put(`<!doctype html>` + "\n" + `<html lang="en">` + "\n<head>\n" + `<meta charset="utf-8" />` + "\n" +
		`<meta http-equiv="Content-Security-Policy" content="` + policy + `" />` + "\n" +
		`<meta name="viewport" content="width=device-width, initial-scale=1" />` +
		"\n<title>" + typeset.Escape(h.Title) + "</title>\n<style>" + style + "</style>\n</head>\n<body>\n")
	w.put("<h1>" + typeset.Escape(h.Title) + "</h1>\n")
	for i, b := range h.blocks {
		w.block(b, i)
	}
	if w.open {
		w.put("</div>\n")
	}
	w.put("</body>\n</html>\n")
	return []byte(w.b.String())
}

type htmlWriter struct {
	h    *Handout
	b    strings.Builder
	open bool // a heading is kept together with what follows it
}

func (w *htmlWriter) put(s string) { w.b.WriteString(s) }

// block writes one block. A heading of a step, its sentence, its formulas and its first matrix stay on one page.
func (w *htmlWriter) block(b block, at int) {
	if head, ok := b.(heading); ok {
		if w.open {
			w.put("</div>\n")
			w.open = false
		}
		if !head.step {
			w.put("<h2>" + levelled(head.text) + "</h2>\n")
			return
		}
		w.put(`<div class="keep">` + "\n<h3>" + levelled(head.text) + "</h3>\n")
		w.open = true
		return
	}
	switch b := b.(type) {
	case paragraph:
		class := ""
		if b.note {
			class = ` class="note"`
		}
		w.put("<p" + class + ">" + levelled(b.text) + "</p>\n")
	case formulas:
		if len(b) == 0 {
			w.put(`<div class="room"></div>` + "\n")
			break
		}
		w.put(`<ul class="formulas">` + "\n")
		for _, f := range b {
			w.put("<li>" + mathML(f) + "</li>\n")
		}
		w.put("</ul>\n")
	case equals:
		w.equals(b)
	case picture:
		o, file, prefix := figure.Options{Width: figureWidth, Palette: plot.Print}, []byte(nil), "f"
		if b.ladder != nil {
			file, prefix = figure.LadderSVG(b.ladder, b.words, o), "l"
		} else {
			file = figure.SVG(w.h.fig, o)
		}
		w.put("<figure>" + string(figure.Inline(file, prefix)) + "</figure>\n")
	case grid:
		w.grid(b)
	case matrix:
		w.matrix(b)
	case rungs:
		w.rungs(b)
	}
	if _, matrix := b.(matrix); matrix && w.open {
		w.put("</div>\n")
		w.open = false
	}
}

func (w *htmlWriter) equals(b equals) {
	w.put(`<ul class="formulas">` + "\n")
	for _, e := range b {
		w.put("<li>" + mathML(e.left))
		switch {
		case e.words != "":
			w.put(": " + levelled(e.words))
		case e.value == (table.Digits{}):
			w.put(` = <span class="line"> </span>`)
		default:
			w.put(" = " + digits(e.value.Prose()))
		}
		w.put("</li>\n")
	}
	w.put("</ul>\n")
}

func (w *htmlWriter) grid(b grid) {
	w.put(`<div class="scroll"><table class="nodes ` + size4(len(b.columns)*9) + `">` + "\n<thead><tr>")
	for _, c := range b.columns {
		w.put(`<th scope="col">` + levelled(c) + "</th>")
	}
	w.put("</tr></thead>\n<tbody>\n")
	for _, row := range b.cells {
		w.put("<tr>")
		for _, d := range row {
			w.put("<td>" + digits(d) + "</td>")
		}
		w.put("</tr>\n")
	}
	w.put("</tbody></table></div>\n")
}

func (w *htmlWriter) rungs(b rungs) {
	w.put(`<div class="scroll"><table class="rungs w2"><caption>` + levelled(b.what) + "</caption>\n")
	for i, row := range [][]string{b.nodes, b.errors} {
		w.put(`<tr><th scope="row">` + []string{"number", "error"}[i] + "</th>")
		for _, c := range row {
			w.put("<td>" + minus(c) + "</td>")
		}
		w.put("</tr>\n")
	}
	w.put("</table></div>\n")
}

func (w *htmlWriter) matrix(b matrix) {
	class := "matrix " + size4(b.characters)
	if b.cells == nil {
		class += " blank"
	}
	caption := levelled(lesson.Symbol(b.name))
	if b.part != "" {
		caption += ", " + b.part
	}
	w.put(`<div class="scroll"><table class="` + class + `"><caption>` + caption + "</caption>\n<tr><th></th>")
	for _, c := range b.columns {
		w.put(`<th scope="col">` + levelled(c) + "</th>")
	}
	w.put("</tr>\n")
	for i, r := range b.rows {
		w.put(`<tr><th scope="row">` + levelled(r) + "</th>")
		for j := range b.columns {
			cell := ""
			if b.cells != nil {
				cell = minus(b.cells[i][j])
			}
			w.put("<td>" + cell + "</td>")
		}
		w.put("</tr>\n")
	}
	w.put("</table></div>\n")
}

// size4 chooses a size of type: a page holds about 80 characters of the largest.
func size4(characters int) string {
	switch {
	case characters <= 76:
		return "w1"
	case characters <= 92:
		return "w2"
	}
	return "w3"
}

// mathML sets a formula with its fractions at full size.
func mathML(f lesson.Formula) string {
	m := typeset.Math(false, f.MathML)
	m.Attrs = append(m.Attrs, typeset.Attr{Name: "displaystyle", Value: "true"})
	return m.String()
}

// levelled sets words with their raised and lowered parts.
func levelled(text string) string {
	var b strings.Builder
	for _, r := range lesson.Runs(text) {
		s := minus(typeset.Escape(r.Text))
		switch r.Level {
		case 1:
			s = "<sup>" + s + "</sup>"
		case -1:
			s = "<sub>" + s + "</sub>"
		}
		b.WriteString(s)
	}
	return b.String()
}

// minus makes the hyphen before a number a minus.
func minus(s string) string {
	var b strings.Builder
	for i := range len(s) {
		digit := i+1 < len(s) && s[i+1] >= '0' && s[i+1] <= '9'
		before := i == 0 || strings.IndexByte(" (e", s[i-1]) >= 0
		if s[i] == '-' && digit && before {
			b.WriteString("−")
			continue
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

func digits(d table.Digits) string {
	s := minus(typeset.Escape(d.Firm))
	if d.Doubtful != "" {
		s += `<span class="doubtful">` + minus(typeset.Escape(d.Doubtful)) + "</span>"
	}
	return s + minus(typeset.Escape(d.Exponent))
}
