package plot

// Where the ticks of an axis stand. Axes, their labels and their sizes in pixels are in axis.go.

import "math"

// niceSteps are the steps that are read most easily, best first, each times a power of ten.
var niceSteps = [...]float64{1, 5, 2, 2.5, 4, 3}

// regular are evenly spaced ticks from first to last, whose decimals end at the power of ten end.
type regular struct {
	first, last, step float64
	end               int
}

// ticks returns ascending tick positions inside lo … hi, about want of them, at multiples of a nice step.
// It returns nil when no two positions that fits accepts exist. fits says whether the labels of the ticks have room
// (and so stands for the legibility term of the paper).
//
// It maximises the score of
//
//	J. Talbot, S. Lin, P. Hanrahan, "An extension of Wilkinson's algorithm for positioning tick labels on
//	axes", IEEE Transactions on Visualization and Computer Graphics 16(6), 2010, 1036–1043
//
// (from memory):
//
//	0.25 simplicity + 0.2 coverage + 0.5 density + 0.05 legibility
//
// over the step's mantissa q, the skip j, the number of ticks k, the power of ten z and the start, leaving a loop
// as soon as the largest score left in it is below the best one found. Unlike the paper's, the axis is given, so that
// ticks outside it are not candidates.
//
// It is deep because the loops stand inside each other as in the paper: each bound needs the variables of the loops
// around it.
func ticks(lo, hi float64, want float64, fits func(regular) bool) (at []float64, r regular) {
	span := hi - lo
	// Below this the multiples of a step are no longer told apart.
	if !(span > 1e-13*math.Max(math.Abs(lo), math.Abs(hi))) || math.IsInf(span, 0) || span < 1e-290 {
		return nil, regular{}
	}
	want = math.Max(want, 2)
	score := func(simplicity, coverage, density float64) float64 {
		return 0.25*simplicity + 0.2*coverage + 0.5*density + 0.05
	}
	const most = 200 // ticks: more are never wanted
	best := -2.0
	var found struct{ start, j, k, q, z float64 }
	n := float64(len(niceSteps))
	slack := 1e-10*span + 2.2e-16*math.Max(math.Abs(lo), math.Abs(hi))
	for j := 1.0; j < 50; j++ {
		ended := false
		for i, q := range niceSteps {
			simplest := 1 - float64(i)/(n-1) - j + 1
			if score(simplest, 1, 1) < best {
				ended = true
				break
			}
			for k := 2.0; k <= most; k++ {
				if score(simplest, 1, densityMost(k, want)) < best {
					break
				}
				delta := span / (k + 1) / j / q
				z := math.Ceil(math.Log10(delta))
				for step := j * q * math.Pow(10, z); z < 300; z, step = z+1, step*10 {
					if score(simplest, coverageMost(span, step*(k-1)), densityMost(k, want)) < best ||
						step*(k-1) > span+2*slack {
						break
					}
					// Starts are multiples of step/j; inside the axis only.
					unit := step / j
					first, last := math.Ceil((lo-slack)/unit), math.Floor((hi+slack-step*(k-1))/unit)
					for start := first; start <= last; start++ {
						t0 := start * unit
						t1 := t0 + step*(k-1)
						simplicity := 1 - float64(i)/(n-1) - j
						if onZero := math.Mod(start, j); onZero == 0 && t0 <= 0 && t1 >= -slack {
							simplicity++
						}
						density, wanted := (k-1)/(t1-t0), (want-1)/span
						s := score(simplicity, coverage(lo, hi, t0, t1), 2-math.Max(density/wanted, wanted/density))
						if s > best && fits(regular{t0, t1, step, endOfDigits(q, z)}) {
							best = s
							found.start, found.j, found.k, found.q, found.z = start, j, k, q, z
						}
					}
				}
			}
		}
		if ended {
			break
		}
	}
	if found.k == 0 {
		return nil, regular{}
	}
	r.end = endOfDigits(found.q, found.z)
	for m := 0.0; m < found.k; m++ {
		// A multiple of the unit, not a sum of steps, so that no error builds up.
		at = append(at, multiple(found.start+m*found.j, found.q, found.z))
	}
	r.first, r.last = at[0], at[len(at)-1]
	r.step = (r.last - r.first) / (found.k - 1)
	return at, r
}

// endOfDigits returns the power of ten of the last decimal of multiples of q·10^z.
func endOfDigits(q, z float64) int {
	if q == 2.5 {
		return int(z) - 1
	}
	return int(z)
}

// multiple returns n·q·10^z, rounded once where z is negative.
func multiple(n, q, z float64) float64 {
	var v float64
	if z < 0 {
		v = n * q / math.Pow(10, -z)
	} else {
		v = n * q * math.Pow(10, z)
	}
	if v == 0 {
		return 0 // no negative zero
	}
	return v
}

// coverage is the paper's: 1 - 1/2 ((hi-t1)² + (lo-t0)²)/(0.1 (hi-lo))².
func coverage(lo, hi, t0, t1 float64) float64 {
	w := 0.1 * (hi - lo)
	return 1 - 0.5*((hi-t1)*(hi-t1)+(lo-t0)*(lo-t0))/(w*w)
}

// coverageMost is the largest coverage that ticks spanning t can have.
func coverageMost(span, t float64) float64 {
	half, w := (t-span)/2, 0.1*span
	return 1 - half*half/(w*w)
}

// densityMost is the largest density that k ticks can have where m are wanted.
func densityMost(k, m float64) float64 {
	if k >= m {
		return 2 - (k-1)/(m-1)
	}
	return 1
}

// decades returns the ticks of a logarithmic axis from 10^lo to 10^hi as exponents: the labelled decades, at most
// want of them, and the minor ticks, which are the decades between, or the 2, 3, …, 9 of each decade where a decade
// is at least minorRoom times as long as a label's share.
func decades(lo, hi float64, want int, minorRoom bool) (major, minor []float64) {
	first, last := math.Ceil(lo-1e-9), math.Floor(hi+1e-9)
	want = max(want, 2)
	step := 1.0
	for _, s := range []float64{1, 2, 3, 4, 5, 10, 20, 50, 100, 200} {
		step = s
		if math.Floor(last/s)-math.Ceil(first/s)+1 <= float64(want) {
			break
		}
	}
	for e := math.Ceil(first/step) * step; e <= last; e += step {
		major = append(major, e+0)
	}
	switch {
	case step > 1:
		for e := first; e <= last; e++ {
			if math.Mod(e, step) != 0 {
				minor = append(minor, e)
			}
		}
	case minorRoom:
		for e := math.Floor(lo); e < hi; e++ {
			for m := 2.0; m <= 9; m++ {
				if t := e + math.Log10(m); t >= lo && t <= hi {
					minor = append(minor, t)
				}
			}
		}
	}
	return major, minor
}
