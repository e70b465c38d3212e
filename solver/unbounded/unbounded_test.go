package unbounded_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
	"nodespan/solver/budget"
	"nodespan/solver/bvp/bvptest"
	"nodespan/testdata"
)

// The benchmark's problems on unbounded intervals, each with its source in problems.json.
func TestReference(t *testing.T) {
	for _, e := range testdata.Problems("infinite") {
		t.Run(e.ID, func(t *testing.T) {
			p := sheettest.Problem(t, e.Sheet)
			jet, claimed := make([]float64, p.Jet()), make([]float64, p.Jet())
			for _, tol := range bvptest.Tolerances() {
				s := solver.MustSolve(p, solver.Options{Tol: tol})
				if s.Status != solver.Solved {
					t.Fatalf("tol %.0e: %s: %s", tol, s.Status, s.Message)
				}
				for _, x := range s.Mesh {
					if math.IsInf(x, 0) {
						t.Errorf("tol %.0e: the mesh is not finite", tol)
					}
				}
				for _, at := range e.Reference.At {
					x, values := at.X, at.Values
					s.At(x, jet)
					s.ErrorAt(x, claimed)
					for i, u := range p.Unknowns {
						name := u.Name
						for d := range u.Order {
							k := p.JetOffset(i) + d
							off, scale := math.Abs(jet[k]-values[name]), e.Scale[name]
							if off > tol*scale {
								t.Errorf("tol %.0e: %s(%v) = %v, want %v", tol, name, x, jet[k], values[name])
							}
							if off > claimed[k]+3e-16*scale {
								t.Errorf("tol %.0e: %s(%v) is off by %.2g, claimed %.2g", tol, name, x, off, claimed[k])
							}
							name += "'"
						}
					}
				}
			}
		})
	}
}

// point is a published value: entry of the jet (unknown, derivative) at x.
type point struct {
	x                   float64
	unknown, derivative int
	value, unit         float64 // unit: half a unit of the last published figure; 0 for closed forms
}

