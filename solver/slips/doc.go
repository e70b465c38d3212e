// Package slips judges a table of numbers that someone worked out by hand or with a program of their own: how far each
// row is from the solution and, when the numbers are wrong, which known slip produces exactly them.
//
// # How a slip is found
//
// Nothing is guessed from a pattern. For each known slip the problem is solved the way a person with that slip would
// solve it: finely (what a program with the slip converges to) and by classroom collocation, one polynomial through few
// nodes of several families. A slip is named only when its numbers match the table to the digits given, the right
// solution does not, and so good a match is unlikely to be a coincidence among all that were tried.
//
// # What is no slip
//
// Numbers of a right method with too few nodes or steps are recognised first: one polynomial, differences with any of
// the usual formulas at the ends, finite volumes, linear finite elements, and shooting with the methods of Euler, Heun,
// or Runge and Kutta (common practice, no source). They are told with the order of the method. Then one or two rows
// that alone are wrong are told; rows outside the interval are read in another unit of x (a power of ten of the
// sheet's, or one that people measure in: inches, minutes, degrees), or left out. A constant that is added to all
// numbers, or multiplied with them, is a slip where the problem has a quantity of this size, or people convert by it,
// upon the solution or upon the numbers of one of these methods, and else a mere fact.
//
// # What it does not know
//
// It knows no text, neither of tables nor of formulas: the caller brings the problems in which a sign is flipped, a
// term or a factor is missing or degrees stand for radians (see [Variant]), and the problem's named numbers. It looks
// for one slip at a time, on a bounded interval, and not in eigenvalue problems.
package slips
