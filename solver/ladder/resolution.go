package ladder

import (
	"fmt"
	"math"
	"sort"

	"nodespan/solver"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
	"nodespan/solver/nodes"
)

// Trend is what Legendre coefficients do.
type Trend string

const (
	Falling    Trend = "falling"
	Flat       Trend = "flat"
	AtRounding Trend = "at rounding"
)

// Verdict is what can be said of a number of nodes in plain words.
type Verdict string

const (
	Resolved      Verdict = "resolved"
	NotResolved   Verdict = "not yet resolved"
	Wiggling      Verdict = "wiggling"
	RoundingFloor Verdict = "at the rounding floor"
	Layer         Verdict = "layer"
	NoSolution    Verdict = "no solution"
)

// Resolution says how well one polynomial through a number of nodes stands for a solution.
type Resolution struct {
	Family nodes.Family
	Nodes  int
	// Lebesgue is the Lebesgue constant of the nodes on the whole interval, ends included: by how much interpolation
	// may magnify an error.
	Lebesgue float64
	// Coefficients are the sizes of the Legendre coefficients of the unknown that is resolved worst, on the stretch
	// between breaks where it is, relative to the largest of them.
	Coefficients []float64
	Trend        Trend
	// Error is the largest error relative to the largest value.
	Error   float64
	Verdict Verdict
	// LayerAt is where the steepest part of an unresolved solution is; NaN when it is not steep.
	LayerAt float64
	// Worst is the gap between neighbouring nodes (or an end) in which the residual, or the error of an interpolation,
	// is largest.
	Worst    [2]float64
	Sentence string

	variable string
}

// Thresholds of a verdict.
const (
	roundingTail = 1e-13 // relative coefficients below this are rounding
	fallen       = 1. / 3
	wiggleSize   = 0.1 // magnified tail, relative to the largest coefficient, that shows as a wiggle
	layerShare   = 0.3 // of all the rise and fall of a function …
	layerWidth   = 0.03
)

// Resolve solves by one polynomial (one per stretch between breaks) through n nodes and says how well it stands. Of o
// it takes Tol, Exact, Reference and Context.
func Resolve(p *bvp.Problem, family nodes.Family, n int, o Options) *Resolution {
	r := newResolution(family, n)
	if p.Variable != "" {
		r.variable = p.Variable
	}
	if o.Tol == 0 {
		o.Tol = defaultTol
	}
	c := &climber{p: p, o: o, l: &Ladder{}}
	why := c.prepare(true) // a layer is looked for in a finer solution even where an exact one is known
	p = c.p
	if why != "" {
		r.Verdict, r.Sentence = NoSolution, why
		return r
	}
	ends := c.p.Stretches()
	curve, _ := c.collocate(collocation.Uniform(ends, n, family)).(*collocation.Curve)
	if curve == nil {
		r.Verdict = NoSolution
		r.Sentence = fmt.Sprintf("%s interior %s %s give no solution", capital(count(n)), family.Title(),
			plural(n, "node", "nodes"))
		return r
	}
	var rung Rung
	c.measure(&rung, curve, ends)
	r.Error = rung.Relative
	wiggle, worst := 0.0, -1.0
	for e := range len(ends) - 1 {
		for i, u := range p.Unknowns {
			s := curve.Series(e, p.JetOffset(i))
			if t := tailOf(s); t > worst {
				worst = t
				r.Coefficients = sizes(s)
			}
			wiggle = math.Max(wiggle, r.Lebesgue*tailOf(curve.Series(e, p.JetOffset(i)+u.Order)))
		}
	}
	r.Worst = worstGap(curve, p, c.parametersOf(curve))
	layer := math.NaN()
	if c.reference != nil {
		layer = steepest(p, c.reference, c.ruler.x)
	}
	r.say(wiggle, layer, o.Tol)
	return r
}

// parametersOf returns the sought parameters of a curve.
func (c *climber) parametersOf(curve *collocation.Curve) []float64 {
	return curve.Grid().Parameters(curve.V)
}

func newResolution(family nodes.Family, n int) *Resolution {
	return &Resolution{Family: family, Nodes: n, Lebesgue: nodes.Lebesgue(nodes.Interior(family, n)),
		LayerAt: math.NaN(), Error: math.NaN(), variable: "x"}
}

// sizes returns the sizes of coefficients relative to the largest.
func sizes(c []float64) []float64 {
	most := bvp.Largest(c)
	out := make([]float64, len(c))
	for i, v := range c {
		if most > 0 {
			out[i] = math.Abs(v) / most
		}
	}
	return out
}

// tailOf is the size of the last two coefficients (one alone vanishes for even and odd functions) relative to the
// largest.
func tailOf(c []float64) float64 {
	s := sizes(c)
	if len(s) < 2 {
		return 1
	}
	return math.Max(s[len(s)-1], s[len(s)-2])
}

func (r *Resolution) trend() Trend {
	n := len(r.Coefficients)
	if n < 2 {
		return Flat
	}
	if tailOf(r.Coefficients) <= roundingTail {
		return AtRounding
	}
	most := func(c []float64) (m float64) {
		for _, v := range c {
			m = math.Max(m, v)
		}
		return m
	}
	third := max(n/3, 1)
	if most(r.Coefficients[n-max(third, 2):]) <= fallen*most(r.Coefficients[:max(third, 2)]) {
		return Falling
	}
	return Flat
}

