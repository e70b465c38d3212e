package slips

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"nodespan/solver/bvp"
)

// The slips that need no formulas, by name. The caller's variants bring further ones.
const (
	NotRescaled   = "interval not rescaled"
	RescaledTwice = "rescaled twice"
	WrongWay      = "rescaled the wrong way"
	RowKept       = "condition row not replaced"
	WrongEnd      = "condition at the wrong end"
	SlopeAsValue  = "slope condition treated as a value"
	Exchanged     = "derivative matrices exchanged"
	OffByOne      = "derivative coefficients off by one"
	WrongOrder    = "nodes in the wrong order"
	OnReference   = "nodes on the reference interval"
)

// Variant is the problem as someone would state it who made a slip in its formulas (a sign, a lost term, degrees for
// radians).
type Variant struct {
	Name     string
	Sentence string // a clause: "the sign of 2 y' in the equation is flipped"
	Problem  *bvp.Problem
}

// candidate is a slip, ready to be computed.
type candidate struct {
	name, sentence string
	problem        *bvp.Problem
	// basis writes the derivative rows of the discrete problem; nil: the right ones.
	basis basis
	// kept is the condition whose row keeps the equation, -1 for none.
	kept int
	// discrete: there is nothing that a finer computation converges to.
	discrete bool
	// read says which point of the problem a point of the table stands for; nil: itself.
	read func(x float64) float64

	// What has been computed: few nodes, nil without a solution; and hard, by the solver, when tried.
	solved map[solved]*polynomial
	hard   curve
	tried  bool
}

// solved is a discrete solution of a candidate.
type solved struct {
	likely
	layout
}

// collector gathers candidates and leaves out what does nothing.
type collector struct {
	p      *bvp.Problem
	u      uses
	length float64
	most   int // highest order
	out    []candidate
}

// candidates returns the slips to try, likelier ones first.
func candidates(p *bvp.Problem, u uses, variants []Variant) []candidate {
	c := &collector{p: p, u: u, length: p.B - p.A, most: len(u.equation) - 1}
	c.rescaling()
	for _, v := range variants {
		c.out = append(c.out, candidate{name: v.Name, sentence: v.Sentence, problem: v.Problem, kept: -1})
	}
	c.conditions()
	c.exchanged()
	c.order()
	c.reference()
	c.offByOne()
	return c.out
}

func (c *collector) add(name, sentence string, ch change) *candidate {
	c.out = append(c.out, candidate{name: name, sentence: sentence, problem: ch.apply(c.p), kept: -1})
	return &c.out[len(c.out)-1]
}

// reference is an interval on which nodes are tabulated.
type reference struct {
	a, b float64
	name string
}

var references = []reference{{0, 1, "0 … 1"}, {-1, 1, "−1 … 1"}}

func (r reference) is(p *bvp.Problem) bool { return p.A == r.a && p.B == r.b }

// from maps points of the problem's interval to the reference interval.
func (r reference) from(p *bvp.Problem) func(float64) float64 {
	return func(x float64) float64 { return r.a + (r.b-r.a)*(x-p.A)/(p.B-p.A) }
}

// to maps points of the reference interval to the problem's interval.
func (r reference) to(p *bvp.Problem) func(float64) float64 {
	return func(x float64) float64 { return p.A + (p.B-p.A)*(x-r.a)/(r.b-r.a) }
}

// factors returns f(k) for each derivative; nil when none of those that occur differs from 1.
//
//go:noinline
func (c *collector) factors(occurs []bool, f func(k int) float64) []float64 {
	out, any := make([]float64, c.most+1), false
	for k := range out {
		out[k] = f(k)
		any = any || occurs[k] && math.Abs(out[k]-1) > 1e-9
	}
	if !any {
		return nil
	}
	return out
}

// scaling is a slip with the powers of the length by which derivatives on the reference interval are divided.
type scaling struct {
	name, what string
	exponent   float64 // of the length, for each order of the derivative
}

