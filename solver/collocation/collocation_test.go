package collocation

import (
	"fmt"
	"math"
	"testing"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
	"nodespan/solver/nodes"
)

// exponential is y^(m) = y with y = e^x: y and its derivatives below m are given alternately at the ends.
func exponential(m int, a, b float64) *bvp.Problem {
	p := &bvp.Problem{A: a, B: b, Unknowns: []bvp.Unknown{{Name: "y", Order: m}}}
	p.Equations = func(x float64, in, f, df []float64) {
		f[0] = in[m] - in[0]
		if df != nil {
			clear(df)
			df[0], df[m] = -1, 1
		}
	}
	for d := range m {
		x := a
		if d%2 == 1 {
			x = b
		}
		p.Conditions = append(p.Conditions, bvptest.Given(x, 0, d, math.Exp(x)))
	}
	return p
}

// solveLinear solves a linear problem on a mesh in one step.
func solveLinear(t testing.TB, p *bvp.Problem, m Mesh) *Curve {
	t.Helper()
	g := NewGrid(p, m)
	asm, sys, v := g.NewAssembler(), g.System(), g.NewVector()
	rhs := sys.NewRHS()
	if !asm.Assemble(v, sys, rhs) || !sys.Factor() {
		t.Fatal("not solvable")
	}
	sys.SolveTo(v, rhs)
	return g.Curve(v)
}

// worst is the largest relative error of the jet against e^x.
func worst(c *Curve, a, b float64) float64 {
	jet := make([]float64, c.g.jet)
	w := 0.0
	for i := range 201 {
		x := a + (b-a)*float64(i)/200
		c.At(x, jet)
		for _, v := range jet {
			w = math.Max(w, math.Abs(v-math.Exp(x))/math.Exp(b))
		}
	}
	return w
}

// TestOrders solves every order from 1 to 8 on intervals far from [−1, 1], with every family, on one element and on
// several, against the closed form e^x.
func TestOrders(t *testing.T) {
	for m := 1; m <= 8; m++ {
		for _, f := range nodes.Families() {
			for _, mesh := range [][]float64{{3, 5}, {3, 3.2, 4.1, 5}} {
				p := exponential(m, 3, 5)
				c := solveLinear(t, p, Uniform(mesh, 14, f))
				// Truncation is below 1e-14 (degree 13 and more on a length of 2). The rest is rounding, which high
				// derivatives on a short element enlarge.
				limit := 1e-12
				if m > 6 {
					limit = 1e-11
				}
				if f == nodes.Equispaced {
					limit = 1e-7 // these lose digits by nature
				}
				if w := worst(c, 3, 5); !(w < limit) {
					t.Errorf("order %d, %v, %d elements: error %.1e", m, f, len(mesh)-1, w)
				}
			}
		}
	}
}

// TestDegree200 is the promise that one polynomial of high degree keeps its digits.
func TestDegree200(t *testing.T) {
	p := &bvp.Problem{A: 0, B: 1, Unknowns: []bvp.Unknown{{Name: "y", Order: 2}},
		Conditions: []bvp.Condition{bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, math.Sin(80))}}
	p.Equations = func(x float64, in, f, df []float64) { // y'' = −6400 sin 80x
		f[0] = in[2] + 6400*math.Sin(80*x)
		if df != nil {
			df[0], df[1], df[2] = 0, 0, 1
		}
	}
	c := solveLinear(t, p, Uniform([]float64{0, 1}, 200, nodes.Legendre))
	jet := make([]float64, 3)
	for i := range 500 {
		x := float64(i) / 499
		c.At(x, jet)
		if e := math.Abs(jet[0] - math.Sin(80*x)); e > 1e-12 {
			t.Fatalf("y(%g) is off by %.1e", x, e)
		}
		if e := math.Abs(jet[1] - 80*math.Cos(80*x)); e > 80e-12 {
			t.Fatalf("y'(%g) is off by %.1e", x, e)
		}
	}
}

