// Package eigen solves eigenvalue problems: a sought number in linear equations and conditions that are all homogeneous, so that
// there is a solution other than zero for certain values of that number only. It knows no text.
//
// The problem is discretised by collocation on one polynomial (one per stretch between breaks), and all eigenvalues of the dense
// matrix pencil are computed at two degrees: what the two agree on is an eigenvalue of the problem, the rest is an artefact of the
// discretisation (J. P. Boyd, Chebyshev and Fourier Spectral Methods, 2nd ed., 2001, chapter 7). Degrees climb until no artefact
// lies among the wanted ones. Each of these is then solved for anew, together with its eigenfunction, as an ordinary
// boundary value problem with a normalisation, whose error estimate is that of package adapt. For scalar equations of second order with one
// condition at each end, a count by Sturm's oscillation theorem, which uses none of this, shows that none is missing. Nearly equal eigenvalues are
// solved for together.
//
// The parameter may occur as a polynomial, also in the conditions and at the highest derivative. It does not find complex
// eigenvalues, nor a continuous spectrum.
package eigen

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"nodespan/solver/adapt"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// Options say what is wanted.
type Options struct {
	adapt.Options
	Count, Mode int // how many eigenvalues; whose eigenfunction, from 1
	// Form of the eigenfunctions. They are one polynomial as long as that serves, unless only one form is wanted.
	Form Form
}

// Form is a form of solution.
type Form int

const (
	AnyForm       Form = iota
	OnePolynomial      // one between breaks, whatever its degree
	Pieces
)

// Value is an eigenvalue with its estimated error.
type Value struct {
	Value, Error float64
	// Multiplicity is the number of independent eigenfunctions.
	Multiplicity int
}

// Answer is what was found.
type Answer struct {
	// Values are the eigenvalues, ascending, a multiple one as often as it counts.
	Values []Value
	// Mode is the solution for the eigenfunction asked for, normalised: the largest |y| of the first unknown that does not vanish is
	// 1, and its first departure from zero is positive. nil when there is none. Its parameters are not to be used: see Values.
	Mode *adapt.Answer
	// Error is the largest estimated error: of the eigenvalues, absolute below 1 and relative above, and of the eigenfunction, relative.
	Error float64
	// Met reports that as many values as were wanted (or all there are) and the eigenfunction are within the tolerance.
	Met bool
	// Message is a clause: why it is believed, or why there is no answer.
	Message    string
	Iterations int
	// Work is the sum of the cubes of the dense matrices' sizes: a measure of the time taken that does not depend on the machine.
	Work float64

	modes []mode
	which side
	all   bool
	next  *float64 // the value after the last one, roughly; nil when not known
}

// rung is a dense discretisation: one polynomial (one between breaks), or uniform pieces, which for the same number of nodes see
// finer detail amid the interval.
type rung struct{ nodes, pieces int }

var rungs = []rung{{20, 1}, {28, 1}, {40, 1}, {56, 1}, {80, 1}, {112, 1}, {160, 1}, {224, 1}, {240, 15}, {352, 22}}

// valueFloor is the least relative error claimed for an equation of second order: rounding of the coefficients and of the
// root of a power. It grows as the fourth power of the order. Measured: the fourth wave number of a simply supported
// beam was off by 3.1e-14 where all else claimed 1.2e-14.
const valueFloor = 16.0 / (1 << 53)

// floor returns the least relative error claimed.
func (s *search) floor() float64 {
	order := 2
	for _, u := range s.p.Unknowns {
		order = max(order, u.Order)
	}
	return valueFloor * math.Pow(float64(order)/2, 4)
}

// relative returns an error as the tolerance counts it: absolute below 1 and relative above. A value that is zero as far
// as can be told is measured against the size that eigenvalues of this problem have; and a root of zero is known to
// half the digits only, however well λ^q is: that is no failing of the solution.
func (s *search) relative(value, err, powerErr float64) float64 {
	size := math.Max(1, math.Abs(value))
	if math.Abs(value) <= err {
		unit, _ := s.root(s.unit, 0)
		size = math.Max(size, unit)
	}
	if value == 0 {
		err = math.Min(err, powerErr)
	}
	return err / size
}

// valueSafety enlarges the estimates of package adapt. Measured: the fifth wave number of a clamped beam was off by 6e-12 where 1.9e-12
// was estimated, all of it rounding.
const valueSafety = 5

