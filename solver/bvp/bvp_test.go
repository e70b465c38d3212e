package bvp

import "testing"

// TestLayout: the jet lists every unknown with its derivatives up to its order, the state leaves the highest out.
func TestLayout(t *testing.T) {
	p := &Problem{Unknowns: []Unknown{{"u", 2}, {"v", 1}, {"w", 4}}}
	if p.Jet() != 10 || p.State() != 7 {
		t.Errorf("jet %d, state %d; want 10 and 7", p.Jet(), p.State())
	}
	for i, want := range []int{0, 3, 5} { // u u' u'' | v v' | w w' w'' w''' w''''
		if got := p.JetOffset(i); got != want {
			t.Errorf("unknown %d stands at %d of the jet, want %d", i, got, want)
		}
	}
	if empty := (&Problem{}); empty.Jet() != 0 || empty.State() != 0 {
		t.Error("no unknowns have no jet")
	}
}

// TestStill: what only x is known of says so, and keeps nil as nil.
func TestStill(t *testing.T) {
	var none *Formulas
	if none.Still() != nil {
		t.Error("no formulas became some")
	}
	f := &Formulas{Moving: []bool{true, false}, Inputs: 3}
	if s := f.Still(); s.Inputs != 0 || len(s.Moving) != 2 || f.Inputs != 3 {
		t.Errorf("%+v", s)
	}
}

// TestExact: whole numbers and short binary fractions are exact as typed, others are not.
func TestExact(t *testing.T) {
	for v, want := range map[float64]bool{0: true, 1: true, -3: true, 0.25: true, 1000000: true, 204000000: true,
		0.375: true,
		0.1:   false, 1.1: false, -0.3: false, 1e-5: false, 3.141592653589793: false, 1000000.1: false} {
		if got := Exact(v); got != want {
			t.Errorf("%v: %v", v, got)
		}
	}
}
