package main

import (
	"flag"
	"io"
	"slices"
	"strings"

	"nodespan/expr/handout"
	"nodespan/expr/sheet"
	"nodespan/solver"
)

// paper is what the flags say about the handout.
type paper struct {
	handout string // html, latex, or "" for none
	note    string
	blank   string // as typed
	blanks  []string
}

var papers = []string{"html", "latex"}

func (p *paper) define(f *flag.FlagSet) {
	f.StringVar(&p.handout, "handout", "", "print a handout in this `language`, html or latex: problem, answer, "+
		"figure, node table, working, ladder; the working has 5 nodes for -nodes 0")
	f.StringVar(&p.note, "note", "", "`text` of your own below the title of the handout; a blank line starts "+
		"a paragraph")
	f.StringVar(&p.blank, "blank", "", "`steps` of the handout whose numbers are left blank for students, "+
		"between commas: "+strings.Join(handout.Blanks(), ", "))
}

func (p *paper) check(o *options) error {
	if p.handout == "" {
		if p.note != "" || p.blank != "" {
			return hinted("-note and -blank are for a handout", "add -handout html or -handout latex")
		}
		return nil
	}
	if !slices.Contains(papers, p.handout) {
		return unknown("handout", p.handout, papers)
	}
	if o.ladder || o.working || o.script != "" || o.numbers != "" || o.figure != "" {
		return hinted("-handout has everything in it", "leave out -ladder, -working, -script, -numbers and -figure")
	}
	for _, name := range strings.Split(p.blank, ",") {
		name = strings.TrimSpace(name)
		if name == "" {
			continue
		}
		if !slices.Contains(handout.Blanks(), name) {
			return unknown("blank", name, handout.Blanks())
		}
		p.blanks = append(p.blanks, name)
	}
	return nil
}

// print writes the handout of a sheet.
func (p *paper) print(sh *sheet.Sheet, o *options, at []float64, stdout, stderr io.Writer) int {
	ho := handout.Options{Title: o.draw.Title, Note: p.note, Blank: p.blanks, Solve: o.solve, At: at,
		Table: o.tabulate.write}
	if err := ho.Check(); err != nil {
		return complain(stderr, err)
	}
	h := handout.New(sh, ho)
	text := h.HTML
	if p.handout == "latex" {
		text = h.LaTeX
	}
	if _, err := stdout.Write(text()); err != nil {
		return unwritten(stderr, err)
	}
	if s := h.Solution; s.Status != solver.Solved {
		return unsolved(stderr, s.Message)
	}
	return solved
}