// mostFailures is how many discretisations may be singular, or agree on nothing with the one before, until no more are tried.
const mostFailures = 5

// mostPolish is the number of nodes up to which an eigenfunction stays one polynomial.
const mostPolish = 120

// Solve finds the first eigenvalues of a problem on a bounded interval.
func Solve(p *bvp.Problem, o Options) *Answer {
	if o.Count <= 0 {
		o.Count = 5
	}
	if o.Mode <= 0 {
		o.Mode = 1
	}
	o.Count = max(o.Count, o.Mode)
	dep, err := recognise(p)
	if err != nil {
		return &Answer{Message: err.Error()}
	}
	name := p.Parameters[0].Name
	if dep.absent {
		return &Answer{Message: fmt.Sprintf("%s is sought, but it does not occur in the equations or conditions", name)}
	}
	if dep.degree == 0 {
		return &Answer{Message: fmt.Sprintf("%s occurs otherwise than as a polynomial of degree up to %d; multiply the equation and the conditions out, or add a condition that fixes the size of the solution and give %s a value to start near", name, largestDegree, name)}
	}
	s := &search{original: p, p: p, o: o, dep: dep}
	if dep.power > 1 {
		s.p = pure(p, dep.power)
		s.dep.degree = 1
	}
	return s.run()
}

// eigenWork is the work of the eigenvalues of a dense problem over the cube of its size, elimination included. Measured.
const eigenWork = 2

// search is one run.
type search struct {
	original *bvp.Problem
	p        *bvp.Problem // with w = λ^q in the place of λ, when only that power occurs
	o        Options
	dep      dependence
	unit     float64
}

func (s *search) mesh(r rung) collocation.Mesh {
	x := append(append([]float64{s.p.A}, s.p.Breaks...), s.p.B)
	if r.pieces > 1 {
		var fine []float64
		for i := range len(x) - 1 {
			n := max(1, int(math.Round(float64(r.pieces)*(x[i+1]-x[i])/(s.p.B-s.p.A))))
			for j := range n {
				fine = append(fine, x[i]+(x[i+1]-x[i])*float64(j)/float64(n))
			}
		}
		return collocation.Uniform(append(fine, s.p.B), r.nodes/r.pieces, s.o.Family)
	}
	k := r.nodes
	return collocation.Uniform(x, max(8, k/int(math.Ceil(math.Sqrt(float64(len(x)-1))))), s.o.Family)
}

func (s *search) pencil(r rung) *pencil {
	centre := 0.0
	if q := s.p.Parameters[0]; q.HasGuess {
		centre = q.Guess / s.unit
	}
	// Any shift serves that is not an eigenvalue itself; a negative one is rarely near one.
	for _, shift := range []float64{-0.3173, -0.7391, 0.4177, -2.917, 3.731, -31.7, 53.9} {
		if pc, ok := newPencil(s.p, s.mesh(r), s.dep.degree, s.unit, centre+shift); ok {
			return pc
		}
	}
	return nil
}

