package working

import (
	"math"
	"testing"

	"nodespan/solver/bvp"
	"nodespan/solver/nodes"
)

// cases are smooth problems on -1 … 1, where powers of the reference variable are powers of x itself.
func cases() map[string]*bvp.Problem {
	f := func(a ...func(float64) float64) []func(float64) float64 { return a }
	ends := [][3]float64{{-1, 0, 1}, {1, 0, 2}}
	return map[string]*bvp.Problem{
		"y'' = y":           linear(-1, 1, f(always(-1), always(0), always(1)), always(0), ends...),
		"y'' + 4 y = sin x": linear(-1, 1, f(always(4), always(0), always(1)), math.Sin, ends...),
		"y'' + 2 x y' + 2 y=0": linear(-1, 1, f(always(2), func(x float64) float64 { return 2 * x }, always(1)),
			always(0), ends...),
		"y'' + y = e^x": linear(-1, 1, f(always(1), always(0), always(1)), math.Exp, ends...),
	}
}

// Powers of x up to x^25 on an interval of length 2: the classroom route loses the digits that the condition number of
// V foretells, within one; the stable route loses hardly any.
func TestDegree25(t *testing.T) {
	for name, p := range cases() {
		w := lay(t, p, Options{Nodes: 24, Reference: Own})
		if d := len(w.Polynomial); len(w.Unknowns[0].S) != 26 || d != 25 {
			t.Fatalf("%d points, %d coefficients", len(w.Unknowns[0].S), d)
		}
		c, s := w.Routes[0], w.Routes[1]
		lost := Full - c.Kept
		t.Logf("%s: κ(V) = %.1e, expected to lose %.1f digits, lost %.1f; stable route kept %.1f", name, c.Powers,
			c.Lost, lost, s.Kept)
		if lost < 6.5 {
			t.Errorf("%s: only %.1f digits lost", name, lost)
		}
		if math.Abs(lost-c.Lost) > 1 {
			t.Errorf("%s: expected to lose %.1f digits, lost %.1f", name, c.Lost, lost)
		}
		if s.Kept < 14 {
			t.Errorf("%s: the stable route kept %.1f digits", name, s.Kept)
		}
	}
}

// On an interval of length 2 away from 0, powers of x itself are hopeless: the count says so, and the stable route does
// not care.
func TestDegree25Away(t *testing.T) {
	p := linear(0, 2, []func(float64) float64{always(-1), always(0), always(1)}, always(0), [3]float64{0, 0, 1},
		[3]float64{2, 0, 2})
	w := lay(t, p, Options{Nodes: 24, Reference: Own})
	c, s := w.Routes[0], w.Routes[1]
	if c.Lost < 14 || c.Kept > 2 {
		t.Errorf("expected to lose %.1f, kept %.1f", c.Lost, c.Kept)
	}
	if s.Kept < 14 {
		t.Errorf("the stable route kept %.1f digits", s.Kept)
	}
}

// The rule κ/N over sizes and families: on the average within a digit.
func TestExpectedLoss(t *testing.T) {
	sum, count := 0.0, 0
	for name, p := range cases() {
		for _, f := range []nodes.Family{nodes.Legendre, nodes.Radau} {
			for _, n := range []int{8, 15, 24} {
				w := lay(t, p, Options{Nodes: n, Family: f, Reference: Symmetric})
				d := Full - w.Routes[0].Kept - w.Routes[0].Lost
				sum, count = sum+d, count+1
				if math.Abs(d) > 1.6 {
					t.Errorf("%s, %v, %d nodes: lost %.1f, expected %.1f", name, f, n, Full-w.Routes[0].Kept,
						w.Routes[0].Lost)
				}
			}
		}
	}
	if mean := sum / float64(count); math.Abs(mean) > 0.7 {
		t.Errorf("lost %.2f digits more than expected on the average", mean)
	} else {
		t.Logf("lost %.2f digits more than expected on the average of %d", mean, count)
	}
}

// The long arithmetic against a closed form: y” = y with these ends is a combination of exponentials, and 24 nodes give
// all digits of it.
func TestExactSolution(t *testing.T) {
	w := lay(t, grow(-1, 1), Options{Nodes: 24, Reference: Symmetric})
	exact, err := w.exact()
	if err != nil {
		t.Fatal(err)
	}
	for k, x := range w.Unknowns[0].X {
		v, _ := exact[0][k].Float64()
		want := (math.Sinh(1-x) + 2*math.Sinh(1+x)) / math.Sinh(2)
		near(t, "y", v, want, 1e-15)
	}
}
