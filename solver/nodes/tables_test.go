package nodes

import (
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"nodespan/testdata"
)

// near reports whether got is want to within eps of the larger of |want| and 1.
func near(got, want, eps float64) bool {
	return math.Abs(got-want) <= eps*math.Max(1, math.Abs(want))
}

func nearAll(t *testing.T, what string, got, want []float64, eps float64) {
	t.Helper()
	if len(got) != len(want) || len(want) == 0 {
		t.Fatalf("%s: %d numbers, want %d", what, len(got), len(want))
	}
	for i := range want {
		if !near(got[i], want[i], eps) {
			t.Errorf("%s[%d] = %.17g, want %.17g", what, i, got[i], want[i])
		}
	}
}

// Abramowitz and Stegun, Handbook of Mathematical Functions, tables 25.4 and 25.6.
func TestPublishedRules(t *testing.T) {
	for id, rule := range map[string]func(int) (x, w []float64){"gauss-legendre": Gauss,
		"gauss-lobatto": GaussLobatto} {
		var rows []struct {
			N              int
			Nodes, Weights []float64
			Published      [][]string
		}
		testdata.Rows(id, &rows)
		if len(rows) < 5 {
			t.Fatalf("%s: %d rows", id, len(rows))
		}
		for _, r := range rows {
			x, w := rule(r.N)
			nearAll(t, id+" nodes", x, r.Nodes, 2.3e-16)
			nearAll(t, id+" weights", w, r.Weights, 4.5e-16)
			// The published digits, node by node from the middle to the right.
			if len(r.Published) != (r.N+1)/2 {
				t.Fatalf("%s %d: %d published nodes", id, r.N, len(r.Published))
			}
			for i, pair := range r.Published {
				for j, got := range []float64{x[r.N/2+i], w[r.N/2+i]} {
					want, err := strconv.ParseFloat(pair[j], 64)
					if err != nil {
						t.Fatal(err)
					}
					// One unit of the last printed place: some printed figures are cut, not rounded.
					unit := math.Pow(10, -float64(len(pair[j])-strings.Index(pair[j], ".")-1))
					if math.Abs(got-want) > math.Max(unit, 2.3e-16) {
						t.Errorf("%s %d: %.17g, published %s", id, r.N, got, pair[j])
					}
				}
			}
		}
	}
}

// B. A. Finlayson, Nonlinear Analysis in Chemical Engineering (1980), chapter 4.
func TestShiftedLegendreRoots(t *testing.T) {
	var rows []struct {
		N     int
		Roots []float64
	}
	testdata.Rows("shifted-legendre-roots", &rows)
	for _, r := range rows {
		x := Interior(Legendre, r.N)
		for i := range x {
			x[i] = (1 + x[i]) / 2
		}
		nearAll(t, "roots", x, r.Roots, 2.3e-16)
	}
	if len(rows) != 7 {
		t.Fatal(len(rows))
	}
}

// surd reads an exact entry such as "1", "-19/6" or "-4+2*sqrt(2)".
func surd(t *testing.T, s string) float64 {
	t.Helper()
	sum := 0.0
	for s != "" {
		term := s
		if i := strings.IndexAny(s[1:], "+-"); i >= 0 {
			term = s[:i+1]
		}
		s = s[len(term):]
		factor := 1.0
		if rest, ok := strings.CutSuffix(term, "sqrt(2)"); ok {
			factor, term = math.Sqrt2, strings.TrimSuffix(rest, "*")
			if term == "" || term == "-" || term == "+" {
				term += "1"
			}
		}
		r, ok := new(big.Rat).SetString(strings.TrimPrefix(term, "+"))
		if !ok {
			t.Fatalf("unread entry %q", term)
		}
		f, _ := r.Float64()
		sum += f * factor
	}
	return sum
}

// L. N. Trefethen, Spectral Methods in MATLAB (2000), chapter 6; from 1 down to -1, so both orders are turned round.
func TestChebyshevDifferentiation(t *testing.T) {
	var rows []struct {
		N      int
		Nodes  []string
		Matrix [][]string
	}
	testdata.Rows("chebyshev-lobatto-differentiation", &rows)
	if len(rows) != 4 {
		t.Fatal(len(rows))
	}
	for _, r := range rows {
		n := r.N + 1
		x := make([]float64, n)
		for i, s := range r.Nodes {
			x[n-1-i] = surd(t, s)
		}
		d := Differentiation(x)
		for i := range r.Matrix {
			for j, s := range r.Matrix[i] {
				if got, want := d.At(n-1-i, n-1-j), surd(t, s); !near(got, want, 4e-15) {
					t.Errorf("N = %d, row %d, column %d: %.17g, want %s", r.N, i, j, got, s)
				}
			}
		}
	}
}

