// Package tape compiles syntax trees into a form fit for inner loops: a list of instructions on
// registers that yields values and exact partial derivatives without allocating. It also takes
// derivatives of trees as trees, and evaluates a tree a second, independent way.
//
// It knows trees (package notation) and arithmetic. It does not know which name is an unknown, where
// a problem's boundary is, or what a solver does with the numbers: the caller says what each leaf is.
//
// # What a value means
//
// Everything is a float64. Where a formula has no real value (the square root or logarithm of a
// negative number, a negative number to a fractional power) the value is NaN; at a pole it is an infinity.
// A power with a whole exponent of moderate size is a product; any number to the power 0 is 1; the
// base e of e^x is meant exactly. heaviside(0) is 1/2 and sign(0) is 0. The derivative of abs at 0 is 0, those
// of sign and heaviside are 0 everywhere. if(a < b, p, q) has the value and the derivative of the
// branch taken, whatever the other one does, and NaN when a or b is NaN.
//
// # Functions that derivatives need
//
// Derivatives lead out of the built-in functions: that of airyAi is airyAiPrime, that of gamma needs the
// polygamma functions, that of J1 the Bessel function of order 2. Trees made by Total and Partial may
// therefore hold the calls airyAiPrime(x), polygamma(n, x), besselJ(n, x), besselY(n, x), besselI(n, x) and
// besselK(n, x), with a literal whole n, which everything here understands.
package tape
