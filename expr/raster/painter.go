package raster

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"math"

	"golang.org/x/image/vector"

	"nodespan/expr/plot"
)

// Painter is a surface of pixels, smoothed at the edges.
type Painter struct {
	scale float64
	image *image.RGBA
	clip  image.Rectangle
	box   image.Rectangle // of the shape at hand
	shape vector.Rasterizer
	ring  []float64 // points, reused
	faces faces
}

var _ plot.Painter = (*Painter)(nil)

// NewPainter returns a painter of the given size in CSS pixels with so many device pixels to each. The ground is
// transparent.
func NewPainter(width, height, density float64) *Painter {
	r := image.Rect(0, 0, int(math.Ceil(width*density-1e-9)), int(math.Ceil(height*density-1e-9)))
	return &Painter{scale: density, image: image.NewRGBA(r), clip: r}
}

// Bytes returns the PNG file. It says how many pixels make an inch: 96 CSS pixels do.
func (p *Painter) Bytes() []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, p.image); err != nil {
		panic(err) // of a picture without pixels; a buffer takes everything
	}
	// Package image/png does not write the chunk pHYs (PNG specification, third edition, 11.3.4.3), which may follow
	// the first, IHDR: pixels to the metre, twice, and 1 for the unit.
	chunk := binary.BigEndian.AppendUint32(nil, 9)
	perMetre := uint32(math.Round(p.scale * 96 / 0.0254))
	chunk = append(chunk, "pHYs"...)
	chunk = binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(chunk, perMetre), perMetre)
	chunk = append(chunk, 1)
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
	const head = 8 + 4 + 4 + 13 + 4 // the signature, and IHDR with its length, name and checksum
	file := b.Bytes()
	return append(append(file[:head:head], chunk...), file[head:]...)
}

// Scale returns the density.
func (p *Painter) Scale() float64 { return p.scale }

func (p *Painter) Line(x0, y0, x1, y1 float64, s plot.Stroke) {
	p.Polyline([]float64{x0, y0, x1, y1}, s)
}

func (p *Painter) Polyline(xy []float64, s plot.Stroke) {
	if s.Color == "" || len(xy) < 4 {
		return
	}
	half := s.Width * p.scale / 2
	line := p.device(xy)
	p.begin(bounds(line, half+1))
	parts := [][]float64{line}
	if len(s.Dash) > 0 {
		parts = plot.Dashes(line, p.device(s.Dash))
	}
	for _, part := range parts {
		p.stroke(part, half)
	}
	p.paint(s.Color, s.Alpha)
}

func (p *Painter) Polygon(xy []float64, f plot.Fill, s plot.Stroke) {
	if f.Color != "" {
		d := p.device(xy)
		p.begin(bounds(d, 1))
		p.area(d)
		p.paint(f.Color, f.Alpha)
	}
	if s.Color != "" {
		p.Polyline(append(xy[:len(xy):len(xy)], xy[0], xy[1]), s)
	}
}

func (p *Painter) Circle(x, y, r float64, f plot.Fill, s plot.Stroke) {
	x, y, r = x*p.scale, y*p.scale, r*p.scale
	if f.Color != "" {
		p.begin(bounds([]float64{x, y}, r+1))
		p.arc(x, y, r, 0, 2*math.Pi)
		p.paint(f.Color, f.Alpha)
	}
	if s.Color != "" {
		half := s.Width * p.scale / 2
		p.begin(bounds([]float64{x, y}, r+half+1))
		p.arc(x, y, r+half, 0, 2*math.Pi)
		if r > half {
			p.arc(x, y, r-half, 2*math.Pi, 0) // the hole, the other way around
		}
		p.paint(s.Color, s.Alpha)
	}
}

func (p *Painter) Clip(x, y, w, h float64) {
	s := p.scale
	r := image.Rect(int(math.Round(x*s)), int(math.Round(y*s)), int(math.Round((x+w)*s)), int(math.Round((y+h)*s)))
	p.clip = r.Intersect(p.image.Rect)
}

func (p *Painter) Unclip() { p.clip = p.image.Rect }

// device turns CSS pixels into device pixels.
func (p *Painter) device(lengths []float64) []float64 {
	d := make([]float64, len(lengths))
	for i, v := range lengths {
		d[i] = v * p.scale
	}
	return d
}

