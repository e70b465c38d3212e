// Package agree holds a solution against a second opinion: the same problem solved by a different method, or an exact
// solution that someone states.
//
// [Compare] says to how many digits two methods agree, over the interval and at chosen points, and flags a difference
// that their error estimates do not cover. [Exact] first asks whether a stated exact solution satisfies the equations
// and the conditions at all, and by how much not, and then measures the computed solution against it.
//
// The package solves through package solver and knows no text. It chooses no method for an answer and repairs nothing.
package agree
