package working

import (
	"encoding/json"
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
	"nodespan/solver/nodes"
	"nodespan/testdata"
)

// linear is a_m(x) y^(m) + … + a_0(x) y = g(x); f[d] is a_d. Conditions are values of derivatives.
func linear(a, b float64, f []func(float64) float64, g func(float64) float64, conditions ...[3]float64) *bvp.Problem {
	m := len(f) - 1
	p := &bvp.Problem{A: a, B: b, Unknowns: []bvp.Unknown{{Name: "y", Order: m}}}
	p.Equations = func(x float64, in, out, df []float64) {
		out[0] = -g(x)
		for d := range f {
			out[0] += f[d](x) * in[d]
			if df != nil {
				df[d] = f[d](x)
			}
		}
	}
	for _, c := range conditions {
		given := bvptest.Given(c[0], 0, int(c[1]), c[2])
		given.Text = fmt.Sprintf("derivative %v at %v is %v", c[1], c[0], c[2])
		p.Conditions = append(p.Conditions, given)
	}
	return p
}

func always(v float64) func(float64) float64 { return func(float64) float64 { return v } }

// grow is y” = y on [a, b] with values 1 and 2.
func grow(a, b float64) *bvp.Problem {
	return linear(a, b, []func(float64) float64{always(-1), always(0), always(1)}, always(0), [3]float64{a, 0, 1},
		[3]float64{b, 0, 2})
}

