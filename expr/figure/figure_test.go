package figure

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"nodespan/expr/plot"
	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
	"nodespan/solver/ladder"
	"nodespan/testdata/demos"
)

// TestFiles draws the demonstrations and some problems of other kinds.
func TestFiles(t *testing.T) {
	texts := []string{
		"u'' = v; v'' = u; u(0) = 0; u(1) = 1; v(0) = -1; v(1) = 0.5",
		"d/dr(r dT_s/dr)/r + lambda T_s = 0; T_s'(0) = 0; T_s(1) = 0; lambda = ?",
		"y'' = y; y(0) = 1; y(inf) = 0",
	}
	for _, d := range demos.All() {
		texts = append(texts, d.Sheet)
	}
	for _, text := range texts {
		sh, s := sheettest.Solved(t, text, solver.Options{})
		for _, o := range []Options{{Width: 400, Density: 1}, {Width: 400, Density: 1, Title: "Fin <θ> & Übung",
			Derivatives: true, NoResidual: true}} {
			fig := New(sh, s, o)
			svg := SVG(fig, o)
			for d := xml.NewDecoder(bytes.NewReader(svg)); ; {
				if _, err := d.Token(); errors.Is(err, io.EOF) {
					break
				} else if err != nil {
					t.Fatalf("%s: %v", text, err)
				}
			}
			if strings.Contains(string(svg), "Fin &lt;θ&gt; &amp; Übung</text>") != (o.Title != "") {
				t.Errorf("%s: the title is not what was asked for", text)
			}
			if again := SVG(New(sh, s, o), o); !bytes.Equal(again, svg) {
				t.Errorf("%s: drawn twice it is not the same", text)
			}
		}
	}
}

// TestLadder draws a ladder.
func TestLadder(t *testing.T) {
	sh, _ := sheettest.Solved(t, "y'' = -9 y + x; y(0) = 0; y(1) = 1", solver.Options{})
	l := ladder.Climb(sh.Problem(), ladder.Options{MostNodes: 12})
	d := NewLadder(l)
	if d == nil || len(d.Series) != len(l.Series) || !(d.From < d.To) {
		t.Fatal("no picture of the ladder")
	}
	for i, s := range d.Series {
		if len(s.Points.X) != len(l.Series[i].Rungs) || s.Label == "" {
			t.Errorf("series %d has %d points", i, len(s.Points.X))
		}
	}
	svg := string(LadderSVG(d, l.Sentence, Options{Title: "Nodes"}))
	if !strings.Contains(svg, "Legendre") || !strings.Contains(svg, "<title>Nodes. ") {
		t.Error("the ladder is not drawn with its names and its title")
	}
	if NewLadder(&ladder.Ladder{}) != nil {
		t.Error("a picture of nothing")
	}
}

func TestRefused(t *testing.T) {
	sh, s := sheettest.Solved(t, "y'' = 6 x; y(0) = 0; y(1) = 1; exact y = x^3", solver.Options{})
	fig := New(sh, s, Options{})
	for _, o := range []Options{{Width: 3}, {Density: 9}, {Title: "a\nb"}} {
		if o.Check() == nil {
			t.Errorf("%+v", o)
		}
	}
	if len(fig.Series) != 1 || len(fig.Series[0].Exact.X) == 0 || len(fig.Series[0].Nodes.X) < 3 {
		t.Errorf("%d series", len(fig.Series))
	}
	for i, x := range fig.Series[0].Line.X {
		if d := fig.Series[0].Line.Y[i] - x*x*x; d > 1e-9 || d < -1e-9 {
			t.Fatalf("at %g off by %g", x, d)
		}
	}
}

// Of layers each curve ends with its own interval; of derivatives no exact solution is drawn, nor where the sheet has
// none.
func TestOwnIntervals(t *testing.T) {
	sh, s := sheettest.Solved(t, "A'' = 0, B'' = 0, A(0) = 1, B(2) = 0, A(1) = B(1), A'(1) = 3B'(1)", solver.Options{})
	fig := New(sh, s, Options{})
	for i, own := range [][2]float64{{0, 1}, {1, 2}} {
		line := fig.Series[i].Line
		for k, x := range line.X {
			if outside := x < own[0] || x > own[1]; math.IsNaN(line.Y[k]) != outside {
				t.Errorf("%s(%g) is %g", fig.Series[i].Name, x, line.Y[k])
			}
		}
		if fig.Series[i].Exact.X != nil {
			t.Errorf("%s has an exact solution", fig.Series[i].Name)
		}
	}
	sh, s = sheettest.Solved(t, "u' = v; v' = -u; u(0) = 0; v(0) = 1; 0 < x < 2; exact v = cos(x)", solver.Options{})
	if fig = New(sh, s, Options{Derivatives: true}); fig.Series[0].Exact.X != nil || fig.Series[1].Exact.X == nil {
		t.Error("the exact solution is that of v")
	}
	sh, s = sheettest.Solved(t, "y'' = 6 x; y(0) = 0; y(1) = 1; exact y = x^3", solver.Options{})
	if fig = New(sh, s, Options{Derivatives: true}); len(fig.Series) != 2 || fig.Series[0].Exact.X == nil ||
		fig.Series[1].Exact.X != nil {
		t.Error("the exact solution is that of y")
	}
}