var scalings = []scaling{
	{NotRescaled, "the derivatives on %s are not divided by powers of %s", 1},
	{RescaledTwice, "the derivatives on %s are divided twice by powers of %s", -1},
	{WrongWay, "the derivatives on %s are multiplied by powers of %s instead of divided", 2},
}

// rescaling adds the slips with powers of the length.
func (c *collector) rescaling() {
	for _, r := range references {
		ratio := c.length / (r.b - r.a)
		if math.Abs(ratio-1) < 1e-9 {
			continue
		}
		for _, kind := range scalings {
			c.scaled(kind, r, ratio)
			for k := 1; k <= c.most; k++ {
				if c.u.equation[k] {
					c.scaledAlone(kind, r, ratio, k)
				}
			}
		}
		c.unscaled(r, ratio)
	}
}

// scaled adds the slip in all derivatives, in the equation, in the conditions and in both.
func (c *collector) scaled(kind scaling, r reference, ratio float64) {
	s := func(k int) float64 { return math.Pow(ratio, kind.exponent*float64(k)) }
	eq, cond := c.factors(c.u.equation, s), c.factors(c.u.conditions, s)
	what := fmt.Sprintf(kind.what, r.name, number4(ratio))
	if eq != nil {
		c.add(kind.name, what, change{equation: eq, conditions: cond})
		if cond != nil {
			c.add(kind.name, what+", in the equation alone", change{equation: eq})
		}
	}
	if cond != nil {
		c.add(kind.name, what+", in the conditions alone", change{conditions: cond})
	}
}

// scaledAlone adds the slip in the k-th derivative of the equation alone, where others occur; and one to k - 1 factors
// of the length too few in it.
func (c *collector) scaledAlone(kind scaling, r reference, ratio float64, k int) {
	only := func(exponent float64) change {
		return change{equation: c.factors(c.u.equation, func(j int) float64 {
			if j == k {
				return math.Pow(ratio, exponent)
			}
			return 1
		})}
	}
	others := false
	for j := 1; j <= c.most; j++ {
		others = others || j != k && (c.u.equation[j] || c.u.conditions[j])
	}
	of, length := c.derivative(k), number4(ratio)
	if others {
		c.add(kind.name, fmt.Sprintf(kind.what, r.name, length)+": "+of+" alone", only(kind.exponent*float64(k)))
	}
	if kind.name != NotRescaled {
		return
	}
	words := []string{"", "one", "two", "three", "four", "five", "six", "seven"}
	for e := 1; e < k; e++ {
		c.add(NotRescaled, fmt.Sprintf("%s lacks %s of the %d factors %s by which the derivative on %s is divided",
			of, words[e], k, length, r.name), only(float64(e)))
	}
}

// unscaled adds the slips of an equation that is solved on the reference interval without being rescaled, with
// coefficients and answers taken there.
func (c *collector) unscaled(r reference, ratio float64) {
	power := func(k int) float64 { return math.Pow(ratio, float64(k)) }
	eq := c.factors(c.u.equation, power)
	if eq == nil {
		return
	}
	cond := c.factors(c.u.conditions, power)
	if c.u.variable {
		what := fmt.Sprintf("the equation is solved on %s as it stands", r.name)
		c.add(NotRescaled, what, change{equation: eq, conditions: cond, coefficients: r.from(c.p)})
		c.add(NotRescaled, what, change{equation: eq, conditions: cond, coefficients: r.from(c.p)}).read = r.to(c.p)
	}
	c.add(NotRescaled, fmt.Sprintf("the derivatives on %s are not divided by powers of %s", r.name, number4(ratio)),
		change{equation: eq, conditions: cond}).read = r.to(c.p)
}

// derivative names the k-th derivative of the unknown, or of all.
func (c *collector) derivative(k int) string {
	if len(c.p.Unknowns) == 1 {
		return bvp.Derivative(c.p.Unknowns[0].Name, k)
	}
	return "the derivative of order " + strconv.Itoa(k)
}