func (s *search) run() (best *Answer) {
	best = &Answer{Message: "no eigenvalue was found"}
	s.unit = naturalUnit(s.p)
	guess := s.p.Parameters[0]
	var coarse []complex128
	have := false
	work, failures := 0.0, 0
	defer func() { best.Work = work }()
	shortBefore := math.Inf(1) // the error of the last answer that only lacked accuracy
	for i, r := range rungs {
		k := r.nodes
		if s.o.Context != nil && s.o.Context.Err() != nil {
			best.Message = budget.Reason(s.o.Context)
			break
		}
		if k < s.o.Count+8 && i+2 < len(rungs) {
			continue
		}
		if s.o.Progress != nil {
			s.o.Progress(fmt.Sprintf("eigenvalues of the discretisation with %d nodes", k))
		}
		pc := s.pencil(r)
		if pc == nil {
			best.Message = fmt.Sprintf("the equations are singular for every value of %s that was tried: the conditions do not hold the solution, or an equation cannot be evaluated", guess.Name)
			have = false
			if failures++; failures > mostFailures {
				break
			}
			continue
		}
		cube := math.Pow(float64(pc.grid.Unknowns()*max(1, s.dep.degree)), 3)
		work += cube
		budget.Spend(s.o.Context, eigenWork*cube)
		fine, ok := pc.values()
		if !ok {
			have = false
			continue
		}
		before := coarse
		coarse = fine
		if !have {
			have = true
			continue
		}
		pairs, alone := match(before, fine, s.unit)
		if s.dep.power > 0 && s.dep.power%2 == 0 {
			for j, m := range pairs {
				if real(m.value) < -10*m.moved-1e-7*s.unit {
					pairs[j].real = false // λ^q < 0
				}
			}
		}
		reals := realsOf(pairs)
		lo, hi, which, ok := choose(reals, alone, s.o.Count, guess.Guess, guess.HasGuess, k >= 80)
		all := false
		if !ok && len(alone) == 0 && len(reals) > 0 && len(reals) <= s.o.Count {
			lo, hi, ok, all = 0, len(reals), true, true
		}
		if !ok && k >= 80 {
			if lo, hi, ok = amongComplex(pairs, reals, alone, s.o.Count, guess.Guess); ok {
				which = complexOthers
			}
		}
		if !ok {
			if len(best.Values) == 0 {
				switch {
				case len(pairs) == 0:
					if failures++; failures > mostFailures {
						return best
					}
					best.Message = "no real eigenvalue was found: discretisations of different degrees agree on none, so that the problem may have none"
				case len(reals) == 0:
					best.Message = "no real eigenvalue was found; those on which discretisations of different degrees agree are complex"
					if len(pairs) >= s.o.Count+2 && k >= 112 {
						return best
					}
				default:
					best.Message = fmt.Sprintf("the eigenvalues are not resolved by %d nodes", k)
				}
			}
			continue
		}
		a, ok := s.polish(pc, r, reals, lo, hi, which, all)
		a.Iterations += best.Iterations
		if ok || len(a.Values) > len(best.Values) || len(a.Values) == len(best.Values) && a.Error < best.Error {
			best = a
		} else {
			best.Iterations = a.Iterations
		}
		if ok {
			break
		}
		if a.Mode != nil && !math.IsInf(a.Error, 1) {
			if a.Error > shortBefore/2 {
				break // as good as it gets
			}
			shortBefore = a.Error
		}
	}
	return best
}

// naturalUnit is a size that eigenvalues may have: where the terms with the parameter balance those without, for a half wave over
// the interval.
func naturalUnit(p *bvp.Problem) float64 {
	jet, n := p.Jet(), len(p.Unknowns)
	in, f, df := make([]float64, jet+1), make([]float64, n), make([]float64, n*(jet+1))
	slope := make([]float64, n)
	length := (p.B - p.A) / math.Pi
	var ratios []float64
	for _, x := range samplePoints(p) {
		clear(in)
		p.Equations(x, in, f, df)
		for r := range n {
			still, moving := 0.0, 0.0
			for i, u := range p.Unknowns {
				hd := 1.0
				for d := 0; d <= u.Order; d++ {
					j := p.JetOffset(i) + d
					still = math.Max(still, math.Abs(df[r*(jet+1)+j])*hd)
					moving = math.Max(moving, math.Abs(slopeOf(p, x, j, r, in, slope))*hd)
					hd /= length
				}
			}
			if moving > 0 && still > 0 && !math.IsInf(still/moving, 0) {
				ratios = append(ratios, still/moving)
			}
		}
	}
	if len(ratios) == 0 {
		for _, c := range p.Conditions {
			k := len(c.At)
			v, dg, dg1 := make([]float64, k+1), make([]float64, k+1), make([]float64, k+1)
			c.Residual(v, dg)
			v[k] = 1
			c.Residual(v, dg1)
			still, moving := 0.0, 0.0
			for j, pv := range c.At {
				hd := math.Pow(length, -float64(pv.Derivative))
				still = math.Max(still, math.Abs(dg[j])*hd)
				moving = math.Max(moving, math.Abs(dg1[j]-dg[j])*hd)
			}
			if moving > 0 && still > 0 {
				ratios = append(ratios, still/moving)
			}
		}
	}
	if len(ratios) == 0 {
		return 1
	}
	slices.Sort(ratios)
	return ratios[len(ratios)/2]
}

// slopeOf returns the derivative by the parameter of the coefficient of jet entry j in equation r, at λ = 1.
func slopeOf(p *bvp.Problem, x float64, j, r int, in, f []float64) float64 {
	jet, n := p.Jet(), len(p.Unknowns)
	df := make([]float64, n*(jet+1))
	v := append([]float64(nil), in...)
	v[j], v[jet] = 1, 1
	p.Equations(x, v, f, df)
	return df[r*(jet+1)+jet]
}

