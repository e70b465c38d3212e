package agree

import (
	"context"
	"fmt"
	"math"
	"slices"

	"nodespan/solver"
	"nodespan/solver/bvp"
	"nodespan/solver/unbounded"
)

// Options of a comparison. The zero value compares with every other method, over the interval.
type Options struct {
	// Methods are the second methods; nil means all that the solution did not use.
	Methods []solver.Method
	// At are points of the interval at which the agreement is told one by one.
	At []float64
	// Context, when not nil, ends the work early.
	Context context.Context
}

// Report is a comparison with one or more second methods.
type Report struct {
	Checks []Check
	// Disagree says that a second method differs by more than the error estimates allow.
	Disagree bool
	// Digits is what the best of the second methods confirms everywhere; 0 without one.
	Digits float64
}

// Check is the comparison with one method.
type Check struct {
	Method solver.Method
	// How says what it was: "pieces (5 elements)".
	How string
	// Solution is the second solution; Usable() is false where it has none, and its Message says why.
	Solution *solver.Solution
	// Largest is the largest difference relative to the largest value of its unknown, that unknown and the place.
	Largest float64
	Unknown int
	X       float64
	// Digits is −log10 of Largest: to how many digits the two agree everywhere, at most 16.
	Digits float64
	// Excess is the largest ratio of a difference to what both estimates together allow; above 1 they disagree.
	Excess float64
	// ExcessX is where; NaN where it is a sought number that differs.
	ExcessX float64
	// Points are the points of Options.At, for each all unknowns.
	Points []Point
	// Sought are the digits to which the sought parameters agree, an eigenvalue among them.
	Sought []float64
}

// Point is the comparison of one value.
type Point struct {
	X             float64
	Unknown       int
	First, Second float64
	// Digits is to how many digits they agree, relative to the value itself; at most 16.
	Digits float64
}

// Limits and allowances.
const (
	samples  = 400
	most     = 16     // digits of a double
	doubt    = 2      // times the estimates: two honest estimates may both be a little short
	rounding = 1e-13  // relative: what neither estimate has to cover
	split    = 4      // pieces, when pieces are to differ from one polynomial
	finest   = 1e-11  // the tolerance asked of differences at most
	highFrom = 1.1e-7 // below this tolerance differences are of order 8, else of order 4
)

// Compare solves the solution's problem by other methods and compares. An unbounded interval is cut off at another
// length for them, and what is compared is on the shorter one; the eigenvalue of the eigenfunction that the solution is
// becomes a sought number. The solution must be usable; it panics otherwise.
func Compare(s *solver.Solution, o Options) *Report {
	if !s.Usable() {
		panic("agree: there is no solution to compare")
	}
	r := &Report{}
	methods := o.Methods
	if methods == nil {
		for _, m := range []solver.Method{solver.One, solver.Pieces, solver.Differences} {
			if m != s.Method {
				methods = append(methods, m)
			}
		}
	}
	for _, m := range methods {
		c := Check{Method: m, Solution: second(s, m, o.Context)}
		c.How = how(c.Solution)
		if c.Solution.Usable() {
			c.compare(s, o.At)
			r.Disagree = r.Disagree || c.Excess > 1
			r.Digits = math.Max(r.Digits, c.Digits)
		}
		r.Checks = append(r.Checks, c)
	}
	return r
}

// second solves the problem again. A nonlinear iteration starts from the first solution, so that it goes for the same
// one; the equations that it has to satisfy are its own.
func second(s *solver.Solution, m solver.Method, ctx context.Context) *solver.Solution {
	q := posed(s)
	q.Guess = s.At
	q.Parameters = slices.Clone(q.Parameters)
	for i, f := range s.Sought() {
		q.Parameters[i].Guess, q.Parameters[i].HasGuess = f.Value, true
	}
	o := solver.Options{Method: m, Tol: s.Tol, Context: ctx}
	switch m {
	case solver.Differences:
		// Differences that lean on a collocation solution would be no second opinion of one.
		o.Tol, o.Order, o.Alone = math.Max(o.Tol, finest), 4, true
		if o.Tol < highFrom {
			o.Order = 8
		}
	case solver.Pieces:
		if s.Method == solver.One { // one piece would be the same polynomial
			o.Elements = split
		}
	}
	return solver.MustSolve(q, o)
}

// farther is by how much of the length an unbounded interval is cut off elsewhere for a second solution.
const farther = 0.3

// posed returns a copy of the problem for a method that knows neither infinity nor eigenvalues: an unbounded interval
// is cut off, and not where it was before; of an eigenvalue problem the eigenvalue is a sought parameter, for which the
// eigenfunction's largest value is given.
func posed(s *solver.Solution) *bvp.Problem {
	q := *s.Problem
	a, b := span(s)
	if w := farther * (b - a); math.IsInf(q.A, 0) || math.IsInf(q.B, 0) {
		if math.IsInf(q.A, 0) {
			a -= w
		}
		if math.IsInf(q.B, 0) {
			b += w
		}
		q = *unbounded.Truncate(&q, a, b)
	}
	if len(s.Eigenvalues) > 0 {
		q.Conditions = append(slices.Clone(q.Conditions), normalised(s))
	}
	return &q
}