// TestSuperconvergence: with k Gauss nodes per element the states at mesh points converge with order 2k, C. de Boor and
// B. Swartz, SIAM J. Numer. Anal. 10 (1973), theorem 4.1 (from memory).
func TestSuperconvergence(t *testing.T) {
	for k := 1; k <= 3; k++ {
		var before float64
		for _, E := range []int{8, 16, 32} {
			x := make([]float64, E+1)
			for i := range x {
				x[i] = 2 * float64(i) / float64(E)
			}
			c := solveLinear(t, exponential(2, 0, 2), Uniform(x, k, nodes.Legendre))
			w := 0.0
			for e := range x {
				w = math.Max(w, math.Abs(c.V.Z[e][0]-math.Exp(x[e])))
			}
			if before > 0 {
				order := math.Log2(before / w)
				if math.Abs(order-2*float64(k)) > 0.05*2*float64(k) {
					t.Errorf("%d nodes, %d elements: order %.2f, want %d", k, E, order, 2*k)
				}
			}
			before = w
		}
	}
}

// TestJacobian holds the assembled Jacobian to central differences of the assembled residual, for a nonlinear system of
// mixed orders with a parameter, a break with a continuity of its own, conditions inside and with the highest
// derivative.
func TestJacobian(t *testing.T) {
	p := &bvp.Problem{A: -1, B: 2, Breaks: []float64{0.5},
		Unknowns:   []bvp.Unknown{{Name: "u", Order: 3}, {Name: "v", Order: 1}},
		Parameters: []bvp.Parameter{{Name: "q"}},
	}
	// jet: u u' u'' u''' v v' q
	p.Equations = func(x float64, in, f, df []float64) {
		f[0] = in[3]*(1+in[4]*in[4]) - in[0]*in[6] + x
		f[1] = in[5] + math.Sin(in[1])*in[2]
		if df != nil {
			clear(df)
			df[0], df[3], df[4], df[6] = -in[6], 1+in[4]*in[4], 2*in[3]*in[4], -in[0]
			df[7+5], df[7+1], df[7+2] = 1, math.Cos(in[1])*in[2], math.Sin(in[1])
		}
	}
	p.Continuity = func(x float64, in, c, dc []float64) {
		k := 2.0
		if x < 0.5 {
			k = 5
		}
		c[0], c[1], c[2], c[3] = in[0], k*in[1]*in[0], in[2], in[4]+k*in[6]*in[6]
		if dc != nil {
			clear(dc)
			dc[0], dc[7+0], dc[7+1], dc[14+2], dc[21+4], dc[21+6] = 1, k*in[1], k*in[0], 1, 1, 2*k*in[6]
		}
	}
	product := bvp.Condition{
		At: []bvp.PointValue{{X: -1, Unknown: 0, Derivative: 3}, {X: 0.1, Unknown: 1},
			{X: 2, Unknown: 0, Derivative: 1}},
		Residual: func(in, dg []float64) float64 {
			if dg != nil {
				dg[0], dg[1], dg[2], dg[3] = in[1], in[0], 2*in[2], -1
			}
			return in[0]*in[1] + in[2]*in[2] - in[3]
		},
	}
	p.Conditions = []bvp.Condition{product, bvptest.Given(-1, 0, 0, 1), bvptest.Given(2, 0, 1, 3),
		bvptest.Given(0.5, 1, 0, 2), bvptest.Given(1.1, 0, 2, 0)}
	g := NewGrid(p, Mesh{X: []float64{-1, 0.5, 1, 2}, Nodes: []int{3, 4, 2}})
	v := g.NewVector()
	seed := 0.1
	fill := func(s []float64) {
		for i := range s {
			seed = math.Mod(seed*7.31+0.37, 2)
			s[i] = seed - 0.6
		}
	}
	for e := range v.U {
		fill(v.U[e])
	}
	for e := range v.Z {
		fill(v.Z[e])
	}
	fill(v.Q)
	asm, sys := g.NewAssembler(), g.System()
	rhs := sys.NewRHS()
	if !asm.Assemble(v, sys, rhs) {
		t.Fatal("not finite")
	}
	hi, lo := sys.NewRHS(), sys.NewRHS()
	border := g.border()
	check := func(what string, s *float64, column func(e int) int, closing int) {
		const h = 1e-6
		old := *s
		*s = old + h
		asm.Residual(v, hi)
		*s = old - h
		asm.Residual(v, lo)
		*s = old
		for e := range v.U {
			w := len(v.U[e]) + 2*g.s + border
			for r := range rhs.Element[e] {
				want := -(hi.Element[e][r] - lo.Element[e][r]) / (2 * h)
				got := 0.0
				if c := column(e); c >= 0 {
					got = sys.Element(e)[r*w+c]
				}
				// 1e-7: second differences of the terms times h², and rounding over h.
				if math.Abs(got-want) > 1e-7*(1+math.Abs(want)) {
					t.Errorf("%s, element %d row %d: %g, difference %g", what, e, r, got, want)
				}
			}
		}
		for r := range rhs.Closing {
			want := -(hi.Closing[r] - lo.Closing[r]) / (2 * h)
			got := 0.0
			if closing >= 0 {
				got = sys.Closing()[r*(2*g.s+border)+closing]
			}
			if math.Abs(got-want) > 1e-7*(1+math.Abs(want)) {
				t.Errorf("%s, condition %d: %g, difference %g", what, r, got, want)
			}
		}
	}
	for e := range v.U {
		for i := range v.U[e] {
			check(fmt.Sprintf("u%d[%d]", e, i), &v.U[e][i], func(k int) int {
				if k == e {
					return i
				}
				return -1
			}, -1)
		}
	}
	last := len(v.Z) - 1
	for e := range v.Z {
		for i := range v.Z[e] {
			closing := -1
			if e == 0 {
				closing = i
			} else if e == last {
				closing = g.s + i
			}
			check(fmt.Sprintf("z%d[%d]", e, i), &v.Z[e][i], func(k int) int {
				switch {
				case k == e:
					return len(v.U[k]) + i
				case k+1 == e:
					return len(v.U[k]) + g.s + i
				}
				return -1
			}, closing)
		}
	}
	for i := range v.Q {
		check(fmt.Sprintf("q[%d]", i), &v.Q[i], func(k int) int { return len(v.U[k]) + 2*g.s + i }, 2*g.s+i)
	}
}

