// Package several looks for further solutions of a boundary value problem, when one of them is known or none is. A
// search proves nothing: what it finds are solutions, each verified and judged by package solver as any answer is; what
// it does not find may exist all the same.
//
// # Where candidates come from
//
// Shooting: where one number is missing at an end, the equations are integrated from there as an initial value problem
// for many values of this number, of all sizes and both signs, and again between them where the far conditions change.
// Every change of sign of these is a candidate. This finds all solutions that the sampling tells apart, as long as the
// integration is stable enough to arrive.
//
// Deflation: Newton's iteration on collocation equations from starts of several sizes, signs and shapes, with the
// solutions that are known divided out, so that it cannot arrive at one of them again (P. E. Farrell, Á. Birkisson and
// S. W. Funke, Deflation techniques for finding distinct solutions of nonlinear partial differential equations, SIAM J.
// Sci. Comput. 37, 2015, A2026–A2045).
//
// Symmetry: the mirror images of a solution are candidates too.
//
// # What becomes of them
//
// A candidate is the first guess of an ordinary solve. Two solutions that agree within their errors are one. The search
// is cut into steps of some milliseconds, so that whoever has to do with other things can pause it, and its work is
// counted (package budget), so that every machine finds the same.
package several
