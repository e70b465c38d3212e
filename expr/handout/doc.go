// Package handout makes a document of a sheet and its solution to be printed and handed out: the problem, the answer
// with the reasons to trust it, the figure, the node table, the working, and how the error falls with more nodes. It is
// written as one HTML file without scripts, or as LaTeX source that needs nothing beyond LaTeX itself (the required
// bundles amsmath and graphics).
//
// The author's comments and units stand beside the statements. In the working the nodes are numbered, matrices with the
// same rows stand side by side in one table, and no letter is smaller than 7 points: five nodes of a problem of second
// order fill four pages, as an exercise two.
//
// The content is gathered once, as a list of blocks ([New]); the two writers only set it. The numbers of chosen steps
// can be left blank, for students to fill in. The package knows no browser.
package handout
