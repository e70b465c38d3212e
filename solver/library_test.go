package solver_test

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"nodespan/solver"
	"nodespan/solver/nodes"
)

// fin is θ” = 4 θ, θ(0) = 1, θ'(1) = 0, whose solution is cosh(2 (1 - x))/cosh 2.
func fin() *solver.Problem {
	return &solver.Problem{
		A: 0, B: 1,
		Unknowns:   []solver.Unknown{{Name: "theta", Order: 2}},
		Equations:  solver.ComplexStep(func(_ float64, in, f []complex128) { f[0] = in[2] - 4*in[0] }),
		Conditions: []solver.Condition{solver.Value(0, 0, 1), solver.Slope(0, 1, 0)},
	}
}

func TestOptionsThatCannotBeMet(t *testing.T) {
	for _, c := range []struct {
		option string
		o      solver.Options
	}{
		{"Method", solver.Options{Method: "peices"}},
		{"Family", solver.Options{Family: 17}},
		{"Family", solver.Options{Family: -1}},
		{"Nodes", solver.Options{Nodes: -3}},
		{"Nodes", solver.Options{Nodes: solver.MostNodes + 1}},
		{"Order", solver.Options{Method: solver.Differences, Order: 3}},
		{"Order", solver.Options{Order: 10}},
		{"Elements", solver.Options{Elements: -1}},
		{"Elements", solver.Options{Elements: solver.MostElements + 1}},
		{"Elements", solver.Options{Method: solver.One, Elements: 2}},
		{"Tol", solver.Options{Tol: 1e-20}},
		{"Tol", solver.Options{Tol: math.NaN()}},
		{"Tol", solver.Options{Tol: -1e-8}},
		{"Tol", solver.Options{Tol: 0.2}},
		{"Count", solver.Options{Count: -1}},
		{"Mode", solver.Options{Mode: -1}},
		{"Work", solver.Options{Work: -1}},
	} {
		s, err := solver.Solve(fin(), c.o)
		var wrong *solver.OptionError
		if s != nil || !errors.As(err, &wrong) || wrong.Option != c.option {
			t.Errorf("%+v: %v, %v", c.o, s, err)
		} else if !strings.HasPrefix(err.Error(), "option "+c.option+" is ") {
			t.Errorf("%q", err)
		}
	}
	for _, f := range nodes.Families() {
		for _, o := range []solver.Options{{}, {Tol: solver.SmallestTol}, {Tol: solver.LargestTol}, {Order: 8}} {
			if o.Family = f; o.Check() != nil {
				t.Errorf("%+v: %v", o, o.Check())
			}
		}
	}
}

// TestDerivativesAreOptional solves one nonlinear problem with derivatives of either kind and with none written. y” =
// 3/2 y², y(0) = 4, y(1) = 1 has the solution 4/(1 + x)² (J. Stoer, R. Bulirsch, Introduction to Numerical Analysis,
// section 7.3).
func TestDerivativesAreOptional(t *testing.T) {
	problem := func(r solver.Residuals) *solver.Problem {
		return &solver.Problem{
			A: 0, B: 1, Unknowns: []solver.Unknown{{Name: "y", Order: 2}}, Equations: r,
			Conditions: []solver.Condition{solver.Value(0, 0, 4), solver.Value(0, 1, 1)},
			Guess:      func(x float64, jet []float64) { jet[0], jet[1], jet[2] = 4-3*x, -3, 0 },
		}
	}
	for name, r := range map[string]solver.Residuals{
		"complex":     solver.ComplexStep(func(_ float64, in, f []complex128) { f[0] = in[2] - 1.5*in[0]*in[0] }),
		"differences": solver.Numerical(func(_ float64, in, f []float64) { f[0] = in[2] - 1.5*in[0]*in[0] }),
	} {
		s, err := solver.Solve(problem(r), solver.Options{Tol: 1e-10})
		if err != nil || s.Status != solver.Solved {
			t.Errorf("%s: %v %+v", name, err, s)
			continue
		}
		for x := 0.0; x <= 1; x += 0.125 {
			v, claimed := s.Value(0, 0, x)
			if off := math.Abs(v - 4/((1+x)*(1+x))); off > claimed || off > 1e-9 {
				t.Errorf("%s: off by %g at %g, claimed %g", name, off, x, claimed)
			}
		}
	}
	_, err := solver.Solve(problem(func(_ float64, in, f, _ []float64) { f[0] = in[2] - 1.5*in[0]*in[0] }),
		solver.Options{})
	var wrong *solver.DerivativeError
	if !errors.As(err, &wrong) || !math.IsNaN(wrong.Given) || wrong.Of != "equation 1" || wrong.By != "y" {
		t.Errorf("derivatives that nobody wrote: %v", err)
	}
}