func TestLiterature(t *testing.T) {
	bump := 0.5 * math.Sqrt(math.Pi) * math.Exp(0.25) * math.Erfc(0.5) // ½ ∫ exp(−|t| − t²) dt
	for _, c := range []struct {
		name, sheet string
		want        []point
	}{
		// S. Ostrach, NACA Report 1111 (1953), table I: free convection on a vertical plate, Prandtl numbers 1 and 0.72
		// (from memory; good to a unit of the fourth figure).
		{"free convection, Pr = 1", "f''' + 3 f f'' - 2 f'^2 + T = 0; T'' + 3 Pr f T' = 0; Pr = 1; f(0) = f'(0) = 0; " +
			"f'(inf) = 0; T(0) = 1; T(inf) = 0",
			[]point{{0, 0, 2, 0.6421, 1e-4}, {0, 1, 1, -0.5671, 1e-4}}},
		{"free convection, Pr = 0.72", "f''' + 3 f f'' - 2 f'^2 + T = 0; T'' + 3 Pr f T' = 0; Pr = 0.72; f(0) = " +
			"f'(0) = 0; f'(inf) = 0; T(0) = 1; T(inf) = 0",
			[]point{{0, 0, 2, 0.6760, 6e-5}, {0, 1, 1, -0.5046, 6e-5}}},
		// T. von Karman's rotating disk: M. H. Rogers and G. N. Lance, J. Fluid Mech. 7 (1960), 617-631: 0.510233,
		// -0.615922, 0.884474 (from memory).
		{"rotating disk", "F'' = F^2 - G^2 + H F'; G'' = 2 F G + H G'; H' = -2 F; F(0) = 0; H(0) = 0; G(0) = 1; " +
			"F(inf) = 0; G(inf) = 0",
			[]point{{0, 0, 1, 0.510233, 6e-7}, {0, 1, 1, -0.615922, 6e-7}, {60, 2, 0, -0.884474, 6e-7}}},
		// E. Pohlhausen, Z. angew. Math. Mech. 1 (1921), 115-121: at Prandtl number 1 the heat flow equals the wall
		// shear, 0.332057336215196.
		{"Blasius with heat", "f''' + f f''/2 = 0; T'' + f T'/2 = 0; f(0) = f'(0) = 0; f'(inf) = 1; T(0) = " +
			"0; T(inf) = 1",
			[]point{{0, 0, 2, 0.332057336215196, 1e-15}, {0, 1, 1, 0.332057336215196, 1e-15}}},
		// Blasius far out: f grows like eta - 1.7207876575205 (NIST-style displacement constant, from memory), and is
		// continued beyond the mesh.
		{"Blasius, continued", "f''' + f f''/2 = 0; f(0) = f'(0) = 0; f'(inf) = 1",
			[]point{{1000, 0, 0, 1000 - 1.7207876575205, 1e-12}}},
		// Both ends at infinity; closed form by the Green's function ½ exp(−|x|).
		{"bump", "y'' = y - exp(-x^2); y(-inf) = 0; y(inf) = 0", []point{{0, 0, 0, bump, 0}, {0, 0, 1, 0, 0}}},
		// A source far away must be found.
		{"distant bump", "y'' = y - exp(-(x - 100)^2); y(0) = 0; y(inf) = 0",
			[]point{{100, 0, 0, bump, 0}, {0, 0, 0, 0, 0}}},
		// Lengths far from 1 (closed form exp).
		{"long", "y'' = 1e-6 y; y(0) = 1; y(inf) = 0", []point{{1000, 0, 0, math.Exp(-1), 0}}},
		{"short", "y'' = 1e8 y; y(0) = 1; y(inf) = 0", []point{{1e-4, 0, 0, math.Exp(-1), 0}}},
		// The left end at infinity (closed form exp(x − 2)).
		{"from the left", "y'' = y; y(-inf) = 0; y(2) = 1", []point{{1, 0, 0, math.Exp(-1), 0},
			{-50, 0, 0, math.Exp(-52), 0}}},
		// A limit other than zero (closed form 3 − 3 exp(−2x)).
		{"limit", "y' = 2 z; z' = -2 z; z(0) = 3; y(inf) = 3", []point{{0, 0, 0, 0, 0},
			{1, 0, 0, 3 - 3*math.Exp(-2), 0}, {100, 0, 0, 3, 0}}},
		// A sought number: exp(−s x) with s = 3 from the slope (closed form).
		{"sought rate", "y'' = s^2 y; y(0) = 1; y'(0) = -3; y(inf) = 0; s = ? near 2",
			[]point{{0.5, 0, 0, math.Exp(-1.5), 0}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := sheettest.Problem(t, c.sheet)
			jet, claimed := make([]float64, p.Jet()), make([]float64, p.Jet())
			for _, tol := range bvptest.Tolerances() {
				s := solver.MustSolve(p, solver.Options{Tol: tol})
				if s.Status != solver.Solved {
					t.Errorf("tol %.0e: %s: %s", tol, s.Status, s.Message)
					continue
				}
				for _, w := range c.want {
					s.At(w.x, jet)
					s.ErrorAt(w.x, claimed)
					k := p.JetOffset(w.unknown) + w.derivative
					off := math.Abs(jet[k] - w.value)
					if off > tol*math.Max(1, math.Abs(w.value))+w.unit {
						t.Errorf("tol %.0e: entry %d at %v is %.15g, want %.15g", tol, k, w.x, jet[k], w.value)
					}
					if off > claimed[k]+w.unit+3e-16*math.Max(1, math.Abs(w.value)) {
						t.Errorf("tol %.0e: entry %d at %v is off by %.2g, claimed %.2g", tol, k, w.x, off, claimed[k])
					}
				}
				t.Logf("tol %.0e: %.1f ms, %d elements to %.4g: %s", tol, 1e3*s.Seconds, s.Elements,
					s.Mesh[len(s.Mesh)-1], s.Message)
			}
		})
	}
}

