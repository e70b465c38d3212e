package unbounded

import (
	"context"
	"math"
	"slices"

	"nodespan/solver/blocks"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"

	"gonum.org/v1/gonum/floats"
)

// How far and how closely the stretch beyond an end is looked at: points for each factor e of the distance, where the
// formulas can be read and where they cannot; the distances up to which that is done, in lengths.
const (
	readSamples  = 100
	blindSamples = 1500
	blindReach   = 1000
	readReach    = 1e9
	lastReach    = 1e280 // the distance up to which formulas are read once more, before an answer is believed
	coarseChange = 0.95  // there a formula may change by this part of itself on a stretch, and so by a factor of 20
	mostLeaves   = 2000  // stretches that one doubling of the distance may be divided into
	plainChange  = 0.3   // of a formula on a stretch, relative, that needs no closer look
	nothing      = 1e-20 // absolute value of a formula below which nothing happens
	// enclosureWork is the work of the bounds of one operation of a formula, in units of package budget.
	enclosureWork = 10
)

// distances lists, ascending, the distances beyond an end at which the equations are looked at: at constant ratios, and
// wherever a formula of theirs changes much on a short stretch, found by bisection on enclosures of the formulas.
func (a *Answer) distances(ctx context.Context, side int) []float64 {
	length, formulas := a.length(), a.Far.p.Formulas
	density := float64(readSamples)
	if formulas == nil {
		density = blindSamples
	}
	var out []float64
	for j := range int(density * math.Log(blindReach)) {
		out = append(out, length*math.Expm1(float64(j+1)/density))
	}
	if formulas == nil {
		return out
	}
	for d := 0.0; d < readReach*length; d = 2*d + length {
		a.stretches(ctx, side, d, 2*d+length, plainChange, func(d0, d1 float64) {
			if d1-d0 < (length+d0)/density || d0 >= length*blindReach {
				out = append(out, (d0+d1)/2)
			}
		})
	}
	slices.Sort(out)
	return out
}

// stretches divides a stretch beyond an end, from distance d0 to d1, until no formula of the equations changes by more
// than a part of itself on any of its parts.
func (a *Answer) stretches(ctx context.Context, side int, d0, d1, most float64, do func(d0, d1 float64)) {
	formulas := a.Far.p.Formulas
	end, direction := a.Far.end(side), 1.0
	if side == 0 {
		direction = -1
	}
	nodes := make([]bvp.Enclosure, len(formulas.Moving))
	in := a.enclosed(side)
	if len(in) != formulas.Inputs {
		in = nil
	}
	leaves := 0
	var divide func(d0, d1 float64)
	divide = func(d0, d1 float64) {
		lo, hi := math.Min(end+direction*d0, end+direction*d1), math.Max(end+direction*d0, end+direction*d1)
		formulas.Enclose(lo, hi, in, nodes)
		if leaves++; plain(nodes, formulas.Moving, in != nil, most) || leaves > mostLeaves ||
			d1-d0 < 1e-12*math.Max(math.Abs(lo), math.Abs(hi)) {
			do(d0, d1)
			return
		}
		m := (d0 + d1) / 2
		divide(d0, m)
		divide(m, d1)
	}
	divide(d0, d1)
	budget.Spend(ctx, float64(leaves*len(nodes))*enclosureWork)
}

// farSources looks for sources still further out, where nobody expects one, before an answer is believed. The answer is
// valid up to the nearest.
func (a *Answer) farSources(ctx context.Context, tol float64) {
	if a.Far.p.Formulas == nil {
		return
	}
	length := a.length()
	for _, side := range a.Far.sides() {
		r := a.remains(side)
		for d := readReach * length / 2; d < lastReach; d *= 2 {
			a.stretches(ctx, side, d, 2*d, coarseChange, func(d0, d1 float64) {
				if v, _ := r.at((d0 + d1) / 2); v > tol {
					a.Far.validTo[side] = math.Min(a.Far.validTo[side], d0)
				}
			})
			if a.Far.validTo[side] <= d {
				break
			}
		}
	}
}

// plain reports whether no formula changes by more than a part of itself.
func plain(nodes []bvp.Enclosure, moving []bool, all bool, most float64) bool {
	for i, e := range nodes {
		if moving[i] && !all {
			continue
		}
		if size := math.Max(math.Abs(e.Lo), math.Abs(e.Hi)); size > nothing && !(e.Hi-e.Lo <= most*size) {
			return false
		}
	}
	return true
}

// enclosed returns the continued jet and the sought numbers as bounds that hold beyond an end, nil where the jet is not
// constant there.
func (a *Answer) enclosed(side int) []bvp.Enclosure {
	for _, k := range a.Far.degree {
		if k > 0 {
			return nil
		}
	}
	in := make([]float64, a.Far.p.Jet()+len(a.Far.p.Parameters))
	end := a.Far.end(side)
	a.jet(end, in)
	a.Far.Extend(0, in[:a.Far.p.Jet()])
	out := make([]bvp.Enclosure, len(in))
	for i, v := range in {
		out[i] = bvp.Enclosure{Lo: v, Hi: v, Mid: v}
	}
	return out
}

