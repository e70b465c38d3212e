package sheet_test

import (
	"fmt"
	"os"

	"nodespan/expr/sheet"
	"nodespan/solver"
	"nodespan/solver/table"
)

// A sheet read, solved, and printed as a table with the digits that the errors support. The solution is
// cosh(1 - x)/cosh 1.
func Example_table() {
	s, err := sheet.Read("y'' = y; y(0) = 1; y'(1) = 0", sheet.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	t := table.New(solver.MustSolve(s.Problem(), solver.Options{Tol: 1e-4}), []float64{0, 0.5, 1})
	if err := t.WriteWith(os.Stdout, table.Markdown, table.Options{}); err != nil {
		fmt.Println(err)
	}
	// Output:
	// | x | y | y' |
	// | ---: | ---: | ---: |
	// | 0 | 1.000000 | -0.76159 |
	// | 0.5 | 0.730765 | -0.33770 |
	// | 1 | 0.648054 | 0 |
}

// Read a sheet and solve it: the fin on a hut's stove-pipe. For teaching and checking; a real
// stove is built to local codes.
func Example() {
	s, err := sheet.Read(`T'' = m^2 (T - 20), T(0) = 180, T'(L) = 0, m = 12, L = 0.08
		exact T = 20 + 160 cosh(m (L - x))/cosh(m L)`, sheet.Options{})
	if err != nil {
		fmt.Println(err) // line:column: what is wrong; what to try
		return
	}
	solution, err := solver.Solve(s.Problem(), solver.Options{Tol: 1e-6})
	if err != nil {
		fmt.Println(err) // an option that cannot be met
		return
	}
	jet := make([]float64, s.Problem().Jet())
	for _, x := range []float64{0, 0.04, 0.08} {
		solution.At(x, jet)
		exact, _ := s.Exact(x, 0)
		fmt.Printf("%.2f  %.3f  (exactly %.4f)\n", x, jet[0], exact)
	}
	// Output:
	// 0.00  180.000  (exactly 180.0000)
	// 0.04  139.408  (exactly 139.4078)
	// 0.08  126.859  (exactly 126.8594)
}

// What a sheet does not say outright is recorded in words.
func ExampleRead() {
	s, err := sheet.Read("(k T')' = 0, T(0) = 20, T(0.3) = -10 where k = if(x < 0.1, 0.04, 1.2)", sheet.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, i := range s.Inferences {
		fmt.Println(i.Text)
	}
	// Output:
	// x is the variable: the free symbol of the equations
	// the unknown is T (order 2)
	// x runs from 0 to 0.3, taken from the conditions
	// k T' stays continuous across a break
	// if(x < 0.1, 0.04, 1.2) jumps at x = 0.1, which is taken as a break
}

// Faults carry their place; an unfinished sheet is told from a wrong one.
func ExampleIncomplete() {
	for _, text := range []string{
		"y'' = alfa y\ny(0) = 0\ny(1) = 1\nalpha = 2",
		"y'' = y\ny(0) = 0\n0 <= x <= 1",
	} {
		_, err := sheet.Read(text, sheet.Options{})
		fmt.Println(err)
		fmt.Println("unfinished:", sheet.Incomplete(err))
	}
	// Output:
	// 1:7: unknown name “alfa”; did you mean “alpha”?
	// unfinished: false
	// 1:1: too few conditions: 1 condition, but an equation of order 2 takes 2; add 1 condition, such as y(…) = …
	// unfinished: true
}
