// Package course makes the pages of a course: an index, one page a problem with the problem alive in a frame, a block
// without scripts for systems that take scripts and frames out of what is pasted, and handouts, for students and for
// the lecturer.
//
//	index.html            the problems with their captions
//	NAME.html             one of them, alive
//	all.html              all of them, alive on one page
//	handouts/NAME.html    to be filled in
//	lecturer/index.html   what to paste into other pages, and where
//	lecturer/NAME.html    the handout with everything in it
//	blocks/NAME.html      problem, figure, table and a link, without a script
//	course.css, frame.js  what the pages share
//
// The pages need no server. What runs in the frames is the page of this project, which whoever writes the files puts
// beside them. The package knows no disk and no links: it is told them.
package course

import (
	_ "embed"
	"strconv"
	"strings"
	"unicode/utf8"

	"nodespan/expr/handout"
	"nodespan/expr/sheet"
	"nodespan/expr/typeset"
	"nodespan/solver"
)

// Problem is one problem of a course.
type Problem struct {
	Name           string // of its files, without an ending
	Title, Caption string // plain text
	Text           string // the sheet
	Sheet          *sheet.Sheet
	Solve          solver.Options
	// Frame and Whole are the fragments of the links to what the frame shows and to the whole page, with "#".
	Frame, Whole string
	Height       int // of the frame at first, in pixels; it follows what is shown
}

// Options says what the pages have in common.
type Options struct {
	Title string
	// Page is where the page lies that runs in the frames, as seen from the folder.
	Page string
	// Address is where the folder will be, with a slash at its end, for what is pasted elsewhere; "" where that is not
	// known.
	Address string
	// Archive is the name of the file that has all of the folder in it; "" for none.
	Archive string
}

// Script is a script for course pages: it gives each frame the height that it announces.
//
//go:embed frame.js
var Script string

//go:embed course.css
var style string

// Mark stands in every page that this package makes, so that another's is not taken for one.
const Mark = `<meta name="generator" content="Nodespan course" />`

const caution = "For teaching and checking; design follows local codes and a licensed practitioner."

// Files returns the files of a course by their names, and of each problem that has no answer to its tolerance why.
func Files(problems []Problem, o Options) (files map[string][]byte, unsolved []string) {
	files = map[string][]byte{
		"frame.js": []byte(Script), "course.css": []byte(style),
		"index.html":          document(o.Title, "", index(problems, o)),
		"all.html":            document(o.Title, "", all(problems, o)),
		"lecturer/index.html": document(o.Title+": for the lecturer", "../", forLecturer(problems, o)),
	}
	for i, p := range problems {
		ho := handout.Options{Title: p.Title, Solve: p.Solve}
		one, full, exercise := ho, ho, ho
		one.Preset, exercise.Preset = "one-page", "exercise"
		short := handout.New(p.Sheet, one)
		files["lecturer/"+p.Name+".html"] = handout.New(p.Sheet, full).HTML()
		files["handouts/"+p.Name+".html"] = handout.New(p.Sheet, exercise).HTML()
		up := o.Address
		if up == "" {
			up = "../"
		}
		files["blocks/"+p.Name+".html"] = []byte(block(p, short, up+o.Page))
		files[p.Name+".html"] = document(p.Title, "", live(problems, i, o, block(p, short, o.Page)))
		if s := short.Solution; s.Status != solver.Solved {
			unsolved = append(unsolved, p.Title+": "+s.Message)
		}
	}
	return files, unsolved
}

// Capital begins a title with a capital.
func Capital(title string) string {
	_, first := utf8.DecodeRuneInString(title)
	return strings.ToUpper(title[:first]) + title[first:]
}

// document is a page; up leads to the folder.
func document(title, up, body string) []byte {
	return []byte(`<!doctype html>` + "\n" + `<html lang="en">` + "\n<head>\n" + `<meta charset="utf-8" />` + "\n" +
		`<meta name="viewport" content="width=device-width, initial-scale=1" />` + "\n" + Mark + "\n<title>" +
		typeset.Escape(title) + "</title>\n" + `<link rel="icon" href="data:," />` + "\n" +
		`<link rel="stylesheet" href="` + up + `course.css" />` + "\n</head>\n<body>\n" + body + "<footer>" + caution +
		"</footer>\n</body>\n</html>\n")
}

func link(to, words string) string {
	return `<a href="` + typeset.Escape(to) + `">` + typeset.Escape(words) + "</a>"
}

