package main

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
)

const reporting = `theta'' = m^2 theta
theta(0) = 1
theta'(L) = 0
L = 0.08; m = 12.5
report efficiency = mean(theta)
report place = largest_at(theta^2 - 2 theta), theta'(2 L/4)
report none = zero(theta)
`

// The efficiency of a straight fin with an insulated tip is tanh(mL)/(mL) (heat-transfer handbooks, from memory); here
// mL = 1.
func TestReports(t *testing.T) {
	_, errs, status := nodespan(reporting)
	if want := "efficiency = 0.7615941559"; status != solved || !strings.HasPrefix(errs, want) ||
		strings.Count(errs, "\n") != 4 {
		t.Errorf("status %d\n%s", status, errs)
	}
	if !strings.HasSuffix(errs, "none: in zero(theta) the sign changes at 0 places only\n") {
		t.Errorf("%s", errs)
	}
	out, errs, _ := nodespan(reporting, "-out", "json")
	if errs != "" {
		t.Error(errs)
	}
	var reply struct {
		Reports map[string]struct {
			Value, Error *float64
			Message      string
		}
	}
	if err := json.Unmarshal([]byte(out), &reply); err != nil {
		t.Fatal(err)
	}
	e := reply.Reports["efficiency"]
	if e.Value == nil || math.Abs(*e.Value-math.Tanh(1)) > *e.Error+1e-16 || *e.Error > 1e-8 {
		t.Errorf("%s", out)
	}
	if n := reply.Reports["none"]; n.Value != nil || n.Error != nil || n.Message == "" {
		t.Errorf("%s", out)
	}
}

func TestTableFlags(t *testing.T) {
	for _, c := range []struct {
		args string
		want string // the last line
	}{
		{"-points 3 -digits 4", "1.000\t1.000"},
		{"-points 3 -digits 4 -decimal comma -out csv", "1,000;1,000\r"},
		{"-at 1/2 -digits all", "0.50000000000000000\t0.50000000000000000"},
		{"-at 1/4 -digits 2 -errors", ""},
	} {
		out, errs, status := nodespan("y' = 1; y(0) = 0; 0 < x < 1", strings.Fields(c.args)...)
		lines := strings.Split(strings.TrimSuffix(out, "\n"), "\n")
		last := lines[len(lines)-1]
		switch {
		case status != solved || errs != "":
			t.Errorf("%s: status %d %s", c.args, status, errs)
		case c.want == "" && (!strings.HasPrefix(last, "0.25\t0.25\t") || lines[0] != "x\ty\terror of y"):
			t.Errorf("%s: %q", c.args, out)
		case c.want != "" && last != c.want:
			t.Errorf("%s: %q, want %q", c.args, last, c.want)
		}
	}
	for _, c := range []struct{ args, want string }{
		{"-digits 18", "nodespan: -digits 18 is neither honest, all nor a number from 1 to 17\nhint: honest shows " +
			"the digits that the error supports\n"},
		{"-decimal ,", "nodespan: unknown -decimal ,\nhint: it is one of point, comma\n"},
		{"-points 1", "nodespan: -points 1 makes no table\nhint: 2 are the two ends\n"},
		{"-points 3 -at 0", "nodespan: -points and -at both name the points of the table\nhint: leave one " +
			"of them out\n"},
		{"-out json -digits 3", "nodespan: -digits, -decimal and -errors are for tables; JSON always has all digits " +
			"and the errors\nhint: leave them out, or choose another -out\n"},
	} {
		if out, errs, status := nodespan(wall, strings.Fields(c.args)...); out != "" || status != cannotRun ||
			errs != c.want {
			t.Errorf("%s: status %d %q", c.args, status, errs)
		}
	}
	_, errs, status := nodespan("y'' = y; y(0) = 1; y(inf) = 0", "-points", "3")
	if want := "nodespan: an unbounded interval has no equally spaced points\nhint: name " +
		"some with -at\n"; status != cannotRun || errs != want {
		t.Errorf("status %d %q", status, errs)
	}
}
