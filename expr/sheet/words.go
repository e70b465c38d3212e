package sheet

import (
	"math"
	"strconv"
	"strings"
)

// Number prints a number for a sentence: seven significant digits at most.
//
//go:noinline
func Number(v float64) string { return number(v) }

func number(v float64) string {
	switch {
	case math.IsInf(v, 1):
		return "infinity"
	case math.IsInf(v, -1):
		return "minus infinity"
	}
	s := strconv.FormatFloat(v, 'g', 7, 64)
	if short := strconv.FormatFloat(v, 'g', -1, 64); len(short) < len(s) {
		s = short
	}
	mantissa, exponent, found := strings.Cut(s, "e")
	if !found {
		return s
	}
	e, err := strconv.Atoi(exponent)
	if err != nil {
		return s
	}
	if e > 0 && e < 7 {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return mantissa + "e" + strconv.Itoa(e)
}

// list joins names as a sentence does: a, b and c.
func list(names []string) string {
	switch n := len(names); n {
	case 0:
		return ""
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}
