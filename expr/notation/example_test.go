package notation_test

import (
	"fmt"

	"nodespan/expr/notation"
)

// A problem as it stands in lecture notes: first the derivatives, which tell the unknown functions, then the
// statements.
func Example() {
	text := "\\frac{d^2 T}{dx^2} = m^2 (T - T_a), \\quad T(0) = 180\nT'(L) = 0 where m = 12, L = 0.08, T_a = 20"
	statements, err := notation.Split(text)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range statements {
		for _, m := range s.Marks() {
			fmt.Printf("%v: derivative of %s, order %d\n", m.Sp.From, m.Unknown, m.Order)
		}
	}
	names := &notation.Names{
		Variable:  "x",
		Unknowns:  map[string]bool{"T": true},
		Constants: map[string]bool{"m": true, "L": true, "T_a": true},
	}
	for _, s := range statements {
		r, err := s.Parse(0, names)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%v: %d sides\n", r.Sp.From, len(r.Sides))
	}
	// Output:
	// 1:1: derivative of T, order 2
	// 2:1: derivative of T, order 1
	// 1:1: 2 sides
	// 1:43: 2 sides
	// 2:1: 2 sides
	// 2:17: 2 sides
	// 2:25: 2 sides
	// 2:35: 2 sides
}

// A fault is one sentence with its place and what to try.
func ExampleParseExpr() {
	names := &notation.Names{Variable: "x", Constants: map[string]bool{"lambda": true}}
	for _, text := range []string{"1/2x", "lamda x", "2 (x + 1", "2,5"} {
		_, err := notation.ParseExpr(text, names)
		fmt.Println(err)
	}
	// Output:
	// 1:1: “1/2x” can be read in two ways; write (1/2)*x or 1/(2*x)
	// 1:1: unknown name “lamda”; did you mean “lambda”?
	// 1:3: “(” is not closed; add “)”
	// 1:1: “2,5” is two things, never 2.5; write 2.5, or a space after the comma that separates
}
