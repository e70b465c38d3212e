package slips

import (
	"math"
	"testing"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
	"nodespan/solver/nodes"
)

// falling is y” + 3 y' = x − y/2 on [1, 3] with y(1) = 1, y'(3) = 0.
func falling() *bvp.Problem {
	return &bvp.Problem{
		A: 1, B: 3, Unknowns: []bvp.Unknown{{Name: "y", Order: 2}},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[2] + 3*in[1] + in[0]/2 - x
			if df != nil {
				df[0], df[1], df[2] = 0.5, 3, 1
			}
		},
		Conditions: []bvp.Condition{bvptest.Given(1, 0, 0, 1), bvptest.Given(3, 0, 1, 0)},
	}
}

// cubes is the nonlinear problem y” = 3 y²/2 on [0, 1] with the solution y = 4/(1+x)².
func cubes() *bvp.Problem {
	return &bvp.Problem{
		A: 0, B: 1, Unknowns: []bvp.Unknown{{Name: "y", Order: 2}},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[2] - 1.5*in[0]*in[0]
			if df != nil {
				df[0], df[1], df[2] = -3*in[0], 0, 1
			}
		},
		Conditions: []bvp.Condition{bvptest.Given(0, 0, 0, 4), bvptest.Given(1, 0, 0, 1)},
	}
}

// beam is v”” = 24 with v = v' = 0 at both ends of [0, 1]: v = x²(1−x)².
func beam() *bvp.Problem {
	return &bvp.Problem{
		A: 0, B: 1, Unknowns: []bvp.Unknown{{Name: "v", Order: 4}},
		Equations: func(x float64, in, f, df []float64) {
			f[0] = in[4] - 24
			if df != nil {
				clear(df)
				df[4] = 1
			}
		},
		Conditions: []bvp.Condition{bvptest.Given(0, 0, 0, 0), bvptest.Given(0, 0, 1, 0), bvptest.Given(1, 0, 0, 0),
			bvptest.Given(1, 0, 1, 0)},
	}
}

// The classroom method converges to closed forms in every family and layout.
func TestClassroom(t *testing.T) {
	for _, c := range []struct {
		name   string
		p      *bvp.Problem
		exact  func(x float64) float64
		n      int
		within float64
		linear bool
	}{
		{"quartic", beam(), func(x float64) float64 { return x * x * (1 - x) * (1 - x) }, 4, 1e-13, true},
		{"4/(1+x)²", cubes(), func(x float64) float64 { return 4 / (1 + x) / (1 + x) }, 16, 1e-8, false},
	} {
		for _, r := range rules {
			for _, lay := range []layout{added, replaced} {
				s := scheme{rule: r, n: c.n, layout: lay, basis: legendre, kept: -1}
				start := func(x float64, jet []float64) { clear(jet); jet[0] = 4 - 3*x }
				q := s.solve(c.p, c.linear, start, nil)
				if q == nil {
					t.Errorf("%s, %s: no solution", c.name, r)
					continue
				}
				jet := make([]float64, c.p.Jet())
				for k := range 11 {
					x := c.p.A + (c.p.B-c.p.A)*float64(k)/10
					if q.at(x, jet); !(math.Abs(jet[0]-c.exact(x)) <= c.within) {
						t.Errorf("%s, %s, layout %d: %v at %v, want %v", c.name, r, lay, jet[0], x, c.exact(x))
						break
					}
				}
			}
		}
	}
}

// On a known interval the derivative rows of a slip differ from right ones as their name says: with j + 1 for j the
// derivative of s² is 3 s and not 2 s.
func TestOffByOneRows(t *testing.T) {
	p := falling()
	c := &collector{p: p, u: inspect(p, func(x float64, jet []float64) { clear(jet); jet[0] = 1 }), length: 2, most: 2}
	c.offByOne()
	found := false
	for _, k := range c.out {
		if k.sentence != "the derivatives of the powers of s on 0 … 1 are formed with j + 1 for j" {
			continue
		}
		found = true
		rows := [][]float64{make([]float64, 4), make([]float64, 4)}
		k.basis(0.5, rows) // s = 3/4, d/dt = 1/2 d/ds
		for j, want := range [][2]float64{{1, 0}, {0.75, 2 * 0.5}, {0.5625, 3 * 0.75 * 0.5},
			{0.421875, 4 * 0.5625 * 0.5}} {
			if math.Abs(rows[0][j]-want[0]) > 1e-15 || math.Abs(rows[1][j]-want[1]) > 1e-15 {
				t.Errorf("power %d: %v and %v, want %v", j, rows[0][j], rows[1][j], want)
			}
		}
	}
	if !found {
		t.Error("no such candidate")
	}
}