// polish solves for the eigenvalues reals[lo:hi] anew. It reports whether all is within the tolerance and nothing speaks against it.
func (s *search) polish(pc *pencil, r rung, reals []matched, lo, hi int, which side, all bool) (*Answer, bool) {
	a := &Answer{}
	first, last := lo, hi
	for first > 0 && s.same(reals[first-1], reals[first]) {
		first-- // the whole of a multiple eigenvalue, although a part of it is wanted
	}
	for last < len(reals) && s.same(reals[last-1], reals[last]) {
		last++
	}
	size := 1e-3 * s.unit
	for _, m := range reals[first:last] {
		size = math.Max(size, math.Abs(real(m.value)))
	}
	var found []mode
	for at := first; at < last; {
		m := 1
		for at+m < last && s.same(reals[at+m-1], reals[at+m]) {
			m++
		}
		group, ok := s.solveGroup(pc, r, reals[at:at+m], size, s.o.Mode-1-(at-lo), a)
		if !ok {
			return a, false
		}
		found = append(found, group...)
		at += m
	}
	slices.SortStableFunc(found, func(a, b mode) int { return cmp.Compare(a.w, b.w) })
	a.modes, a.which, a.all = found[lo-first:lo-first+(hi-lo)], which, all
	if last == hi && hi < len(reals) {
		next := real(reals[hi].value)
		a.next = &next
	}
	return a, s.report(a)
}

// report fills the answer in from its modes. It says whether all is within the tolerance and nothing speaks against it.
func (s *search) report(a *Answer) bool {
	found := a.modes
	met := true
	for i, f := range found {
		value, err := s.root(f.w, valueSafety*f.err)
		err += s.floor() * math.Abs(value)
		a.Values = append(a.Values, Value{value, err, f.multiplicity})
		e := s.relative(value, err, valueSafety*f.err)
		if i+1 == s.o.Mode {
			normalise(f.sol)
			a.Mode = f.sol
			e = math.Max(e, FunctionError(f.sol))
		}
		a.Error = math.Max(a.Error, e)
		met = met && e <= s.o.Tol
		if i > 0 && f.multiplicity == 1 && found[i-1].multiplicity == 1 && f.w-found[i-1].w <= f.err+found[i-1].err {
			a.Message = "the discretisation is too coarse to tell the eigenvalues apart"
			return false
		}
	}
	a.Message = s.sentence(a.which, len(found), a.all)
	if a.which == lowest && a.next != nil && s.sturm() {
		last := found[len(found)-1].w
		if n, ok := s.below(last + (*a.next-last)/2); ok {
			if n != len(found) {
				a.Message = "Sturm's oscillation theorem says that an eigenvalue may be missing"
				a.Error = math.Inf(1)
				return false
			}
			a.Message += "; by Sturm's oscillation theorem none is missing"
		}
	}
	if a.Mode != nil && found[s.o.Mode-1].multiplicity > 1 {
		a.Message += fmt.Sprintf("; eigenvalue %d is multiple, so that its eigenfunction is one of many", s.o.Mode)
	}
	if !a.all {
		a.Message += "; there are more, or may be"
	}
	a.Met = met
	if !met {
		a.Message = fmt.Sprintf("the estimated error is %.1g, and %.1g was asked", a.Error, s.o.Tol)
	}
	return met
}

