//go:build !(js && wasm)

// Package page is the page's half of the browser program; see the file for that platform.
package page
