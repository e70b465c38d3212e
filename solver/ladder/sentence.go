package ladder

import (
	"fmt"
	"math"
	"strings"

	"nodespan/solver"
)

// Digits returns how many decimal digits a relative error leaves standing, at least 0 and at most 16.
func Digits(relative float64) int {
	if !(relative > 0) {
		if relative == 0 {
			return 16
		}
		return 0
	}
	return min(max(int(math.Floor(-math.Log10(relative))), 0), 16)
}

var small = [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
	"twelve"}

// count writes a number in words up to twelve.
//
//go:noinline
func count(n int) string {
	if n >= 0 && n < len(small) {
		return small[n]
	}
	return fmt.Sprint(n)
}

//go:noinline
func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

//go:noinline
func digits(n int) string { return fmt.Sprintf("%d %s", n, plural(n, "digit", "digits")) }

// sentence says what the ladder shows: of the first series of one polynomial, of the others in short.
func (l *Ladder) sentence() string {
	var clauses []string
	for i := range l.Series {
		s := &l.Series[i]
		if s.Best() < 0 {
			continue
		}
		if len(clauses) == 0 {
			clauses = append(clauses, s.opening(l.Tol))
			if c := s.growth(); c != "" {
				clauses = append(clauses, c)
			}
			continue
		}
		clauses = append(clauses, s.aside(l.Tol))
	}
	if len(clauses) == 0 {
		return "No rung of the ladder has a solution"
	}
	return capital(strings.Join(clauses, "; "))
}

// what names the discretisation of a rung.
func (s *Series) what(r Rung) string {
	switch s.Method {
	case solver.One:
		return fmt.Sprintf("%s interior %s %s", count(r.Nodes), s.Family.Title(), plural(r.Nodes, "node", "nodes"))
	case solver.Pieces:
		return fmt.Sprintf("%s equal %s of %s %s nodes", count(r.Steps), plural(r.Steps, "piece", "pieces"),
			count(r.Nodes), s.Family.Title())
	}
	return fmt.Sprintf("%s differences with %d %s", ordinal(s.Order), r.Nodes, plural(r.Nodes, "point", "points"))
}

func ordinal(order int) string {
	return map[int]string{2: "second-order", 4: "fourth-order", 6: "sixth-order", 8: "eighth-order"}[order]
}

// opening names the first rung that meets the tolerance, or the best one, and what it gives.
func (s *Series) opening(tol float64) string {
	at := s.FirstMet
	if at < 0 {
		at = s.Best()
	}
	r := s.Rungs[at]
	d := Digits(r.Relative)
	if d == 0 {
		r = s.Rungs[len(s.Rungs)-1]
	}
	many := r.Nodes
	switch s.Method {
	case solver.Pieces:
		many = r.Steps
	case solver.Differences:
		many = 2 // the differences
	}
	verb := plural(many, "gives", "give")
	switch asked := int(math.Round(-math.Log10(tol))); {
	case d == 0:
		return fmt.Sprintf("%s %s not one digit", s.what(r), verb)
	case s.FirstMet < 0 && d < asked:
		return fmt.Sprintf("%s %s %d of the %s asked for", s.what(r), verb, d, digits(asked))
	}
	return fmt.Sprintf("%s %s %s", s.what(r), verb, digits(d))
}

// growth says what more nodes bring.
func (s *Series) growth() string {
	if s.WiggleFrom >= 0 {
		return fmt.Sprintf("from %s nodes on the polynomial wiggles and the error grows",
			count(s.Rungs[s.WiggleFrom].Nodes))
	}
	var c string
	switch d := s.Rate.DigitsPerNode; {
	case s.Rate.Kind == Algebraic && s.Method == solver.One:
		return fmt.Sprintf("doubling the nodes adds about %.1f digits", s.Rate.Order*math.Log10(2))
	case s.Rate.Kind == Algebraic:
		return fmt.Sprintf("halving the steps adds about %.1f digits", s.Rate.Order*math.Log10(2))
	case s.Rate.Kind != Geometric:
		return ""
	case d >= 0.75:
		c = fmt.Sprintf("each further node adds about %s", count(int(math.Round(d))))
	default:
		k := int(math.Round(1 / d))
		if k > 40 {
			return "further nodes add next to nothing"
		}
		c = fmt.Sprintf("each %s further nodes add about one", count(k))
	}
	if s.PlateauFrom >= 0 {
		c += fmt.Sprintf(" until rounding ends it at %s", digits(Digits(s.Plateau)))
	}
	return c
}

// aside says in short what another series gives: differences at a hundred points (or the most that were climbed),
// others like the opening.
func (s *Series) aside(tol float64) string {
	if s.Method != solver.Differences {
		c := s.opening(tol)
		if s.WiggleFrom >= 0 {
			c += fmt.Sprintf(" and wiggle from %s on", count(s.Rungs[s.WiggleFrom].Nodes))
		}
		return c
	}
	at := s.Best()
	for i, r := range s.Rungs {
		if r.Nodes == 100 && r.Solved() {
			at = i
		}
	}
	if d := Digits(s.Rungs[at].Relative); d > 0 {
		return fmt.Sprintf("%s give %s", s.what(s.Rungs[at]), digits(d))
	}
	return s.what(s.Rungs[at]) + " give not one digit"
}
