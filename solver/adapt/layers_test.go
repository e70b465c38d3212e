package adapt

import (
	"context"
	"math"
	"testing"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
	"nodespan/solver/collocation"
	"nodespan/solver/nodes"
)

// convection is eps y” + b(x) y' = 0 on [−1, 1] with y(−1) = 0 and y(1) = 1.
func convection(eps float64, b func(x float64) float64) *bvp.Problem {
	return bvptest.Second(-1, 1, 0, 1, func(x, y, d float64) (f, fy, fd float64) {
		return -b(x) / eps * d, 0, -b(x) / eps
	})
}

// TestLayered: the layers of convection and diffusion are as wide as eps/b, at the end that the flow goes to, and at a
// turning point on both sides of it (E. P. Doolan, J. J. H. Miller and W. H. A. Schilders, Uniform Numerical Methods
// for Problems with Initial and Boundary Layers, 1980, chapter 2; from memory). Nothing is added where there are none.
func TestLayered(t *testing.T) {
	const eps = 1e-5
	quarters := []float64{-1, -0.5, 0, 0.5, 1}
	for _, c := range []struct {
		name string
		p    *bvp.Problem
		at   []float64 // where points crowd
	}{
		{"to the right", convection(eps, func(float64) float64 { return -1 }), []float64{1}},
		{"to the left", convection(eps, func(float64) float64 { return 2 }), []float64{-1}},
		{"turning", convection(eps, func(x float64) float64 { return x }), []float64{0}},
		{"away", convection(eps, func(x float64) float64 { return -x }), []float64{-1, 1}},
		{"smooth", convection(1, func(float64) float64 { return 1 }), nil},
	} {
		x := (&Options{}).layered(c.p, quarters)
		if c.at == nil && len(x) != len(quarters) {
			t.Errorf("%s: %v", c.name, x)
		}
		for i := range len(x) - 1 {
			h, mid := x[i+1]-x[i], x[i]+(x[i+1]-x[i])/2
			if !(h > 0) {
				t.Errorf("%s: %v is not ascending", c.name, x)
			}
			away := math.Inf(1)
			for _, at := range c.at {
				away = math.Min(away, math.Abs(mid-at))
			}
			if h < 0.2 && h > 2.1*away {
				t.Errorf("%s: an element of %.2g in the distance %.2g", c.name, h, away)
			}
		}
		for _, at := range c.at {
			e := findElement(x, at)
			if at == -1 || at == 0 {
				e = findElement(x, at+1e-12)
			}
			if h := x[e+1] - x[e]; h > 500*eps {
				t.Errorf("%s: the element at %g is %.2g long", c.name, at, h)
			}
		}
	}
}

// TestLayersTakeFewMeshes: however thin a layer, a few dozen elements see it at once; by halving alone it took over a
// thousand for 1e-7.
func TestLayersTakeFewMeshes(t *testing.T) {
	for _, eps := range []float64{1e-3, 1e-5, 1e-7} {
		p := convection(eps, func(float64) float64 { return -1 })
		meshes, most := 0, 0
		ctx := Watch(context.Background(), func(s Stage, begins bool, g *collocation.Grid) {
			if s == Iterating && begins {
				meshes, most = meshes+1, max(most, g.Elements())
			}
		})
		a := Pieces(p, Options{Tol: 1e-8, Context: ctx})
		if !a.Met || meshes > 22 || most > 100 {
			t.Errorf("eps = %g: met %v, %d meshes of up to %d elements", eps, a.Met, meshes, most)
		}
		// The solution is exp((x − 1)/eps), as good as exactly.
		jet := make([]float64, 3)
		for _, s := range []float64{0.5, 1, 3} {
			if a.Curve.At(1-s*eps, jet); math.Abs(jet[0]-math.Exp(-s)) > 1e-7 {
				t.Errorf("eps = %g: %g at 1 − %g eps", eps, jet[0], s)
			}
		}
	}
}

// TestGrowthAhead: of y” = 100 y an error grows as exp(10 x) on its way, to the right end or to the left one, over an
// interval of any length.
func TestGrowthAhead(t *testing.T) {
	for _, length := range []float64{0.25, 1, 4} {
		p := bvptest.Second(0, length, 1, 0, func(_, y, _ float64) (float64, float64, float64) {
			return 100 * y, 100, 0
		})
		g := collocation.NewGrid(p, collocation.Uniform(bvp.Divide([]float64{0, length}, 8), 4, nodes.Legendre))
		c := g.Curve(g.NewVector())
		right, left := growthAhead(c, 1), growthAhead(c, -1)
		for e := range 8 {
			before := (float64(e) + 0.5) / 8 * length
			for what, v := range map[string][2]float64{"right": {right[e], length - before},
				"left": {left[e], before}} {
				if off := math.Log(v[0]) - 10*v[1]; math.Abs(off) > 10*length/32 {
					t.Errorf("length %g, element %d to the %s: %g, off by exp(%.2g)", length, e, what, v[0], off)
				}
			}
		}
	}
}
