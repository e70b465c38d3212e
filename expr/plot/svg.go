package plot

import (
	"bytes"
	"encoding/xml"
	"math"
	"strconv"
)

// SVG is a Painter that writes a standalone SVG file (SVG 1.1, without style sheets or scripts).
//
// It names no installed font: text is set in the reader's own, and measured with widths that are those
// of the common sans and serif faces to a few per cent.
type SVG struct {
	width, height float64
	title         string
	body          bytes.Buffer
	clips         int
}

var _ Painter = (*SVG)(nil)

// NewSVG returns a painter of the given size in CSS pixels. The title, where not empty, becomes the file's text
// alternative.
func NewSVG(width, height float64, title string) *SVG {
	return &SVG{width: width, height: height, title: title}
}

// Bytes returns the file.
func (s *SVG) Bytes() []byte {
	var b bytes.Buffer
	w, h := number(s.width), number(s.height)
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" width="` + w + `" height="` + h + `" viewBox="0 0 ` + w +
		" " + h + `" role="img"`)
	b.WriteString(` stroke-linejoin="round">` + "\n")
	if s.title != "" {
		b.WriteString("<title>" + escape(s.title) + "</title>\n")
	}
	b.Write(s.body.Bytes())
	b.WriteString("</svg>\n")
	return b.Bytes()
}

// Scale returns 1: a vector file has no pixels of its own, and rules are aligned for the size it asks for.
func (s *SVG) Scale() float64 { return 1 }

func (s *SVG) Line(x0, y0, x1, y1 float64, k Stroke) {
	if k.Color == "" {
		return
	}
	s.body.WriteString(`<line x1="` + number(x0) + `" y1="` + number(y0) + `" x2="` + number(x1) +
		`" y2="` + number(y1) + `"`)
	s.stroke(k)
	s.body.WriteString("/>\n")
}

func (s *SVG) Polyline(xy []float64, k Stroke) {
	if k.Color == "" {
		return
	}
	s.body.WriteString(`<polyline fill="none" points="`)
	s.points(xy)
	s.body.WriteByte('"')
	s.stroke(k)
	s.body.WriteString("/>\n")
}

func (s *SVG) Polygon(xy []float64, f Fill, k Stroke) {
	s.body.WriteString(`<polygon points="`)
	s.points(xy)
	s.body.WriteByte('"')
	s.fill(f)
	s.stroke(k)
	s.body.WriteString("/>\n")
}

func (s *SVG) Circle(x, y, r float64, f Fill, k Stroke) {
	s.body.WriteString(`<circle cx="` + number(x) + `" cy="` + number(y) + `" r="` + number(r) + `"`)
	s.fill(f)
	s.stroke(k)
	s.body.WriteString("/>\n")
}

func (s *SVG) Text(x, y float64, text string, t TextStyle) {
	s.body.WriteString(`<text x="` + number(x) + `" y="` + number(y) + `" font-family="` + families[t.Family] +
		`" font-size="` + number(t.Size) + `"`)
	if t.Italic {
		s.body.WriteString(` font-style="italic"`)
	}
	switch t.Align {
	case Middle:
		s.body.WriteString(` text-anchor="middle"`)
	case End:
		s.body.WriteString(` text-anchor="end"`)
	}
	s.fill(Fill{t.Color, t.Alpha})
	s.body.WriteString(` xml:space="preserve">` + escape(text) + "</text>\n")
}

func (s *SVG) Clip(x, y, w, h float64) {
	s.clips++
	id := "c" + strconv.Itoa(s.clips)
	s.body.WriteString(`<clipPath id="` + id + `"><rect x="` + number(x) + `" y="` + number(y) +
		`" width="` + number(w) + `" height="` + number(h) + `"/></clipPath>` + "\n")
	s.body.WriteString(`<g clip-path="url(#` + id + `)">` + "\n")
}

func (s *SVG) Unclip() { s.body.WriteString("</g>\n") }

// families are generic names only.
var families = [...]string{Sans: "system-ui, sans-serif", Serif: "serif", Mono: "monospace"}

// TextWidth estimates the width from the proportions that sans and serif faces share.
func (s *SVG) TextWidth(text string, t TextStyle) float64 {
	w := 0.0
	for _, r := range text {
		w += glyphWidth(r, t.Family)
	}
	return w * t.Size
}

// glyphWidth returns a character's width in type sizes, rounded up rather than down.
func glyphWidth(r rune, f Family) float64 {
	switch {
	case f == Mono:
		return 0.61
	case r >= '0' && r <= '9':
		return 0.61
	}
	w := 0.6
	switch r {
	case ' ', '.', ',', ':', '\'', '′', 'i', 'j', 'l', 'I', 't', 'f':
		w = 0.36
	case 'm', 'w', 'M', 'W', 'ω', 'Ω':
		w = 0.95
	case '−', '+', '×', '=', '…':
		w = 0.8
	default:
		if r >= 'A' && r <= 'Z' {
			w = 0.72
		}
	}
	if f == Serif {
		w *= 0.9
	}
	return w
}

func (s *SVG) points(xy []float64) {
	var b [24]byte
	for i := 0; i+1 < len(xy); i += 2 {
		if i > 0 {
			s.body.WriteByte(' ')
		}
		s.body.Write(appendNumber(b[:0], xy[i]))
		s.body.WriteByte(',')
		s.body.Write(appendNumber(b[:0], xy[i+1]))
	}
}

func (s *SVG) fill(f Fill) {
	if f.Color == "" {
		s.body.WriteString(` fill="none"`)
		return
	}
	s.body.WriteString(` fill="` + escape(f.Color) + `"`)
	if f.Alpha < 1 {
		s.body.WriteString(` fill-opacity="` + number(f.Alpha) + `"`)
	}
}

func (s *SVG) stroke(k Stroke) {
	if k.Color == "" {
		return
	}
	s.body.WriteString(` stroke="` + escape(k.Color) + `" stroke-width="` + number(k.Width) + `"`)
	if k.Alpha < 1 {
		s.body.WriteString(` stroke-opacity="` + number(k.Alpha) + `"`)
	}
	if len(k.Dash) > 0 {
		s.body.WriteString(` stroke-dasharray="`)
		for i, d := range k.Dash {
			if i > 0 {
				s.body.WriteByte(' ')
			}
			s.body.WriteString(number(d))
		}
		s.body.WriteByte('"')
	}
}

//go:noinline
func number(v float64) string { return string(appendNumber(nil, v)) }

// appendNumber writes v to a hundredth of a pixel.
func appendNumber(b []byte, v float64) []byte {
	v = math.Round(v*100) / 100
	if v == 0 {
		v = 0 // no negative zero
	}
	return strconv.AppendFloat(b, v, 'f', -1, 64)
}

// escape makes text safe between tags and in quotes; characters that XML cannot hold become U+FFFD.
func escape(s string) string {
	var b bytes.Buffer
	if err := xml.EscapeText(&b, []byte(s)); err != nil {
		return "" // a buffer never fails
	}
	return b.String()
}
