package plot

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"math"
	"strconv"
)

// PNG is a Painter that makes a picture of pixels, smoothed at the edges. Its text is set in lettering of its own, so
// that a picture is the same on every machine.
type PNG struct {
	scale  float64
	image  *image.RGBA
	clip   image.Rectangle
	cover  []float32 // of the shape at hand, in the pixels of box
	box    image.Rectangle
	points []float64
}

var _ Painter = (*PNG)(nil)

// NewPNG returns a painter of the given size in CSS pixels with so many device pixels to each. The ground is
// transparent.
func NewPNG(width, height, density float64) *PNG {
	r := image.Rect(0, 0, int(math.Ceil(width*density-1e-9)), int(math.Ceil(height*density-1e-9)))
	return &PNG{scale: density, image: image.NewRGBA(r), clip: r}
}

// Bytes returns the file. It says how many pixels make an inch: 96 CSS pixels do.
//
// Package image/png would write it too, but by registering its reader it adds some 25 kB to every program that could
// draw, such as the page, which draws none; the test reads the file by it.
func (p *PNG) Bytes() []byte {
	size := p.image.Rect.Size()
	// Chunks as in the PNG specification, third edition, 11: eight bits each of red, green, blue and opacity; rows as
	// differences to the one above.
	var rows bytes.Buffer
	z := zlib.NewWriter(&rows)
	above, row, line := make([]byte, 4*size.X), make([]byte, 4*size.X), make([]byte, 1+4*size.X)
	line[0] = 2
	for y := range size.Y {
		for x := range size.X {
			c := color.NRGBAModel.Convert(p.image.RGBAAt(x, y)).(color.NRGBA)
			row[4*x], row[4*x+1], row[4*x+2], row[4*x+3] = c.R, c.G, c.B, c.A
		}
		for i := range row {
			line[1+i] = row[i] - above[i]
		}
		z.Write(line) // to a buffer, which never fails
		above, row = row, above
	}
	z.Close()

	out := []byte("\x89PNG\r\n\x1a\n")
	put := func(name string, data []byte) {
		out = binary.BigEndian.AppendUint32(out, uint32(len(data)))
		at := len(out)
		out = append(append(out, name...), data...)
		out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[at:]))
	}
	number := binary.BigEndian.AppendUint32
	put("IHDR", append(number(number(nil, uint32(size.X)), uint32(size.Y)), 8, 6, 0, 0, 0))
	perMetre := uint32(math.Round(p.scale * 96 / 0.0254))
	put("pHYs", append(number(number(nil, perMetre), perMetre), 1))
	put("IDAT", rows.Bytes())
	put("IEND", nil)
	return out
}

// Image returns the picture as it stands.
func (p *PNG) Image() image.Image { return p.image }

// Scale returns the density.
func (p *PNG) Scale() float64 { return p.scale }

func (p *PNG) Line(x0, y0, x1, y1 float64, s Stroke) {
	p.points = append(p.points[:0], x0, y0, x1, y1)
	p.polyline(p.points, s)
}

func (p *PNG) Polyline(xy []float64, s Stroke) { p.polyline(xy, s) }

func (p *PNG) Polygon(xy []float64, f Fill, s Stroke) {
	if f.Color != "" {
		d := p.device(xy)
		p.begin(bounds(d, 1))
		p.area(d)
		p.paint(f.Color, f.Alpha)
	}
	if s.Color != "" {
		p.polyline(append(append([]float64(nil), xy...), xy[0], xy[1]), s)
	}
}

func (p *PNG) Circle(x, y, r float64, f Fill, s Stroke) {
	x, y, r = x*p.scale, y*p.scale, r*p.scale
	half := s.Width * p.scale / 2
	box := bounds([]float64{x, y}, r+half+1)
	if f.Color != "" {
		p.begin(box)
		p.each(box, func(px, py float64) float64 { return r + 0.5 - math.Hypot(px-x, py-y) })
		p.paint(f.Color, f.Alpha)
	}
	if s.Color != "" {
		p.begin(box)
		p.each(box, func(px, py float64) float64 { return across(math.Hypot(px-x, py-y)-r, half) })
		p.paint(s.Color, s.Alpha)
	}
}

