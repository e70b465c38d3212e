//go:build race

package unbounded_test

// raced says that the race detector is at work, which makes everything about ten times slower.
const raced = true
