//go:build race || wasm

package slips_test

// every says that each seventh table is judged where programs run many times slower; all of them are judged without.
const every = 7
