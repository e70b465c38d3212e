package tape_test

import (
	"fmt"

	"nodespan/expr/notation"
	"nodespan/expr/tape"
)

// A right side f(x, y, y') with its partial derivatives, as a solver asks for them.
func ExampleCompile() {
	names := &notation.Names{Variable: "x", Unknowns: map[string]bool{"y": true},
		Constants: map[string]bool{"eps": true}}
	f, err := notation.ParseExpr("(y - y^3)/eps + x y'", names)
	if err != nil {
		fmt.Println(err)
		return
	}
	leaf := func(n notation.Node) (tape.Leaf, bool) {
		switch n := n.(type) {
		case *notation.Jet:
			return tape.Leaf{Index: 1 + n.Order}, n.Order <= 1 && n.At == nil
		case *notation.Name:
			if n.Name == "eps" {
				return tape.Leaf{Value: 0.5, Constant: true}, true
			}
			return tape.Leaf{Index: 0}, n.Name == "x"
		}
		return tape.Leaf{}, false
	}
	t, err := tape.Compile([]notation.Node{f}, 3, leaf)
	if err != nil {
		fmt.Println(err)
		return
	}
	value, slopes := make([]float64, 1), make([]float64, 3)
	t.Jacobian([]float64{3, 2, 1}, value, slopes)
	fmt.Println("f  =", value[0])
	fmt.Println("df/dx, df/dy, df/dy' =", slopes)
	// Output:
	// f  = -9
	// df/dx, df/dy, df/dy' = [1 -22 3]
}
