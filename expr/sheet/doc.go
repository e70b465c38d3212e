// Package sheet reads a pasted boundary value problem: plain text in the notation of textbooks,
// lecture notes and LaTeX sources becomes statements, the statements become a [bvp.Problem], and
// everything that was inferred on the way is recorded in words.
//
// # What a sheet holds
//
// Every line is a statement of mathematics, and its kind is inferred:
//
//	equation             has = and a derivative of an unknown           y'' + 4 y = sin(x)
//	condition            has = and an unknown at a point                y(0) = 1
//	constant             name = expression free of unknowns             L = 2 pi
//	abbreviation         the same, using the variable or the unknowns   k(T) = k0 (1 + b T)
//	adjustable constant  a constant with a range                        Bi = 2.5 in [0.1, 10]
//	sought parameter     a number to be found with the solution         omega = ? near 3.5
//	domain               the interval                                   0 < x < L
//	exact solution       exact, then unknown = expression               exact y = cos(3x)/cos(3)
//	first guess          guess, then unknown = expression               guess y = 1 - x
//	break point          break, then variable = value                   break x = 0.4
//	report               report, then name = what is asked for          report mean = integral(y)/L
//
// # How it is read
//
// Package notation splits the text and knows the grammar of formulas, but not which name means
// what. This package finds that out: primes and d/dx mark the unknowns; whatever stands alone
// left of an equals sign is declared; the variable is the one in d/dx, else the argument in
// y(x), else the one in the domain or break statement, else the free symbol that is left over.
// Constants are evaluated in the order of their dependence, abbreviations are put in where they
// are used, derivatives of expressions are carried out, and the orders, counts and points are
// checked. Each fault carries its place, one sentence and what to try; [Incomplete] tells an
// unfinished sheet from a wrong one.
//
// Some things are read beyond the table: conditions written as in notes ("T = 20 at x = 0"), numbers of
// lines before or behind the statements ("(2) y(0) = 1"), and the derivative of an abbreviation (k').
// Where a coefficient visibly jumps or bends (if, heaviside, sign, abs, min and max of the
// variable) a break point is taken there. Each of these shows in the reading or among the inferences.
//
// # Balances and breaks
//
// A solution is smooth between break points. Across a break the unknowns and their derivatives
// below the order are continuous, but where an equation is written as a balance, (k T')' = f, the
// balanced quantity k T' takes the place of T': see [bvp.Problem] and its Continuity.
//
// # Reports
//
// A report is a number that is taken from the solution: a formula of constants, sought numbers, earlier reports, values
// of the unknowns and their derivatives at points, and
//
//	integral(f)   integral(f, a, b)      over the whole interval, or from a to b
//	mean(f)       mean(f, a, b)          the integral over the length
//	mean(f, w)    mean(f, w, a, b)       the integral of w f over that of w: with r or r^2 over a cylinder or a sphere
//	largest(f)    largest(f, a, b)       the largest value; largest_at is its place
//	smallest(f)   smallest(f, a, b)      the smallest value; smallest_at is its place
//	zero(f)       zero(f, n)             the first place, or the n-th, where f changes its sign
//
// where f is a formula of the variable, the unknowns and their derivatives up to the order. Package report works them
// out, each with its error.
//
// # Numbers two ways
//
// Constants, points, exact solutions and guesses are evaluated by [tape.Evaluate], equations and
// conditions by tapes. The tests hold the two against each other.
//
// # What it does not know
//
// It solves nothing and judges no answer: whether a well-formed problem has a solution, one or
// many, is for package solver. It draws and typesets nothing: [Sheet.Reading] hands out the trees.
package sheet
