package worker

import (
	"context"
	"strings"
	"testing"

	"nodespan/wasm/wire"
)

func search(t *testing.T, ctx context.Context, text string) (last *wire.Findings) {
	t.Helper()
	ended := 0
	New().Search(ctx, wire.Request{ID: 7, Kind: wire.Search, Sheet: text}, func(r wire.Reply) {
		if r.Kind == wire.Solve { // the sheet was read
			return
		}
		if r.ID != 7 || r.Kind != wire.Search || ended > 0 {
			t.Errorf("%s: reply %+v after the last", text, r)
		}
		if last = r.Findings; r.Last {
			ended++
		}
	}, func() {})
	if ended != 1 {
		t.Errorf("%s: %d last replies", text, ended)
	}
	return last
}

// Between π and 2π a strut has three shapes (Euler); each of the others comes with the sheet that leads to it.
func TestSearch(t *testing.T) {
	text := "theta'' + k^2 sin(theta) = 0\ntheta(0) = 0, theta(1) = 0\nk = 5"
	f := search(t, context.Background(), text)
	if f == nil || len(f.Solutions) != 3 || !strings.HasPrefix(f.Sentence, "3 solutions were found") {
		t.Fatalf("%+v", f)
	}
	if !(f.Low < -2) || !(f.High > 2) {
		t.Errorf("curves from %g to %g", f.Low, f.High)
	}
	for i, s := range f.Solutions {
		if s.Shown != (i == 0) || len(s.Curves) != 1 || len(s.Curves[0]) != sketched || len(s.Label) < 3 {
			t.Errorf("number %d: %+v", i+1, s)
		}
		if i == 0 {
			continue
		}
		if !strings.HasPrefix(s.Sheet, text+"\nguess theta = ") {
			t.Errorf("number %d is reached by %q", i+1, s.Sheet)
		}
		a := New().solve(wire.Request{Sheet: s.Sheet}, func(wire.Reply) {})
		mid := a.Table.Rows[len(a.Table.Rows)/2][1]
		below := s.Curves[0][sketched/2] < 0
		if a.Status != "solved" || strings.HasPrefix(mid.Sure, "-") != below || mid.Sure == "0" {
			t.Errorf("number %d: %+v", i+1, mid)
		}
	}
}

// What is told where nothing is to be searched, and where there is no solution.
func TestSearchOfOthers(t *testing.T) {
	for text, want := range map[string]string{
		"y'' + y = 0; y(0) = 0; y(2) = 1":                   "Fredholm",
		"y'' + lam exp(y) = 0; y(0) = 0; y(1) = 0; lam = 4": "up to 3.513",
		"y'' + lam y = 0; y(0) = 0; y(1) = 0; lam = ?":      "",
		"y'' + pi^2 y = 1; y(0) = 0; y(1) = 0":              "",
		"y'' = ":                                            "",
	} {
		switch f := search(t, context.Background(), text); {
		case (f == nil) != (want == ""):
			t.Errorf("%s: %+v", text, f)
		case f != nil && (!strings.Contains(f.Sentence, want) || len(f.Solutions) > 1):
			t.Errorf("%s: %q", text, f.Sentence)
		}
	}
}

func TestSearchIsGivenUp(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if f := search(t, ctx, "theta'' + 25 sin(theta) = 0; theta(0) = 0, theta(1) = 0"); f != nil {
		t.Errorf("%+v", f)
	}
}
