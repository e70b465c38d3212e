package typeset

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"

	"nodespan/expr/function"
	"nodespan/expr/notation"
)

// namesOf reads "variable | unknowns | constants | abbreviations/arguments".
func namesOf(s string) *notation.Names {
	n := &notation.Names{Unknowns: map[string]bool{}, Constants: map[string]bool{}, Abbrevs: map[string]int{},
		Quantities: map[string][2]int{"integral": {1, 3}}}
	part := strings.Split(s, "|")
	n.Variable = strings.TrimSpace(part[0])
	for i := 1; i < len(part); i++ {
		for _, name := range strings.Fields(part[i]) {
			switch i {
			case 1:
				n.Unknowns[name] = true
			case 2:
				n.Constants[name] = true
			case 3:
				f, args, _ := strings.Cut(name, "/")
				n.Abbrevs[f], _ = strconv.Atoi(args)
			}
		}
	}
	return n
}

// equalRelations compares statements but for their places and the spelling of numbers.
func equalRelations(a, b *notation.Relation) bool {
	equal := func(x, y []notation.Node) bool {
		if len(x) != len(y) {
			return false
		}
		for i := range x {
			if !notation.Equal(x[i], y[i]) {
				return false
			}
		}
		return true
	}
	return equal(a.Sides, b.Sides) && strings.Join(a.Ops, " ") == strings.Join(b.Ops, " ") &&
		equal(a.Range, b.Range) && a.Sought == b.Sought && notation.Equal(a.Near, b.Near)
}

// readOne reads a text that must be one statement.
func readOne(text string, names *notation.Names) (*notation.Relation, error) {
	list, err := notation.Split(text)
	if err != nil {
		return nil, err
	}
	if len(list) != 1 {
		return nil, fmt.Errorf("%d statements", len(list))
	}
	return list[0].Parse(0, names)
}

// TestFormulas reads every formula of the reader's table, prints it, reads that, and prints it again.
func TestFormulas(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "formulas", "accepted.txt"))
	if err != nil {
		t.Fatal(err)
	}
	names, statements := &notation.Names{}, 0
	for i, line := range strings.Split(string(data), "\n") {
		if strings.HasPrefix(line, "@") {
			names = namesOf(strings.TrimPrefix(line[1:], "!"))
		}
		formula, _, ok := strings.Cut(line, " => ")
		if !ok || strings.HasPrefix(line, "//") || strings.HasPrefix(line, "@") {
			continue
		}
		list, err := notation.Split(strings.ReplaceAll(formula, "⏎", "\n"))
		if err != nil {
			t.Errorf("accepted.txt:%d: %v", i+1, err)
			continue
		}
		for _, s := range list {
			r, err := s.Parse(0, names)
			if err != nil {
				t.Errorf("accepted.txt:%d: %v", i+1, err)
				continue
			}
			statements++
			for what, print := range map[string]func(*notation.Relation) string{"plain": PlainRelation,
				"LaTeX": LaTeXRelation} {
				out := print(r)
				again, err := readOne(out, names)
				if err != nil {
					t.Errorf("accepted.txt:%d: %s\n\t%s: %s\n\t%v", i+1, formula, what, out, err)
				} else if !equalRelations(r, again) {
					t.Errorf("accepted.txt:%d: %s\n\t%s: %s\n\tis read as %s", i+1, formula, what, out,
						PlainRelation(again))
				} else if out2 := print(again); out2 != out {
					t.Errorf("accepted.txt:%d: %s\n\t%s: %s\n\tthen     %s", i+1, formula, what, out, out2)
				}
			}
			checkElement(t, MathMLRelation(r), formula)
		}
	}
	if statements < 120 {
		t.Errorf("only %d statements", statements)
	}
}

// core lists the elements of MathML Core that are used, with the number of children each must have; -1 for any.
var core = map[string]int{
	"mrow": -1, "mi": 0, "mn": 0, "mo": 0, "mtext": 0, "mspace": 0, "mfrac": 2, "msup": 2, "msub": 2, "msubsup": 3,
	"msqrt": 1, "mroot": 2, "mtable": -1, "mtr": -1, "mtd": 1,
}

// checkElement checks that an element is proper MathML and that its places lie within the source.
func checkElement(t testing.TB, e *Element, source string) {
	t.Helper()
	e.Walk(func(e *Element) {
		n, ok := core[e.Tag]
		switch {
		case !ok:
			t.Errorf("%q: element %s", source, e.Tag)
		case n >= 0 && len(e.Children) != n:
			t.Errorf("%q: %s has %d children", source, e.Tag, len(e.Children))
		case n == 0 && e.Text == "" && e.Tag != "mspace":
			t.Errorf("%q: %s is empty", source, e.Tag)
		case n != 0 && e.Text != "":
			t.Errorf("%q: %s has text", source, e.Tag)
		case e.From > e.To || e.To > len(source)+strings.Count(source, "⏎"):
			t.Errorf("%q: %s from %d to %d", source, e.Tag, e.From, e.To)
		}
		for _, c := range e.Children {
			if c == nil {
				t.Fatalf("%q: %s has an empty child", source, e.Tag)
			}
		}
	})
}

