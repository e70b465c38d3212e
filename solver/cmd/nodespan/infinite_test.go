package main

import (
	"bytes"
	"strings"
	"testing"
)

// TestPointsOfAHalfLine: points stay where they are asked for when an end is infinite.
func TestPointsOfAHalfLine(t *testing.T) {
	var out, errs bytes.Buffer
	code := run([]string{"-at", "0, 1, 2"}, strings.NewReader("y'' = y; y(0) = 1; y(inf) = 0; 0 <= x < inf"), &out,
		&errs)
	if code != 0 {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	for i, begin := range []string{"x\ty", "0\t1.0000", "1\t0.36787", "2\t0.13533"} { // e^−x
		if line := strings.Split(out.String(), "\n")[i]; !strings.HasPrefix(line, begin) {
			t.Errorf("line %d is %q, want %q…", i, line, begin)
		}
	}
}