// lettering is the width of a stroke in type sizes: a tenth or so, as the eye is used to from print.
const lettering = 0.088

func (p *PNG) Text(x, y float64, text string, t TextStyle) {
	switch t.Align {
	case Middle:
		x -= p.TextWidth(text, t) / 2
	case End:
		x -= p.TextWidth(text, t)
	}
	slant := 0.0
	if t.Italic {
		slant = 0.2
	}
	half := math.Max(lettering*t.Size*p.scale, 1) / 2
	for _, r := range text {
		g, ok := glyphs()[r]
		if !ok {
			g = missing
		}
		var all [][]float64
		var extent []float64
		for _, stroke := range g.strokes {
			d := make([]float64, len(stroke))
			for i := 0; i+1 < len(d); i += 2 {
				d[i] = (x + (stroke[i]+slant*stroke[i+1])*t.Size) * p.scale
				d[i+1] = (y - stroke[i+1]*t.Size) * p.scale
			}
			all, extent = append(all, d), append(extent, d...)
		}
		if len(extent) > 0 {
			p.begin(bounds(extent, half+1))
			for _, d := range all {
				p.strokes(d, half, true)
			}
			p.paint(t.Color, t.Alpha)
		}
		x += g.advance * t.Size
	}
}

// TextWidth returns the width in the painter's own lettering.
func (p *PNG) TextWidth(text string, t TextStyle) float64 {
	w := 0.0
	for _, r := range text {
		g, ok := glyphs()[r]
		if !ok {
			g = missing
		}
		w += g.advance
	}
	return w * t.Size
}

func (p *PNG) Clip(x, y, w, h float64) {
	s := p.scale
	r := image.Rect(int(math.Round(x*s)), int(math.Round(y*s)), int(math.Round((x+w)*s)), int(math.Round((y+h)*s)))
	p.clip = r.Intersect(p.image.Rect)
}

func (p *PNG) Unclip() { p.clip = p.image.Rect }

// device turns CSS pixels into device pixels.
func (p *PNG) device(xy []float64) []float64 {
	d := make([]float64, len(xy))
	for i, v := range xy {
		d[i] = v * p.scale
	}
	return d
}

// bounds is the box of pixels about points, with a margin.
func bounds(xy []float64, margin float64) image.Rectangle {
	const far = 1e6 // beyond any picture
	lo, hi := [2]float64{far, far}, [2]float64{-far, -far}
	for i, v := range xy {
		v = math.Max(-far, math.Min(far, v))
		lo[i%2], hi[i%2] = math.Min(lo[i%2], v), math.Max(hi[i%2], v)
	}
	return image.Rect(int(math.Floor(lo[0]-margin)), int(math.Floor(lo[1]-margin)), int(math.Ceil(hi[0]+margin)),
		int(math.Ceil(hi[1]+margin)))
}

// begin starts a shape within a box.
func (p *PNG) begin(box image.Rectangle) {
	p.box = box.Intersect(p.clip)
	n := p.box.Dx() * p.box.Dy()
	if cap(p.cover) < n {
		p.cover = make([]float32, n)
	}
	p.cover = p.cover[:n]
	clear(p.cover)
}

// each covers the pixels of a box, where they are covered more by f, a function of a pixel's middle.
func (p *PNG) each(box image.Rectangle, f func(x, y float64) float64) {
	box = box.Intersect(p.box)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		row := p.cover[(y-p.box.Min.Y)*p.box.Dx():]
		for x := box.Min.X; x < box.Max.X; x++ {
			c := float32(max(0, min(1, f(float64(x)+0.5, float64(y)+0.5))))
			if at := &row[x-p.box.Min.X]; c > *at {
				*at = c
			}
		}
	}
}

// across is how much of a pixel at distance d from the middle of a band of half width half is covered.
func across(d, half float64) float64 { return min(half, d+0.5) - max(-half, d-0.5) }

func (p *PNG) polyline(xy []float64, s Stroke) {
	if s.Color == "" || len(xy) < 4 {
		return
	}
	d := p.device(xy)
	half := s.Width * p.scale / 2
	p.begin(bounds(d, half+1))
	if len(s.Dash) == 0 {
		p.strokes(d, half, false)
	} else {
		pattern := make([]float64, len(s.Dash))
		for i, v := range s.Dash {
			pattern[i] = v * p.scale
		}
		for _, part := range Dashes(d, pattern) {
			p.strokes(part, half, false)
		}
	}
	p.paint(s.Color, s.Alpha)
}

