package main

import (
	"math/big"
	"strings"
	"testing"
)

// TestPrecise holds the functions to 60 digits of published constants and identities.
func TestPrecise(t *testing.T) {
	gelfond := exp(pi)
	s, c := sincos(of(3057.125))
	for _, r := range []struct {
		name string
		got  num
		want string
	}{
		// e, π, ln 2, e^π and erf 1: the OEIS, A001113, A000796, A002162, A039661 and A217504 (from memory)
		{"e", exp(whole(1)), "2.71828182845904523536028747135266249775724709369995957496697"},
		{"pi", pi, "3.14159265358979323846264338327950288419716939937510582097494"},
		{"ln 2", log(whole(2)), "0.693147180559945309417232121458176568075500134360255254120680"},
		{"e^pi", gelfond, "23.1406926327792690057290863679485473802661062426002119934450"},
		{"ln e^pi", log(gelfond), "3.14159265358979323846264338327950288419716939937510582097494"},
		{"atan 1", mul(whole(4), atan(whole(1))), "3.14159265358979323846264338327950288419716939937510582097494"},
		{"sin^2 + cos^2", add(mul(s, s), mul(c, c)), "1"},
		{"sin 1", func() num { s, _ := sincos(whole(1)); return s }(),
			"0.841470984807896506652502321630298999622563060798371065672751"},
		{"cos -2", func() num { _, c := sincos(whole(-2)); return c }(),
			"-0.416146836547142386997568229500762189766000771075544890755149"},
		{"erf 1", erf(whole(1)), "0.842700792949714869341220635082609259296066997966302908459937"},
		{"erf 5", erf(whole(5)), "0.999999999998462540205571965149811656514616621109881949685276"},
		{"tanh 0.5", tanh(of(0.5)), "0.462117157260009758502318483643672548730289280330113038552731"},
		{"tan atan 3", func() num { s, c := sincos(atan(whole(3))); return div(s, c) }(), "3"},
	} {
		got := r.got.Text('g', 60)
		want, _, _ := big.ParseFloat(r.want, 10, bits, big.ToNearestEven)
		off := abs(sub(r.got, want))
		if off.Cmp(mul(abs(want), decimal("1e-58"))) > 0 {
			t.Errorf("%s = %s, want %s", r.name, got, strings.TrimSpace(r.want))
		}
	}
}
