package unbounded

import (
	"context"
	"math"
	"slices"

	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/nodes"
)

// A well is what a Sturm-Liouville equation a₂ y” + a₁ y' + (a₀ + λ s) y = 0 says of where its eigenfunctions live:
// about the least values of its potential V, with which they wave where λ > V and die away where λ < V,
//
//	y = exp(−∫ a₁/2a₂) u,   u” = (s/a₂) (V − λ) u,   V = (a₁²/4a₂ − a₀)/s,
//
// the derivative of a₁/a₂ left out. It chooses the interval and the mesh; no claim rests on it.
type well struct {
	p        *bvp.Problem
	in, f    []float64
	df       []float64
	all      []float64 // places, ascending, no formula changing much between two of them
	v        []float64 // the potential at these
	centre   float64   // of the places where the potential is least
	length   float64   // of the lowest eigenfunction there, nearly
	free     float64   // the potential far out, where that is least: above it nothing is bound
	from, to float64   // the places of the least values
}

// wellReach is how far out a well is looked for, in lengths of the equation where they are long, else in units of x.
const wellReach = 1e6

// newWell looks for the well of an eigenvalue problem on an unbounded interval; nil where it has none.
func newWell(ctx context.Context, p *bvp.Problem) *well {
	if len(p.Unknowns) != 1 || p.Unknowns[0].Order != 2 || len(p.Parameters) != 1 {
		return nil
	}
	w := &well{p: p, in: make([]float64, 4), f: make([]float64, 1), df: make([]float64, 4)}
	w.survey(ctx)
	n := len(w.all)
	if n < 20 || !w.least() {
		return nil
	}
	return w
}

// at returns the potential and the factor s/a₂; NaN where the equation is not of the form.
func (w *well) at(x float64) (v, factor float64) {
	clear(w.in)
	w.in[0] = 1
	w.p.Equations(x, w.in, w.f, w.df)
	a0, a1, a2 := w.df[0], w.df[1], w.df[2]
	w.in[3] = 1
	w.p.Equations(x, w.in, w.f, w.df)
	s := w.df[0] - a0
	if !(s*a2 > 0) {
		return math.NaN(), math.NaN()
	}
	return (a1*a1/(4*a2) - a0) / s, s / a2
}

// survey evaluates the potential near and far, and wherever a formula of the equation changes much.
func (w *well) survey(ctx context.Context) {
	scale := lengthScale(w.p)
	nearest, reach := math.Min(scale, 1)/64, wellReach*math.Max(scale, 1)
	add := func(x float64) {
		if v, _ := w.at(x); !math.IsNaN(v) && !math.IsInf(v, 0) {
			w.all = append(w.all, x)
		}
	}
	from := base(w.p)
	var sides []float64
	if math.IsInf(w.p.A, 0) {
		sides = append(sides, -1)
		add(from)
	}
	if math.IsInf(w.p.B, 0) {
		sides = append(sides, 1)
	}
	leaves := 0
	for _, direction := range sides {
		for d := nearest; d < reach; d *= 1.1 {
			add(from + direction*d)
		}
		if w.p.Formulas == nil {
			continue
		}
		out := make([]bvp.Enclosure, len(w.p.Formulas.Moving))
		var divide func(d0, d1 float64)
		divide = func(d0, d1 float64) {
			lo, hi := math.Min(from+direction*d0, from+direction*d1), math.Max(from+direction*d0, from+direction*d1)
			w.p.Formulas.Enclose(lo, hi, nil, out)
			leaves++
			if plain(out, w.p.Formulas.Moving, false, plainChange) || d1-d0 < 1e-9*d1 || leaves > 20*mostLeaves {
				add((lo + hi) / 2)
				return
			}
			m := (d0 + d1) / 2
			divide(d0, m)
			divide(m, d1)
		}
		for d := 0.0; d < reach; d = 2*d + nearest {
			divide(d, 2*d+nearest)
		}
	}
	slices.Sort(w.all)
	w.all = slices.Compact(w.all)
	w.v = make([]float64, len(w.all))
	for i, x := range w.all {
		w.v[i], _ = w.at(x)
	}
	budget.Spend(ctx, float64(leaves)*enclosureWork*10+float64(len(w.all))*100)
}

