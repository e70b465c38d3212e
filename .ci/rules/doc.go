// Package rules holds the project to its own rules: which room may import which, one reader of
// govaluate, no text turned into HTML or code, nothing of others committed, examples in the documents
// that are true. It has tests only and knows nothing of mathematics.
package rules
