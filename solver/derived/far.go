package derived

import (
	"math"

	"nodespan/solver/bvp"
)

// reach returns finite ends in the place of infinite ones: those of the mesh, beyond which a solution is at its limit
// to within its error, or further out as far as the formula of f has a feature of its own, or f changes its sign.
func (p *along) reach(f *Function, a, b float64) (lo, hi float64) {
	first, last := p.s.Mesh[0], p.s.Mesh[len(p.s.Mesh)-1]
	lo, hi = a, b
	if math.IsInf(b, 1) {
		hi = p.outward(f, math.Max(last, a), math.Max(last-first, 1e-300))
	}
	if math.IsInf(a, -1) {
		lo = p.outward(f, math.Min(first, b), -math.Max(last-first, 1e-300))
	}
	return lo, hi
}

// outward goes out from an end over stretches that double.
func (p *along) outward(f *Function, end, length float64) float64 {
	out := end
	sign := func(x float64) int {
		n := p.open(f, x)
		m := sample{v: n.Value, e: n.Error}
		return m.sign()
	}
	last := sign(end)
	for range mostDoublings {
		next := end + length
		something := len(narrowed(f, math.Min(end, next), math.Max(end, next))) > 2
		for _, x := range bvp.Divide([]float64{end, next}, 8)[1:] {
			if s := sign(x); s != 0 {
				something = something || last*s < 0
				last = s
			}
		}
		if something {
			out = next
		}
		end, length = next, 2*length
	}
	return out
}

// climbs reports whether f still grows towards infinity beyond an end, told by increments over lengths that double:
// they do not shrink.
func (p *along) climbs(f *Function, start, end float64) bool {
	last := math.Inf(-1)
	x, d := start+(end-start)/4, (end-start)/4
	for range 5 {
		near, far := p.number(f, x), p.number(f, x+d)
		rise := far.Value - near.Value
		if !(rise > near.Error+far.Error) || !(rise >= 0.9*last) {
			return false
		}
		last = rise
		x, d = x+d, 2*d
	}
	return true
}
