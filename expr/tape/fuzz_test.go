package tape

import (
	"math"
	"math/rand/v2"
	"sort"
	"testing"

	"nodespan/expr/notation"
)

// grower makes a tree out of bytes: each byte decides one node or number; when they run out, leaves follow.
type grower struct {
	data []byte
	// made holds the trees so far, some of which are used twice.
	made []notation.Node
}

func (g *grower) next() byte {
	if len(g.data) == 0 {
		return 0
	}
	b := g.data[0]
	g.data = g.data[1:]
	return b
}

// functionNames lists the functions that a grown tree may call, in a fixed order.
var functionNames = func() []string {
	var names []string
	for f := range notation.Functions {
		if f != "if" {
			names = append(names, f)
		}
	}
	sort.Strings(names)
	return names
}()

// grownInputs are the leaves of a grown tree.
var grownInputs = []string{"x", "y'0", "y'1", "k"}

func (g *grower) tree(depth int) notation.Node {
	n := g.node(depth)
	g.made = append(g.made, n)
	return n
}

func (g *grower) node(depth int) notation.Node {
	b := g.next()
	if depth == 0 {
		b %= 64
	}
	switch {
	case b < 12:
		return name("x")
	case b < 22:
		return jet("y", 0)
	case b < 30:
		return jet("y", 1)
	case b < 36:
		return name("k")
	case b < 38:
		return name("pi")
	case b < 48:
		return num(float64(g.next() % 5))
	case b < 60:
		return num(float64(g.next()) / 16)
	case b < 64:
		if len(g.made) > 0 {
			return g.made[int(g.next())%len(g.made)]
		}
		return name("x")
	case b < 76:
		return neg(g.tree(depth - 1))
	case b < 170:
		return bin("+-*/"[b%4], g.tree(depth-1), g.tree(depth-1))
	case b < 180:
		return bin('^', g.tree(depth-1), num(float64(int(g.next()%9)-4)))
	case b < 190:
		return bin('^', g.tree(depth-1), g.tree(depth-1))
	case b < 198:
		return choose(g.tree(depth-1), []string{"<", "<=", ">", ">="}[b%4], g.tree(depth-1), g.tree(depth-1),
			g.tree(depth-1))
	}
	f := functionNames[int(g.next())%len(functionNames)]
	args := make([]notation.Node, notation.Functions[f])
	for i := range args {
		args[i] = g.tree(depth - 1)
	}
	return fn(f, args...)
}

// checked counts how often each property could be tested.
type checked struct{ value, derivative, total, partial int }

