package sheet_test

import (
	"math"
	"testing"

	"nodespan/expr/sheet"
	"nodespan/solver"
)

// known is a sheet with a value of its solution.
type known struct {
	sheet string
	tol   float64
	x     float64
	entry int // of the jet
	truth float64
}

// check solves a sheet and holds the claim to the truth.
func (k known) check(t *testing.T) {
	t.Helper()
	s, err := sheet.Read(k.sheet, sheet.Options{})
	if err != nil {
		t.Errorf("%s: %v", k.sheet, err)
		return
	}
	sol := solver.Solve(s.Problem(), solver.Options{Tol: k.tol})
	if sol.Status != solver.Solved {
		t.Errorf("%s at %g: %s: %s", k.sheet, k.tol, sol.Status, sol.Message)
		return
	}
	jet, claim := make([]float64, s.Problem().Jet()), make([]float64, s.Problem().Jet())
	sol.At(k.x, jet)
	sol.ErrorAt(k.x, claim)
	if off := math.Abs(jet[k.entry] - k.truth); !(off <= claim[k.entry]) {
		t.Errorf("%s at %g: entry %d is %.17g at %g, off by %.2g, claimed %.2g", k.sheet, k.tol, k.entry, jet[k.entry], k.x, off, claim[k.entry])
	}
}

// TestVanishing: what vanishes identically, a slope or a value at a point, is no reason for doubt. The beam over two equal spans l = 3/2
// under w = 0.04 turns by w l³/(48 EI) at its ends and not at all at the middle support (from memory, as in any handbook of beams).
func TestVanishing(t *testing.T) {
	beam := "u''''=0.04; w''''=0.04; 0<x<3; u(0)=0; u''(0)=0; u(1.5)=0; w(1.5)=0; u'(1.5)=w'(1.5); u''(1.5)=w''(1.5); w(3)=0; w''(3)=0"
	for _, tol := range []float64{1e-4, 1e-8, 1e-12} {
		known{"T'' = 4 (T - 20); T(0) = 20; T'(1) = 0", tol, 0.5, 0, 20}.check(t)
		known{beam, tol, 0, 1, 0.04 * 1.5 * 1.5 * 1.5 / 48}.check(t)
		known{beam, tol, 1.5, 1, 0}.check(t)
	}
}
