package agree

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"nodespan/solver"
	"nodespan/solver/bvp"
	"nodespan/solver/ladder"
)

// ExactReport is what is found about a stated exact solution and about the computed one.
type ExactReport struct {
	// Satisfies says that the stated solution satisfies the equations and the conditions to rounding.
	Satisfies bool
	// Residual is the largest residual of an equation, relative to the sizes of its terms; Equation is which (from 0),
	// ResidualX where, and Absolute the residual itself there.
	Residual, ResidualX, Absolute float64
	Equation                      int
	// Checked counts the points at which the equations could be evaluated; none is no proof.
	Checked int
	// Misses are the conditions that it misses.
	Misses []Miss
	// Largest is the largest difference of a computed unknown from the stated one, X where, Unknown of which; RMS is
	// its root mean square over the interval, of the unknown with the largest one.
	Largest, X, RMS float64
	Unknown         int
	// Curve is the difference, computed less stated, of that unknown over the interval.
	Curve []Sample
	// Sentence says all of it.
	Sentence string
}

// Miss is a condition that the stated solution does not satisfy.
type Miss struct {
	Condition int
	// By is the residual of the condition, Relative it relative to the sizes of its terms.
	By, Relative float64
}

// Sample is a point of a curve.
type Sample struct{ X, Y float64 }

// satisfied is the relative residual that rounding in a formula and its derivatives may leave.
const satisfied = 1e-8

// MissesEquation reports whether it is an equation that the stated solution does not satisfy.
func (r *ExactReport) MissesEquation() bool { return r.Residual > satisfied }

// Exact judges a stated exact solution and measures the computed one against it. exact writes the jet at x; what it
// does not know is NaN (an unknown without a formula, a removable singularity). Unknowns that it never knows are taken
// from the computed solution. It panics where the solution is not usable.
func Exact(s *solver.Solution, exact func(x float64, jet []float64)) *ExactReport {
	if !s.Usable() {
		panic("agree: there is no solution to compare")
	}
	r := &ExactReport{}
	r.equations(s, exact)
	r.conditions(s, exact)
	r.Satisfies = r.Checked > 0 && r.Residual <= satisfied && len(r.Misses) == 0
	r.errors(s, exact)
	r.Sentence = r.sentence(s.Problem)
	return r
}

// given writes the argument of residuals at x: the stated jet, where unknown the computed one, and the sought
// parameters. It is false where the statement is silent: no entry of a jet is known.
func given(s *solver.Solution, exact func(x float64, jet []float64), x float64, in []float64) bool {
	p := s.Problem
	jet := in[:p.Jet()]
	exact(x, jet)
	computed := make([]float64, len(jet))
	known := false
	for i, u := range p.Unknowns {
		o := p.JetOffset(i)
		if math.IsNaN(jet[o]) && stated(s, exact, i) {
			return false // a removable singularity
		}
		if !math.IsNaN(jet[o]) {
			known = true
			continue
		}
		s.At(x, computed)
		copy(jet[o:o+u.Order+1], computed[o:])
	}
	for i, f := range s.Sought() {
		in[len(jet)+i] = f.Value
	}
	return known
}

// stated reports whether an unknown has a formula: a value at some point.
func stated(s *solver.Solution, exact func(x float64, jet []float64), unknown int) bool {
	p := s.Problem
	jet := make([]float64, p.Jet())
	a, b := s.Mesh[0], s.Mesh[len(s.Mesh)-1]
	for _, share := range []float64{0.31, 0.57, 0.83} {
		if exact(a+share*(b-a), jet); !math.IsNaN(jet[p.JetOffset(unknown)]) {
			return true
		}
	}
	return false
}

