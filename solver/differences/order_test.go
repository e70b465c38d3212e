package differences

import (
	"math"
	"runtime"
	"runtime/debug"
	"slices"
	"testing"

	"nodespan/solver/bvp/bvptest"
	"nodespan/solver/newton"
)

// trueError is the largest error of a curve at mesh points and mid-points, relative to the largest value of each
// unknown.
func trueError(s sample, c *Curve) float64 {
	jet := make([]float64, s.p.Jet())
	worst, scale := make([]float64, len(s.p.Unknowns)), make([]float64, len(s.p.Unknowns))
	for _, st := range c.g.stretches {
		for twice := 0; twice <= 2*st.n; twice++ {
			x := st.at(float64(twice) / 2)
			c.At(x, jet)
			for u := range s.p.Unknowns {
				want := s.exact(x, u, 0)
				if math.IsNaN(want) {
					continue
				}
				worst[u] = math.Max(worst[u], math.Abs(jet[s.p.JetOffset(u)]-want))
				scale[u] = math.Max(scale[u], math.Abs(want))
			}
		}
	}
	most := 0.0
	for u := range worst {
		most = math.Max(most, worst[u]/scale[u])
	}
	return most
}

// The error of order p falls like N^−p: the slope between the coarsest mesh that is in the asymptotic range and the
// finest one that rounding leaves alone is p to 5 %.
func TestOrders(t *testing.T) {
	for _, s := range samples() {
		for _, order := range []int{2, 4} {
			var slopes []float64
			last := math.NaN()
			// Meshes whose intervals fit a break at 2/5 evenly.
			for n := 40; n <= 320; n *= 2 {
				c, out := On(s.p, n-1, order, nil, nil)
				if out != newton.Converged {
					break
				}
				e := trueError(s, c)
				if e < 1e-12 || len(slopes) > 0 && e > last/2 { // rounding
					break
				}
				if !math.IsNaN(last) && last < 2e-2 {
					slopes = append(slopes, math.Log2(last/e))
				}
				last = e
			}
			if len(slopes) == 0 {
				t.Errorf("%s, order %d: nothing measured", s.name, order)
				continue
			}
			slope := slopes[len(slopes)-1]
			if best := slices.MinFunc(slopes, func(a, b float64) int {
				if math.Abs(a-float64(order)) < math.Abs(b-float64(order)) {
					return -1
				}
				return 1
			}); len(slopes) > 2 && math.Abs(best-float64(order)) < math.Abs(slope-float64(order)) {
				slope = best // the finest pair may touch rounding
			}
			if math.Abs(slope/float64(order)-1) > 0.05 {
				t.Errorf("%s, order %d: the error falls with slope %.3f", s.name, order, slope)
			}
		}
	}
}

// Orders 6 and 8 have little room above rounding: the fall over one doubling shows them.
func TestHighOrders(t *testing.T) {
	for _, s := range samples() {
		if !slices.Contains([]string{"values at both ends", "slopes at both ends", "nonlinear", "sought number",
			"first-order system", "break with a flux"}, s.name) {
			continue
		}
		for _, order := range []int{6, 8} {
			if order == 8 && s.p.Breaks != nil { // two short stretches: rounding comes first
				continue
			}
			best := 0.0
			for _, n := range []int{20, 40, 80} {
				a, outA := On(s.p, n-1, order, nil, nil)
				b, outB := On(s.p, 2*n-1, order, nil, nil)
				if outA != newton.Converged || outB != newton.Converged {
					t.Errorf("%s, order %d: %v, %v", s.name, order, outA, outB)
					continue
				}
				if eb := trueError(s, b); eb > 1e-13 {
					best = math.Max(best, math.Log2(trueError(s, a)/eb))
				}
			}
			if best < 0.95*float64(order) {
				t.Errorf("%s, order %d: the error falls with slope %.2f at most", s.name, order, best)
			}
		}
	}
}

