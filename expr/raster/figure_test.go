package raster

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"testing"

	"nodespan/expr/figure"
	"nodespan/expr/plot"
	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
	"nodespan/solver/ladder"
	"nodespan/testdata/demos"
)

func decoded(t *testing.T, file []byte) *image.RGBA {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	flat := image.NewRGBA(img.Bounds())
	draw.Draw(flat, flat.Rect, img, flat.Rect.Min, draw.Src)
	return flat
}

// checker is a painter that looks for what it is told to draw in a picture that is there already. At four pixels to
// one, lines and letters have pixels of their full colour.
type checker struct {
	*Painter         // for the widths of text
	t                *testing.T
	name             string
	picture          *image.RGBA
	inside           image.Rectangle // what lines are clipped to, in pixels
	points           int             // of lines that were looked for
	markers, letters int
}

// has reports whether a pixel of a colour lies within r CSS pixels of a place.
func (c *checker) has(x, y float64, hex string, r float64) bool {
	red, green, blue := plot.RGB(hex)
	for py := math.Floor((y - r) * c.scale); py <= (y+r)*c.scale; py++ {
		for px := math.Floor((x - r) * c.scale); px <= (x+r)*c.scale; px++ {
			if c.picture.RGBAAt(int(px), int(py)) == (color.RGBA{red, green, blue, 255}) {
				return true
			}
		}
	}
	return false
}

func (c *checker) Clip(x, y, w, h float64) {
	c.Painter.Clip(x, y, w, h)
	c.inside = c.clip
}

func (c *checker) Line(x0, y0, x1, y1 float64, s plot.Stroke) {
	c.Polyline([]float64{x0, y0, x1, y1}, s)
}

func (c *checker) Polyline(xy []float64, s plot.Stroke) {
	if len(s.Dash) > 0 || s.Alpha < 1 || s.Color == "" || s.Color == plot.Light.Dim {
		// A dashed line is not at every point, a faint one has not its own colour, the grid lies under other rules.
		return
	}
	seen, looked := 0, 0
	for i := 0; i+3 < len(xy); i += 2 {
		const step = 5 // CSS pixels
		n := math.Ceil(math.Hypot(xy[i+2]-xy[i], xy[i+3]-xy[i+1]) / step)
		for k := 0.5; k < n; k++ {
			x, y := xy[i]+(xy[i+2]-xy[i])*k/n, xy[i+1]+(xy[i+3]-xy[i+1])*k/n
			if !image.Pt(int(x*c.scale), int(y*c.scale)).In(c.inside) {
				continue
			}
			looked++
			if c.has(x, y, s.Color, 0.5) {
				seen++
			}
		}
	}
	c.points += looked
	if 8*seen < looked { // markers and other lines may lie over most of it
		c.t.Errorf("%s: %d points of %d of the line of colour %s from %.1f, %.1f are there",
			c.name, seen, looked, s.Color, xy[0], xy[1])
	}
}

func (c *checker) Circle(x, y, r float64, f plot.Fill, s plot.Stroke) {
	var ring []float64
	for k := range 8 {
		sin, cos := math.Sincos(float64(k) * math.Pi / 4)
		ring = append(ring, x+r*cos, y+r*sin)
	}
	c.Polygon(ring, f, s)
}

func (c *checker) Polygon(xy []float64, f plot.Fill, s plot.Stroke) {
	if s.Color == "" || s.Alpha < 1 {
		return
	}
	c.markers++
	seen := 0
	for i := 0; i+1 < len(xy); i += 2 {
		if c.has(xy[i], xy[i+1], s.Color, 0.5) {
			seen++
		}
	}
	if 2*seen < len(xy)/2 { // others may lie over a part of it
		c.t.Errorf("%s: %d corners of the %d of the marker at %.1f, %.1f are there",
			c.name, seen, len(xy)/2, xy[0], xy[1])
	}
}

func (c *checker) Text(x, y float64, text string, t plot.TextStyle) {
	switch t.Align {
	case plot.Middle:
		x -= c.TextWidth(text, t) / 2
	case plot.End:
		x -= c.TextWidth(text, t)
	}
	for _, r := range text {
		w := c.TextWidth(string(r), t)
		if r != ' ' {
			c.letters++
			if h := 0.45 * t.Size; !c.has(x+w/2, y-0.6*h, t.Color, h) {
				c.t.Errorf("%s: the “%c” of “%s” is not at %.1f, %.1f", c.name, r, text, x, y)
			}
		}
		x += w
	}
}