// conditions adds the slips with the conditions.
func (c *collector) conditions() {
	p := c.p
	one := func(i int) []bool { b := make([]bool, len(p.Conditions)); b[i] = true; return b }
	all := make([]bool, len(p.Conditions))
	for i := range all {
		all[i] = true
	}
	movable, sloped := 0, 0
	for i := range p.Conditions {
		at, slope := false, false
		for _, v := range p.Conditions[i].At {
			at = at || v.X == p.A || v.X == p.B
			slope = slope || v.Derivative > 0
		}
		if at {
			movable++
			c.add(WrongEnd, c.text(i)+" is taken at the other end", change{mirrored: one(i)})
		}
		if slope {
			sloped++
			c.lower(c.text(i), one(i))
		}
	}
	if movable > 1 {
		c.add(WrongEnd, "the conditions are taken at each other's ends", change{mirrored: all})
	}
	if sloped > 1 {
		c.lower("each condition on a derivative", all)
	}
	if len(p.Parameters) == 0 {
		for i := range p.Conditions {
			k := c.add(RowKept, fmt.Sprintf("the row for %s keeps the equation", c.text(i)), change{})
			k.kept, k.discrete = i, true
		}
	}
}

// lower adds the slips of a derivative taken for the value, or for the next lower derivative.
func (c *collector) lower(what string, in []bool) {
	c.add(SlopeAsValue, what+" is imposed on the value", change{lowered: func(int) int { return 0 }, loweredIn: in})
	for i, yes := range in {
		for _, v := range c.p.Conditions[i].At {
			if yes && v.Derivative > 1 {
				c.add(SlopeAsValue, what+" is imposed on the next lower derivative",
					change{lowered: func(k int) int { return max(k-1, 0) }, loweredIn: in})
				return
			}
		}
	}
}

func (c *collector) text(i int) string {
	if t := c.p.Conditions[i].Text; t != "" {
		return t
	}
	return "condition " + strconv.Itoa(i+1)
}

// exchanged adds the slips of one derivative matrix taken for another.
func (c *collector) exchanged() {
	for a := 1; a <= c.most; a++ {
		for b := a + 1; b <= c.most; b++ {
			if !c.u.equation[a] && !c.u.equation[b] {
				continue
			}
			from := make([]int, c.most+1)
			for k := range from {
				from[k] = k
			}
			from[a], from[b] = b, a
			what := fmt.Sprintf("the matrices of %s and %s are exchanged", c.derivative(a), c.derivative(b))
			also := c.u.conditions[a] || c.u.conditions[b] && b < c.most
			ratios := []float64{1}
			for _, r := range references {
				if ratio := c.length / (r.b - r.a); math.Abs(ratio-1) > 1e-9 {
					ratios = append(ratios, ratio)
				}
			}
			for _, ratio := range ratios {
				s := make([]float64, c.most+1)
				for k := range s {
					s[k] = math.Pow(ratio, float64(from[k]-k))
				}
				if ratio == 1 {
					s = nil
				}
				c.add(Exchanged, what, change{from: from, equation: s})
				if also {
					c.add(Exchanged, what, change{from: from, equation: s, conditions: s, fromAlso: true})
				}
			}
		}
	}
}

// order adds the slips with nodes that run the other way.
func (c *collector) order() {
	back := func(x float64) float64 { return c.p.A + c.p.B - x }
	c.add(WrongOrder, "the values are listed from the other end", change{}).read = back
	if c.u.variable {
		c.add(WrongOrder, "the coefficients are evaluated with the nodes in reverse", change{coefficients: back})
		c.add(WrongOrder, "the coefficients are evaluated with the nodes in reverse, and the values are listed so",
			change{coefficients: back}).read = back
	}
	odd := func(k int) float64 { return float64(1 - 2*(k%2)) }
	eq, cond := c.factors(c.u.equation, odd), c.factors(c.u.conditions, odd)
	if eq != nil || cond != nil {
		c.add(WrongOrder, "the derivative matrices belong to nodes that run the other way, so that odd derivatives "+
			"change their sign", change{equation: eq, conditions: cond})
	}
}