// bounds is the box of pixels about points, with a margin.
func bounds(xy []float64, margin float64) image.Rectangle {
	const far = 1e6 // beyond any picture
	lo, hi := [2]float64{far, far}, [2]float64{-far, -far}
	for i, v := range xy {
		v = max(-far, min(far, v))
		lo[i%2], hi[i%2] = min(lo[i%2], v), max(hi[i%2], v)
	}
	return image.Rect(int(math.Floor(lo[0]-margin)), int(math.Floor(lo[1]-margin)),
		int(math.Ceil(hi[0]+margin)), int(math.Ceil(hi[1]+margin)))
}

// begin starts a shape within a box.
func (p *Painter) begin(box image.Rectangle) {
	p.box = box.Intersect(p.clip)
	p.shape.Reset(p.box.Dx(), p.box.Dy())
}

// paint puts a colour where the shape covers.
func (p *Painter) paint(hex string, alpha float64) {
	p.shape.Draw(p.image, p.box, ink(hex, alpha), image.Point{})
}

func ink(hex string, alpha float64) *image.Uniform {
	r, g, b := plot.RGB(hex)
	return image.NewUniform(color.NRGBA{r, g, b, uint8(math.Round(255 * alpha))})
}

// area adds a polygon to the shape. What is wound around as often in either direction is outside.
func (p *Painter) area(d []float64) {
	x, y := float64(p.box.Min.X), float64(p.box.Min.Y)
	p.shape.MoveTo(float32(d[0]-x), float32(d[1]-y))
	for i := 2; i+1 < len(d); i += 2 {
		p.shape.LineTo(float32(d[i]-x), float32(d[i+1]-y))
	}
	p.shape.ClosePath()
}

// stroke adds a line to the shape: a rectangle for each straight piece, and at each join the sector between two of them
// on the outer side. All are wound alike, so that what they share cancels and what they cover twice counts once. Ends
// are flat.
func (p *Painter) stroke(d []float64, half float64) {
	c := p.box.Inset(-int(half) - 2)
	frame := [4]float64{float64(c.Min.X), float64(c.Min.Y), float64(c.Max.X), float64(c.Max.Y)}
	for _, part := range plot.Clipped(d, frame) {
		var before, first float64 // directions
		last, started := len(part)-2, false
		for i := 0; i < last; i += 2 {
			x0, y0, x1, y1 := part[i], part[i+1], part[i+2], part[i+3]
			if x0 == x1 && y0 == y1 {
				continue
			}
			now := math.Atan2(y1-y0, x1-x0)
			nx, ny := -half*math.Sin(now), half*math.Cos(now)
			p.ring = append(p.ring[:0], x0-nx, y0-ny, x1-nx, y1-ny, x1+nx, y1+ny, x0+nx, y0+ny)
			p.area(p.ring)
			if started {
				p.join(x0, y0, half, before, now)
			} else {
				started, first = true, now
			}
			before = now
		}
		if started && last > 2 && part[0] == part[last] && part[1] == part[last+1] {
			p.join(part[0], part[1], half, before, first)
		}
	}
}

// join adds the sector on the outer side of a bend from one direction to another.
func (p *Painter) join(x, y, half, from, to float64) {
	turn := math.Remainder(to-from, 2*math.Pi)
	if turn > 0 { // y points downwards: a bend to the right, whose outer side is on the left
		p.sector(x, y, half, from-math.Pi/2, turn)
	} else if turn < 0 {
		p.sector(x, y, half, to+math.Pi/2, -turn)
	}
}

// sector adds a part of a disc, from an angle on by a positive one.
func (p *Painter) sector(x, y, r, from, by float64) {
	p.ring = append(p.ring[:0], x, y)
	p.arcPoints(x, y, r, from, by)
	p.area(p.ring)
}

// arc adds a disc, from an angle to another by a whole turn.
func (p *Painter) arc(x, y, r, from, to float64) {
	p.ring = p.ring[:0]
	p.arcPoints(x, y, r, from, to-from)
	p.area(p.ring)
}

// arcPoints appends points of an arc to the ring, so many that a chord leaves it by a hundredth of a pixel at most.
func (p *Painter) arcPoints(x, y, r, from, by float64) {
	n := 1
	if r > 0.01 {
		n = int(math.Ceil(math.Abs(by) / (2 * math.Acos(1-0.01/r))))
	}
	for k := range n + 1 {
		sin, cos := math.Sincos(from + by*float64(k)/float64(n))
		p.ring = append(p.ring, x+r*cos, y+r*sin)
	}
}
