// Package notation reads mathematics as people write it: ASCII, the Unicode of PDFs and word processors,
// and LaTeX, mixed freely. It turns a text into statements and a statement into syntax trees in which every
// node knows the stretch of text it came from. It does not know what a statement is for (an equation, a
// condition, a constant), and it evaluates nothing.
//
// # Three steps
//
// Split cuts the text into statements, spelling variants already brought to one form. Statement.Marks lists
// the derivatives of a statement, from which a caller can tell which names are unknown functions.
// Statement.Parse then reads the statement under those names.
//
// # Grammar
//
//	relation = interval | sum { relop sum } [ "in" interval ] | name "=" "?" [ "near" sum ]
//	interval = "[" sum "," sum "]"                     (a round bracket for an end that is left out)
//	relop    = "=" | "<" | "<=" | ">" | ">="
//	sum      = signed { ("+" | "-") signed }
//	signed   = ("+" | "-") signed | product
//	product  = factor { ("*" | "/") factor | factor }  (a factor without a sign before it multiplies)
//	factor   = ("+" | "-") factor | power
//	power    = primary [ "^" factor ]
//	primary  = number | name | unknown [ primes ] [ "(" sum ")" ] | quotient of differentials
//	         | function [ "^" factor ] argument | "(" sum ")" [ primes ] | "|" sum "|"
//	         | "\frac" group group | "\sqrt" [ "[" sum "]" ] group
//
// So -x^2 is -(x^2), a^b^c is a^(b^c), 2*-x is 2*(-x), and a leading minus takes the whole product: -a b is -(a b).
//
// # How ambiguity is settled
//
// A name that the caller declares wins over every other reading: over a function, over pi and e, over a
// quotient of differentials (dx), over a split into shorter names.
//
//   - f(…): an unknown before a bracket is taken at that point when the bracket holds a constant, is the
//     running unknown when it holds the variable alone, and is a factor when it holds an unknown: y(0), y(x), y(1 - y).
//     y(x + 1), closed up, is refused; with a space, y (x + 1), it is a product. A constant before a bracket is a
//     factor: k(x + 1).
//   - A product without a sign after a quotient follows the space: 1/x y' is (1/x)*y', 1/2 (x + 1) is (1/2)*(x + 1).
//     Closed up (1/2x) it is refused and both readings are shown.
//   - A function without brackets takes one factor with what is closed up to it: sin 2x y is sin(2 x)*y, sin x/2 is
//     sin(x)/2. sin 2 x is refused and both readings are shown.
//   - A run of letters that is not a known name is split where it can be in one way only: xy' is x*y', EIv” is EI*v”.
//     The spelled name of a Greek letter is never split.
//   - The gamma function needs its bracket and its name in plain letters: gamma y and γ(y) are rather a forgotten
//     constant.
//   - In "y(0) = 1 y(1) = 0" a separator is missing; a chain whose middle side ends so is refused.
//   - A number after a name, a bracket or another number is refused: in pasted text it is mostly a lost power (x 2).
//
// # Positions and limits
//
// Offsets count bytes from 0, lines and columns count from 1, columns in characters. A text has at most MaxText bytes,
// brackets (and signs, powers, functions without brackets) nest at most MaxNesting deep, and a tree is at most MaxDepth
// nodes high, so that code which walks trees by recursion is safe where the stack is small; more is an ordinary error.
package notation

const (
	// MaxText is the longest text that Split reads, in bytes.
	MaxText = 64 << 10
	// MaxNesting is the deepest nesting that the reader follows. A recursive reader was seen to exhaust the default
	// stack of Node between 2,000 and 3,000 levels, and a WebAssembly program cannot recover from that.
	MaxNesting = 200
	// MaxDepth is the height of the highest tree that Parse returns; a sum of n terms has height n.
	MaxDepth = 400
)
