package derived

import (
	"math"
	"testing"

	"nodespan/solver"
	"nodespan/solver/bvp/bvptest"
)

// value is the condition that derivative d of the one unknown is c at x.
func value(x float64, d int, c float64) solver.Condition { return bvptest.Given(x, 0, d, c) }

func solve(t *testing.T, p *solver.Problem) *solver.Solution {
	t.Helper()
	s := solver.MustSolve(p, solver.Options{Tol: 1e-10})
	if s.Status != solver.Solved {
		t.Fatal(s.Message)
	}
	return s
}

// near checks that the value is right and that its claim covers the miss without being useless.
func near(t *testing.T, what string, got Number, want float64) {
	t.Helper()
	if miss := math.Abs(got.Value - want); !(miss <= got.Error+1e-15*math.Abs(want)) ||
		got.Error > 1e-8*math.Max(1, math.Abs(want)) {
		t.Errorf("%s = %v ± %.1e, want %v (off by %.1e)", what, got.Value, got.Error, want, miss)
	}
}

// integral integrates one entry of the jet.
func integral(t *testing.T, s *solver.Solution, f Integrand, a, b float64) Number {
	t.Helper()
	n, ok := Function{F: f}.Integral(s, a, b)
	if !ok {
		t.Error("no integral")
	}
	return n
}

// mean is the integral of c times a weight over that of the weight, which is known.
func mean(t *testing.T, s *solver.Solution, weight func(float64) float64, whole float64) Number {
	n := integral(t, s, Entry(0, weight), s.Problem.A, s.Problem.B)
	return Number{n.Value / whole, n.Error / whole}
}

// shape is c” + (a−1)/x c' = φ² c, c'(0) = 0, c(1) = 1: slab, cylinder, sphere for a = 1, 2, 3.
func shape(a, phi float64) *solver.Problem {
	return &solver.Problem{A: 0, B: 1, Unknowns: []solver.Unknown{{Name: "c", Order: 2}},
		Conditions: []solver.Condition{value(0, 1, 0), value(1, 0, 1)},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[2] + (a-1)/x*in[1] - phi*phi*in[0]
			if df != nil {
				df[0], df[1], df[2] = -phi*phi, (a-1)/x, 1
			}
		}}
}

// TestEffectiveness: effectiveness factors are means over the pellet, tanh(φ)/φ for a slab and (3/φ²)(φ coth φ − 1) for
// a sphere, and I_1's ratio for a cylinder is checked by the flux through the face (R. Aris, The Mathematical Theory of
// Diffusion and Reaction in Permeable Catalysts, 1975; from memory).
func TestEffectiveness(t *testing.T) {
	for _, phi := range []float64{0.3, 1, 5, 20} {
		s := solve(t, shape(1, phi))
		near(t, "slab", mean(t, s, nil, 1), math.Tanh(phi)/phi)
		s = solve(t, shape(3, phi))
		near(t, "sphere", mean(t, s, func(r float64) float64 { return r * r }, 1.0/3), 3/phi/phi*(phi/math.Tanh(phi)-1))
		s = solve(t, shape(2, phi))
		jet := make([]float64, 3)
		s.At(1, jet)
		near(t, "cylinder", mean(t, s, func(r float64) float64 { return r }, 1.0/2), 2*jet[1]/phi/phi)
	}
}

// TestFin: the efficiency of a straight fin with an insulated tip is tanh(mL)/(mL) (heat-transfer handbooks).
func TestFin(t *testing.T) {
	const m, l = 12.9, 0.08
	p := &solver.Problem{A: 0, B: l, Unknowns: []solver.Unknown{{Name: "theta", Order: 2}},
		Conditions: []solver.Condition{value(0, 0, 160), value(l, 1, 0)},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[2] - m*m*in[0]
			if df != nil {
				df[0], df[1], df[2] = -m*m, 0, 1
			}
		}}
	s := solve(t, p)
	n := mean(t, s, nil, l)
	near(t, "fin efficiency", Number{n.Value / 160, n.Error / 160}, math.Tanh(m*l)/(m*l))
}

