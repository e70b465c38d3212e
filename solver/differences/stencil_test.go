package differences

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp/bvptest"
	"nodespan/solver/newton"
)

// B. Fornberg, Math. Comp. 51 (1988), tables 1 (centred, at a mesh point), 2 (centred, half-way) and 3 (one-sided);
// from memory.
func TestPublishedWeights(t *testing.T) {
	at := func(from float64, n int) []float64 {
		x := make([]float64, n)
		for i := range x {
			x[i] = from + float64(i)
		}
		return x
	}
	for _, c := range []struct {
		x    []float64
		d    int
		want []float64
	}{
		{at(-1, 3), 1, []float64{-1. / 2, 0, 1. / 2}},
		{at(-2, 5), 1, []float64{1. / 12, -2. / 3, 0, 2. / 3, -1. / 12}},
		{at(-3, 7), 1, []float64{-1. / 60, 3. / 20, -3. / 4, 0, 3. / 4, -3. / 20, 1. / 60}},
		{at(-1, 3), 2, []float64{1, -2, 1}},
		{at(-2, 5), 2, []float64{-1. / 12, 4. / 3, -5. / 2, 4. / 3, -1. / 12}},
		{at(-4, 9), 2, []float64{-1. / 560, 8. / 315, -1. / 5, 8. / 5, -205. / 72, 8. / 5, -1. / 5, 8. / 315,
			-1. / 560}},
		{at(-2, 5), 3, []float64{-1. / 2, 1, 0, -1, 1. / 2}},
		{at(-2, 5), 4, []float64{1, -4, 6, -4, 1}},
		{at(-3, 7), 4, []float64{-1. / 6, 2, -13. / 2, 28. / 3, -13. / 2, 2, -1. / 6}},
		{at(-0.5, 2), 0, []float64{1. / 2, 1. / 2}},
		{at(-1.5, 4), 0, []float64{-1. / 16, 9. / 16, 9. / 16, -1. / 16}},
		{at(-1.5, 4), 1, []float64{1. / 24, -9. / 8, 9. / 8, -1. / 24}},
		{at(0, 3), 1, []float64{-3. / 2, 2, -1. / 2}},
		{at(0, 5), 1, []float64{-25. / 12, 4, -3, 4. / 3, -1. / 4}},
		{at(0, 4), 2, []float64{2, -5, 4, -1}},
		{at(0, 5), 3, []float64{-5. / 2, 9, -12, 7, -3. / 2}},
	} {
		got := Weights(0, c.x, c.d)[c.d*len(c.x):]
		for i, w := range c.want {
			if math.Abs(got[i]-w) > 1e-14*math.Max(1, math.Abs(w)) {
				t.Errorf("derivative %d through %v: %v, want %v", c.d, c.x, got, c.want)
				break
			}
		}
	}
}

// A stencil of order p is exact for the powers up to x^(d+p−1), wherever it stands.
func TestStencilOrder(t *testing.T) {
	const n = 20
	for p := 2; p <= 8; p += 2 {
		for d := 0; d <= 8; d++ {
			for _, at := range []float64{0, 0.5, 1, 2.5, 7.25, 10, 10.5, 19, 19.5, 20} {
				s := stencilAt(at, d, p, n)
				if s.start < 0 || s.start+len(s.weights) > n+1 || len(s.weights) > d+p+1 {
					t.Fatalf("order %d, derivative %d at %g: %d points from %d", p, d, at, len(s.weights), s.start)
				}
				for power := 0; power <= d+p-1; power++ {
					// ((x − at)/4)^power, so that rounding stays small.
					sum, size := 0.0, 0.0
					for k, w := range s.weights {
						v := w * math.Pow((float64(s.start+k)-at)/4, float64(power))
						sum += v
						size += math.Abs(v)
					}
					want := 0.0
					if power == d {
						want = math.Gamma(float64(d)+1) / math.Pow(4, float64(d))
					}
					if math.Abs(sum-want) > 1e-12*math.Max(size, 1) {
						t.Errorf("order %d, derivative %d at %g of power %d: %g, want %g", p, d, at, power, sum, want)
					}
				}
			}
		}
	}
}