// say gives the verdict. wiggle is the tail of what is interpolated, magnified; layer is where the function is steep,
// or NaN.
func (r *Resolution) say(wiggle, layer, tol float64) {
	r.Trend = r.trend()
	who := fmt.Sprintf("%s interior %s %s", capital(count(r.Nodes)), r.Family.Title(),
		plural(r.Nodes, "node", "nodes"))
	d := Digits(r.Error)
	switch {
	case r.Error <= tol && r.Trend == AtRounding:
		r.Verdict = RoundingFloor
		r.Sentence = fmt.Sprintf("%s are at the rounding floor: more of them give no more than %s", who, digits(d))
	case r.Error <= tol:
		r.Verdict = Resolved
		r.Sentence = fmt.Sprintf("%s resolve the solution to %s", who, digits(d))
	case magnifies(r.Lebesgue, r.Nodes) && wiggle > wiggleSize:
		r.Verdict = Wiggling
		r.Sentence = fmt.Sprintf("%s wiggle: between them the polynomial magnifies what they miss up to %.2g times, "+
			"and more of them make it worse", who, r.Lebesgue)
	case !math.IsNaN(layer):
		r.Verdict, r.LayerAt = Layer, layer
		r.Sentence = fmt.Sprintf("%s do not resolve the layer at %s ≈ %.3g; pieces that crowd there do it with less",
			who, r.variable, layer)
	default:
		r.Verdict = NotResolved
		r.Sentence = fmt.Sprintf("%s do not yet resolve the solution: %s are reliable, and the coefficients are %s",
			who, digits(d), r.Trend)
		if d == 0 {
			r.Sentence = fmt.Sprintf("%s do not yet resolve the solution: no digit is reliable, and the "+
				"coefficients are %s", who, r.Trend)
		} else if d == 1 {
			r.Sentence = fmt.Sprintf("%s do not yet resolve the solution: one digit is reliable, and the "+
				"coefficients are %s", who, r.Trend)
		}
	}
}

// magnifies reports whether n nodes with a Lebesgue constant can wiggle. Nodes that crowd at the ends magnify by less
// than n^1.5 out to the ends (like log n for Chebyshev's; most for Radau's, which have no node at the left end);
// equispaced ones by 2^n − 1. Only such growth beats the fall of a smooth solution's coefficients.
func magnifies(lebesgue float64, n int) bool { return lebesgue > math.Pow(float64(n), 1.5) }

// worstGap finds the gap between neighbouring nodes in which the residual is largest.
func worstGap(c *collocation.Curve, p *bvp.Problem, par []float64) [2]float64 {
	in := make([]float64, p.Jet()+len(par))
	copy(in[p.Jet():], par)
	f := make([]float64, len(p.Unknowns))
	marks := c.Points(true)
	worst, at := -1.0, [2]float64{marks[0], marks[len(marks)-1]}
	for i := range len(marks) - 1 {
		const between = 5
		for j := 1; j < between; j++ {
			x := marks[i] + (marks[i+1]-marks[i])*float64(j)/between
			c.At(x, in[:p.Jet()])
			p.Equations(x, in, f, nil)
			for _, v := range f {
				if math.Abs(v) > worst {
					worst, at = math.Abs(v), [2]float64{marks[i], marks[i+1]}
				}
			}
		}
	}
	return at
}

// steepest looks for a layer in every unknown, and then in its slope.
func steepest(p *bvp.Problem, s *solver.Solution, x []float64) float64 {
	jet := make([]float64, p.Jet())
	for d := range 2 {
		for i, u := range p.Unknowns {
			if d > 0 && d >= u.Order {
				continue
			}
			y := make([]float64, len(x))
			for k, at := range x {
				s.At(at, jet)
				y[k] = jet[p.JetOffset(i)+d]
			}
			if at, ok := steep(x, y); ok {
				return at
			}
		}
	}
	return math.NaN()
}

// steep looks for a narrow part of the interval that holds a large share of all the rise and fall of a function; at an
// end, the end is named.
func steep(x, y []float64) (at float64, ok bool) {
	n := len(x)
	sum := make([]float64, n)
	for i := 1; i < n; i++ {
		sum[i] = sum[i-1] + math.Abs(y[i]-y[i-1])
	}
	total, length := sum[n-1], x[n-1]-x[0]
	if !(total > 0) {
		return math.NaN(), false
	}
	best, from, to := math.Inf(1), 0, 0
	for i := range n {
		j := i + sort.SearchFloat64s(sum[i:], sum[i]+layerShare*total)
		if j >= n {
			break
		}
		if w := x[j] - x[i]; w < best {
			best, from, to = w, i, j
		}
	}
	if best > layerWidth*length {
		return math.NaN(), false
	}
	switch {
	case x[from]-x[0] <= best:
		return x[0], true
	case x[n-1]-x[to] <= best:
		return x[n-1], true
	}
	return (x[from] + x[to]) / 2, true
}
