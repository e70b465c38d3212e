package plot

import (
	"bytes"
	"image/color"
	"image/png"
	"math"
	"testing"
)

// ink is how much of the picture is covered by black, in CSS pixels squared.
func ink(p *PNG) float64 {
	sum := 0.0
	for i := 0; i < len(p.image.Pix); i += 4 {
		sum += float64(p.image.Pix[i+3]) / 255
	}
	return sum / (p.scale * p.scale)
}

// TestPNGCoversAreas holds what is covered to the areas of geometry, at several densities and off the pixels' edges.
func TestPNGCoversAreas(t *testing.T) {
	black := Fill{"#000000", 1}
	for _, density := range []float64{1, 1.5, 2, 4} {
		for _, c := range []struct {
			name string
			draw func(p *PNG)
			want float64
		}{
			{"rectangle", func(p *PNG) {
				p.Polygon([]float64{10.3, 10.7, 40.1, 10.7, 40.1, 25.2, 10.3, 25.2}, black,
					Stroke{})
			}, 29.8 * 14.5},
			{"triangle", func(p *PNG) { p.Polygon([]float64{5, 5, 45, 8, 20, 41}, black, Stroke{}) },
				math.Abs(40*36-15*3) / 2},
			{"disc", func(p *PNG) { p.Circle(25.2, 24.9, 15, black, Stroke{}) }, math.Pi * 225},
			{"ring", func(p *PNG) { p.Circle(25.2, 24.9, 15, Fill{}, Stroke{"#000000", 3, nil, 1}) },
				2 * math.Pi * 15 * 3},
			{"upright line", func(p *PNG) { p.Line(20.2, 5, 20.2, 45, Stroke{"#000000", 2, nil, 1}) }, 80},
			{"slanted line", func(p *PNG) { p.Line(5, 6, 41, 33, Stroke{"#000000", 2, nil, 1}) }, 2 * 45},
			// the corner is shared, and round
			{"bent line", func(p *PNG) { p.Polyline([]float64{5, 10, 25, 10, 25, 40}, Stroke{"#000000", 2, nil, 1}) },
				2*50 - 1 + math.Pi/4},
			{"dashes", func(p *PNG) { p.Line(5, 20, 45, 20, Stroke{"#000000", 2, []float64{6, 4}, 1}) }, 2 * 24},
			{"half there", func(p *PNG) {
				p.Polygon([]float64{10, 10, 20, 10, 20, 20, 10, 20}, Fill{"#000000", 0.5},
					Stroke{})
			}, 50},
			{"clipped", func(p *PNG) {
				p.Clip(0, 0, 20, 20)
				p.Polygon([]float64{10, 10, 40, 10, 40, 40, 10, 40}, black, Stroke{})
				p.Unclip()
			}, 100},
		} {
			p := NewPNG(50, 50, density)
			c.draw(p)
			// 3 %: what pixels at an edge know of it; dashes and ends at 1 pixel to 1.
			if got := ink(p); math.Abs(got-c.want) > 0.03*c.want {
				t.Errorf("%s at density %g covers %.2f, want %.2f", c.name, density, got, c.want)
			}
		}
	}
}

func TestPNGFile(t *testing.T) {
	p := NewPNG(30.5, 20, 2)
	p.Polygon([]float64{0, 0, 30.5, 0, 30.5, 20, 0, 20}, Fill{"#fcfbf7", 1}, Stroke{})
	p.Circle(10, 10, 5, Fill{"#2a4fa8", 1}, Stroke{})
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
	if i := bytes.Index(file, []byte("pHYs")); i < 0 || !bytes.Equal(file[i+4:i+13],
		[]byte{0, 0, 0x1d, 0x87, 0, 0, 0x1d, 0x87, 1}) {
		t.Error("the file does not say its resolution")
	}
}

