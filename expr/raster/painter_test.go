package raster

import (
	"bytes"
	"image/color"
	"image/png"
	"math"
	"testing"

	"nodespan/expr/plot"
)

func fill(color string, alpha float64) plot.Fill { return plot.Fill{Color: color, Alpha: alpha} }

// line is a black one.
func line(width float64, dash ...float64) plot.Stroke {
	return plot.Stroke{Color: "#000000", Width: width, Dash: dash, Alpha: 1}
}

// covered is how much of the picture is covered by black, in CSS pixels squared.
func covered(p *Painter) float64 {
	sum := 0.0
	for i := 0; i < len(p.image.Pix); i += 4 {
		sum += float64(p.image.Pix[i+3]) / 255
	}
	return sum / (p.scale * p.scale)
}

// TestPainterCoversAreas holds what is covered to the areas of geometry, at several densities and off the pixels'
// edges.
func TestPainterCoversAreas(t *testing.T) {
	black := fill("#000000", 1)
	for _, density := range []float64{1, 1.5, 2, 4} {
		for _, c := range []struct {
			name string
			draw func(p *Painter)
			want float64
		}{
			{"rectangle", func(p *Painter) {
				p.Polygon([]float64{10.3, 10.7, 40.1, 10.7, 40.1, 25.2, 10.3, 25.2}, black, plot.Stroke{})
			}, 29.8 * 14.5},
			{"triangle", func(p *Painter) { p.Polygon([]float64{5, 5, 45, 8, 20, 41}, black, plot.Stroke{}) },
				math.Abs(40*36-15*3) / 2},
			{"disc", func(p *Painter) { p.Circle(25.2, 24.9, 15, black, plot.Stroke{}) }, math.Pi * 225},
			{"ring", func(p *Painter) { p.Circle(25.2, 24.9, 15, plot.Fill{}, line(3)) }, 2 * math.Pi * 15 * 3},
			{"upright line", func(p *Painter) { p.Line(20.2, 5, 20.2, 45, line(2)) }, 80},
			{"slanted line", func(p *Painter) { p.Line(5, 6, 41, 33, line(2)) }, 2 * 45},
			{"bent line", func(p *Painter) { p.Polyline([]float64{5, 10, 25, 10, 25, 40}, line(2)) },
				2*50 - 1 + math.Pi/4}, // the corner is shared, and round
			{"thick, bent to the right", func(p *Painter) { p.Polyline([]float64{10, 10, 25, 10, 25, 40}, line(12)) },
				12*45 - 36 + math.Pi*9},
			{"thick, bent to the left", func(p *Painter) { p.Polyline([]float64{10, 40, 25, 40, 25, 10}, line(12)) },
				12*45 - 36 + math.Pi*9},
			{"thick outline", func(p *Painter) {
				p.Polygon([]float64{15, 15, 35, 15, 35, 35, 15, 35}, plot.Fill{}, line(16))
			}, 36*36 - 4*4 - 4*(64-16*math.Pi)},
			{"there and back", func(p *Painter) { p.Polyline([]float64{10, 20, 30, 20, 12, 20}, line(8)) },
				8*20 + math.Pi*8},
			{"dashes", func(p *Painter) { p.Line(5, 20, 45, 20, line(2, 6, 4)) }, 2 * 24},
			{"half there", func(p *Painter) {
				p.Polygon([]float64{10, 10, 20, 10, 20, 20, 10, 20}, fill("#000000", 0.5), plot.Stroke{})
			}, 50},
			{"clipped", func(p *Painter) {
				p.Clip(0, 0, 20, 20)
				p.Polygon([]float64{10, 10, 40, 10, 40, 40, 10, 40}, black, plot.Stroke{})
				p.Unclip()
			}, 100},
		} {
			p := NewPainter(50, 50, density)
			c.draw(p)
			// 3 %: what pixels at an edge know of it; dashes and ends at 1 pixel to 1.
			if got := covered(p); math.Abs(got-c.want) > 0.03*c.want {
				t.Errorf("%s at density %g covers %.2f, want %.2f", c.name, density, got, c.want)
			}
		}
	}
}

