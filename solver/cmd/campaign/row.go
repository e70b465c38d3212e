package main

import (
	"fmt"
	"maps"
	"slices"

	"nodespan/solver"
	"nodespan/solver/nodes"
)

// A Row is a sheet that somebody once got a wrong answer for, with the truth and where it is from. See
// testdata/campaign.json.
type Row struct {
	Name  string `json:"name"`
	Sheet string `json:"sheet"`
	// Method, Family, Nodes, Elements, Tol and Count are those of the command, and Order is that of differences; what
	// is left out is left to the solver.
	Method   string  `json:"method,omitempty"`
	Family   string  `json:"family,omitempty"`
	Nodes    int     `json:"nodes,omitempty"`
	Order    int     `json:"order,omitempty"`
	Elements int     `json:"elements,omitempty"`
	Tol      float64 `json:"tol,omitempty"`
	Count    int     `json:"count,omitempty"`
	// Ask gives the truth of each number that is looked at: "y'(0.5)", "lambda", "lambda_2" (the second eigenvalue),
	// "report m".
	Ask map[string]float64 `json:"ask,omitempty"`
	// Want is "solved" (where it is left out), "not solved", or "honest": solved or not, what is claimed is true.
	Want string `json:"want,omitempty"`
	// Reason lists words of which the message holds one, where "not solved" is wanted.
	Reason []string `json:"reason,omitempty"`
	// Never lists words that the message must not hold.
	Never []string `json:"never,omitempty"`
	// Source says where the truth is from.
	Source string `json:"source"`
}

// asCase turns a row into a case.
func (r *Row) asCase() (*Case, error) {
	c := &Case{Name: r.Name, Sheet: r.Sheet, Never: r.Never, Options: solver.Options{
		Method: solver.Method(r.Method), Nodes: r.Nodes, Order: r.Order, Elements: r.Elements, Tol: r.Tol,
		Count: r.Count,
	}}
	if r.Family != "" {
		f, err := nodes.ParseFamily(r.Family)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", r.Name, err)
		}
		c.Options.Family = f
	}
	switch r.Want {
	case "", "solved":
		c.Must = true
	case "honest":
	case "not solved":
		c.Refused = r.Reason
		if len(r.Reason) == 0 {
			c.Refused = []string{""}
		}
	default:
		return nil, fmt.Errorf("%s: want is %q", r.Name, r.Want)
	}
	if len(c.Refused) == 0 && len(r.Ask) == 0 {
		return nil, fmt.Errorf("%s asks for nothing", r.Name)
	}
	for _, what := range slices.Sorted(maps.Keys(r.Ask)) {
		a, err := readAsk(what, r.Ask[what])
		if err != nil {
			return nil, fmt.Errorf("%s: %w", r.Name, err)
		}
		c.Asks = append(c.Asks, a)
	}
	return c, nil
}