// reference adds the slips of nodes that stay on the reference interval.
func (c *collector) reference() {
	for _, r := range references {
		if r.is(c.p) {
			continue
		}
		c.add(OnReference, "the values are right, but x is still on "+r.name, change{}).read = r.to(c.p)
		if c.u.variable {
			what := "the coefficients are evaluated at nodes on " + r.name
			c.add(OnReference, what, change{coefficients: r.from(c.p)})
			c.add(OnReference, what+", and x is left there", change{coefficients: r.from(c.p)}).read = r.to(c.p)
		}
	}
}

// fallingFactorial is j (j-1) … (j-k+1).
func fallingFactorial(j, k int) float64 {
	f := 1.0
	for i := range k {
		f *= float64(j - i)
	}
	return f
}

// powerRule gives the k-th derivative of s^j as a coefficient and an exponent.
type powerRule func(j, k int) (coefficient float64, exponent int)

func rightRule(j, k int) (float64, int) { return fallingFactorial(j, k), j - k }

// wrongRules are slips in the derivatives of powers; first is the lowest derivative in which one shows.
var wrongRules = []struct {
	what  string
	first int
	f     powerRule
}{
	{"with j + 1 for j", 1, func(j, k int) (float64, int) { return fallingFactorial(j+1, k), j - k }},
	{"with j − 1 for j", 1, func(j, k int) (float64, int) { return fallingFactorial(j-1, k), j - k }},
	{"with the exponent one too high", 1, func(j, k int) (float64, int) { return fallingFactorial(j, k), j - k + 1 }},
	{"with exponents that are not lowered", 1,
		func(j, k int) (float64, int) { return math.Pow(float64(j), float64(k)), j }},
	{"with j² for j (j − 1)", 2, func(j, k int) (float64, int) { return math.Pow(float64(j), float64(k)), j - k }},
	{"with j (j + 1) for j (j − 1)", 2, func(j, k int) (float64, int) { return fallingFactorial(j+k-1, k), j - k }},
}

// coordinate is what powers are taken of, s = zero + slope t for t in [-1, 1].
type coordinate struct {
	name        string
	slope, zero float64
}

// basis returns a function that writes the powers and their derivatives by the rule, as change.basis does.
func (s coordinate) basis(rule powerRule) func(t float64, rows [][]float64) {
	return func(t float64, rows [][]float64) {
		v := s.zero + s.slope*t
		if t == -1 && s.slope == s.zero {
			v = 0
		}
		for k, row := range rows {
			scale := math.Pow(s.slope, float64(k))
			for j := range row {
				row[j] = 0
				if coefficient, exponent := rule(j, k); coefficient != 0 && exponent >= 0 {
					row[j] = scale * coefficient * math.Pow(v, float64(exponent))
				}
			}
		}
	}
}

// offByOne adds the slips in the derivatives of powers, (s^j)^(k) = j (j-1) … (j-k+1) s^(j-k).
func (c *collector) offByOne() {
	coordinates := []coordinate{{"s on 0 … 1", 0.5, 0.5}, {"s on −1 … 1", 1, 0}}
	if !references[0].is(c.p) && !references[1].is(c.p) {
		coordinates = append(coordinates, coordinate{"x", c.length / 2, (c.p.A + c.p.B) / 2})
	}
	for _, wrong := range wrongRules {
		for only := 0; only <= c.most; only++ { // 0: all derivatives
			if only > 0 && !c.u.equation[only] && !c.u.conditions[only] || only == 1 && c.most == 1 {
				continue
			}
			if wrong.first > max(c.most, only) || only > 0 && only < wrong.first {
				continue
			}
			rule := func(j, k int) (float64, int) {
				if k == 0 || only > 0 && k != only {
					return rightRule(j, k)
				}
				return wrong.f(j, k)
			}
			for _, s := range coordinates {
				what := "the derivatives of the powers of " + s.name + " are formed " + wrong.what
				if only > 0 {
					what += ", in " + c.derivative(only)
				}
				k := c.add(OffByOne, what, change{})
				k.discrete, k.basis = true, s.basis(rule)
			}
		}
	}
}

// number4 writes a number with four significant digits.
func number4(v float64) string {
	return strings.Replace(strconv.FormatFloat(v, 'g', 4, 64), "-", "−", 1)
}