// TestFigures draws the demonstrations and some problems of other kinds, and finds every solid line, every marker and
// every letter in the picture where the figure has it.
func TestFigures(t *testing.T) {
	type drawn struct {
		name, text string
		options    figure.Options
	}
	all := []drawn{
		{"system", "u'' = v; v'' = u; u(0) = 0; u(1) = 1; v(0) = -1; v(1) = 0.5",
			figure.Options{Title: "Fin <θ> & Übung"}},
		{"eigenvalue", "d/dr(r dT_s/dr)/r + lambda T_s = 0; T_s'(0) = 0; T_s(1) = 0; lambda = ?",
			figure.Options{Derivatives: true, Title: "10⁻³ ‴"}},
		{"unbounded", "y'' = y; y(0) = 1; y(inf) = 0", figure.Options{NoResidual: true}},
	}
	for _, d := range demos.All() {
		all = append(all, drawn{d.Name, d.Sheet, figure.Options{Title: d.Title}})
	}
	for _, d := range all {
		sh, s := sheettest.Solved(t, d.text, solver.Options{})
		o := d.options
		o.Width, o.Density = 400, 4
		fig := figure.New(sh, s, o)
		file, err := Format.Figure(fig, o)
		if err != nil {
			t.Errorf("%s: %v", d.name, err)
			continue
		}
		drawing := figure.Draw(fig, o, NewPainter(1, 1, 1))
		look(t, d.name, file, drawing)
		if again, err := Format.Figure(figure.New(sh, s, o), o); err != nil || !bytes.Equal(again, file) {
			t.Errorf("%s: drawn twice it is not the same", d.name)
		}
	}
}

func TestLadder(t *testing.T) {
	sh, _ := sheettest.Solved(t, "y'' = -9 y + x; y(0) = 0; y(1) = 1", solver.Options{})
	d := figure.NewLadder(ladder.Climb(sh.Problem(), ladder.Options{MostNodes: 12}))
	o := figure.Options{Width: 500, Density: 4, Title: "Nodes"}
	file, err := Format.Ladder(d, "", o)
	if err != nil {
		t.Fatal(err)
	}
	look(t, "ladder", file, figure.DrawLadder(d, o, NewPainter(1, 1, 1)))
}

// look finds what a drawing holds in the file that was made of it.
func look(t *testing.T, name string, file []byte, d figure.Drawing) {
	t.Helper()
	img := decoded(t, file)
	b := img.Bounds()
	if b.Dx() != int(d.Width*4) || b.Dy() != int(math.Ceil(d.Height*4-1e-9)) {
		t.Fatalf("%s: %v, want %g by %g", name, b, d.Width*4, d.Height*4)
	}
	if !img.Opaque() {
		t.Errorf("%s: the picture has holes", name)
	}
	c := &checker{Painter: NewPainter(d.Width, d.Height, 4), t: t, name: name, picture: img, inside: b}
	d.On(c)
	if c.points < 100 || c.markers < 3 || c.letters < 15 {
		t.Errorf("%s: %d points, %d markers and %d letters were looked for", name, c.points, c.markers, c.letters)
	}
}

// What the fonts lack is refused by name; Greek letters and what figures are labelled with are there.
func TestLetters(t *testing.T) {
	sh, s := sheettest.Solved(t, "y'' = 6 x; y(0) = 0; y(1) = 1", solver.Options{})
	fig := figure.New(sh, s, figure.Options{})
	const want = "the lettering of PNG files has no “山”, which is in “山”"
	if _, err := Format.Figure(fig, figure.Options{Title: "山"}); err == nil || err.Error() != want {
		t.Errorf("%v", err)
	}
	if _, err := Format.Ladder(&plot.Ladder{}, "", figure.Options{Title: "山"}); err == nil || err.Error() != want {
		t.Errorf("%v", err)
	}
	const needed = "αβγδεζηθικλμνξοπρστυφχψω ΓΔΘΛΞΠΣΦΨΩ ′″‴ −+×±·≤≥≈≠∞→…–— ⁰¹²³⁴⁵⁶⁷⁸⁹⁻ ₀₁₂₃₄₅₆₇₈₉ " +
		"äöüßéèçñøåæł “”‘’ °%#&@$"
	if r, lacks := Lacking(needed); lacks {
		t.Errorf("%c is not there", r)
	}
	for r := ' '; r <= '~'; r++ {
		if _, lacks := Lacking(string(r)); lacks {
			t.Errorf("%c is not there", r)
		}
	}
}