// check grows a tree from bytes and holds the tape against govaluate, differences and the tree's own derivatives.
func check(t *testing.T, data []byte, count *checked) {
	g := &grower{data: data}
	in := make([]float64, len(grownInputs))
	for i := range in {
		in[i] = float64(int(g.next())-100) / 32
	}
	n := g.tree(6)
	leaf := inputs(grownInputs...)
	tp, err := Compile([]notation.Node{n}, len(in), leaf)
	if err != nil {
		t.Fatal(err)
	}
	out, out2, jac := make([]float64, 1), make([]float64, 1), make([]float64, len(in))
	tp.Eval(in, out)
	tp.Jacobian(in, out2, jac)
	if !near(out[0], out2[0], 0) {
		t.Fatalf("Eval says %g, Jacobian %g", out[0], out2[0])
	}

	gv := func(n notation.Node, in []float64) float64 {
		v, err := Evaluate(n, values(grownInputs, in))
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	// Where doubles overflow on the way the tape goes on with extended numbers, and govaluate does not.
	tp.forward(in)
	plain := tp.r[tp.roots[0]]
	if v := gv(n, in); !near(plain, v, 4e-15) || finite(plain) && out[0] != plain {
		t.Fatalf("tape %.17g, with doubles alone %.17g, govaluate %.17g at %g", out[0], plain, v, in)
	}
	count.value++

	if !finite(out[0]) {
		return
	}
	// Derivatives by differences, where the tree is smooth.
	if finite(jac...) && wellPosed(n, in, gv) {
		for i := range in {
			if !smoothAt(n, in, i, gv) {
				continue
			}
			f := func(x float64) float64 {
				v := in[i]
				in[i] = x
				tp.Eval(in, out)
				in[i] = v
				return out[0]
			}
			want, bound := difference(f, in[i])
			if !(bound <= 1e-6*math.Max(1, math.Abs(want))) {
				continue
			}
			// Wide steps can be fooled by a fast wave; a narrow one, coarse as it is, tells.
			const h = 1e-6
			narrow := (f(in[i]+h) - f(in[i]-h)) / (2 * h)
			slack := 1e-8 * math.Max(1, math.Abs(f(in[i])))
			if !(math.Abs(narrow-want) <= 1e-3*math.Abs(want)+slack) {
				continue
			}
			if !(math.Abs(jac[i]-want) <= 100*bound+slack) {
				t.Fatalf("derivative by %s at %g: %.15g, by differences %.15g ± %.1g", grownInputs[i], in, jac[i], want,
					bound)
			}
			count.derivative++
		}
	}

	// The derivative as a tree: F_x + F_y y' + F_y' y''.
	const y2 = 0.8125
	parts := []float64{jac[0], jac[1] * in[2], jac[2] * y2}
	if finite(jac[:3]...) {
		sum, size := 0.0, 0.0
		for _, p := range parts {
			sum, size = sum+p, size+math.Abs(p)
		}
		total, keys := Total(n, "x"), append(grownInputs[:4:4], "y'2")
		d, err := Compile([]notation.Node{total}, len(keys), inputs(keys...))
		if err != nil {
			t.Fatal(err)
		}
		in2 := append(in[:4:4], y2)
		d.Eval(in2, out)
		if wellPosed(total, in2, func(n notation.Node, in []float64) float64 {
			v, err := Evaluate(n, values(keys, in))
			if err != nil {
				t.Fatal(err)
			}
			return v
		}) {
			if !(math.Abs(out[0]-sum) <= 1e-10+1e-8*math.Max(size, math.Abs(out[0]))) {
				t.Fatalf("total derivative at %g: %.15g as a tree, %.15g from the Jacobian", in, out[0], sum)
			}
			count.total++
		}
		for i, l := range []notation.Node{name("x"), jet("y", 0), jet("y", 1), name("k")} {
			p := Partial(n, l)
			v := gv(p, in)
			if !finite(jac[i]) || !wellPosed(p, in, gv) {
				continue
			}
			if !(math.Abs(v-jac[i]) <= 1e-10+1e-8*math.Max(math.Abs(v), math.Abs(jac[i]))) {
				t.Fatalf("derivative by %s at %g: %.15g as a tree, %.15g from the Jacobian", grownInputs[i], in, v,
					jac[i])
			}
			count.partial++
		}
	}
}

func finite(x ...float64) bool {
	for _, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// wellPosed reports whether every part of a tree has a finite value of moderate size (or 0), so that
// two ways of working it out differ by little, and small steps show.
func wellPosed(n notation.Node, in []float64, value func(notation.Node, []float64) float64) bool {
	ok := true
	notation.Walk(n, func(n notation.Node) bool {
		if _, isCompare := n.(*notation.Compare); !isCompare {
			v := value(n, in)
			ok = ok && finite(v) && math.Abs(v) < 1e4 && (v == 0 || math.Abs(v) > 1e-6)
		}
		return ok
	})
	return ok
}

// smoothAt reports whether nothing in the tree switches when input i moves as far as difference moves it.
func smoothAt(n notation.Node, in []float64, i int, value func(notation.Node, []float64) float64) bool {
	ok := true
	notation.Walk(n, func(n notation.Node) bool {
		c, isCall := n.(*notation.Call)
		if !isCall || !ok {
			return ok
		}
		var q notation.Node
		switch c.Func {
		case "abs", "sign", "heaviside":
			q = c.Args[0]
		case "min", "max":
			q = bin('-', c.Args[0], c.Args[1])
		case "if":
			cond := c.Args[0].(*notation.Compare)
			q = bin('-', cond.X, cond.Y)
		default:
			return true
		}
		here := value(q, in)
		for _, h := range []float64{-0.02, 0.02} {
			moved := append([]float64(nil), in...)
			moved[i] += h * math.Max(0.5, math.Abs(in[i]))
			there := value(q, moved)
			ok = ok && there == here || math.Abs(there-here) < 0.2*math.Abs(here)
		}
		return ok
	})
	return ok
}

// TestRandomTrees checks many trees grown from a fixed seed, and that enough of them were worth it.
func TestRandomTrees(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	trees := 500
	var c checked
	for range trees {
		data := make([]byte, 10+r.IntN(60))
		for i := range data {
			data[i] = byte(r.Uint32())
		}
		check(t, data, &c)
	}
	t.Logf("%d trees: %+v", trees, c)
	if c.value != trees || c.derivative < trees || c.total < trees/10 || c.partial < trees/2 {
		t.Errorf("too few could be tested: %+v of %d", c, trees)
	}
}

func FuzzTape(f *testing.F) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 40 {
		data := make([]byte, 10+r.IntN(60))
		for i := range data {
			data[i] = byte(r.Uint32())
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 200 {
			return
		}
		check(t, data, &checked{})
	})
}
