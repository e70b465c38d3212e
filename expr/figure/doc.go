// Package figure makes a file of the picture of a solution, SVG or PNG, by the same drawing code as the page's canvas
// (package plot). It knows no browser.
package figure