// least finds the least value and its places. It reports false where the potential is as low far out.
func (w *well) least() bool {
	n := len(w.all)
	const edge = 8 // samples far out, nearly a doubling of the distance
	w.free = math.Inf(1)
	if math.IsInf(w.p.B, 0) {
		w.free = slices.Min(w.v[n-edge:])
	}
	if math.IsInf(w.p.A, 0) {
		w.free = math.Min(w.free, slices.Min(w.v[:edge]))
	}
	best := slices.Index(w.v, slices.Min(w.v))
	lo, hi := w.all[max(best-1, 0)], w.all[min(best+1, n-1)]
	at := nodes.Maximum(func(x float64) float64 { v, _ := w.at(x); return -v }, lo, hi, 60)
	bottom, _ := w.at(at)
	if !(bottom <= w.v[best]) {
		at, bottom = w.all[best], w.v[best]
	}
	if !(w.free-bottom > 1e-9*math.Abs(bottom)) {
		return false
	}
	// The length: where the potential has risen by as much as a half wave of this length has.
	w.length = 0
	for l := 1e-9 * math.Max(math.Abs(at), lengthScale(w.p)); l < 1e12; l *= 1.1 {
		for _, x := range []float64{at - l, at + l} {
			if v, f := w.at(x); x > w.p.A && x < w.p.B && (v-bottom)*f*l*l > 2 && w.length == 0 {
				w.length = l
			}
		}
		if w.length > 0 {
			break
		}
	}
	if w.length == 0 {
		return false
	}
	// Places as low, of a potential that is symmetric, say.
	rise, _ := w.at(at + w.length)
	if r, _ := w.at(at - w.length); !(rise < r) {
		rise = r
	}
	w.from, w.to = w.hull(bottom + 0.1*(math.Min(rise, w.free)-bottom))
	w.from, w.to = math.Min(w.from, at), math.Max(w.to, at)
	w.centre = (w.from + w.to) / 2
	if from := base(w.p); math.Abs(w.centre-from) < 0.5*w.length {
		w.centre = from
	}
	return true
}

// middle is where the truncations are centred: of a half line, at its end.
func (w *well) middle() float64 {
	if math.IsInf(w.p.A, 0) && math.IsInf(w.p.B, 0) {
		return w.centre
	}
	return base(w.p)
}

// hull is the smallest interval outside which the potential is nowhere below a value; from > to where it is so nowhere.
func (w *well) hull(value float64) (from, to float64) {
	from, to = math.Inf(1), math.Inf(-1)
	for i, v := range w.v {
		if v < value {
			from, to = math.Min(from, w.all[i]), math.Max(to, w.all[i])
		}
	}
	return from, to
}

// edges lists the ends of the stretches on which a value is above the potential, moved out to where the function has
// died away to about a hundredth. Only stretches that are short against the interval count: they need nodes of their
// own.
func (w *well) edges(value, a, b float64) (out []float64) {
	for i := 0; i < len(w.v); i++ {
		if !(w.v[i] < value) {
			continue
		}
		j := i
		for j+1 < len(w.v) && w.v[j+1] < value {
			j++
		}
		l, r := w.wall(w.all[i], -1, value, 4), w.wall(w.all[j], 1, value, 4)
		if r-l < (b-a)/8 {
			for _, x := range []float64{l, r} {
				if x > a && x < b {
					out = append(out, x)
				}
			}
		}
		i = j
	}
	return out
}

// wall returns where, in a direction from a place, the eigenfunction of a value λ has died away to exp(−fall), as
// ∫ √((s/a₂)(V − λ)) tells; infinite where it does not die away.
func (w *well) wall(x, direction, value, fall float64) float64 {
	sum, h := 0.0, w.length/50
	for range 2000 {
		v, f := w.at(x + direction*h/2)
		rate := math.Sqrt(math.Max(0, (v-value)*f))
		if sum+rate*h >= fall {
			return x + direction*math.Min(h, (fall-sum)/rate)
		}
		sum += rate * h
		x += direction * h
		h *= 1.03
	}
	return direction * math.Inf(1)
}