// Continue solves p, which differs a little from the problem of an answer (a longer interval), for the same eigenvalues: each by itself, from its eigenfunction, read
// by guess. The eigenfunctions are pieces. It returns nil where that is no safe way: for multiple eigenvalues, and when a value has come nearer to another one than to its own.
func Continue(p *bvp.Problem, from *Answer, guess func(c *collocation.Curve) func(x float64, jet []float64), o Options) *Answer {
	dep, err := recognise(p)
	if err != nil || dep.degree == 0 || from.Mode == nil || o.Form == OnePolynomial {
		return nil
	}
	o.Mode = max(o.Mode, 1)
	s := &search{original: p, p: p, o: o, dep: dep}
	if dep.power > 1 {
		s.p = pure(p, dep.power)
		s.dep.degree = 1
	}
	n := min(o.Count, len(from.modes))
	size := 0.0
	for _, f := range from.modes[:n] {
		size = math.Max(size, math.Abs(f.w))
		if f.multiplicity > 1 {
			return nil
		}
	}
	a := &Answer{which: from.which, all: from.all, next: from.next}
	ao := o.Options
	given := ao.Nodes > 0 || ao.Elements > 0
	if given {
		ao.Elements = max(ao.Elements, 1)
	}
	for i, f := range from.modes[:n] {
		gap := math.Inf(1)
		if i > 0 {
			gap = f.w - from.modes[i-1].w
		}
		if i+1 < len(from.modes) {
			gap = math.Min(gap, from.modes[i+1].w-f.w)
		}
		unit := math.Max(math.Abs(f.w), 1e-3*size)
		if gap < 1e-4*unit {
			return nil
		}
		points, combine, ok := anchorsFor(s.p, []*collocation.Curve{f.sol.Curve})
		if !ok {
			return nil
		}
		read := guess(f.sol.Curve)
		scaled := func(x float64, jet []float64) {
			read(x, jet)
			for j := range jet {
				jet[j] *= combine[0][0]
			}
		}
		q := bordered(s.p, f.w, unit, []anchor{{points[0], 1}}, nil, scaled)
		sol := adapt.Pieces(q, ao)
		a.Iterations += sol.Iterations
		if sol.Curve == nil {
			return nil
		}
		modes, _ := separate([]*adapt.Answer{sol}, f.w, unit)
		if !(math.Abs(modes[0].w-f.w) < 0.25*gap) {
			return nil
		}
		a.modes = append(a.modes, modes[0])
	}
	if !s.report(a) && math.IsInf(a.Error, 1) {
		return nil
	}
	return a
}

// mode is a polished eigenvalue (of λ^q) with its eigenfunction.
type mode struct {
	w, err       float64
	multiplicity int
	sol          *adapt.Answer
}

// same reports whether two neighbours are better treated together: a multiple eigenvalue, or one so nearly multiple that each
// eigenfunction alone is hard to tell from the others.
func (s *search) same(a, b matched) bool {
	size := math.Max(math.Abs(real(a.value)), 1e-2*s.unit)
	gap := math.Abs(real(a.value) - real(b.value))
	if s.dep.degree == 1 {
		return gap <= 1e-4*size
	}
	uncertain := math.Max(1e-9*size, 3*math.Max(a.moved, b.moved))
	return gap <= math.Min(uncertain, 1e-4*size)
}

