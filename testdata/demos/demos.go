// Package demos holds the demonstration sheets, one file each, set in an invented mountain hut. The
// page offers them as examples; tests read the same files. Their numbers are our own.
package demos

import "embed"

//go:embed *.txt
var files embed.FS

// Demo is a demonstration sheet.
type Demo struct {
	Name  string // of its file, without .txt
	Title string // as the page offers it
	Kind  string // what it is an example of
	Sheet string
}

var order = []Demo{
	{Name: "wall-in-the-sun", Title: "the hut’s wall in the sun", Kind: "linear"},
	{Name: "floor-joist", Title: "a floor joist", Kind: "fourth order"},
	{Name: "boiler-coil", Title: "the boiler coil", Kind: "system"},
	{Name: "smoke-in-the-flue", Title: "smoke in the flue", Kind: "exact solution known"},
	{Name: "lift-cable", Title: "the cable of the goods lift", Kind: "nonlinear"},
	{Name: "filter-pellet", Title: "a pellet in the filter", Kind: "sphere, singular at 0"},
	{Name: "stove-pipe-fin", Title: "the stove-pipe fin", Kind: "flux given at one end"},
	{Name: "windy-night", Title: "the wall on a windy night", Kind: "heat transfer at both ends"},
}

// All returns the demonstrations in the order in which they are offered, those worth showing first.
func All() []Demo {
	all := make([]Demo, len(order))
	for i, d := range order {
		text, err := files.ReadFile(d.Name + ".txt")
		if err != nil {
			panic("demos: " + err.Error()) // embedded at compile time
		}
		d.Sheet = string(text)
		all[i] = d
	}
	return all
}
