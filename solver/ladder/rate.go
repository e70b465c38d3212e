package ladder

import (
	"fmt"
	"math"
	"slices"

	"nodespan/solver"
	"nodespan/solver/nodes"
)

// Kind of a rate.
type Kind string

const (
	Geometric Kind = "geometric" // the error falls by a factor with each node
	Algebraic Kind = "algebraic" // the error falls by a factor with each doubling
	NoRate    Kind = ""          // too few rungs fall to say
)

// Rate is how an error falls.
type Rate struct {
	Kind Kind
	// DigitsPerNode is how many decimal digits each node adds (geometric); 10 to that power is the factor, ρ of the
	// Bernstein ellipse (L. N. Trefethen, Approximation Theory and Approximation Practice, 2013, chapter 8).
	DigitsPerNode float64
	// Order is p in N^−p (algebraic).
	Order float64
	// From and To are the indices of the first and last rung that the rate is read from.
	From, To int
}

// String says how the error falls in a few words, "" where nobody can say.
func (r Rate) String() string {
	switch r.Kind {
	case Geometric:
		return fmt.Sprintf("%.2g digits a node", r.DigitsPerNode)
	case Algebraic:
		return fmt.Sprintf("order %.1f", r.Order)
	}
	return ""
}

// Thresholds, chosen by looking at ladders; see the tests for what they must tell apart.
const (
	plateauSpread = 10     // rungs on a plateau differ by no more than this factor
	plateauLevel  = 1e-9   // a flat stretch above it is a solution that is not resolved, and no plateau
	wiggleGrowth  = 20     // how much larger than the best error all the last ones are where more nodes harm
	above         = 30     // rungs this factor above the plateau are taken as free of it
	fewestRungs   = 3      // that a rate is read from
	asymptotic    = 12     // so many falling rungs allow to leave the first half out
	scatter       = 0.7    // digits about the line, above which errors do not fall but jump
	resolvedFrom  = 1. / 3 // of the largest error: where falling begins
)

// read finds the marks of a series. floor is the error of what it was measured against.
func (s *Series) read(tol, floor float64) {
	s.FirstMet, s.PlateauFrom, s.WiggleFrom = -1, -1, -1
	n := len(s.Rungs)
	for i, r := range s.Rungs {
		if r.Solved() && r.Relative <= tol {
			s.FirstMet = i
			break
		}
	}
	best := s.Best()
	if best < 0 {
		return
	}
	last := n
	if s.readWiggle(best); s.WiggleFrom >= 0 {
		last = best + 1
	} else if s.readPlateau(floor); s.PlateauFrom >= 0 {
		for last = s.PlateauFrom; last > 0 && !(s.Rungs[last-1].Relative > above*s.Plateau); last-- {
		}
	}
	s.Rate = s.fit(last)
}

func (s *Series) tail(share int) []Rung {
	return s.Rungs[len(s.Rungs)-min(len(s.Rungs), max(3, len(s.Rungs)/share)):]
}

// readWiggle looks for errors that grow again and stay large: of one polynomial through nodes that magnify. Where
// others err more on more nodes it is rounding, or a layer of which they see nothing at first.
func (s *Series) readWiggle(best int) {
	n := s.Rungs[len(s.Rungs)-1].Nodes
	if s.Method != solver.One || best >= len(s.Rungs)-3 || !magnifies(nodes.Lebesgue(nodes.Interior(s.Family, n)), n) {
		return
	}
	low := math.Max(s.Rungs[best].Relative, 1e-16)
	for _, r := range s.tail(4) {
		if r.Relative < wiggleGrowth*low {
			return
		}
	}
	s.WiggleFrom = best + 1
	for i := len(s.Rungs) - 1; i > best && !(s.Rungs[i].Relative < 3*low); i-- {
		s.WiggleFrom = i
	}
}

func (s *Series) readPlateau(floor float64) {
	if len(s.Rungs) < 5 {
		return
	}
	most, sum, count := 0.0, 0.0, 0
	for _, r := range s.tail(5) {
		if r.Solved() {
			most = math.Max(most, r.Relative)
			sum += math.Log(math.Max(r.Relative, 1e-17))
			count++
		}
	}
	if count == 0 || most > math.Max(plateauLevel, 100*floor) {
		return
	}
	level := math.Exp(sum / float64(count))
	from := slices.IndexFunc(s.Rungs,
		func(r Rung) bool { return r.Solved() && r.Relative <= plateauSpread*math.Max(level, 1e-16) })
	// A slow fall looks flat over a few rungs: short plateaus must be at the rounding of the values themselves.
	least := len(s.Rungs) / 4
	if level < roundingTail {
		least /= 2
	}
	if from < 0 || from > len(s.Rungs)-max(4, least) {
		return
	}
	s.Plateau, s.PlateauFrom = level, from
}

// fit reads the rate from the rungs below index last.
func (s *Series) fit(last int) Rate {
	return fit(s.Rungs[:last], func(r Rung) float64 { return r.Relative }, s.Method == solver.One)
}

// fit reads a rate from rungs in ascending order. mayBeGeometric: one polynomial; its errors often fall in pairs, when
// the solution is nearly even or odd, so that each counts as the larger of itself and the next.
func fit(rungs []Rung, of func(Rung) float64, mayBeGeometric bool) Rate {
	type point struct {
		at   int
		n, e float64
	}
	var all []point
	most := 0.0
	for i, r := range rungs {
		e := of(r)
		if !r.Solved() || e == 0 || math.IsInf(e, 0) {
			continue
		}
		n := float64(r.Steps)
		if mayBeGeometric {
			n = float64(r.Nodes)
			if i+1 < len(rungs) && of(rungs[i+1]) > e {
				e = of(rungs[i+1])
			}
		}
		most = math.Max(most, e)
		all = append(all, point{i, n, e})
	}
	from := len(all)
	for from > 0 && all[from-1].e <= resolvedFrom*most {
		from--
	}
	all = all[from:]
	if len(all) < fewestRungs || all[len(all)-1].e > math.Min(0.1, most/10) { // nothing that stands, nothing that falls
		return Rate{}
	}
	// The line through log e over x(n), and the root of the mean square distance to it, in digits.
	line := func(x func(float64) float64) (slope, miss float64) {
		var sx, sy, sxx, sxy float64
		for _, p := range all {
			a, b := x(p.n), math.Log10(p.e)
			sx += a
			sy += b
			sxx += a * a
			sxy += a * b
		}
		m := float64(len(all))
		slope = (m*sxy - sx*sy) / (m*sxx - sx*sx)
		for _, p := range all {
			d := math.Log10(p.e) - sy/m - slope*(x(p.n)-sx/m)
			miss += d * d
		}
		return slope, math.Sqrt(miss / m)
	}
	count := func(n float64) float64 { return n }
	kind := Algebraic
	if mayBeGeometric {
		_, missA := line(math.Log10)
		_, missG := line(count)
		if math.Min(missA, missG) > scatter {
			return Rate{}
		}
		if missG <= missA {
			kind = Geometric
		}
		if len(all) >= asymptotic {
			all = all[len(all)/2:]
		}
	} else {
		// The order is that of the finest rungs.
		all = all[len(all)-min(len(all), max(fewestRungs, len(all)/2)):]
	}
	r := Rate{Kind: kind, From: all[0].at, To: all[len(all)-1].at}
	if kind == Geometric {
		slope, _ := line(count)
		r.DigitsPerNode = -slope
	} else {
		slope, _ := line(math.Log10)
		r.Order = -slope
	}
	if !(r.DigitsPerNode+r.Order > 0) {
		return Rate{}
	}
	return r
}
