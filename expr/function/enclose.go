package function

import "math"

// enclosure bounds a function of an order n (0 for one without), and its derivative, on an interval.
type enclosure func(f *Function, n int, a Interval) (v, d Interval)

// shape is what bounds of a function and of its derivative rest on: both are monotone between the points named, so that
// their extremes over an interval stand at its ends and at these points.
type shape struct {
	turns  []float64 // extremes of the function
	bends  []float64 // extremes of its derivative, and its infinities
	domain Interval  // where it is real
	pole   bool      // at 0
}

// sechBends is where the derivative of sech is largest and least: ±ln(1 + √2).
var sechBends = []float64{-0.88137358701954302523, 0.88137358701954302523}

var zero = []float64{0}

var positive = Interval{0, math.Inf(1)}

// bounds bounds a function of this shape.
func (s shape) bounds(f *Function, n int, a Interval) (v, d Interval) {
	if a.Hi < s.domain.Lo || a.Lo > s.domain.Hi || s.pole && a.Has(0) {
		return Everything, Everything
	}
	// What lies outside has no value; the rest is bounded.
	a = Interval{max(a.Lo, s.domain.Lo), min(a.Hi, s.domain.Hi)}
	p, q := f.At(n, a.Lo), f.At(n, a.Hi)
	e, g := f.SlopeAt(n, a.Lo, p), f.SlopeAt(n, a.Hi, q)
	v, d = Interval{min(p, q), max(p, q)}, Interval{min(e, g), max(e, g)}
	for _, t := range s.turns {
		if a.Has(t) {
			p = f.At(n, t)
			v = Interval{min(v.Lo, p), max(v.Hi, p)}
		}
	}
	for _, t := range s.bends {
		if a.Has(t) {
			e = f.SlopeAt(n, t, f.At(n, t))
			d = Interval{min(d.Lo, e), max(d.Hi, e)}
		}
	}
	return v.Sane(), d.Sane()
}

// monotone is the enclosure of a function that rises or falls throughout its domain, as its derivative does but at
// bends.
func monotone(domain Interval, bends ...float64) enclosure {
	return shape{domain: domain, bends: bends}.bounds
}

//go:noinline
func sine(a Interval) Interval { return wave(math.Sin, a, math.Pi/2) }

//go:noinline
func cosine(a Interval) Interval { return wave(math.Cos, a, 0) }

// wave bounds the sine or the cosine f, whose maxima are at top + 2kπ.
func wave(f func(float64) float64, a Interval, top float64) Interval {
	if !(a.Hi-a.Lo < 2*math.Pi) {
		return Interval{-1, 1}
	}
	p, q := f(a.Lo), f(a.Hi)
	v := Interval{min(p, q), max(p, q)}
	// The first extreme from a.Lo on; there may be one more.
	k := math.Ceil((a.Lo - top) / math.Pi)
	for range 3 {
		if top+k*math.Pi > a.Hi {
			break
		}
		if math.Mod(k, 2) == 0 {
			v.Hi = 1
		} else {
			v.Lo = -1
		}
		k++
	}
	return v
}

// crosses reports whether an interval holds a point first + kπ, or nearly.
func crosses(a Interval, first float64) bool {
	if !(a.Hi-a.Lo < math.Pi) {
		return true
	}
	return first+math.Ceil((a.Lo-first)/math.Pi)*math.Pi <= a.Hi
}

func encloseSin(_ *Function, _ int, a Interval) (v, d Interval) { return sine(a), cosine(a) }
func encloseCos(_ *Function, _ int, a Interval) (v, d Interval) { return cosine(a), sine(a).Negative() }

func encloseTan(_ *Function, _ int, a Interval) (v, d Interval) {
	if crosses(a, math.Pi/2) {
		return Everything, Everything
	}
	t := Interval{math.Tan(a.Lo), math.Tan(a.Hi)}
	s := t.Power(2)
	return t, Interval{1 + s.Lo, 1 + s.Hi}
}

func encloseSec(_ *Function, _ int, a Interval) (v, d Interval) {
	if crosses(a, math.Pi/2) {
		return Everything, Everything
	}
	v = cosine(a).Inverse()
	return v, v.Times(Interval{math.Tan(a.Lo), math.Tan(a.Hi)})
}

func encloseCot(_ *Function, _ int, a Interval) (v, d Interval) {
	if crosses(a, 0) {
		return Everything, Everything
	}
	t := Interval{1 / math.Tan(a.Hi), 1 / math.Tan(a.Lo)}
	s := t.Power(2)
	return t, Interval{-1 - s.Hi, -1 - s.Lo}
}

func encloseCsc(_ *Function, _ int, a Interval) (v, d Interval) {
	if crosses(a, 0) {
		return Everything, Everything
	}
	v = sine(a).Inverse()
	return v, v.Times(Interval{1 / math.Tan(a.Hi), 1 / math.Tan(a.Lo)}).Negative()
}

// step encloses a function that jumps up at 0 and is constant on either side.
func step(f *Function, n int, a Interval) (v, d Interval) {
	v = Interval{f.At(n, a.Lo), f.At(n, a.Hi)}
	switch {
	case a.Lo >= 0 && a.Hi > 0: // an open stretch: the end at 0 is not taken
		v.Lo = 1
	case a.Hi <= 0 && a.Lo < 0:
		v.Hi = v.Lo
	default:
		return v, Everything
	}
	return v, Interval{}
}

// sampledBetweenPoles encloses a function with poles at 0, −1, −2, …
func sampledBetweenPoles(f *Function, n int, a Interval) (v, d Interval) {
	if a.Lo <= 0 && math.Floor(min(a.Hi, 0)) >= a.Lo {
		return Everything, Everything
	}
	return sampled(f, n, a)
}

// sampled bounds a function by its values at some points, widened by the largest step between neighbours.
func sampled(f *Function, n int, a Interval) (v, d Interval) {
	if !a.Bounded() {
		return Everything, Everything
	}
	const points = 8
	v, d = Interval{math.Inf(1), math.Inf(-1)}, Interval{math.Inf(1), math.Inf(-1)}
	var value, slope, step, bend float64
	for i := range points + 1 {
		x := a.Lo + (a.Hi-a.Lo)*float64(i)/points
		p := f.At(n, x)
		e := f.SlopeAt(n, x, p)
		if math.IsNaN(p) || math.IsNaN(e) {
			return Everything, Everything
		}
		if i > 0 {
			step, bend = max(step, math.Abs(p-value)), max(bend, math.Abs(e-slope))
		}
		value, slope = p, e
		v, d = Interval{min(v.Lo, p), max(v.Hi, p)}, Interval{min(d.Lo, e), max(d.Hi, e)}
	}
	return Interval{v.Lo - step, v.Hi + step}.Sane(), Interval{d.Lo - bend, d.Hi + bend}.Sane()
}
