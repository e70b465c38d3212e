// Package plot draws a figure: the solution of a boundary value problem against its variable, with the
// strip of the equation's residual below it.
//
// It turns numbers into lines, rings and words on a [Painter]. The page gives it a canvas; [SVG] is a
// second painter that writes a vector file. The steps are
//
//	Sample     points of the curves, as dense as they need to be
//	Figure     the numbers to be drawn
//	View       the visible part of the interval
//	NewLayout  every place and scale decided, for one size and one palette
//	Draw       the picture
//	Overlay    what changes when the pointer moves, over the cached picture
//
// as the package's example shows. [Describe] says in words what the picture shows. After a zoom the caller samples
// again: a line is only as fine as the view that it was sampled for.
//
// The package does not know what a sheet, a solver, a document or a browser is. Lengths are CSS pixels
// with y downwards unless a comment says device pixels; a device pixel is 1/[Painter.Scale] CSS pixels.
package plot
