package handout

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"nodespan/expr/plot"
)

// pictureUnit is the length in millimetres of a CSS pixel in a LaTeX picture: the figure is 100 mm wide, so that a node
// table of three columns stands beside it, and its letters are of 7 points.
const pictureUnit = 0.2

// latexPicture is a painter that writes the body of a LaTeX picture environment. Upright and level lines are lines;
// others are quadratic curves (qbezier), which run at any slope; fillings are left out but for rectangles of a colour
// and discs. Text is LaTeX's own.
type latexPicture struct {
	height float64
	b      strings.Builder
	clip   *[4]float64 // left, top, right, bottom
	color  string
}

var _ plot.Painter = (*latexPicture)(nil)

// Scale is that of paper: rules are not moved to pixels of their own.
func (p *latexPicture) Scale() float64 { return 4 }

func coordinate(v float64) string {
	return strconv.FormatFloat(math.Round(v*100)/100+0, 'f', -1, 64)
}

func (p *latexPicture) at(x, y float64) string {
	return "(" + coordinate(x) + "," + coordinate(p.height-y) + ")"
}

// use sets the colour and the width of lines.
func (p *latexPicture) use(color string, width float64) {
	if color == "" {
		return
	}
	set := fmt.Sprintf("\\color[rgb]{%s}\\linethickness{%.2fpt}%%\n", rgb(color),
		math.Max(width*pictureUnit*72.27/25.4, 0.25))
	if set != p.color {
		p.b.WriteString(set)
		p.color = set
	}
}

// rgb turns #rrggbb into numbers from 0 to 1.
func rgb(color string) string {
	r, g, b := plot.RGB(color)
	return fmt.Sprintf("%.3f,%.3f,%.3f", float64(r)/255, float64(g)/255, float64(b)/255)
}

func (p *latexPicture) Line(x0, y0, x1, y1 float64, s plot.Stroke) {
	p.Polyline([]float64{x0, y0, x1, y1}, s)
}

func (p *latexPicture) Polyline(xy []float64, s plot.Stroke) {
	if s.Color == "" || len(xy) < 4 {
		return
	}
	p.use(s.Color, s.Width)
	parts := [][]float64{xy}
	if len(s.Dash) > 0 {
		parts = plot.Dashes(xy, s.Dash)
	}
	for _, part := range parts {
		for _, piece := range p.clipped(part) {
			p.stretch(piece)
		}
	}
}

// stretch draws a line through points: straight pieces as they are, runs of short ones as curves.
func (p *latexPicture) stretch(xy []float64) {
	xy = simplified(xy)
	for i := 0; i+3 < len(xy); i += 2 {
		x0, y0, x1, y1 := xy[i], xy[i+1], xy[i+2], xy[i+3]
		dx, dy := math.Abs(x1-x0), math.Abs(y1-y0)
		switch {
		case dx < 0.005 && dy < 0.005:
		case dy < 0.005:
			p.b.WriteString("\\put" + p.at(math.Min(x0, x1), y0) + "{\\line(1,0){" + coordinate(dx) + "}}\n")
		case dx < 0.005:
			p.b.WriteString("\\put" + p.at(x0, math.Max(y0, y1)) + "{\\line(0,1){" + coordinate(dy) + "}}\n")
		default:
			// Dots a quarter of a pixel apart, which the width of a line makes one. Dashes have whole lengths, which
			// rounding must not add a dot to.
			dots := int(math.Hypot(dx, dy)/0.25+0.998) + 1
			p.b.WriteString("\\qbezier[" + strconv.Itoa(dots) + "]" + p.at(x0, y0) + p.at((x0+x1)/2, (y0+y1)/2) +
				p.at(x1, y1) + "\n")
		}
	}
}

// simplified leaves points out that lie on the line between their neighbours, to a twentieth of a pixel (U. Ramer,
// Computer Graphics and Image Processing 1, 1972, 244–256).
func simplified(xy []float64) []float64 {
	n := len(xy) / 2
	if n < 3 {
		return xy
	}
	keep := make([]bool, n)
	keep[0], keep[n-1] = true, true
	for stack := [][2]int{{0, n - 1}}; len(stack) > 0; {
		a, b := stack[len(stack)-1][0], stack[len(stack)-1][1]
		stack = stack[:len(stack)-1]
		x0, y0 := xy[2*a], xy[2*a+1]
		ux, uy := xy[2*b]-x0, xy[2*b+1]-y0
		length := math.Hypot(ux, uy)
		far, at := 0.05, -1
		for k := a + 1; k < b; k++ {
			vx, vy := xy[2*k]-x0, xy[2*k+1]-y0
			d := math.Hypot(vx, vy)
			if length > 0 {
				d = math.Abs(vx*uy-vy*ux) / length
			}
			if d > far {
				far, at = d, k
			}
		}
		if at >= 0 {
			keep[at] = true
			stack = append(stack, [2]int{a, at}, [2]int{at, b})
		}
	}
	var out []float64
	for k, yes := range keep {
		if yes {
			out = append(out, xy[2*k], xy[2*k+1])
		}
	}
	return out
}

