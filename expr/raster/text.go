package raster

import (
	"image"
	"image/draw"
	"math"
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"nodespan/expr/plot"
)

// The Go fonts have one family beside the monospaced one, which figures do not use; symbols of the sheet, in a serif
// face elsewhere, are told by their slope.
var (
	upright = sync.OnceValue(func() *opentype.Font { return parsed(goregular.TTF) })
	sloping = sync.OnceValue(func() *opentype.Font { return parsed(goitalic.TTF) })
)

func parsed(file []byte) *opentype.Font {
	f, err := opentype.Parse(file)
	if err != nil {
		panic(err) // the fonts are part of the program
	}
	return f
}

// composed replaces what the fonts lack and what can be set by what they have: the triple prime, and narrow spaces.
var composed = strings.NewReplacer("‴", "′′′", "\u2009", " ", "\u202f", " ")

// Lacking returns the first character of a text that the fonts do not have; ok is false where they have all.
func Lacking(text string) (r rune, ok bool) {
	var b sfnt.Buffer
	for _, r := range composed.Replace(text) {
		if i, err := upright().GlyphIndex(&b, r); i == 0 || err != nil {
			return r, true
		}
	}
	return 0, false
}

// faces are fonts at the sizes that a picture has asked for.
type faces map[faceKey]font.Face

type faceKey struct {
	italic bool
	size   float64 // device pixels
}

func (f *faces) get(italic bool, size float64) font.Face {
	key := faceKey{italic, size}
	if face := (*f)[key]; face != nil {
		return face
	}
	source := upright()
	if italic {
		source = sloping()
	}
	face, err := opentype.NewFace(source, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic(err) // it has no cause to fail
	}
	if *f == nil {
		*f = faces{}
	}
	(*f)[key] = face
	return face
}

// TextWidth returns the advance width in CSS pixels.
func (p *Painter) TextWidth(text string, t plot.TextStyle) float64 {
	// Measured at the size in which a font's units are whole, so that a picture is laid out alike at every density.
	face := p.faces.get(t.Italic, measured)
	width := fixed.Int26_6(0)
	for _, r := range composed.Replace(text) {
		advance, _ := face.GlyphAdvance(r)
		width += advance
	}
	return float64(width) / 64 / measured * t.Size
}

// units turns pixels into the 64ths of them that package fixed counts in.
func units(v float64) fixed.Int26_6 { return fixed.Int26_6(math.Round(v * 64)) }

// measured is the number of units to the size in the Go fonts.
const measured = 2048

func (p *Painter) Text(x, y float64, text string, t plot.TextStyle) {
	switch t.Align {
	case plot.Middle:
		x -= p.TextWidth(text, t) / 2
	case plot.End:
		x -= p.TextWidth(text, t)
	}
	face := p.faces.get(t.Italic, t.Size*p.scale)
	colour := ink(t.Color, t.Alpha)
	dst := p.image.SubImage(p.clip).(draw.Image)
	// Not by font.Drawer, whose kerning of these faces is that of one fixed size.
	for _, r := range composed.Replace(text) {
		dot := fixed.Point26_6{X: units(x * p.scale), Y: units(y * p.scale)}
		if box, mask, at, _, ok := face.Glyph(dot, r); ok {
			draw.DrawMask(dst, box, colour, image.Point{}, mask, at, draw.Over)
		}
		x += p.TextWidth(string(r), t)
	}
}
