package plot

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
)

// halving is a ladder as differences of order 2 have it, beside one that falls to rounding.
func halving() *Ladder {
	l := &Ladder{Tol: 1e-8, From: 3, To: 203}
	for i, fall := range []func(n float64) float64{
		func(n float64) float64 { return math.Max(math.Pow(10, -n), 1e-15) },
		func(n float64) float64 { return 1 / (n * n) },
	} {
		s := LadderSeries{Label: "method", Note: "order 2.0", Rank: i, FirstMet: -1, PlateauFrom: -1, WiggleFrom: -1}
		for n := 3.0; n < 200; n *= 1.3 {
			e := fall(n)
			s.Points.X, s.Points.Y = append(s.Points.X, n), append(s.Points.Y, e)
			s.Names = append(s.Names, "nodes")
			if s.FirstMet < 0 && e <= l.Tol {
				s.FirstMet = len(s.Names) - 1
			}
		}
		l.Series = append(l.Series, s)
	}
	l.Series[0].PlateauFrom, l.Series[0].Plateau = l.Series[0].FirstMet+3, 1e-15
	l.Series[1].Points.Y[2] = math.NaN() // no solution there
	return l
}

func TestLadderPlaces(t *testing.T) {
	for _, width := range []float64{280, 560, 900} {
		for _, o := range []Options{{Width: width}, {Width: width, Palette: Dark},
			{Width: width, Palette: Print, FontSize: 14}} {
			svg := NewSVG(width, 400, "")
			k := NewLadderLayout(halving(), o, svg)
			k.Draw(svg)
			k.DrawMarks(svg, &Step{0, 2}, &Step{1, 4})
			d := xml.NewDecoder(bytes.NewReader(svg.Bytes()))
			for {
				if _, err := d.Token(); err == io.EOF {
					break
				} else if err != nil {
					t.Fatalf("width %g: %v", width, err)
				}
			}
			if s := string(svg.Bytes()); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") ||
				!strings.Contains(s, "asked for") || !strings.Contains(s, "rounding") {
				t.Errorf("width %g: a number that is none, or a label that lacks", width)
			}
			// On logarithmic axes equal factors are equal lengths: order 2 is a straight line, down to where errors
			// end.
			pts := halving().Series[1].Points
			x0, y0, _ := k.place(Step{1, 3})
			x1, y1, _ := k.place(Step{1, 9})
			slope := (y1 - y0) / (x1 - x0)
			for i := 4; i < 9; i++ {
				x, y, ok := k.place(Step{1, i})
				if !ok || math.Abs(y-y0-slope*(x-x0)) > 1e-6 || x < k.l.Left || x > k.l.Right || y < k.top ||
					y > k.bottom {
					t.Errorf("width %g: rung %d of %d is at %g, %g", width, i, len(pts.X), x, y)
				}
			}
			if _, _, ok := k.place(Step{1, 2}); ok {
				t.Error("a rung without a solution has a place")
			}
		}
	}
}

func TestLadderNearest(t *testing.T) {
	k := NewLadderLayout(halving(), Options{Width: 600}, NewSVG(600, 400, ""))
	for i := range k.ladder.Series[1].Points.X {
		x, y, ok := k.place(Step{1, i})
		if !ok || i == 0 { // the first rungs of both lie close to each other
			continue
		}
		got, found := k.Nearest(x+1, y-1, 10)
		if gx, gy, _ := k.place(got); !found || math.Hypot(gx-x, gy-y) > 6 {
			t.Errorf("near rung %d: %+v, %v", i, got, found)
		}
	}
	if _, found := k.Nearest(k.l.Right, k.top, 20); found {
		t.Error("a rung where there is none")
	}
}

