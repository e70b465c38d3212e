package slips

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"nodespan/solver"
	"nodespan/solver/bvp"
)

// Options of a judgement. The zero value knows no variants.
type Options struct {
	// Variants are slips in formulas, which only a reader of formulas can make.
	Variants []Variant
	// Quantities are the problem's named numbers, which an offset or a factor may be.
	Quantities []Quantity
	// Balanced evaluates what stands in balances in the place of derivatives, k T' for T' in (k T')' = f, as the
	// Continuity of a problem with breaks does; nil: there is none.
	Balanced bvp.Residuals
	// Context, when not nil, ends the search early.
	Context context.Context
}

// Row is one number of the table.
type Row struct {
	X float64
	// Column is what the number is: y, y', …
	Column string
	// Given is the number of the table, Solution that of the solution, Error their difference; NaN outside the
	// interval.
	Given, Solution, Error float64
	// Right says that the difference is no more than the digits given allow.
	Right bool
}

// Verdict is what is found about a table.
type Verdict struct {
	Rows []Row
	// Right says that every row is right to the digits given.
	Right bool
	// Odd are the rows, counted from 1, that alone are wrong.
	Odd []int
	// Slip names the slip that reproduces the numbers, "" when none does.
	Slip string
	// Also names other slips that reproduce them as well, so that the numbers cannot tell which it was.
	Also []string
	// Coarse says that a right method with too few nodes or steps gives these numbers. Order is that of a method with
	// steps, 0 for one polynomial; without Coarse the method gives the numbers, and that may be chance.
	Coarse bool
	Order  int
	// Sentence says all of it.
	Sentence string
	// Values are the numbers that the slip gives, one for each row; nil without a slip.
	Values []float64
	// Tried counts the computations that were compared with the table.
	Tried int
}

// Limits of the search.
const (
	mostCoarse   = 20  // interior nodes of coarse solutions without a slip
	mostNodes    = 14  // interior nodes of solutions with a slip
	mostIterated = 9   // the same for nonlinear problems
	fineNodes    = 24  // what counts as fine, verified by
	finerNodes   = 36  // a finer one
	looked       = 24  // rows that are looked at first
	matching     = 0.6 // of the last digit: what counts as the same number
	allowed      = 1.0 // of the last digit: what counts as right; a digit cut off instead of rounded is no slip
	clearly      = 4.0 // of the last digit: a slip must change some number by so much more than it misses
	own          = 2e-9
	chance       = 2           // digits by which a match must be less likely by chance than one among all tries
	independent  = 4           // at most so many rows count as independent evidence
	oneHard      = 150_000_000 // work (package budget) for a candidate that one polynomial does not resolve
	allHard      = 5 * oneHard // and for all of them
)

// Judge compares a table with the solution of its problem and looks for the slip behind wrong numbers. The error says
// what does not fit: the solution is not usable, or the table has no column for it.
func Judge(s *solver.Solution, t *Table, o Options) (*Verdict, error) {
	return NewSearch(s, o).Judge(t)
}

// Search judges tables of one problem. It remembers what it has computed, so that a second table costs little. It
// serves one goroutine.
type Search struct {
	p    *bvp.Problem
	s    *solver.Solution
	o    Options
	u    uses
	list []candidate
	// right is the problem without a slip.
	right candidate
	// spent is the work that solves of hard candidates have taken.
	spent int64
	// known are the rows of right derivative matrices.
	known map[rowKey][][]float64
}

// NewSearch returns a search for a solved problem.
func NewSearch(s *solver.Solution, o Options) *Search {
	return &Search{p: s.Problem, s: s, o: o, right: candidate{problem: s.Problem, kept: -1}}
}

// prepare lists the candidates.
func (f *Search) prepare() {
	if f.list == nil {
		f.u = inspect(f.p, f.s.At)
		f.list = candidates(f.p, f.u, f.o.Variants)
	}
}