// solveGroup solves for one eigenvalue, or for several that lie together, as ordinary boundary value problems: on one polynomial, with
// more nodes until the tolerance is met; a single one then on pieces. wanted is the place in the group of the eigenfunction that must meet the
// tolerance too.
func (s *search) solveGroup(pc *pencil, r rung, group []matched, size float64, wanted int, a *Answer) ([]mode, bool) {
	m := len(group)
	mean, moved := 0.0, 0.0
	for _, g := range group {
		mean += real(g.value) / float64(m)
		moved = math.Max(moved, g.moved)
	}
	spread := real(group[m-1].value) - real(group[0].value)
	unit := math.Max(math.Abs(mean), 1e-3*size)
	curves, ok := pc.space(mean, m)
	if !ok {
		return nil, false
	}
	points, combine, ok := anchorsFor(s.p, curves)
	if !ok {
		return nil, false
	}
	basis := make([]*collocation.Curve, m)
	for i := range m {
		basis[i] = blend(curves, combine[i])
	}
	o := s.o.Options
	given := o.Nodes > 0 || o.Elements > 0
	pass := func() ([]*adapt.Answer, bool) {
		sols := make([]*adapt.Answer, m)
		for i := range m {
			anchors := make([]anchor, m)
			for j, pv := range points {
				anchors[j] = anchor{pv, 0}
			}
			anchors[i].value = 1
			others := slices.Delete(slices.Clone(basis), i, i+1)
			sol := adapt.Pieces(bordered(s.p, mean, unit, anchors, others, basis[i].At), o)
			a.Iterations += sol.Iterations
			if sol.Curve == nil {
				return nil, false
			}
			w := mean + unit*(sol.Curve.Grid().Parameters(sol.Curve.V)[0]-1)
			if !given && math.Abs(w-mean) > 20*moved+spread+1e-6*unit {
				return nil, false // another eigenvalue
			}
			sols[i] = sol
		}
		return sols, true
	}
	var best []mode
	bestQuality := math.Inf(1)
	try := func() (good bool) {
		sols, ok := pass()
		if ok && m > 1 && !given {
			// Again, about the eigenfunctions just found.
			for i, sol := range sols {
				basis[i] = sol.Curve
			}
			sols, ok = pass()
		}
		if !ok {
			return false
		}
		modes, ok := separate(sols, mean, unit)
		if !ok {
			return false
		}
		good, quality := true, 0.0
		for i, f := range modes {
			value, err := s.root(f.w, valueSafety*f.err)
			q := s.relative(value, err, valueSafety*f.err)
			if i == wanted {
				q = math.Max(q, FunctionError(f.sol))
			}
			good = good && q <= 0.5*s.o.Tol
			quality = math.Max(quality, q)
		}
		if best == nil || quality < bestQuality {
			best, bestQuality = modes, quality
		}
		return good
	}
	if given {
		o.Elements = max(o.Elements, 1)
		try()
		return best, best != nil
	}
	if (s.o.Form == Pieces || r.pieces > 1) && m == 1 {
		o.Elements, o.Nodes = 0, 0
		try()
		return best, best != nil
	}
	o.Elements = r.pieces
	if r.pieces > 1 {
		o.Nodes = r.nodes / r.pieces
		try()
		return best, best != nil
	}
	k := r.nodes
	for n := k; n == k || n <= mostPolish; n = n*3/2 + 2 {
		o.Nodes = n
		before := bestQuality
		if try() {
			return best, true
		}
		if best != nil && bestQuality > before/2 {
			return best, true // rounding; more nodes do not help
		}
		if o.Context != nil && o.Context.Err() != nil {
			return nil, false
		}
	}
	if best != nil && m == 1 && s.o.Form != OnePolynomial {
		// A sharp eigenfunction: pieces, from what there is.
		o.Elements, o.Nodes = 0, 0
		basis[0] = best[0].sol.Curve
		try()
	}
	return best, best != nil
}

// blend returns a combination of curves on one grid.
func blend(curves []*collocation.Curve, c []float64) *collocation.Curve {
	g := curves[0].Grid()
	v := g.NewVector()
	for j, f := range c {
		w := curves[j].V
		addScaled(v.U, f, w.U)
		addScaled(v.Z, f, w.Z)
		addScaled([][]float64{v.Q}, f, [][]float64{w.Q})
	}
	return g.Curve(v)
}

// separate reads the eigenvalues off the solutions of the closed problems. The solutions y_i of a group satisfy
// A y_i + Σ_l Λ_il A' y_l = 0 with a small matrix Λ, so that its eigenvalues are those of the problem, and its left eigenvectors
// combine the y_i to eigenfunctions. Where these cannot be told apart the eigenvalue is multiple, and the y_i serve themselves.
func separate(sols []*adapt.Answer, mean, unit float64) ([]mode, bool) {
	m := len(sols)
	if m == 1 {
		par := sols[0].Curve.Grid().Parameters(sols[0].Curve.V)
		// ρ is near 1: rounding of it is part of the error whatever two solutions agree on.
		return []mode{{mean + unit*(par[0]-1), unit * (sols[0].Estimate.Parameters[0] + 1.0/(1<<52)), 1, sols[0]}}, true
	}
	lambda := mat.NewDense(m, m, nil) // the transpose of Λ, less the mean
	err := 0.0
	for i, sol := range sols {
		par := sol.Curve.Grid().Parameters(sol.Curve.V)
		lambda.Set(i, i, unit*(par[0]-1))
		sum := unit * sol.Estimate.Parameters[0]
		quality := FunctionError(sol)
		for j, at := range others(m, i) {
			nu := unit * (par[1+j] - 1)
			lambda.Set(at, i, nu)
			sum += unit*sol.Estimate.Parameters[1+j] + math.Abs(nu)*quality
		}
		err = math.Max(err, sum)
	}
	err *= float64(m)
	var eig mat.Eigen
	if !finite(lambda.RawMatrix().Data) || !eig.Factorize(lambda, mat.EigenRight) {
		return nil, false
	}
	values := eig.Values(nil)
	var vectors mat.CDense
	eig.VectorsTo(&vectors)
	order := make([]int, m)
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(real(values[a]), real(values[b])) })
	gap := math.Inf(1) // the smallest distance between two
	split := true
	for i, at := range order {
		if math.Abs(imag(values[at])) > err {
			split = false
		}
		if i > 0 {
			gap = math.Min(gap, real(values[at])-real(values[order[i-1]]))
		}
	}
	var out []mode
	if !split || gap <= 10*err {
		spread := real(values[order[m-1]]) - real(values[order[0]])
		for i, at := range order {
			out = append(out, mode{mean + real(values[at]), err + math.Min(spread, 10*err) + math.Abs(imag(values[at])), m, sols[i]})
		}
		return out, true
	}
	for _, at := range order {
		c := make([]float64, m)
		for j := range m {
			c[j] = real(vectors.At(j, at))
		}
		out = append(out, mode{mean + real(values[at]), err, 1, combined(sols, c, err/gap)})
	}
	return out, true
}