// source is a stretch beyond an end where the continued solution does not satisfy the equations.
type source struct {
	from float64 // its end nearest to the solution
	// marks are its peak, and on both sides where it falls below powers of a hundredth of that, down to the tolerance
	marks []float64
	apart bool // it does not simply fall off from the end, nor grow for ever: what does so is no source
}

// sources looks for sources beyond the ends of an answer: places where the residual of the continued solution, relative
// to the terms of the equation, is above the tolerance. none says that there is none, nor, where a mode neither grows
// nor falls, residuals below the tolerance that add up to more than it.
func (a *Answer) sources(ctx context.Context, tol float64) (found []source, none bool) {
	none = true
	for _, side := range a.Far.sides() {
		l, sum := a.sourcesAt(ctx, side, tol)
		for _, q := range l {
			a.Far.validTo[side] = math.Min(a.Far.validTo[side], math.Abs(q.from-a.Far.end(side)))
		}
		none = none && len(l) == 0 && sum <= tol
		found = append(found, l...)
	}
	return found, none
}

// sourcesAt looks for them beyond one end. sum is the integral of the residuals below the tolerance, relative to the
// size of what they are the derivatives of.
func (a *Answer) sourcesAt(ctx context.Context, side int, tol float64) (found []source, sum float64) {
	h := a.residuals(ctx, side)
	var run []float64 // sizes of the residuals above the tolerance on the present stretch
	var at []float64
	first := true // the stretch began at the end
	last := 0.0
	closeRun := func(last bool) {
		if len(run) > 0 {
			found = append(found, stretch(at, run, first, last))
		}
		run, at, first = nil, nil, false
	}
	for i, d := range h.d {
		largest, slope := h.largest[i], h.slope[i]
		if largest > tol {
			run, at = append(run, largest), append(at, h.end+h.direction*d)
		} else {
			closeRun(false)
			first = false
			sum += slope * (d - last)
		}
		last = d
	}
	closeRun(true)
	return found, sum
}

// leftOver holds residuals at ascending distances d beyond an end.
type leftOver struct {
	*remains
	degree            []int // with which the solution was continued
	d, largest, slope []float64
}

// residuals works out the residuals beyond an end, once for all tolerances.
func (a *Answer) residuals(ctx context.Context, side int) *leftOver {
	h := a.left[side]
	if h == nil || !slices.Equal(h.degree, a.Far.degree) {
		h = &leftOver{remains: a.remains(side), degree: slices.Clone(a.Far.degree), d: a.distances(ctx, side)}
		for _, d := range h.d {
			largest, slope := h.at(d)
			h.largest, h.slope = append(h.largest, largest), append(h.slope, slope)
		}
		a.left[side] = h
	}
	return h
}

// remains is what the equations leave over, for a solution that is continued beyond an end.
type remains struct {
	a              *Answer
	end, direction float64
	start, doubt   []float64 // the jet at the end with the sought numbers, and the errors of what is kept of it
	lasting        []bool
	in, f, df      []float64
}

func (a *Answer) remains(side int) *remains {
	p := a.Far.p
	n, J := len(p.Unknowns), p.Jet()+len(p.Parameters)
	r := &remains{a: a, end: a.Far.end(side), direction: 1, start: make([]float64, J), in: make([]float64, J),
		f: make([]float64, n), df: make([]float64, n*J)}
	if side == 0 {
		r.direction = -1
	}
	a.jet(r.end, r.start)
	r.doubt = a.doubt(r.end)
	r.lasting = a.lasting(r.end + r.direction*a.length())
	return r
}

// at returns the largest residual at a distance d beyond the end, relative to the terms; and, of equations that drive
// what lasts, relative to the size of what it is the derivative of.
func (r *remains) at(d float64) (largest, slope float64) {
	p, scale, J := r.a.Far.p, r.a.Estimate.Scale, len(r.in)
	x := r.end + r.direction*d
	copy(r.in, r.start)
	r.a.Far.Extend(x-r.end, r.in[:p.Jet()])
	p.Equations(x, r.in, r.f, nil)
	if largestOf(r.f) == 0 {
		return 0, 0
	}
	p.Equations(x, r.in, r.f, r.df)
	for k, u := range p.Unknowns {
		terms, own := 0.0, 0.0
		for i := range p.Jet() {
			c := math.Abs(r.df[k*J+i])
			terms += c * scale[i]
			own += c * (r.doubt[i] + 1e-14*math.Abs(r.in[i]))
		}
		v := math.Abs(r.f[k])
		if math.IsInf(v, 0) || math.IsNaN(v) || v <= own {
			continue // where the equations have no value they say nothing; and errors of the solution are no source
		}
		largest = math.Max(largest, v/math.Max(terms, 1e-300))
		o := p.JetOffset(k) + u.Order
		if top := math.Abs(r.df[k*J+o]); r.lasting[k] && top > 0 && scale[o-1] > 0 {
			slope = math.Max(slope, v/top/scale[o-1])
		}
	}
	return largest, slope
}

