package singular

import (
	"math"
	"slices"
	"testing"

	"nodespan/solver/bvp"
	"nodespan/solver/bvp/bvptest"
)

// wave is sin(2 x + 1) with its first two derivatives.
func wave(x float64) [3]float64 {
	s, c := math.Sincos(2*x + 1)
	return [3]float64{s, 2 * c, -4 * s}
}

// known is x² (1 − x)² y” + y + k = f on (0, 1), singular at both ends, or with the factor x² alone at the left one; it
// has the solution wave and the sought number k = 3, which its guess tells.
func known(both bool, conditions ...bvp.Condition) *bvp.Problem {
	factor := func(x float64) float64 {
		if both {
			return x * x * (1 - x) * (1 - x)
		}
		return x * x
	}
	return &bvp.Problem{A: 0, B: 1, Unknowns: []bvp.Unknown{{Name: "y", Order: 2}}, Breaks: []float64{0.3},
		Parameters: []bvp.Parameter{{Name: "k", Guess: 3}}, Conditions: conditions,
		Guess: func(x float64, jet []float64) { w := wave(x); copy(jet, w[:]) },
		Equations: func(x float64, in, out, df []float64) {
			w := wave(x)
			out[0] = factor(x)*(in[2]-w[2]) + in[0] - w[0] + in[3] - 3
			if df != nil {
				df[0], df[1], df[2], df[3] = 1, 0, factor(x), 1
			}
		}}
}

// TestKnown: of a solution that is known by x everything by s follows: the guess, the equations, the conditions and
// what is continuous hold for it, and its jet by x comes back; whether derivatives at an end are unknowns of their own
// or not.
func TestKnown(t *testing.T) {
	slope := func(x float64) bvp.Condition { return bvptest.Given(x, 0, 1, wave(x)[1]) }
	sum := bvp.Condition{At: []bvp.PointValue{{X: 0.25}, {X: 0.75, Derivative: 1}, {X: 0.75, Derivative: 2}},
		Residual: func(in, dg []float64) float64 {
			if dg != nil {
				copy(dg, []float64{1, -2, 0.5, in[3]})
			}
			return in[0] - 2*in[1] + 0.5*in[2] + in[3]*in[3]/2
		}}
	a, b := wave(0.25), wave(0.75)
	want := a[0] - 2*b[1] + 0.5*b[2] + 4.5
	value := func(x float64) bvp.Condition { return bvptest.Given(x, 0, 0, wave(x)[0]) }
	for name, c := range map[string]struct {
		p        *bvp.Problem
		q        []int
		unknowns int
	}{
		"left":       {known(false, value(0), value(1), sum), []int{3}, 1},
		"both":       {known(true, value(0), value(1), sum), []int{2, 4}, 1},
		"left split": {known(false, slope(0), value(1), sum), []int{2}, 2},
		"both split": {known(true, slope(0), value(1), sum), []int{3, 2}, 2},
	} {
		st := New(c.p, Ends(c.p), c.q...)
		if st == nil || len(st.Problem.Unknowns) != c.unknowns {
			t.Errorf("%s: %+v", name, st)
			continue
		}
		p := st.Problem
		J := p.Jet()
		in, f := make([]float64, J+1), make([]float64, len(p.Unknowns))
		at := func(s float64) []float64 {
			p.Guess(s, in[:J])
			in[J] = 3
			return in
		}
		for k := range 41 {
			s := p.A + (p.B-p.A)*(float64(k)+0.5)/41
			p.Equations(s, at(s), f, nil)
			if top := bvp.Largest(f); top > 1e-8*(1+bvp.Largest(in)) {
				t.Errorf("%s: residual %g at s = %g", name, top, s)
			}
			x := st.From(s)
			if back := st.To(x); math.Abs(back-s) > 1e-9 {
				t.Errorf("%s: s = %g comes back as %g", name, s, back)
			}
			got, exact := make([]float64, 3), wave(x)
			st.Jet(x, func(s float64, to []float64) { copy(to, at(s)[:J]) }, got)
			for d := range got {
				if math.Abs(got[d]-exact[d]) > 1e-6 {
					t.Errorf("%s: derivative %d at x = %g is %g, want %g", name, d, x, got[d], exact[d])
				}
			}
		}
		ends(t, name, st, at)
		for i, cond := range p.Conditions {
			v, dg := make([]float64, len(cond.At)+1), make([]float64, len(cond.At)+1)
			for j, pv := range cond.At {
				v[j] = at(pv.X)[p.JetOffset(pv.Unknown)+pv.Derivative]
			}
			v[len(cond.At)] = 3
			g, hope := cond.Residual(v, dg), 0.0
			if i == 2 {
				hope = want
			}
			if math.Abs(g-hope) > 1e-9 || math.Abs(cond.Residual(v, nil)-g) > 0 {
				t.Errorf("%s: condition %d leaves %g, want %g", name, i, g, hope)
			}
			for j := range v {
				h := 1e-6
				v[j] += h
				up := cond.Residual(v, nil)
				v[j] -= 2 * h
				down := cond.Residual(v, nil)
				v[j] += h
				if d := (up - down) / (2 * h); math.Abs(d-dg[j]) > 1e-6*(1+math.Abs(d)) {
					t.Errorf("%s: condition %d, derivative %d: %g, the difference %g", name, i, j, dg[j], d)
				}
			}
		}
		sides(t, name, st, c.p)
	}
}