func TestEigenvalues(t *testing.T) {
	for _, c := range []struct {
		name, sheet string
		want        []float64
		unit        float64
	}{
		// Harmonic oscillator: 2n + 1 (closed form).
		{"oscillator", "y'' + (lambda - x^2) y = 0; y(-inf) = 0; y(inf) = 0; lambda = ?", []float64{1, 3, 5, 7, 9}, 0},
		{"stiff oscillator", "1e-4 y'' + (lambda - x^2) y = 0; y(-inf) = 0; y(inf) = 0; lambda = ?",
			[]float64{0.01, 0.03, 0.05, 0.07, 0.09}, 0},
		// Zeros of Ai: NIST Handbook of Mathematical Functions (2010), table 9.9.1 (from memory).
		{"ramp", "y'' + (lambda - x) y = 0; y(0) = 0; y(inf) = 0; lambda = ?",
			[]float64{2.3381074104597670, 4.0879494441309706, 5.5205598280955511, 6.7867080900717589,
				7.9441335871208531}, 0},
		// Coulomb well: −1/n² (closed form).
		{"Coulomb", "y'' + (lambda + 2/r) y = 0; y(0) = 0; y(inf) = 0; lambda = ?",
			[]float64{-1, -1. / 4, -1. / 9, -1. / 16, -1. / 25}, 0},
		// Well 6/cosh²: two eigenvalues, then a continuous spectrum (G. Poeschl and E. Teller, Z. Phys. 83 (1933),
		// 143-151; closed form).
		{"two only", "y'' + (lambda + 6/cosh(x)^2) y = 0; y(-inf) = 0; y(inf) = 0; lambda = ?", []float64{-4, -1}, 0},
		// Quartic oscillator: F. T. Hioe and E. W. Montroll, J. Math. Phys. 16 (1975), 1945-1955 (from memory).
		{"quartic", "y'' + (lambda - x^4) y = 0; y(-inf) = 0; y(inf) = 0; lambda = ?",
			[]float64{1.06036209, 3.79967303, 7.45569794, 11.64474551, 16.26182602}, 6e-9},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := sheettest.Problem(t, c.sheet)
			for _, tol := range bvptest.Tolerances() {
				s := solver.MustSolve(p, solver.Options{Tol: tol})
				if s.Status != solver.Solved || len(s.Eigenvalues) != len(c.want) {
					t.Errorf("tol %.0e: %s, %d values: %s", tol, s.Status, len(s.Eigenvalues), s.Message)
					continue
				}
				for i, w := range c.want {
					f := s.Eigenvalues[i]
					off := math.Abs(f.Value - w)
					if off > tol*math.Max(1, math.Abs(w))+c.unit || off > f.Error+c.unit+2e-16*math.Abs(w) {
						t.Errorf("tol %.0e: eigenvalue %d is %.15g ± %.1g, want %.15g", tol, i+1, f.Value, f.Error, w)
					}
				}
				t.Logf("tol %.0e: %.1f ms: %s", tol, 1e3*s.Seconds, s.Message)
			}
		})
	}
	// The ground state of the oscillator, exp(−x²/2), with its largest value 1.
	s := solver.MustSolve(sheettest.Problem(t, "y'' + (lambda - x^2) y = 0; y(-inf) = 0; y(inf) = 0; lambda = ?"),
		solver.Options{})
	jet := make([]float64, 3)
	for _, x := range []float64{-3, -1, 0, 0.5, 2, 30} {
		s.At(x, jet)
		if want := math.Exp(-x * x / 2); math.Abs(jet[0]-want) > 1e-8 {
			t.Errorf("eigenfunction at %v is %v, want %v", x, jet[0], want)
		}
	}
}

// Numbers of nodes as they are given, on a length found without them, and honest.
func TestGiven(t *testing.T) {
	p := sheettest.Problem(t, "y'' = y; y(0) = 1; y(inf) = 0")
	jet, claimed := make([]float64, p.Jet()), make([]float64, p.Jet())
	for _, o := range []solver.Options{{Nodes: 12}, {Nodes: 6, Elements: 10}, {Method: solver.Pieces, Elements: 4}} {
		s := solver.MustSolve(p, o)
		if !s.Usable() || o.Nodes > 0 && s.Interior != o.Nodes || o.Elements > 0 && s.Elements != o.Elements {
			t.Errorf("%+v: %d nodes, %d elements: %s", o, s.Interior, s.Elements, s.Message)
			continue
		}
		for _, x := range s.Points() {
			s.At(x, jet)
			s.ErrorAt(x, claimed)
			if off := math.Abs(jet[0] - math.Exp(-x)); off > claimed[0] {
				t.Errorf("%+v: at %v off by %.2g, claimed %.2g", o, x, off, claimed[0])
			}
		}
	}
	s := solver.MustSolve(sheettest.Problem(t, "y'' + (lambda - x^2) y = 0; y(-inf) = 0; y(inf) = 0; lambda = ?"),
		solver.Options{Nodes: 6, Elements: 10, Count: 3})
	if len(s.Eigenvalues) != 3 {
		t.Fatalf("%d eigenvalues: %s", len(s.Eigenvalues), s.Message)
	}
	for i, f := range s.Eigenvalues {
		if off := math.Abs(f.Value - float64(2*i+1)); off > f.Error {
			t.Errorf("eigenvalue %d is off by %.2g, claimed %.2g", i+1, off, f.Error)
		}
	}
}

