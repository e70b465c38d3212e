package plot

import (
	"math"
	"strconv"
)

// axis is one axis with its ticks: a linear map from lo … hi (exponents of ten on a logarithmic axis) to the
// pixels p0 … p1.
type axis struct {
	lo, hi float64
	p0, p1 float64
	log    bool

	major []tick
	minor []float64
	// factor is the note that belongs to all labels (×10⁻⁶, or with what is to be added); nil for none.
	factor []run
}

type tick struct {
	at    float64
	label []run
	width float64 // of the label
}

// px returns the pixel of v, which lies far outside rather than at infinity for a v far outside.
//
//go:noinline
func (a *axis) px(v float64) float64 {
	const far = 1e3 // lengths of the axis
	s := (v - a.lo) / (a.hi - a.lo)
	if s > far {
		s = far
	} else if s < -far {
		s = -far
	}
	return a.p0 + s*(a.p1-a.p0)
}

// value is the inverse of px.
func (a *axis) value(px float64) float64 {
	return a.lo + (px-a.p0)/(a.p1-a.p0)*(a.hi-a.lo)
}

// longestLabel is how many significant digits a label may have before what the labels share is put into the axis's
// note.
const longestLabel = 7

// label is how the numbers of an axis are written: (tick - offset)/10^exponent with the same digits after the point.
type label struct {
	offset   float64
	exponent int
	digits   int
}

// labelling returns the way to write the ticks.
func labelling(r regular) label {
	largest := math.Max(math.Abs(r.first), math.Abs(r.last))
	var l label
	lead := exponent10(largest)
	if lead-r.end+1 > longestLabel && r.last > r.first {
		l.offset = r.first
		lead = exponent10(r.last - r.first)
	}
	if lead >= 5 || lead <= -4 || (lead < 0 && r.end < -4) {
		l.exponent = lead
	}
	l.digits = max(0, l.exponent-r.end)
	return l
}

// longest returns the widest text that the labels of the ticks can have.
func (l label) longest(r regular) string {
	largest := math.Max(math.Abs(r.first-l.offset), math.Abs(r.last-l.offset))
	s := zeros[:min(max(exponent10(largest)-l.exponent, 0)+1, 20)]
	if r.first < 0 && l.offset == 0 {
		s = "−" + s
	}
	if l.digits > 0 {
		s += "." + zeros[:min(l.digits, 20)]
	}
	return s
}

const zeros = "00000000000000000000"

// exponent10 returns floor(log10 |v|), 0 for 0; a v within rounding of a power of ten counts as that power.
func exponent10(v float64) int {
	if v == 0 {
		return 0
	}
	return int(math.Floor(math.Log10(math.Abs(v)) + 1e-12))
}

// lastDigit returns the power of ten of the last digit of v other than 0, counting up to ten digits.
func lastDigit(v float64) int {
	if v == 0 {
		return 0
	}
	s := strconv.FormatFloat(math.Abs(v), 'e', 9, 64)
	n := 9
	for n > 0 && s[n+1] == '0' {
		n--
	}
	return exponent10(v) - n
}

func (l label) text(v float64) string {
	return decimal(multiple(v-l.offset, 1, float64(-l.exponent)), l.digits)
}

// note returns the axis's note.
func (l label) note() []run {
	var r []run
	if l.exponent != 0 {
		r = powerOfTen(l.exponent, true)
	}
	if l.offset != 0 {
		sign := " + "
		if l.offset < 0 {
			sign = " − "
		}
		if l.exponent == 0 {
			sign = sign[1:]
		}
		o := math.Abs(l.offset)
		s := strconv.FormatFloat(o, 'g', 14, 64)
		r = append(r, run{text: sign + minus(s)})
	}
	return r
}

// setTicks puts ticks on a linear axis. room says how far apart in pixels labels want to be, size is their
// type size; along says whether labels run along the axis (x) or stack across it (y).
func (a *axis) setTicks(m Measurer, room, size float64, along bool) {
	a.major, a.minor, a.factor = nil, nil, nil
	length := math.Abs(a.p1 - a.p0)
	widths := map[string]float64{} // measuring may be slow, and there are few different lengths
	fits := func(r regular) bool {
		gap := length * r.step / (a.hi - a.lo)
		if !along {
			return gap >= 1.5*size
		}
		s := labelling(r).longest(r)
		w, ok := widths[s]
		if !ok {
			w = m.TextWidth(s, run{}.style(size, ""))
			widths[s] = w
		}
		return gap >= w+size
	}
	at, r := ticks(a.lo, a.hi, math.Max(length/room, 3), fits)
	if at == nil {
		// No two labels have room or can be told apart: one alone.
		v := short(a.lo, a.hi)
		at, r = []float64{v}, regular{v, v, 0, lastDigit(v)}
	}
	l := labelling(r)
	for _, v := range at {
		s := []run{{text: l.text(v)}}
		a.major = append(a.major, tick{at: v, label: s, width: runsWidth(m, s, size)})
	}
	a.factor = l.note()
}

// short returns a number in the middle half of lo … hi with as few digits as possible.
func short(lo, hi float64) float64 {
	if lo <= 0 && hi >= 0 {
		return 0
	}
	mid := lo + (hi-lo)/2
	for d := 0; d < 16; d++ {
		v, err := strconv.ParseFloat(strconv.FormatFloat(mid, 'e', d, 64), 64)
		if err == nil && math.Abs(v-mid) <= (hi-lo)/4 {
			return v
		}
	}
	return mid
}

// setLogTicks puts ticks on a logarithmic axis whose labels stack across it.
func (a *axis) setLogTicks(m Measurer, size float64) {
	length := math.Abs(a.p1 - a.p0)
	major, minor := decades(a.lo, a.hi, int(length/(2*size)), length/(a.hi-a.lo) >= 2*size)
	a.major, a.minor, a.factor = nil, minor, nil
	for _, e := range major {
		s := powerOfTen(int(math.Round(e)), false)
		a.major = append(a.major, tick{at: e, label: s, width: runsWidth(m, s, size)})
	}
}

// widestLabel returns the width of the widest label.
func (a *axis) widestLabel() float64 {
	w := 0.0
	for _, t := range a.major {
		w = math.Max(w, t.width)
	}
	return w
}

// within returns the range of an axis that shows lo … hi with some air at both ends. A range of no width gets one
// around it, wide enough not to magnify rounding errors.
func within(lo, hi float64) (float64, float64) {
	const huge = 1e290 // leaves room for differences
	if !(lo <= hi) {   // nothing to show
		return -1, 1
	}
	lo, hi = math.Max(lo, -huge), math.Min(hi, huge)
	lo, hi = math.Min(lo, huge), math.Max(hi, -huge)
	largest := math.Max(math.Abs(lo), math.Abs(hi))
	switch {
	case largest < 1e-290:
		return -1, 1
	case hi-lo <= 1e-11*largest:
		mid := lo + (hi-lo)/2
		lo, hi = mid-0.5*largest, mid+0.5*largest
	default:
		air := 0.06 * (hi - lo)
		lo, hi = lo-air, hi+air
	}
	return lo, hi
}
