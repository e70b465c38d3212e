package handout

import (
	"slices"
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
h3 { font-size: 1.05rem; margin: 1.2rem 0 .25rem }
p { margin: 0 0 .6rem; max-width: 42rem }
.note, .comment { font-style: italic }
math { font-size: 1.06em }
sub, sup { line-height: 0; font-size: .75em }
ul { margin: .3rem 0 .6rem; padding: 0 0 0 1.5rem; list-style: none }
.formulas li { display: inline-block; margin: .15rem 2.2rem .15rem 0; min-height: 1.5rem }
.lines li { margin: .15rem 0; min-height: 1.5rem }
.comment { margin-left: 1.2em; color: #5a5850 }
.pair, .narrow, .tables, .told + .tables { display: flex; flex-wrap: wrap; gap: .6rem 1.8rem; align-items: flex-start }
.pair { margin: .5rem 0 }
.narrow > .told { flex: 1 1 18rem }
.room { height: 5rem; border: 1px dotted #85826f; margin: .5rem 0 }
.scroll { overflow-x: auto; max-width: 100% }
figure { margin: 0 }
figure svg { display: block; max-width: 100%; height: auto }
table { border-collapse: collapse; font-variant-numeric: tabular-nums lining-nums; line-height: 1.3 }
caption { text-align: left; padding: 0 0 .2rem; font-style: italic }
td, th { padding: .06rem .45em; text-align: right; white-space: nowrap; font-weight: normal }
.nodes thead th, .readings th { border-bottom: 1px solid #85826f }
.readings { display: grid; grid-template-columns: auto auto; gap: .6rem 1.4rem }
.readings caption { max-width: 9em }
.doubtful { color: #8a877b }
.matrix th { color: #5a5850; font-size: .9em }
.matrix .name { color: #1d1d1b; font-style: italic; font-size: 1em }
.matrix td:nth-child(2), .matrix td.begins { border-left: 1.5px solid #1d1d1b }
.matrix td:last-child { border-right: 1.5px solid #1d1d1b }
.blank td { min-width: 4.4em; height: 2.3em; border-bottom: 1px dotted #85826f }
.line { display: inline-block; min-width: 9em; border-bottom: 1px dotted #85826f }
.w1 { font-size: .95rem } .w2 { font-size: .85rem } .w3 { font-size: .75rem }
.w3 td, .w3 th { padding: .06rem .3em }
@page { size: A4; margin: 12mm 14mm }
@media print {
  :root { font-size: 9pt }
  body { max-width: none; padding: 0; font-size: 9pt; line-height: 1.3 }
  h1 { font-size: 16pt; margin: 0 0 .3rem }
  h2 { font-size: 12pt; margin: .6rem 0 .2rem; padding-top: .25rem }
  h3 { font-size: 9pt; margin: 0 }
  h3, h3 + p { display: inline }
  h3::after { content: "\2002" }
  .step { margin-top: .45rem }
  p { margin: 0 0 .2rem; max-width: none }
  ul { margin: .1rem 0 .2rem }
  .formulas li, .lines li { margin-top: 0; margin-bottom: 0; min-height: 1.3rem }
  figure svg { width: 104mm }
  sub, sup, math :is(msub, msup, msubsup) > :not(:first-child) { font-size: 7pt }
  .pair, .narrow, .tables { gap: .3rem 1.4rem }
  table { line-height: 1.2 }
  td, th { padding: .04rem .4em }
  .w1 { font-size: 8.5pt } .w2 { font-size: 7.8pt } .w3 { font-size: 7pt }
  .matrix th { font-size: max(.9em, 7pt) }
  .step:not(.narrow) > .told:not(:last-child) { break-after: avoid }
  h2, h3, caption { break-after: avoid }
  table, figure, tr, li, .room, .narrow, .told { break-inside: avoid }
  .scroll { overflow: visible; break-inside: avoid }
  p { orphans: 3; widows: 3 }
}
`

// printedWidth is the width of figures in CSS pixels; the style sheet sets them on 104 mm of paper, where their
// smallest letters, those of exponents, have 7 points.
const printedWidth = 380

// policy lets in the document's own style sheet, by its hash, which a test holds to it, and nothing else.
const policy = "default-src 'none'; style-src 'sha256-KUOQW8M/JUAwz7v7LXRpQAwtXOCZRlW73rWCpWGBxHw='"

// HTML returns the document as one file: no scripts, nothing to load.
func (h *Handout) HTML() []byte {
	w := &htmlWriter{h: h}
	w.put(`<!doctype html>` + "\n" + `<html lang="en">` + "\n<head>\n" + `<meta charset="utf-8" />` + "\n" +
		`<meta http-equiv="Content-Security-Policy" content="` + policy + `" />` + "\n" +
		`<meta name="viewport" content="width=device-width, initial-scale=1" />` +
		"\n<title>" + typeset.Escape(h.Title) + "</title>\n<style>" + style + "</style>\n</head>\n<body>\n")
	w.put("<h1>" + typeset.Escape(h.Title) + "</h1>\n")
	for _, b := range h.blocks {
		w.block(b)
	}
	w.put("</body>\n</html>\n")
	return []byte(w.b.String())
}

// Block returns what is in the document, without its title and style, to stand in another page. Ids within it begin
// with the prefix.
func (h *Handout) Block(prefix string) []byte {
	w := &htmlWriter{h: h, prefix: prefix + "-"}
	for _, b := range h.blocks {
		w.block(b)
	}
	return []byte(w.b.String())
}

type htmlWriter struct {
	h      *Handout
	b      strings.Builder
	prefix string
}

//go:noinline
func (w *htmlWriter) put(s string) { w.b.WriteString(s) }

func (w *htmlWriter) block(b block) {
	switch b := b.(type) {
	case heading:
		w.put("<h2>" + levelled(b.text) + "</h2>\n")
	case paragraph:
		class := ""
		if b.note {
			class = ` class="note"`
		}
		w.put("<p" + class + ">" + levelled(b.text) + "</p>\n")
	case problem:
		w.put(`<div class="pair">` + "\n")
		w.lines(b.statements)
		w.lines(b.constants)
		w.put("</div>\n")
	case equals:
		w.equals(b)
	case shown:
		w.put(`<div class="pair">` + "\n")
		for _, part := range b {
			w.block(part)
		}
		w.put("</div>\n")
	case picture:
		o, file, prefix := figure.Options{Width: printedWidth, Palette: plot.Print}, []byte(nil), "f"
		if b.ladder != nil {
			file, prefix = figure.LadderSVG(b.ladder, b.words, o), "l"
		} else {
			file = figure.SVG(w.h.fig, o)
		}
		w.put("<figure>" + string(figure.Inline(file, w.prefix+prefix)) + "</figure>\n")
	case grid:
		w.grid(b)
	case step:
		w.step(b)
	case readings:
		w.readings(b)
	}
}

func (w *htmlWriter) lines(lines []line) {
	if len(lines) == 0 {
		return
	}
	w.put(`<ul class="lines">` + "\n")
	for _, l := range lines {
		w.put("<li>" + mathML(l.formula))
		if l.comment != "" {
			w.put(` <span class="comment">` + levelled(l.comment) + "</span>")
		}
		w.put("</li>\n")
	}
	w.put("</ul>\n")
}

// step sets a step of the working: what is said, and its tables beside it where they are narrow, else below.
func (w *htmlWriter) step(b step) {
	class := "step"
	if b.narrow() {
		class += " narrow"
	}
	w.put(`<section class="` + class + `">` + "\n" + `<div class="told">` + "\n<h3>" + levelled(b.title) +
		"</h3>\n<p>" + levelled(b.sentence) + "</p>\n")
	if len(b.formulas) > 0 {
		w.put(`<ul class="formulas">` + "\n")
		for _, f := range b.formulas {
			w.put("<li>" + mathML(f) + "</li>\n")
		}
		w.put("</ul>\n")
	}
	if b.room {
		w.put(`<div class="room"></div>` + "\n")
	}
	w.put("</div>\n")
	if len(b.tables) > 0 {
		w.put(`<div class="tables">` + "\n")
		for i := range b.tables {
			w.matrix(&b.tables[i])
		}
		w.put("</div>\n")
	}
	w.put("</section>\n")
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
	caption := "<caption>Node table</caption>"
	for _, rows := range b.parts() {
		w.put(`<div class="scroll"><table class="nodes ` + b.size() + `">` + caption + "\n<thead><tr>")
		caption = "<caption>\u00a0</caption>"
		for _, c := range b.columns {
			w.put(`<th scope="col">` + label(c) + "</th>")
		}
		w.put("</tr></thead>\n<tbody>\n")
		for _, row := range rows {
			w.put("<tr>")
			for _, d := range row {
				w.put("<td>" + digits(d) + "</td>")
			}
			w.put("</tr>\n")
		}
		w.put("</tbody></table></div>\n")
	}
}

func (w *htmlWriter) readings(b readings) {
	w.put(`<div class="readings">` + "\n")
	for _, s := range b {
		w.put(`<table class="w3"><caption>` + levelled(s.what+" "+s.which) + "</caption>\n" +
			`<tr><th scope="col">` + s.counted + `</th><th scope="col">error</th></tr>` + "\n")
		for i := range s.nodes {
			w.put("<tr><td>" + s.nodes[i] + "</td><td>" + levelled(s.errors[i]) + "</td></tr>\n")
		}
		w.put("</table>\n")
	}
	w.put("</div>\n")
}

func (w *htmlWriter) matrix(b *matrix) {
	if len(b.columns) == 0 { // too large for paper
		w.put("<p>" + levelled(lesson.Symbol(b.name)) + ": " + b.part + ".</p>\n")
		return
	}
	class := "matrix " + size4(b.characters)
	if b.cells == nil {
		class += " blank"
	}
	w.put(`<div class="scroll"><table class="` + class + `">`)
	if b.part != "" {
		w.put("<caption>" + levelled(lesson.Symbol(b.name)) + ", " + b.part + "</caption>")
	}
	w.put("\n" + `<tr><th class="name">` + levelled(lesson.Symbol(b.name)) + "</th>")
	for _, c := range b.columns {
		w.put(`<th scope="col">` + label(c) + "</th>")
	}
	w.put("</tr>\n")
	for i, r := range b.rows {
		w.put(`<tr><th scope="row">` + label(r) + "</th>")
		for j := range b.columns {
			cell, class := "", ""
			if b.cells != nil {
				cell = levelled(b.cells[i][j])
			}
			if slices.Contains(b.begins, j) {
				class = ` class="begins"`
			}
			w.put("<td" + class + ">" + cell + "</td>")
		}
		w.put("</tr>\n")
	}
	w.put("</table></div>\n")
}

// label sets a label of a row or a column.
func label(l lesson.Label) string {
	s := levelled(l.Words)
	if l.Formula.MathML != nil {
		s += typeset.Math(false, l.Formula.MathML).String()
	}
	return s
}

// size4 chooses a size of type: a page holds about 80 characters of the largest.
func size4(characters int) string {
	switch {
	case characters <= 76:
		return "w1"
	case characters <= 88:
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
		s := typeset.Escape(r.Text)
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

func digits(d table.Digits) string {
	s := lesson.Minus(typeset.Escape(d.Firm))
	if d.Doubtful != "" {
		s += `<span class="doubtful">` + lesson.Minus(typeset.Escape(d.Doubtful)) + "</span>"
	}
	return s + lesson.Minus(typeset.Escape(d.Exponent))
}
