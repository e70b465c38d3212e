package plot

import (
	"flag"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
)

// figures writes every demonstration figure as SVG, to be looked at:
//
//	go test ./expr/plot -run Figures -figures /some/directory
var figures = flag.String("figures", "", "directory to write the demonstration figures to")

// demo is a figure that all property tests run over.
type demo struct {
	name string
	fig  *Figure
	view View
}

// legendre5 are the roots of the fifth Legendre polynomial on 0 … 1 with the ends (Abramowitz & Stegun, table 25.4).
var legendre5 = []float64{0, 0.0469100770, 0.2307653449, 0.5, 0.7692346551, 0.9530899230, 1}

// series samples f with nodes at the given places.
func series(name string, f func(float64) float64, a, b float64, nodes []float64) Series {
	x, y := Sample(func(x float64, out []float64) { out[0] = f(x) }, 1, a, b,
		Sampling{Width: 1000, Height: 400, Seeds: nodes})
	s := Series{Name: name, Line: Curve{x, y[0]}}
	for _, v := range nodes {
		s.Nodes.X = append(s.Nodes.X, v)
		s.Nodes.Y = append(s.Nodes.Y, f(v))
	}
	return s
}

func even(a, b float64, n int) []float64 {
	x := make([]float64, n+1)
	for i := range x {
		x[i] = a + (b-a)*float64(i)/float64(n)
	}
	return x
}

// demos are all figures, made once: drawing leaves them as they are.
var demos = sync.OnceValue(makeDemos)

