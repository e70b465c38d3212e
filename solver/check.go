package solver

import (
	"fmt"
	"math"
	"math/rand"
	"slices"

	"nodespan/solver/bvp"
	"nodespan/solver/nodes"
)

// An OptionError says which of the Options cannot be met, and why.
type OptionError struct {
	Option string // the name of the field
	Value  any
	Want   string // what it has to be
}

func (e *OptionError) Error() string {
	return fmt.Sprintf("option %s is %v; it must be %s", e.Option, e.Value, e.Want)
}

// Check reports the first option that cannot be met, as an *OptionError.
func (o *Options) Check() error {
	wrong := func(option string, value any, want string) error { return &OptionError{option, value, want} }
	methods := []Method{"", Auto, One, Pieces, Differences}
	orders := []int{0, 2, 4, 6, 8}
	switch {
	case !slices.Contains(methods, o.Method):
		return wrong("Method", fmt.Sprintf("%q", o.Method), `"auto", "one", "pieces" or "differences"`)
	case !slices.Contains(nodes.Families(), o.Family):
		return wrong("Family", int(o.Family), "one of package nodes")
	case o.Nodes < 0 || o.Nodes > MostNodes:
		return wrong("Nodes", o.Nodes, fmt.Sprintf("0 (the solver chooses) to %d", MostNodes))
	case !slices.Contains(orders, o.Order):
		return wrong("Order", o.Order, "0, 2, 4, 6 or 8")
	case o.Elements < 0 || o.Elements > MostElements:
		return wrong("Elements", o.Elements, fmt.Sprintf("0 (the solver chooses) to %d", MostElements))
	case o.Method == One && o.Elements > 1:
		return wrong("Elements", o.Elements, "0 or 1 where Method is \"one\"")
	case o.Tol != 0 && !(o.Tol >= SmallestTol && o.Tol <= LargestTol):
		return wrong("Tol", o.Tol, fmt.Sprintf("0 (which means %g) or %g to %g", defaultTol, SmallestTol, LargestTol))
	case o.Count < 0:
		return wrong("Count", o.Count, "0 (which means 5) or more")
	case o.Mode < 0:
		return wrong("Mode", o.Mode, "0 (which means 1) or more")
	case o.Work < 0:
		return wrong("Work", o.Work, "0 (the default) or more")
	}
	return nil
}

// Check reports what is wrong with a problem as data: the counts, the interval, the points of the conditions.
func Check(p *Problem) error {
	if p == nil || p.Equations == nil {
		return fmt.Errorf("a problem needs equations")
	}
	if len(p.Unknowns) == 0 {
		return fmt.Errorf("a problem needs an unknown")
	}
	for _, u := range p.Unknowns {
		if u.Order < 1 || u.Order > largestOrder {
			return fmt.Errorf("the order of %s is %d; it must be 1 to %d", u.Name, u.Order, largestOrder)
		}
	}
	if !(p.A < p.B) {
		return fmt.Errorf("the interval from %v to %v is empty", p.A, p.B)
	}
	want := p.State() + len(p.Parameters)
	if n := len(p.Conditions); n != want && !(len(p.Parameters) == 1 && n == want-1) {
		return fmt.Errorf("%d conditions for a total order of %d and %d sought numbers", n, p.State(),
			len(p.Parameters))
	}
	for i := range p.Conditions {
		if err := checkCondition(p, i); err != nil {
			return err
		}
	}
	last := p.A
	for _, b := range p.Breaks {
		if !(b > last && b < p.B) {
			return fmt.Errorf("break points must ascend strictly inside the interval")
		}
		last = b
	}
	return nil
}

// checkCondition reports what is wrong with condition i.
func checkCondition(p *Problem, i int) error {
	c := p.Conditions[i]
	if c.Residual == nil {
		return fmt.Errorf("condition %d has no residual", i+1)
	}
	for _, v := range c.At {
		if v.Unknown < 0 || v.Unknown >= len(p.Unknowns) || v.Derivative < 0 ||
			v.Derivative > p.Unknowns[v.Unknown].Order {
			return fmt.Errorf("condition %d names an unknown or a derivative that is not there", i+1)
		}
		if !(v.X >= p.A && v.X <= p.B) {
			return fmt.Errorf("condition %d is at %v, outside the interval", i+1, v.X)
		}
	}
	return nil
}

// A DerivativeError says that a derivative which a problem gives is not that of its residual.
type DerivativeError struct {
	Of string // the residual: "equation 1", "condition 2"
	By string // what it is differentiated by: "y'", "lambda", "y(0)"
	// Given is the problem's derivative, NaN where it was not written; Differences is what differences of the residual
	// give at the same place.
	Given, Differences float64
}

func (e *DerivativeError) Error() string {
	if math.IsNaN(e.Given) {
		return fmt.Sprintf("%s: the derivative by %s was not written; ComplexStep, Numerical and Nonlinear need none",
			e.Of, e.By)
	}
	return fmt.Sprintf("%s: the derivative by %s is given as %.6g, but differences of the residual give %.6g",
		e.Of, e.By, e.Given, e.Differences)
}