// TestLettering: every glyph has its strokes within reason, and no two are drawn alike.
func TestLettering(t *testing.T) {
	all := glyphs()
	if len(all) < 200 {
		t.Fatalf("%d glyphs", len(all))
	}
	for r := '!'; r <= '~'; r++ {
		if len(all[r].strokes) == 0 {
			t.Errorf("%c is not drawn", r)
		}
	}
	for _, s := range greek {
		if r, ok := Lettered(s); !ok {
			t.Errorf("%c is not drawn", r)
		}
	}
	if r, ok := Lettered("10⁻³ x′ − Übung, 漢"); ok || r != '⁻' {
		t.Errorf("%c %v", r, ok) // raised numbers are set as runs of text
	}
	like := map[string]rune{"v": 'ν', "κ": 'k', "A": 'Α'}
	drawnAs := map[string]rune{}
	for r, g := range all {
		if g.advance < 0.1 || g.advance > 1 {
			t.Errorf("%c is %g wide", r, g.advance)
		}
		key := ""
		for _, s := range g.strokes {
			for i, v := range s {
				if i%2 == 0 && (v < -0.1 || v > g.advance+0.1) || i%2 == 1 && (v < -0.3 || v > 1) {
					t.Errorf("%c has a point %g outside its place", r, v)
				}
				key += string(rune(1000 + int(v*100)))
			}
		}
		if other, ok := drawnAs[key]; ok && key != "" && like[string(r)] != other && like[string(other)] != r {
			t.Errorf("%c and %c are drawn alike", r, other)
		}
		drawnAs[key] = r
	}
}

// TestPNGWidths: lines of text end where the painter says.
func TestPNGWidths(t *testing.T) {
	for _, text := range []string{"0.25", "θ′", "residual", "Wm"} {
		style := TextStyle{Size: 20, Color: "#000000", Alpha: 1}
		p := NewPNG(150, 40, 2)
		w := p.TextWidth(text, style)
		p.Text(140, 30, text, TextStyle{Size: 20, Color: "#000000", Alpha: 1, Align: End})
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

// TestPNGEdges holds single pixels at the edges of lines and discs to the part of them that is covered.
func TestPNGEdges(t *testing.T) {
	alpha := func(p *PNG, x, y int) float64 { return float64(p.image.RGBAAt(x, y).A) / 255 }
	p := NewPNG(50, 50, 1)
	p.Line(20.25, 5, 20.25, 45, Stroke{"#000000", 2, nil, 1}) // from 19.25 to 21.25
	for x, want := range map[int]float64{18: 0, 19: 0.75, 20: 1, 21: 0.25, 22: 0} {
		if got := alpha(p, x, 25); math.Abs(got-want) > 0.005 {
			t.Errorf("column %d of the line is covered by %.3f, want %.2f", x, got, want)
		}
	}
	p = NewPNG(50, 50, 1)
	p.Line(5.25, 30.5, 40.75, 30.5, Stroke{"#000000", 1, nil, 1}) // its ends are flat
	for x, want := range map[int]float64{4: 0, 5: 0.75, 6: 1, 39: 1, 40: 0.75, 41: 0} {
		if got := alpha(p, x, 30); math.Abs(got-want) > 0.005 {
			t.Errorf("column %d at the end of the line is covered by %.3f, want %.2f", x, got, want)
		}
	}
	p = NewPNG(50, 50, 1)
	p.Circle(25.5, 25.5, 10.25, Fill{"#000000", 1}, Stroke{}) // from 15.25 to 35.75 on the middle line
	for x, want := range map[int]float64{14: 0, 15: 0.75, 16: 1, 34: 1, 35: 0.75, 36: 0} {
		if got := alpha(p, x, 25); math.Abs(got-want) > 0.02 {
			t.Errorf("column %d of the disc is covered by %.3f, want %.2f", x, got, want)
		}
	}
	// A letter's upright stroke: as wide on paper as its type says, to a hundredth of a pixel, and nothing cut off
	// beside it.
	p = NewPNG(50, 50, 1)
	p.Text(20.3, 40, "I", TextStyle{Size: 30, Color: "#000000", Alpha: 1})
	width := 0.0
	for x := range 50 {
		width += alpha(p, x, 30)
	}
	if want := lettering * 30; math.Abs(width-want) > 0.02 {
		t.Errorf("the stroke of an I is %.3f wide, want %.3f", width, want)
	}
}
