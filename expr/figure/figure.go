package figure

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"nodespan/expr/plot"
	"nodespan/expr/sheet"
	"nodespan/solver"
)

// Options says how a file is drawn. The zero value is sensible.
type Options struct {
	// Width is that of the picture in CSS pixels, 96 to the inch, 240 to 4000; 0 means 760.
	Width float64
	// Density is the number of device pixels to a CSS pixel of a PNG file, above 0 to 8; 0 means 2.
	Density float64
	// Title is written above the picture; empty for none.
	Title string
	// Palette holds the colours; the zero value means plot.Light.
	Palette plot.Palette
	// Derivatives draws the derivatives below the order too.
	Derivatives bool
	// NoResidual leaves the strip out.
	NoResidual bool
}

// Check says what is wrong with the options, nil for nothing.
func (o Options) Check() error {
	switch {
	case o.Width != 0 && !(o.Width >= 240 && o.Width <= 4000):
		return fmt.Errorf("a width of %g is outside 240 to 4000 pixels", o.Width)
	case o.Density != 0 && !(o.Density > 0 && o.Density <= 8):
		return fmt.Errorf("a density of %g is outside 0 to 8", o.Density)
	case strings.ContainsAny(o.Title, "\n\r"):
		return errors.New("a title has one line")
	}
	return nil
}

func (o Options) filled() Options {
	if o.Width == 0 {
		o.Width = 760
	}
	if o.Density == 0 {
		o.Density = 2
	}
	if o.Palette == (plot.Palette{}) {
		o.Palette = plot.Light
	}
	return o
}

// New makes the figure of a usable solution of a sheet's problem: its unknowns with their nodes, the exact solution
// where the sheet has one, and the residual.
func New(sh *sheet.Sheet, s *solver.Solution, o Options) *plot.Figure {
	o = o.filled()
	c := NewCurves(sh, s, o.Derivatives)
	fig := &plot.Figure{Variable: s.Problem.VariableName(), A: c.A, B: c.B, Mesh: s.Mesh}
	x, y, exact := c.Sample(c.A, c.B, plot.Sampling{Width: o.Width * o.Density, Height: o.Width * o.Density / 2})
	nodes := c.AtNodes()
	for i, k := range c.Columns {
		series := plot.Series{Name: k.Label, Line: plot.Curve{X: x, Y: y[i]},
			Nodes: plot.Curve{X: c.Nodes, Y: nodes[i]}}
		if exact[i] != nil {
			series.Exact = plot.Curve{X: x, Y: exact[i]}
		}
		fig.Series = append(fig.Series, series)
	}
	if !o.NoResidual {
		fig.Residual = &plot.Residual{Line: c.Residual(c.A, c.B, o.Width, 600)}
	}
	return fig
}

// SVG draws a figure as a standalone vector file.
func SVG(fig *plot.Figure, o Options) []byte {
	o = o.filled()
	view := plot.NewView(fig.A, fig.B)
	l := plot.NewLayout(fig, view, plot.Options{Width: o.Width, Palette: o.Palette}, plot.NewSVG(0, 0, ""))
	words := plot.Describe(fig, view)
	if o.Title != "" {
		words = o.Title + ". " + words
	}
	s := plot.NewSVG(l.Width, l.Height+o.titleHeight(), words)
	o.draw(l.Width, l.Draw, s)
	return s.Bytes()
}

// PNG draws a figure as a picture of pixels. The error says that the lettering lacks a character of the title or of a
// name.
func PNG(fig *plot.Figure, o Options) ([]byte, error) {
	o = o.filled()
	words := []string{o.Title, fig.Variable}
	for _, s := range fig.Series {
		words = append(words, s.Name)
	}
	if err := lettered(words...); err != nil {
		return nil, err
	}
	l := plot.NewLayout(fig, plot.NewView(fig.A, fig.B), plot.Options{Width: o.Width, Palette: o.Palette},
		plot.NewPNG(1, 1, 1))
	p := plot.NewPNG(l.Width, l.Height+o.titleHeight(), o.Density)
	o.draw(l.Width, l.Draw, p)
	return p.Bytes(), nil
}

// lettered says which character of some words the lettering of PNG files lacks, nil for none.
func lettered(words ...string) error {
	for _, w := range words {
		if r, ok := plot.Lettered(w); !ok {
			return fmt.Errorf("the lettering of PNG files has no “%c”, which is in “%s”", r, w)
		}
	}
	return nil
}

// File draws a figure in the format that the end of the name asks for, .svg or .png.
func File(fig *plot.Figure, name string, o Options) ([]byte, error) {
	switch Format(name) {
	case "svg":
		return SVG(fig, o), nil
	case "png":
		return PNG(fig, o)
	}
	return nil, errors.New("a figure is written as .svg or .png")
}

// Format returns svg or png from the end of a file's name, "" for another.
func Format(name string) string {
	for _, f := range []string{"svg", "png"} {
		if strings.HasSuffix(strings.ToLower(name), "."+f) {
			return f
		}
	}
	return ""
}

const titleSize = 17

func (o Options) titleHeight() float64 {
	if o.Title == "" {
		return 0
	}
	return titleSize * 2
}

// draw draws the title and below it the picture.
func (o Options) draw(width float64, picture func(plot.Painter), p plot.Painter) {
	h := o.titleHeight()
	if h == 0 {
		picture(p)
		return
	}
	p.Polygon([]float64{0, 0, width, 0, width, h, 0, h}, plot.Fill{Color: o.Palette.Paper, Alpha: 1}, plot.Stroke{})
	style := plot.TextStyle{Size: titleSize, Family: plot.Serif, Color: o.Palette.Ink, Alpha: 1}
	if w := p.TextWidth(o.Title, style); w > width-16 {
		style.Size *= (width - 16) / w
	}
	p.Text(8, h-0.6*titleSize, o.Title, style)
	picture(lowered{p, h})
}

// lowered is a painter whose top edge is further down.
type lowered struct {
	plot.Painter
	dy float64
}

func (p lowered) Line(x0, y0, x1, y1 float64, s plot.Stroke) {
	p.Painter.Line(x0, y0+p.dy, x1, y1+p.dy, s)
}

func (p lowered) Polyline(xy []float64, s plot.Stroke) { p.Painter.Polyline(p.down(xy), s) }

func (p lowered) Polygon(xy []float64, f plot.Fill, s plot.Stroke) {
	p.Painter.Polygon(p.down(xy), f, s)
}

func (p lowered) Circle(x, y, r float64, f plot.Fill, s plot.Stroke) {
	p.Painter.Circle(x, y+p.dy, r, f, s)
}

func (p lowered) Text(x, y float64, text string, t plot.TextStyle) {
	p.Painter.Text(x, y+p.dy, text, t)
}

func (p lowered) Clip(x, y, w, h float64) { p.Painter.Clip(x, y+p.dy, w, h) }

// down lowers points; the slice is the painter's until the call returns.
func (p lowered) down(xy []float64) []float64 {
	for i := 1; i < len(xy); i += 2 {
		xy[i] += p.dy
	}
	return xy
}

// Inline returns an SVG file as it stands inside an HTML document: without names that two of them would share, each of
// its own ids beginning with the prefix.
func Inline(svg []byte, prefix string) []byte {
	svg = bytes.ReplaceAll(svg, []byte(`id="c`), []byte(`id="`+prefix+`c`))
	return bytes.ReplaceAll(svg, []byte(`url(#c`), []byte(`url(#`+prefix+`c`))
}
