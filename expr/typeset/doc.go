// Package typeset prints syntax trees: as MathML for a page, as LaTeX and as plain text for notes and handouts, and as
// code in the way a Dialect says. It knows trees (package notation) and how mathematics is set; it knows nothing of
// problems, of solvers, or of a browser, and it never makes HTML: MathML comes as a tree of elements.
//
// What LaTeX and Plain print, package notation reads back as the same tree. Brackets stand
// only where precedence asks for them, or where a reader could take a product for a function applied: a
// name before a bracket gets a dot.
package typeset
