// Package working lays out the matrices of collocation by one polynomial as they are taught: the
// map to a reference interval, the points, the powers and their inverse, the derivative matrices,
// the operator, the rows that the conditions take over, the solution, the polynomial, a check. It
// stands on packages bvp and nodes, and knows no text of a problem, no browser, and no way to draw.
//
// # The polynomial
//
// The polynomial of package collocation satisfies the equation at n nodes and the m conditions of an
// unknown of order m: n+m facts, so its degree is n+m-1. As it is taught, a polynomial is known by
// its values at points, one more than its degree. So that both are the same polynomial, the points
// are the n nodes and m more, the carriers: for m = 2 the two ends, for m = 1 the end with the
// condition, and for m > 2 the two ends and points that divide the gap between an end and its
// nearest node evenly. The equation is written at every point where it can be; then each condition
// takes over the row of a carrier. Since the rows of the carriers are given up, the places of the
// carriers change the matrices and not the polynomial: it still satisfies the equation at the n
// nodes and every condition, which determines it.
//
// # The steps in formulas
//
// With the reference variable s, x = origin + scale·s, the powers 1, s, s², … and their derivatives
// at the points,
//
//	V_ij = s_i^j,   (V_d)_ij = j!/(j-d)! s_i^(j-d),
//	D_d = V_d V⁻¹/scale^d,
//	A_all = Σ_d diag(a_d) D_d,   a_d = ∂F/∂y^(d),
//
// and the right side is b_all = -F(x, 0), or, at a step of Newton's iteration for a nonlinear
// problem from y_old, b_all = Σ_d a_d y_old^(d) - F(x, y_old). A and b are A_all and b_all with the rows
// of the conditions C y = C_rhs in their places; then A y = b, and the polynomial's coefficients are V⁻¹ y
// (B. A. Finlayson, The Method of Weighted Residuals and Variational Principles, 1972, chapter 5;
// J. V. Villadsen and W. E. Stewart, Chem. Eng. Sci. 22, 1967, 1483–1501).
//
// Unknowns whose points differ (mixed orders, first-order equations with conditions at either end) have matrices of
// their own, and their equations are written at the nodes only: between its points an unknown has no value yet.
//
// # Beside it
//
// The stable route of package collocation finds the same polynomial from the highest derivative's values at the
// nodes and the state at the left end, by integration matrices. [Working.Routes] tells the condition numbers and
// the digits that each route kept, measured against the same equations solved in 400-bit arithmetic.
package working