// Labels of counts do not touch, and are 1, 2 or 5 times a power of ten.
func TestCountTicks(t *testing.T) {
	svg := NewSVG(600, 400, "")
	for _, width := range []float64{90, 200, 600} {
		a := axis{lo: math.Log10(3), hi: math.Log10(420), p0: 0, p1: width, log: true}
		a.setCountTicks(svg, 12)
		if len(a.major) < 2 {
			t.Errorf("width %g: %d labels", width, len(a.major))
		}
		places := slices.Clone(a.minor)
		for _, k := range a.major {
			places = append(places, k.at)
		}
		for _, at := range places {
			if at < a.lo || at > a.hi {
				t.Errorf("width %g: a tick at %g, beyond the ends", width, at)
			}
		}
		end := math.Inf(-1)
		for _, k := range a.major {
			if x := a.px(k.at); x-k.width/2 <= end {
				t.Errorf("width %g: labels touch at %s", width, k.label[0].text)
			} else {
				end = x + k.width/2
			}
			if c := k.label[0].text[0]; c != '1' && c != '2' && c != '5' ||
				strings.Trim(k.label[0].text[1:], "0") != "" {
				t.Errorf("label %s", k.label[0].text)
			}
		}
	}
}

// strokes is a painter that keeps the lines and the markers it is given.
type strokes struct {
	recorder
	lines []struct {
		xy []float64
		s  Stroke
	}
	marks [][2]float64
}

func (p *strokes) Polyline(xy []float64, s Stroke) {
	p.lines = append(p.lines, struct {
		xy []float64
		s  Stroke
	}{append([]float64(nil), xy...), s})
}
func (p *strokes) Polygon(xy []float64, f Fill, s Stroke) {
	p.marks = append(p.marks, [2]float64{xy[0], xy[1]})
}
func (p *strokes) Circle(x, y, r float64, f Fill, s Stroke) {
	p.marks = append(p.marks, [2]float64{x, y})
}

// A law that was found in the errors lies as a pale band along its points; the line of the errors has a gap at a rung
// without a solution; markers of the same series keep apart.
func TestLadderLines(t *testing.T) {
	l := halving()
	l.Series = l.Series[1:]
	l.Series[0].Fit = Curve{X: []float64{5, 50}, Y: []float64{1. / 25, 1. / 2500}}
	p := &strokes{recorder: recorder{t: t, scale: 1}}
	k := NewLadderLayout(l, Options{Width: 560}, p)
	k.Draw(p)
	bands, parts, points := 0, 0, 0
	for _, line := range p.lines {
		switch {
		case line.s.Width == 7:
			bands++
			if line.s.Alpha > 0.3 || len(line.xy) != 4 || line.xy[0] != k.px(5) || line.xy[3] != k.py(1./2500) {
				t.Errorf("the band %v, %v", line.xy, line.s)
			}
		case line.s.Width == 1.5:
			parts++
			points += len(line.xy) / 2
		}
	}
	if n := len(l.Series[0].Points.X); bands != 1 || parts != 2 || points != n-1 {
		t.Errorf("%d bands; %d points in %d parts, want %d in 2", bands, points, parts, n-1)
	}
	near := 0
	for i := 1; i < len(p.marks); i++ {
		if math.Hypot(p.marks[i][0]-p.marks[i-1][0], p.marks[i][1]-p.marks[i-1][1]) < apart-1 {
			near++
		}
	}
	if len(p.marks) < 5 || near > 0 {
		t.Errorf("%d markers, %d of them too near to the one before", len(p.marks), near)
	}
}

// lettered is a painter for which words alone count.
type lettered struct{ recorder }

func (p *lettered) Line(x0, y0, x1, y1 float64, s Stroke) {}

// The words on a ladder stand inside its frame and do not cover one another, whichever rungs they belong to.
func TestLadderWordsApart(t *testing.T) {
	for met := range 8 {
		for plateau := range 8 {
			l := halving()
			s := &l.Series[0]
			s.FirstMet, s.PlateauFrom, s.WiggleFrom = met, plateau, met
			p := &lettered{recorder{t: t, what: "ladder", scale: 1, width: 320, height: 600}}
			k := NewLadderLayout(l, Options{Width: 320}, p)
			k.Draw(p)
			var words []box
			for _, b := range p.texts {
				switch b.text {
				case "asked for", "nodes", "wiggles", "rounding":
					words = append(words, b)
				}
			}
			if len(words) < 4 {
				t.Fatalf("only %v", words)
			}
			for i, a := range words {
				if a.x0 < k.l.Left || a.x1 > k.l.Right+0.5 {
					t.Errorf("first met at rung %d, plateau from %d: %v leaves the frame", met, plateau, a)
				}
				for _, b := range words[:i] {
					if a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 {
						t.Errorf("first met at rung %d, plateau from %d: %v covers %v", met, plateau, a, b)
					}
				}
			}
		}
	}
}
