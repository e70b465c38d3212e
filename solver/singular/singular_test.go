package singular

import (
	"math"
	"math/cmplx"
	"testing"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
)

// euler is t² y” + a t y' + b y = f with t = |x − end|, the interval from 0 to 1 with the end at 0 or 1, as its
// derivatives by t say.
func euler(end, a, b float64, f func(t float64) float64) *bvp.Problem {
	side := 1 - 2*end
	unknowns := []bvp.Unknown{{Name: "y", Order: 2}}
	return &bvp.Problem{B: 1, Unknowns: unknowns, Equations: func(x float64, in, out, df []float64) {
		t := side * (x - end)
		out[0] = t*t*in[2] + side*a*t*in[1] + b*in[0] - f(t)
		if df != nil {
			df[0], df[1], df[2] = b, side*a*t, t*t
		}
	}}
}

func none(float64) float64 { return 0 }

// TestExponents: r (r − 1) + a r + b = 0.
func TestExponents(t *testing.T) {
	for _, c := range []struct {
		end, a, b float64
		want      [2]complex128
	}{
		{0, -0.5, 0.5, [2]complex128{0.5, 1}},
		{1, -0.5, 0.5, [2]complex128{0.5, 1}},
		{0, 1, -1.0 / 9, [2]complex128{-1.0 / 3, 1.0 / 3}},
		{1, 1, 0, [2]complex128{0, 0}},
		{0, 1, 1, [2]complex128{-1i, 1i}},
		{1, -4, 6, [2]complex128{2, 3}},
	} {
		ends := Ends(euler(c.end, c.a, c.b, none))
		if len(ends) != 1 || ends[0].X != c.end || len(ends[0].Exponents) != 2 {
			t.Errorf("%v: %v", c, ends)
			continue
		}
		got := ends[0].Exponents
		if imag(got[0]) > 0 {
			got[0], got[1] = got[1], got[0]
		}
		for i, r := range got {
			if cmplx.Abs(r-c.want[i]) > equal {
				t.Errorf("%v: exponents %v", c, got)
			}
		}
	}
}

// TestUnderdetermined: a value at the end counts only where a constant is a solution there; what is unbounded is shut
// out without a word.
func TestUnderdetermined(t *testing.T) {
	for _, c := range []struct {
		a, b  float64
		under bool
	}{
		{-0.5, 0.5, true},     // 1/2 and 1: both vanish at 0
		{1, -1.0 / 9, false},  // −1/3 and 1/3
		{0.5, 0, false},       // 0 and 1/2
		{1, 0, false},         // 0 twice: 1 and log
		{0, -2, false},        // −1 and 2
		{-0.25, 0.25, true},   // 1/4 and 1
		{2 - 5.0/6, 0, false}, // −1/6 and 0
	} {
		p := euler(0, c.a, c.b, none)
		p.Conditions = []bvp.Condition{bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, 1)}
		if _, under := Underdetermined(p, Ends(p)); under != c.under {
			t.Errorf("%v: underdetermined %v", c, under)
		}
	}
	regular := euler(0, 0, 0, none)
	regular.A, regular.Conditions = 0.5, []bvp.Condition{bvptest.Given(0.5, 0, 0, 0), bvptest.Given(1, 0, 0, 1)}
	if _, under := Underdetermined(regular, Ends(regular)); under || len(Ends(regular)) > 0 {
		t.Error("an interval without its singular point has no singular end")
	}
}

