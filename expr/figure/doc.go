// Package figure makes the picture of a solution, or of a ladder, for files: its curves are sampled, it is laid out for
// any surface, and written as SVG by the same drawing code as the page's canvas (package plot). Package raster writes
// it as PNG. It knows no browser.
package figure
