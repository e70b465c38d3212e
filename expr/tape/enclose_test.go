package tape

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"nodespan/expr/notation"
)

// enclosable lists every operation as a formula of two parts.
func enclosable() map[string]func(p, q notation.Node) notation.Node {
	list := map[string]func(p, q notation.Node) notation.Node{
		"add":    func(p, q notation.Node) notation.Node { return bin('+', p, q) },
		"sub":    func(p, q notation.Node) notation.Node { return bin('-', p, q) },
		"mul":    func(p, q notation.Node) notation.Node { return bin('*', p, q) },
		"div":    func(p, q notation.Node) notation.Node { return bin('/', p, q) },
		"square": func(p, q notation.Node) notation.Node { return bin('^', p, num(2)) },
		"cube":   func(p, q notation.Node) notation.Node { return bin('^', p, num(3)) },
		"p^-3":   func(p, q notation.Node) notation.Node { return bin('^', p, num(-3)) },
		"p^-2":   func(p, q notation.Node) notation.Node { return bin('^', p, num(-2)) },
		"p^0.7":  func(p, q notation.Node) notation.Node { return bin('^', p, num(0.7)) },
		"p^-1.3": func(p, q notation.Node) notation.Node { return bin('^', p, num(-1.3)) },
		"p^40":   func(p, q notation.Node) notation.Node { return bin('^', p, num(40)) },
		"p^q":    func(p, q notation.Node) notation.Node { return bin('^', p, q) },
		"min":    func(p, q notation.Node) notation.Node { return fn("min", p, q) },
		"max":    func(p, q notation.Node) notation.Node { return fn("max", p, q) },
		"if": func(p, q notation.Node) notation.Node {
			return fn("if", &notation.Compare{Op: "<", X: p, Y: q}, p, bin('*', p, q))
		},
		"if<=": func(p, q notation.Node) notation.Node {
			return fn("if", &notation.Compare{Op: "<=", X: p, Y: q}, q, p)
		},
	}
	for _, f := range functions {
		if f.Ordered == nil {
			list[f.Name] = func(p, q notation.Node) notation.Node { return fn(f.Name, p) }
			continue
		}
		for order := range 3 {
			k := num(float64(order))
			list[fmt.Sprint(f.Name, order)] = func(p, q notation.Node) notation.Node { return fn(f.Name, k, p) }
		}
	}
	return list
}

// registerOf compiles a formula of x and returns a function that encloses its value, whatever its operation is.
func registerOf(t *testing.T, n notation.Node) (*Tape, *Reader, func(a, b float64) Enclosure) {
	t.Helper()
	tp := compile(t, n, "x")
	r := tp.Reader(0)
	// All instructions, not only those that the watched nodes need.
	r.still = nil
	for i := range r.code {
		r.still = append(r.still, int32(i))
	}
	out := make([]Enclosure, len(r.watch))
	return tp, r, func(a, b float64) Enclosure {
		r.Read(a, b, nil, out)
		return r.r[r.roots[0]]
	}
}

// TestEnclosures: on random stretches the bounds of every operation hold the values and the derivatives there.
func TestEnclosures(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	poly := func() notation.Node {
		x := name("x")
		c := func(s float64) notation.Node { return num(math.Round(100*s*(2*random.Float64()-1)) / 100) }
		return bin('+', c(3), bin('*', bin('+', c(4), bin('*', c(2), x)), x))
	}
	for what, build := range enclosable() {
		finite := 0
		for range 400 {
			n := build(poly(), poly())
			tp, _, read := registerOf(t, n)
			a := 4*random.Float64() - 2
			b := a + math.Pow(10, -4*random.Float64())
			e := read(a, b)
			if math.IsNaN(e.Lo) || math.IsNaN(e.Hi) || math.IsNaN(e.SlopeLo) || math.IsNaN(e.SlopeHi) {
				t.Fatalf("%s on %v…%v: %+v", what, a, b, e)
			}
			if !math.IsInf(e.Hi-e.Lo, 0) {
				finite++
			}
			v, d := make([]float64, 1), make([]float64, 1)
			for i := range 40 {
				x := a + (b-a)*(float64(i)+0.5)/40
				tp.Jacobian([]float64{x}, v, d)
				if slack := 1e-12 * (1 + math.Abs(v[0])); v[0] < e.Lo-slack || v[0] > e.Hi+slack {
					t.Fatalf("%s %v on %v…%v: the value %v at %v is outside of %+v", what, n, a, b, v[0], x, e)
				}
				if slack := 1e-11 * (1 + math.Abs(d[0])); d[0] < e.SlopeLo-slack || d[0] > e.SlopeHi+slack {
					t.Fatalf("%s on %v…%v: the slope %v at %v is outside of %+v", what, a, b, d[0], x, e)
				}
			}
		}
		if finite < 20 {
			t.Errorf("%s: only %d of 400 stretches are bounded", what, finite)
		}
	}
}