func index(problems []Problem, o Options) string {
	var b strings.Builder
	b.WriteString("<main>\n<h1>" + typeset.Escape(o.Title) + "</h1>\n" + `<ol class="problems">` + "\n")
	for _, p := range problems {
		b.WriteString("<li>" + link(p.Name+".html", p.Title))
		if p.Caption != "" {
			b.WriteString("<br />" + typeset.Escape(p.Caption))
		}
		b.WriteString("</li>\n")
	}
	b.WriteString("</ol>\n<p>" + link("all.html", "All on one page") + "</p>\n")
	if o.Archive != "" {
		b.WriteString("<p>" + link(o.Archive, "All of this as one archive") +
			": unpacked, it works with no network.</p>\n")
	}
	b.WriteString("</main>\n")
	return b.String()
}

// frame is what is put into a page to have the problem alive in it.
func frame(p Problem, page string) string {
	return `<iframe src="` + typeset.Escape(page+p.Frame) + `" title="` + typeset.Escape(p.Title) +
		`" width="100%" height="` + strconv.Itoa(p.Height) + `" style="border:0" loading="lazy" ` +
		`allow="clipboard-write"></iframe>`
}

// all is the page that has every problem; a frame starts when it comes near the window.
func all(problems []Problem, o Options) string {
	var b strings.Builder
	b.WriteString("<nav>" + link("index.html", o.Title) + "</nav>\n<main>\n<h1>" + typeset.Escape(o.Title) + "</h1>\n")
	for _, p := range problems {
		b.WriteString("<h2>" + link(p.Name+".html", p.Title) + "</h2>\n")
		if p.Caption != "" {
			b.WriteString("<p>" + typeset.Escape(p.Caption) + "</p>\n")
		}
		b.WriteString(frame(p, o.Page) + "\n")
	}
	b.WriteString("</main>\n" + `<script src="frame.js"></script>` + "\n")
	return b.String()
}

// live is the page of one problem.
func live(problems []Problem, i int, o Options, block string) string {
	p := problems[i]
	var b strings.Builder
	b.WriteString("<nav>" + link("index.html", o.Title))
	if i > 0 {
		b.WriteString(" " + link(problems[i-1].Name+".html", "Before: "+problems[i-1].Title))
	}
	if i+1 < len(problems) {
		b.WriteString(" " + link(problems[i+1].Name+".html", "Next: "+problems[i+1].Title))
	}
	b.WriteString("</nav>\n<main>\n<h1>" + typeset.Escape(p.Title) + "</h1>\n")
	if p.Caption != "" {
		b.WriteString("<p>" + typeset.Escape(p.Caption) + "</p>\n")
	}
	b.WriteString(frame(p, o.Page) + "\n<noscript>\n" + block + "</noscript>\n" + `<p class="more">` +
		link("handouts/"+p.Name+".html", "Handout to fill in") + " " +
		link(o.Page+p.Whole, "The whole page of this problem") + "</p>\n</main>\n" +
		`<script src="frame.js"></script>` + "\n")
	return b.String()
}

// block shows a problem without a script: what is left when the tags of formulas and of the figure are taken out is
// still the sheet, and the table in its rows.
func block(p Problem, h *handout.Handout, page string) string {
	return `<div class="nodespan">` + "\n" + string(h.Block(p.Name)) +
		`<pre style="white-space:pre-wrap">` +
		typeset.Escape(strings.TrimSpace(p.Text)) + "</pre>\n<p>" +
		link(page+p.Whole, "The same problem, alive, in Nodespan") + "</p>\n</div>\n"
}

func forLecturer(problems []Problem, o Options) string {
	var b strings.Builder
	b.WriteString("<nav>" + link("../index.html", o.Title) + "</nav>\n<main>\n<h1>For the lecturer</h1>\n" +
		"<p>This part holds the answers: leave the folder “lecturer” out of what students get.</p>\n" +
		"<p>To have a problem in another page, paste its frame there. A learning platform either keeps frames, often " +
		"from addresses on its list alone, or takes frames and scripts out and keeps text, tables and pictures: then " +
		"paste the source of the block.</p>\n")
	if o.Address == "" {
		b.WriteString("<p>The frames below lead to " + typeset.Escape(o.Page) + " beside the page that they are " +
			"pasted into. Made with the address of this folder (-address), they lead here from anywhere.</p>\n")
	}
	for _, p := range problems {
		b.WriteString("<h2>" + typeset.Escape(p.Title) + "</h2>\n" + `<p class="more">` +
			link(p.Name+".html", "Handout with all in it") + " " +
			link("../handouts/"+p.Name+".html", "Handout to fill in") + " " +
			link("../blocks/"+p.Name+".html", "Block without scripts") + "</p>\n" +
			`<textarea readonly="" rows="4" aria-label="Frame: ` + typeset.Escape(p.Title) + `">` +
			typeset.Escape(frame(p, o.Address+o.Page)) + "</textarea>\n")
	}
	b.WriteString("</main>\n")
	return b.String()
}
