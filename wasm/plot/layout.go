package plot

// Options says how large and in which colours a figure is drawn.
type Options struct {
	// Width is that of the picture in CSS pixels, at least 120 (less counts as 120).
	Width float64
	// Height is that of the picture with its strip in CSS pixels; 0 lets the layout choose: about half the
	// width for one panel, less for each of several, within bounds that suit a phone and a wide screen.
	Height float64
	// Palette holds the colours; the zero value means Light.
	Palette Palette
	// FontSize is that of tick labels in CSS pixels; 0 means 12.
	FontSize float64
}

// Layout is a figure with every place and scale decided: what NewLayout makes and Draw draws.
// It is made anew when the figure, the view or the size changes, and does not change otherwise.
type Layout struct {
	// Width and Height are those of the whole picture in CSS pixels.
	Width, Height float64
	// FigureHeight is the height of the upper part, with the panels and the labels of the x axis. The strip has
	// the rest, Height - FigureHeight, which is 0 without a residual.
	FigureHeight float64
	// Left and Right are the ends of the x axis in CSS pixels.
	Left, Right float64
	View        View
}

// NewLayout lays a figure out. It panics unless fig.A < fig.B; it does not keep m, but keeps fig and its slices.
func NewLayout(fig *Figure, v View, o Options, m Measurer) *Layout { panic("not built yet") }

// Draw draws figure and strip on a surface of Width × Height, background included.
func (l *Layout) Draw(p Painter) {}

// DrawFigure draws the upper part alone, on a surface of Width × FigureHeight.
func (l *Layout) DrawFigure(p Painter) {}

// DrawStrip draws the strip alone, on a surface of Width × (Height - FigureHeight), starting at its own top.
func (l *Layout) DrawStrip(p Painter) {}

// X returns the value of the variable at px, clamped to the view.
func (l *Layout) X(px float64) float64 { return 0 }

// PX returns where x is drawn.
func (l *Layout) PX(x float64) float64 { return 0 }

// Inside reports whether the point is on a panel or on the strip, where a reading makes sense.
func (l *Layout) Inside(px, py float64) bool { return false }

// A Reading is what the figure shows at one value of the variable, to the precision of the picture.
type Reading struct {
	X float64
	// Node is the index of the node at X in the first series that has nodes, and -1 elsewhere.
	Node int
	// Values has one entry for each series of the figure.
	Values []Value
	// Residual is that of the strip; NaN where there is none.
	Residual float64
}

// Value is one curve's value in a reading.
type Value struct {
	Y float64 // exact at a node, else from the drawn line; NaN in a gap
	// Exact is the exact solution's value, NaN where there is none.
	Exact float64
	// Step is the height of a device pixel: digits below it are not worth showing. 0 at a node.
	Step float64
}

// Read returns the reading at x, clamped to the view. It snaps to nothing: see NearestNode.
func (l *Layout) Read(x float64) Reading { return Reading{} }

// NearestNode returns the index and the place of the node nearest to px if there is one within reach CSS pixels.
func (l *Layout) NearestNode(px, reach float64) (node int, x float64, ok bool) { return -1, 0, false }

// NextNode returns the next node's index and place from x in direction dir (-1 or +1), and ok false when there is none left
// in the interval. The node may lie outside the view: pan there with Follow.
func (l *Layout) NextNode(x float64, dir int) (node int, next float64, ok bool) { return -1, x, false }

// Step returns x moved by n CSS pixels and clamped to the interval, for the arrow keys.
func (l *Layout) Step(x float64, n float64) float64 { return x }

// Follow returns the view panned as little as possible so that x is visible.
func (l *Layout) Follow(x float64) View { return l.View }

// Overlay is what is drawn over the cached picture while someone reads it.
type Overlay struct {
	// Reading draws a hairline through the figure and the strip, and a dot on every curve; nil for none.
	Reading *Reading
	// Select tints p … q, the part being dragged over for zooming; nil for none.
	Select *[2]float64
	// Node lights up a node by its index without a hairline (the pointed-at row of the node table); -1 for none.
	Node int
}

// DrawOverlay draws the overlay of figure and strip; nothing else is touched, not even the background.
func (l *Layout) DrawOverlay(p Painter, o Overlay) {}

// DrawFigureOverlay and DrawStripOverlay draw it for the parts as DrawFigure and DrawStrip place them.
func (l *Layout) DrawFigureOverlay(p Painter, o Overlay) {}
func (l *Layout) DrawStripOverlay(p Painter, o Overlay)  {}

// Group puts the series into panels: a series joins the first panel whose scale differs by no more than a
// factor of 5 from its own, five series at most to a panel. The answer indexes series.
func Group(series []Series) [][]int { return nil }

// Describe says in one to three plain sentences what the visible part of the figure shows, for those who do not see it.
func Describe(fig *Figure, v View) string { return "" }
