package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"

	"nodespan/expr/report"
	"nodespan/expr/sheet"
	"nodespan/expr/why"
	"nodespan/solver"
	"nodespan/solver/branches"
	"nodespan/solver/several"
	"nodespan/solver/table"
)

// traced is what -trace says: the constant and its range.
type traced struct {
	name     string
	from, to float64
	against  string // a formula; "" for the first unknown in the middle
}

// parseTrace reads NAME=FROM..TO.
func parseTrace(text, against string) (*traced, error) {
	bad := hinted(fmt.Sprintf("-trace %s is not name=from..to", text), "write it as in -trace lam=0.1..5")
	name, span, ok := strings.Cut(text, "=")
	from, to, ok2 := strings.Cut(span, "..")
	if !ok || !ok2 || strings.TrimSpace(name) == "" {
		return nil, bad
	}
	t := &traced{name: strings.TrimSpace(name), against: against}
	var err1, err2 error
	t.from, err1 = strconv.ParseFloat(strings.TrimSpace(from), 64)
	t.to, err2 = strconv.ParseFloat(strings.TrimSpace(to), 64)
	if err1 != nil || err2 != nil {
		return nil, bad
	}
	return t, nil
}

// traceReply is what -trace adds to the JSON object.
type traceReply struct {
	*table.Reply
	Trace struct {
		Constant     string        `json:"constant"`
		Against      string        `json:"against"`
		Branches     []branchReply `json:"branches"`
		Folds        []specialOne  `json:"folds"`
		Bifurcations []specialOne  `json:"bifurcations"`
		Message      string        `json:"message"`
	} `json:"trace"`
}

type branchReply struct {
	Points [][]table.Number `json:"points"`
}

type specialOne struct {
	Constant table.Number `json:"constant"`
	Error    table.Number `json:"error"`
	Value    table.Number `json:"value"`
}

// startWork is what is spent on looking for further solutions to begin from.
const startWork = 250_000_000

// follow follows the branches of a constant and prints them.
func follow(sh *sheet.Sheet, text string, o *options, stdout, stderr io.Writer) int {
	p := sh.Problem()
	first, err := solver.Solve(p, o.solve)
	if err != nil {
		return complain(stderr, err)
	}
	bo := branches.Options{Constant: o.trace.name, From: o.trace.from, To: o.trace.to, Solve: o.solve}
	label := why.Middle(p)
	if o.trace.against != "" {
		label = o.trace.against
		bo.Against, err = report.Against(text, label, o.trace.name, sheet.Options{Set: o.set})
		if err != nil {
			return complain(stderr, fmt.Errorf("-against: %w", err))
		}
	}
	var t *branches.Trace
	var sentences []string
	if sh.Eigenvalue {
		var crossings []branches.Crossing
		if o.trace.against == "" {
			label = p.Parameters[0].Name
		}
		if t, crossings, err = branches.Family(p, bo); err == nil {
			sentences = []string{branches.SayCrossings(t.Constant, crossings)}
			if len(crossings) == 0 {
				sentences = []string{"no two of the eigenvalues come close to each other"}
			}
		}
	} else {
		first = several.Nearest(p, first, o.solve)
		bo.Starts = several.Run(p, first, several.Options{Solve: o.solve, Work: startWork}).Solutions
		if t, err = branches.Follow(p, bo); err == nil {
			sentences = t.Sentences(label)
		}
	}
	if err != nil {
		return complain(stderr, hinted("-trace: "+err.Error(), "the constants are "+constants(sh)))
	}
	if o.out == "json" {
		r := traceReplyOf(t, label)
		r.Reply = report.Reply(sh, first, table.New(first, nil))
		r.Trace.Message = strings.Join(sentences, "; ")
		if err := json.NewEncoder(stdout).Encode(r); err != nil {
			return unwritten(stderr, err)
		}
		return solved
	}
	for i, line := range t.Branches {
		if i > 0 {
			fmt.Fprintln(stdout)
		}
		fmt.Fprintf(stdout, "branch %d\n", i+1)
		tab := &table.Table{Columns: []string{t.Constant, label}}
		for _, q := range line {
			tab.Rows = append(tab.Rows, []float64{q.Constant, q.Value})
			tab.Errors = append(tab.Errors, []float64{q.Error})
		}
		if err := tab.WriteWith(stdout, table.Format(o.out), o.write); err != nil {
			return unwritten(stderr, err)
		}
	}
	for _, s := range sentences {
		fmt.Fprintf(stderr, "nodespan: %s\n", s)
	}
	return solved
}

func traceReplyOf(t *branches.Trace, label string) *traceReply {
	r := &traceReply{}
	r.Trace.Constant, r.Trace.Against = t.Constant, label
	r.Trace.Branches = []branchReply{}
	for _, line := range t.Branches {
		b := branchReply{}
		for _, q := range line {
			b.Points = append(b.Points, []table.Number{table.Number(q.Constant), table.Number(q.Value),
				table.Number(q.Error)})
		}
		r.Trace.Branches = append(r.Trace.Branches, b)
	}
	list := func(all []branches.Special) []specialOne {
		out := []specialOne{}
		for _, f := range all {
			out = append(out, specialOne{table.Number(f.Constant), table.Number(f.Error), table.Number(f.Value)})
		}
		return out
	}
	r.Trace.Folds, r.Trace.Bifurcations = list(t.Folds), list(t.Bifurcations)
	return r
}

// constants lists the names that a sheet gives numbers to.
func constants(sh *sheet.Sheet) string {
	var names []string
	for _, c := range sh.Problem().Constants {
		names = append(names, c.Name)
	}
	if len(names) == 0 {
		return "none: give a number in the sheet a name"
	}
	return strings.Join(names, ", ")
}
