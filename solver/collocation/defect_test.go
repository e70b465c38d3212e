package collocation

import (
	"math"
	"testing"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
	"nodespan/solver/nodes"
)

// TestCurveEnclose: the bounds of a curve on stretches hold its values, and the derivatives that the next entries are.
func TestCurveEnclose(t *testing.T) {
	p := exponential(3, 0, 2)
	c := solveLinear(t, p, Uniform([]float64{0, 0.7, 2}, 9, nodes.Legendre))
	box, jet := make([]bvp.Enclosure, 4), make([]float64, 4)
	for _, s := range [][2]float64{{0, 0.7}, {0.1, 0.2}, {0.7, 2}, {1.3, 1.31}} {
		e := c.Grid().Find(s[1])
		c.Enclose(e, s[0], s[1], box)
		for i := range 41 {
			c.In(e, s[0]+(s[1]-s[0])*float64(i)/40, jet)
			for k, v := range jet {
				if v < box[k].Lo-1e-12 || v > box[k].Hi+1e-12 {
					t.Fatalf("on %v entry %d: %g is outside of %+v", s, k, v, box[k])
				}
				if k < 3 && (jet[k+1] < box[k].SlopeLo-1e-12 || jet[k+1] > box[k].SlopeHi+1e-12) {
					t.Fatalf("on %v entry %d: the slope %g is outside of %+v", s, k, jet[k+1], box[k])
				}
			}
		}
	}
	if c.Enclose(1, 1.3, 1.31, box); box[0].Hi-box[0].Lo > 0.05 {
		t.Errorf("a hundredth of the interval is bounded by %+v", box[0])
	}
}

// TestShortElements: elements of 1e-6 of the interval cost a fourth-order problem no digits, though their continuations
// differ in size by 1e18.
func TestShortElements(t *testing.T) {
	const c, h = 0.3, 1e-6
	p := exponential(4, 0, 1)
	x := []float64{0, 0.1, 0.2, 0.25, 0.28, 0.29, 0.295, 0.298, 0.299, 0.2995, 0.2998, 0.2999, 0.29995, 0.29998,
		0.29999, 0.299995, c - 2*h, c - h, c, c + h, c + 2*h,
		0.300005, 0.30001, 0.30002, 0.30005, 0.3001, 0.3002, 0.3005, 0.301, 0.302, 0.305, 0.31, 0.32, 0.35, 0.4, 0.6, 1}
	g := NewGrid(p, Uniform(x, 7, nodes.Legendre))
	asm, sys, v := g.NewAssembler(), g.System(), g.NewVector()
	rhs := sys.NewRHS()
	if !asm.Assemble(v, sys, rhs) || !sys.Factor() {
		t.Fatal("not solvable")
	}
	if sys.Condition() > 1e6 {
		t.Errorf("condition number %.1e", sys.Condition())
	}
	sys.SolveTo(v, rhs)
	// Below the highest derivative, which the scaling by h⁴ leaves to rounding.
	jet := make([]float64, 5)
	for i := range 201 {
		at := float64(i) / 200
		g.Curve(v).At(at, jet)
		for d, w := range jet[:4] {
			if math.Abs(w-math.Exp(at)) > 1e-8 {
				t.Fatalf("y^(%d)(%g) = %.12g, want %.12g", d, at, w, math.Exp(at))
			}
		}
	}
}

// TestDefect: the residual of a curve that misses a constant source, projected and answered, is the source's solution;
// what a narrow rule sees between the nodes is told as detail.
func TestDefect(t *testing.T) {
	p := &bvp.Problem{A: 0, B: 1, Unknowns: []bvp.Unknown{{Name: "y", Order: 2}},
		Conditions: []bvp.Condition{bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, 0)}}
	source := func(x float64) float64 { return 0 }
	p.Equations = func(x float64, in, f, df []float64) {
		f[0] = in[2] - source(x)
		if df != nil {
			df[0], df[1], df[2] = 0, 0, 1
		}
	}
	g := NewGrid(p, Uniform([]float64{0, 1}, 5, nodes.Legendre))
	asm, sys, v := g.NewAssembler(), g.System(), g.NewVector()
	rhs := sys.NewRHS()
	asm.Assemble(v, sys, rhs)
	sys.Factor()
	sys.SolveTo(v, rhs)
	zero := g.Curve(v) // y = 0
	x, w := nodes.Gauss(12)
	q := &Quadrature{}
	for i := range x {
		q.X, q.W = append(q.X, (1+x[i])/2), append(q.W, w[i]/2)
	}
	source = func(x float64) float64 { return 1 }
	asm.Defect(zero, 0, 0, q, nil, make([]float64, 3), rhs)
	out := g.NewVector()
	sys.SolveTo(out, rhs)
	jet := make([]float64, 3)
	if g.Curve(out).At(0.5, jet); math.Abs(jet[0]+0.125) > 1e-14 { // x (x − 1)/2
		t.Errorf("y(0.5) = %g, want −1/8", jet[0])
	}
	// A dipole between two nodes: its first integral is a pulse of height 1, which moves y' there and nothing
	// elsewhere.
	const c, d = 0.61, 1e-4
	source = func(x float64) float64 { return -2 * (x - c) / d / d * math.Exp(-(x-c)/d*(x-c)/d) }
	q = &Quadrature{Narrow: true}
	for i := range 400 {
		q.X, q.W = append(q.X, c+(float64(i)-199.5)*d/40), append(q.W, d/40)
	}
	detail := make([]float64, 3)
	asm.Defect(zero, 0, 0, q, make([]float64, 3), detail, rhs)
	if math.Abs(detail[1]-1) > 0.02 || detail[0] > 3*d {
		t.Errorf("detail %v, want y' by 1 and y by about %g", detail, d)
	}
	// In eps y" + y' = f it is y" that answers a source narrower than eps, and no longer one that is wider.
	for _, eps := range []float64{1e-3, 1e-9} {
		p.Equations = func(x float64, in, f, df []float64) {
			f[0] = eps*in[2] + in[1] - source(x)
			if df != nil {
				df[0], df[1], df[2] = 0, 1, eps
			}
		}
		clear(detail)
		asm.Defect(zero, 0, 0, q, make([]float64, 3), detail, rhs)
		step := 4 * q.W[0] // over which changes are looked at
		want := math.Sqrt2 * math.Exp(-0.5) / d / math.Max(eps, step)
		if !(math.Abs(detail[2]-want) <= 0.02*want) {
			t.Errorf("eps = %g: y\" by %g, want %g", eps, detail[2], want)
		}
	}
}
