package main

import (
	"fmt"
	"math"
	"strings"

	"nodespan/expr/figure"
	"nodespan/expr/function"
	"nodespan/expr/plot"
	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/testdata/demos"
)

// The size of an example's picture in CSS pixels, and the room about its curves.
const (
	pictureWidth  = 72.0
	pictureHeight = 40.0
	pictureRoom   = 3.0
)

// examples are the buttons of the demonstrations, each with a picture of its solution.
func examples() (string, error) {
	var list []string
	for _, d := range demos.All() {
		curves, err := picture(d.Sheet)
		if err != nil {
			return "", fmt.Errorf("the demonstration %s: %w", d.Name, err)
		}
		list = append(list, fmt.Sprintf(
			`<button type="button" data-example="%s">%s<span>%s <small>%s</small></span></button>`,
			escape.Replace(d.Name), curves, escape.Replace(d.Title), escape.Replace(d.Kind)))
	}
	return strings.Join(list, "\n    "), nil
}

// picture solves a sheet and draws its unknowns, without axes: they are decoration beside
// the title. The style sheet has their colours.
func picture(text string) (string, error) {
	sh, err := sheet.Read(text, sheet.Options{})
	if err != nil {
		return "", err
	}
	s, err := solver.Solve(sh.Problem(), solver.Options{})
	if err != nil {
		return "", err
	}
	if !s.Usable() {
		return "", fmt.Errorf("no solution: %s", s.Message)
	}
	c := figure.NewCurves(sh, s, false)
	x, y, _ := c.Sample(c.A, c.B, plot.Sampling{Width: 2 * pictureWidth, Height: 2 * pictureHeight})
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, curve := range y {
		for _, v := range curve {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	if lo == hi {
		lo, hi = lo-1, hi+1
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg aria-hidden="true" viewBox="0 0 %g %g" width="%[1]g" height="%[2]g">`,
		pictureWidth, pictureHeight)
	for _, curve := range y {
		b.WriteString(`<polyline points="`)
		for i, v := range curve {
			px := pictureRoom + (x[i]-c.A)/(c.B-c.A)*(pictureWidth-2*pictureRoom)
			py := pictureRoom + (hi-v)/(hi-lo)*(pictureHeight-2*pictureRoom)
			fmt.Fprintf(&b, "%.1f,%.1f ", px, py)
		}
		b.WriteString(`"/>`)
	}
	b.WriteString(`</svg>`)
	return b.String(), nil
}

// functions lists the functions that a sheet may use, as the table of functions has them.
func functions() string {
	var names []string
	for _, f := range function.All() {
		names = append(names, "<code>"+escape.Replace(f.Name)+"</code>")
	}
	return strings.Join(names, " ")
}
