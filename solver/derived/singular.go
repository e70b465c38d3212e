package derived

import "math"

// end is an end of a stretch, known to within moved, whose other end is other.
type end struct{ at, other, moved float64 }

// singular reports whether f may have no value at x, or grow without bound towards it.
func (p *along) singular(f *Function, x float64) bool {
	if v := p.value(f.F, x); math.IsNaN(v) || math.IsInf(v, 0) {
		return true
	}
	for k := range f.Switches {
		if w := &f.Switches[k]; w.Pole {
			if g := p.open(&w.Argument, x); math.Abs(g.Value) <= g.Error {
				return true
			}
		}
	}
	return false
}

// How an end is approached: by distances of equal ratio, down to so many times what its place may be off.
const (
	approach  = 4
	steps     = 12
	wellAside = 20
)

// persists reports whether |g| does not shrink towards an end over equal ratios of the distance (common practice, no
// source), and whether that cannot be told because the end is not known well enough.
func (p *along) persists(e end, g func(x float64) float64) bool {
	d := (e.other - e.at) / approach
	last, steady, seen := 0.0, 0, 0
	for k := 0; k < steps && math.Abs(d) > wellAside*e.moved; k++ {
		v := math.Abs(g(e.at + d))
		if v >= 0.9*last && v > 0 {
			steady++
		} else {
			steady = 0
		}
		last = v
		d /= approach
		seen++
	}
	return steady >= 3 || seen < 4
}