// TestEnclosuresShrink: halving a stretch quarters what the bounds of a value overestimate, also where a formula
// subtracts what it has added.
func TestEnclosuresShrink(t *testing.T) {
	x := name("x")
	c := 0.37
	sq := func(n notation.Node) notation.Node { return bin('^', n, num(2)) }
	for what, n := range map[string]notation.Node{
		"x²−2cx+c²":       bin('+', bin('-', sq(x), bin('*', num(2*c), x)), num(c*c)),
		"sin x − x cos x": bin('-', fn("sin", x), bin('*', x, fn("cos", x))),
		"x/(1+x)·exp(−x)": bin('*', bin('/', x, bin('+', num(1), x)), fn("exp", &notation.Negate{X: x})),
	} {
		_, _, read := registerOf(t, n)
		tp := compile(t, n, "x")
		excess := func(h float64) float64 {
			a := 0.61
			e := read(a, a+h)
			lo, hi := math.Inf(1), math.Inf(-1)
			v := make([]float64, 1)
			for i := range 1001 {
				tp.Eval([]float64{a + h*float64(i)/1000}, v)
				lo, hi = min(lo, v[0]), max(hi, v[0])
			}
			return (e.Hi - e.Lo) - (hi - lo)
		}
		p, q := excess(0.02), excess(0.005)
		if !(q <= p/12 || p < 1e-12) {
			t.Errorf("%s: overestimated by %.3g on 0.02, by %.3g on a quarter of that", what, p, q)
		}
	}
}

// TestReader: what a reader reports of 1 + 0.001 exp(−((x−c)/d)²) y/(x−2), and that it does not allocate.
func TestReader(t *testing.T) {
	x, y := name("x"), name("y")
	u := bin('/', bin('-', x, num(0.3)), num(1e-3))
	n := bin('+', num(1), bin('*', bin('*', num(1e-3), fn("exp", &notation.Negate{X: bin('^', u, num(2))})),
		bin('/', y, bin('-', x, num(2)))))
	n = bin('+', n, fn("tanh", y))
	tp := compile(t, n, "y", "x")
	r := tp.Reader(1)
	if m := r.Moving(); len(m) != 3 || m[0] || m[1] || !m[2] {
		t.Fatalf("moving: %v, want exp and 1/(x−2) still and tanh moving", m)
	}
	out := make([]Enclosure, 3)
	r.Read(0, 1, nil, out)
	if e := out[0]; !(e.Lo >= 0 && e.Lo < 1e-300 && e.Hi == 1) {
		t.Errorf("exp: %+v", e)
	}
	if e := out[1]; !(e.Lo <= -1 && e.Lo > -1.01 && e.Hi >= -0.5 && e.Hi < -0.45) {
		t.Errorf("1/(x−2): %+v", e)
	}
	in := []Enclosure{{1, 2, -1, 1, 1.5}, {}}
	if got := testing.AllocsPerRun(100, func() { r.Read(0.2, 0.4, in, out) }); got != 0 {
		t.Errorf("%v allocations", got)
	}
	// In 0.2 < x < 0.4, y is nearer to its middle than its bounds tell.
	if e := out[2]; !(e.Lo <= math.Tanh(1.4) && e.Lo > 0.86 && e.Hi >= math.Tanh(1.6) && e.Hi < 0.95) {
		t.Errorf("tanh: %+v", e)
	}
}

func BenchmarkRead(b *testing.B) {
	x := name("x")
	u := bin('/', bin('-', x, num(0.3)), num(1e-3))
	tp := compile(b, bin('+', fn("tanh", u), fn("exp", &notation.Negate{X: bin('^', u, num(2))})), "x")
	r := tp.Reader(0)
	out := make([]Enclosure, len(r.watch))
	for b.Loop() {
		r.Read(0.29, 0.31, nil, out)
	}
}