// others lists 0 … m−1 without i.
func others(m, i int) []int {
	var out []int
	for j := range m {
		if j != i {
			out = append(out, j)
		}
	}
	return out
}

// combined is a combination of answers on one mesh, with its error estimate; mixing is the relative error of the coefficients.
func combined(sols []*adapt.Answer, c []float64, mixing float64) *adapt.Answer {
	var curves []*collocation.Curve
	for _, sol := range sols {
		curves = append(curves, sol.Curve)
	}
	first := sols[0].Estimate
	out := *sols[0]
	out.Curve = blend(curves, c)
	est := &adapt.Estimate{Mesh: first.Mesh, Floor: make([]float64, len(first.Floor)), Scale: make([]float64, len(first.Scale)), Parameters: first.Parameters, Sought: first.Sought}
	for range first.Local {
		est.Local = append(est.Local, make([]float64, len(first.Floor)))
	}
	largestC := rowSize(c)
	for j, sol := range sols {
		f := math.Abs(c[j])
		for i := range est.Floor {
			est.Floor[i] += f * sol.Estimate.Floor[i]
			est.Scale[i] += f * sol.Estimate.Scale[i]
			for e := range est.Local {
				est.Local[e][i] += f*sol.Estimate.Local[e][i] + mixing*largestC*sol.Estimate.Scale[i]
			}
		}
	}
	out.Estimate = est
	return &out
}

// root turns w = λ^q back into λ, with its error.
func (s *search) root(w, werr float64) (value, err float64) {
	q := s.dep.power
	if q <= 1 {
		return w, werr
	}
	r := func(w float64) float64 { return math.Copysign(math.Pow(math.Abs(w), 1/float64(q)), w) }
	if q%2 == 0 && w < 0 || math.Abs(w) <= 2*werr {
		return 0, math.Pow(math.Abs(w)+werr, 1/float64(q)) // zero, as far as can be told
	}
	return r(w), werr / (float64(q) * math.Pow(math.Abs(w)-werr, 1-1/float64(q)))
}

func (s *search) sentence(which side, n int, all bool) string {
	name := s.original.Parameters[0].Name
	values := fmt.Sprintf("%d eigenvalues", n)
	if n == 1 {
		values = "eigenvalue"
	}
	text := ""
	switch {
	case all && n == 1:
		text = "the only eigenvalue"
	case all:
		text = "all eigenvalues"
	case which == complexOthers:
		text = fmt.Sprintf("the %d real among the eigenvalues near %v, the others being complex", n, s.original.Parameters[0].Guess)
	case which == lowest:
		text = "the first " + values
	case which == highest:
		text = fmt.Sprintf("there is no least eigenvalue; the greatest %s", values)
	case s.p.Parameters[0].HasGuess:
		text = fmt.Sprintf("the %s nearest to %v", values, s.original.Parameters[0].Guess)
	default:
		text = fmt.Sprintf("there is no least eigenvalue and no greatest one; the %s nearest to 0", values)
	}
	if q := s.dep.power; q > 1 && q%2 == 0 {
		text += fmt.Sprintf(" (only even powers of %s occur: each counts with either sign)", name)
	}
	return text + ", on which two discretisations agree, each checked against a finer solution"
}

func addScaled(dst [][]float64, f float64, src [][]float64) {
	for i := range dst {
		for j, v := range src[i] {
			dst[i][j] += f * v
		}
	}
}