// Definition: L. N. Trefethen, Approximation Theory and Approximation Practice (2013), chapter 15.
func TestLebesgueConstants(t *testing.T) {
	var rows []struct {
		Nodes  string
		Degree int
		Value  float64
	}
	testdata.Rows("lebesgue-constants", &rows)
	if len(rows) != 9 {
		t.Fatal(len(rows))
	}
	for _, r := range rows {
		n := r.Degree
		x := make([]float64, n+1)
		for i := range x {
			switch r.Nodes {
			case "equispaced":
				x[i] = -1 + 2*float64(i)/float64(n)
			case "chebyshev-lobatto":
				x[i] = -math.Cos(float64(i) * math.Pi / float64(n))
			case "chebyshev-roots":
				x[i] = Interior(Chebyshev, n+1)[i]
			default:
				t.Fatalf("unknown nodes %q", r.Nodes)
			}
		}
		if got := Lebesgue(x); !near(got, r.Value, 1e-11) {
			t.Errorf("%s %d: %.15g, want %.15g", r.Nodes, n, got, r.Value)
		}
	}
	// Equispaced points grow like 2^(n+1)/(e n ln n) (Trefethen and Weideman, J. Approx. Theory 65, 1991):
	// the sum must survive numbers near 1e298, within the slowly closing factor of that law.
	x := make([]float64, 1001)
	for i := range x {
		x[i] = -1 + 2*float64(i)/1000
	}
	law := math.Pow(2, 501) / (math.E * 1000 * math.Log(1000)) * math.Pow(2, 500)
	if got := Lebesgue(x); !(got > law/2 && got < law) {
		t.Errorf("1001 equispaced points: %g, the law says about %g", got, law)
	}
}

// B. A. Finlayson, The Method of Weighted Residuals and Variational Principles (1972); J. V. Villadsen and W. E.
// Stewart, Chem. Eng. Sci. 22 (1967): polynomials in x², with weight 1-x², in plane (a = 1), cylinder (2) and sphere
// (3).
func TestSymmetricCollocation(t *testing.T) {
	var rows []struct {
		Geometry string
		A        int `json:"a"`
		N        int
		Points   []float64
		Slope    [][]float64 `json:"A"`
		Laplace  [][]float64 `json:"B"`
		W        []float64
	}
	testdata.Rows("symmetric-collocation-matrices", &rows)
	if len(rows) != 6 {
		t.Fatal(len(rows))
	}
	for _, r := range rows {
		n := r.N + 1
		x, s := make([]float64, n), make([]float64, n) // points, and their squares
		switch r.A {
		case 1: // the positive points of a Lobatto rule with an even number of points
			all, _ := GaussLobatto(2 * n)
			copy(x, all[n:])
		case 2: // Radau in x²
			all, _ := GaussRadau(n)
			for i := range x {
				x[i] = math.Sqrt((1 + all[i]) / 2)
			}
		case 3:
			all, _ := GaussLobatto(2*n + 1)
			copy(x, all[n+1:])
		default:
			t.Fatalf("unknown geometry %d", r.A)
		}
		nearAll(t, r.Geometry+" points", x, r.Points, 4.5e-16)
		for i := range x {
			s[i] = x[i] * x[i]
		}
		// With f(x) = g(x²): f' = 2 x g', and x^(1-a) (x^(a-1) f')' = 2 a g' + 4 x² g''.
		d1, d2 := Differentiation(s), Derivatives(s, 2)
		for i := range n {
			slope, laplace := make([]float64, n), make([]float64, n)
			for j := range n {
				slope[j] = 2 * x[i] * d1.At(i, j)
				laplace[j] = 2*float64(r.A)*d1.At(i, j) + 4*s[i]*d2.At(i, j)
			}
			nearAll(t, r.Geometry+" A", slope, r.Slope[i], 1e-13)
			nearAll(t, r.Geometry+" B", laplace, r.Laplace[i], 1e-13)
		}
		g, gw := Gauss(10)
		weights, row, bary := make([]float64, n), make([]float64, n), Barycentric(s)
		for q, at := range g {
			at = (1 + at) / 2
			InterpolateTo(row, s, bary, at*at)
			for j := range row {
				weights[j] += gw[q] / 2 * row[j] * math.Pow(at, float64(r.A-1))
			}
		}
		nearAll(t, r.Geometry+" W", weights, r.W, 1e-14)
	}
}

var _ mat.Matrix = Differentiation([]float64{0})
