// Package solver solves boundary value problems for ordinary differential equations by polynomial collocation and says
// how far each number can be trusted.
//
// A Problem states the equations as residual functions with exact derivatives (package bvp has the layouts); Solve
// returns a Solution: a function with an error estimate everywhere, a status and a sentence. The package knows no text
// notation and no browser.
//
// # What is promised
//
// Status Solved means that the estimated error of every unknown and of every derivative below its order, relative to
// its largest value, is within Options.Tol. The estimate comes from a solution that is truly finer and from the effect
// of rounding on the linearised problem. What cannot be solved to the tolerance is reported as Short or Failed, never
// as Solved.
//
// # References
//
// C. de Boor, B. Swartz, "Collocation at Gaussian points", SIAM J. Numer. Anal. 10 (1973), 582–606. L. Greengard,
// "Spectral integration and two-point boundary value problems", SIAM J. Numer. Anal. 28 (1991), 1071–1080. U. M.
// Ascher, R. M. M. Mattheij, R. D. Russell, Numerical Solution of Boundary Value Problems for Ordinary Differential
// Equations, SIAM, 1995.
package solver
