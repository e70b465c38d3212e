//go:build race || wasm

package slips_test

// every says that each third table is judged, on a few sheets, where programs run many times slower; all are judged without.
const every = 3

var onSheets = map[string]bool{"forced": true, "varying": true, "reaction": true, "coil": true}
