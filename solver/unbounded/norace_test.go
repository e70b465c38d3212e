//go:build !race

package unbounded_test

const raced = false