// equations measures the residual of the stated solution.
func (r *ExactReport) equations(s *solver.Solution, exact func(x float64, jet []float64)) {
	p := s.Problem
	n, width := len(p.Unknowns), p.Jet()+len(p.Parameters)
	in, f, df, zero := make([]float64, width), make([]float64, n), make([]float64, n*width), make([]float64, width)
	f0 := make([]float64, n)
	for _, x := range inner(s) {
		if !given(s, exact, x, in) {
			continue
		}
		p.Equations(x, in, f, df)
		p.Equations(x, zero, f0, nil)
		for i := range n {
			// The sizes of the terms: what each entry brings, and what stands without the unknowns.
			size := 0.0
			for k, v := range in {
				if t := math.Abs(df[i*width+k] * v); !math.IsNaN(t) {
					size += t
				}
			}
			if !math.IsNaN(f0[i]) && !math.IsInf(f0[i], 0) {
				size = math.Max(size, math.Abs(f0[i]))
			}
			if size == 0 {
				size = 1
			}
			if !math.IsNaN(f[i]) && !math.IsInf(f[i], 0) {
				r.Checked++
			}
			if rel := math.Abs(f[i]) / size; rel > r.Residual {
				r.Residual, r.ResidualX, r.Absolute, r.Equation = rel, x, f[i], i
			}
		}
	}
}

// inner returns points strictly inside the elements: equations may be singular at ends, and breaks have two sides.
func inner(s *solver.Solution) []float64 {
	var xs []float64
	per := max(3, samples/s.Elements)
	for e := range s.Elements {
		a, b := s.Mesh[e], s.Mesh[e+1]
		for k := range per {
			xs = append(xs, a+(b-a)*(float64(k)+0.5)/float64(per))
		}
	}
	return xs
}

// conditions measures the residuals of the conditions.
func (r *ExactReport) conditions(s *solver.Solution, exact func(x float64, jet []float64)) {
	p := s.Problem
	at := make([]float64, p.Jet()+len(p.Parameters))
	for i := range p.Conditions {
		c := &p.Conditions[i]
		v := make([]float64, len(c.At)+len(p.Parameters))
		dg := make([]float64, len(v))
		known := true
		for k, q := range c.At {
			if known = known && !math.IsInf(q.X, 0) && given(s, exact, q.X, at); known {
				v[k] = at[p.JetOffset(q.Unknown)+q.Derivative]
			}
		}
		if !known {
			continue
		}
		copy(v[len(c.At):], at[p.Jet():])
		g := c.Residual(v, dg)
		// What each value brings to the condition, and the size of the unknown's values over the interval: y(0) = 0 is
		// missed by rounding.
		size := math.Abs(c.Residual(make([]float64, len(v)), nil))
		for k := range v {
			size += math.Abs(dg[k] * v[k])
			if k < len(c.At) {
				size = math.Max(size, math.Abs(dg[k])*largest(s, exact,
					p.JetOffset(c.At[k].Unknown)+c.At[k].Derivative))
			}
		}
		if size == 0 || math.IsNaN(size) {
			size = 1
		}
		if rel := math.Abs(g) / size; rel > satisfied || math.IsNaN(g) {
			r.Misses = append(r.Misses, Miss{i, g, rel})
		}
	}
}

// largest returns the largest size of an entry of the stated jet.
func largest(s *solver.Solution, exact func(x float64, jet []float64), entry int) float64 {
	at := make([]float64, s.Problem.Jet()+len(s.Problem.Parameters))
	top := 0.0
	for k, xs := 0, inner(s); k < len(xs); k += 1 + len(xs)/32 {
		if given(s, exact, xs[k], at) && !math.IsNaN(at[entry]) {
			top = math.Max(top, math.Abs(at[entry]))
		}
	}
	return top
}

// errors measures the computed solution.
func (r *ExactReport) errors(s *solver.Solution, exact func(x float64, jet []float64)) {
	p := s.Problem
	xs := append(points(s), inner(s)...)
	if math.IsInf(p.A, 0) || math.IsInf(p.B, 0) {
		xs = append(s.Points(), inner(s)...)
	}
	slices.Sort(xs)
	xs = slices.Compact(xs)
	known, computed := make([]float64, p.Jet()), make([]float64, p.Jet())
	curves := make([][]Sample, len(p.Unknowns))
	r.X = math.NaN()
	for _, x := range xs {
		if math.IsInf(x, 0) {
			continue
		}
		exact(x, known)
		s.At(x, computed)
		for i := range p.Unknowns {
			o := p.JetOffset(i)
			d := computed[o] - known[o]
			if math.IsNaN(d) {
				continue
			}
			curves[i] = append(curves[i], Sample{x, d})
			if math.Abs(d) > r.Largest || math.IsNaN(r.X) {
				r.Largest, r.X, r.Unknown = math.Abs(d), x, i
			}
		}
	}
	r.Curve = curves[r.Unknown]
	// The mean square by trapezia over the samples.
	sum, length := 0.0, 0.0
	for i := 1; i < len(r.Curve); i++ {
		a, b := r.Curve[i-1], r.Curve[i]
		sum += (b.X - a.X) * (a.Y*a.Y + b.Y*b.Y) / 2
		length += b.X - a.X
	}
	if length > 0 {
		r.RMS = math.Sqrt(sum / length)
	}
}

