package unbounded

import (
	"math"

	"nodespan/solver/adapt"
	"nodespan/solver/bvp"
	"nodespan/solver/newton"
)

// shifted says why an answer on the whole line is not the only one: nothing in the problem names a place on the line,
// so that any solution that varies may be moved along it. It is "" where that is not so, or where the answer is
// constant and the first guess asks for no other. a is nil before anything was solved; then two different limits tell
// that a solution must vary.
func shifted(p *bvp.Problem, a *Answer) string {
	if !placeless(p) {
		return ""
	}
	const advice = "nothing fixes its place: where there is a solution, it may be moved along the line, so " +
		"that there are " +
		"infinitely many; give a condition at a finite point in the place of one at infinity"
	switch {
	case a == nil && unequalLimits(p):
		return advice
	case a != nil && a.Curve != nil && a.Estimate != nil && (varies(p, a.Answer) || guessVaries(p)):
		return advice
	}
	return ""
}

// placeless reports whether no equation depends on the variable and every condition is at infinity.
func placeless(p *bvp.Problem) bool {
	if !math.IsInf(p.A, -1) || !math.IsInf(p.B, 1) || len(p.Breaks) > 0 || len(p.Parameters) > 0 || p.Formulas == nil {
		return false
	}
	for _, c := range p.Conditions {
		for _, v := range c.At {
			if !math.IsInf(v.X, 0) {
				return false
			}
		}
	}
	fixed := make([]bvp.Enclosure, len(p.Formulas.Moving))
	p.Formulas.Enclose(-math.MaxFloat64, math.MaxFloat64, nil, fixed)
	for i, moves := range p.Formulas.Moving {
		if !moves && fixed[i].Lo != fixed[i].Hi {
			return false
		}
	}
	// What is no function, power or quotient shows at any place.
	in := make([]float64, p.Jet())
	f, first := make([]float64, len(p.Unknowns)), make([]float64, len(p.Unknowns))
	for k := range 3 {
		for i := range in {
			in[i] = 0.3 + 0.17*float64((3*i+k)%7)
		}
		p.Equations(-1.3, in, first, nil)
		for _, x := range []float64{0.7, 2.9, -31.1} {
			p.Equations(x, in, f, nil)
			for r, v := range f {
				if v != first[r] && !(math.IsNaN(v) && math.IsNaN(first[r])) {
					return false
				}
			}
		}
	}
	return true
}

// unequalLimits reports whether conditions give an unknown different limits at the two ends.
func unequalLimits(p *bvp.Problem) bool {
	limits := map[int][]float64{}
	for _, c := range p.Conditions {
		if len(c.At) != 1 || c.At[0].Derivative != 0 {
			continue
		}
		in, slope := []float64{0}, []float64{0}
		at0 := c.Residual(in, slope)
		if v := -at0 / slope[0]; slope[0] != 0 && !math.IsInf(v, 0) && !math.IsNaN(v) {
			in[0] = v
			if math.Abs(c.Residual(in, nil)) <= 1e-12*math.Abs(at0) { // a plain value
				limits[c.At[0].Unknown] = append(limits[c.At[0].Unknown], v)
			}
		}
	}
	for _, l := range limits {
		for _, v := range l[1:] {
			if math.Abs(v-l[0]) > 1e-9*math.Max(math.Abs(v), math.Abs(l[0])) {
				return true
			}
		}
	}
	return false
}

// guessVaries reports whether the first guess has a slope at some place.
func guessVaries(p *bvp.Problem) bool {
	if p.Guess == nil {
		return false
	}
	jet := make([]float64, p.Jet())
	for _, x := range []float64{-31.1, -1.3, 0.7, 2.9} {
		p.Guess(x, jet)
		for i := range p.Unknowns {
			if jet[p.JetOffset(i)+1] != 0 {
				return true
			}
		}
	}
	return false
}

// varies reports whether a derivative differs from zero by more than its error.
func varies(p *bvp.Problem, a *adapt.Answer) bool {
	e := a.Estimate
	for i, u := range p.Unknowns {
		o := p.JetOffset(i) + 1
		if u.Order == 0 {
			continue
		}
		noise := e.Floor[o]
		for _, l := range e.Local {
			noise = math.Max(noise, l[o]+e.Floor[o])
		}
		if e.Scale[o] > 4*noise {
			return true
		}
	}
	return false
}

// adrift is the answer to a problem whose solution may be shifted.
func adrift(why string) *Answer {
	return &Answer{Answer: &adapt.Answer{Error: math.Inf(1), Reason: why, Outcome: newton.Singular, Singular: true},
		Failed: true}
}
