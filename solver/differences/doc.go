// Package differences solves boundary value problems by finite differences on a uniform mesh (uniform between break
// points), of order 2 or a higher even order. It knows no text and no other method.
//
// # The discretisation
//
// The unknowns are the values at the mesh points, n for n unknown functions, and the sought parameters. An equation
// of order m (that of the unknown whose highest derivative it settles) is imposed where a symmetric difference of
// the m-th derivative has room: at the inner mesh points m/2 … N − m/2 for even m, at the mid-points of the
// intervals for odd m. That is N + 1 − m places for N + 1 values: exactly the conditions are missing, and no point
// outside the interval is needed. For y″ and order 2 this is the classroom's (y_(j−1) − 2 y_j + y_(j+1))/h², for y′
// it is (y_j − y_(j−1))/h at the mid-point. Every derivative in an equation or a condition has a stencil of the
// order that was asked for, symmetric where there is room and one-sided near an end, with the weights of B.
// Fornberg (Generation of finite difference formulas on arbitrarily spaced grids, Math. Comp. 51, 1988, 699–706).
// The equations are never evaluated at the ends, so that a term such as y′/x does no harm there.
//
// The linear systems are banded with a few border columns; package blocks eliminates them at a cost that grows
// linearly with the number of points.
//
// # Errors
//
// With a Reference, a solution of the same problem by another method whose error is known, the error is the
// difference to it and its own. That is how package solver asks: nothing that meshes of other widths tell is proof
// (regime.go says what they cannot see), and whether a problem has one solution at all differences do not find out.
//
// Without one, as a second opinion has to do, differences are judged by themselves. The error of a mesh of N
// intervals falls like N^−p. Meshes with twice the number of intervals show how fast it really falls, and what is
// left (L. F. Richardson, The deferred approach to the limit, Phil. Trans. R. Soc. Lond. A 226, 1927, 299–361).
// That holds in the asymptotic range alone, of which three signs are asked for: differences that fall, linearised
// equations that answer to the same data alike on both finer meshes, and a residual between the mesh points that
// asks for no larger correction. The last is a defect correction (P. E. Zadunaisky, On the estimation of errors
// propagated in the numerical integration of ordinary differential equations, Numer. Math. 27, 1976, 21–39; H. J.
// Stetter, The defect correction principle and discretization methods, Numer. Math. 29, 1978, 425–443), used as a
// measure only. Where a sign is missing there is no answer.
//
// Rounding grows like N^m for an equation of order m; it is estimated apart, and sets an end to what differences
// can give.
package differences
