package typeset_test

import (
	"fmt"

	"nodespan/expr/notation"
	"nodespan/expr/typeset"
)

func Example() {
	names := &notation.Names{Variable: "r", Unknowns: map[string]bool{"c": true},
		Constants: map[string]bool{"phi": true}}
	n, err := notation.ParseExpr("d/dr(r^2 dc/dr)/r^2 - phi^2 c", names)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(typeset.Plain(n))
	fmt.Println(typeset.LaTeX(n))
	fmt.Println(typeset.MathML(n).Children[2])
	// Output:
	// (r^2 c')'/r^2 - phi^2 c
	// \frac{(r^{2}\,c')'}{r^{2}} - \phi^{2}\,c
	// <mrow><msup><mi>φ</mi><mn>2</mn></msup><mo>⁢</mo><mi>c</mi></mrow>
}