func lay(t *testing.T, p *bvp.Problem, o Options) *Working {
	t.Helper()
	w, err := New(p, o)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// Equispaced nodes are rational: V, its inverse and the derivative matrices against exact fractions (1e-12: the
// condition number of V is near 1e4).
func TestExactFractions(t *testing.T) {
	for n := 1; n <= 4; n++ {
		w := lay(t, grow(0, 1), Options{Nodes: n, Family: nodes.Equispaced, Reference: Unit})
		N := n + 2
		x := make([]*big.Rat, N)
		for i := range x {
			x[i] = big.NewRat(int64(i), int64(n+1))
		}
		for j := range N {
			// The polynomial that is 1 at point j and 0 at the others.
			p := nodes.Rational{nodes.Rat(1, 1)}
			scale := nodes.Rat(1, 1)
			for k := range N {
				if k != j {
					p = p.TimesLinear(new(big.Rat).Neg(x[k]), nodes.Rat(1, 1))
					scale.Mul(scale, new(big.Rat).Sub(x[j], x[k]))
				}
			}
			for k := range p {
				p[k].Quo(p[k], scale)
				want, _ := p[k].Float64()
				V := w.Matrix("V_inv")
				near(t, fmt.Sprintf("n = %d, V_inv[%d, %d]", n, k, j), V.Values[k][j], want, 1e-12)
				if (want == 0) != (V.Shown(k, j) == 0) {
					t.Errorf("n = %d, V_inv[%d, %d] is shown as %g, want %g", n, k, j, V.Shown(k, j), want)
				}
			}
			power := nodes.Rat(1, 1)
			for range j {
				power.Mul(power, x[N-2])
			}
			want, _ := power.Float64()
			near(t, "V", w.Matrix("V").Values[N-2][j], want, 1e-15)
			for d, q := 0, p; d <= 2; d, q = d+1, q.Derivative() {
				if d == 0 {
					continue
				}
				if d == 1 {
					q = p.Derivative()
				}
				for i := range N {
					v := new(big.Rat)
					for k := len(q) - 1; k >= 0; k-- {
						v.Add(v.Mul(v, x[i]), q[k])
					}
					want, _ := v.Float64()
					D, what := w.Matrix(fmt.Sprintf("D%d", d)), fmt.Sprintf("n = %d, D%d[%d, %d]", n, d, i, j)
					near(t, what, D.Values[i][j], want, 1e-12)
					near(t, what+" as shown", D.Shown(i, j), want, 1e-9)
					if (want == 0) != (D.Shown(i, j) == 0) {
						t.Errorf("%s is shown as %g, want %g", what, D.Shown(i, j), want)
					}
				}
			}
		}
	}
}

// near compares to eps of the larger of 1 and the size.
func near(t *testing.T, what string, got, want, eps float64) {
	t.Helper()
	if !(math.Abs(got-want) <= eps*math.Max(1, math.Abs(want))) {
		t.Errorf("%s = %.17g, want %.17g", what, got, want)
	}
}

// The collocation matrices at one and two Legendre nodes on 0 … 1, to the four figures in which they are printed in
// B. A. Finlayson, Nonlinear Analysis in Chemical Engineering (1980), chapter 4 (from memory).
func TestPublishedMatrices(t *testing.T) {
	for _, c := range []struct {
		n    int
		A, B [][]float64
	}{
		{1, [][]float64{{-3, 4, -1}, {-1, 0, 1}, {1, -4, 3}}, [][]float64{{4, -8, 4}, {4, -8, 4}, {4, -8, 4}}},
		{2, [][]float64{{-7, 8.196, -2.196, 1}, {-2.732, 1.732, 1.732, -0.7321}, {0.7321, -1.732, -1.732, 2.732},
			{-1, 2.196, -8.196, 7}},
			[][]float64{{24, -37.18, 25.18, -12}, {16.39, -24, 12, -4.392}, {-4.392, 12, -24, 16.39},
				{-12, 25.18, -37.18, 24}}},
	} {
		w := lay(t, grow(0, 1), Options{Nodes: c.n, Reference: Unit})
		for i := range c.A {
			for j := range c.A[i] {
				near(t, fmt.Sprintf("A[%d, %d]", i, j), w.Matrix("D1").Values[i][j], c.A[i][j], 2e-4)
				near(t, fmt.Sprintf("B[%d, %d]", i, j), w.Matrix("D2").Values[i][j], c.B[i][j], 2e-4)
			}
		}
	}
}

// The published tables of the project: roots of the shifted Legendre polynomials, and the matrices of symmetric
// collocation in plane geometry, which are those of all points folded about the middle.
func TestPublishedTables(t *testing.T) {
	var roots []struct{ Roots []float64 }
	testdata.Rows("shifted-legendre-roots", &roots)
	for _, r := range roots {
		w := lay(t, grow(0, 1), Options{Nodes: len(r.Roots), Reference: Unit})
		for i, v := range r.Roots {
			near(t, "root", w.Matrix("roots").Values[i][0], v, 2.3e-16)
		}
	}
	// The key A is the slope matrix and a the geometry: a struct would not tell them apart.
	var matrices []map[string]json.RawMessage
	testdata.Rows("symmetric-collocation-matrices", &matrices)
	planes := 0
	for _, r := range matrices {
		read := func(key string, to any) {
			t.Helper()
			if err := json.Unmarshal(r[key], to); err != nil {
				t.Fatal(key, err)
			}
		}
		var geometry string
		if read("geometry", &geometry); geometry != "planar" {
			continue
		}
		var points []float64
		var slope, laplace [][]float64
		read("points", &points)
		read("A", &slope)
		read("B", &laplace)
		n := len(points)
		w := lay(t, grow(-1, 1), Options{Nodes: 2*n - 2, Family: nodes.Lobatto, Reference: Symmetric})
		for i := range n {
			near(t, "point", w.Unknowns[0].S[n+i], points[i], 4e-16)
			for j := range n {
				fold := func(m string) float64 {
					row := w.Matrix(m).Values[n+i]
					return row[n+j] + row[n-1-j]
				}
				near(t, "A", fold("D1"), slope[i][j], 1e-13)
				near(t, "B", fold("D2"), laplace[i][j], 1e-13)
			}
		}
		planes++
	}
	if len(roots) != 7 || planes != 2 {
		t.Fatalf("%d tables of roots, %d of matrices", len(roots), planes)
	}
}

// A factor lost in the map would show: on [2, 5] the matrices must be exact for powers of x themselves.
func TestMap(t *testing.T) {
	p := linear(2, 5, []func(float64) float64{always(1), always(0), always(0), always(0), always(1)}, always(0),
		[3]float64{2, 0, 1}, [3]float64{2, 1, 0}, [3]float64{5, 0, 1}, [3]float64{5, 2, 0})
	for _, r := range []Reference{Unit, Symmetric, Own} {
		w := lay(t, p, Options{Nodes: 4, Reference: r})
		x := w.Unknowns[0].X
		for d := 1; d <= 4; d++ {
			D := w.Matrix(fmt.Sprintf("D%d", d)).Values
			for i := range x {
				sum := 0.0
				for j := range x {
					sum += D[i][j] * math.Pow(x[j], 5)
				}
				want := falling(5, d) * math.Pow(x[i], float64(5-d))
				if !(math.Abs(sum-want) <= 1e-8*math.Pow(5, 5)) {
					t.Errorf("reference %d, derivative %d of x^5 at %v: %v, want %v", r, d, x[i], sum, want)
				}
			}
		}
	}
}

// Where an entry came from must give the entry.
func TestExplain(t *testing.T) {
	w := lay(t, linear(0, 2, []func(float64) float64{always(2), func(x float64) float64 { return 2 * x }, always(1)},
		math.Sin, [3]float64{0, 1, 0}, [3]float64{2, 0, 1}), Options{Nodes: 3})
	value := func(e Entry) float64 { return w.Matrix(e.Matrix).Values[e.Row][e.Col] }
	for _, m := range w.Matrices {
		for i := range m.Rows {
			for j := range m.Columns {
				o := w.Explain(m.Name, i, j)
				if o.Formula == "" {
					t.Fatalf("%s[%d, %d] says nothing", m.Name, i, j)
				}
				for _, e := range o.From {
					value(e) // must exist
				}
				f := o.From
				var got float64
				switch m.Name {
				case "x":
					got = w.Origin + w.Scale*value(f[0])
				case "V":
					got = math.Pow(value(f[0]), float64(j))
				case "D1", "D2":
					got = 0
					for k := range len(f) / 2 {
						got += value(f[k]) * value(f[len(f)/2+k])
					}
					got /= math.Pow(w.Scale, float64(m.Name[1]-'0'))
				case "A_all":
					got = 0
					for k := 0; k < len(f); k++ {
						v := value(f[k])
						if k+1 < len(f) && strings.HasPrefix(f[k+1].Matrix, "D") {
							k++
							v *= value(f[k])
						}
						got += v
					}
				case "B":
					if i >= 3 || j < 2 { // but for the conditions and the powers of x - a
						continue
					}
					for k := 0; k < len(f); k++ {
						v := value(f[k])
						if k+1 < len(f) && strings.HasPrefix(f[k+1].Matrix, "I") {
							k++
							v *= value(f[k])
						}
						got += v
					}
				case "A", "b":
					got = value(f[0])
				case "coef":
					got = 0
					for k := 0; k < len(f); k += 2 {
						got += value(f[k]) * value(f[k+1])
					}
				default:
					continue
				}
				near(t, fmt.Sprintf("%s[%d, %d]", m.Name, i, j), got, m.Values[i][j], 1e-13)
			}
		}
	}
	for _, name := range []string{"s", "x", "V", "V_inv", "V1", "V2", "D1", "D2", "a2", "a1", "a0", "A_all", "b_all",
		"C", "C_rhs", "A", "b", "y", "coef", "table", "check", "I1", "I2", "B", "B_sol"} {
		if w.Matrix(name) == nil {
			t.Errorf("no matrix %s", name)
		}
	}
}

// Ends first: a condition takes the row of its own end where it can.
func TestRowsTaken(t *testing.T) {
	four := []func(float64) float64{always(0), always(0), always(0), always(0), always(1)}
	for _, c := range []struct {
		p    *bvp.Problem
		want []int
	}{
		{grow(0, 1), []int{0, 4}},
		{linear(0, 1, []func(float64) float64{always(1), always(1)}, always(0), [3]float64{0, 0, 1}), []int{0}},
		{linear(0, 1, []func(float64) float64{always(1), always(1)}, always(0), [3]float64{1, 0, 1}), []int{3}},
		{linear(0, 1, four, always(1), [3]float64{0, 0, 0}, [3]float64{0, 1, 0}, [3]float64{1, 0, 0},
			[3]float64{1, 2, 0}), []int{0, 1, 6, 5}},
		{linear(0, 1, four, always(1), [3]float64{0, 1, 0}, [3]float64{0, 0, 0}, [3]float64{1, 2, 0},
			[3]float64{1, 3, 0}), []int{1, 0, 6, 5}},
	} {
		w := lay(t, c.p, Options{Nodes: 3})
		for k, taken := range w.Replaced {
			if taken.Row != c.want[k] {
				t.Errorf("%s takes row %d, want %d", c.p.Conditions[k].Text, taken.Row, c.want[k])
			}
		}
	}
}

// Whatever the places of the carriers, the polynomial has the degree n+m-1 of package collocation, and is exact for
// solutions of that degree: y^(m) = (n+m-1)!/(n-1)! x^(n-1) has y = x^(n+m-1).
func TestExactPolynomials(t *testing.T) {
	for m := 1; m <= 4; m++ {
		for _, n := range []int{1, 2, 5} {
			degree := n + m - 1
			f := make([]func(float64) float64, m+1)
			for d := range f {
				f[d] = always(0)
			}
			f[m] = always(1)
			var c [][3]float64
			for d := range (m + 1) / 2 {
				c = append(c, [3]float64{0, float64(d), 0})
			}
			if degree < (m+1)/2 {
				continue
			}
			for d := range m / 2 {
				c = append(c, [3]float64{1, float64(d), falling(degree, d)})
			}
			w := lay(t, linear(0, 1, f,
				func(x float64) float64 { return falling(degree, m) * math.Pow(x, float64(n-1)) }, c...),
				Options{Nodes: n})
			for _, r := range w.Rows {
				near(t, fmt.Sprintf("order %d, %d nodes, at %v", m, n, r[0]), r[1], math.Pow(r[0], float64(degree)),
					1e-11)
			}
		}
	}
}

func TestRefusals(t *testing.T) {
	infinite := grow(0, 1)
	infinite.B = math.Inf(1)
	broken := grow(0, 1)
	broken.Breaks = []float64{0.5}
	few := grow(0, 1)
	few.Conditions = few.Conditions[:1]
	// y is fixed but for a constant
	twice := linear(0, 1, []func(float64) float64{always(0), always(0), always(1)}, always(1), [3]float64{0, 1, 0},
		[3]float64{1, 1, 1})
	pole := linear(0, 1, []func(float64) float64{always(1), always(0),
		func(x float64) float64 { return 1 / (x - 0.5) }}, always(0), [3]float64{0, 0, 1}, [3]float64{1, 0, 1})
	for _, c := range []struct {
		p    *bvp.Problem
		n    int
		want string
	}{
		{infinite, 3, "finite interval"}, {broken, 3, "jumps"}, {few, 3, "needs 2 conditions"},
		{twice, 3, "no inverse"}, {pole, 3, "no value at the node x = 0.5"}, {grow(0, 1), 41, "at most 40"},
	} {
		if _, err := New(c.p, Options{Nodes: c.n}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}