// TestBeams: midspan deflections 5wL⁴/384EI and wL⁴/384EI and the tip of a cantilever wL⁴/8EI (mechanics handbooks).
func TestBeams(t *testing.T) {
	const ei, w, l = 8.5e5, 1800.0, 3.6
	beam := func(c ...solver.Condition) *solver.Problem {
		return &solver.Problem{A: 0, B: l, Unknowns: []solver.Unknown{{Name: "v", Order: 4}}, Conditions: c,
			Equations: func(x float64, in, f, df []float64) {
				f[0] = ei*in[4] - w
				if df != nil {
					clear(df)
					df[4] = ei
				}
			}}
	}
	unit := w * math.Pow(l, 4) / ei
	for _, c := range []struct {
		name string
		p    *solver.Problem
		want float64
		at   float64
	}{
		{"simply supported", beam(value(0, 0, 0), value(0, 2, 0), value(l, 0, 0), value(l, 2, 0)), 5.0 / 384 * unit,
			l / 2},
		{"built in", beam(value(0, 0, 0), value(0, 1, 0), value(l, 0, 0), value(l, 1, 0)), 1.0 / 384 * unit, l / 2},
		{"cantilever", beam(value(0, 0, 0), value(0, 1, 0), value(l, 2, 0), value(l, 3, 0)), 1.0 / 8 * unit, l},
	} {
		e := largest(solve(t, c.p), 0, l)
		near(t, c.name, e.Best.Value, c.want)
		near(t, c.name+", where", e.Best.X, c.at)
	}
}

// largest is that of the first entry.
func largest(s *solver.Solution, a, b float64) Extreme {
	slope := Function{F: Entry(1, nil)}
	return Function{F: Entry(0, nil), Slope: &slope}.Largest(s, a, b)
}

// TestWave looks for the zeros and extremes of sin(k x + 0.3).
func TestWave(t *testing.T) {
	const k = 17.0
	p := &solver.Problem{A: 0, B: 2, Unknowns: []solver.Unknown{{Name: "y", Order: 2}},
		Conditions: []solver.Condition{value(0, 0, math.Sin(0.3)), value(0, 1, k*math.Cos(0.3))},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[2] + k*k*in[0]
			if df != nil {
				df[0], df[1], df[2] = k*k, 0, 1
			}
		}}
	s := solve(t, p)
	y := Function{F: Entry(0, nil)}
	zeros := y.Zeros(s, 0, 2)
	if len(zeros.Places) != 10 || len(zeros.Doubtful) > 0 { // n π between 0.3 and 34.3
		t.Fatalf("%d zeros, %v", len(zeros.Places), zeros.Doubtful)
	}
	for i, z := range zeros.Places {
		near(t, "zero", z.X, (float64(i+1)*math.Pi-0.3)/k)
	}
	for n := range 6 { // each maximum by itself
		at := ((2*float64(n)+0.5)*math.Pi - 0.3) / k
		if at+0.1 > 2 {
			break
		}
		near(t, "maximum", largest(s, math.Max(0, at-0.1), at+0.1).Best.X, at)
	}
	if e := largest(s, 0, 2); len(e.Places) != 6 {
		t.Errorf("%d equal maxima", len(e.Places))
	}
	near(t, "integral", integral(t, s, Entry(0, nil), 0.25, 1.5), (math.Cos(k*0.25+0.3)-math.Cos(k*1.5+0.3))/k)
	near(t, "backwards", integral(t, s, Entry(0, nil), 1.5, 0.25), -(math.Cos(k*0.25+0.3)-math.Cos(k*1.5+0.3))/k)
	// A nonlinear integrand: the mean of the square of a sine.
	square := func(x float64, jet, d []float64) float64 { d[0] = 2 * jet[0]; return jet[0] * jet[0] }
	near(t, "square", integral(t, s, square, 0, 2), 1-(math.Sin(2*(k*2+0.3))-math.Sin(0.6))/(4*k))
}

// TestLargestWithoutSlope: the largest value of a function whose slope is not known lies inside the interval too: cosh
// is smallest in the middle, so that −y is largest there.
func TestLargestWithoutSlope(t *testing.T) {
	s := solve(t, &solver.Problem{A: -1, B: 1, Unknowns: []solver.Unknown{{Name: "y", Order: 2}},
		Conditions: []solver.Condition{value(-1, 0, math.Cosh(1)), value(1, 0, math.Cosh(1))},
		Equations: func(_ float64, in, f, df []float64) {
			f[0] = in[2] - in[0]
			if df != nil {
				df[0], df[1], df[2] = -1, 0, 1
			}
		}})
	e := Function{F: func(_ float64, jet, d []float64) float64 {
		clear(d)
		d[0] = -1
		return -jet[0]
	}}.Largest(s, -1, 1)
	near(t, "the largest −cosh", e.Best.Value, -1)
	if x := e.Best.X; math.Abs(x.Value) > x.Error || x.Error > 1e-3 {
		t.Errorf("at %g ± %g", x.Value, x.Error)
	}
}