// What does not settle is said, soon.
func TestUnsettled(t *testing.T) {
	for _, c := range []struct {
		name, sheet, want string
		status            solver.Status
	}{
		{"oscillating", "y'' + y = 0; y(0) = 1; y(inf) = 0", "does not settle", solver.Failed},
		{"no such limit", "y'' = y; y(0) = 1; y'(inf) = 1", "no solution", solver.Failed},
		{"continuous spectrum", "y'' + lambda y = 0; y(0) = 0; y(inf) = 0; lambda = ?", "continuous", solver.Failed},
	} {
		s := solver.MustSolve(sheettest.Problem(t, c.sheet), solver.Options{})
		if s.Status != c.status || !strings.Contains(s.Message, c.want) {
			t.Errorf("%s: status %s, %q", c.name, s.Status, s.Message)
		}
		if s.Work > budget.Default/4 {
			t.Errorf("%s: %d units of work", c.name, s.Work)
		}
		t.Logf("%s: %s (%.0f ms)", c.name, s.Message, 1e3*s.Seconds)
	}
	// Decay like 6/(x + sqrt 6)² (closed form): settles, far out.
	q := solver.MustSolve(sheettest.Problem(t, "y'' = y^2; y(0) = 1; y(inf) = 0"), solver.Options{Tol: 1e-6})
	if q.Status != solver.Solved {
		t.Errorf("y'' = y^2: %s: %s", q.Status, q.Message)
	} else {
		jet, claimed := make([]float64, 3), make([]float64, 3)
		for _, x := range []float64{0, 1, 10, 100, 1e6} {
			q.At(x, jet)
			q.ErrorAt(x, claimed)
			d := x + math.Sqrt(6)
			if off := math.Abs(jet[0] - 6/(d*d)); off > 1e-6 || off > claimed[0] {
				t.Errorf("y'' = y^2: at %v off by %.2g, claimed %.2g", x, off, claimed[0])
			}
		}
	}
	// The Thomas-Fermi atom, with a square root at the left end and a power far out: its initial slope is
	// −1.588071022611375 (J. P. Boyd, J. Comput. Appl. Math. 244 (2013), 90–101; from memory).
	q = solver.MustSolve(sheettest.Problem(t, "y'' = y^1.5/sqrt(x); y(0) = 1; y(inf) = 0"), solver.Options{Tol: 1e-4})
	if q.Usable() && q.Status != solver.Failed {
		jet, claimed := make([]float64, 3), make([]float64, 3)
		q.At(0, jet)
		q.ErrorAt(0, claimed)
		if off := math.Abs(jet[1] + 1.588071022611375); off > claimed[1] || off > 1e-3 {
			t.Errorf("Thomas-Fermi: slope %v, off by %.2g, claimed %.2g", jet[1], off, claimed[1])
		}
	} else {
		t.Errorf("Thomas-Fermi: %s: %s", q.Status, q.Message)
	}
	t.Logf("Thomas-Fermi: %s, %.0f ms: %s", q.Status, 1e3*q.Seconds, q.Message)
	// A slow one, 1/(1 + x): to the tolerance at a distance of one over it.
	s := solver.MustSolve(sheettest.Problem(t, "y'' = 2 y/(1 + x)^2; y(0) = 1; y(inf) = 0"), solver.Options{})
	if s.Status != solver.Solved {
		t.Errorf("power of the distance: %s: %s", s.Status, s.Message)
	}
	jet, claimed := make([]float64, 3), make([]float64, 3)
	for _, x := range append(s.Points(), 1e9, 1e12) {
		s.At(x, jet)
		s.ErrorAt(x, claimed)
		if off := math.Abs(jet[0] - 1/(1+x)); off > claimed[0] {
			t.Errorf("at %v off by %.2g, claimed %.2g", x, off, claimed[0])
		}
	}
}

// TestSizes: an answer does not depend on the size of its values: what a source leaves over far out is held to the
// terms of the equation.
func TestSizes(t *testing.T) {
	jet := make([]float64, 3)
	for _, c := range []struct {
		sheet string
		x     float64
	}{
		{"y'' = y - c exp(-(x - 100)^2); y(0) = 0; y(inf) = 0; c = %g", 100},
		{"y'' = y - c/(1 + x)^2; y(0) = c; y(inf) = 0; c = %g", 3},
		{"y'' = y - c exp(-x/3); y(0) = c; y(inf) = 0; c = %g", 1},
	} {
		var one *solver.Solution
		var value float64
		for _, size := range []float64{1, 1e12, 1e-12} {
			s := solver.MustSolve(sheettest.Problem(t, fmt.Sprintf(c.sheet, size)), solver.Options{})
			s.At(c.x, jet)
			if one == nil {
				one, value = s, jet[0]
			}
			if s.Status != one.Status || math.Abs(jet[0]/size-value) > 1e-8*math.Abs(value) ||
				len(s.Mesh) > 2*len(one.Mesh) {
				t.Errorf("%s of size %g: %s, %v at %v, %d points; of size 1 %s, %v, %d points", c.sheet, size, s.Status,
					jet[0]/size, c.x, len(s.Mesh), one.Status, value, len(one.Mesh))
			}
		}
	}
}