// A title stands above the figure, in smaller letters where it is long, and takes room only where there is one.
func TestTitle(t *testing.T) {
	sh, s := sheettest.Solved(t, "y'' = 6 x; y(0) = 0; y(1) = 1", solver.Options{})
	m := plot.NewSVG(0, 0, "")
	o := Options{Width: 400}
	plain := Draw(New(sh, s, o), o, m)
	for _, title := range []string{"A fin", strings.Repeat("A fin that is long ", 5)} {
		o.Title = title
		titled := Draw(New(sh, s, o), o, m)
		if titled.Width != 400 || titled.Height != plain.Height+34 || titled.Density != 2 {
			t.Errorf("%+v, without a title %+v", titled, plain)
		}
		style := plot.TextStyle{Size: 17, Family: plot.Serif, Alpha: 1}
		size := 17 * math.Min(1, 384/m.TextWidth(title, style))
		svg := string(SVG(New(sh, s, o), o))
		before, _, found := strings.Cut(svg, strings.TrimSpace(title)+"</text>")
		if !found {
			before, _, _ = strings.Cut(svg, title+"</text>")
		}
		tag := before[strings.LastIndex(before, "<text"):]
		if want := fmt.Sprintf("font-size=\"%.4g", size); !strings.Contains(tag, want[:len(want)-1]) ||
			!strings.Contains(tag, `x="8" y="23.8"`) {
			t.Errorf("%s: want %s", tag, want)
		}
		if strings.Count(svg, "<text") < 4 || !strings.Contains(svg, "<path") && !strings.Contains(svg, "<polyline") {
			t.Error("there is no figure below the title")
		}
	}
}

func TestInline(t *testing.T) {
	sh, s := sheettest.Solved(t, "y'' = 6 x; y(0) = 0; y(1) = 1", solver.Options{})
	svg := SVG(New(sh, s, Options{}), Options{})
	a := string(Inline(svg, "a"))
	if !strings.Contains(a, `id="ac1"`) || !strings.Contains(a, "url(#ac1)") || strings.Contains(a, `"c1"`) ||
		strings.Contains(a, "#c1") {
		t.Error("ids are not told apart")
	}
	var _ plot.Painter = lowered{}
}

// TestCurves holds every point of a figure's curves to the solution in closed form: cos x and sin x solve the system,
// and the sheet says so of one of them wrongly on purpose, so that a curve that stands in the place of another is seen.
func TestCurves(t *testing.T) {
	sh, s := sheettest.Solved(t, "u' = v; v' = -u; u(0) = 0; v(0) = 1; 0 < x < 2; exact u = sin(x) + 0.01; exact v = "+
		"cos(x) - 0.02", solver.Options{})
	fig := New(sh, s, Options{Width: 400, Density: 1})
	if len(fig.Series) != 2 || fig.A != 0 || fig.B != 2 {
		t.Fatalf("%d series from %g to %g", len(fig.Series), fig.A, fig.B)
	}
	hold := func(what string, c plot.Curve, f func(float64) float64) {
		t.Helper()
		if len(c.X) < 5 || len(c.X) != len(c.Y) || c.X[0] != 0 || c.X[len(c.X)-1] != 2 {
			t.Errorf("%s: %d points", what, len(c.X))
		}
		for i, x := range c.X {
			if d := math.Abs(c.Y[i] - f(x)); !(d < 1e-7) { // the tolerance is 1e-8
				t.Errorf("%s: %g at %g is off by %g", what, c.Y[i], x, d)
				return
			}
		}
	}
	hold("u", fig.Series[0].Line, math.Sin)
	hold("v", fig.Series[1].Line, math.Cos)
	hold("nodes of u", fig.Series[0].Nodes, math.Sin)
	hold("nodes of v", fig.Series[1].Nodes, math.Cos)
	hold("exact u", fig.Series[0].Exact, func(x float64) float64 { return math.Sin(x) + 0.01 })
	hold("exact v", fig.Series[1].Exact, func(x float64) float64 { return math.Cos(x) - 0.02 })
	for i, r := range fig.Residual.Line.Y {
		if !(r < 1e-5) {
			t.Errorf("residual %g at %g", r, fig.Residual.Line.X[i])
			break
		}
	}
}

// A denser picture has more points: its curves are to be smooth to its own dots.
func TestDensity(t *testing.T) {
	sh, s := sheettest.Solved(t, "y'' = -900 y; y(0) = 0; y(1) = 1", solver.Options{})
	few := len(New(sh, s, Options{Width: 400, Density: 0.5}).Series[0].Line.X)
	many := len(New(sh, s, Options{Width: 400, Density: 8}).Series[0].Line.X)
	if many < 2*few {
		t.Errorf("%d points at half a dot to a pixel, %d at eight", few, many)
	}
}
