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
	// Density is the number of device pixels to a CSS pixel where the surface has pixels, above 0 to 8; 0 means 2.
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
	variable := s.Problem.VariableName()
	fig := &plot.Figure{Variable: variable, Unit: sh.Unit(variable, 0), A: c.A, B: c.B, Mesh: s.Mesh}
	x, y, exact := c.Sample(c.A, c.B, plot.Sampling{Width: o.Width * o.Density, Height: o.Width * o.Density / 2})
	nodes := c.AtNodes()
	for i, k := range c.Columns {
		series := plot.Series{Name: k.Label, Unit: k.Unit, Line: plot.Curve{X: x, Y: y[i]},
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

// A Drawing is a picture laid out for a surface.
type Drawing struct {
	// Width and Height are its size in CSS pixels, Density the number of device pixels to each.
	Width, Height, Density float64
	// On draws it.
	On func(plot.Painter)
}

// Draw lays a figure out, with the widths of text that m knows.
func Draw(fig *plot.Figure, o Options, m plot.Measurer) Drawing {
	o = o.filled()
	l := plot.NewLayout(fig, plot.NewView(fig.A, fig.B), plot.Options{Width: o.Width, Palette: o.Palette}, m)
	return o.titled(l.Width, l.Height, l.Draw)
}

const titleSize = 17

// titled puts the title, where there is one, above a picture.
func (o Options) titled(width, height float64, picture func(plot.Painter)) Drawing {
	if o.Title == "" {
		return Drawing{width, height, o.Density, picture}
	}
	const h = 2 * titleSize
	return Drawing{width, height + h, o.Density, func(p plot.Painter) {
		p.Polygon([]float64{0, 0, width, 0, width, h, 0, h}, plot.Fill{Color: o.Palette.Paper, Alpha: 1}, plot.Stroke{})
		style := plot.TextStyle{Size: titleSize, Family: plot.Serif, Color: o.Palette.Ink, Alpha: 1}
		if w := p.TextWidth(o.Title, style); w > width-16 {
			style.Size *= (width - 16) / w
		}
		p.Text(8, h-0.6*titleSize, o.Title, style)
		picture(lowered{p, h})
	}}
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