// strokes covers a line: straight pieces with discs at the joins, and at the ends where they are round.
func (p *PNG) strokes(d []float64, half float64, round bool) {
	last := len(d) - 2
	for i := 0; i+3 < len(d); i += 2 {
		x0, y0, x1, y1 := d[i], d[i+1], d[i+2], d[i+3]
		length := math.Hypot(x1-x0, y1-y0)
		if length > 0 {
			ux, uy := (x1-x0)/length, (y1-y0)/length
			p.each(bounds(d[i:i+4], half+1), func(x, y float64) float64 {
				along, beside := (x-x0)*ux+(y-y0)*uy, (y-y0)*ux-(x-x0)*uy
				ends := min(along+0.5, length-along+0.5) // flat ends
				return across(beside, half) * max(0, min(1, ends))
			})
		}
		if (i > 0 || round) && half > 0.4 {
			p.disc(x0, y0, half)
		}
	}
	if round || last >= 2 && d[0] == d[last] && d[1] == d[last+1] {
		p.disc(d[last], d[last+1], half)
	}
}

func (p *PNG) disc(x, y, r float64) {
	p.each(bounds([]float64{x, y}, r+1), func(px, py float64) float64 { return r + 0.5 - math.Hypot(px-x, py-y) })
}

// area covers a polygon, by the rule that where it winds around is inside, on lines a quarter pixel apart.
func (p *PNG) area(d []float64) {
	const lines = 4
	type crossing struct {
		x    float64
		wind int
	}
	var at []crossing
	for y := p.box.Min.Y; y < p.box.Max.Y; y++ {
		row := p.cover[(y-p.box.Min.Y)*p.box.Dx() : (y-p.box.Min.Y+1)*p.box.Dx()]
		for k := range lines {
			level := float64(y) + (float64(k)+0.5)/lines
			at = at[:0]
			for i := 0; i+1 < len(d); i += 2 {
				j := (i + 2) % len(d)
				y0, y1 := d[i+1], d[j+1]
				if (y0 <= level) == (y1 <= level) {
					continue
				}
				wind := 1
				if y1 < y0 {
					wind = -1
				}
				c := crossing{d[i] + (level-y0)/(y1-y0)*(d[j]-d[i]), wind}
				n := len(at)
				at = append(at, c)
				for n > 0 && at[n-1].x > c.x {
					at[n] = at[n-1]
					n--
				}
				at[n] = c
			}
			wind := 0
			for i := 0; i+1 < len(at); i++ {
				if wind += at[i].wind; wind == 0 {
					continue
				}
				a, b := at[i].x-float64(p.box.Min.X), at[i+1].x-float64(p.box.Min.X)
				for x := max(0, int(math.Floor(a))); x < len(row) && float64(x) < b; x++ {
					part := min(b, float64(x)+1) - max(a, float64(x))
					row[x] = float32(min(1, float64(row[x])+max(0, part)/lines))
				}
			}
		}
	}
}

// paint puts a colour where the shape covers.
func (p *PNG) paint(colour string, alpha float64) {
	c := rgb(colour)
	for y := p.box.Min.Y; y < p.box.Max.Y; y++ {
		row := p.cover[(y-p.box.Min.Y)*p.box.Dx() : (y-p.box.Min.Y+1)*p.box.Dx()]
		for x, cover := range row {
			if cover <= 0 {
				continue
			}
			a := float64(cover) * alpha
			i := p.image.PixOffset(x+p.box.Min.X, y)
			pix := p.image.Pix[i : i+4]
			for k, v := range [4]uint8{c.R, c.G, c.B, 255} {
				pix[k] = uint8(float64(v)*a + float64(pix[k])*(1-a) + 0.5)
			}
		}
	}
}

// rgb reads #rrggbb.
func rgb(s string) color.RGBA {
	v, err := strconv.ParseUint(s[1:], 16, 32)
	if err != nil || len(s) != 7 {
		panic("plot: a colour is #rrggbb, not " + s)
	}
	return color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255}
}
