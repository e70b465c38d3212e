//go:build !race && !wasm

package slips_test

// every says that every table is judged.
const every = 1
