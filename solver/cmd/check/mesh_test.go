package main

import (
	"math"
	"slices"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver/adapt"
	"nodespan/solver/collocation"
	"nodespan/solver/newton"
)

// TestMeshAgainstHandGraded compares the meshes that are found with meshes graded by hand with the same number of nodes
// per element: points from the layer outwards at distances that grow by the factor that serves best, from the layer's
// own width on. The mesh that is found may have at most three times as many elements as the smallest such mesh that
// meets the tolerance (both judged by the exact solution).
func TestMeshAgainstHandGraded(t *testing.T) {
	const tol = 1e-8
	for _, c := range []struct {
		name, sheet string
		layer       float64 // where the layer is
		width       float64 // and how wide
	}{
		// The closed forms are those of the published problems 1, 4 and 9 in testdata/problems.json.
		{"layer at the left end", "eps y'' + y' = 0; y(0) = 0; y(1) = 1; eps = 1e-4\nexact y = (1 - exp(-x/eps))/(1 " +
			"- exp(-1/eps))", 0, 1e-4},
		{"layers at both ends", "eps y'' = y; y(0) = 1; y(1) = 1; eps = 1e-8\nexact y = (exp(-x/sqrt(eps)) + exp((x " +
			"- 1)/sqrt(eps)))/(1 + exp(-1/sqrt(eps)))", 0, 1e-4},
		{"layer at a turning point", "eps y'' + x y' = 0; y(-1) = 0; y(1) = 2; eps = 1e-6\nexact y = 1 + " +
			"erf(x/sqrt(2 eps))/erf(1/sqrt(2 eps))", 0, 1e-3},
	} {
		sh := sheettest.Read(t, c.sheet)
		p := sh.Problem()
		jet := make([]float64, p.Jet())
		off := func(curve *collocation.Curve) float64 {
			worst := 0.0
			x := curve.Grid().Mesh.X
			for e := range len(x) - 1 {
				for j := range 21 {
					at := x[e] + (x[e+1]-x[e])*float64(j)/20
					curve.In(e, at, jet)
					want, _ := sh.Exact(at, 0)
					worst = math.Max(worst, math.Abs(want-jet[0]))
				}
			}
			return worst
		}
		a := adapt.Pieces(p, adapt.Options{Tol: tol})
		if !a.Met {
			t.Fatalf("%s: %s", c.name, a.Reason)
		}
		k := slices.Max(a.Curve.Grid().Mesh.Nodes)
		best := math.MaxInt
		for _, factor := range []float64{1.5, 2, 3, 4, 6, 10} {
			for _, first := range []float64{0.5, 1, 2, 4, 8} {
				points := []float64{p.A, p.B}
				for d := first * c.width; d < p.B-p.A; d *= factor {
					for _, x := range []float64{c.layer - d, c.layer + d} {
						if x > p.A && x < p.B {
							points = append(points, x)
						}
					}
					if c.name == "layers at both ends" && d < (p.B-p.A)/2 {
						points = append(points, p.B-d)
					}
				}
				points = append(points, c.layer)
				slices.Sort(points)
				points = slices.Compact(points)
				if len(points)-1 >= best {
					continue
				}
				g := collocation.NewGrid(p, collocation.Uniform(points, k, 0))
				v := g.NewVector()
				if r := newton.Solve(g, v, newton.Options{}); r.Outcome == newton.Converged && off(g.Curve(v)) <= tol {
					best = len(points) - 1
				}
			}
		}
		found := a.Curve.Grid().Elements()
		t.Logf("%s: %d elements of up to %d nodes, true error %.1e; graded by hand %d", c.name, found, k, off(a.Curve),
			best)
		if best == math.MaxInt {
			t.Errorf("%s: no hand-graded mesh meets the tolerance", c.name)
		} else if found > 3*best {
			t.Errorf("%s: %d elements, more than three times the %d of a hand-graded mesh", c.name, found, best)
		}
		if off(a.Curve) > tol {
			t.Errorf("%s: true error %.1e", c.name, off(a.Curve))
		}
	}
}
