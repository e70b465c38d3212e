// Package testdata reads the reference problems, which tests of many packages hold what they do to.
package testdata

import (
	_ "embed"
	"encoding/json"
	"slices"
)

//go:embed problems.json
var problems []byte

// Problem is a published problem with its reference.
type Problem struct {
	ID, Title, Kind, Source, Sheet string
	Reference                      struct {
		How         string // the numbers were found
		At          []Point
		Found       map[string]float64 // the sought numbers
		Eigenvalues []float64          // of the parameter, in order
		Parameter   string
	}
	Scale map[string]float64 // of each column of the reference
}

// Point is a row of a reference: the values at x by their columns, y, y' and so on. In JSON it is [x, {"y": value}].
type Point struct {
	X      float64
	Values map[string]float64
}

// UnmarshalJSON reads a row.
func (p *Point) UnmarshalJSON(data []byte) error {
	return json.Unmarshal(data, &[2]any{&p.X, &p.Values})
}

// Problems returns the reference problems of some kinds, and all where no kind is named. There is one of each kind, or
// it panics.
func Problems(kinds ...string) []Problem {
	var all []Problem
	if err := json.Unmarshal(problems, &all); err != nil {
		panic("problems.json: " + err.Error()) // embedded at compile time
	}
	if len(kinds) == 0 {
		return all
	}
	for _, k := range kinds {
		if !slices.ContainsFunc(all, func(p Problem) bool { return p.Kind == k }) {
			panic("no reference problem is of kind " + k)
		}
	}
	return slices.DeleteFunc(all, func(p Problem) bool { return !slices.Contains(kinds, p.Kind) })
}
