package nodes_test

import (
	"fmt"
	"math"

	"nodespan/solver/nodes"
)

// Five Gauss points on [0, 1], where textbooks list the roots of the shifted Legendre polynomials.
func ExampleInterior() {
	for _, t := range nodes.Interior(nodes.Legendre, 5) {
		fmt.Printf("%.10f\n", (1+t)/2)
	}
	// Output:
	// 0.0469100770
	// 0.2307653449
	// 0.5000000000
	// 0.7692346551
	// 0.9530899230
}

// How far each family can magnify an error in the values: the reason why nodes are not spaced evenly.
func ExampleLebesgue() {
	fmt.Println("nodes  chebyshev  legendre  equispaced")
	for _, n := range []int{5, 10, 20, 40} {
		fmt.Printf("%5d", n)
		for _, f := range []nodes.Family{nodes.Chebyshev, nodes.Legendre, nodes.Equispaced} {
			fmt.Printf("  %8.3g", nodes.Lebesgue(nodes.Interior(f, n)))
		}
		fmt.Println()
	}
	// Output:
	// nodes  chebyshev  legendre  equispaced
	//     5      1.99      3.32        31
	//    10      2.43      5.19  1.02e+03
	//    20      2.87      7.89  1.05e+06
	//    40      3.31      11.7   1.1e+12
}

// The integral from -1 of the polynomial through the values of e^t at eight nodes.
func ExampleIntegration() {
	x := nodes.Interior(nodes.Legendre, 8)
	at := []float64{-1, 0, 1}
	m := nodes.Integration(x, at, 1)
	for i, t := range at {
		sum := 0.0
		for j := range x {
			sum += m.At(i, j) * math.Exp(x[j])
		}
		fmt.Printf("%4.1f  %.8f  exactly %.8f\n", t, sum, math.Exp(t)-math.Exp(-1))
	}
	// Output:
	// -1.0  0.00000000  exactly 0.00000000
	//  0.0  0.63212056  exactly 0.63212056
	//  1.0  2.35040239  exactly 2.35040239
}