// clipped returns the parts of a line within the rectangle of Clip.
func (p *latexPicture) clipped(xy []float64) [][]float64 {
	if p.clip == nil {
		return [][]float64{xy}
	}
	return plot.Clipped(xy, *p.clip)
}

func (p *latexPicture) Polygon(xy []float64, f plot.Fill, s plot.Stroke) {
	box, rectangle := rectangleOf(xy)
	if f.Color != "" && rectangle && f.Alpha == 1 && f.Color != plot.Print.Paper {
		p.use(f.Color, 1)
		p.b.WriteString(fmt.Sprintf("\\put%s{\\rule{%s\\unitlength}{%s\\unitlength}}\n", p.at(box[0], box[3]),
			coordinate(box[2]-box[0]), coordinate(box[3]-box[1])))
	}
	if s.Color != "" {
		p.Polyline(append(append([]float64(nil), xy...), xy[0], xy[1]), s)
	}
}

// rectangleOf returns left, top, right and bottom of a polygon that is a rectangle.
func rectangleOf(xy []float64) (box [4]float64, ok bool) {
	if len(xy) != 8 || xy[1] != xy[3] || xy[2] != xy[4] || xy[5] != xy[7] || xy[6] != xy[0] {
		return box, false
	}
	return [4]float64{math.Min(xy[0], xy[2]), math.Min(xy[1], xy[5]), math.Max(xy[0], xy[2]), math.Max(xy[1], xy[5])},
		true
}

func (p *latexPicture) Circle(x, y, r float64, f plot.Fill, s plot.Stroke) {
	if f.Color != "" {
		p.use(f.Color, 1)
		p.b.WriteString("\\put" + p.at(x, y) + "{\\circle*{" + coordinate(2*r) + "}}\n")
	}
	if s.Color == "" {
		return
	}
	p.use(s.Color, s.Width)
	// The circles of LaTeX's fonts come in few sizes and one width; eight curves are a circle to a three-hundredth of
	// its radius.
	const n = 8
	for k := range n {
		a, b := 2*math.Pi*float64(k)/n, 2*math.Pi*float64(k+1)/n
		m, out := (a+b)/2, r/math.Cos((b-a)/2)
		p.b.WriteString("\\qbezier" + p.at(x+r*math.Cos(a), y+r*math.Sin(a)) + p.at(x+out*math.Cos(m),
			y+out*math.Sin(m)) + p.at(x+r*math.Cos(b), y+r*math.Sin(b)) + "\n")
	}
}

func (p *latexPicture) Text(x, y float64, text string, t plot.TextStyle) {
	p.use(t.Color, 1)
	side := [...]string{plot.Start: "l", plot.Middle: "", plot.End: "r"}[t.Align]
	p.b.WriteString("\\put" + p.at(x, y) + "{\\makebox(0,0)[" + side + "b]{" + typeSize(t.Size) +
		"\\smash{" + lettered(text, t) + "}}}\n")
}

// typeSize is the nearest size of LaTeX's from 7 points, which are 7, 8, 9 and 10.
func typeSize(pixels float64) string {
	pt := pixels * pictureUnit * 72.27 / 25.4
	switch {
	case pt < 7.5:
		return "\\scriptsize"
	case pt < 8.5:
		return "\\footnotesize"
	case pt < 9.5:
		return "\\small"
	}
	return "\\normalsize"
}

// lettered sets a piece of a label: a symbol in mathematics, words and numbers as they are.
func lettered(text string, t plot.TextStyle) string {
	if t.Family == plot.Serif && t.Italic {
		r := []rune(strings.TrimRight(text, "′"))
		switch {
		case len(r) == 1 && latexGreek(r[0]) != "":
			return "$" + latexGreek(r[0]) + "$"
		case len(r) == 1 && unicode.IsLetter(r[0]) && r[0] < 0x80:
			return "$" + string(r) + "$"
		}
		return "\\textit{" + latexText(text) + "}"
	}
	return latexText(text)
}

// TextWidth is the width in Computer Modern, in which LaTeX sets text unless told otherwise (D. E. Knuth, Computer
// Modern Typefaces, 1986; rounded to a twentieth of the size and made an eighth wider, since a size of LaTeX's may be
// larger than the one asked for).
func (p *latexPicture) TextWidth(text string, t plot.TextStyle) float64 {
	w := 0.0
	for _, r := range text {
		switch {
		case strings.ContainsRune(".,:;'′ijlI ", r):
			w += 0.28
		case strings.ContainsRune("frst", r):
			w += 0.4
		case strings.ContainsRune("−+×=", r):
			w += 0.78
		case strings.ContainsRune("mMwW", r):
			w += 0.85
		case unicode.IsUpper(r):
			w += 0.7
		case r >= '0' && r <= '9':
			w += 0.5
		default:
			w += 0.53
		}
	}
	return 1.125 * w * t.Size
}

func (p *latexPicture) Clip(x, y, w, h float64) { p.clip = &[4]float64{x, y, x + w, y + h} }

func (p *latexPicture) Unclip() { p.clip = nil }
