// Package lesson tells the working of a sheet as it is taught: steps in order, each with a title, one or
// two plain sentences, formulas (MathML, LaTeX, plain) and the names of the matrices it makes.
//
// It joins what a sheet says (package sheet) with the numbers of package working, and knows no browser
// and no file format but plain text and JSON. The numbers are those of [working.Working]; where an entry came from
// is told by [working.Working.Explain].
package lesson
