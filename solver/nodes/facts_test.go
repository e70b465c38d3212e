package nodes

import (
	"math/big"
	"testing"
)

// TestFacts: every family has each of its facts, and its nodes are the zeros of the polynomial that is named (1e-12 of
// its largest coefficient: its value is a sum of eight terms, the coefficients exact).
func TestFacts(t *testing.T) {
	likely := map[int]Family{}
	for _, f := range Families() {
		d := table[f]
		p := d.program
		words := d.name != "" && d.title != "" && d.adjective != "" && d.rootName != nil
		if !words || d.interior == nil || d.root == nil || (p.Nodes == "") == (p.Beta == "") {
			t.Errorf("%s lacks a fact", f)
			continue
		}
		if g, ok := likely[d.likely]; ok && d.likely > 0 {
			t.Errorf("%s and %s are equally likely", f, g)
		}
		likely[d.likely] = f
		const n = 7
		root, name := f.Root(n, Rat(0, 1), Rat(1, 1), Rat(1, 1), "s")
		if name == "" || len(root) != n+1 {
			t.Fatalf("%s: %q of degree %d", f, name, len(root)-1)
		}
		largest := 0.0
		for _, c := range root {
			v, _ := new(big.Rat).Abs(c).Float64()
			largest = max(largest, v)
		}
		for _, x := range Interior(f, n) {
			v := 0.0
			for k := n; k >= 0; k-- {
				c, _ := root[k].Float64()
				v = v*x + c
			}
			if !(v <= 1e-12*largest && v >= -1e-12*largest) {
				t.Errorf("%s: the polynomial is %g at the node %g", f, v, x)
			}
		}
	}
}
