// Package script writes the working of a sheet as a program: Python with numpy alone, or GNU Octave. The program
// carries out the same working step by step, calls things by the working's names, and prints the same node table,
// its columns separated by tabs.
//
// A language is a table of how it writes what the programs consist of (python.go, octave.go): a further one is a
// further table, in the list languages, and a column of package function.
//
// It knows the lesson (package lesson), trees (package notation) and how they are printed as code (package typeset). It
// runs nothing.
package script
