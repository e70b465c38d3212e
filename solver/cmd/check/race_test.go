//go:build race

package main

// raced says that the race detector is at work, which makes everything about ten times slower.
const raced = true
