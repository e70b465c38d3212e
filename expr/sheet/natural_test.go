package sheet_test

import (
	"math"
	"strings"
	"testing"

	"nodespan/expr/sheet"
	"nodespan/solver"
)

// TestNatural: at an end where the highest derivative falls away the equation itself is the missing condition, and the
// reading says so.
func TestNatural(t *testing.T) {
	const begins = " the factor of the highest derivative falls away, and what is left is taken as " +
		"the condition of a smooth solution: "
	for _, c := range []struct{ sheet, want string }{
		{"r y'' + y' = -r; y(1)=0; 0<r<1", "at r = 0" + begins + "y'(0) = 0"},
		{"y'' + y'/r = -1; y(1)=0; 0<r<1", "at r = 0" + begins + "y'(0) = 0"},
		{"y'' + 2 y'/x + y^5 = 0; y(1)=0.5; 0<x<1", "at x = 0" + begins + "y'(0) = 0"},
		{"x^2 y'' + x y' + (x^2-4) y = 0; y(1)=1; 0<x<1", "at x = 0" + begins + "y(0) = 0"},
		{"((1-x^2) y')' - y = x; -1<x<1", "at x = 1" + begins + "y(1) + 2 y'(1) + 1 = 0"},
		{"((1-x^2) y')' + lambda y = 0; lambda=?; -1<x<1", "at x = -1" + begins + "lambda y(-1) + 2 y'(-1) = 0"},
		{"R = 2; r y'' + y' + lambda r y = 0; lambda = ?; y(R)=0; 0<r<R", "at r = 0" + begins + "y'(0) = 0"},
	} {
		s, err := sheet.Read(c.sheet, sheet.Options{})
		if err != nil {
			t.Errorf("%s: %v", c.sheet, err)
			continue
		}
		found := false
		var all []string
		for _, i := range s.Inferences {
			found = found || i.Text == c.want
			all = append(all, i.Text)
		}
		if !found {
			t.Errorf("%s: not inferred: %s\n%s", c.sheet, c.want, strings.Join(all, "\n"))
		}
	}
	// Not where conditions are stated, nor where their number does not fit.
	for text, read := range map[string]bool{
		"r y'' + y' = -r; y(1)=0; y'(0)=0":             true,
		"((1-x^2) y')' + 6 y = 0; -1<x<1; y(0.5)=1":    false,
		"(1+x) y'' + y' = 1; y(1)=0; 0<x<1":            false,
		"y''=y; y(0)=1; 0<x<1":                         false,
		"x y'' + y' + y'^2 = 0; y(1)=0; y(0.5)=1; x>0": false,
	} {
		s, err := sheet.Read(text, sheet.Options{})
		if (err == nil) != read {
			t.Errorf("%s: %v", text, err)
		} else if read && len(s.Problem().Conditions) != 2 {
			t.Errorf("%s: %d conditions", text, len(s.Problem().Conditions))
		}
	}
}

// TestSingularEigenvalues: those of Legendre n (n+1) and of Chebyshev n² (M. Abramowitz and I. A. Stegun, Handbook of
// Mathematical Functions, 1964, table 22.6), and the squares of the zeros of Bessel functions J_0, J_2 (ibid. table
// 9.5), J_1/2 (n π) and J_1/3 (computed in 40 digits by another program).
func TestSingularEigenvalues(t *testing.T) {
	square := func(v ...float64) []float64 {
		for i := range v {
			v[i] *= v[i]
		}
		return v
	}
	for _, c := range []struct {
		sheet string
		want  []float64
	}{
		{"((1-x^2) y')' + lambda y = 0; lambda = ?; -1<x<1", []float64{0, 2, 6, 12, 20}},
		{"y'' - 2 x/(1-x^2) y' + lambda/(1-x^2) y = 0; lambda = ?; -1<x<1", []float64{0, 2, 6, 12, 20}},
		{"(1-x^2) y'' - x y' + lambda y = 0; lambda = ?; -1<x<1", []float64{0, 1, 4, 9, 16}},
		{"(1-x^2) y'' - x y' + lambda y = 0; lambda = ?; y(-1)=0; y(1)=0", []float64{1, 4, 9, 16, 25}},
		{"y'' + y'/r + lambda y = 0; y(1)=0; 0<r<1; lambda=?",
			square(2.404825557695773, 5.520078110286311, 8.653727912911013)},
		{"r^2 y'' + r y' + (lambda r^2 - 4) y = 0; y(1)=0; 0<r<1; lambda=?",
			square(5.135622301840683, 8.417244140399866, 11.61984117214906)},
		{"r^2 y'' + r y' + (lambda r^2 - 1/4) y = 0; y(0)=0; y(1)=0; lambda=?",
			square(math.Pi, 2*math.Pi, 3*math.Pi)},
		{"u'' + lambda u = 0; w'' + lambda w/2 = 0; lambda=?; u(0)=0; u(1)=0; w(0)=0; w(1)=0", // one of them vanishes
			[]float64{math.Pi * math.Pi, 2 * math.Pi * math.Pi, 4 * math.Pi * math.Pi, 8 * math.Pi * math.Pi}},
		{"y'' + lambda y = 0; lambda=?; y'(0)=0; y'(1e-4)=0", // zero beside large ones
			[]float64{0, math.Pi * math.Pi * 1e8, 4 * math.Pi * math.Pi * 1e8}},
		{"y'' + y'/r + (lambda - 1/(9 r^2)) y = 0; y(1)=0; 0<r<1; lambda=?",
			[]float64{8.4250069294991992, 36.394037056949678, 84.098192574681661}},
	} {
		for _, tol := range []float64{1e-6, 1e-10} {
			s, err := sheet.Read(c.sheet, sheet.Options{})
			if err != nil {
				t.Errorf("%s: %v", c.sheet, err)
				break
			}
			sol := solver.MustSolve(s.Problem(), solver.Options{Tol: tol})
			if sol.Status != solver.Solved {
				t.Errorf("%s at %g: %s: %s", c.sheet, tol, sol.Status, sol.Message)
				continue
			}
			for i, want := range c.want {
				got := sol.Eigenvalues[i]
				// 4e-16: the table's last digit.
				if off := math.Abs(got.Value - want); !(off <= got.Error+4e-16*want) {
					t.Errorf("%s at %g: eigenvalue %d is %.17g, want %.17g, claimed %.2g",
						c.sheet, tol, i+1, got.Value, want, got.Error)
				}
			}
		}
	}
}