// ends: at a stretched end the value is that of the end, and a derivative by x that very near to it, whose error is not
// known; elsewhere errors are those by s, all with one sign.
func ends(t *testing.T, name string, st *Stretch, at func(s float64) []float64) {
	t.Helper()
	got, want := make([]float64, 3), wave(0)
	st.Jet(0, func(s float64, to []float64) { copy(to, at(s)[:len(to)]) }, got)
	for d := range got {
		if math.Abs(got[d]-want[d]) > []float64{0, 1e-3, 1e-1}[d] {
			t.Errorf("%s: derivative %d at the end is %g, want %g", name, d, got[d], want[d])
		}
	}
	read := func(_ float64, err []float64) {
		for i := range err {
			err[i] = 1e-9
		}
	}
	st.Errors(0, read, got)
	split := st.split != nil
	if got[0] != 1e-9 || math.IsInf(got[1], 1) == split || !math.IsInf(got[2], 1) {
		t.Errorf("%s: errors %v at the end", name, got)
	}
	const x = 0.4
	st.Errors(x, read, got)
	if split { // the value and the slope are values by s
		if got[1] != 1e-9 {
			t.Errorf("%s: errors %v", name, got)
		}
		return
	}
	// y' = y_s/(dx/ds), so its error is that of y_s over dx/ds.
	s := st.To(x)
	slope := (st.From(s+1e-6) - st.From(s-1e-6)) / 2e-6
	if math.Abs(got[1]*slope/1e-9-1) > 1e-6 || got[0] != 1e-9 || !(got[2] > got[1]) {
		t.Errorf("%s: errors %v, dx/ds %g", name, got, slope)
	}
}

// sides: a point beside a break stays on its side, and what is continuous there is the state by x.
func sides(t *testing.T, name string, st *Stretch, p *bvp.Problem) {
	t.Helper()
	b := st.To(0.3)
	breaks := []float64{b}
	if st.second != nil {
		breaks = []float64{b, 0}
	}
	if !slices.Equal(st.Problem.Breaks, breaks) {
		t.Errorf("%s: breaks %v, want %v", name, st.Problem.Breaks, breaks)
	}
	for _, side := range []float64{-1, 1} {
		if x, ok := st.besideBreak(math.Nextafter(b, side*9)); !ok || (x-0.3)*side <= 0 {
			t.Errorf("%s: %v beside the break, on side %v", name, x, side)
		}
	}
	J := st.Problem.Jet()
	in, f := make([]float64, J+1), make([]float64, st.Problem.State())
	st.Problem.Guess(b, in[:J])
	st.Problem.Continuity(b, in, f, nil)
	w := wave(0.3)
	if math.Abs(f[0]-w[0]) > 1e-12 || math.Abs(f[1]-w[1]) > 1e-9 {
		t.Errorf("%s: %v is continuous at the break, want %v", name, f, w[:2])
	}
}

// TestMesh: next to a stretched end the first element is cut to a fifth again and again, elsewhere a mesh is as it was.
func TestMesh(t *testing.T) {
	for _, both := range []bool{false, true} {
		p := known(both, bvptest.Given(0, 0, 0, 1), bvptest.Given(1, 0, 0, 1))
		q := []int{2, 2}[:len(Ends(p))]
		st := New(p, Ends(p), q...)
		mesh := []float64{0, 0.5, 1}
		if both {
			mesh = []float64{-1, -0.5, 0.5, 1}
		}
		got := st.Mesh(mesh)
		if !slices.IsSorted(got) || got[0] != 0 || got[len(got)-1] != 1 {
			t.Fatalf("%v", got)
		}
		inner := st.From(mesh[1])
		i := slices.Index(got, inner)
		if i < 20 || !both && i != len(got)-2 || both && len(got) < 2*i {
			t.Errorf("%v lies at %d of %d", inner, i, len(got))
		}
		for ; i > 1; i-- {
			if r := got[i-1] / got[i]; math.Abs(r-0.2) > 1e-9 {
				t.Errorf("from %v to %v", got[i], got[i-1])
			}
		}
		for _, v := range mesh {
			if !slices.Contains(got, st.From(v)) {
				t.Errorf("%v is lost", v)
			}
		}
	}
}