// TestSeries holds the Legendre series and its integral to closed forms: ∫ from 0 of P_1(2s−1) = s² − s.
func TestSeries(t *testing.T) {
	at := func(c []float64, s float64) float64 {
		p := make([]float64, len(c))
		legendreTo(p, s)
		return blocks.Dot(c, p)
	}
	c := make([]float64, 3)
	integrateSeriesTo(c, []float64{0, 1}, 1, 0.25)
	for _, s := range []float64{0, 0.1, 0.5, 0.9, 1} {
		if got, want := at(c, s), 0.25+s*s-s; math.Abs(got-want) > 1e-16 {
			t.Errorf("at %g: %g, want %g", s, got, want)
		}
	}
	// P_3(t) = (5t³ − 3t)/2.
	for _, s := range []float64{0, 0.3, 1} {
		x := 2*s - 1
		if got, want := at([]float64{0, 0, 0, 1}, s), (5*x*x*x-3*x)/2; math.Abs(got-want) > 1e-15 {
			t.Errorf("P_3 at %g: %g, want %g", s, got, want)
		}
	}
}

// TestFill reads a polynomial into a vector and back: collocation holds any polynomial of degree k + m − 1 exactly.
func TestFill(t *testing.T) {
	p := exponential(2, -1, 3)
	p.Conditions[1] = bvptest.Given(2, 0, 1, 31) // inside an element: a value of its own in the vector
	g := NewGrid(p, Uniform([]float64{-1, 0, 3}, 3, nodes.Legendre))
	v := g.NewVector()
	f := func(x float64, jet []float64) { // x⁴ − x
		jet[0], jet[1], jet[2] = x*x*x*x-x, 4*x*x*x-1, 12*x*x
	}
	g.Fill(v, f)
	if taps := g.Taps(); len(taps) != 1 || v.Q[0] != 31 {
		t.Errorf("%v has the values %v", taps, v.Q)
	}
	c := g.Curve(v)
	got, want := make([]float64, 3), make([]float64, 3)
	for _, x := range []float64{-1, -0.3, 0, 1.7, 3} {
		c.At(x, got)
		f(x, want)
		for i := range got {
			if math.Abs(got[i]-want[i]) > 1e-13*108 {
				t.Errorf("entry %d at %g: %g, want %g", i, x, got[i], want[i])
			}
		}
	}
}