// Judge compares a table with the solution; see the function Judge.
func (f *Search) Judge(t *Table) (*Verdict, error) {
	if !f.s.Usable() {
		return nil, fmt.Errorf("there is no solution to compare with: %s", f.s.Message)
	}
	columns, err := assign(t, f.p)
	if err != nil {
		return nil, err
	}
	for _, x := range t.X {
		if !f.p.Inside(x.Value) && !f.rounded(t, x.Value) {
			return f.outside(t, columns), nil
		}
	}
	return f.judge(t, columns), nil
}

// rounded reports whether x is an end of the interval, as it stands in the table when rounded.
func (f *Search) rounded(t *Table, x float64) bool {
	unit := slices.Max(units(t.X))
	return math.Min(math.Abs(x-f.p.A), math.Abs(x-f.p.B)) <= 0.51*unit && unit < 0.01*(f.p.B-f.p.A)
}

// judge judges a table whose columns are known.
func (f *Search) judge(t *Table, columns []column) *Verdict {
	j := &judge{Search: f, v: &Verdict{}, rows: len(t.X)}
	j.collect(t, columns)
	if j.v.Right {
		j.v.Sentence = "the numbers are right to the digits given"
		return j.v
	}
	j.search()
	return j.v
}

// column is what a column of the table holds.
type column struct{ unknown, derivative int }

