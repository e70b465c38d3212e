// Package branches follows the solutions of a boundary value problem while one of its constants moves, through folds,
// where a branch turns back, and finds where others branch off.
//
// # How a branch is followed
//
// The constant becomes a sought number, and one condition is added: how far along the direction of the last two points
// the next one is to lie (pseudo-arclength continuation: H. B. Keller, Numerical solution of bifurcation and nonlinear
// eigenvalue problems, in: P. H. Rabinowitz (ed.), Applications of Bifurcation Theory, 1977, 359–384). That is an
// ordinary problem again, so that package solver solves it, and each point of a branch is verified and has errors as
// any answer has. The size of a step follows from how far the direction turns.
//
// # Folds and bifurcations
//
// Along a branch, a fold is a stationary value of the constant, which is a smooth function of the distance: it is
// interpolated in some points around. Where the linearised equations are singular although the constant is not
// stationary, another branch crosses: there a function g vanishes and changes its sign, which the bordered linearised
// equations
//
//	F_y φ + g b = 0, c(φ) = 1
//
// determine together with the null function φ, for any b and c (W. J. F. Govaerts, Numerical Methods for Bifurcations
// of Dynamical Equilibria, 2000, section 3.2). This is a linear problem with one sought number, and is solved as such.
// The other branch begins in the direction of φ.
package branches