// TestPlaces: nodes far from 0 lie beside the numbers at which the equations are evaluated. A source that changes by
// its own size over 2^-12 shows that: y” = (exp(−z²))”, z = 4096 (x − c), whose solution is exp(−z²). Without
// moveToPlaces the error is 1.4e-11.
func TestPlaces(t *testing.T) {
	const c, steep = 1000.25, 4096.0
	p := &bvp.Problem{A: c - 1.0/512, B: c + 1.0/512, Unknowns: []bvp.Unknown{{Name: "y", Order: 2}}}
	p.Equations = func(x float64, in, f, df []float64) {
		z := steep * (x - c)
		f[0] = in[2] - steep*steep*(4*z*z-2)*math.Exp(-z*z)
		if df != nil {
			clear(df)
			df[2] = 1
		}
	}
	p.Conditions = []bvp.Condition{bvptest.Given(p.A, 0, 0, math.Exp(-64)), bvptest.Given(p.B, 0, 0, math.Exp(-64))}
	var x []float64
	for i := range 17 {
		x = append(x, p.A+(p.B-p.A)*float64(i)/16)
	}
	curve := solveLinear(t, p, Uniform(x, 14, nodes.Legendre))
	// The matrix leaves the places out: one more step.
	g := curve.Grid()
	asm, sys, step := g.NewAssembler(), g.System(), g.NewVector()
	rhs := sys.NewRHS()
	if !asm.Assemble(curve.V, sys, rhs) || !sys.Factor() {
		t.Fatal("not solvable")
	}
	sys.SolveTo(step, rhs)
	for e, u := range step.U {
		for i, v := range u {
			curve.V.U[e][i] += v
		}
	}
	for e, z := range step.Z {
		for i, v := range z {
			curve.V.Z[e][i] += v
		}
	}
	curve = g.Curve(curve.V)
	jet, worst := make([]float64, 3), 0.0
	for i := range 501 {
		at := p.A + (p.B-p.A)*float64(i)/500
		curve.At(at, jet)
		z := steep * (at - c)
		worst = math.Max(worst, math.Abs(jet[0]-math.Exp(-z*z)))
	}
	if worst > 1e-13 {
		t.Errorf("off by %.1e", worst)
	}
}

// TestRoundingPlaces: what bounds the rounding of the equations is told where they were evaluated, with the jet and the
// sought numbers there, and how far each may be off.
func TestRoundingPlaces(t *testing.T) {
	p := exponential(2, 3, 5)
	p.Parameters = []bvp.Parameter{{Name: "k"}}
	p.Conditions = append(p.Conditions, bvp.Condition{Residual: func(in, dg []float64) float64 {
		if dg != nil {
			dg[0] = 1
		}
		return in[0] - 7
	}})
	var at, told []float64
	equations := p.Equations
	p.Equations = func(x float64, in, f, df []float64) {
		at = append(at, x)
		equations(x, in[:3], f, nil)
		if df != nil {
			copy(df, []float64{-1, 0, 1, 0})
		}
	}
	p.Rounding = func(in, off, own []float64, _ [][]float64) {
		told = append(told, in[4])
		if y := math.Exp(in[4]); math.Abs(in[0]-y) > 1e-6*y || in[3] != 7 || !(off[4] > 0 && off[4] < 1e-14) ||
			!(off[0] > 0 && off[0] < 1e-13*y) || off[3] != 0 {
			t.Errorf("jet %v, off %v", in, off)
		}
		own[0] = 1
	}
	g := NewGrid(p, Uniform([]float64{3, 4, 5}, 8, nodes.Legendre))
	v := g.NewVector()
	g.Fill(v, func(x float64, jet []float64) {
		y := math.Exp(x)
		jet[0], jet[1], jet[2] = y, y, y
	})
	g.Parameters(v)[0] = 7
	asm, sys := g.NewAssembler(), g.System()
	if at = nil; !asm.Residual(v, sys.NewRHS()) {
		t.Fatal("no residual")
	}
	evaluated := at // the bounds themselves ask for derivatives at the same places
	if asm.Rounding(v, sys, 1); len(told) != 16 || len(evaluated) != 16 {
		t.Fatalf("evaluated at %d places, told of %d", len(evaluated), len(told))
	}
	for i, x := range told {
		if math.Abs(x-evaluated[i]) > 1e-15*x {
			t.Errorf("told of %v, evaluated at %v", x, evaluated[i])
		}
	}
}
