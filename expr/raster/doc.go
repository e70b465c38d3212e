// Package raster draws figures as PNG files. Lines and areas are rendered by golang.org/x/image/vector, text in the Go
// fonts by golang.org/x/image/font/opentype, so that a picture is the same on every machine. The native command uses
// it; the page draws on its canvas and has no use for it.
package raster