// TestWrongDerivativesAreNamed spoils each derivative of a system with a sought number in turn.
func TestWrongDerivativesAreNamed(t *testing.T) {
	names := []string{"u", "u'", "v", "v'", "v''", "k"}
	exact := func(x float64, in, f, df []float64) {
		u, v, k := in[0], in[2], in[5]
		f[0], f[1] = in[1]-1e-3*v*math.Exp(u), in[4]+k*math.Sin(u)-x
		if df != nil {
			copy(df, []float64{-1e-3 * v * math.Exp(u), 1, -1e-3 * math.Exp(u), 0, 0, 0})
			copy(df[6:], []float64{k * math.Cos(u), 0, 0, 0, 1, math.Sin(u)})
		}
	}
	at := []solver.PointValue{{X: 0, Unknown: 1, Derivative: 1}}
	problem := func(spoil int) *solver.Problem {
		return &solver.Problem{
			A: 0, B: 1,
			Unknowns:   []solver.Unknown{{Name: "u", Order: 1}, {Name: "v", Order: 2}},
			Parameters: []solver.Parameter{{Name: "k"}},
			Equations: func(x float64, in, f, df []float64) {
				exact(x, in, f, df)
				if df != nil && spoil >= 0 {
					df[spoil] = 1.5*df[spoil] + 0.1
				}
			},
			Conditions: []solver.Condition{
				solver.Value(0, 0, 0), solver.Value(1, 0, 0), solver.Value(1, 1, 1),
				solver.Nonlinear(func(in []complex128) complex128 { return cmplx.Exp(in[0]) - in[1] }, at...),
			},
		}
	}
	if err := solver.CheckDerivatives(problem(-1)); err != nil {
		t.Errorf("right derivatives: %v", err)
	}
	for spoil := range 12 {
		var wrong *solver.DerivativeError
		err := solver.CheckDerivatives(problem(spoil))
		if !errors.As(err, &wrong) || wrong.Of != fmt.Sprintf("equation %d", spoil/6+1) || wrong.By != names[spoil%6] {
			t.Errorf("derivative %d: %v", spoil, err)
		}
	}
	p := problem(-1)
	g := p.Conditions[3]
	p.Conditions[3].Residual = func(in, dg []float64) float64 {
		r := g.Residual(in, dg)
		if dg != nil {
			dg[0] = 0
		}
		return r
	}
	var wrong *solver.DerivativeError
	if err := solver.CheckDerivatives(p); !errors.As(err, &wrong) || wrong.Of != "condition 4" || wrong.By != "v'(0)" {
		t.Errorf("a condition's derivative: %v", err)
	}
}

