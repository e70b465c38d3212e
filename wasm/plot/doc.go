// Package plot draws a figure: the solution of a boundary value problem against its variable, with the
// strip of the equation's residual below it.
//
// It turns numbers into lines, rings and words on a [Painter]. The page gives it a canvas; [SVG] is a
// second painter that writes a vector file. The steps are
//
//	x, y := plot.Sample(f, 1, a, b, plot.Sampling{Width: 900, Height: 400}) // points, as dense as the curve needs
//	fig := &plot.Figure{Variable: "x", A: a, B: b, Series: …}
//	l := plot.NewLayout(fig, plot.NewView(a, b), plot.Options{Width: 900, Palette: plot.Light}, painter)
//	l.Draw(painter)
//
// and, whenever the pointer moves, l.DrawOverlay over the cached picture. [Describe] says the same in words.
//
// The package does not know what a sheet, a solver, a document or a browser is. Lengths are CSS pixels
// with y downwards unless a comment says device pixels; a device pixel is 1/[Painter.Scale] CSS pixels.
package plot
