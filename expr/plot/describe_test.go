package plot

import (
	"fmt"
	"math"
	"testing"
)

func TestDescribe(t *testing.T) {
	f := func(name string, y func(float64) float64, nodes ...float64) *Figure {
		return &Figure{Variable: "x", A: 0, B: 1, Series: []Series{series(name, y, 0, 1, nodes)}}
	}
	withResidual := f("y", func(x float64) float64 { return x }, 0, 0.5, 1)
	withResidual.Residual = &Residual{Line: Curve{[]float64{0, 0.25, 1}, []float64{0, 3.14159e-9, 1e-12}}}
	two := f("u", func(x float64) float64 { return x })
	two.Series = append(two.Series, series("theta_1", func(x float64) float64 { return 1000 * (1 - x) }, 0, 1, nil))
	gap := f("y", func(x float64) float64 { return 1 + 0*math.Sqrt(x-0.5) + 1e-6*x })
	for _, c := range []struct {
		fig  *Figure
		view View
		want string
	}{
		{f("y", func(x float64) float64 { return x }), NewView(0, 1),
			"y against x from 0 to 1: starts at 0 and rises to 1."},
		{f("y", func(x float64) float64 { return 1e-6 * (2 - x) }), NewView(0, 1),
			"y against x from 0 to 1: starts at 2 × 10⁻⁶ and falls to 1 × 10⁻⁶."},
		{f("T_s", func(x float64) float64 { return 20 }), NewView(0, 1), "T_s against x from 0 to 1: constant at 20."},
		{f("y", func(x float64) float64 { return 0 }), NewView(0, 1), "y against x from 0 to 1: zero throughout."},
		{f("y", func(x float64) float64 { return math.NaN() }), NewView(0, 1),
			"y against x from 0 to 1: nothing to show here."},
		{f("y", func(x float64) float64 { return math.Sin(math.Pi * x) }), NewView(0, 1),
			"y against x from 0 to 1: starts at 0, has its largest value 1 at x = 0.5 and ends at 0."},
		{f("y", func(x float64) float64 { return math.Cos(math.Pi * x) }), NewView(0, 1),
			"y against x from 0 to 1: starts at 1 and falls to −1; it crosses zero at x = 0.5."},
		{f("y", func(x float64) float64 { return x - 0.25 }), NewView(0, 1).ZoomTo(0.5, 1),
			"y against x from 0.5 to 1: starts at 0.25 and rises to 0.75."},
		{f("y", func(x float64) float64 { return math.Sin(40 * x) }), NewView(0, 1),
			"y against x from 0 to 1: starts at 0, has its largest value 1 at x = 0.0393, has its smallest value −1 " +
				"at x = 0.118 and ends at 0.7451; it crosses zero 12 times."},
		{f("y", func(x float64) float64 { return math.Cos(math.Pi * x) }), NewView(0, 1).ZoomTo(0.49995, 0.5001),
			"y against x from 0.49995 to 0.5001: starts at 1.571 × 10⁻⁴ and falls to −3.142 × 10⁻⁴; it crosses zero " +
				"at x = 0.5."},
		{withResidual, NewView(0, 1), "y against x from 0 to 1: starts at 0 and rises to 1. 3 nodes shown. The " +
			"residual is at most 3.1 × 10⁻⁹, near x = 0.25."},
		{two, NewView(0, 1), "u against x from 0 to 1: starts at 0 and rises to 1. θ_1: starts at 1000 and " +
			"falls to 0."},
		{gap, NewView(0, 1), "y against x from 0 to 1: starts at 1 and rises to 1; it has gaps where it is " +
			"not a number."},
		{&Figure{Variable: "x", A: 0, B: 1}, NewView(0, 1), "Axes without a curve, x from 0 to 1."},
	} {
		if got := Describe(c.fig, c.view); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}

func TestRounded(t *testing.T) {
	for _, c := range []struct {
		v    float64
		d    int
		want string
	}{
		{0, 4, "0"}, {1, 4, "1"}, {0.1234567, 4, "0.1235"}, {-0.5, 4, "−0.5"}, {123456, 4, "123456"},
		{1234567, 4, "1.235 × 10⁶"},
		{0.00012, 4, "1.2 × 10⁻⁴"}, {9.99999, 3, "10"}, {-1e-300, 4, "−1 × 10⁻³⁰⁰"}, {5e-324, 2, "4.9 × 10⁻³²⁴"},
		{100, 3, "100"},
	} {
		if got := rounded(c.v, c.d); got != c.want {
			t.Errorf("rounded(%g, %d) = %q, want %q", c.v, c.d, got, c.want)
		}
	}
}

func TestGroup(t *testing.T) {
	curve := func(lo, hi float64) Series { return Series{Line: Curve{[]float64{0, 1}, []float64{lo, hi}}} }
	for _, c := range []struct {
		series []Series
		want   string
	}{
		{nil, "[]"},
		{[]Series{curve(0, 1)}, "[[0]]"},
		{[]Series{curve(0, 1), curve(0, 4.9)}, "[[0 1]]"},
		{[]Series{curve(0, 1), curve(0, 5.1)}, "[[0] [1]]"},
		{[]Series{curve(0, 1), curve(0, 1e6), curve(-1, 1)}, "[[0 2] [1]]"},
		{[]Series{curve(0, 1), curve(100, 101)}, "[[0] [1]]"},
		{[]Series{curve(0, 1), curve(0.5, 0.5)}, "[[0 1]]"},
		{[]Series{curve(0, 1), curve(20, 20)}, "[[0] [1]]"},
		{[]Series{curve(0, 0), curve(0, 1)}, "[[0 1]]"},
		{[]Series{curve(0, 1), curve(0, 1), curve(0, 1), curve(0, 1), curve(0, 1), curve(0, 1)}, "[[0 1 2 3 4] [5]]"},
		{[]Series{curve(0, 1), curve(math.NaN(), math.Inf(1))}, "[[0 1]]"},
	} {
		if got := fmt.Sprint(Group(c.series)); got != c.want {
			t.Errorf("group of %d: %s, want %s", len(c.series), got, c.want)
		}
	}
}