// TestStretch: the jet of a known function by s becomes its jet by x, and its residual vanishes: y = t^(1/2) of t² y” +
// y/4 = 0.
func TestStretch(t *testing.T) {
	for _, end := range []float64{0, 1} {
		p := euler(end, 0, 0.25, none)
		p.Conditions = []bvp.Condition{bvptest.Given(end, 0, 0, 0), bvptest.Given(1-end, 0, 0, 1)}
		for _, q := range []int{2, 4, 6} {
			st := New(p, Ends(p), q)
			if st == nil {
				t.Fatal("no stretch")
			}
			for _, s := range []float64{1e-3, 0.1, 0.37, 0.9, 1} {
				// t^(1/2) = s^(q/2).
				n := float64(q) / 2
				jet := []float64{math.Pow(s, n), n * math.Pow(s, n-1), n * (n - 1) * math.Pow(s, n-2)}
				f := make([]float64, 1)
				st.Problem.Equations(s, jet, f, nil)
				if math.Abs(f[0]) > 1e-14*jet[0]/(s*s) { // the size of y” by s, whose coefficient is about 1
					t.Errorf("end %g, power %d: residual %g of %g at s = %g", end, q, f[0], jet[0], s)
				}
				x := st.From(s)
				if d := math.Abs(x - end); d > 1e-3 {
					if back := st.To(x); math.Abs(back-s) > 1e-9 {
						t.Errorf("s = %g comes back as %g", s, back)
					}
					got := make([]float64, 3)
					st.Jet(x, func(_ float64, to []float64) { copy(to, jet) }, got)
					side := 1 - 2*end
					root := math.Sqrt(d)
					for k, want := range []float64{root, side / (2 * root), -1 / (4 * d * root)} {
						if math.Abs(got[k]-want) > 1e-9*math.Abs(want) {
							t.Errorf("end %g, power %d, x = %g: derivative %d: %g, not %g", end, q, x, k, got[k], want)
						}
					}
				}
			}
		}
	}
}

// TestDerivatives: the stretched residuals' derivatives are their differences, also of a problem that is split.
func TestDerivatives(t *testing.T) {
	p := euler(1, 0, 1, func(t float64) float64 { return math.Pow(t, 1.25) })
	slope := bvptest.Given(1, 0, 0, 0)
	slope.At = []bvp.PointValue{{X: 1, Derivative: 1}}
	p.Conditions = []bvp.Condition{bvptest.Given(0, 0, 0, 0), slope}
	st := New(p, Ends(p), 4)
	n, J := len(st.Problem.Unknowns), st.Problem.Jet()
	if n != 2 || J != 4 {
		t.Fatalf("%d unknowns, a jet of %d", n, J)
	}
	in, f, g, df := []float64{0.3, -0.2, 0.7, 1.1}, make([]float64, n), make([]float64, n), make([]float64, n*J)
	for _, s := range []float64{0.05, 0.4, 0.8} {
		st.Problem.Equations(s, in, f, df)
		for j := range J {
			moved := append([]float64(nil), in...)
			moved[j] += 1
			st.Problem.Equations(s, moved, g, nil) // linear: the difference is the derivative
			for r := range n {
				if d := g[r] - f[r]; math.Abs(d-df[r*J+j]) > 1e-12*(math.Abs(d)+math.Abs(f[r])) {
					t.Errorf("s = %g: derivative %d of residual %d is %g, and the difference %g", s, j, r, df[r*J+j], d)
				}
			}
		}
	}
}

// TestRounding: where every entry of the stretched jet may be off by something, the residual may be off by what the
// bound says, whatever the signs, and not by a thousand times less.
func TestRounding(t *testing.T) {
	p := euler(0, 0, 0.25, none)
	p.Conditions = []bvp.Condition{bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, 1)}
	st := New(p, Ends(p), 4)
	J := st.Problem.Jet()
	f, own := make([]float64, 1), make([]float64, 1)
	for _, s := range []float64{1e-2, 0.1, 0.37, 0.9} {
		in := []float64{s * s, 2 * s, 2, s}[:J+1] // y = t^(1/2) is s² for t = s⁴
		off := make([]float64, J+1)
		for j := range J {
			off[j] = 1e-9 * math.Abs(in[j])
		}
		st.Problem.Rounding(in, off, own, nil)
		st.Problem.Equations(s, in[:J], f, nil)
		exact, most := f[0], 0.0
		for signs := range 1 << J {
			moved := append([]float64(nil), in[:J]...)
			for j := range moved {
				moved[j] += off[j] * float64(2*(signs>>j&1)-1)
			}
			st.Problem.Equations(s, moved, f, nil)
			most = math.Max(most, math.Abs(f[0]-exact))
		}
		if !(most <= own[0]) || own[0] > 1000*most {
			t.Errorf("s = %g: off by %g, and bounded by %g", s, most, own[0])
		}
	}
}
