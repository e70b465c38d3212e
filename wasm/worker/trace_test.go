package worker

import (
	"math"
	"strings"
	"testing"

	"nodespan/wasm/wire"
)

func handled(h *Handler, q wire.Request) (last wire.Reply) {
	h.Handle(q, func(r wire.Reply) { last = r })
	return last
}

// The exponential source between plates: its branch turns back at 3.513830719 (D. A. Frank-Kamenetskii, Diffusion and
// Heat Exchange in Chemical Kinetics, 1955), where the value in the middle is 1.1868. Each end of it is an answer.
func TestFollow(t *testing.T) {
	const text = "y'' + lam exp(y) = 0\ny(0) = 0, y(1) = 0\nlam = 1 in [0.5, 5]"
	for against, label := range map[string]string{"": "y(0.5)", "2 y(0.5)": "2 y(0.5)"} {
		h := New()
		q := wire.Request{Kind: wire.Follow, Sheet: text, Name: "lam", From: 0.5, To: 5, Point: against}
		w := handled(h, q).Trace
		if w == nil || w.Fault != "" || len(w.Branches) != 1 || len(w.Specials) != 1 || w.Against != label {
			t.Fatalf("%+v", w)
		}
		s, times := w.Specials[0], 1.0
		if against != "" {
			times = 2
		}
		if !s.Fold || math.Abs(s.X-3.513830719) > 1e-8 || math.Abs(s.Y-1.1868421*times) > 1e-5 {
			t.Errorf("a fold at %+v", s)
		}
		if len(w.Lines) != 1 || !strings.HasPrefix(w.Lines[0], "Solutions exist up to lam = 3.5138") {
			t.Errorf("%q", w.Lines)
		}
		n := len(w.Branches[0].X)
		if strings.Count(w.Table, "\n") != n+1 || len(w.Branches[0].Words) != n {
			t.Errorf("%d points, %d lines", n, strings.Count(w.Table, "\n"))
		}
		for _, a := range []wire.Axis{w.X, w.Y} {
			n := len(a.At)
			if n < 2 || n > 6 || n != len(a.Labels) || a.At[0] < a.Low || a.At[n-1] > a.High {
				t.Errorf("%+v", a)
			}
		}
		for _, k := range []int{0, n - 1} {
			picked := handled(h, wire.Request{Kind: wire.Pick, Place: k})
			if picked.Value != nil || !strings.Contains(picked.Text, "\nlam = 0.5 in [0.5, 5]\nguess y = ") {
				t.Errorf("%+v", picked)
				continue
			}
			a := New().solve(wire.Request{Sheet: picked.Text}, func(wire.Reply) {})
			mid := a.Curves.Columns[0].Y[len(a.Curves.X)/2]
			if !(math.Abs(mid*times-w.Branches[0].Y[k]) < 0.05*math.Abs(mid)) {
				t.Errorf("point %d: %g in the middle, not %g", k, mid, w.Branches[0].Y[k])
			}
		}
		if r := handled(h, wire.Request{Kind: wire.Pick, Place: n}); r.Value == nil {
			t.Errorf("a point beyond the last: %+v", r)
		}
	}
}

// The eigenvalues of y″ + lam (1 + c x) y = 0 fall as c grows; at c = 0 they are those of a string, (kπ)².
func TestFollowEigenvalues(t *testing.T) {
	h := New()
	w := handled(h, wire.Request{Kind: wire.Follow, Name: "c", From: 0, To: 1,
		Sheet: "y'' + lam (1 + c x) y = 0\ny(0) = 0, y(1) = 0\nlam = ?\nc = 0.5"}).Trace
	if w.Fault != "" || len(w.Branches) != usualCount || w.Against != "lam" {
		t.Fatalf("%+v", w)
	}
	for k, b := range w.Branches {
		string := math.Pow(float64(k+1)*math.Pi, 2)
		if math.Abs(b.Y[0]-string) > 1e-6*string || !(b.Y[len(b.Y)-1] < b.Y[0]) {
			t.Errorf("eigenvalue %d from %g to %g", k+1, b.Y[0], b.Y[len(b.Y)-1])
		}
	}
	if r := handled(h, wire.Request{Kind: wire.Pick, Branch: 1, Place: 0}); !strings.HasSuffix(r.Text, "c = 0") {
		t.Errorf("%+v", r)
	}
}

// What cannot be followed is told in a sentence.
func TestFollowRefused(t *testing.T) {
	const text = "y'' + lam exp(y) = 0\ny(0) = 0, y(1) = 0\nlam = 1"
	for _, c := range []struct {
		q    wire.Request
		want string
	}{
		{wire.Request{Sheet: "y'' =", Name: "lam", To: 1}, "cannot be read"},
		{wire.Request{Sheet: text, Name: "mu", To: 1}, "no constant mu"},
		{wire.Request{Sheet: text, Name: "lam", From: 1, To: 1}, "empty"},
		{wire.Request{Sheet: text, Name: "lam", To: 1, Point: "z(0)"}, "z"},
		{wire.Request{Sheet: "y'' = k y; y(0) = 1; y(inf) = 0; k = 2", Name: "k", From: 1, To: 3}, "finite interval"},
	} {
		h := New()
		c.q.Kind = wire.Follow
		if w := handled(h, c.q).Trace; !strings.Contains(w.Fault, c.want) {
			t.Errorf("%+v: %q, want %q", c.q, w.Fault, c.want)
		}
		if r := handled(h, wire.Request{Kind: wire.Pick}); r.Value == nil || !strings.Contains(r.Value.Fault, "anew") {
			t.Errorf("%+v: %+v is picked", c.q, r)
		}
	}
}