// CheckDerivatives compares the derivatives that a problem gives with differences of its residuals, at several points
// and states. It returns a *DerivativeError for the first that is wrong. Where a residual is not finite or not smooth
// nothing is compared. Solve begins with it, except where the problem comes with Formulas: what compiles formulas
// differentiates them too.
func CheckDerivatives(p *Problem) error {
	random := rand.New(rand.NewSource(1))
	var names []string
	for _, u := range p.Unknowns {
		for d := range u.Order + 1 {
			names = append(names, bvp.Derivative(u.Name, d))
		}
	}
	var parameters []string
	for _, q := range p.Parameters {
		parameters = append(parameters, q.Name)
	}
	c := comparison{n: len(p.Unknowns), names: append(names, parameters...)}
	for range samples {
		x, in := c.point(p, random)
		c.add(in, func(in, f, df []float64) { p.Equations(x, in, f, df) })
	}
	if i, err := c.wrong(); err != nil {
		err.Of = fmt.Sprintf("equation %d", i+1)
		return err
	}
	for i, q := range p.Conditions {
		names = nil
		for _, v := range q.At {
			names = append(names, fmt.Sprintf("%s(%g)", bvp.Derivative(p.Unknowns[v.Unknown].Name, v.Derivative), v.X))
		}
		c = comparison{n: 1, names: append(names, parameters...)}
		for range samples {
			c.add(c.state(random), func(in, f, df []float64) { f[0] = q.Residual(in, df) })
		}
		if _, err := c.wrong(); err != nil {
			err.Of = fmt.Sprintf("condition %d", i+1)
			return err
		}
	}
	return nil
}

const (
	samples = 6 // points and states at which derivatives are compared
	// enough is at how many of them a derivative must be wrong: at one, two differences may agree by chance.
	enough = 2
	// smooth is the relative agreement asked of differences with two steps, off the disagreement that counts as wrong.
	// Two differences of fourth order that agree to the one are right to better than the other.
	smooth, off = 1e-5, 1e-3
	// seen is the part of the largest term of a residual below which differences tell nothing of another.
	seen = 1e-8
)

// comparison counts, for each derivative of n residuals by the named arguments, where it could be compared and where
// it was wrong.
type comparison struct {
	n     int
	names []string
	count []int             // at how many states it was wrong
	first []DerivativeError // how it was wrong first
	d     differentiator
}

// point returns a point of the interval and a state there.
func (c *comparison) point(p *Problem, random *rand.Rand) (float64, []float64) {
	t := 0.05 + 0.9*random.Float64()
	var x float64
	switch low, high := math.IsInf(p.A, 0), math.IsInf(p.B, 0); {
	case low && high:
		x = 4 * (t - 0.5)
	case low:
		x = p.B - t/(1-t)
	case high:
		x = p.A + t/(1-t)
	default:
		x = p.A + t*(p.B-p.A)
	}
	in := c.state(random)
	if p.Guess != nil {
		near := make([]float64, p.Jet())
		p.Guess(x, near)
		for i, v := range near {
			in[i] = v + 0.1*in[i]
		}
	}
	for i, q := range p.Parameters {
		if q.HasGuess {
			in[p.Jet()+i] = q.Guess + 0.1*in[p.Jet()+i]
		}
	}
	return x, in
}

// state returns values of either sign for all arguments.
func (c *comparison) state(random *rand.Rand) []float64 {
	in := make([]float64, len(c.names))
	for i := range in {
		in[i] = 2*random.Float64() - 1
	}
	return in
}

// add compares at one state.
func (c *comparison) add(in []float64, f func(in, f, df []float64)) {
	width := len(in)
	if c.count == nil {
		c.count, c.first = make([]int, c.n*width), make([]DerivativeError, c.n*width)
	}
	out, given := make([]float64, c.n), make([]float64, c.n*width)
	for i := range given {
		given[i] = math.NaN()
	}
	f(slices.Clone(in), out, given)
	coarse, fine := make([]float64, c.n*width), make([]float64, c.n*width)
	residual := func(at, out []float64) { f(at, out, nil) }
	c.d.differentiate(c.n, in, 1, coarse, residual)
	c.d.differentiate(c.n, in, 0.25, fine, residual)
	for i := range c.n {
		largest := math.Abs(out[i])
		for j, v := range in {
			largest = math.Max(largest, math.Abs(fine[i*width+j])*math.Max(1, math.Abs(v)))
		}
		for j, v := range in {
			k := i*width + j
			size := math.Max(math.Abs(fine[k]), seen*largest/math.Max(1, math.Abs(v)))
			if !(math.Abs(coarse[k]-fine[k]) <= smooth*size) || math.Abs(given[k]-fine[k]) <= off*size {
				continue // not smooth, not finite, or right
			}
			if c.count[k]++; c.count[k] == 1 {
				c.first[k] = DerivativeError{By: c.names[j], Given: given[k], Differences: fine[k]}
			}
		}
	}
}

// wrong returns the first derivative that is wrong, with the number of its residual.
func (c *comparison) wrong() (int, *DerivativeError) {
	for k, n := range c.count {
		if n >= enough {
			return k / len(c.names), &c.first[k]
		}
	}
	return 0, nil
}
