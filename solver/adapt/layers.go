package adapt

import (
	"math"
	"slices"

	"nodespan/solver/bvp"
)

// This file places the elements of a first mesh in layers before they are seen: where the linearised equations, with
// their coefficients frozen, have solutions that fall by a large factor over an element, one may fall away from each
// end of the stretch on which they do.

const (
	// steepFall is the exponent of the fall over an element from which on the element gets a layer at its end. Common
	// practice, no source. Measured on eps y” − y' − y = 0, eps = 1e-6: 6 meshes of at most 23 elements, where halving
	// took 22 of up to 264.
	steepFall = 32
	// layerFall is that over the first element in a layer, which a polynomial of few nodes follows. The next ones are
	// twice as long as the one before.
	layerFall = 4
)

// layered returns the points of a first mesh with more of them where layers may be.
func (o *Options) layered(p *bvp.Problem, points []float64) []float64 {
	out := slices.Clone(points)
	var grows, falls float64 // rates on the part before, where they are steep
	var end float64          // of that part
	begins := true           // a stretch between breaks
	add := func(at, side, rate float64) { out = graduate(out, points, at, side, rate) }
	for _, t := range o.parts(p) {
		x0, x1, least, most := t.x0, t.x1, t.least, t.most
		begins = x0 == p.A || slices.Contains(p.Breaks, x0)
		e := findElement(points, x0+(x1-x0)/2)
		steep := steepFall / (points[e+1] - points[e])
		if grows > 0 && (begins || !(most > steep)) {
			add(end, -1, grows)
		}
		if grows, end = 0, x1; most > steep {
			grows = most
		}
		steeply := -least > steep
		if steeply && (begins || falls == 0) {
			add(x0, 1, -least)
		}
		if falls = 0; steeply {
			falls = -least
		}
	}
	if grows > 0 {
		add(end, -1, grows)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// graduate appends points that move away from a place to a side (1, −1), each twice as far as the one before, to half
// of the element there.
func graduate(out, points []float64, at, side, rate float64) []float64 {
	next := math.Inf(1) // the distance of the next point of the mesh
	for _, x := range points {
		if d := (x - at) * side; d > 0 {
			next = math.Min(next, d)
		}
	}
	if !slices.Contains(out, at) {
		out = append(out, at)
	}
	for d := layerFall / rate; d < next/2; d *= 2 {
		out = append(out, at+side*d)
	}
	return out
}
