// Package table turns a solution into numbers on paper: a table at chosen points, each number
// printed with the digits that its error estimate supports, in the formats that notes,
// spreadsheets and other programs take.
//
// The page, the native command and anything copied from either print through this package, so
// that they show the same digits. It knows the solution only as a function with an error
// estimate; it solves nothing and judges nothing.
package table
