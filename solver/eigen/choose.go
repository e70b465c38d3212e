package eigen

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"
	"sort"
)

// matched is an eigenvalue that two discretisations agree on.
type matched struct {
	value complex128
	// moved is the difference between the two.
	moved float64
	// real reports that the imaginary part is no larger than its own uncertainty.
	real bool
}

// agreement is how far two discretisations may differ, relative to the eigenvalue or to the unit, to be about the same
// eigenvalue.
const agreement = 1e-3

// match pairs the eigenvalues of a finer discretisation with those of a coarser one. Those without a partner come
// second.
func match(coarse, fine []complex128, unit float64) (pairs []matched, alone []complex128) {
	used := make([]bool, len(coarse))
	order := slices.Clone(fine)
	sort.Slice(order, func(i, j int) bool { return cmp.Less(cmplx.Abs(order[i]), cmplx.Abs(order[j])) })
	for _, v := range order {
		best, at := math.Inf(1), -1
		for i, c := range coarse {
			if d := cmplx.Abs(c - v); !used[i] && d < best {
				best, at = d, i
			}
		}
		size := math.Max(cmplx.Abs(v), unit)
		if at < 0 || best > agreement*size {
			alone = append(alone, v)
			continue
		}
		used[at] = true
		pairs = append(pairs, matched{v, best, math.Abs(imag(v)) <= math.Max(10*best, 1e-7*size)})
	}
	return pairs, alone
}

// part says which part of the spectrum was taken.
type part int

const (
	lowest        part = iota // there is a least eigenvalue
	highest                   // there is none, but a greatest one
	nearest                   // neither, or a value to start near is given: those nearest to it
	complexOthers             // few are real, and the others are complex
)

// realsOf returns the real ones, ascending.
func realsOf(pairs []matched) []matched {
	var reals []matched
	for _, m := range pairs {
		if m.real {
			reals = append(reals, m)
		}
	}
	sort.Slice(reals, func(i, j int) bool { return cmp.Less(real(reals[i].value), real(reals[j].value)) })
	return reals
}

// choose takes the wanted eigenvalues, reals[lo:hi]. A choice is sound when, over a range somewhat wider than that of
// the chosen ones, no eigenvalue of the finer discretisation is without a partner. Those about a centre are taken when
// a value to start near is given, when there are plenty on both sides of it, or late: when the degree is so high that a
// least or a greatest one should have shown.
func choose(reals []matched, alone []complex128, count int, centre float64, near, late bool) (lo, hi int, which part,
	ok bool) {
	const spare = 2
	wide := count + spare
	n := len(reals)
	clear := func(about, radius, margin float64) bool {
		for _, v := range alone {
			if cmplx.Abs(v-complex(about, 0)) <= radius+margin {
				return false
			}
		}
		return true
	}
	at := func(i int) float64 { return real(reals[i].value) }
	if !near && n >= wide {
		// An outlier makes the radius large, and not the distance within which something may be missing.
		margin := func(radius, spared float64) float64 { return math.Min(0.05*radius, spared) }
		if r := at(wide-1) - at(0); clear(at(0), r, margin(r, at(wide-1)-at(count-1))) {
			return 0, count, lowest, true
		}
		if r := at(n-1) - at(n-wide); clear(at(n-1), r, margin(r, at(n-count)-at(n-wide))) {
			return n - count, n, highest, true
		}
	}
	below := 0
	for below < n && at(below) < centre {
		below++
	}
	if near || late || below >= wide && n-below >= wide {
		// Widen about the centre; of two equally near ones the greater first.
		lo, hi = below, below
		for hi-lo < count && (lo > 0 || hi < n) {
			if lo == 0 || hi < n && at(hi)-centre <= (centre-at(lo-1))*(1+1e-9) {
				hi++
			} else {
				lo--
			}
		}
		if hi-lo == count {
			radius := math.Max(at(hi-1)-centre, centre-at(lo))
			if lo > 0 {
				radius = math.Max(radius, centre-at(lo-1))
			}
			if hi < n {
				radius = math.Max(radius, at(hi)-centre)
			}
			if clear(centre, radius, 0.05*radius) {
				return lo, hi, nearest, true
			}
		}
	}
	return 0, 0, lowest, false
}

// amongComplex takes the real eigenvalues, reals[lo:hi], in a disc about the centre in which no eigenvalue is without a
// partner and several are complex.
func amongComplex(pairs, reals []matched, alone []complex128, count int, centre float64) (lo, hi int, ok bool) {
	radius := math.Inf(1)
	for _, v := range alone {
		radius = math.Min(radius, cmplx.Abs(v-complex(centre, 0))/1.05)
	}
	inside, complexes := 0, 0
	for _, m := range pairs {
		if cmplx.Abs(m.value-complex(centre, 0)) < radius {
			inside++
			if !m.real {
				complexes++
			}
		}
	}
	if inside < count+2 || complexes < 2 {
		return 0, 0, false
	}
	for lo < len(reals) && real(reals[lo].value) <= centre-radius {
		lo++
	}
	hi = lo
	for hi < len(reals) && real(reals[hi].value) < centre+radius {
		hi++
	}
	// No more than wanted: the farther end goes first.
	for hi-lo > count {
		if centre-real(reals[lo].value) > real(reals[hi-1].value)-centre {
			lo++
		} else {
			hi--
		}
	}
	return lo, hi, hi > lo
}
