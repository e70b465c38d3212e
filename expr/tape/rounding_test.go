package tape

import (
	"math"
	"math/big"
	"testing"

	"nodespan/expr/notation"
)

// exactly is a decimal number in 200 bits.
func exactly(s string) *big.Float {
	f, _, err := big.ParseFloat(s, 10, 200, big.ToNearestEven)
	if err != nil {
		panic(err)
	}
	return f
}

func wide(v float64) *big.Float { return new(big.Float).SetPrec(200).SetFloat64(v) }

// TestRounder holds the bound to what rounding really does: the formula's value in doubles against the value that its
// decimal constants have in 200 bits, at a thousand points. It must cover the worst of them, and not by a large factor.
func TestRounder(t *testing.T) {
	x := name("x")
	sub := func(a, b *big.Float) *big.Float { return new(big.Float).Sub(a, b) }
	mul := func(a, b *big.Float) *big.Float { return new(big.Float).Mul(a, b) }
	for _, c := range []struct {
		what string
		n    notation.Node
		x    float64 // about where
		true func(x *big.Float) *big.Float
		most float64 // bound over worst error
	}{
		{"a sum", bin('+', bin('*', x, x), num(1)), 3,
			func(x *big.Float) *big.Float { return new(big.Float).Add(mul(x, x), wide(1)) }, 4},
		{"cancellation", bin('-', bin('*', x, x), bin('*', x, bin('-', x, num(1)))), 1e4,
			func(x *big.Float) *big.Float { return x }, 8},
		{"a constant far out", bin('-', x, num(1234567.1)), 1234567,
			func(x *big.Float) *big.Float { return sub(x, exactly("1234567.1")) }, 4},
		{"an exact constant far out", bin('+', bin('-', x, num(1234567)), num(0.25)), 1234567,
			func(x *big.Float) *big.Float {
				return new(big.Float).Add(sub(x, wide(1234567)), wide(0.25))
			}, 8},
		{"constants alone", bin('*', x, bin('-', num(1.000104), num(1))), 1, func(x *big.Float) *big.Float {
			return mul(x, exactly("0.000104"))
		}, 8},
		{"a fast argument", fn("sin", bin('*', num(3057.12), x)), 1, func(x *big.Float) *big.Float {
			a := mul(exactly("3057.12"), x)
			near, _ := a.Float64()
			rest, _ := sub(a, wide(near)).Float64() // sin(a + r) = sin a + r cos a
			return new(big.Float).Add(wide(math.Sin(near)), wide(rest*math.Cos(near)))
		}, 8},
	} {
		tree := []notation.Node{c.n}
		tp := compile(t, c.n, "x")
		r, err := CompileRounder(tree, 1, inputs("x"))
		if err != nil {
			t.Fatal(err)
		}
		v, own := make([]float64, 1), make([]float64, 1)
		shared := [][]float64{make([]float64, 1)}
		worst, largest := 0.0, 0.0
		for i := range 1000 {
			at := c.x + float64(i)*0.7182818284/1000
			tp.Eval([]float64{at}, v)
			e, _ := sub(wide(v[0]), c.true(wide(at))).Float64()
			r.Bound([]float64{at}, []float64{0}, own, shared)
			bound := own[0] + math.Abs(shared[0][0])
			if math.Abs(e) > bound {
				t.Errorf("%s at %v: off by %.3g, bound %.3g", c.what, at, e, bound)
			}
			worst, largest = math.Max(worst, math.Abs(e)), math.Max(largest, bound)
		}
		if largest > c.most*math.Max(worst, halfUnit) {
			t.Errorf("%s: the bound is %.3g, the worst error %.3g", c.what, largest, worst)
		}
	}
}

// TestRounderInputs: errors of inputs go through the derivatives, and a constant has the same sign in every root.
func TestRounderInputs(t *testing.T) {
	x, y := name("x"), name("y")
	r, err := CompileRounder([]notation.Node{bin('*', x, y), bin('*', num(0.1), x), bin('*', num(-0.1), x)}, 2,
		inputs("x", "y"))
	if err != nil {
		t.Fatal(err)
	}
	own := make([]float64, 3)
	shared := [][]float64{make([]float64, 3), make([]float64, 3)}
	r.Bound([]float64{3, 5}, []float64{1e-3, 0}, own, shared)
	if want := 5e-3 + 15*halfUnit; !near(own[0], want, 1e-12) {
		t.Errorf("own bound %g, want %g", own[0], want)
	}
	for trial, row := range shared {
		if row[0] != 0 || !near(math.Abs(row[1]), 0.3*halfUnit, 1e-12) || row[2] != -row[1] {
			t.Errorf("trial %d: %g", trial, row)
		}
	}
}

// TestRounderFollowsTrees: what a constant is worked out from counts.
func TestRounderFollowsTrees(t *testing.T) {
	r, err := CompileRounder([]notation.Node{bin('*', name("c"), name("x"))}, 1, func(n notation.Node) (Leaf, bool) {
		if leafKey(n) == leafKey(name("c")) {
			return Leaf{Tree: bin('-', num(1.000000242), num(1))}, true
		}
		return Leaf{Index: 0}, true
	})
	if err != nil {
		t.Fatal(err)
	}
	own, shared := make([]float64, 1), [][]float64{make([]float64, 1)}
	r.Bound([]float64{1}, []float64{0}, own, shared)
	if got := math.Abs(shared[0][0]); got < 0.5*halfUnit || got > 2*halfUnit {
		t.Errorf("the constant 1.000000242 - 1 is off by up to %g, want about %g", got, halfUnit)
	}
}

// TestSharedSigns: each choice of signs is another one, about as many of them up as down, and none adds up to more than
// all errors in one direction.
func TestSharedSigns(t *testing.T) {
	x, sum := name("x"), notation.Node(name("x"))
	all := 0.0
	for i := range 40 {
		c := 0.1 + 0.013*float64(i)
		sum = bin('+', sum, bin('*', num(c), x))
		all += c * halfUnit
	}
	r, err := CompileRounder([]notation.Node{sum}, 1, inputs("x"))
	if err != nil {
		t.Fatal(err)
	}
	own, shared := make([]float64, 1), make([][]float64, 16)
	for i := range shared {
		shared[i] = make([]float64, 1)
	}
	r.Bound([]float64{1}, []float64{0}, own, shared)
	up, seen := 0, map[float64]bool{}
	for _, row := range shared {
		if row[0] > 0 {
			up++
		}
		seen[row[0]] = true
		if math.Abs(row[0]) > 0.8*all {
			t.Errorf("an effect of %g, and all errors together make %g", row[0], all)
		}
	}
	if up < 3 || up > 13 || len(seen) < 14 {
		t.Errorf("of 16 effects %d are above 0, and %d differ: %v", up, len(seen), shared)
	}
}
