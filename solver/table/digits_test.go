package table

import (
	"math"
	"math/big"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
)

func TestHonest(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		value, err float64
		want       string // firm|doubtful|power
	}{
		{1.23456789012, 3e-9, "1.23456789|0|"},
		{1.23456789012, 5e-9, "1.23456789|0|"}, // half a unit of 1e-8
		{1.23456789012, 6e-9, "1.2345678|90|"},
		{1.23456789012, 9e-9, "1.2345678|90|"},
		{1.23456789012, 1e-9, "1.23456789|0|"},
		{1.23456789012, 5e-10, "1.234567890|1|"},
		{-1.23456789012, 3e-3, "-1.23|5|"},
		{-0.003, 0.002, "-0.00|3|"},
		{0.003, 0.004, "0.00|0|"},
		{-0.003, 0.004, "0.00|0|"}, // no minus before nothing
		{3e-10, 2e-4, "0.000|0|"},
		{0, 1e-12, "0.00000000000|0|"},
		{0, 1e-20, "|0|e-20"},
		{0, 2, "|0|"},
		{0.4, 0.7, "|0.0|"},
		{0, 40, "|0|e1"},
		{3, 2, "|3|"},
		{-3, 2, "|-3|"},
		{123456, 2000, "1.2|3|e5"},
		{123456, 20, "1.234|6|e5"},
		{123456, 3, "12345|6|"},
		{123456, 0.4, "123456|.0|"},
		{9.96, 0.1, "10|.0|"},
		{9.96e20, 1e19, "1.0|0|e21"},
		{9.96e-7, 1e-8, "1.0|0|e-6"},
		{1.234e-7, 1e-10, "1.23|4|e-7"},
		{0.00001234, 1e-8, "0.0000123|4|"},
		{0.000009996, 1e-8, "1.00|0|e-5"},
		{1.0 / 3, 1e-20, "0.3333333333333333||"}, // a double holds no more
		{1e15 / 3, 1e-20, "333333333333333.3||"},
		{2e15 / 3 * 10, 1e-20, "6.666666666666667||e15"},
		{1, 0, "1||"},
		{0, 0, "0||"},
		{math.Copysign(0, -1), 0, "0||"},
		{0.1 + 0.2, 0, "0.3||"}, // 0.30000000000000004 has 17 digits
		{2.0 / 3, 0, "0.6666666666666666||"},
		{-1e-7, 0, "-1||e-7"},
		{6.02214076e23, 0, "6.02214076||e23"},
		{100000, 0, "100000||"},
		{1e15, 0, "1||e15"},
		{math.MaxFloat64, 0, "1.7976931348623157||e308"},
		{math.SmallestNonzeroFloat64, 0, "5||e-324"},
		{1, math.MaxFloat64, "|?|"},
		{nan, 1, "nan||"},
		{inf, nan, "inf||"},
		{-inf, 0, "-inf||"},
		{1, inf, "|?|"},
		{1, nan, "|?|"},
		{1.5, -0.01, "1.5|0|"}, // the sign of an error means nothing
	} {
		d := Honest(c.value, c.err)
		if got := d.Firm + "|" + d.Doubtful + "|" + d.Exponent; got != c.want {
			t.Errorf("Honest(%v, %v) = %s, want %s", c.value, c.err, got, c.want)
		}
	}
}

// What the doc comment promises, for numbers of every size: exact decimal arithmetic checks it.
func TestHonestPromises(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	number := func(s string) *big.Rat {
		v, ok := new(big.Rat).SetString(s)
		if !ok {
			t.Fatalf("%q is not a number", s)
		}
		return v
	}
	for range 20000 {
		value := (r.Float64()*2 - 1) * math.Pow(10, float64(r.IntN(40)-20))
		err := r.Float64() * math.Abs(value) * math.Pow(10, -float64(r.IntN(20)))
		d := Honest(value, err)
		s := d.String()
		shown := number(s)
		// The last printed place.
		mantissa, power, _ := strings.Cut(s, "e")
		last, _ := strconv.Atoi(power)
		if _, decimals, ok := strings.Cut(mantissa, "."); ok {
			last -= len(decimals)
		}
		unit := number("1e" + strconv.Itoa(last))
		// It is the error's first place, or the sixteenth digit of the number.
		if e := exponent(err); last != e && last != exponent(value)-15 &&
			!(last > e && len(strings.Trim(mantissa, "-0.")) >= 16) {
			t.Fatalf("%v ± %v prints %s: last place %d", value, err, s, last)
		}
		// What is shown is the value rounded there.
		off := new(big.Rat).Sub(shown, new(big.Rat).SetFloat64(value))
		off.Abs(off)
		if off.Cmp(new(big.Rat).Quo(unit, big.NewRat(2, 1))) > 0 {
			t.Fatalf("%v ± %v prints %s", value, err, s)
		}
		// The place of the last firm digit is worth at least twice the error.
		digits := len(strings.NewReplacer(".", "", "-", "").Replace(d.Doubtful))
		if digits > 2 {
			t.Fatalf("%v ± %v prints %s with %d doubtful digits", value, err, s, digits)
		}
		firm := number("1e" + strconv.Itoa(last+digits))
		if d.Firm != "" && firm.Cmp(number(strconv.FormatFloat(2*err, 'e', -1, 64))) < 0 {
			t.Fatalf("%v ± %v prints %s|%s%s: the firm part claims too much", value, err, d.Firm, d.Doubtful,
				d.Exponent)
		}
	}
}

func TestProse(t *testing.T) {
	for _, c := range []struct{ firm, doubtful, power, want string }{
		{"1.2345678", "9", "", "1.234 567 8|9|"},
		{"1.23456", "78", "", "1.234 56|7 8|"},
		{"1.234", "56", "", "1.234| 56|"},
		{"-0.0012", "", "", "−0.0012||"},
		{"1234", "", "", "1234||"},
		{"12345", ".0", "", "12 345|.0|"},
		{"123456", "", "", "123 456||"},
		{"1234567.12345", "", "", "1 234 567.123 45||"},
		{"", "-3", "", "|−3|"},
		{"-1.23", "4", "e-7", "−1.23|4| × 10⁻⁷"},
		{"6.02214076", "", "e23", "6.022 140 76|| × 10²³"},
		{"nan", "", "", "nan||"},
		{"-inf", "", "", "−inf||"},
		{"", "?", "", "|?|"},
	} {
		d := Digits{c.firm, c.doubtful, c.power}.Prose()
		got := strings.ReplaceAll(d.Firm+"|"+d.Doubtful+"|"+d.Exponent, "\u202f", " ")
		if got != c.want {
			t.Errorf("%v: %s, want %s", c, got, c.want)
		}
	}
}