// normalised is the condition that an unknown has the largest value of the solution where it has it.
func normalised(s *solver.Solution) bvp.Condition {
	jet := make([]float64, s.Problem.Jet())
	at, top := bvp.PointValue{}, 0.0
	for _, x := range points(s) {
		s.At(x, jet)
		for i := range s.Problem.Unknowns {
			if v := jet[s.Problem.JetOffset(i)]; math.Abs(v) > math.Abs(top) {
				at, top = bvp.PointValue{Unknown: i, X: x}, v
			}
		}
	}
	return bvp.Condition{At: []bvp.PointValue{at}, Residual: func(in, dg []float64) float64 {
		if dg != nil {
			clear(dg)
			dg[0] = 1
		}
		return in[0] - top
	}}
}

// span returns the interval on which the solution was calculated; it is finite.
func span(s *solver.Solution) (a, b float64) { return s.Mesh[0], s.Mesh[len(s.Mesh)-1] }

func how(s *solver.Solution) string {
	switch {
	case !s.Usable() && s.Method == solver.Differences:
		return "finite differences"
	case s.Method == solver.One:
		return "one polynomial"
	case s.Method == solver.Differences:
		return fmt.Sprintf("finite differences of order %d on %d steps", s.Degree, s.Elements)
	case s.Usable():
		return fmt.Sprintf("%d pieces", s.Elements)
	}
	return "pieces"
}

// Subject is How as the subject of a sentence, whose verb is in the plural.
func (c *Check) Subject() string {
	if c.Solution.Method == solver.One {
		return "the values of one polynomial"
	}
	return c.How
}

// compare fills the check in.
func (c *Check) compare(s *solver.Solution, at []float64) {
	p := s.Problem
	a, b := make([]float64, p.Jet()), make([]float64, p.Jet())
	ea, eb := make([]float64, p.Jet()), make([]float64, p.Jet())
	xs := points(s, c.Solution)
	scale := make([]float64, len(p.Unknowns))
	for _, x := range xs {
		s.At(x, a)
		for i := range scale {
			scale[i] = math.Max(scale[i], math.Abs(a[p.JetOffset(i)]))
		}
	}
	for _, x := range xs {
		s.At(x, a)
		c.Solution.At(x, b)
		s.ErrorAt(x, ea)
		c.Solution.ErrorAt(x, eb)
		for i := range scale {
			o := p.JetOffset(i)
			d := math.Abs(a[o] - b[o])
			size := scale[i]
			if size == 0 {
				size = 1
			}
			if d/size > c.Largest {
				c.Largest, c.Unknown, c.X = d/size, i, x
			}
			if e := d / (doubt*(ea[o]+eb[o]) + rounding*size); e > c.Excess {
				c.Excess, c.ExcessX = e, x
			}
		}
	}
	c.Digits = digits(c.Largest)
	second := c.Solution.Sought()
	for i, f := range s.Sought() {
		if i >= len(second) {
			break
		}
		g := second[i]
		d := math.Abs(f.Value - g.Value)
		size := math.Max(math.Abs(f.Value), math.Abs(g.Value))
		c.Sought = append(c.Sought, digits(d/size))
		if e := d / (doubt*(f.Error+g.Error) + rounding*size); e > c.Excess {
			c.Excess, c.ExcessX = e, math.NaN()
		}
	}
	for _, x := range at {
		s.At(x, a)
		c.Solution.At(x, b)
		for i := range scale {
			v, w := a[p.JetOffset(i)], b[p.JetOffset(i)]
			c.Points = append(c.Points, Point{x, i, v, w, digits(math.Abs(v-w) / math.Max(math.Abs(v), math.Abs(w)))})
		}
	}
}

// digits returns −log10, within 0 and 16; the difference of 0 and 0, relative to 0, is none.
func digits(relative float64) float64 {
	if relative == 0 || math.IsNaN(relative) {
		return most
	}
	return math.Min(math.Max(-math.Log10(relative), 0), most)
}

// points returns the points at which solutions are compared: equal steps, and the table points of each.
func points(all ...*solver.Solution) []float64 {
	a, b := span(all[0])
	var xs []float64
	for i := range samples + 1 {
		xs = append(xs, a+(b-a)*float64(i)/samples)
	}
	xs[samples] = b
	for _, s := range all {
		for _, x := range s.Points() {
			if a <= x && x <= b {
				xs = append(xs, x)
			}
		}
	}
	slices.Sort(xs)
	return slices.Compact(xs)
}
