package nodes

import (
	"fmt"
	"math"
	"math/big"
	"strings"
)

// Family is a family of collocation nodes. All that is known of one stands in its row of the table below.
type Family int

// The families.
const (
	Legendre   Family = iota // Gauss: zeros of P_n
	Chebyshev                // zeros of T_n
	Lobatto                  // inner nodes of the Lobatto rule: zeros of P'_(n+1)
	Radau                    // inner nodes of the Radau rule whose fixed node is the right end
	Equispaced               // -1 + 2 i/(n+1), i = 1 … n
)

type family struct {
	name      string // as it is typed
	title     string // in running text
	adjective string // where there is room for it
	interior  func(n int) []float64
	// root is the polynomial whose zeros the nodes are, in the argument t = a + b s; to is the right end in s. rootName
	// is its name.
	root     func(n int, a, b, to *big.Rat) Rational
	rootName func(n int, argument string) string
	remark   string // a sentence that says what the zeros are good for; may be missing
	program  Program
	// wiggles says that the polynomial through ever more nodes may swing between them ever more.
	wiggles bool
	// likely is the place among the families that a course teaches, from 1; 0 of one that is not taught by itself.
	likely int
}

// Program is how a program works out n nodes, as formulas: Nodes of n and j = 1 … n; or the nodes are the eigenvalues
// of the symmetric tridiagonal matrix with Alpha, of j = 0 … n-1 (nothing: zeros), on the diagonal and Beta, of j = 1 …
// n-1, beside it (G. H. Golub and J. H. Welsch, Calculation of Gauss quadrature rules, Math. Comp. 23, 1969).
type Program struct{ Nodes, Alpha, Beta string }

var table = [...]family{
	Legendre: {
		name: "legendre", title: "Legendre", adjective: "Legendre",
		interior: func(n int) []float64 { x, _ := Gauss(n); return x },
		root:     legendreRoot,
		rootName: func(n int, argument string) string {
			return fmt.Sprintf("P_%d(%s), the Legendre polynomial of degree %d", n, argument, n)
		},
		remark: "A residual that is zero at them is, as far as Gauss quadrature can tell, orthogonal to every " +
			"polynomial of lower degree.",
		program: Program{Beta: "j/sqrt(4 j^2 - 1)"},
		likely:  1,
	},
	Chebyshev: {
		name: "chebyshev", title: "Chebyshev", adjective: "Chebyshev",
		interior: func(n int) []float64 {
			x := make([]float64, n)
			for i := range x {
				x[i] = math.Sin(math.Pi * float64(2*i+1-n) / float64(2*n))
			}
			return x
		},
		root: chebyshevRoot,
		rootName: func(n int, argument string) string {
			return fmt.Sprintf("T_%d(%s), the Chebyshev polynomial of degree %d", n, argument, n)
		},
		remark:  "They crowd towards the ends, which keeps the polynomial from swinging between them.",
		program: Program{Nodes: "-cos((2 j - 1) pi/(2 n))"},
		likely:  3,
	},
	Lobatto: {
		name: "lobatto", title: "Lobatto", adjective: "Lobatto",
		interior: func(n int) []float64 { x, _ := GaussLobatto(n + 2); return x[1 : n+1] },
		root:     lobattoRoot,
		rootName: func(n int, argument string) string {
			return fmt.Sprintf("the derivative of P_%d(%s), the Legendre polynomial of degree %d", n+1, argument, n+1)
		},
		remark:  "With both ends they are the points of the Lobatto rule of quadrature.",
		program: Program{Beta: "sqrt(j (j + 2)/((2 j + 1) (2 j + 3)))"},
		likely:  4,
	},
	Radau: {
		name: "radau", title: "Radau", adjective: "Radau",
		interior: func(n int) []float64 { x, _ := GaussRadau(n + 1); return x[:n] },
		root:     radauRoot,
		rootName: func(n int, argument string) string {
			return fmt.Sprintf("(P_%d - P_%d)(%s) without its zero at the right end, P_k being the Legendre "+
				"polynomial of degree k", n+1, n, argument)
		},
		remark:  "With the right end they are the points of the Radau rule of quadrature.",
		program: Program{Beta: "sqrt(j (j + 1))/(2 j + 1)", Alpha: "-1/((2 j + 1) (2 j + 3))"},
	},
	Equispaced: {
		name: "equispaced", title: "equispaced", adjective: "equally spaced",
		interior: func(n int) []float64 {
			x := make([]float64, n)
			for i := range x {
				x[i] = float64(2*i+1-n) / float64(n+1)
			}
			return x
		},
		root: equispacedRoot,
		rootName: func(int, string) string {
			return "the product of the distances to equally spaced points, which is no orthogonal polynomial"
		},
		program: Program{Nodes: "2 j/(n + 1) - 1"},
		wiggles: true,
		likely:  2,
	},
}

// Families lists every family in the order of the constants.
func Families() []Family {
	all := make([]Family, len(table))
	for i := range all {
		all[i] = Family(i)
	}
	return all
}

// String returns the name that ParseFamily reads: legendre, chebyshev, ….
func (f Family) String() string {
	if f < 0 || int(f) >= len(table) {
		return fmt.Sprintf("Family(%d)", int(f))
	}
	return table[f].name
}

// Names lists the names of all families.
func Names() []string {
	var names []string
	for _, f := range Families() {
		names = append(names, f.String())
	}
	return names
}

// ParseFamily returns the family of a name, in upper or lower case.
func ParseFamily(s string) (Family, error) {
	for _, f := range Families() {
		if strings.EqualFold(s, f.String()) {
			return f, nil
		}
	}
	return 0, fmt.Errorf("unknown family of nodes %q: it is one of %s", s, strings.Join(Names(), ", "))
}

// Title is the family's name in running text; Adjective is longer where the name is a word of its own.
func (f Family) Title() string     { return table[f].title }
func (f Family) Adjective() string { return table[f].adjective }

// Remark is a sentence that says what the nodes, "they", are good for, or "".
func (f Family) Remark() string { return table[f].remark }

// Program says how a program works out the nodes.
func (f Family) Program() Program { return table[f].program }

// Wiggles reports whether the polynomial through ever more nodes of the family may swing between them ever more.
func (f Family) Wiggles() bool { return table[f].wiggles }

// Likely is the place of the family among those that a course teaches, from 1; 0 of one that is not taught by itself.
func (f Family) Likely() int { return table[f].likely }

// Root is the polynomial whose zeros the n interior nodes are, in the argument t = a + b s; to is the right end in s.
// The words name it, as a function of the argument as it is written.
func (f Family) Root(n int, a, b, to *big.Rat, argument string) (Rational, string) {
	return table[f].root(n, a, b, to), table[f].rootName(n, argument)
}

// Interior returns the n nodes of a family, ascending, all strictly inside (-1, 1), right to the
// last digit or two of a double. The slice is the caller's own. It panics for n < 1.
//
// The nodes of every family but Radau are symmetric about 0 to the last bit.
func Interior(f Family, n int) []float64 {
	if n < 1 {
		panic("nodes: fewer than one node")
	}
	if f < 0 || int(f) >= len(table) {
		panic("nodes: unknown family")
	}
	key := familySize{f, n}
	if x, ok := interiorCache.get(key); ok {
		return append([]float64(nil), x...)
	}
	x := table[f].interior(n)
	interiorCache.put(key, append([]float64(nil), x...))
	return x
}
