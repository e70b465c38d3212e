// Package nodes holds what every collocation method stands on: families of nodes, quadrature
// rules, and the matrices that interpolate, integrate and differentiate the polynomial through
// values at given nodes.
//
// Everything is on the reference interval [-1, 1]; nodes are ascending. A polynomial is known by
// its values at n nodes, or by its n Legendre coefficients
//
//	p(t) = c_0 P_0(t) + c_1 P_1(t) + … + c_(n-1) P_(n-1)(t).
//
// The package knows no differential equation, no mesh and no tolerance: mapping an interval of
// length h to [-1, 1] is the caller's (a derivative gains a factor 2/h, an integral h/2, once for
// each order).
//
// Functions whose name ends in To write into their first argument. Misuse (too few nodes, a
// destination of the wrong length) panics; no data makes a function fail otherwise.
package nodes