// assign finds out what each column of values holds; unknown is -1 for a column that is left out.
func assign(t *Table, p *bvp.Problem) ([]column, error) {
	names := map[string]column{}
	var state []column
	for i, u := range p.Unknowns {
		for k := range u.Order {
			names[strings.ToLower(bvp.Derivative(u.Name, k))] = column{i, k}
			state = append(state, column{i, k})
		}
	}
	out := make([]column, len(t.Y))
	found := false
	if t.Header != nil {
		for i, h := range t.Header[1:] {
			h = strings.ToLower(strings.NewReplacer("′", "'", "’", "'", "″", "''", " ", "", `\`, "").Replace(h))
			if at := strings.IndexAny(h, "([/,"); at > 0 { // a point, or a unit
				h = h[:at]
			}
			c, ok := names[h]
			if out[i] = c; !ok {
				out[i].unknown = -1
			}
			found = found || ok
		}
		if found {
			return out, nil
		}
	}
	switch {
	case len(out) == len(p.Unknowns):
		for i := range out {
			out[i] = column{i, 0}
		}
	case len(out) == len(state):
		copy(out, state)
	case len(out) > len(p.Unknowns) && len(p.Unknowns) > 1:
		return nil, fmt.Errorf("the table has %d columns of values for %d unknowns; name them in a first row", len(out),
			len(p.Unknowns))
	default: // the first is meant
		for i := range out {
			out[i] = column{-1, 0}
		}
		out[0] = column{0, 0}
	}
	return out, nil
}

// numberAt is one entry of the table as the search sees it.
type numberAt struct {
	// x holds where it may be meant to be: as written, and at nodes that are written so when rounded.
	x      []float64
	value  float64
	entry  int // of a jet
	unit   float64
	right  float64 // of the solution at the point as written
	scale  float64 // the size of the column
	inside bool
}

// judge is the search over one table.
type judge struct {
	*Search
	v       *Verdict
	rows    int // of the table
	numbers []numberAt
	// first are the indices of the numbers looked at first.
	first []int
	// likely are families and numbers of nodes that the points of the table are.
	likely []likely
	// methods are the right methods that were tried.
	methods []method
	// hits are matches so far.
	hits []hit
}

// hit is a candidate that gives the table's numbers.
type hit struct {
	c      *candidate
	how    string
	misfit float64 // root mean square, in units of what counts as the same
	values []float64
}

func (j *judge) collect(t *Table, columns []column) {
	unitX := slices.Max(units(t.X))
	length := j.p.B - j.p.A
	var xs []float64
	for _, c := range t.X {
		x := c.Value
		for _, end := range []float64{j.p.A, j.p.B} { // an end that was rounded is the end
			if math.Abs(x-end) <= 0.51*unitX && unitX < 0.01*length {
				x = end
			}
		}
		xs = append(xs, x)
	}
	var points [][]float64
	j.likely, points = detect(j.p, xs, unitX)
	// Points of no known family that stand irregularly may be rounded.
	moved := 0.0
	if len(points) == 0 && unitX < 0.01*length && !regular(xs, unitX) {
		moved = unitX / 2
	}
	jet, err := make([]float64, j.p.Jet()), make([]float64, j.p.Jet())
	j.v.Right = true
	for k, c := range columns {
		if c.unknown < 0 {
			continue
		}
		u := units(t.Y[k])
		first := len(j.numbers)
		entry := j.p.JetOffset(c.unknown) + c.derivative
		scale := 0.0
		for i, y := range t.Y[k] {
			scale = math.Max(scale, math.Abs(y.Value))
			n := numberAt{x: []float64{xs[i]}, value: y.Value, entry: entry, unit: u[i], right: math.NaN()}
			for _, p := range points {
				n.x = append(n.x, p[i])
			}
			row := Row{X: t.X[i].Value, Column: bvp.Derivative(j.p.Unknowns[c.unknown].Name, c.derivative),
				Given: n.value, Solution: math.NaN(), Error: math.NaN()}
			for h, x := range n.x {
				if !j.p.Inside(x) {
					continue
				}
				j.s.At(x, jet)
				j.s.ErrorAt(x, err)
				v := jet[entry]
				if e := n.value - v; h == 0 || math.Abs(e) < math.Abs(row.Error) || math.IsNaN(row.Error) {
					row.Solution, row.Error = v, e
				}
				row.Right = row.Right || math.Abs(n.value-v) <= allowed*n.unit+moved*math.Abs(jet[entry+1])+err[entry]+
					4e-16*math.Abs(v)
				n.right, n.inside = row.Solution, true
				scale = math.Max(scale, math.Abs(v))
			}
			j.numbers = append(j.numbers, n)
			j.v.Rows = append(j.v.Rows, row)
			j.v.Right = j.v.Right && row.Right
		}
		for i := range j.numbers[first:] {
			j.numbers[first+i].scale = scale
		}
	}
}

// tolerance is what a number of the table may differ from a computed one to count as the same.
func (n *numberAt) tolerance(share float64) float64 { return share*n.unit + own*n.scale }

// search looks for the slip.
func (j *judge) search() {
	v := j.v
	worst := j.worst()
	differ := fmt.Sprintf("the numbers differ from the solution by up to %s at %s = %s", number4(math.Abs(worst.Error)),
		j.p.VariableName(), number4(worst.X))
	if math.IsNaN(worst.Error) {
		differ = fmt.Sprintf("no point of the table lies in the interval from %s to %s", number4(j.p.A), number4(j.p.B))
	}
	notLooked := ""
	switch {
	case math.IsInf(j.p.A, 0) || math.IsInf(j.p.B, 0):
		notLooked = differ + "; slips are not looked for on an unbounded interval"
	case len(j.p.Conditions) != j.p.State()+len(j.p.Parameters):
		notLooked = differ + "; slips are not looked for in eigenvalue problems"
	}
	if notLooked != "" {
		if v.Sentence = j.odd(); v.Sentence == "" {
			v.Sentence = notLooked
		}
		return
	}
	j.prepare()
	j.choose()
	right := j.coarse()
	if right != nil && right.sure {
		v.Coarse, v.Order = true, right.order
		v.Sentence = differ + "; this is no slip: just these numbers come out of " + right.how
		if right.order == 0 {
			v.Sentence += ", and more nodes will put them right"
		} else {
			v.Sentence += fmt.Sprintf("; they are correct of their order, %d, and more steps bring them nearer",
				right.order)
		}
		return
	}
	if right == nil {
		if odd := j.odd(); odd != "" {
			v.Sentence = odd
			return
		}
	}
	j.fine()
	fact := j.constant()
	j.readings()
	if len(j.hits) == 0 && right == nil {
		j.constantUpon()
	}
	if len(j.hits) == 0 {
		j.discrete()
	}
	if len(j.hits) == 0 {
		v.Sentence = differ + "; no known slip reproduces these numbers"
		if fact != "" {
			v.Sentence = fact + "; no known slip reproduces that"
		} else if right != nil {
			v.Order = right.order
			v.Sentence = fmt.Sprintf("%s; that is little, and just what comes out of %s, a right method of order %d",
				differ, right.how, right.order)
		}
		return
	}
	best := j.best()
	v.Slip, v.Values = best.c.name, best.values
	for _, h := range j.hits {
		if h.c.name != v.Slip && !slices.Contains(v.Also, h.c.name) {
			v.Also = append(v.Also, h.c.name)
		}
	}
	v.Sentence = fmt.Sprintf("%s; they are what comes out when %s (%s, %s)", differ, best.c.sentence, v.Slip, best.how)
	if len(v.Also) > 0 {
		v.Sentence += "; the numbers fit as well: " + strings.Join(v.Also, ", ")
	}
}

// worst returns the row with the largest error.
func (j *judge) worst() Row {
	w := j.v.Rows[0]
	for _, r := range j.v.Rows {
		if !(math.Abs(r.Error) <= math.Abs(w.Error)) && !math.IsNaN(r.Error) || math.IsNaN(w.Error) {
			w = r
		}
	}
	return w
}

// choose spreads the rows that are looked at first over the table.
func (j *judge) choose() {
	n := len(j.numbers)
	for k := range min(n, looked) {
		j.first = append(j.first, k*n/min(n, looked))
	}
}

// matches compares values at all numbers with the table: the root mean square of the misfits in units of the tolerance,
// false when one is too far off. at returns the jet at a point of the table.
func (j *judge) matches(at func(x float64, jet []float64) bool) (values []float64, misfit float64, ok bool) {
	j.v.Tried++
	jet := make([]float64, j.p.Jet())
	for h := range j.numbers[0].x {
		one := func(i int) (float64, bool) {
			n := &j.numbers[i]
			if !at(n.x[h], jet) {
				return 0, false
			}
			m := (jet[n.entry] - n.value) / n.tolerance(matching)
			return m, math.Abs(m) <= 1
		}
		ok = true
		for _, i := range j.first {
			if _, ok = one(i); !ok {
				break
			}
		}
		sum := 0.0
		values = values[:0]
		for i := 0; ok && i < len(j.numbers); i++ {
			var m float64
			m, ok = one(i)
			sum += m * m
			values = append(values, jet[j.numbers[i].entry])
		}
		if ok {
			return values, math.Sqrt(sum / float64(len(j.numbers))), true
		}
	}
	return nil, 0, false
}

// convincing reports whether a match is unlikely to be a coincidence among so many tries, by some digits.
func (j *judge) convincing(tries int) bool {
	most, evidence := j.evidence()
	return most >= clearly && evidence <= -chance-math.Log10(float64(max(tries, 1)))
}

// evidence is what a match says: with numbers as wrong as these, each row matches by chance with the probability of
// hitting its last digit within its error. It returns the largest error in units of the last digit, and the logarithm
// of the probability that as many rows as count match by chance.
func (j *judge) evidence() (most, logarithm float64) {
	var logs []float64
	for i := range j.numbers {
		n := &j.numbers[i]
		off := math.Abs(n.value - n.right)
		if !n.inside {
			off = math.Max(n.scale, math.Abs(n.value))
		}
		if t := n.tolerance(matching); off > 2*t {
			logs = append(logs, math.Log10(2*t/off))
			most = math.Max(most, off/n.tolerance(1))
		}
	}
	if len(logs) == 0 {
		return 0, 0
	}
	sum := 0.0
	for _, l := range logs {
		sum += l
	}
	return most, sum / float64(len(logs)) * float64(min(len(logs), independent))
}

// inInterval evaluates a curve at the point that x stands for.
//
//go:noinline
func (j *judge) inInterval(c curve, read func(float64) float64) func(x float64, jet []float64) bool {
	slack := 1e-9 * (j.p.B - j.p.A)
	return func(x float64, jet []float64) bool {
		if read != nil {
			x = read(x)
		}
		if !(x >= j.p.A-slack && x <= j.p.B+slack) {
			return false
		}
		c(math.Min(math.Max(x, j.p.A), j.p.B), jet)
		return true
	}
}

//go:noinline
func (j *judge) done() bool { return j.o.Context != nil && j.o.Context.Err() != nil }
