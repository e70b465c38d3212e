package plot_test

import (
	"fmt"
	"math"

	"nodespan/expr/plot"
)

// The temperature along the fin on a hut's stove-pipe, sampled, laid out for a phone and read at one place.
func Example() {
	fin := func(x float64, out []float64) { out[0] = math.Cosh(2*(1-x)) / math.Cosh(2) }
	x, y := plot.Sample(fin, 1, 0, 1, plot.Sampling{Width: 360, Height: 200})
	fig := &plot.Figure{Variable: "x", A: 0, B: 1,
		Series: []plot.Series{{Name: "theta", Line: plot.Curve{X: x, Y: y[0]}}}}
	view := plot.NewView(0, 1)

	l := plot.NewLayout(fig, view, plot.Options{Width: 360, Palette: plot.Light}, plot.NewSVG(0, 0, ""))
	file := plot.NewSVG(l.Width, l.Height, plot.Describe(fig, view))
	l.Draw(file)

	fmt.Println(plot.Describe(fig, view))
	fmt.Printf("at 0.5: %.2f\n", l.Read(0.5).Values[0].Y)
	fmt.Println("a file:", len(file.Bytes()) > 1000)
	// Output:
	// θ against x from 0 to 1: starts at 1 and falls to 0.2658.
	// at 0.5: 0.41
	// a file: true
}
