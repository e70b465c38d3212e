package sheettest

import (
	"runtime"
	"strings"
	"testing"

	"nodespan/solver"
)

// recorder is a test that notes how it fails.
type recorder struct {
	testing.TB
	said string
}

func (r *recorder) Helper() {}

func (r *recorder) Fatalf(format string, _ ...any) {
	r.said = format
	runtime.Goexit()
}

// said runs a test and returns the form of what it fails with.
func said(run func(testing.TB)) string {
	r := new(recorder)
	done := make(chan bool)
	go func() {
		defer close(done)
		run(r)
	}()
	<-done
	return r.said
}

func TestRead(t *testing.T) {
	const good, none, faulty = "y'' = 2; y(0) = 0; y(1) = 1", "y'' = -pi^2 y; y(0) = 0; y(1) = 1", "y'' = ("
	if p := Problem(t, good); p.B != 1 || len(p.Conditions) != 2 {
		t.Errorf("%+v", p)
	}
	if sh, s := Solved(t, good, solver.Options{}); sh.Variable != "x" || s.Status != solver.Solved || s.Tol == 1e-3 {
		t.Errorf("%v, %v", sh.Variable, s.Status)
	}
	if _, s := Solve(t, good, solver.Options{Tol: 1e-3}); s.Tol != 1e-3 {
		t.Errorf("solved to %g", s.Tol)
	}
	if got := said(func(t testing.TB) { Read(t, faulty) }); !strings.Contains(got, "%v") {
		t.Errorf("a faulty sheet fails with %q", got)
	}
	if got := said(func(t testing.TB) { Solved(t, none, solver.Options{}) }); !strings.Contains(got, "%s") {
		t.Errorf("no solution fails with %q", got)
	}
	if got := said(func(t testing.TB) { Solve(t, none, solver.Options{}) }); got != "" {
		t.Errorf("a solve fails with %q", got)
	}
}
