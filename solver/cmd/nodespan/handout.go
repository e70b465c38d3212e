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
	omit    string
	preset  string
	blanks  []string
	omits   []string
}

var papers = []string{"html", "latex"}

func (p *paper) define(f *flag.FlagSet) {
	f.StringVar(&p.handout, "handout", "", "print a handout in this `language`, html or latex: problem, answer, "+
		"figure, node table, working, ladder; the working has 5 nodes for -nodes 0")
	f.StringVar(&p.note, "note", "", "`text` of your own below the title of the handout; a blank line starts "+
		"a paragraph")
	f.StringVar(&p.preset, "preset", "", "`kind` of handout: "+choice(handout.Presets())+"; -blank and -omit add to it")
	f.StringVar(&p.omit, "omit", "", "`parts` of the handout that are left out, between commas: those of -blank, and "+
		"figure, working, ladder")
	f.StringVar(&p.blank, "blank", "", "`steps` of the handout whose numbers are left blank for students, "+
		"between commas: "+strings.Join(handout.Blanks(), ", "))
}

func (p *paper) check(o *options) error {
	if p.handout == "" {
		if p.note != "" || p.blank != "" || p.omit != "" || p.preset != "" {
			return hinted("-note, -blank, -omit and -preset are for a handout", "add -handout html or -handout latex")
		}
		return nil
	}
	if !slices.Contains(papers, p.handout) {
		return unknown("handout", p.handout, papers)
	}
	if o.ladder || o.working || o.script != "" || o.numbers != "" || o.figure != "" {
		return hinted("-handout has everything in it", "leave out -ladder, -working, -script, -numbers and -figure")
	}
	if p.preset != "" && !slices.Contains(handout.Presets(), p.preset) {
		return unknown("preset", p.preset, handout.Presets())
	}
	var err error
	if p.blanks, err = listed("blank", p.blank, handout.Blanks()); err == nil {
		p.omits, err = listed("omit", p.omit, handout.Parts())
	}
	return err
}

// listed reads names between commas, each of which must be known.
func listed(flag, text string, known []string) (names []string, err error) {
	for _, name := range strings.Split(text, ",") {
		switch name = strings.TrimSpace(name); {
		case name == "":
		case !slices.Contains(known, name):
			return nil, unknown(flag, name, known)
		default:
			names = append(names, name)
		}
	}
	return names, nil
}

// print writes the handout of a sheet.
func (p *paper) print(sh *sheet.Sheet, o *options, at []float64, stdout, stderr io.Writer) int {
	ho := handout.Options{Title: o.draw.Title, Note: p.note, Blank: p.blanks, Omit: p.omits,
		Preset: p.preset, Solve: o.solve, At: at,
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
