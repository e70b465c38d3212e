package eigen

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"
)

// matched is an eigenvalue that two discretisations agree on.
type matched struct {
	value complex128
	// moved is the difference between the two.
	moved float64
	// real reports that the imaginary part is no larger than its own uncertainty.
	real bool
}

// agreement is how far two discretisations may differ, relative to the eigenvalue or to the unit, to be about the same eigenvalue.
const agreement = 1e-3

// match pairs the eigenvalues of a finer discretisation with those of a coarser one. Those without a partner come second.
func match(coarse, fine []complex128, unit float64) (pairs []matched, alone []complex128) {
	used := make([]bool, len(coarse))
	order := slices.Clone(fine)
	slices.SortFunc(order, func(a, b complex128) int { return cmp.Compare(cmplx.Abs(a), cmplx.Abs(b)) })
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

// side says which part of the spectrum was taken.
type side int

const (
	lowest  side = iota // there is a least eigenvalue
	highest             // there is none, but a greatest one
	nearest             // neither, or a value to start near is given: those nearest to it
)

// choose takes the wanted eigenvalues, ascending. A choice is sound when, over a range somewhat wider than that of the chosen
// ones, no eigenvalue of the finer discretisation is without a partner. late admits the choice about a centre although
// the spectrum may still turn out to have a least or a greatest value.
func choose(pairs []matched, alone []complex128, count int, centre float64, near, late bool) (chosen []matched, which side, ok bool) {
	var reals []matched
	for _, m := range pairs {
		if m.real {
			reals = append(reals, m)
		}
	}
	slices.SortFunc(reals, func(a, b matched) int { return cmp.Compare(real(a.value), real(b.value)) })
	const spare = 2
	clear := func(about, radius float64) bool {
		for _, v := range alone {
			if cmplx.Abs(v-complex(about, 0)) <= radius*1.05 {
				return false
			}
		}
		return true
	}
	wide := count + spare
	if !near && len(reals) >= wide {
		low := real(reals[0].value)
		if clear(low, real(reals[wide-1].value)-low) {
			return reals[:count], lowest, true
		}
		high := real(reals[len(reals)-1].value)
		if clear(high, high-real(reals[len(reals)-wide].value)) {
			return reals[len(reals)-count:], highest, true
		}
	}
	if near || late {
		about := slices.Clone(reals)
		slices.SortStableFunc(about, func(a, b matched) int {
			return cmp.Compare(math.Abs(real(a.value)-centre), math.Abs(real(b.value)-centre))
		})
		n := min(count+spare, len(about))
		if n >= count && clear(centre, math.Abs(real(about[n-1].value)-centre)) {
			chosen = about[:count]
			slices.SortFunc(chosen, func(a, b matched) int { return cmp.Compare(real(a.value), real(b.value)) })
			return chosen, nearest, true
		}
	}
	return nil, lowest, false
}