// Changed problems have right derivatives (against central differences), and change what they say.
func TestChanges(t *testing.T) {
	p := falling()
	around := func(x float64, jet []float64) { jet[0], jet[1], jet[2] = 1, 0.3, -0.2 }
	u := inspect(p, around)
	if !u.linear || !u.variable || !u.equation[1] || !u.equation[2] || !u.conditions[1] || u.conditions[2] {
		t.Fatalf("%+v", u)
	}
	if v := inspect(cubes(), around); v.linear || v.variable || v.equation[1] || !v.equation[0] {
		t.Fatalf("%+v", v)
	}
	changes := map[string]change{
		"scaled":    {equation: []float64{1, 2, 4}, conditions: []float64{1, 2, 4}},
		"exchanged": {from: []int{0, 2, 1}, equation: []float64{1, 3, 1. / 3}},
		"moved":     {coefficients: func(x float64) float64 { return 4 - x }},
		"mirrored":  {mirrored: []bool{true, false}},
		"lowered":   {lowered: func(int) int { return 0 }, loweredIn: []bool{false, true}},
	}
	in := []float64{0.7, -1.1, 2.3}
	for name, ch := range changes {
		q := ch.apply(p)
		f, df, up, down := make([]float64, 1), make([]float64, 3), make([]float64, 1), make([]float64, 1)
		q.Equations(1.5, in, f, df)
		for k := range in {
			moved := append([]float64(nil), in...)
			const h = 1e-5
			moved[k] += h
			q.Equations(1.5, moved, up, nil)
			moved[k] -= 2 * h
			q.Equations(1.5, moved, down, nil)
			if d := (up[0] - down[0]) / (2 * h); math.Abs(d-df[k]) > 1e-8 {
				t.Errorf("%s: derivative %d is %v, by differences %v", name, k, df[k], d)
			}
		}
	}
	residual := func(name string, x float64) float64 {
		ch := changes[name]
		f := make([]float64, 1)
		ch.apply(p).Equations(x, in, f, nil)
		return f[0]
	}
	if got, want := residual("scaled", 1.5), 4*2.3-2*3*1.1+0.35-1.5; math.Abs(got-want) > 1e-14 {
		t.Errorf("scaled: %v, want %v", got, want)
	}
	if got, want := residual("exchanged", 1.5), -1.1/3+3*3*2.3+0.35-1.5; math.Abs(got-want) > 1e-14 {
		t.Errorf("exchanged: %v, want %v", got, want)
	}
	if got, want := residual("moved", 1.5), 2.3-3.3+0.35-2.5; math.Abs(got-want) > 1e-14 {
		t.Errorf("moved: %v, want %v", got, want)
	}
	ch := changes["mirrored"]
	if q := ch.apply(p); q.Conditions[0].At[0].X != 3 || q.Conditions[1].At[0].X != 3 || p.Conditions[0].At[0].X != 1 {
		t.Error("mirrored: wrong points")
	}
	ch = changes["lowered"]
	if q := ch.apply(p); q.Conditions[1].At[0].Derivative != 0 || p.Conditions[1].At[0].Derivative != 1 {
		t.Error("lowered: wrong derivatives")
	}
}

// Points are recognised as nodes, rounded, with and without ends, on their own or a reference interval.
func TestDetect(t *testing.T) {
	p := falling()
	round := func(v float64) float64 { return math.Round(v*1e3) / 1e3 }
	for _, c := range []struct {
		rule   rule
		n      int
		a, b   float64
		ends   bool
		points bool
	}{
		{rule{family: nodes.Legendre}, 5, 1, 3, true, true},
		{rule{family: nodes.Legendre}, 4, 1, 3, false, true},
		{extrema, 7, 1, 3, true, true},
		{rule{family: nodes.Chebyshev}, 6, 0, 1, true, true},
		{rule{family: nodes.Lobatto}, 6, -1, 1, false, true},
	} {
		var xs []float64
		for _, s := range c.rule.interior(c.n) {
			xs = append(xs, round(c.a+(c.b-c.a)*(1+s)/2))
		}
		if c.ends {
			xs = append(append([]float64{c.a}, xs...), c.b)
		}
		found, points := detect(p, xs, 1e-3)
		ok := false
		for _, l := range found {
			ok = ok || l == likely{c.rule, c.n}
		}
		if !ok || (len(points) > 0) != c.points {
			t.Errorf("%s, %d: %v, %v", c.rule, c.n, found, points)
		}
	}
	if found, _ := detect(p, []float64{1, 1.1, 1.35, 2.2, 3}, 1e-2); len(found) != 0 {
		t.Errorf("irregular points taken for %v", found)
	}
}