// Every claimed error covers the true one, for values and derivatives, on meshes that were asked for and on chosen
// ones, and not by a factor of hundreds.
func TestClaims(t *testing.T) {
	var ratios []float64
	for _, s := range samples() {
		for _, o := range []Options{
			{Tol: 1e-3}, {Tol: 1e-4}, {Tol: 1e-4, Order: 4}, {Tol: 1e-8, Order: 4}, {Tol: 1e-8, Order: 6},
			{Tol: 1e-10, Order: 8},
			{Tol: 1e-6, Nodes: 19}, {Tol: 1e-6, Nodes: 50}, {Tol: 1e-6, Nodes: 200}, {Tol: 1e-8, Nodes: 24, Order: 4},
			{Tol: 1e-8, Nodes: 100, Order: 4},
			{Tol: 1e-8, Nodes: 60, Order: 8}, {Tol: 1e-6, Nodes: 12, Order: 4},
		} {
			if o.Nodes > 0 && o.Nodes < Fewest(s.p, max(o.Order, 2)) {
				continue
			}
			a := Solve(s.p, o)
			if a.Curve == nil {
				if s.p.Unknowns[0].Order < 8 { // eight derivatives of 1e2 points ask for more than a double has
					t.Errorf("%s, %+v: %s", s.name, o, a.Reason)
				}
				continue
			}
			if a.Met != (a.Error <= o.Tol) || a.Met == (a.Reason != "") {
				t.Errorf("%s, %+v: met %v, error %g, reason %q", s.name, o, a.Met, a.Error, a.Reason)
			}
			jet, claim := make([]float64, s.p.Jet()), make([]float64, s.p.Jet())
			most, claimed := 0.0, 0.0
			for i := 0; i <= 150; i++ {
				x := s.p.A + (s.p.B-s.p.A)*float64(i)/150
				a.Curve.At(x, jet)
				a.Estimate.At(x, claim)
				for u, un := range s.p.Unknowns {
					for d := range un.Order {
						at := s.p.JetOffset(u) + d
						want := s.exact(x, u, d)
						if math.IsNaN(want) {
							continue
						}
						miss := math.Abs(jet[at] - want)
						if !(miss <= claim[at]+1e-15*math.Abs(want)) {
							t.Errorf("%s, %+v: derivative %d of unknown %d at %g is off by %.2e and claims %.2e",
								s.name, o, d, u, x, miss, claim[at])
						}
						if d == 0 && miss > most {
							most = miss
						}
						if d == 0 {
							claimed = math.Max(claimed, claim[at])
						}
					}
				}
			}
			if most > 1e-14 {
				ratios = append(ratios, claimed/most)
				if claimed/most > 30 {
					t.Logf("%s, %+v: %.0f (%.1e)", s.name, o, claimed/most, claimed)
				}
			}
			for i, want := range s.par {
				if got := a.Curve.Parameters()[i]; math.Abs(got-want) > a.Estimate.Parameters[i] {
					t.Errorf("%s, %+v: found %v and claims %.2e", s.name, o, got, a.Estimate.Parameters[i])
				}
			}
		}
	}
	slices.Sort(ratios)
	t.Logf("claimed/true: median %.2f, largest %.0f, of %d", ratios[len(ratios)/2], ratios[len(ratios)-1], len(ratios))
	if m := ratios[len(ratios)/2]; m > 5 {
		t.Errorf("claims are %.1f times the true error in the median", m)
	}
}

// For y″ + y = 0 with values at the ends the classroom's scheme has a solution in closed form: sin(jθ)/sin(Nθ) with
// 2 − 2 cos θ = h².
func TestClassroomScheme(t *testing.T) {
	p := bvptest.Scalar(2, 0, 1, func(_ float64, y []float64) (float64, []float64) {
		return y[2] + y[0], []float64{1, 0, 1}
	}, bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, 1))
	for _, n := range []int{3, 4, 5, 10, 37, 100} {
		c, out := On(p, n-1, 2, nil, nil)
		if out != newton.Converged {
			t.Fatal(n, out)
		}
		theta := 2 * math.Asin(0.5/float64(n))
		jet := make([]float64, 3)
		for j, x := range c.Mesh() {
			c.At(x, jet)
			if want := math.Sin(float64(j)*theta) / math.Sin(float64(n)*theta); math.Abs(jet[0]-want) > 1e-14 {
				t.Errorf("N = %d: y_%d = %.16g, want %.16g", n, j, jet[0], want)
			}
		}
		if c.Unknowns() != n+1 || len(c.Mesh()) != n+1 {
			t.Errorf("N = %d: %d unknowns, %d mesh points", n, c.Unknowns(), len(c.Mesh()))
		}
	}
}

// Time and memory grow linearly with the number of points.
func TestLinearCost(t *testing.T) {
	s := samples()[2]
	defer debug.SetGCPercent(debug.SetGCPercent(-1)) // or else the collector's share is measured too
	measure := func(n int) (seconds float64) {
		best := math.Inf(1)
		for range max(2, 30_000/n) {
			runtime.GC()
			begin := clock()
			if _, out := On(s.p, n, 2, nil, nil); out != newton.Converged {
				t.Fatal(n, out)
			}
			best = math.Min(best, clock()-begin)
		}
		return best
	}
	if processorTime { // a clock on the wall says little where others use the machine too
		sizes := []int{1000, 10_000, 100_000}
		var at []float64
		for _, n := range sizes {
			at = append(at, measure(n))
		}
		slope := math.Log10(at[2]/at[0]) / 2
		t.Logf("seconds for %v points: %.2g; slope %.2f", sizes, at, slope)
		if slope > 1.25 { // 1.0 to 1.1 on a quiet machine
			t.Errorf("time grows with slope %.2f", slope)
		}
	} else if measure(10_000) <= 0 {
		t.Error("no time was measured")
	}
	bytes := func(n int) float64 {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		On(s.p, n, 2, nil, nil)
		runtime.ReadMemStats(&after)
		return float64(after.TotalAlloc - before.TotalAlloc)
	}
	if a, b := bytes(1000), bytes(20_000); b/a > 22 {
		t.Errorf("memory grows by %.1f for twenty times the points", b/a)
	}
}
