package singular

import (
	"fmt"
	"math"
	"slices"

	"nodespan/solver/bvp"
)

// Powers that are tried. Beyond mostPower the nodes next to the end come so near to it that rounding of x, unless the
// end is 0, is felt.
const mostPower = 12

// Stretches lists the changes of variable to try in turn for a problem with singular ends, best first; none when there
// is nothing to gain.
func Stretches(p *bvp.Problem) []*Stretch {
	ends := Ends(p)
	var out []*Stretch
	if len(ends) == 0 {
		return nil
	}
	order := 0
	for _, u := range p.Unknowns {
		order = max(order, u.Order)
	}
	lists := make([][]int, len(ends))
	most := 0
	for i, e := range ends {
		lists[i] = e.proposals(order)
		most = max(most, len(lists[i]))
	}
	for i := range most {
		q := make([]int, len(ends))
		for j, l := range lists {
			q[j] = l[min(i, len(l)-1)]
		}
		if st := New(p, ends, q...); st != nil {
			out = append(out, st)
		}
	}
	return out
}

// Fractional reports whether solutions of a linear problem are known to hold powers, at one of its singular ends, that
// are no whole numbers.
func Fractional(ends []End) bool { return slices.ContainsFunc(ends, End.fractional) }

// proposals lists powers for the stretch of an end: the least that makes all powers of the solution whole numbers, and
// some that make logarithms and irrational powers smooth enough for elements that shrink towards the end.
func (e End) proposals(order int) []int {
	all := slices.Clone(e.powers)
	for _, r := range e.Exponents {
		if real(r) > equal {
			all = append(all, real(r))
		}
	}
	mostPower := mostPower
	low := func(v float64) bool { return v != e.source && v < 0.6 }
	if e.X != 0 && len(e.powers) > 0 && (e.source == 0 || slices.ContainsFunc(e.powers, low)) {
		mostPower = 4 // rounding of x beside the end would be felt
	}
	var out []int
	for q := 2; q <= mostPower && len(all) > 0; q++ {
		whole := !slices.ContainsFunc(all, func(v float64) bool {
			v *= float64(q)
			return math.Abs(v-math.Round(v)) > equal
		})
		if whole {
			out = append(out, q)
			break
		}
	}
	// The least power times q is to have its derivatives below the order bounded.
	least := 1.0
	for _, v := range all {
		if v > equal {
			least = math.Min(least, v)
		}
	}
	smooth := min(max(int(math.Ceil(float64(order)/least)), 4), mostPower)
	for _, q := range []int{smooth, 2, 3} {
		if !slices.Contains(out, q) {
			out = append(out, q)
		}
	}
	return out
}

// Power returns the (larger) power q of the stretch.
func (s *Stretch) Power() float64 {
	if s.second != nil {
		return math.Max(s.first.q, s.second.q)
	}
	return s.first.q
}

// Least is the number of nodes with which a polynomial in s may begin: what is smooth in x has the powers s^q, s^(2q)
// …, which fewer do not see.
func (s *Stretch) Least() int { return int(s.Power()) + s.first.width + 4 }

// Sentence says what was done.
func (s *Stretch) Sentence(variable string) string {
	where := fmt.Sprintf("%s = %.6g", variable, s.first.end)
	if s.second != nil {
		where += fmt.Sprintf(" and %.6g", s.second.end)
	}
	return fmt.Sprintf("the equation is singular at %s, and slopes may be unbounded there: the tolerance holds for "+
		"the unknown itself, found in a variable that stretches the neighbourhood", where)
}
