// Package eigen solves eigenvalue problems: a sought number in linear equations and conditions that are all homogeneous, so that
// there is a solution other than zero for certain values of that number only. It knows no text.
//
// The problem is discretised by collocation on one polynomial (one per stretch between breaks), and all eigenvalues of the dense
// matrix pencil are computed at two degrees: what the two agree on is an eigenvalue of the problem, the rest is an artefact of the
// discretisation (J. P. Boyd, Chebyshev and Fourier Spectral Methods, 2nd ed., 2001, chapter 7). Degrees climb until no artefact
// lies among the wanted ones. Each of these is then solved for anew, together with its eigenfunction, as an ordinary
// boundary value problem with a normalisation, whose error estimate is that of package adapt. For scalar equations of second order with one
// condition at each end, the zeros of the eigenfunctions show that none is missing (Sturm's oscillation theorem).
//
// The parameter may occur as a polynomial, also in the conditions and at the highest derivative. It does not find complex
// eigenvalues, nor a continuous spectrum.
package eigen

import (
	"fmt"
	"math"
	"slices"

	"nodespan/solver/adapt"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// Options say what is wanted.
type Options struct {
	adapt.Options
	Count, Mode int // how many eigenvalues; whose eigenfunction, from 1
}

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
}

// rungs are the numbers of nodes of the dense discretisations.
var rungs = []int{20, 28, 40, 56, 80, 112, 160, 224}

// valueFloor is the least relative error claimed: rounding of the coefficients and of the root of a power.
const valueFloor = 16.0 / (1 << 53)

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

// search is one run.
type search struct {
	original *bvp.Problem
	p        *bvp.Problem // with w = λ^q in the place of λ, when only that power occurs
	o        Options
	dep      dependence
	unit     float64
	answer   *Answer
}

func (s *search) mesh(k int) collocation.Mesh {
	x := append(append([]float64{s.p.A}, s.p.Breaks...), s.p.B)
	return collocation.Uniform(x, max(8, k/int(math.Ceil(math.Sqrt(float64(len(x)-1))))), s.o.Family)
}

func (s *search) pencil(k int) *pencil {
	centre := 0.0
	if q := s.p.Parameters[0]; q.HasGuess {
		centre = q.Guess / s.unit
	}
	// Any shift serves that is not an eigenvalue itself; a negative one is rarely near one.
	for _, shift := range []float64{-0.3173, -0.7391, 0.4177, -2.917, 3.731, -31.7, 53.9} {
		if pc, ok := newPencil(s.p, s.mesh(k), s.dep.degree, s.unit, centre+shift); ok {
			return pc
		}
	}
	return nil
}

func (s *search) run() *Answer {
	best := &Answer{Message: "no eigenvalue was found"}
	s.unit = naturalUnit(s.p)
	guess := s.p.Parameters[0]
	var coarse []complex128
	have := false
	for i, k := range rungs {
		if s.o.Context != nil && s.o.Context.Err() != nil {
			best.Message = "the work was cancelled"
			break
		}
		if k < s.o.Count+8 && i+2 < len(rungs) {
			continue
		}
		if s.o.Progress != nil {
			s.o.Progress(fmt.Sprintf("eigenvalues of the discretisation with %d nodes", k))
		}
		pc := s.pencil(k)
		if pc == nil {
			best.Message = fmt.Sprintf("the equations are singular for every value of %s that was tried: the conditions do not hold the solution, or an equation cannot be evaluated", guess.Name)
			have = false
			continue
		}
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
		chosen, which, ok := choose(pairs, alone, s.o.Count, guess.Guess, guess.HasGuess, k >= 80)
		if !ok && len(alone) == 0 {
			chosen, ok = everything(pairs, s.o.Count)
		}
		if !ok {
			if len(best.Values) == 0 {
				best.Message = fmt.Sprintf("the eigenvalues are not resolved by a polynomial through %d nodes", k)
			}
			continue
		}
		a, ok := s.polish(pc, k, chosen, which)
		a.Iterations += best.Iterations
		if ok || len(a.Values) > len(best.Values) || len(a.Values) == len(best.Values) && a.Error < best.Error {
			best = a
		} else {
			best.Iterations = a.Iterations
		}
		if ok {
			break
		}
	}
	return best
}