// TestDerivativesThatCannotBeCompared: where a residual jumps, has no value or is all rounding, nothing is called
// wrong.
func TestDerivativesThatCannotBeCompared(t *testing.T) {
	for name, f := range map[string]func(y float64) (v, slope float64){
		"root":     func(y float64) (float64, float64) { return math.Sqrt(y), 0.5 / math.Sqrt(y) },
		"sign":     func(y float64) (float64, float64) { return math.Copysign(1, y), 0 },
		"kink":     func(y float64) (float64, float64) { return math.Abs(y), math.Copysign(1, y) },
		"nowhere":  func(y float64) (float64, float64) { return math.NaN(), math.NaN() },
		"rounding": func(y float64) (float64, float64) { return (1e6 + 1e-3*y) - 1e6, 1e-3 },
		"wild":     func(y float64) (float64, float64) { return math.Sin(1e5 * y), 1e5 * math.Cos(1e5*y) },
	} {
		p := fin()
		p.Equations = func(_ float64, in, out, df []float64) {
			v, slope := f(in[0])
			out[0] = in[2] + v
			if df != nil {
				df[0], df[1], df[2] = slope, 0, 1
			}
		}
		if err := solver.CheckDerivatives(p); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestOutside asks a solution where it is not defined.
func TestOutside(t *testing.T) {
	s := solver.MustSolve(fin(), solver.Options{})
	jet, f := make([]float64, 3), make([]float64, 1)
	for _, x := range []float64{5, -1e-9, 1 + 1e-9, math.NaN(), math.Inf(1)} {
		s.At(x, jet)
		if !math.IsNaN(jet[0]) || !math.IsNaN(jet[1]) || !math.IsNaN(jet[2]) {
			t.Errorf("At(%g): %v", x, jet)
		}
		s.ErrorAt(x, jet)
		if !math.IsInf(jet[0], 1) || !math.IsInf(jet[2], 1) {
			t.Errorf("ErrorAt(%g): %v", x, jet)
		}
		if s.Residual(x, f); !math.IsNaN(f[0]) {
			t.Errorf("Residual(%g): %v", x, f)
		}
		if s.Finer(0, x, jet, make([]float64, 3)) {
			t.Errorf("Finer(%g)", x)
		}
	}
	// What rounding puts beyond an end is the end.
	if s.At(math.Nextafter(1, 2), jet); math.Abs(jet[0]-1/math.Cosh(2)) > 1e-8 {
		t.Errorf("one unit beyond the end: %v", jet)
	}
}

// TestUnusable asks a solution that is none: y” + π² y = 0 with y(0) = 0, y(1) = 1 has no solution.
func TestUnusable(t *testing.T) {
	p := fin()
	p.Equations = solver.ComplexStep(func(_ float64, in, f []complex128) { f[0] = in[2] + math.Pi*math.Pi*in[0] })
	p.Conditions = []solver.Condition{solver.Value(0, 0, 0), solver.Value(0, 1, 1)}
	s := solver.MustSolve(p, solver.Options{})
	if s.Status != solver.Failed {
		t.Fatal(s.Status, s.Message)
	}
	jet := make([]float64, 3)
	if s.ErrorAt(0.5, jet); !math.IsInf(jet[0], 1) {
		t.Errorf("error %v", jet)
	}
	p.Equations = solver.Numerical(func(_ float64, in, f []float64) { f[0] = math.NaN() })
	s = solver.MustSolve(p, solver.Options{})
	if s.Usable() {
		t.Fatal("there is nothing to be had")
	}
	if s.At(0.5, jet); !math.IsNaN(jet[0]) || s.Points() != nil || len(s.Sought()) != 0 {
		t.Errorf("%v, %v", jet, s.Points())
	}
	v, off := s.Value(0, 0, 0.5)
	if s.ErrorAt(0.5, jet); !math.IsInf(jet[0], 1) || !math.IsNaN(v) || !math.IsInf(off, 1) {
		t.Errorf("%v, %v, %v", jet, v, off)
	}
	if s.Residual(0.5, jet[:1]); !math.IsNaN(jet[0]) || s.Series(0, 0) != nil || s.Finer(0, 0.5, jet, jet) {
		t.Errorf("residual %v", jet[0])
	}
}