// The linear systems, with breaks, taps, periodic conditions and parameters, against gonum's dense solver.
func TestAgainstDense(t *testing.T) {
	for _, s := range samples() {
		for _, order := range []int{2, 4, 8} {
			iv := (&work{p: s.p, o: Options{Order: order}}).divide(57)
			g := newGrid(s.p, iv, order, settle(s.p))
			if len(g.rows) < 2 && g.maxOrder < 6 && order == 2 {
				t.Errorf("%s: one block only, nothing is tested", s.name)
			}
			v := g.newVector()
			for i := range v.y {
				v.y[i] = 1 + math.Sin(float64(i))/3
			}
			for i := range v.q {
				v.q[i] = 1 + float64(i)
			}
			a := g.newAssembler()
			sys := g.system()
			rhs := sys.NewRHS()
			if !a.assemble(v, sys, rhs) {
				t.Fatal(s.name)
			}
			// The dense matrix: its columns are differences of residuals where the equations are linear; else only
			// the system's own rows can be compared, through multiplication (below).
			flat := func(r *blocks.RHS) []float64 {
				var out []float64
				for _, e := range r.Element {
					out = append(out, e...)
				}
				return append(out, r.Closing...)
			}
			b := flat(rhs)
			N := len(v.y) + len(v.q)
			if len(b) != N {
				t.Fatalf("%s: %d rows for %d unknowns", s.name, len(b), N)
			}
			m := mat.NewDense(N, N, nil)
			unit, other := g.newVector(), sys.NewRHS()
			for col := range N {
				const step = 1e-3 // residuals are at most quadratic here: central differences are exact
				var r [2][]float64
				for side, h := range []float64{step, -step} {
					copy(unit.y, v.y)
					copy(unit.q, v.q)
					if col < len(v.y) {
						unit.y[col] += h
					} else {
						unit.q[col-len(v.y)] += h
					}
					if !a.residual(unit, other) {
						t.Fatal(s.name)
					}
					r[side] = flat(other)
				}
				for row := range N {
					m.Set(row, col, -(r[0][row]-r[1][row])/(2*step))
				}
			}
			var dense mat.VecDense
			if err := dense.SolveVec(m, mat.NewVecDense(N, b)); err != nil {
				if _, ok := err.(mat.Condition); !ok {
					t.Fatal(s.name, err)
				}
			}
			got := g.newVector()
			if !sys.Factor() {
				t.Fatalf("%s, order %d: not factored", s.name, order)
			}
			sys.SolveTo(got.blocks, rhs)
			var product mat.VecDense
			product.MulVec(m, mat.NewVecDense(N, append(append([]float64(nil), got.y...), got.q...)))
			// The residual of the blocks' answer in the dense matrix, relative to the sizes of the terms.
			for row := range N {
				size := math.Abs(b[row])
				for col := range N {
					x := 0.0
					if col < len(v.y) {
						x = got.y[col]
					} else {
						x = got.q[col-len(v.y)]
					}
					size += math.Abs(m.At(row, col) * x)
				}
				// rows have entries of order one
				if miss := math.Abs(product.AtVec(row) - b[row]); miss > 1e-9*size+1e-12 {
					t.Errorf("%s, order %d: row %d is off by %g of %g", s.name, order, row, miss, size)
					break
				}
			}
			if cond := mat.Cond(m, 1); cond < 1e9 {
				for i, x := range got.y { // the dense matrix, made of differences of residuals, has rounding of its own
					if math.Abs(x-dense.AtVec(i)) > 3e-15*cond*mat.Norm(&dense, math.Inf(1)) {
						t.Errorf("%s, order %d: value %d is %g, dense %g", s.name, order, i, x, dense.AtVec(i))
						break
					}
				}
			}
		}
	}
}

// What cannot be solved is said in one sentence.
func TestNoAnswer(t *testing.T) {
	resonant := bvptest.Scalar(2, 0, 1, func(_ float64, y []float64) (float64, []float64) {
		return y[2] + math.Pi*math.Pi*y[0], []float64{math.Pi * math.Pi, 0, 1}
	}, bvptest.Given(0, 0, 0, 0), bvptest.Given(1, 0, 0, 1))
	if a := Solve(resonant, Options{Tol: 1e-6}); a.Met || a.Error < 1 || a.Reason == "" {
		t.Errorf("a resonant problem: %+v", a)
	}
	twice := bvptest.Scalar(2, 0, 1, func(_ float64, y []float64) (float64, []float64) {
		return y[2],
			[]float64{0, 0, 1}
	}, bvptest.Given(0, 0, 1, 1), bvptest.Given(1, 0, 1, 1))
	if a := Solve(twice, Options{Tol: 1e-6}); a.Met || a.Outcome != newton.Singular || a.Reason == "" {
		t.Errorf("slopes alone: %+v", a)
	}
	eighth := samples()[len(samples())-1]
	if a := Solve(eighth.p, Options{Tol: 1e-6, Nodes: 900}); a.Met || a.Reason == "" {
		t.Errorf("eight derivatives on 900 points: %+v", a)
	} else {
		t.Log(a.Reason)
	}
	few := samples()[2].p
	if a := Solve(few, Options{Tol: 1e-6, Nodes: 1, Order: 8}); a.Curve != nil || a.Reason == "" {
		t.Errorf("one point: %+v", a)
	}
	if c, out := On(few, 1, 8, nil, nil); c != nil || out == newton.Converged {
		t.Error("one point solved")
	}
	func() {
		defer func() {
			if recover() == nil {
				t.Error("order 3 did not panic")
			}
		}()
		Solve(few, Options{Tol: 1e-6, Order: 3})
	}()
}

// Where no first guess leads to an answer the guide does.
func TestGuide(t *testing.T) {
	p := bvptest.Scalar(2, 0, 1, func(_ float64, y []float64) (float64, []float64) {
		return y[2] - math.Sqrt(y[0]-2), []float64{-0.5 / math.Sqrt(y[0]-2), 0, 1}
	}, bvptest.Given(0, 0, 0, 3), bvptest.Given(1, 0, 0, 3))
	if a := Solve(p, Options{Tol: 1e-4}); a.Curve != nil {
		t.Fatal("the first guesses should not do here")
	}
	guide := func() *Start {
		return &Start{Jet: func(_ float64, jet []float64) { jet[0], jet[1], jet[2] = 3, 0, 0 }}
	}
	if a := Solve(p, Options{Tol: 1e-4, Guide: guide}); !a.Met {
		t.Error(a.Reason)
	}
}