// settling reports that a source still acts at an end, and dies away further out: there the continued solution comes to
// suit the equations.
func (a *Answer) settling() bool {
	const samples = 40
	for _, side := range a.Far.sides() {
		r, length := a.remains(side), a.length()
		near, far := 0.0, 0.0
		for i := range samples {
			t := (float64(i) + 0.5) / samples
			v, _ := r.at(length * t)
			near = math.Max(near, v)
			w, _ := r.at(length * math.Pow(10, 3+6*t))
			far = math.Max(far, w)
		}
		if near > 1e-3 && far < 0.05*near {
			return true
		}
	}
	return false
}

// carries reports that the limit has a mode that lasts: what is left over far out may be that mode's, which may fall in
// the end, too slowly to be told.
func (a *Answer) carries() bool {
	for _, side := range a.Far.sides() {
		if slices.Contains(a.lasting(a.Far.end(side)), true) {
			return true
		}
	}
	return false
}

// doubt returns the claimed errors of the entries that the continuation from an end keeps.
func (a *Answer) doubt(end float64) []float64 {
	out := make([]float64, a.Far.p.Jet())
	a.Estimate.At(end, out)
	for i, u := range a.Far.p.Unknowns {
		o := a.Far.p.JetOffset(i)
		clear(out[o+min(a.Far.degree[i], u.Order)+1 : o+u.Order+1])
	}
	return out
}

// stretch describes a run of residuals above the tolerance. A run that does not end belongs to no source as far as it
// is as high as at its far end: there the continued solution does not suit the equations.
func stretch(at, size []float64, first, unending bool) source {
	k := 0
	for i, v := range size {
		if v > size[k] {
			k = i
		}
	}
	floor := 0.0
	if unending {
		floor = 2 * size[len(size)-1]
	}
	l := source{from: at[0], marks: []float64{at[k]}, apart: (!first || size[k] > 10*size[0]) && size[k] > floor}
	i, j := k, k
	for level := 1e-2; level > 1e-18 && (i > 0 || j+1 < len(at)); level *= 1e-2 {
		least := math.Max(level*size[k], floor)
		for i > 0 && size[i] > least {
			i--
		}
		for j+1 < len(size) && size[j] > least {
			j++
		}
		l.marks = append(l.marks, at[i], at[j])
	}
	return l
}

func largestOf(f []float64) float64 {
	most := 0.0
	for _, v := range f {
		if !(math.Abs(v) <= most) {
			most = math.Abs(v)
		}
	}
	return most
}

// lasting reports, for each equation, whether what is left over in it drives a mode that neither grows nor falls:
// whether it has a part in the modes of the eigenvalue 0 of the linearised equations.
func (a *Answer) lasting(x float64) []bool {
	p := a.Far.p
	out := make([]bool, len(p.Unknowns))
	in := make([]float64, p.Jet()+len(p.Parameters))
	a.jet(x, in)
	m := linearised(p, x, in)
	if m == nil {
		for r := range out {
			out[r] = true // who knows
		}
		return out
	}
	if r := eigenvalues(m); len(r) > 0 && r[0] > zeroMode*r[len(r)-1] {
		return out
	}
	// In units of the sizes of the entries, and of the largest entry, so that powers tell zero modes from others.
	size := sizes(p, a.Estimate, a.length())
	var unit []float64
	for i, u := range p.Unknowns {
		for d := range u.Order {
			unit = append(unit, size[p.JetOffset(i)+d])
		}
	}
	n := len(unit)
	largest := 0.0
	for i := range n {
		for j := range n {
			m.Set(i, j, m.At(i, j)*unit[j]/unit[i])
			largest = math.Max(largest, math.Abs(m.At(i, j)))
		}
	}
	if largest == 0 {
		largest = 1
	}
	floats.Scale(1/largest, m.RawMatrix().Data)
	power := m
	for range n - 1 {
		power = blocks.Product(power, m)
	}
	left, values, _, ok := blocks.SVD(power)
	if !ok {
		return out
	}
	threshold := math.Max(math.Pow(zeroMode, float64(n)), 1e-13)
	for k, v := range values {
		if v > threshold {
			continue
		}
		row := 0
		for i, u := range p.Unknowns {
			row += u.Order
			out[i] = out[i] || math.Abs(left.At(row-1, k)) > 1e-9
		}
	}
	return out
}
