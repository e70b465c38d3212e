package several

import (
	"math"

	"nodespan/solver/bvp"
)

// shape is a function that a start is made of, on 0 to 1, with its derivatives up to the given order.
type shape func(t float64, out []float64)

// wave returns sin(k π t + φ) with φ = 0 or π/2.
//
//go:noinline
func wave(k float64, cosine bool) shape {
	phase := 0.0
	if cosine {
		phase = math.Pi / 2
	}
	return func(t float64, out []float64) {
		for d := range out {
			out[d] = math.Pow(k*math.Pi, float64(d)) * math.Sin(k*math.Pi*t+phase+float64(d)*math.Pi/2)
		}
	}
}

// shapes are the eigenfunctions of −y″ under the usual conditions: held at both ends, free at both, held at one, and
// the constant.
func shapes() []shape {
	return []shape{
		wave(1, false), wave(0, true), wave(0.5, false), wave(0.5, true), wave(2, false), wave(1, true),
		wave(3, false), wave(1.5, false), wave(1.5, true), wave(2, true), wave(4, false),
	}
}

// start is a first guess with sought numbers.
type start struct {
	jet        func(x float64, jet []float64)
	parameters []float64
}

// amplitudes are the sizes of starts, in those of the unknowns.
var amplitudes = []float64{1, -1, 4, -4, 0.25, -0.25, 16, -16}

// startsFrom lists starts: each shape with each amplitude, added to a function that meets the conditions.
func startsFrom(p *bvp.Problem, sizes []float64, base func(x float64, jet []float64), parameters []float64) []start {
	var out []start
	signs := []float64{1}
	if len(p.Unknowns) > 1 {
		signs = append(signs, -1)
	}
	for _, a := range amplitudes {
		for _, f := range shapes() {
			for _, alternate := range signs {
				jet := added(p, sizes, base, f, a, alternate)
				out = append(out, start{jet, parameters})
			}
		}
	}
	return out
}

// added is a function and a shape of an amplitude in each unknown, the signs alternating or not.
func added(p *bvp.Problem, sizes []float64, base func(x float64, jet []float64), f shape,
	amplitude, alternate float64) func(x float64, jet []float64) {
	whole := p.B - p.A
	return func(x float64, jet []float64) {
		base(x, jet)
		var store [16]float64
		size := amplitude
		for i, u := range p.Unknowns {
			at := p.JetOffset(i)
			own := store[:u.Order+1]
			f((x-p.A)/whole, own)
			for d, v := range own {
				jet[at+d] += size * sizes[i] * v / math.Pow(whole, float64(d))
			}
			size *= alternate
		}
	}
}

// Mirror is a way in which one solution may be the image of another.
type Mirror int

const (
	None     Mirror = iota
	Sign            // the other sign
	Turned          // the other way round along the interval
	SignTurn        // both
)

// String says how.
func (m Mirror) String() string {
	return [...]string{"", "with the other sign", "the other way round", "the other way round with the other sign"}[m]
}

// image returns the mirror image of a function.
func (m Mirror) image(p *bvp.Problem, of func(x float64, jet []float64)) func(x float64, jet []float64) {
	return func(x float64, jet []float64) {
		if m == Turned || m == SignTurn {
			x = p.A + p.B - x
		}
		of(x, jet)
		for i, u := range p.Unknowns {
			at := p.JetOffset(i)
			for d := range u.Order + 1 {
				if m == Sign || m == SignTurn {
					jet[at+d] = -jet[at+d]
				}
				if (m == Turned || m == SignTurn) && d%2 == 1 {
					jet[at+d] = -jet[at+d]
				}
			}
		}
	}
}
