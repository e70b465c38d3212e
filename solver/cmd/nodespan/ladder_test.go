package main

import (
	"encoding/json"
	"math"
	"nodespan/testdata"
	"strconv"
	"strings"
	"testing"
)

// The members that other programs read, and errors that are those of the command's own answers.
func TestLadderJSON(t *testing.T) {
	const sheet = "y'' + 9 y = 0\ny(0) = 0\ny(1) = sin(3)\n"
	for _, c := range []struct{ sheet, against string }{{sheet + "exact y = sin(3x)\n", "exact"}, {sheet, "finer"}} {
		out, errs, status := nodespan(c.sheet, "-ladder", "-family", "chebyshev", "-out", "json")
		if status != solved || !strings.HasPrefix(errs, "Nine interior Chebyshev nodes give 8 digits; ") {
			t.Fatalf("status %d, %s", status, errs)
		}
		var rows []map[string]any
		if err := json.Unmarshal([]byte(out), &rows); err != nil {
			t.Fatal(err)
		}
		methods := map[string]int{}
		for _, r := range rows {
			for _, name := range []string{"family", "method", "nodes", "unknowns", "error", "against"} {
				if _, ok := r[name]; !ok {
					t.Fatalf("%v has no %s", r, name)
				}
			}
			if r["against"] != c.against {
				t.Errorf("against %v", r["against"])
			}
			methods[r["method"].(string)]++
			// The documents promise the order of differences and the number of pieces, each with its own method alone.
			order, ofDifferences := r["order"].(float64)
			if ofDifferences != (r["method"] == "differences") || ofDifferences && order != 2 && order != 4 {
				t.Errorf("%v: its order", r)
			}
			elements, ofPieces := r["elements"].(float64)
			if ofPieces != (r["method"] == "pieces") || ofPieces && !(elements >= 1) {
				t.Errorf("%v: its elements", r)
			}
			n := int(r["nodes"].(float64))
			if r["method"] != "one" || n%7 != 0 {
				continue
			}
			answer, _, _ := nodespan(sheet+"exact y = sin(3x)\n", "-method", "one", "-family", "chebyshev", "-nodes",
				strconv.Itoa(n), "-out", "json")
			var a struct{ ExactError float64 }
			if err := json.Unmarshal([]byte(answer), &a); err != nil {
				t.Fatal(err)
			}
			if e := r["error"].(float64); math.Abs(e-a.ExactError) > 0.1*e+1e-13 {
				t.Errorf("%d nodes: %g, the answer's exactError %g", n, e, a.ExactError)
			}
		}
		if methods["one"] != 40 || methods["pieces"] < 8 || methods["differences"] < 20 {
			t.Errorf("%v", methods)
		}
	}
}

// Every reference problem that has a ladder gets one, and its best rungs are near to what the solver reaches.
func TestLadderOnReferences(t *testing.T) {
	all := testdata.Problems("smooth", "condition", "system", "discontinuous")
	for _, p := range all {
		out, errs, status := nodespan(p.Sheet, "-ladder", "-out", "json", "-nodes", "30")
		var rows []struct {
			Method string
			Order  int
			Error  *float64
		}
		if err := json.Unmarshal([]byte(out), &rows); err != nil || status != solved || len(rows) < 40 {
			t.Errorf("%s: status %d, %v, %s", p.ID, status, err, errs)
			continue
		}
		best := map[string]float64{"one": math.Inf(1), "pieces": math.Inf(1), "differences": math.Inf(1)}
		for _, r := range rows {
			if r.Error != nil {
				best[r.Method] = math.Min(best[r.Method], *r.Error)
			}
		}
		for m, e := range best {
			if math.IsInf(e, 1) {
				t.Errorf("%s: no rung of %s has a solution", p.ID, m)
			}
		}
	}
	if len(all) < 20 {
		t.Errorf("%d problems", len(all))
	}
}
