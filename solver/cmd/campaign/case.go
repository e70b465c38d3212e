package main

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"nodespan/solver"
	"nodespan/solver/nodes"
)

// A Case is a sheet with options, and what is known of its answer.
type Case struct {
	Name    string
	Sheet   string
	Options solver.Options
	// Asks are the numbers that are looked at.
	Asks []Ask
	// Must says that an answer to the tolerance is within reach. Otherwise it is enough that what is claimed is true.
	Must bool
	// Refused, when not empty, says that there is no answer, and lists the words of which the message must hold one.
	Refused []string
	// Never lists words that the message must not hold.
	Never []string
	// reach is the tolerance below which rounding leaves no answer.
	reach float64
	truth *truth
	twin  *twin
	// kinks are where the highest derivative jumps, so that it has no value.
	kinks []float64
	// steep are where the slope has no value, or two.
	steep []float64
}

// An Ask is one number with its truth: "y'(0.5)", the name of a sought number or of a report, or "lambda_2" for the
// second eigenvalue.
type Ask struct {
	What string
	Want float64
	// Of an unknown: its name, the order of its derivative, and where.
	name  string
	order int
	place float64
	// slack is what Want itself may be off by.
	slack float64
	// also are other right answers.
	also []float64
	// scale is the least size that it is measured by.
	scale float64
}

// at asks for a derivative of an unknown at a point.
func at(name string, order int, x, want float64) Ask {
	return Ask{What: fmt.Sprintf("%s%s(%s)", name, primes(order), written(x)), Want: want, name: name, order: order,
		place: x}
}

// readAsk reads what an ask is about from its words.
func readAsk(what string, want float64) (Ask, error) {
	a := Ask{What: what, Want: want}
	if strings.HasPrefix(what, "report ") {
		return a, nil
	}
	left, right, ok := strings.Cut(what, "(")
	if !ok {
		return a, nil
	}
	x, err := strconv.ParseFloat(strings.TrimSuffix(right, ")"), 64)
	if err != nil {
		return a, err
	}
	a.name = strings.TrimRight(left, "'")
	a.order, a.place = len(left)-len(a.name), x
	return a, nil
}

// draw makes random cases.
type draw struct {
	*rand.Rand
}

// newDraw returns the source of case number i of a family, which depends on nothing else.
func newDraw(seed uint64, family string, i int) *draw {
	h := fnv.New64a()
	h.Write([]byte(family))
	return &draw{rand.New(rand.NewPCG(seed, h.Sum64()+uint64(i)))}
}

// between draws a decimal with few digits.
func (d *draw) between(lo, hi float64, digits int) string {
	return strconv.FormatFloat(lo+(hi-lo)*d.Float64(), 'g', digits, 64)
}

// spread draws a decimal whose logarithm is uniform.
func (d *draw) spread(lo, hi float64, digits int) string {
	v := pow(lo, hi, d.Float64())
	return written(rounded(v, digits))
}

func (d *draw) chance(p float64) bool { return d.Float64() < p }

func pick[T any](d *draw, of ...T) T { return of[d.IntN(len(of))] }

// pow is lo for t = 0 and hi for t = 1, and uniform in its logarithm between.
func pow(lo, hi, t float64) float64 { return lo * math.Pow(hi/lo, t) }

func parsed(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(err)
	}
	return v
}

func rounded(v float64, digits int) float64 {
	return parsed(strconv.FormatFloat(v, 'g', digits, 64))
}

// tolerance draws one from lo down to hi, uniform in its logarithm, to one digit.
func (d *draw) tolerance(lo, hi float64) float64 { return rounded(pow(lo, hi, d.Float64()), 1) }

// method draws a method for a problem that suits the ones allowed, and says whether it must then be solved. Differences
// are of second order: they are held to solve at loose tolerances alone.
func (d *draw) method(c *Case, one, differences bool) {
	o := &c.Options
	o.Tol = d.tolerance(1e-3, 1e-12)
	c.Must = true
	switch v := d.Float64(); {
	case v < 0.55:
	case v < 0.75:
		o.Method = solver.Pieces
	case v < 0.87:
		o.Method = solver.One
		c.Must = one
	default:
		o.Method = solver.Differences
		o.Tol = d.tolerance(1e-3, 1e-8)
		c.Must = differences && o.Tol >= 1e-4
	}
	if o.Method != solver.Differences && d.chance(0.2) {
		o.Family = pick(d, nodes.Families()[1:]...)
		if o.Family.Wiggles() {
			c.Must = false // one polynomial of equally spaced nodes may not settle at all
		}
	}
}

// sheet joins statements by one of the ways that people use.
func (d *draw) sheet(statements ...string) string {
	return strings.Join(statements, pick(d, "\n", "; ", ", "))
}

// pose fills a case in: its sheet from the equations, the conditions and the rest, its truth, and what is asked at the
// points.
func (c *Case) pose(d *draw, t *truth, orders []int, equations []string, conditions []condition, rest []string,
	points ...float64) *Case {
	t.fix(conditions)
	c.truth = t
	lines := append([]string{}, equations...)
	lines = append(lines, rest...)
	for _, k := range conditions {
		lines = append(lines, k.text(t.names))
	}
	c.Sheet = d.sheet(lines...)
	for _, x := range points {
		seen := map[*formula]num{}
		for u, order := range orders {
			for k := range order {
				if k > 0 && slices.Contains(c.steep, x) {
					continue
				}
				c.Asks = append(c.Asks, at(t.names[u], k, x, float(t.at(u, k, of(x), seen))))
			}
		}
	}
	return c
}
