package figure

import "nodespan/expr/plot"

// Format is a way to write a picture as a file. A further one is a row of formats, with its surface beside it.
type Format struct {
	Ending string // of the file's name, behind the point
	Media  string // the type by which browsers know it
	// New returns an empty surface of a size in CSS pixels, with the picture's text alternative. The widths of text are
	// asked of one before the size is known.
	New func(width, height, density float64, words string) Surface
	// Check says why words cannot be set, nil where they can; no Check: all can.
	Check func(words ...string) error
}

// A Surface is what is drawn on, and then written.
type Surface interface {
	plot.Painter
	Bytes() []byte
}

var formats = []Format{
	{Ending: "svg", Media: "image/svg+xml", New: func(width, height, _ float64, words string) Surface {
		return plot.NewSVG(width, height, words)
	}},
}

// Formats lists the formats that page and command write; package raster has one for the command alone.
func Formats() []Format { return formats }

// Figure draws a figure. The error says which words cannot be set.
func (f Format) Figure(fig *plot.Figure, o Options) ([]byte, error) {
	set := []string{o.Title, fig.Variable}
	for _, s := range fig.Series {
		set = append(set, s.Name)
	}
	if err := f.check(set...); err != nil {
		return nil, err
	}
	return f.file(Draw(fig, o, f.New(0, 0, 1, "")), plot.Describe(fig, plot.NewView(fig.A, fig.B)), o), nil
}

// Ladder draws a ladder; the words are its text alternative. The error says which words cannot be set.
func (f Format) Ladder(d *plot.Ladder, words string, o Options) ([]byte, error) {
	if err := f.check(o.Title); err != nil {
		return nil, err
	}
	return f.file(DrawLadder(d, o, f.New(0, 0, 1, "")), words, o), nil
}

func (f Format) check(words ...string) error {
	if f.Check == nil {
		return nil
	}
	return f.Check(words...)
}

// file writes a drawing; the words are its text alternative.
func (f Format) file(d Drawing, words string, o Options) []byte {
	if o.Title != "" {
		words = o.Title + ". " + words
	}
	s := f.New(d.Width, d.Height, d.Density, words)
	d.On(s)
	return s.Bytes()
}

// SVG draws a figure as a standalone vector file, in which every word can be set.
func SVG(fig *plot.Figure, o Options) []byte {
	file, _ := formats[0].Figure(fig, o)
	return file
}

// LadderSVG draws a ladder so; the words are its text alternative.
func LadderSVG(d *plot.Ladder, words string, o Options) []byte {
	file, _ := formats[0].Ladder(d, words, o)
	return file
}