// grown are the names of grown trees.
var grown = namesOf("x | y T_s u | k k0 Bi eps lambda T_inf DeltaT Delta T d e3 dx h_out1 i v omega_n inflow | f/1 g/2")

// grower makes a tree out of bytes, such as the reader could have made.
type grower struct{ data []byte }

func (g *grower) next() int {
	if len(g.data) == 0 {
		return 0
	}
	b := g.data[0]
	g.data = g.data[1:]
	return int(b)
}

func pick(g *grower, from ...string) string { return from[g.next()%len(from)] }

func sorted[T any](m map[string]T) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

var functions = sorted(notation.Functions)

// raisedNames are the functions that have an exponent at their name.
var raisedNames = func() map[string]int {
	names := map[string]int{}
	for _, f := range function.All() {
		if f.Raised {
			names[f.Name] = f.Args
		}
	}
	return names
}()

// tree grows a tree; point says that it is the argument of an unknown at a point, which holds neither variable nor
// unknown.
func (g *grower) tree(depth int, point bool) notation.Node {
	b := g.next()
	if depth == 0 {
		b %= 90
	}
	switch {
	case b < 20:
		text := pick(g, "2", "0", "1", "3.5", ".5", "1e-3", "2E+4", "10", "0.25", "1e5", "2.")
		v, _ := strconv.ParseFloat(text, 64)
		return &notation.Number{Value: v, Text: text}
	case b < 40 || b < 90 && point:
		return &notation.Name{Name: pick(g, append(sorted(grown.Constants), "pi", "e", "inf")...)}
	case b < 50:
		return &notation.Name{Name: "x"}
	case b < 90:
		return &notation.Jet{Name: pick(g, sorted(grown.Unknowns)...), Order: g.next() % 6}
	case b < 100 && !point:
		return &notation.Jet{Name: pick(g, sorted(grown.Unknowns)...), Order: g.next() % 6,
			At: g.tree(min(depth-1, 1), true)}
	case b < 115:
		return &notation.Negate{X: g.tree(depth-1, point)}
	case b < 122 && !point:
		return &notation.Diff{Order: 1 + g.next()%5, X: g.tree(depth-1, point)}
	case b < 130:
		return &notation.Call{Func: "if", Args: []notation.Node{
			&notation.Compare{Op: pick(g, "<", "<=", ">", ">="), X: g.tree(depth-1, point), Y: g.tree(depth-1, point)},
			g.tree(depth-1, point), g.tree(depth-1, point)}}
	case b < 136:
		return &notation.Call{Func: "f", Args: []notation.Node{g.tree(depth-1, point)}}
	case b < 140:
		return &notation.Call{Func: "g", Args: []notation.Node{g.tree(depth-1, point), g.tree(depth-1, point)}}
	case b < 150:
		name := pick(g, sorted(raisedNames)...)
		base := &notation.Call{Func: name, Args: []notation.Node{g.tree(depth-1, point)}}
		return &notation.Binary{Op: '^', X: base, Y: g.tree(0, point)}
	case b < 170:
		f := pick(g, functions...)
		if f == "if" {
			f = "abs"
		}
		args := make([]notation.Node, notation.Functions[f])
		for i := range args {
			args[i] = g.tree(depth-1, point)
		}
		return &notation.Call{Func: f, Args: args}
	}
	return &notation.Binary{Op: "+-*/^"[b%5], X: g.tree(depth-1, point), Y: g.tree(depth-1, point)}
}

// checkTree holds a grown tree to being read back from each of its printed forms.
func checkTree(t *testing.T, data []byte) {
	g := &grower{data}
	n := g.tree(1+g.next()%5, false)
	for what, print := range map[string]func(notation.Node) string{"plain": Plain, "LaTeX": LaTeX} {
		out := print(n)
		again, err := notation.ParseExpr(out, grown)
		if err != nil {
			t.Fatalf("%s: %s\n\t%v\n\tplain: %s", what, out, err, Plain(n))
		}
		if !notation.Equal(n, again) {
			t.Fatalf("%s: %s\n\tis read as %s\n\tplain:     %s", what, out, Plain(again), Plain(n))
		}
		// A statement may have a choice set as cases.
		r := &notation.Relation{Sides: []notation.Node{&notation.Name{Name: "k"}, n}, Ops: []string{"="}}
		out = LaTeXRelation(r)
		if rel, err := readOne(out, grown); err != nil || !equalRelations(r, rel) {
			t.Fatalf("statement %s: %v", out, err)
		}
	}
	checkElement(t, MathML(n), "")
}

func TestRandomTrees(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 2000 {
		data := make([]byte, 5+r.IntN(60))
		for i := range data {
			data[i] = byte(r.Uint32())
		}
		checkTree(t, data)
	}
}

func FuzzRoundTrip(f *testing.F) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 40 {
		data := make([]byte, 5+r.IntN(60))
		for i := range data {
			data[i] = byte(r.Uint32())
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) <= 150 {
			checkTree(t, data)
		}
	})
}
