//go:build !race && !wasm

package slips_test

// every says that every table is judged, on every sheet.
const every = 1

var onSheets map[string]bool
