package several

import (
	"context"
	"math"
	"slices"
	"testing"

	"nodespan/solver"
	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
)

// TestPair: the pair's coefficients meet the order conditions of Runge and Kutta (J. C. Butcher, Numerical Methods for
// Ordinary Differential Equations, section 31): a row sums to its place, the step has order 5, the error's weights
// cancel to order 3.
func TestPair(t *testing.T) {
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-14 {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	var ac, acc [7]float64 // Σ a c and Σ a c²
	for i, row := range dpA {
		sum := 0.0
		for j, a := range row {
			sum += a
			ac[i] += a * dpC[j]
			acc[i] += a * dpC[j] * dpC[j]
		}
		near("a row", sum, dpC[i])
	}
	b := dpA[6] // the last row is the step
	for k := range 5 {
		sum, off := 0.0, 0.0
		for i := range b {
			sum += b[i] * math.Pow(dpC[i], float64(k))
		}
		for i := range dpE {
			off += dpE[i] * math.Pow(dpC[i], float64(k))
		}
		near("a power", sum, 1/float64(k+1))
		if k < 4 {
			near("a power in the error", off, 0)
		} else if math.Abs(off) < 1e-4 {
			t.Error("the two formulas are of one order")
		}
	}
	for what, f := range map[string]struct {
		of   func(i int) float64
		want float64
	}{
		"Σ b a c":    {func(i int) float64 { return ac[i] }, 1.0 / 6},
		"Σ b c a c":  {func(i int) float64 { return dpC[i] * ac[i] }, 1.0 / 8},
		"Σ b a c²":   {func(i int) float64 { return acc[i] }, 1.0 / 12},
		"Σ b c² a c": {func(i int) float64 { return dpC[i] * dpC[i] * ac[i] }, 1.0 / 10},
		"Σ b (a c)²": {func(i int) float64 { return ac[i] * ac[i] }, 1.0 / 20},
		"Σ b c a c²": {func(i int) float64 { return dpC[i] * acc[i] }, 1.0 / 15},
	} {
		sum := 0.0
		for i := range b {
			sum += b[i] * f.of(i)
		}
		near(what, sum, f.want)
	}
}

// pair is u' = v, v” = -u + k on (1, 4), whose solutions are u = cos, v = -sin with k = 0 and others.
func pair(conditions ...bvp.Condition) *bvp.Problem {
	return &bvp.Problem{A: 1, B: 4, Unknowns: []bvp.Unknown{{Name: "u", Order: 1}, {Name: "v", Order: 2}},
		Parameters: []bvp.Parameter{{Name: "k"}}, Conditions: conditions,
		Equations: func(_ float64, in, f, df []float64) { // u u' v v' v'' k
			f[0], f[1] = in[1]-in[2], 2*in[4]+2*in[2]-2*in[5]
			if df != nil {
				clear(df)
				df[1], df[2] = 1, -1
				df[6+4], df[6+2], df[6+5] = 2, 2, -2
			}
		}}
}

// TestFlow: an integration follows cos, sin and the constant that drives them, in either direction, and what lies
// between its points does too.
func TestFlow(t *testing.T) {
	p := pair()
	exact := func(x float64) []float64 { // v = 3 + cos x, u = 3 x + sin x
		s, c := math.Sincos(x)
		return []float64{3*x + s, 3 + c, 3 + c, -s, -c}
	}
	for _, c := range [][]float64{{1, 2.5, 4}, {4, 3, 1}} {
		w := newFlow(p, []float64{4, 1}, context.Background())
		z := exact(c[0])
		tr, ok := w.run(c[0], []float64{z[0], z[2], z[3]}, []float64{3}, c[1:])
		if !ok || tr.x[0] != c[0] || tr.x[len(tr.x)-1] != c[2] || !slices.Contains(tr.x, c[1]) || len(tr.x) > 40 ||
			tr.parameters[0] != 3 {
			t.Fatalf("%v, %v", ok, tr.x)
		}
		jet := make([]float64, 5)
		for k := range 61 {
			x := 1 + 3*float64(k)/60
			tr.jet(p, x, jet)
			for i, want := range exact(x) {
				if math.Abs(jet[i]-want) > []float64{1e-4, 1e-2, 1e-4, 1e-4, 1e-2}[i] {
					t.Errorf("entry %d at %v is %v, want %v", i, x, jet[i], want)
				}
			}
		}
		for k, x := range tr.x {
			for i, want := range exact(x) {
				if math.Abs(tr.jets[k][i]-want) > 2e-5 {
					t.Errorf("entry %d at the point %v is off by %g", i, x, tr.jets[k][i]-want)
				}
			}
		}
	}
	// What grows without bound is left in time: y' = y² from 1 is gone at 2.
	gone := bvptest.Scalar(1, 1, 4, func(_ float64, y []float64) (float64, []float64) {
		return y[1] - y[0]*y[0], []float64{-2 * y[0], 1}
	})
	tr, ok := newFlow(gone, []float64{1}, context.Background()).run(1, []float64{1}, nil, []float64{4})
	if last := tr.x[len(tr.x)-1]; ok || math.Abs(last-2) > 1e-3 {
		t.Errorf("%v at %v", ok, last)
	}
}

// TestMissing: what the conditions at an end leave open, its completion, and what is left of the others.
func TestMissing(t *testing.T) {
	sum := bvp.Condition{At: []bvp.PointValue{{X: 1}, {X: 1, Unknown: 1, Derivative: 1}}, // u + 2 v' = 7 + k
		Residual: func(in, dg []float64) float64 {
			if dg != nil {
				copy(dg, []float64{1, 2, -1})
			}
			return in[0] + 2*in[1] - 7 - in[2]
		}}
	p := pair(sum, bvptest.Given(1, 1, 0, 5), bvptest.Given(4, 0, 0, 2), bvptest.Given(2, 1, 0, -1))
	w := newFlow(p, []float64{4, 8}, context.Background())
	m := missingAt(w, 1, []float64{0.5, 1, 0, 2})
	if m == nil || !slices.Equal(m.here, []int{0, 1}) || !slices.Equal(m.away, []int{2, 3}) || len(m.free) != 2 ||
		!slices.Equal(m.stops, []float64{2, 4}) {
		t.Fatalf("%+v", m)
	}
	free := []float64{0.7, 1.5}
	at, ok := m.start(free)
	if !ok || math.Abs(at[0]+2*at[2]-7-at[3]) > 1e-12 || at[1] != 5 {
		t.Fatalf("%v", at)
	}
	for i, c := range m.free {
		if at[c] != free[i] {
			t.Errorf("free number %d is %v, want %v", i, at[c], free[i])
		}
		if want := []float64{4, 8, 8.0 / 3, 2}[c]; math.Abs(m.unit(i)-want) > 1e-12 {
			t.Errorf("number %d has the unit %v, want %v", c, m.unit(i), want)
		}
	}
	var left [2]float64
	tr, ok := m.shoot(free, left[:])
	jet := make([]float64, 5)
	tr.jet(p, 4, jet)
	two := make([]float64, 5)
	tr.jet(p, 2, two)
	if !ok || math.Abs(left[0]-(jet[0]-2)) > 1e-9 || math.Abs(left[1]-(two[2]+1)) > 1e-9 {
		t.Errorf("%v, left %v", ok, left)
	}
	// From the other end one condition stands there.
	if m := missingAt(w, 4, []float64{0.5, 1, 0, 2}); m == nil || !slices.Equal(m.stops, []float64{2, 1}) ||
		len(m.free) != 3 || m.unit(2) != 2 {
		t.Errorf("%+v", m)
	}
}

// TestScan: y” = -y, y(0) = 0, y(2) = 1 has the slope 1/sin 2 at 0, and y” = -y³, y(0) = y(1) = 0 those of its waves.
func TestScan(t *testing.T) {
	one := bvptest.Second(0, 2, 0, 1, func(_, y, _ float64) (float64, float64, float64) { return -y, -1, 0 })
	w := newFlow(one, []float64{1}, context.Background())
	s := newScan(missingAt(w, 0, []float64{0, 0}))
	if !slices.IsSorted(s.grid) || s.grid[0] > -4999 || s.grid[len(s.grid)-1] < 4999 || len(s.grid) > 140 {
		t.Errorf("%d values from %v to %v", len(s.grid), s.grid[0], s.grid[len(s.grid)-1])
	}
	for k, v := range s.grid {
		if math.Abs(v+s.grid[len(s.grid)-1-k]) > 1e-9*math.Abs(v) {
			t.Errorf("%v has no other sign", v)
		}
	}
	for s.step() {
	}
	if r := s.roots(); len(r) < 1 || math.Abs(r[0]-1/math.Sin(2)) > 1e-5 || s.count > mostShots+200 {
		t.Errorf("%v after %d shots", r, s.count)
	}
	// A wave of y” = -y³ with the amplitude a begins with the slope a²/√2, and a quarter of it takes √2/a times
	// 1.31102877714606, the integral of 1/√(1 - u⁴) from 0 to 1 (a lemniscate constant, DLMF 19.20.2). n half waves
	// fit.
	cubic := bvptest.Second(0, 1, 0, 0, func(_, y, _ float64) (float64, float64, float64) {
		return -y * y * y, -3 * y * y, 0
	})
	w = newFlow(cubic, []float64{1}, context.Background())
	s = newScan(missingAt(w, 0, []float64{0, 0}))
	for s.step() {
	}
	found := s.roots()
	for n := 1.0; n <= 4; n++ {
		a := 2 * n * 1.31102877714606 * math.Sqrt2
		for _, slope := range []float64{a * a / math.Sqrt2, -a * a / math.Sqrt2} {
			if !slices.ContainsFunc(found, func(v float64) bool { return math.Abs(v-slope) < 1e-3*math.Abs(slope) }) {
				t.Errorf("the slope %v of %v half waves is not among %v", slope, n, found)
			}
		}
	}
}

// TestImages: the mirror images of a function, with derivatives, and the starts that are made of one.
func TestImages(t *testing.T) {
	p := pair()
	of := func(x float64, jet []float64) { copy(jet, []float64{x, 1, x * x, 2 * x, 2}) }
	for m, want := range map[Mirror][]float64{None: {2, 1, 4, 4, 2}, Sign: {-2, -1, -4, -4, -2},
		Turned: {3, -1, 9, -6, 2}, SignTurn: {-3, 1, -9, 6, -2}} {
		jet := make([]float64, 5)
		if m.image(p, of)(2, jet); !slices.Equal(jet, want) {
			t.Errorf("%s: %v, want %v", m, jet, want)
		}
	}
	list := startsFrom(p, []float64{2, 5}, of, []float64{9})
	if len(list) != 2*len(amplitudes)*len(shapes()) || list[3].parameters[0] != 9 {
		t.Fatalf("%d starts", len(list))
	}
	const h = 1e-5
	a, up, down := make([]float64, 5), make([]float64, 5), make([]float64, 5)
	for i, s := range list {
		s.jet(2, a)
		s.jet(2+h, up)
		s.jet(2-h, down)
		for _, k := range []int{0, 2, 3} {
			if d := (up[k] - down[k]) / (2 * h); math.Abs(d-a[k+1]) > 1e-5*(1+math.Abs(d)) {
				t.Errorf("start %d: the derivative of entry %d is %v, the difference %v", i, k, a[k+1], d)
			}
		}
	}
	// The first is sin π t, t = 1/3, once the size of each unknown; the second has the other sign in v.
	s := math.Sin(math.Pi / 3)
	for i, want := range [][2]float64{{2 + 2*s, 4 + 5*s}, {2 + 2*s, 4 - 5*s}, {4, 9}, {4, -1}} {
		list[i].jet(2, a)
		if math.Abs(a[0]-want[0]) > 1e-12 || math.Abs(a[2]-want[1]) > 1e-12 {
			t.Errorf("start %d: %v, want %v", i, a, want)
		}
	}
}

// TestDeflation: distances are means in the sizes of the unknowns, and what is known is divided out: of y” = -2 e^y
// with zero ends the second solution is reached from where the first one is reached without that.
func TestDeflation(t *testing.T) {
	p := pair(bvptest.Given(1, 0, 0, 0), bvptest.Given(1, 1, 0, 0), bvptest.Given(4, 0, 0, 0),
		bvptest.Given(4, 1, 0, 0))
	d := newDeflation(p, []float64{2, 5}, context.Background())
	level := func(u, v, k float64) *blocks.Solution {
		return d.vector(func(_ float64, jet []float64) { copy(jet, []float64{u, 0, v, 0, 0}) }, []float64{k})
	}
	a, b, c := level(6, 10, 8), level(2, 5, 4), level(4, 20, 1)
	for what, k := range map[string]struct{ got, want float64 }{
		"a":           {d.inner(a, nil, a), 9 + 4 + 64},
		"a - b":       {d.inner(a, b, a), 4 + 1 + 1},
		"(a - b) · c": {d.inner(a, b, c), 2*2 + 1*4 + 4*1/16.0},
		"a · c":       {d.inner(a, nil, c), 3*2 + 2*4 + 8},
	} {
		if math.Abs(k.got-k.want) > 1e-12 {
			t.Errorf("%s: %v, want %v", what, k.got, k.want)
		}
	}
	add(a, 0.5, c)
	if got := d.inner(a, nil, a); math.Abs(got-(16+16+8.5*8.5)) > 1e-9 {
		t.Errorf("a + c/2: %v", got)
	}

	bratu := bvptest.Second(0, 1, 0, 0, func(_, y, _ float64) (float64, float64, float64) {
		e := 2 * math.Exp(y)
		return -e, -e, 0
	})
	d = newDeflation(bratu, []float64{1}, context.Background())
	zero := func(_ float64, jet []float64) { clear(jet) }
	jet := make([]float64, 3)
	var tops []float64
	for range 3 {
		v := d.find(d.vector(zero, nil))
		if v == nil {
			break
		}
		d.g.Curve(v).At(0.5, jet)
		tops = append(tops, jet[0])
		d.know(v)
	}
	// 2 ln cosh(θ/4) for θ = 2 cosh(θ/4): the two values at the middle (closed form of Bratu's problem).
	if len(tops) != 2 || math.Abs(tops[0]-0.3289524214) > 1e-3 || math.Abs(tops[1]-2.8955312655) > 1e-1 {
		t.Errorf("%v", tops)
	}
}

// TestSame: a solution is itself and its own image, and no other; what is zero within its errors is trivial.
func TestSame(t *testing.T) {
	pendulum := bvptest.Second(0, 1, 0, 0, func(_, y, _ float64) (float64, float64, float64) {
		s, c := math.Sincos(y)
		return -25 * s, -25 * c, 0
	})
	from := func(a float64) *solver.Solution {
		q := *pendulum
		q.Guess = func(x float64, jet []float64) {
			s, c := math.Sincos(math.Pi * x)
			jet[0], jet[1], jet[2] = a*s, a*math.Pi*c, -a*math.Pi*math.Pi*s
		}
		return solver.MustSolve(&q, solver.Options{})
	}
	up, down, flat := from(2), from(-2), from(0)
	for _, c := range []struct {
		a, b *solver.Solution
		m    Mirror
		want bool
	}{
		{up, up, None, true}, {up, down, None, false}, {up, down, Sign, true}, {up, up, Turned, true},
		{up, down, SignTurn, true}, {up, up, Sign, false}, {flat, up, None, false}, {flat, flat, Sign, true},
	} {
		if got := same(pendulum, c.a, c.b, c.m); got != c.want {
			t.Errorf("same %q: %v", c.m, got)
		}
	}
	if Trivial(up) || !Trivial(flat) {
		t.Error("which is trivial")
	}
	if s := sizesOf(pendulum, up); len(s) != 1 || s[0] < 1.5 || s[0] > 3 {
		t.Errorf("sizes %v", s)
	}
	held := bvptest.Second(0, 1, 3, -7, func(_, y, _ float64) (float64, float64, float64) { return y, 1, 0 })
	if s := sizesOf(held, &solver.Solution{}); s[0] != 7 {
		t.Errorf("sizes %v of values up to 7", s)
	}
	if s := sizesOf(pendulum, &solver.Solution{}); s[0] != 1 {
		t.Errorf("sizes %v of nothing", s)
	}
}

// TestMonotone: what is known of the right side and of the conditions.
func TestMonotone(t *testing.T) {
	robin := func(x, a, b float64) bvp.Condition {
		return bvp.Condition{At: []bvp.PointValue{{X: x}, {X: x, Derivative: 1}},
			Residual: func(in, dg []float64) float64 {
				if dg != nil {
					dg[0], dg[1] = a, b
				}
				return a*in[0] + b*in[1] - 1
			}}
	}
	for _, c := range []struct {
		left, right bvp.Condition
		want        bool
	}{
		{bvptest.Given(0, 0, 0, 1), bvptest.Given(1, 0, 0, 1), true},
		{bvptest.Given(0, 0, 1, 1), bvptest.Given(1, 0, 0, 1), true},
		{bvptest.Given(0, 0, 1, 1), bvptest.Given(1, 0, 1, 1), false}, // slopes alone
		{bvptest.Given(0, 0, 0, 1), bvptest.Given(0, 0, 1, 1), false}, // one end alone
		{bvptest.Given(0, 0, 0, 1), bvptest.Given(0.5, 0, 0, 1), false},
		{bvptest.Given(0, 0, 0, 1), bvptest.Given(1, 0, 2, 1), false},
		{robin(0, 1, -2), robin(1, 1, 2), true},
		{robin(0, 1, 2), robin(1, 1, 2), false},
		{robin(0, 1, -2), robin(1, 1, -2), false},
		{bvptest.Equal(0, 1, 0, 0), bvptest.Given(1, 0, 0, 1), false},
	} {
		p := bvptest.Scalar(2, 0, 1, func(_ float64, y []float64) (float64, []float64) {
			return y[2] - y[0], []float64{-1, 0, 1}
		}, c.left, c.right)
		if got := sturm(p); got != c.want {
			t.Errorf("%+v, %+v: %v", c.left.At, c.right.At, got)
		}
	}
}
