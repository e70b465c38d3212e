package branches

import (
	"math"
	"testing"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
)

// constant is y” = c² y + c on (0, end), y(0) = 0, y(end) = c³, with the constant c; below 0 there is no such problem.
func constant(end func(c float64) float64) *bvp.Problem {
	var with func(values []float64) *bvp.Problem
	with = func(values []float64) *bvp.Problem {
		c := values[0]
		if c < 0 {
			return nil
		}
		p := bvptest.Second(0, end(c), 0, c*c*c, func(_, y, _ float64) (float64, float64, float64) {
			return c*c*y + c, c * c, 0
		})
		p.Constants, p.With = []bvp.Constant{{Name: "c", Value: c}}, with
		return p
	}
	return with([]float64{2})
}

// TestLift: derivatives by the constant are those of the formulas, and what it moves is seen.
func TestLift(t *testing.T) {
	still := func(float64) float64 { return 1 }
	l := &lift{base: constant(still), values: []float64{2}, unit: 1}
	p := l.problem(2, bvptest.Given(0, 0, 1, 5), nil, nil)
	if len(p.Conditions) != 3 || len(p.Parameters) != 1 || p.Parameters[0].Name != "c" || p.Parameters[0].Guess != 2 ||
		p.Work != 5*l.base.EvaluationWork() {
		t.Fatalf("%+v", p)
	}
	for _, c := range []float64{0.5, 2, 30} {
		in, f, df := []float64{3, 0.4, 7, c}, make([]float64, 1), make([]float64, 4)
		p.Equations(0.3, in, f, df)
		want := []float64{-c * c, 0, 1, -2*c*3 - 1}
		for i := range want {
			if math.Abs(df[i]-want[i]) > 1e-9*(1+math.Abs(want[i])) {
				t.Errorf("c = %g: the derivative by entry %d is %.12g, want %g", c, i, df[i], want[i])
			}
		}
		dg := make([]float64, 2)
		g := p.Conditions[1].Residual([]float64{4, c}, dg)
		if math.Abs(g-(4-c*c*c)) > 1e-12*c*c*c || dg[0] != 1 || math.Abs(dg[1]+3*c*c) > 1e-8*c*c ||
			p.Conditions[1].Residual([]float64{4, c}, nil) != g {
			t.Errorf("c = %g: the condition leaves %g, derivatives %v", c, g, dg)
		}
		again := []float64{0}
		if p.Equations(0.3, in, again, nil); again[0] != f[0] || math.Abs(f[0]-(7-c*c*3-c)) > 1e-9*c*c {
			t.Errorf("c = %g: residuals %v and %v", c, f, again)
		}
	}
	f, df := make([]float64, 1), make([]float64, 4)
	if p.Equations(0.3, []float64{3, 0.4, 7, -1}, f, df); !math.IsNaN(f[0]) || !math.IsNaN(df[3]) {
		t.Errorf("beyond the constants %v, %v", f, df)
	}
	if p.Equations(0.3, []float64{3, 0.4, 7, 1e-9}, f, df); !math.IsNaN(df[3]) || math.IsNaN(f[0]) {
		t.Errorf("at their edge %v, %v", f, df)
	}
	if len(l.kept) > mostKept {
		t.Errorf("%d variants are kept", len(l.kept))
	}
	if l.moves() {
		t.Error("the interval is said to move")
	}
	moving := &lift{base: constant(func(c float64) float64 { return c }), values: []float64{2}, unit: 1}
	if !moving.moves() {
		t.Error("the interval moves")
	}
}

// TestMetric: the direction between two points has length 1 in sizes, the further condition is the distance along it,
// and the one that holds the constant holds it.
func TestMetric(t *testing.T) {
	base := constant(func(float64) float64 { return 1 })
	tr := &tracer{base: base, samples: samples(base), sizes: []float64{2}, unit: 4}
	if n := len(tr.samples); n != len(places) || tr.samples[0].X != 0 || tr.samples[n-1].X != 1 {
		t.Fatalf("%v", tr.samples)
	}
	point := func(y, c float64) *pathPoint {
		a := &pathPoint{jet: func(_ float64, jet []float64) { copy(jet, []float64{y, y / 2, y / 4}) }}
		for range places {
			a.sample = append(a.sample, y)
		}
		a.sample = append(a.sample, c)
		return a
	}
	a, b := point(1, 3), point(11, 27) // values change by 10, measured by 11; the constant by 24, measured by 4
	d, length := tr.towards(a, b)
	if want := math.Sqrt(100.0/121 + 36); math.Abs(length-want) > 1e-12 {
		t.Errorf("length %v, want %v", length, want)
	}
	if one := inner(d.weights, d.d, d.d); math.Abs(one-1) > 1e-12 {
		t.Errorf("the direction has length %v", one)
	}
	jet := make([]float64, 3)
	if d.jet(0.3, jet); math.Abs(jet[0]-10/length) > 1e-12 || math.Abs(jet[2]-2.5/length) > 1e-12 {
		t.Errorf("the direction as a function: %v", jet)
	}
	dg := make([]float64, len(b.sample))
	if g := tr.condition(a, d, length).Residual(b.sample, dg); math.Abs(g) > 1e-12 {
		t.Errorf("the second point is %g off its distance", g)
	}
	if g := tr.condition(a, d, 0.5).Residual(a.sample, nil); g != -0.5 {
		t.Errorf("the first point leaves %g", g)
	}
	if want := d.weights[0] * d.d[0]; dg[0] != want {
		t.Errorf("derivative %v, want %v", dg[0], want)
	}
	hold := []float64{9, 9}
	if g := tr.held(7).Residual([]float64{1, 9}, hold); g != 0.5 || hold[0] != 0 || hold[1] != 0.25 {
		t.Errorf("held: %v, %v", g, hold)
	}
}

// TestPolynomial: values, slopes, zeros and stationary points of polynomials; what lies beyond half as much again of
// the stretch is not believed.
func TestPolynomial(t *testing.T) {
	through := func(f func(x float64) float64) polynomial {
		x := []float64{-1, -0.4, 0.3, 1}
		var y []float64
		for _, v := range x {
			y = append(y, f(v))
		}
		return newton(x, y)
	}
	near := func(a, b float64) bool { return math.Abs(a-b) < 1e-12 }
	cubic := through(func(x float64) float64 { return 2*x*x*x - x + 3 })
	if v, d1, d2 := cubic.at(0.7); !near(v, 2*0.343-0.7+3) || !near(d1, 6*0.49-1) || !near(d2, 8.4) {
		t.Errorf("%v, %v, %v", v, d1, d2)
	}
	for _, z := range []float64{0, 0.8, -1.2, 1.4, 1.7, -1.7} {
		p := through(func(x float64) float64 { return 3 * (x - z) })
		at, slope, ok := p.zero(0, 1)
		if want := math.Abs(z) < 1.5; ok != want || ok && !(near(at, z) && near(slope, 3)) {
			t.Errorf("zero at %v: %v, slope %v, %v", z, at, slope, ok)
		}
	}
	p := through(func(x float64) float64 { return 5 + 2*(x-0.3)*(x-0.3) })
	if at, value, ok := p.stationary(0, 1); !ok || !near(at, 0.3) || !near(value, 5) {
		t.Errorf("stationary at %v, %v, %v", at, value, ok)
	}
}
