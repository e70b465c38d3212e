// Package solver solves boundary value problems for ordinary differential equations by polynomial collocation and says
// how far each number can be trusted.
//
// # Posing a problem
//
// A Problem has an interval, unknowns, equations as residual functions, and as many conditions as the orders of the
// unknowns and the number of sought numbers add up to. The residuals are functions of the jet, which lists every
// unknown with its derivatives up to its order, and of the sought numbers behind it (package bvp has the layouts).
// ComplexStep and Numerical make equations from residuals without derivatives; Value, Slope, Mixed and Nonlinear make
// conditions. Where derivatives are given, Solve compares them with differences and names one that is wrong.
//
// Solve returns a Solution: a function with an error estimate everywhere, a status and a sentence. Its error is for
// misuse alone (see Solve). The package knows no text notation and no browser; package nodespan/expr/sheet reads a
// problem from text, and package table prints a solution.
//
// # What is promised
//
// Status Solved means that the estimated error of every unknown and of every derivative below its order, relative to
// its largest value, is within Options.Tol. The estimate comes from a solution that is truly finer and from the effect
// of rounding on the linearised problem. What cannot be solved to the tolerance is reported as Short or Failed, never
// as Solved.
//
// # Fetching it
//
// Go fetches a module from where its path says: the path in go.mod is the address of the repository. A checkout is
// called nodespan; published, it carries its address instead, as in
//
//	go get git.example.org/hut/nodespan/solver@v1.2.3
//
// and no replace is needed. The script .ci/publish-as gives it that path.
//
// # References
//
// C. de Boor, B. Swartz, "Collocation at Gaussian points", SIAM J. Numer. Anal. 10 (1973), 582–606.
//
// L. Greengard, "Spectral integration and two-point boundary value problems", SIAM J. Numer. Anal. 28 (1991),
// 1071–1080.
//
// U. M. Ascher, R. M. M. Mattheij, R. D. Russell, Numerical Solution of Boundary Value Problems for Ordinary
// Differential Equations, SIAM, 1995.
package solver
