package blocks

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// random fills a system with a fixed pseudo-random sequence and returns the same system as one dense matrix, in the
// order u_0, z_0, u_1, z_1, …, z_E, q.
func random(s, q int, k, t []int, seed uint64) (*System, *mat.Dense) {
	r := rand.New(rand.NewPCG(seed, 1))
	sys := New(s, q, k, t)
	E := len(k)
	uAt, zAt := make([]int, E), make([]int, E+1)
	n := 0
	for e := range k {
		uAt[e] = n
		n += k[e]
		zAt[e] = n
		n += s
	}
	zAt[E] = n
	n += s
	qAt := n
	n += q
	d := mat.NewDense(n, n, nil)
	row := 0
	for e := range k {
		w := k[e] + 2*s + q
		a := sys.Element(e)
		for i := range sys.Rows(e) {
			for c := range w {
				v := r.NormFloat64()
				a[i*w+c] = v
				switch {
				case c < k[e]:
					d.Set(row, uAt[e]+c, v)
				case c < k[e]+s:
					d.Set(row, zAt[e]+c-k[e], v)
				case c < k[e]+2*s:
					d.Set(row, zAt[e+1]+c-k[e]-s, v)
				default:
					d.Set(row, qAt+c-k[e]-2*s, v)
				}
			}
			row++
		}
	}
	w := 2*s + q
	for i := range sys.ClosingRows() {
		for c := range w {
			v := r.NormFloat64()
			sys.Closing()[i*w+c] = v
			switch {
			case c < s:
				d.Set(row, zAt[0]+c, v)
			case c < 2*s:
				d.Set(row, zAt[E]+c-s, v)
			default:
				d.Set(row, qAt+c-2*s, v)
			}
		}
		row++
	}
	return sys, d
}

// TestAgainstDense holds the elimination to gonum's dense solve.
func TestAgainstDense(t *testing.T) {
	for _, c := range []struct {
		s, q int
		k, t []int
	}{
		{1, 0, []int{1}, []int{0}},
		{2, 0, []int{3}, []int{0}},
		{2, 1, []int{3}, []int{0}},
		{2, 1, []int{3, 4}, []int{0, 1}},
		{3, 2, []int{2, 5, 1, 7}, []int{0, 0, 1, 0}},
		{4, 3, []int{4, 4, 4, 4, 4, 4}, []int{1, 0, 2, 0, 0, 0}},
		{8, 0, []int{8, 9, 10, 11, 12, 13, 14, 15, 16}, make([]int, 9)},
	} {
		t.Run(fmt.Sprintf("S=%d/Q=%d/E=%d", c.s, c.q, len(c.k)), func(t *testing.T) {
			sys, d := random(c.s, c.q, c.k, c.t, 7)
			if !sys.Factor() {
				t.Fatal("singular")
			}
			for trial := range 3 { // several right-hand sides with the same factors
				r := rand.New(rand.NewPCG(uint64(trial), 2))
				rhs := sys.NewRHS()
				var flat []float64
				for e := range rhs.Element {
					for i := range rhs.Element[e] {
						v := r.NormFloat64()
						rhs.Element[e][i] = v
						flat = append(flat, v)
					}
				}
				for i := range rhs.Closing {
					v := r.NormFloat64()
					rhs.Closing[i] = v
					flat = append(flat, v)
				}
				var want mat.VecDense
				if err := want.SolveVec(d, mat.NewVecDense(len(flat), flat)); err != nil {
					t.Fatal(err)
				}
				got := sys.NewVector()
				for _, z := range got.Z { // a destination full of NaN must not matter
					for i := range z {
						z[i] = math.NaN()
					}
				}
				sys.SolveTo(got, rhs)
				var out []float64
				for e := range got.U {
					out = append(out, got.U[e]...)
					out = append(out, got.Z[e]...)
				}
				out = append(out, got.Z[len(got.U)]...)
				out = append(out, got.Q...)
				// 1e-10: the condition number of these matrices is up to 1e4, so that 1e-12 is expected.
				scale := mat.Norm(&want, math.Inf(1))
				for i, v := range out {
					if math.Abs(v-want.AtVec(i)) > 1e-10*scale {
						t.Fatalf("entry %d is %v, want %v", i, v, want.AtVec(i))
					}
				}
			}
		})
	}
}

// TestGrowingModes solves z' = diag(λ, −λ) z over a length where e^(λL) overflows the arithmetic: the factors must stay
// bounded. The problem (first component given at the right, second at the left) is as harmless as can be, for each
// element map is a pair of factors.
func TestGrowingModes(t *testing.T) {
	const E = 400
	const g = 50.0 // growth by e^50 in each element, e^20000 over all
	k := make([]int, E)
	sys := New(2, 0, k, make([]int, E))
	for e := range E {
		a := sys.Element(e) // columns z_e (2), z_(e+1) (2)
		a[0], a[2] = -1, math.Exp(-g)
		a[4+1], a[4+3] = -math.Exp(-g), 1
	}
	c := sys.Closing()
	c[1] = 1   // second component at the left
	c[4+2] = 1 // first component at the right
	if !sys.Factor() {
		t.Fatal("singular")
	}
	rhs := sys.NewRHS()
	rhs.Closing[0], rhs.Closing[1] = 3, 5
	v := sys.NewVector()
	sys.SolveTo(v, rhs)
	if math.Abs(v.Z[0][1]-3) > 1e-14 || math.Abs(v.Z[E][0]-5) > 1e-14 {
		t.Errorf("ends %v %v", v.Z[0], v.Z[E])
	}
	if w := 3 * math.Exp(-g); math.Abs(v.Z[1][1]-w) > 1e-14*w {
		t.Errorf("after one element %v, want %v", v.Z[1][1], w)
	}
	if v.Z[E/2][0] != 0 && math.Abs(v.Z[E/2][0]) > 1e-300 {
		t.Errorf("in the middle %v", v.Z[E/2])
	}
}

