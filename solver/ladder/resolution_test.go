package ladder

import (
	"math"
	"strings"
	"testing"

	"nodespan/solver/nodes"
	"nodespan/testdata"
)

// Runge's function on equispaced nodes is the standard case of wiggling (C. Runge, Zeitschrift für Mathematik und
// Physik 46, 1901, 224–243); nodes that crowd at the ends do not wiggle (L. N. Trefethen, Approximation Theory and
// Approximation Practice, 2013, chapters 13 and 15).
func TestRungeWiggles(t *testing.T) {
	f := func(x float64) float64 { return 1 / (1 + 25*x*x) }
	for n := 4; n <= 60; n += 1 + n/10 {
		for _, family := range nodes.Families() {
			r := interpolate(f, -1, 1, family, n, 1e-8)
			if family != nodes.Equispaced && r.Verdict == Wiggling {
				t.Errorf("%d %s nodes are called wiggling", n, family)
			}
			if family == nodes.Equispaced && n >= 7 && r.Verdict != Wiggling {
				t.Errorf("%d equispaced nodes are called %s", n, r.Verdict)
			}
			if family != nodes.Equispaced && n >= 20 && r.Trend != Falling {
				t.Errorf("%d %s nodes: coefficients are called %s", n, family, r.Trend)
			}
		}
	}
	// The same through the equation that it solves.
	p, y := runge(5)
	for _, n := range []int{10, 20, 30} {
		for _, family := range nodes.Families() {
			r := Resolve(p, family, n, Options{Exact: exactly(y)})
			if (r.Verdict == Wiggling) != (family == nodes.Equispaced) {
				t.Errorf("the equation on %d %s nodes: %s", n, family, r.Verdict)
			}
			if family == nodes.Equispaced && !(r.Worst[0] == -1 || r.Worst[1] == 1) {
				t.Errorf("%d equispaced nodes err most in %v", n, r.Worst)
			}
		}
	}
	// What equispaced nodes can do they may: a sine is no reason to complain.
	for _, n := range []int{8, 12} {
		if r := interpolate(math.Sin, -1, 1, nodes.Equispaced, n, 1e-5); r.Verdict != Resolved {
			t.Errorf("a sine on %d equispaced nodes: %s", n, r.Verdict)
		}
	}
}

func TestVerdicts(t *testing.T) {
	p, y := wave()
	q, z := layer(1e-3)
	b, _ := layer(1e-5)
	for _, c := range []struct {
		what string
		r    *Resolution
		want Verdict
		says string
	}{
		{"three nodes for a wave", Resolve(p, nodes.Legendre, 3, Options{Exact: exactly(y)}), NotResolved,
			"one digit is reliable"},
		{"nine nodes for a wave", Resolve(p, nodes.Legendre, 9, Options{Exact: exactly(y)}), Resolved,
			"Nine interior Legendre nodes resolve the solution to 9 digits"},
		{"thirty nodes for a wave", Resolve(p, nodes.Legendre, 30, Options{}), RoundingFloor,
			"more of them give no more"},
		{"a layer", Resolve(q, nodes.Legendre, 12, Options{Exact: exactly(z)}), Layer, "x ≈ 0"},
		{"a thin layer", Resolve(b, nodes.Chebyshev, 30, Options{}), Layer, "x ≈ 0"},
		{"a layer inside", interpolate(func(x float64) float64 { return math.Tanh((x - 0.3) / 1e-3) }, 0, 1,
			nodes.Legendre, 20, 1e-8), Layer, "x ≈ 0.3"},
		{"a constant", interpolate(func(float64) float64 { return 2 }, 0, 1, nodes.Legendre, 5, 1e-8), RoundingFloor,
			""},
		{"nothing", interpolate(func(float64) float64 { return 0 }, 0, 1, nodes.Legendre, 1, 1e-8), Resolved, ""},
	} {
		if c.r.Verdict != c.want || !strings.Contains(c.r.Sentence, c.says) {
			t.Errorf("%s: %s, %q; want %s, %q", c.what, c.r.Verdict, c.r.Sentence, c.want, c.says)
		}
		if (c.r.Verdict == Layer) == math.IsNaN(c.r.LayerAt) {
			t.Errorf("%s: layer at %g", c.what, c.r.LayerAt)
		}
	}
	if r := Resolve(q, nodes.Legendre, 80, Options{Tol: 1e-2, Exact: exactly(z)}); r.Verdict != Resolved {
		t.Errorf("eighty nodes for a layer at a loose tolerance: %s", r.Sentence)
	}
	bad := *p
	bad.Conditions = bad.Conditions[:1]
	if r := Resolve(&bad, nodes.Legendre, 5, Options{}); r.Verdict != NoSolution || r.Sentence == "" {
		t.Errorf("%+v", r)
	}
}

// The constants that are shown are the published ones where those are for the same nodes.
func TestLebesgueShown(t *testing.T) {
	var rows []struct {
		Nodes  string
		Points int
		Value  float64
	}
	testdata.Rows("lebesgue-constants", &rows)
	seen := 0
	for _, row := range rows {
		if row.Nodes != "chebyshev-roots" { // the others have nodes at the ends, which are no collocation nodes
			continue
		}
		seen++
		r := interpolate(math.Exp, 0, 3, nodes.Chebyshev, row.Points, 1e-3)
		if !within(r.Lebesgue, row.Value, 1e-11) {
			t.Errorf("%d Chebyshev nodes: %.15g, published %.15g", row.Points, r.Lebesgue, row.Value)
		}
	}
	if seen == 0 {
		t.Error("no published constant was compared")
	}
}

// interpolate says how well the polynomial through the values of a function at n nodes of [a, b] stands for it.
func interpolate(f func(x float64) float64, a, b float64, family nodes.Family, n int, tol float64) *Resolution {
	r := newResolution(family, n)
	x := nodes.Interior(family, n)
	at := func(t float64) float64 { return f(a + (b-a)*(1+t)/2) }
	series := make([]float64, n)
	c := nodes.Coefficients(x)
	for k := range n {
		for j, t := range x {
			series[k] += c.At(k, j) * at(t)
		}
	}
	r.Coefficients = sizes(series)
	// The error, from end to end and in each gap between nodes.
	p := make([]float64, n)
	size, worst := 0.0, -1.0
	marks := append(append([]float64{-1}, x...), 1)
	var xs, ys []float64
	for i := range len(marks) - 1 {
		const between = 9
		for j := range between + 1 {
			t := marks[i] + (marks[i+1]-marks[i])*float64(j)/between
			nodes.LegendreTo(p, t)
			sum := 0.0
			for k, v := range p {
				sum += v * series[k]
			}
			y := at(t)
			size = math.Max(size, math.Abs(y))
			if d := math.Abs(sum - y); d > worst {
				worst = d
				r.Worst = [2]float64{a + (b-a)*(1+marks[i])/2, a + (b-a)*(1+marks[i+1])/2}
			}
			xs, ys = append(xs, a+(b-a)*(1+t)/2), append(ys, y)
		}
	}
	if size == 0 {
		size = 1
	}
	r.Error = worst / size
	layer, _ := steep(xs, ys)
	r.say(r.Lebesgue*tailOf(series), layer, tol)
	return r
}