// makeDemos sets its figures in and around a mountain hut: for teaching, not for design.
func makeDemos() []demo {
	var all []demo
	add := func(name string, fig *Figure) {
		all = append(all, demo{name, fig, NewView(fig.A, fig.B)})
	}
	scaled := func(nodes []float64, a, b float64) []float64 {
		x := make([]float64, len(nodes))
		for i, v := range nodes {
			x[i] = a + (b-a)*v
		}
		return x
	}

	// The stove-pipe fin: one unknown, exact solution, residual.
	fin := func(x float64) float64 { return math.Cosh(2.5*(1-x)) / math.Cosh(2.5) }
	s := series("theta", fin, 0, 1, legendre5)
	s.Exact = s.Line
	wiggle := func(x float64) float64 {
		r := 3e-4
		for _, n := range legendre5[1:6] {
			r *= (x - n) / 0.3
		}
		return r
	}
	add("fin", &Figure{Variable: "x", A: 0, B: 1, Series: []Series{s},
		Residual: &Residual{Line: SampleLog(wiggle, 0, 1, Sampling{Width: 1000, Height: 100, Seeds: legendre5})}})

	// Too few nodes: the exact solution parts from the curve.
	s = series("y", func(x float64) float64 { return 0.2 + 0.6*math.Sin(math.Pi*x) }, 0, 1, []float64{0, 0.5, 1})
	s.Exact = series("", func(x float64) float64 { return 0.2 + 0.6*math.Sin(math.Pi*x) + 0.3*math.Sin(4*math.Pi*x)*x },
		0, 1, nil).Line
	add("coarse", &Figure{Variable: "x", A: 0, B: 1, Series: []Series{s}})

	// The hut's wall: temperatures well above zero, own numbers, error band, on 0 … 0.4.
	wall := func(x float64) float64 { return 18 - 40*x - 90*x*(0.4-x)*math.Sin(9*x) }
	s = series("T_s", wall, 0, 0.4, scaled(legendre5, 0, 0.4))
	for _, x := range []float64{0.05, 0.12, 0.2, 0.31} {
		s.Own.X, s.Own.Y = append(s.Own.X, x), append(s.Own.Y, wall(x)+0.7)
	}
	for i, x := range s.Line.X {
		s.Band.X = append(s.Band.X, x)
		s.Band.Lo = append(s.Band.Lo, s.Line.Y[i]-3*x)
		s.Band.Hi = append(s.Band.Hi, s.Line.Y[i]+3*x)
	}
	add("wall", &Figure{Variable: "x", A: 0, B: 0.4, Series: []Series{s}})

	// The goods lift's cable and a floor joist: very small numbers, a derivative on request.
	joist := func(x float64) float64 { return -3.2e-6 * x * (4 - x) * (16 + 4*x - x*x) / 20 }
	add("joist", &Figure{Variable: "x", A: 0, B: 4, Series: []Series{
		series("v", joist, 0, 4, scaled(legendre5, 0, 4)),
		series("v'", func(x float64) float64 { return (joist(x+1e-4) - joist(x-1e-4)) / 2e-4 }, 0, 4, nil)},
		Residual: &Residual{Line: Curve{even(0, 4, 4), make([]float64, 5)}}})

	// A layer of width 1e-3 on many elements.
	var mesh []float64
	for i := 0; i <= 30; i++ {
		t := float64(i)/15 - 1
		mesh = append(mesh, 0.5*t*t*t*t*t)
	}
	layer := func(x float64) float64 { return math.Tanh(x / 1e-3) }
	add("layer", &Figure{Variable: "x", A: -0.5, B: 0.5, Mesh: mesh,
		Series: []Series{series("y", layer, -0.5, 0.5, mesh)},
		Residual: &Residual{Line: SampleLog(func(x float64) float64 {
			return 1e-7*math.Exp(-x*x*400)*math.Sin(300*x) +
				1e-12
		}, -0.5, 0.5, Sampling{Seeds: mesh})},
		Shades: [][2]float64{{-0.01, 0.01}}})

	// Five unknowns of one scale, and then of several.
	var five []Series
	for k, n := range []string{"u", "v", "w", "c_{max}", "lambda'"} {
		k := float64(k)
		five = append(five, series(n, func(x float64) float64 { return math.Sin(x+k) * math.Exp(-0.1*k*x) }, 0, 6,
			even(0, 6, 12)))
	}
	add("five", &Figure{Variable: "eta", A: 0, B: 6, Series: five})
	add("scales", &Figure{Variable: "t", A: 0, B: 6, Series: []Series{
		five[0], five[1],
		series("p", func(x float64) float64 { return 1e5 + 300*x*x }, 0, 6, even(0, 6, 8)),
		series("q", func(x float64) float64 { return 4e-9 * math.Cos(3*x) }, 0, 6, even(0, 6, 40))},
		Mesh: even(0, 6, 8), Residual: &Residual{Line: SampleLog(func(x float64) float64 {
			return 1e-9 *
				(1 + math.Sin(4*x))
		}, 0, 6, Sampling{})}})

	// Degenerate and hostile figures.
	constant := func(v float64) func(float64) float64 { return func(float64) float64 { return v } }
	add("zero", &Figure{Variable: "x", A: 0, B: 1, Series: []Series{series("y", constant(0), 0, 1, legendre5)}})
	add("constant", &Figure{Variable: "x", A: 0, B: 1, Series: []Series{series("T", constant(20), 0, 1, legendre5)}})
	add("rounding", &Figure{Variable: "x", A: 0, B: 1, Series: []Series{
		series("y", func(x float64) float64 { return 1 + 1e-15*math.Sin(1e5*x) }, 0, 1, legendre5)}})
	add("offset", &Figure{Variable: "x", A: 0, B: 1, Series: []Series{
		series("y", func(x float64) float64 { return 1.5 + 1e-9*x*x }, 0, 1, legendre5)}})
	add("pole", &Figure{Variable: "x", A: 0, B: 1, Series: []Series{series("y", func(x float64) float64 {
		if x > 0.4 && x < 0.6 {
			return math.NaN()
		}
		return 1 / (x - 0.5)
	}, 0, 1, even(0, 1, 10))}})
	add("nothing finite", &Figure{Variable: "x", A: 0, B: 1,
		Series:   []Series{series("y", constant(math.NaN()), 0, 1, legendre5)},
		Residual: &Residual{Line: Curve{[]float64{0, 1}, []float64{math.Inf(1), math.NaN()}}}})
	add("huge", &Figure{Variable: "x", A: -1e300, B: 1e300, Series: []Series{{Name: "y",
		Line: Curve{[]float64{-1e300, 0, 1e300}, []float64{-math.MaxFloat64, 1, math.MaxFloat64}}}}})
	add("tiny", &Figure{Variable: "x", A: 1, B: 1 + 1e-13, Series: []Series{{Name: "y",
		Line: Curve{[]float64{1, 1 + 1e-13}, []float64{5e-324, 1e-320}}}}})
	add("empty", &Figure{Variable: "x", A: 0, B: 1})
	add("many nodes", &Figure{Variable: "position_along_the_valley", A: 0, B: 12000, Mesh: even(0, 12000, 3000),
		Series: []Series{
			series("a_name_as_long_as_a_sentence", func(x float64) float64 { return 2000 + 300*math.Sin(x/900) }, 0,
				12000, even(0, 12000, 3000))},
		Residual: &Residual{Line: Curve{even(0, 12000, 20000), even(1e-9, 1e-3, 20000)}}})
	noise := Curve{X: even(0, 1, 30000)}
	for i := range noise.X {
		noise.Y = append(noise.Y, float64((i*7919)%1000))
	}
	add("dense", &Figure{Variable: "x", A: 0, B: 1, Series: []Series{{Name: "y", Line: noise}}})
	add("old", &Figure{Variable: "x", A: 0, B: 1, Series: all[0].fig.Series, Residual: all[0].fig.Residual,
		Dimmed: true})

	// Zoomed views of some.
	for _, z := range []struct {
		name string
		a, b float64
	}{{"fin", 0.31, 0.32}, {"layer", -0.002, 0.002}, {"layer", 1e-5, 1.2e-5}, {"many nodes", 5000, 5100},
		{"scales", 2, 2.00001}} {
		for _, d := range all {
			if d.name == z.name {
				all = append(all, demo{z.name + " " + strconv.FormatFloat(z.a, 'g', -1, 64), d.fig,
					d.view.ZoomTo(z.a, z.b)})
				break
			}
		}
	}
	return all
}

var palettes = map[string]Palette{"light": Light, "dark": Dark, "print": Print}

func TestFigures(t *testing.T) {
	if *figures == "" {
		t.Log("figures are drawn by the other tests too; give -figures to look at them")
	}
	for _, d := range demos() {
		for _, w := range []float64{320, 760, 1600} {
			for name, pal := range palettes {
				m := NewSVG(0, 0, "")
				l := NewLayout(d.fig, d.view, Options{Width: w, Palette: pal}, m)
				s := NewSVG(l.Width, l.Height, Describe(d.fig, d.view))
				l.Draw(s)
				if len(s.Bytes()) < 500 {
					t.Errorf("%s at %g px: only %d bytes drawn", d.name, w, len(s.Bytes()))
				}
				if *figures == "" {
					continue
				}
				r := l.Read(l.X(l.Left + 0.4*(l.Right-l.Left)))
				lit := 2
				l.DrawOverlay(s, Overlay{Reading: &r, Lit: &lit, Select: &[2]float64{l.X(l.Left + 0.6*w),
					l.X(l.Left + 0.7*w)}})
				path := filepath.Join(*figures, d.name+"-"+name+"-"+strconv.Itoa(int(w))+".svg")
				if err := os.WriteFile(path, s.Bytes(), 0o666); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
}