func TestSingular(t *testing.T) {
	// z is carried over unchanged; two closing rows that both look at the sum of the ends.
	sys := New(1, 1, []int{0}, []int{0})
	copy(sys.Element(0), []float64{-1, 1, 0})
	copy(sys.Closing(), []float64{1, 1, 0, 1, 1, 0})
	if sys.Factor() && sys.Condition() < 1e15 {
		t.Errorf("a singular system has condition number %g", sys.Condition())
	}
}

// Growth by e^50 in each element, from the end where everything is known: no digit is lost.
func TestMarch(t *testing.T) {
	const E, g = 13, 50.0
	for _, backwards := range []bool{false, true} {
		sys := New(2, 0, make([]int, E), make([]int, E))
		for e := range E {
			from, to := sys.Element(e), sys.Element(e)[2:] // columns z_e (2), z_(e+1) (2)
			if backwards {
				from, to = to, from
			}
			// Known beside it: z' = (e^g (z_1 + z_2), e^-g (z_2 - z_1)), whose first entry rules.
			from[0], from[1], to[0] = -1, -1, math.Exp(-g)
			from[4], from[5], to[5] = math.Exp(-g), -math.Exp(-g), 1
		}
		at := 0
		if backwards {
			at = 2
		}
		c := sys.Closing()
		c[at], c[at+1], c[4+at+1] = 1, 1, 1
		if !sys.Factor() || sys.Condition() > 10 {
			t.Fatalf("condition number %g", sys.Condition())
		}
		rhs, v := sys.NewRHS(), sys.NewVector()
		rhs.Closing[0], rhs.Closing[1] = 3, 1 // z = (2, 1)
		sys.SolveTo(v, rhs)
		z := [2]float64{2, 1}
		for e := 0; e <= E; e++ {
			got := v.Z[e]
			if backwards {
				got = v.Z[E-e]
			}
			for i, w := range z {
				if math.Abs(got[i]-w) > 1e-13*math.Abs(w) {
					t.Errorf("backwards %v, state %d of point %d: %v, want %v", backwards, i, e, got[i], w)
				}
			}
			z = [2]float64{math.Exp(g) * (z[0] + z[1]), math.Exp(-g) * (z[1] - z[0])}
		}
	}
}

func TestDense(t *testing.T) {
	sys, r := New(2, 1, []int{3, 4}, []int{0, 1}), rand.New(rand.NewPCG(1, 2))
	for e := range 2 {
		for i := range sys.Element(e) {
			sys.Element(e)[i] = r.NormFloat64()
		}
	}
	for i := range sys.Closing() {
		sys.Closing()[i] = r.NormFloat64()
	}
	rhs := sys.NewRHS()
	for _, b := range append(rhs.Element, rhs.Closing) {
		for i := range b {
			b[i] = r.NormFloat64()
		}
	}
	a, b := sys.Dense(), mat.NewVecDense(14, rhs.Dense())
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		t.Fatal(err)
	}
	if !sys.Factor() {
		t.Fatal("singular")
	}
	v := sys.NewVector()
	sys.SolveTo(v, rhs)
	w := sys.NewVector()
	w.SetDense(x.RawVector().Data)
	for i, q := range w.Q {
		if math.Abs(q-v.Q[i]) > 1e-10 {
			t.Errorf("border unknown %d: %v, want %v", i, v.Q[i], q)
		}
	}
	for e := range w.Z {
		for i, z := range w.Z[e] {
			if math.Abs(z-v.Z[e][i]) > 1e-10 {
				t.Errorf("state %d of point %d: %v, want %v", i, e, v.Z[e][i], z)
			}
		}
	}
}

func BenchmarkFactor(b *testing.B) {
	for _, E := range []int{100, 1000, 10000} {
		b.Run(fmt.Sprintf("elements=%d/own=8", E), func(b *testing.B) {
			k := make([]int, E)
			for i := range k {
				k[i] = 8
			}
			b.ReportAllocs()
			for b.Loop() {
				b.StopTimer()
				sys, r := New(2, 0, k, make([]int, E)), rand.New(rand.NewPCG(3, 4))
				for e := range k {
					a := sys.Element(e)
					for i := range a {
						a[i] = r.NormFloat64()
					}
				}
				for i := range sys.Closing() {
					sys.Closing()[i] = r.NormFloat64()
				}
				b.StartTimer()
				sys.Factor()
			}
		})
	}
}

// TestSmall: the pivot is the largest of its column, without which 1e-17 would be one.
func TestSmall(t *testing.T) {
	const n = 3
	a := []float64{1e-17, 1, 2, 1e-18, 3, -1, 1, 1, 1}
	x := []float64{2, -1, 5}
	b := make([]float64, n)
	for i := range n {
		b[i] = Dot(a[i*n:(i+1)*n], x)
	}
	pivot := make([]int, n)
	if !factorSmall(a, n, pivot) {
		t.Fatal("no factors")
	}
	solveSmall(a, n, pivot, b)
	for i := range x {
		if math.Abs(b[i]-x[i]) > 1e-14 {
			t.Errorf("entry %d is %v, want %v", i, b[i], x[i])
		}
	}
	if factorSmall([]float64{1, 2, 2, 4}, 2, pivot) {
		t.Error("a singular matrix has factors")
	}
}
