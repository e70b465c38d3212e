package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"nodespan/expr/figure"
	"nodespan/expr/plot"
	"nodespan/expr/raster"
	"nodespan/expr/sheet"
	"nodespan/solver"
)

// picture is what the flags say about the figure.
type picture struct {
	figure string // the file; "" for none
	draw   figure.Options
}

func (p *picture) define(f *flag.FlagSet) {
	f.StringVar(&p.figure, "figure", "", "`file` to write the figure to, "+choice(endings())+"; with -ladder, "+
		"that of the ladder")
	f.Float64Var(&p.draw.Width, "width", 760, "width of the figure in `pixels` of 1/96 inch")
	f.Float64Var(&p.draw.Density, "density", 2, "`number` of dots to such a pixel in a .png figure")
	f.StringVar(&p.draw.Title, "title", "", "`title` of the figure or the handout; none without it")
	f.BoolVar(&p.draw.Derivatives, "derivatives", false, "draw the derivatives below the order too")
}

// check says what is wrong with the flags, before anything is solved.
func (p *picture) check(o *options) error {
	if p.figure != "" && (o.working || o.script != "" || o.numbers != "") {
		return hinted("-figure draws the solution that the table shows, or the ladder",
			"leave out -working, -script and -numbers")
	}
	if _, known := p.format(); p.figure != "" && !known {
		return hinted(fmt.Sprintf("-figure %s is neither %s", p.figure, strings.Join(endings(), " nor ")),
			"the end of the file's name says how it is written")
	}
	return p.draw.Check()
}

// formats are those that a figure can be written in.
var formats = append(slices.Clone(figure.Formats()), raster.Format)

func endings() (all []string) {
	for _, f := range formats {
		all = append(all, "."+f.Ending)
	}
	return all
}

// format is that of the end of the file's name.
func (p *picture) format() (f figure.Format, known bool) {
	i := slices.Index(endings(), strings.ToLower(filepath.Ext(p.figure)))
	if i < 0 {
		return f, false
	}
	return formats[i], true
}

// save draws a usable solution to the file.
func (p *picture) save(sh *sheet.Sheet, s *solver.Solution) error {
	f, _ := p.format()
	return p.keep(f.Figure(figure.New(sh, s, p.draw), p.draw))
}

// saveLadder draws a ladder to the file; the words are its text alternative where it has one.
func (p *picture) saveLadder(l *plot.Ladder, words string) error {
	f, _ := p.format()
	return p.keep(f.Ladder(l, words, p.draw))
}

// keep writes the file.
func (p *picture) keep(data []byte, err error) error {
	if err != nil {
		return hinted(err.Error(), "write the figure as .svg")
	}
	if err := os.WriteFile(p.figure, data, 0o666); err != nil {
		return fmt.Errorf("cannot write the figure: %w", err)
	}
	return nil
}
