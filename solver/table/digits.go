package table

import (
	"math"
	"strconv"
	"strings"
)

// Digits is a number as it is printed: the digits that stand, the doubtful ones after them (none
// to two), and the power of ten ("e-7") if there is one. Put together they are a decimal number that
// any program reads.
type Digits struct {
	Firm, Doubtful, Exponent string
}

// String returns the whole number.
func (d Digits) String() string { return d.Firm + d.Doubtful + d.Exponent }

// most is the number of significant digits that a double holds for certain.
const most = 16

// Honest prints value ± err.
//
// The last digit printed stands in the decimal place of the error's first digit: it may be off
// by a few units. A digit is firm when the error is at most half a unit of its place, so that
// rounding there is off by one unit at most. With an error of 3e-9,
//
//	1.23456789012 prints as 1.23456789|0   firm up to 1e-8, doubtful in 1e-9
//
// A value smaller than its error is printed as 0 down to that place ("0.0000"). At most 16
// significant digits are printed; without an error (0) as few of them as give the value back.
// Trailing zeros are digits like others, so a number whose last known place is above the units is written with
// a power of ten: 123456 ± 2000 is 1.23e5. Sizes from 1e-5 to below 1e15 are otherwise written out.
//
// NaN prints as "nan", infinities as "inf" and "-inf", and a value with an infinite or unknown (NaN)
// error, of which no digit stands, as "?".
func Honest(value, err float64) Digits {
	switch {
	case math.IsNaN(value):
		return Digits{Firm: "nan"}
	case math.IsInf(value, 1):
		return Digits{Firm: "inf"}
	case math.IsInf(value, -1):
		return Digits{Firm: "-inf"}
	case math.IsNaN(err) || math.IsInf(2*err, 0):
		return Digits{Doubtful: "?"}
	}
	err = math.Abs(err)
	if err == 0 {
		return plain(value)
	}
	place, firm := places(err)
	if math.Abs(value) < err {
		return zero(place, firm)
	}
	size := exponent(value)
	place = max(place, size-most+1)
	doubtful := max(0, firm-place)
	if place <= 0 && size >= -5 && size < 15 {
		return split(strconv.FormatFloat(value, 'f', -place, 64), "", doubtful)
	}
	mantissa, power := scientific(value, size-place)
	for range power - size { // 9.96 rounded to 10.0: one digit more above the same last place
		if !strings.Contains(mantissa, ".") {
			mantissa += "."
		}
		mantissa += "0"
	}
	return split(mantissa, "e"+strconv.Itoa(power), doubtful)
}

// Asked prints value ± err with at most so many significant digits, those that were asked for.
func Asked(value, err float64, digits int) Digits {
	d := Honest(value, err)
	if s := strings.TrimLeft(strings.Replace(d.Firm+d.Doubtful, ".", "", 1), "-0"); len(s) <= digits {
		return d
	}
	return Fixed(value, digits)
}

// Rounded returns v with at most so many significant digits.
func Rounded(v float64, digits int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// plain prints a number without error: the fewest digits that give it back, at most 16.
func plain(value float64) Digits {
	if value == 0 {
		return Digits{Firm: "0"}
	}
	value = Rounded(value, most) // its shortest form has no more digits than that
	if size := exponent(value); size >= -5 && size < 15 {
		return Digits{Firm: strconv.FormatFloat(value, 'f', -1, 64)}
	}
	mantissa, power := scientific(value, -1)
	return Digits{Firm: mantissa, Exponent: "e" + strconv.Itoa(power)}
}

// zero prints a 0 known to a place.
func zero(place, firm int) Digits {
	switch {
	case place == 0:
		return Digits{Doubtful: "0"}
	case place > 0 || place < -most:
		return Digits{Doubtful: "0", Exponent: "e" + strconv.Itoa(place)}
	}
	return split("0."+strings.Repeat("0", -place), "", firm-place)
}

// split marks the last digits of a decimal number as doubtful.
func split(s, power string, doubtful int) Digits {
	cut := len(s)
	for n := doubtful; n > 0 && cut > 0; {
		cut--
		if s[cut] != '.' && s[cut] != '-' {
			n--
		}
	}
	if strings.Trim(s[:cut], "-") == "" {
		cut = 0 // a sign belongs to its digits
	}
	if strings.HasSuffix(s[:cut], ".") {
		cut--
	}
	return Digits{Firm: s[:cut], Doubtful: s[cut:], Exponent: power}
}

// places returns the decimal place of the first digit of an error, and the lowest place where the
// error is at most half a unit.
func places(err float64) (place, firm int) {
	place = exponent(err)
	firm = exponent(2 * err)
	if mantissa, _, _ := strings.Cut(strconv.FormatFloat(2*err, 'e', -1, 64), "e"); mantissa != "1" {
		firm++
	}
	return place, firm
}

// exponent returns the power of ten of the first digit of a finite number other than 0.
//
//go:noinline
func exponent(v float64) int {
	_, power := scientific(v, -1)
	return power
}

// scientific returns d.ddd with so many decimals (-1: as few as give v back), and the power of ten.
func scientific(v float64, decimals int) (mantissa string, power int) {
	mantissa, p, _ := strings.Cut(strconv.FormatFloat(v, 'e', decimals, 64), "e")
	power, _ = strconv.Atoi(p)
	return mantissa, power
}

// Prose returns the number for running text: with a thin space between groups of three digits, a
// true minus, and × 10 with a raised power. For reading only: no program takes it back.
//
// As the SI brochure has it (9th edition, 2019, 5.4.4; from memory), groups run from the decimal point both ways,
// and four digits stand together. The spaces do not break over lines.
func (d Digits) Prose() Digits {
	const thin = "\u202f" // narrow no-break space
	s := d.Firm + d.Doubtful
	sign := ""
	if rest, ok := strings.CutPrefix(s, "-"); ok {
		s, sign = rest, "−"
	}
	if s == "" || s[0] < '0' || s[0] > '9' { // nan, inf, ?
		return Digits{Firm: strings.Replace(d.Firm, "-", "−", 1), Doubtful: d.Doubtful}
	}
	whole, decimals, _ := strings.Cut(s, ".")
	doubtfulFrom := len(s) - len(strings.TrimPrefix(d.Doubtful, "-"))
	var parts [2]strings.Builder
	put := func(i int, text string) { // text that goes with byte i of s
		if i < doubtfulFrom {
			parts[0].WriteString(text)
		} else {
			parts[1].WriteString(text)
		}
	}
	put(0, sign)
	for i := range len(s) {
		switch {
		case i > 0 && i < len(whole) && len(whole) > 4 && (len(whole)-i)%3 == 0:
			put(i, thin)
		case i > len(whole)+1 && len(decimals) > 4 && (i-len(whole)-1)%3 == 0:
			put(i, thin)
		}
		put(i, s[i:i+1])
	}
	return Digits{Firm: parts[0].String(), Doubtful: parts[1].String(), Exponent: raised(d.Exponent)}
}

// raised writes "e-7" as × 10⁻⁷.
func raised(power string) string {
	if power == "" {
		return ""
	}
	return "\u202f×\u202f10" + strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴",
		"5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹").Replace(strings.TrimPrefix(power, "e"))
}