func TestPainterFile(t *testing.T) {
	p := NewPainter(30.5, 20, 2)
	p.Polygon([]float64{0, 0, 30.5, 0, 30.5, 20, 0, 20}, fill("#fcfbf7", 1), plot.Stroke{})
	p.Circle(10, 10, 5, fill("#2a4fa8", 1), plot.Stroke{})
	file := p.Bytes()
	img, err := png.Decode(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	if b := img.Bounds(); b.Dx() != 61 || b.Dy() != 40 {
		t.Errorf("%v", b)
	}
	if got, want := color.RGBAModel.Convert(img.At(20, 20)), (color.RGBA{0x2a, 0x4f, 0xa8, 255}); got != want {
		t.Errorf("the middle of the disc is %v", got)
	}
	// 192 dots to the inch are 7559 to the metre.
	want := []byte{0, 0, 0x1d, 0x87, 0, 0, 0x1d, 0x87, 1}
	if i := bytes.Index(file, []byte("pHYs")); i < 0 || !bytes.Equal(file[i+4:i+13], want) {
		t.Error("the file does not say its resolution")
	}
}

// TestPainterWidths: lines of text end where the painter says.
func TestPainterWidths(t *testing.T) {
	for _, text := range []string{"0.25", "θ′", "residual", "Wm"} {
		style := plot.TextStyle{Size: 20, Color: "#000000", Alpha: 1}
		p := NewPainter(150, 40, 2)
		w := p.TextWidth(text, style)
		p.Text(140, 30, text, plot.TextStyle{Size: 20, Color: "#000000", Alpha: 1, Align: plot.End})
		first, last := 1000, 0
		for y := range p.image.Rect.Dy() {
			for x := range p.image.Rect.Dx() {
				if p.image.RGBAAt(x, y).A > 100 {
					first, last = min(first, x), max(last, x)
				}
			}
		}
		if l := float64(first) / 2; l < 140-w-1 || l > 140-w+5 {
			t.Errorf("%s begins at %g, want %g", text, l, 140-w)
		}
		if r := float64(last) / 2; r > 141 || r < 135 {
			t.Errorf("%s ends at %g, want 140", text, r)
		}
	}
}

// TestPainterEdges holds single pixels at the edges of lines and discs to the part of them that is covered.
func TestPainterEdges(t *testing.T) {
	alpha := func(p *Painter, x, y int) float64 { return float64(p.image.RGBAAt(x, y).A) / 255 }
	p := NewPainter(50, 50, 1)
	p.Line(20.25, 5, 20.25, 45, line(2)) // from 19.25 to 21.25
	for x, want := range map[int]float64{18: 0, 19: 0.75, 20: 1, 21: 0.25, 22: 0} {
		if got := alpha(p, x, 25); math.Abs(got-want) > 0.005 {
			t.Errorf("column %d of the line is covered by %.3f, want %.2f", x, got, want)
		}
	}
	p = NewPainter(50, 50, 1)
	p.Line(5.25, 30.5, 40.75, 30.5, line(1)) // its ends are flat
	for x, want := range map[int]float64{4: 0, 5: 0.75, 6: 1, 39: 1, 40: 0.75, 41: 0} {
		if got := alpha(p, x, 30); math.Abs(got-want) > 0.005 {
			t.Errorf("column %d at the end of the line is covered by %.3f, want %.2f", x, got, want)
		}
	}
	p = NewPainter(50, 50, 1)
	p.Circle(25.5, 25.5, 10.25, fill("#000000", 1), plot.Stroke{}) // from 15.25 to 35.75 on the middle line
	for x, want := range map[int]float64{14: 0, 15: 0.75, 16: 1, 34: 1, 35: 0.75, 36: 0} {
		if got := alpha(p, x, 25); math.Abs(got-want) > 0.02 {
			t.Errorf("column %d of the disc is covered by %.3f, want %.2f", x, got, want)
		}
	}
}
