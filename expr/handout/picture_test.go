package handout

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"nodespan/expr/plot"
)

// tally is a painter that counts what it is given, on the ground of the LaTeX picture, so that both lay the figure out
// alike.
type tally struct {
	latexPicture
	texts   []string
	circles [][3]float64
	lengths map[string]float64 // of lines, by colour
}

func (p *tally) Text(x, y float64, text string, _ plot.TextStyle) { p.texts = append(p.texts, text) }
func (p *tally) Circle(x, y, r float64, _ plot.Fill, _ plot.Stroke) {
	p.circles = append(p.circles, [3]float64{x, y, r})
}
func (p *tally) Polygon(xy []float64, f plot.Fill, s plot.Stroke) {}
func (p *tally) Line(x0, y0, x1, y1 float64, s plot.Stroke) {
	p.Polyline([]float64{x0, y0, x1, y1}, s)
}
func (p *tally) Polyline(xy []float64, s plot.Stroke) {
	parts := [][]float64{xy}
	if len(s.Dash) > 0 {
		parts = plot.Dashes(xy, s.Dash)
	}
	for _, part := range parts {
		for _, piece := range p.clipped(part) {
			for i := 0; i+3 < len(piece); i += 2 {
				p.lengths[rgb(s.Color)] += math.Hypot(piece[i+2]-piece[i], piece[i+3]-piece[i+1])
			}
		}
	}
}

// TestPicture counts what a picture in LaTeX holds against what the figure draws: every label, every marker in its
// place, and the length of its curves, colour by colour.
func TestPicture(t *testing.T) {
	var x, y, z []float64
	for i := range 101 {
		s := float64(i) / 100
		x, y, z = append(x, s), append(y, math.Sin(5*s)), append(z, math.Exp(-3*s))
	}
	nodes := plot.Curve{X: []float64{0, 0.3, 0.7, 1}, Y: []float64{0, math.Sin(1.5), math.Sin(3.5), math.Sin(5)}}
	fig := &plot.Figure{Variable: "x", A: 0, B: 1, Series: []plot.Series{
		{Name: "u", Line: plot.Curve{X: x, Y: y}, Nodes: nodes},
		{Name: "v", Line: plot.Curve{X: x, Y: z}},
	}}
	view := plot.NewView(0, 1)
	l := plot.NewLayout(fig, view, plot.Options{Width: 640, Palette: plot.Print}, &latexPicture{})
	tex := &latexPicture{height: l.Height}
	l.Draw(tex)
	want := &tally{lengths: map[string]float64{}}
	l.Draw(want)
	source := tex.b.String()

	if n := strings.Count(source, "\\makebox(0,0)"); n != len(want.texts) || n < 10 {
		t.Errorf("%d labels, want %d", n, len(want.texts))
	}
	for _, label := range want.texts {
		if r := []rune(label); len(r) > 1 && !strings.Contains(source, latexText(label)) {
			t.Errorf("the label %q is not there", label)
		}
	}
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	discs := regexp.MustCompile(`\\put\(([-\d.]+),([-\d.]+)\)\{\\circle\*\{([\d.]+)\}\}`).FindAllStringSubmatch(source,
		-1)
	if len(discs) != len(want.circles) || len(discs) < 4 {
		t.Fatalf("%d markers, want %d", len(discs), len(want.circles))
	}
	for i, c := range want.circles {
		d := discs[i]
		if math.Abs(number(d[1])-c[0]) > 0.01 || math.Abs(number(d[2])-(l.Height-c[1])) > 0.01 ||
			math.Abs(number(d[3])-2*c[2]) > 0.02 {
			t.Errorf("marker %d is %v, want %v", i, d[1:], c)
		}
	}
	// Lines: their length under each colour; outlines of circles and polygons come on top, so that it is a lower bound,
	// and nearly met.
	lengths := map[string]float64{}
	color := ""
	for _, line := range strings.Split(source, "\n") {
		if m := regexp.MustCompile(`^\\color\[rgb\]\{([^}]*)\}`).FindStringSubmatch(line); m != nil {
			color = m[1]
		}
		if m := regexp.MustCompile(`\\line\([01],[01]\)\{([\d.]+)\}`).FindStringSubmatch(line); m != nil {
			lengths[color] += number(m[1])
		}
		bezier := regexp.MustCompile(`^\\qbezier\[\d+\]\(([-\d.]+),([-\d.]+)\)\([^)]*\)\(([-\d.]+),([-\d.]+)\)`)
		if m := bezier.FindStringSubmatch(line); m != nil {
			lengths[color] += math.Hypot(number(m[3])-number(m[1]), number(m[4])-number(m[2]))
		}
	}
	for c, length := range want.lengths {
		if got := lengths[c]; got < 0.98*length {
			t.Errorf("lines of colour %s are %.1f long, want %.1f", c, got, length)
		}
	}
}

// TestCircle: eight curves are a circle: their ends lie on it, and each middle point where the tangents at its ends
// meet.
func TestCircle(t *testing.T) {
	p := &latexPicture{height: 100}
	p.Circle(30, 40, 8, plot.Fill{}, plot.Stroke{Color: "#000000", Width: 1})
	point := `\(([-0-9.]+),([-0-9.]+)\)`
	all := regexp.MustCompile(`\\qbezier`+point+point+point).FindAllStringSubmatch(p.b.String(), -1)
	if len(all) != 8 {
		t.Fatalf("%d curves in %s", len(all), p.b.String())
	}
	var v [8][6]float64
	for k, m := range all {
		for i := range v[k] {
			v[k][i], _ = strconv.ParseFloat(m[i+1], 64)
		}
	}
	// The centre is the middle of opposite ends.
	x, y := (v[0][0]+v[4][0])/2, (v[0][1]+v[4][1])/2
	r := math.Hypot(v[0][0]-x, v[0][1]-y)
	for k, c := range v {
		next := v[(k+1)%8]
		for i, want := range []float64{r, r / math.Cos(math.Pi/8), r} {
			if d := math.Hypot(c[2*i]-x, c[2*i+1]-y); math.Abs(d-want) > 0.01*r {
				t.Errorf("curve %d: point %d is %g from the centre, want %g", k, i, d, want)
			}
		}
		if math.Hypot(c[4]-next[0], c[5]-next[1]) > 0.01*r {
			t.Errorf("curve %d ends at (%g, %g), and the next begins at (%g, %g)", k, c[4], c[5], next[0], next[1])
		}
	}
}
