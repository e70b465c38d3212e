package plot

// A Painter is the surface that a figure is drawn on. Coordinates are CSS pixels from the top left
// corner, y downwards, and always finite. Nothing is drawn in an empty colour ("").
type Painter interface {
	Measurer
	// Scale is the number of device pixels per CSS pixel, above 0.
	Scale() float64
	// Line draws one straight line.
	Line(x0, y0, x1, y1 float64, s Stroke)
	// Polyline draws an open line through the points xy = x0, y0, x1, y1, … (at least two points), joins
	// round. All lines and dashes end flat. The slice is the caller's and is overwritten after the call.
	Polyline(xy []float64, s Stroke)
	// Polygon fills and outlines the closed polygon through the points xy = x0, y0, x1, y1, ….
	// The slice is the caller's and is overwritten after the call.
	Polygon(xy []float64, fill Fill, s Stroke)
	// Circle fills and outlines the circle of radius r about (x, y).
	Circle(x, y, r float64, fill Fill, s Stroke)
	// Text writes one line of text with its alphabetic baseline at y.
	Text(x, y float64, text string, t TextStyle)
	// Clip limits what follows to a rectangle, until Unclip. Clips are not nested.
	Clip(x, y, w, h float64)
	Unclip()
}

// A Measurer knows how wide a line of text is. Colour and alignment make no difference.
type Measurer interface {
	// TextWidth returns the advance width in CSS pixels.
	TextWidth(text string, t TextStyle) float64
}

// Stroke says how a line is drawn. The zero value draws nothing.
type Stroke struct {
	Color string    // #rrggbb, or "" for no line
	Width float64   // CSS pixels
	Dash  []float64 // lengths of dashes and gaps in CSS pixels, an even number of them; nil for a solid line
	Alpha float64   // opacity, above 0 and at most 1
}

// Fill says how an area is filled. The zero value fills nothing.
type Fill struct {
	Color string  // #rrggbb, or "" for no filling
	Alpha float64 // opacity, above 0 and at most 1
}

// TextStyle says how a line of text is set.
type TextStyle struct {
	Size   float64 // CSS pixels
	Family Family
	Italic bool
	Color  string // #rrggbb
	Alpha  float64
	Align  Align
}

// Family is one of the three families of type that a page uses.
type Family int

const (
	Sans  Family = iota // labels and tick numbers
	Serif               // symbols of the sheet
	Mono
)

// Align says which point of a line of text stands at the given x.
type Align int

const (
	Start Align = iota
	Middle
	End
)
