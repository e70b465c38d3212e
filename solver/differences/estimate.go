package differences

import (
	"math"

	"nodespan/solver/blocks"
)

// Estimate is what is known of the error of a difference solution.
type Estimate struct {
	stretches []stretch
	// local[stretch][cell][entry] is the estimated error of the discretisation in a cell: a stretch has up to cells
	// of them.
	local [][][]float64
	// floor[entry] is the estimated effect of rounding inside the stretches, edge that within reach of their ends,
	// where one-sided differences enlarge it more.
	floor, edge []float64
	reach       float64 // in mesh widths
	// Parameters holds the estimated errors of the sought parameters.
	Parameters []float64
	// scale[entry] is the largest absolute value over the interval.
	scale []float64
	// reference is what curve was measured against; nil where other meshes were.
	reference *Reference
	curve     *Curve
}

// cells is the number of parts of a stretch that have an error of their own.
const cells = 32

// At writes the estimated error of each entry of the jet at x: the largest of the cell there and its neighbours,
// because the difference of two solutions can vanish by accident where neither is exact.
func (e *Estimate) At(x float64, err []float64) {
	if e.reference != nil {
		e.atReference(x, err)
		return
	}
	i := findStretch(e.stretches, x)
	s, l := e.stretches[i], e.local[i]
	at := int((x - s.a) / s.h / float64(s.n) * float64(len(l)))
	at = min(max(at, 0), len(l)-1)
	for k := range err {
		v := 0.0
		for c := max(at-1, 0); c <= min(at+1, len(l)-1); c++ {
			if !(l[c][k] <= v) {
				v = l[c][k]
			}
		}
		err[k] = v + e.floor[k]
		if math.Min(x-s.a, s.at(float64(s.n))-x) <= e.reach*s.h {
			err[k] = v + e.edge[k]
		}
	}
}

// difference holds the largest differences of two solutions in each cell; the second mesh is a power of two finer.
type difference struct {
	local [][][]float64
	most  []float64 // of each entry over the interval
	par   []float64
	scale []float64
}

func compare(coarse, fine *Curve) *difference {
	g, f := coarse.g, fine.g
	d := &difference{most: make([]float64, g.jet), scale: make([]float64, g.jet)}
	a, b := make([]float64, g.jet), make([]float64, g.jet)
	ra, rb := coarse.reader(), fine.reader()
	for i, s := range g.stretches {
		ratio := float64(f.stretches[i].n / s.n)
		count := min(cells, s.n)
		l := make([][]float64, count)
		for c := range l {
			l[c] = make([]float64, g.jet)
		}
		for twice := 0; twice <= 2*s.n; twice++ {
			t := float64(twice) / 2
			ra.at(i, t, a)
			rb.at(i, t*ratio, b)
			c := min(twice*count/(2*s.n), count-1)
			for k := range a {
				v := math.Abs(a[k] - b[k])
				if !(v <= l[c][k]) {
					l[c][k] = v
				}
				if !(v <= d.most[k]) {
					d.most[k] = v
				}
				d.scale[k] = math.Max(d.scale[k], math.Abs(b[k]))
			}
		}
		d.local = append(d.local, l)
	}
	pa, pb := coarse.Parameters(), fine.Parameters()
	for i := range pa {
		d.par = append(d.par, math.Abs(pa[i]-pb[i]))
	}
	return d
}

// Of three meshes, each twice as fine as the one before, the differences d1 and d2 of neighbours fall by the factor
// q = d1/d2, which tends to 2^p. What the finest still lacks is then d2/(q − 1).
const (
	slowest = 1.1 // a smaller q says nothing about what is left
	fastest = 24  // a larger one need not hold everywhere: measured at order 8 on layers that the mesh just resolves
	ahead   = 1.5 // how much faster than their order differences may fall in the asymptotic range
	safety  = 2   // common practice, no source; measured on problems with closed forms: see the tests
)

func left(d1, d2 float64, order int) float64 {
	full := math.Ldexp(1, order)
	q := math.Min(full, fastest)
	switch {
	case d2 > 0 && d1/d2 < q:
		q = d1 / d2
	case d2 > 0 && d1/d2 > ahead*full:
		q = math.Min(q, math.Sqrt(full)) // the coarsest mesh was too coarse to tell
	}
	return d2 / (math.Max(q, slowest) - 1)
}

// judge estimates the error of the first (finest = false) or of the last of three solutions. The differences of
// neighbouring ones are returned too.
func judge(three [3]*discrete, finest bool) (e *Estimate, d1, d2 *difference) {
	var c [3]*Curve
	for i, d := range three {
		c[i] = &Curve{d.g, d.v}
	}
	g := c[0].g
	d1, d2 = compare(c[0], c[1]), compare(c[1], c[2])
	e = &Estimate{stretches: g.stretches, scale: d2.scale}
	if finest {
		e.local = d2.local
	} else {
		e.local = compare(c[0], c[2]).local
	}
	for si, l := range e.local {
		for ci := range l {
			for k := range l[ci] {
				rest := left(d1.most[k], d2.most[k], g.order)
				if d2.most[k] > 0 {
					rest /= d2.most[k]
				}
				if finest {
					l[ci][k] *= safety * rest
					continue
				}
				n := len(d2.local[si])
				fine := 0.0 // the cells of the second mesh may be narrower
				for c := ci * n / len(l); c < max((ci+1)*n/len(l), ci*n/len(l)+1); c++ {
					fine = math.Max(fine, d2.local[si][c][k])
				}
				l[ci][k] = safety * (l[ci][k] + fine*rest)
			}
		}
	}
	for i := range d1.par {
		rest := left(d1.par[i], d2.par[i], g.order)
		if !finest {
			rest += d1.par[i] + d2.par[i]
		}
		e.Parameters = append(e.Parameters, safety*rest)
	}
	return e, d1, d2
}