// everything takes all real eigenvalues, up to count: for problems that have a few only.
func everything(pairs []matched, count int) ([]matched, bool) {
	var out []matched
	for _, m := range pairs {
		if m.real {
			out = append(out, m)
		}
	}
	slices.SortFunc(out, func(a, b matched) int {
		switch {
		case real(a.value) < real(b.value):
			return -1
		case real(a.value) > real(b.value):
			return 1
		}
		return 0
	})
	return out[:min(len(out), count)], len(out) > 0
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

// polish solves for each chosen eigenvalue anew. It reports whether all is within the tolerance and nothing speaks against it.
func (s *search) polish(pc *pencil, k int, chosen []matched, which side) (*Answer, bool) {
	a := &Answer{}
	met := true
	size := 0.0
	for _, m := range chosen {
		size = math.Max(size, math.Abs(real(m.value)))
	}
	size = math.Max(size, 1e-3*s.unit)
	var modes []*adapt.Answer
	for at := 0; at < len(chosen); {
		m := 1
		for at+m < len(chosen) && s.same(chosen[at+m-1], chosen[at+m]) {
			m++
		}
		group := chosen[at : at+m]
		mean := 0.0
		for _, g := range group {
			mean += real(g.value) / float64(m)
		}
		unit := math.Max(math.Abs(mean), 1e-3*size)
		spaces, ok := pc.space(mean, m)
		if !ok {
			return a, false
		}
		var curves []*collocation.Curve
		for _, v := range spaces {
			curves = append(curves, pc.grid.Curve(v))
		}
		points, combine, ok := anchorsFor(s.p, curves)
		if !ok {
			return a, false
		}
		blend := func(i int) *collocation.Curve {
			v := pc.grid.NewVector()
			for j, c := range combine[i] {
				addScaled(v.U, c, spaces[j].U)
				addScaled(v.Z, c, spaces[j].Z)
				addScaled([][]float64{v.Q}, c, [][]float64{spaces[j].Q})
			}
			return pc.grid.Curve(v)
		}
		var blends []*collocation.Curve
		for i := range m {
			blends = append(blends, blend(i))
		}
		for i := range m {
			var anchors []anchor
			for j, pv := range points {
				value := 0.0
				if i == j {
					value = 1
				}
				anchors = append(anchors, anchor{pv, value})
			}
			others := slices.Delete(slices.Clone(blends), i, i+1)
			q := bordered(s.p, mean, unit, anchors, others, blends[i].At)
			wanted := at+i+1 == s.o.Mode
			sol, ok := s.one(q, k, unit, wanted, a, mean, group[0].moved)
			if !ok {
				return a, false
			}
			par := sol.Curve.Grid().Parameters(sol.Curve.V)
			w := mean + unit*(par[0]-1)
			werr := unit * sol.Estimate.Parameters[0]
			for j := range others {
				werr += unit * (math.Abs(par[1+j]-1) + sol.Estimate.Parameters[1+j])
			}
			value, verr := s.root(w, werr)
			verr += valueFloor * math.Abs(value)
			a.Values = append(a.Values, Value{value, verr, m})
			modes = append(modes, sol)
			e := verr / math.Max(1, math.Abs(value))
			if wanted {
				normalise(sol)
				a.Mode = sol
				e = math.Max(e, functionError(sol))
			}
			a.Error = math.Max(a.Error, e)
			met = met && e <= s.o.Tol
		}
		at += m
	}
	// Ascending, and each as far from the next as its error says.
	for i := 1; i < len(a.Values); i++ {
		if a.Values[i].Value < a.Values[i-1].Value {
			if a.Values[i].Multiplicity == 1 || a.Values[i-1].Multiplicity == 1 {
				return a, false
			}
			a.Values[i].Value = a.Values[i-1].Value
		}
	}
	a.Message = s.sentence(which, len(chosen))
	if which == lowest && s.sturm() {
		last := -1
		for i, sol := range modes {
			n := zeros(sol.Curve)
			if i == 0 && n != 0 || i > 0 && n != last+1 {
				a.Message = "the zeros of the eigenfunctions say that an eigenvalue may be missing"
				a.Error = math.Inf(1)
				return a, false
			}
			last = n
		}
		a.Message += ", and the zeros of their eigenfunctions show that none is missing"
	}
	a.Message += "; there may be more"
	a.Met = met
	if !met {
		a.Message = fmt.Sprintf("the estimated error is %.1g, and %.1g was asked", a.Error, s.o.Tol)
	}
	return a, met
}

// same reports whether two neighbours are one multiple eigenvalue as far as can be told.
func (s *search) same(a, b matched) bool {
	size := math.Max(math.Abs(real(a.value)), 1e-2*s.unit)
	uncertain := math.Max(1e-9*size, 3*math.Max(a.moved, b.moved))
	return math.Abs(real(a.value)-real(b.value)) <= math.Min(uncertain, 1e-4*size)
}

// one solves the closed problem on one polynomial, with more nodes until the tolerance is met, then on pieces.
func (s *search) one(q *bvp.Problem, k int, unit float64, wanted bool, a *Answer, mean, moved float64) (*adapt.Answer, bool) {
	o := s.o.Options
	given := o.Nodes > 0 || o.Elements > 0
	var last *adapt.Answer
	accept := func(sol *adapt.Answer) bool {
		a.Iterations += sol.Iterations
		if sol.Curve == nil {
			return false
		}
		par := sol.Curve.Grid().Parameters(sol.Curve.V)
		w := mean + unit*(par[0]-1)
		if !given && math.Abs(w-mean) > 20*moved+1e-6*unit {
			return false // another eigenvalue
		}
		if last == nil || quality(sol, wanted) < quality(last, wanted) {
			last = sol
		}
		value, verr := s.root(w, unit*sol.Estimate.Parameters[0])
		good := verr <= 0.5*s.o.Tol*math.Max(1, math.Abs(value))
		if wanted {
			good = good && functionError(sol) <= 0.5*s.o.Tol
		}
		return good
	}
	if given {
		if o.Elements == 0 {
			o.Elements = 1
		}
		accept(adapt.Pieces(q, o))
		return last, last != nil
	}
	o.Elements = 1
	for n := k; n <= mostPolish; n = n*3/2 + 2 {
		o.Nodes = n
		if accept(adapt.Pieces(q, o)) {
			return last, true
		}
	}
	if last != nil {
		// A sharp eigenfunction: pieces, from what there is.
		o.Elements, o.Nodes = 0, 0
		q.Guess = last.Curve.At
		accept(adapt.Pieces(q, o))
	}
	return last, last != nil
}

func quality(sol *adapt.Answer, wanted bool) float64 {
	e := sol.Estimate.Parameters[0]
	if wanted {
		e = math.Max(e, functionError(sol))
	}
	if math.IsNaN(e) {
		return math.Inf(1)
	}
	return e
}

// root turns w = λ^q back into λ, with its error.
func (s *search) root(w, werr float64) (value, err float64) {
	q := s.dep.power
	if q <= 1 {
		return w, werr
	}
	r := func(w float64) float64 { return math.Copysign(math.Pow(math.Abs(w), 1/float64(q)), w) }
	if q%2 == 0 && w < 0 {
		return 0, math.Pow(math.Abs(w)+werr, 1/float64(q))
	}
	if math.Abs(w) <= 2*werr {
		return r(w), math.Pow(math.Abs(w)+werr, 1/float64(q)) + math.Abs(r(w))
	}
	return r(w), werr / (float64(q) * math.Pow(math.Abs(w)-werr, 1-1/float64(q)))
}

func (s *search) sentence(which side, n int) string {
	name := s.original.Parameters[0].Name
	text := ""
	switch which {
	case lowest:
		text = fmt.Sprintf("the first %d eigenvalues", n)
	case highest:
		text = fmt.Sprintf("the eigenvalues have no least one: these are the %d greatest", n)
	case nearest:
		if s.p.Parameters[0].HasGuess {
			text = fmt.Sprintf("the %d eigenvalues nearest to %v", n, s.original.Parameters[0].Guess)
		} else {
			text = fmt.Sprintf("the eigenvalues have neither a least nor a greatest one: these are the %d nearest to 0", n)
		}
	}
	if q := s.dep.power; q > 1 && q%2 == 0 {
		text += fmt.Sprintf(" (only even powers of %s occur: each counts with either sign)", name)
	}
	return text + ", agreed on by two discretisations and each checked against a finer solution"
}

// sturm reports whether Sturm's oscillation theorem applies: one equation of second order, linear in λ with a coefficient of y alone that keeps its sign,
// and one condition, free of λ, at each end.
func (s *search) sturm() bool {
	p := s.p
	if len(p.Unknowns) != 1 || p.Unknowns[0].Order != 2 || s.dep.degree != 1 {
		return false
	}
	seenA, seenB := false, false
	for _, c := range p.Conditions {
		k := len(c.At)
		at := math.NaN()
		for j, pv := range c.At {
			if j > 0 && pv.X != at || pv.Derivative > 1 {
				return false
			}
			at = pv.X
			v, dg := make([]float64, k+1), make([]float64, k+1)
			v[j] = 1
			c.Residual(v, dg)
			if dg[k] != 0 {
				return false
			}
		}
		seenA = seenA || at == p.A
		seenB = seenB || at == p.B
	}
	if !seenA || !seenB {
		return false
	}
	sign := 0.0
	in, f, df := make([]float64, 4), make([]float64, 1), make([]float64, 4)
	const points = 200
	for i := range points {
		x := p.A + (p.B-p.A)*(float64(i)+0.5)/points
		for j := range 3 {
			clear(in)
			in[j] = 1
			p.Equations(x, in, f, df)
			if j > 0 && df[3] != 0 {
				return false
			}
			if j == 0 {
				v := df[3] * df[2] // the sign of the weight relative to the highest derivative
				if v == 0 || sign*v < 0 || math.IsNaN(v) {
					return false
				}
				sign = math.Copysign(1, v)
			}
		}
	}
	return true
}

// zeros counts the sign changes of the unknown strictly inside the interval.
func zeros(c *collocation.Curve) int {
	g := c.Grid()
	_, top := largest(c, 0)
	threshold := 1e-7 * math.Abs(top)
	jet := make([]float64, g.P.Jet())
	count, sign := 0, 0.0
	for e, k := range g.Mesh.Nodes {
		n := 6*k + 20
		for j := 0; j <= n; j++ {
			c.In(e, g.Mesh.X[e]+(g.Mesh.X[e+1]-g.Mesh.X[e])*(1-math.Cos(math.Pi*float64(j)/float64(n)))/2, jet)
			if math.Abs(jet[0]) < threshold {
				continue
			}
			if v := math.Copysign(1, jet[0]); v != sign {
				if sign != 0 {
					count++
				}
				sign = v
			}
		}
	}
	return count
}

func addScaled(dst [][]float64, f float64, src [][]float64) {
	for i := range dst {
		for j, v := range src[i] {
			dst[i][j] += f * v
		}
	}
}
