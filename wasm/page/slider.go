package page

import (
	"math"
	"strconv"
	"strings"
)

// slider is the scale of a constant that moves within a range: logarithmic where its ends have one sign and are more
// than a factor of fifty apart, else linear.
type slider struct{ low, high float64 }

// positions is how many steps a slider has.
const positions = 1000

func (s slider) logarithmic() bool {
	const factor = 50
	return s.low > 0 && s.high > factor*s.low || s.high < 0 && s.low < factor*s.high
}

// position returns where a value is, from 0 to positions.
func (s slider) position(value float64) int {
	part := (value - s.low) / (s.high - s.low)
	if s.logarithmic() {
		part = math.Log(value/s.low) / math.Log(s.high/s.low)
	}
	return int(math.Round(positions * min(max(part, 0), 1)))
}

// value returns the value at a position, as it is written into a sheet: in as few digits as tell neighbours apart.
func (s slider) value(position int) string {
	switch {
	case position <= 0:
		return number17(s.low)
	case position >= positions:
		return number17(s.high)
	}
	part := float64(position) / positions
	var text string
	if s.logarithmic() {
		text = strconv.FormatFloat(s.low*math.Pow(s.high/s.low, part), 'e', 2, 64)
	} else {
		step := (s.high - s.low) / positions
		place := math.Floor(math.Log10(5 * step)) // the last one that is worth writing
		text = strconv.FormatFloat((s.low+part*(s.high-s.low))/math.Pow(10, place), 'f', 0, 64) + "e" +
			strconv.Itoa(int(place))
	}
	v, _ := strconv.ParseFloat(text, 64)
	return number17(min(max(v, s.low), s.high))
}

// number17 writes a number so that reading it gives the same number, without an exponent where that is short.
func number17(v float64) string {
	if a := math.Abs(v); a >= 1e-3 && a < 1e7 || v == 0 {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	mantissa, power, found := strings.Cut(strconv.FormatFloat(v, 'e', -1, 64), "e")
	if !found {
		return mantissa
	}
	n, _ := strconv.Atoi(power)
	return mantissa + "e" + strconv.Itoa(n)
}
