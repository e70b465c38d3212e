// Package sheettest reads the sheets of tests, and solves them. A test whose sheet is refused fails at once.
package sheettest

import (
	"testing"

	"nodespan/expr/sheet"
	"nodespan/solver"
)

// Read reads a sheet.
func Read(t testing.TB, text string) *sheet.Sheet {
	t.Helper()
	s, err := sheet.Read(text, sheet.Options{})
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return s
}

// Problem reads a sheet and poses its problem.
func Problem(t testing.TB, text string) *solver.Problem {
	t.Helper()
	return Read(t, text).Problem()
}

// Solve reads a sheet and solves it, as far as that goes.
func Solve(t testing.TB, text string, o solver.Options) (*sheet.Sheet, *solver.Solution) {
	t.Helper()
	s := Read(t, text)
	return s, solver.MustSolve(s.Problem(), o)
}

// Solved does so where there must be a solution.
func Solved(t testing.TB, text string, o solver.Options) (*sheet.Sheet, *solver.Solution) {
	t.Helper()
	sh, s := Solve(t, text, o)
	if !s.Usable() {
		t.Fatalf("%s: %s", text, s.Message)
	}
	return sh, s
}
