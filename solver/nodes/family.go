package nodes

// Family is a family of collocation nodes.
type Family int

const (
	Legendre   Family = iota // Gauss: zeros of P_n
	Chebyshev                // zeros of T_n
	Lobatto                  // inner nodes of the Lobatto rule: zeros of P'_(n+1)
	Radau                    // inner nodes of the Radau rule whose fixed node is the right end
	Equispaced               // -1 + 2 i/(n+1), i = 1 … n
)
