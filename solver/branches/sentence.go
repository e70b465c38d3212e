package branches

import (
	"fmt"
	"math"
	"strings"

	"nodespan/solver/table"
)

// Sentences tell in words where branches turn back and where others leave them. against is what the value is called.
func (t *Trace) Sentences(against string) []string {
	var out []string
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, line := range t.Branches {
		for _, p := range line {
			lo, hi = math.Min(lo, p.Constant), math.Max(hi, p.Constant)
		}
	}
	for _, f := range t.Folds {
		where := fmt.Sprintf("%s = %s", t.Constant, table.Honest(f.Constant, f.Error))
		value := fmt.Sprintf(" (%s = %s there)", against, table.Honest(f.Value, f.ValueError))
		below, above := t.beside(f)
		// Points beside a fold may lie beyond it by their errors.
		beyond := 1e-9 * math.Max(math.Abs(hi), math.Abs(lo))
		switch {
		case f.Highest && hi <= f.Constant+beyond:
			out = append(out, fmt.Sprintf("solutions exist up to %s; below it there %s%s", where, are(below), value))
		case !f.Highest && lo >= f.Constant-beyond:
			out = append(out, fmt.Sprintf("solutions exist from %s on; above it there %s%s", where, are(above), value))
		default:
			out = append(out, fmt.Sprintf("a branch turns back at %s: below it there %s, above it there %s%s", where,
				are(below), are(above), value))
		}
	}
	for _, b := range t.Bifurcations {
		out = append(out, fmt.Sprintf("another branch crosses at %s = %s (%s = %s there)", t.Constant,
			table.Honest(b.Constant, b.Error), against, table.Honest(b.Value, b.ValueError)))
	}
	if len(out) == 0 {
		out = append(out, fmt.Sprintf("no branch turns back or divides between %s = %.6g and %.6g", t.Constant, lo, hi))
	}
	if t.Ended {
		out = append(out, "the trace ended at its limit of work")
	}
	return out
}

// are says how many there are.
func are(n int) string {
	words := []string{"is none", "is one", "are two", "are three", "are four", "are five", "are six", "are seven",
		"are eight", "are nine"}
	if n < len(words) {
		return words[n]
	}
	return fmt.Sprintf("are %d", n)
}

// beside counts the solutions on the branches below and above a fold, close to it.
func (t *Trace) beside(f Special) (below, above int) {
	near := math.Inf(1)
	size := 0.0
	for _, line := range t.Branches {
		for i, p := range line {
			near = math.Min(near, math.Abs(p.Constant-f.Constant))
			if i > 0 {
				size = math.Max(size, math.Abs(p.Constant-line[0].Constant))
			}
		}
	}
	off := math.Max(3*near, 1e-4*size)
	count := func(v float64) (n int) {
		for _, line := range t.Branches {
			for i := 1; i < len(line); i++ {
				if (line[i-1].Constant-v)*(line[i].Constant-v) < 0 {
					n++
				}
			}
		}
		return n
	}
	return count(f.Constant - off), count(f.Constant + off)
}

// SayCrossings tells where eigenvalues cross or nearly do.
func SayCrossings(constant string, all []Crossing) string {
	var out []string
	for _, c := range all {
		if c.Crosses() {
			out = append(out, fmt.Sprintf("eigenvalues %d and %d cross at %s = %.6g", c.Lower, c.Lower+1, constant,
				c.Constant))
			continue
		}
		out = append(out, fmt.Sprintf("eigenvalues %d and %d come as close as %s at %s = %.6g and do not cross",
			c.Lower, c.Lower+1, table.Honest(c.Gap, c.Error), constant, c.Constant))
	}
	return strings.Join(out, "; ")
}