// addRounding adds the effect of rounding, as the linearised equations answer to disturbances of every term by one
// rounding unit with random signs, eightfold, or by one unit alike everywhere, as a constant that is rounded before
// it is used, twofold. It returns the condition number of the problem: relative change of the solution for a
// relative change of the data.
func (e *Estimate) addRounding(d *discrete) (condition float64) {
	const unit = 1.0 / (1 << 53)
	const trials, safety, alike = 3, 8, 2
	g := d.g
	e.floor, e.edge = make([]float64, g.jet), make([]float64, g.jet)
	jet := make([]float64, g.jet)
	rhs := d.sys.NewRHS()
	sign := blocks.Signs(signSeed)
	v := g.newVector()
	r := (&Curve{g, v}).reader()
	par := make([]float64, g.par)
	read := func(v *vector, f float64, most []float64) {
		r.c.v = v
		for i, s := range g.stretches {
			stride := max(1, s.n/1000)
			for k := 0; k <= s.n; k += stride {
				r.at(i, float64(k), jet)
				for j, x := range jet {
					most[j] = math.Max(most[j], f*math.Abs(x))
				}
			}
		}
		for i, q := range g.parameters(v) {
			par[i] = math.Max(par[i], safety*f*math.Abs(q))
		}
	}
	answer := func(sizes [][]float64, most []float64) {
		d.asm.disturb(sizes, rhs, sign)
		d.sys.SolveTo(v.blocks, rhs)
		read(v, 1, most)
	}
	data := make([]float64, g.jet)
	answer(d.asm.data, data)
	for i := range g.p.Unknowns {
		if at := g.jetAt[i]; e.scale[at] > 0 {
			condition = math.Max(condition, data[at]/(unit*e.scale[at]))
		}
	}
	most := make([]float64, g.jet)
	for range trials {
		answer(d.asm.terms, most)
	}
	read(d.answerTo(d.sizes()), alike*unit/safety, most)
	// The values are stored to one unit: differences make of that the sum of the sizes of their weights.
	h := math.Inf(1)
	for _, s := range g.stretches {
		h = math.Min(h, s.h)
	}
	count := g.maxOrder + g.order + 1
	e.reach = float64(count)
	x := make([]float64, count)
	for i := range x {
		x[i] = float64(i)
	}
	weights := func(t float64, d int) (sum float64) {
		for _, w := range Weights(t, x, d)[d*count:] {
			sum += math.Abs(w)
		}
		return sum
	}
	entry := 0
	for i, u := range g.p.Unknowns {
		f := 1.0
		for d := range u.Order + 1 {
			common := most[entry] + unit*e.scale[entry]
			stored := unit * e.scale[g.jetAt[i]] * f
			e.floor[entry] = safety * (common + stored*weights(float64(count/2), d))
			e.edge[entry] = safety * (common + stored*weights(0, d))
			f /= h
			entry++
		}
	}
	for i, q := range par {
		e.Parameters[i] += q
	}
	return math.Max(condition, 1)
}

// relative returns the largest estimated error of any entry of the state, relative to its largest value, and the
// part of it that is rounding. An entry that vanishes identically is measured against the unknown over the length
// of the interval, and a sought number by itself where it is above 1.
func (e *Estimate) relative(d *discrete) (all, rounding float64) {
	g := d.g
	length := g.p.B - g.p.A
	for i, u := range g.p.Unknowns {
		natural := e.scale[g.jetAt[i]]
		for entry := g.jetAt[i]; entry < g.jetAt[i]+u.Order; entry++ {
			scale := math.Max(e.scale[entry], 1e-9*natural)
			if scale == 0 {
				scale = 1
			}
			if v := (e.mostLocal(entry) + e.edge[entry]) / scale; !(v <= all) {
				all = v
			}
			rounding = math.Max(rounding, e.edge[entry]/scale)
			natural /= length
		}
	}
	for i, q := range g.parameters(d.v) {
		if v := e.Parameters[i] / math.Max(1, math.Abs(q)); !(v <= all) {
			all = v
		}
	}
	return all, rounding
}

// mostLocal returns the largest error of the discretisation in any cell.
func (e *Estimate) mostLocal(entry int) float64 {
	most := 0.0
	for _, l := range e.local {
		for _, c := range l {
			if !(c[entry] <= most) {
				most = c[entry]
			}
		}
	}
	return most
}