// Numbers writes the numbers of sentences: sizes, and places on the axis.
type Numbers struct{ Size, Place func(v float64) string }

// plainly writes them for a line of text.
var plainly = Numbers{
	Size:  func(v float64) string { return fmt.Sprintf("%.2g", v) },
	Place: func(v float64) string { return fmt.Sprintf("%.6g", v) },
}

// Faults says what is wrong with the stated solution, "" where it satisfies the problem.
func (r *ExactReport) Faults(p *bvp.Problem, n Numbers) string {
	var faults []string
	switch {
	case math.IsNaN(r.X):
		faults = append(faults, "has no value in the interval")
	case r.Checked == 0:
		faults = append(faults, "cannot be put into the equation, which has no value there")
	case r.MissesEquation():
		which := "the equation"
		if len(p.Unknowns) > 1 {
			which = fmt.Sprintf("equation %d", r.Equation+1)
		}
		faults = append(faults, fmt.Sprintf("does not satisfy %s: its sides differ by %s at %s = %s, %s of the size "+
			"of its terms", which, n.Size(math.Abs(r.Absolute)), p.VariableName(), n.Place(r.ResidualX),
			n.Size(r.Residual)))
	}
	for _, m := range r.Misses {
		text := p.Conditions[m.Condition].Text
		if text == "" {
			text = fmt.Sprintf("condition %d", m.Condition+1)
		}
		faults = append(faults, fmt.Sprintf("misses %s by %s", text, n.Size(math.Abs(m.By))))
	}
	if len(faults) == 0 {
		return ""
	}
	return "the exact solution " + strings.Join(faults, "; it ")
}

// Measured says how far the computed solution is from the stated one, "" where that has no value.
func (r *ExactReport) Measured(p *bvp.Problem, n Numbers) string {
	if math.IsNaN(r.X) {
		return ""
	}
	text := fmt.Sprintf("from the exact solution, %s differs by at most %s, at %s = %s, and by %s in the root mean "+
		"square", p.Unknowns[r.Unknown].Name, n.Size(r.Largest), p.VariableName(), n.Place(r.X), n.Size(r.RMS))
	if r.Satisfies {
		text += "; the exact solution satisfies the equation and the conditions"
	}
	return text
}

func (r *ExactReport) sentence(p *bvp.Problem) string {
	faults, measured := r.Faults(p, plainly), r.Measured(p, plainly)
	if faults != "" && measured != "" {
		return faults + "; " + measured
	}
	return faults + measured
}

// Against adds what a ladder measures against to its options: the stated exact solution, by unknown and as a jet,
// where it satisfies the problem. The report is nil where none is stated (the jet is nil), or there is nothing to judge
// it by.
func Against(o ladder.Options, p *bvp.Problem, exact func(x float64, unknown int) (float64, bool),
	jet func(x float64, jet []float64)) (ladder.Options, *ExactReport) {
	if jet == nil {
		return o, nil
	}
	s, report := Reference(context.Background(), p, jet)
	if report != nil && report.Satisfies {
		o.Exact, o.Reference = exact, s
	}
	return o, report
}

// Reference solves the problem as finely as other solutions of it can be measured against, and judges a stated exact
// solution by it: where that satisfies the problem, they are better measured against it. The report is nil where none
// is stated, or there is nothing to judge it by.
func Reference(ctx context.Context, p *bvp.Problem, exact func(x float64, jet []float64)) (*solver.Solution,
	*ExactReport) {
	s := solver.MustSolve(p, solver.Options{Tol: 1e-12, Context: ctx})
	if exact == nil || !s.Usable() {
		return s, nil
	}
	return s, Exact(s, exact)
}
