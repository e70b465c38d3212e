package branches

import (
	"context"
	"errors"
	"math"
	"slices"

	"nodespan/solver"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
)

// Limits of a trace.
const (
	defaultWork  = 2_500_000_000 // units of package budget
	defaultMost  = 200           // points of a branch
	mostBranches = 24
	firstStep    = 0.02 // of a branch, in the unit of distance: the range of the constant, the sizes of the unknowns
	longestStep  = 0.04
	leastStep    = 1e-5
	// A step is kept where the direction turns by no more than the angle with this cosine, and made longer where it
	// turns by less than that of straight.
	turning, straight = 0.9, 0.99
	solveShare        = 0.1 // of the work that is left, for each point
)

// Options say what to follow.
type Options struct {
	// Constant is the name of the constant, From and To its range.
	Constant string
	From, To float64
	// Against is what a branch is drawn against: a number of the solution, with its error. nil: the first unknown in
	// the middle.
	Against func(s *solver.Solution, constant float64) (value, err float64)
	Solve   solver.Options
	// Most is the number of points of a branch, Work how much may be computed; 0: 200, and about four seconds natively.
	Most int
	Work int64
	// Starts are further solutions at the constant's own value, from which other branches may be reached.
	Starts []*solver.Solution
}

// Point is a verified point of a branch.
type Point struct {
	Constant, ConstantError float64
	Value, Error            float64
	Solution                *solver.Solution // of the lifted problem: its last sought number is the constant
}

// Special is a fold or a bifurcation point.
type Special struct {
	Constant, Error   float64
	Value, ValueError float64
	// Highest says of a fold that the branch reaches the largest value of the constant there, and not the smallest.
	Highest bool
}

// Trace is what was found.
type Trace struct {
	Constant     string
	Branches     [][]Point
	Folds        []Special
	Bifurcations []Special
	// Ended says that the limit of work or of branches was reached.
	Ended bool
}

// tracer follows branches.
type tracer struct {
	o       Options
	base    *bvp.Problem
	lift    *lift
	samples []bvp.PointValue
	sizes   []float64
	unit    float64
	within  *budget.Budget
	lines   [][]*pathPoint
	out     Trace
	todo    []departure
	pair    int // of b and c
}

// departure is a branch that is still to be followed: its first two points.
type departure struct{ from, next *pathPoint }

// New prepares the lifted problem.
func newTracer(p *bvp.Problem, o Options) (*tracer, error) {
	if o.Work == 0 {
		o.Work = defaultWork
	}
	if o.Most == 0 {
		o.Most = defaultMost
	}
	if o.Solve.Tol == 0 {
		o.Solve.Tol = 1e-8
	}
	t := &tracer{o: o, base: p, unit: math.Abs(o.To - o.From)}
	t.within = budget.Within(o.Solve.Context, o.Work)
	index := slices.IndexFunc(p.Constants, func(c bvp.Constant) bool { return c.Name == o.Constant })
	switch {
	case index < 0 || p.With == nil:
		return nil, errors.New("there is no constant " + o.Constant)
	case !(t.unit > 0) || math.IsInf(t.unit, 0):
		return nil, errors.New("the range of " + o.Constant + " is empty")
	case math.IsInf(p.A, 0) || math.IsInf(p.B, 0):
		return nil, errors.New("branches are followed on a finite interval")
	}
	t.lift = &lift{base: p, index: index, unit: t.unit / 100}
	for _, c := range p.Constants {
		t.lift.values = append(t.lift.values, c.Value)
	}
	if eigen := len(p.Conditions) != p.State()+len(p.Parameters); !eigen && t.lift.moves() {
		return nil, errors.New(o.Constant + " moves a point of the interval; write the problem on a fixed one")
	}
	t.samples = samples(p)
	t.sizes = make([]float64, len(p.Unknowns))
	t.out.Constant = o.Constant
	return t, nil
}

func (t *tracer) part() context.Context { return budget.Part(t.within, solveShare) }

// Follow follows the branches that can be reached, from the solution at the constant's own value or, where there is
// none, from another value in the range.
func Follow(p *bvp.Problem, o Options) (*Trace, error) {
	t, err := newTracer(p, o)
	if err != nil {
		return nil, err
	}
	if len(p.Conditions) != p.State()+len(p.Parameters) {
		return nil, errors.New("this is an eigenvalue problem")
	}
	first := t.begin()
	if first == nil {
		return nil, errors.New("no solution was found at any value of " + o.Constant + " that was tried")
	}
	t.both(first)
	for len(t.todo) > 0 || len(t.o.Starts) > 0 {
		if len(t.lines) >= mostBranches || budget.Over(t.within) {
			t.out.Ended = true
			break
		}
		if len(t.todo) == 0 {
			k := t.o.Starts[0]
			t.o.Starts = t.o.Starts[1:]
			if a := t.adopt(k, first.constant); a != nil && !t.passed(a) {
				t.both(a)
			}
			continue
		}
		d := t.todo[0]
		t.todo = t.todo[1:]
		if t.passed(d.next) {
			continue
		}
		t.record(t.run(d.from, d.next), true)
	}
	return &t.out, nil
}

// begin finds a first point.
func (t *tracer) begin() *pathPoint {
	own := t.lift.values[t.lift.index]
	lo, hi := math.Min(t.o.From, t.o.To), math.Max(t.o.From, t.o.To)
	var tries []float64
	if own >= lo && own <= hi {
		tries = append(tries, own)
	}
	tries = append(tries, t.o.From, t.o.To)
	for _, part := range []float64{0.5, 0.1, 0.01, 0.25, 0.75, 0.9} {
		tries = append(tries, t.o.From+part*(t.o.To-t.o.From))
	}
	for _, v := range tries {
		p := t.lift.of(v)
		if p == nil {
			continue
		}
		o := t.o.Solve
		o.Context = budget.Part(t.within, 0.2)
		if s, err := solver.Solve(p, o); err == nil && s.Status == solver.Solved {
			return t.adopt(s, v)
		}
	}
	return nil
}

// adopt makes a point of a solution of the problem itself.
func (t *tracer) adopt(s *solver.Solution, v float64) *pathPoint {
	jet := make([]float64, t.base.Jet())
	sizes := make([]float64, len(t.sizes))
	for _, x := range s.Mesh {
		s.At(x, jet)
		for i := range sizes {
			sizes[i] = math.Max(sizes[i], math.Abs(jet[t.base.JetOffset(i)]))
		}
	}
	for i, size := range sizes {
		if t.sizes[i] == 0 {
			t.sizes[i] = size
			if !(size > 1e-6) {
				t.sizes[i] = 1
			}
		}
	}
	var parameters []float64
	for _, f := range s.Found {
		parameters = append(parameters, f.Value)
	}
	return t.solve(t.lift.problem(v, t.held(v), s.At, parameters), t.o.Solve.Tol)
}

// both follows a branch from a point in both directions.
func (t *tracer) both(a *pathPoint) {
	var halves [2][]*pathPoint
	for i, sign := range []float64{1, -1} {
		d := direction{d: make([]float64, len(a.sample)), weights: t.metric(a),
			jet: func(_ float64, jet []float64) { clear(jet) }}
		d.d[len(d.d)-1] = sign * t.unit
		step := firstStep
		for range 4 {
			if v := a.constant + sign*step*t.unit; v < math.Min(t.o.From, t.o.To) || v > math.Max(t.o.From, t.o.To) {
				break
			}
			if next := t.goTo(a, d, step, t.o.Solve.Tol); next != nil {
				halves[i] = t.run(a, next)
				break
			}
			step /= 8
		}
	}
	line := halves[1]
	slices.Reverse(line)
	if len(line) == 0 {
		line = []*pathPoint{a}
	}
	if len(halves[0]) > 1 {
		line = append(line, halves[0][1:]...)
	}
	t.record(line, false)
}

// inRange reports whether a value of the constant is in its range.
func (t *tracer) inRange(v float64) bool {
	return v >= math.Min(t.o.From, t.o.To) && v <= math.Max(t.o.From, t.o.To)
}

// run follows a branch from its first two points to an end of the range, or until it can be followed no further.
func (t *tracer) run(from, next *pathPoint) []*pathPoint {
	line := []*pathPoint{from, next}
	step := firstStep
	for len(line) < t.o.Most && !budget.Over(t.within) {
		a, b := line[len(line)-2], line[len(line)-1]
		if !t.inRange(b.constant) {
			end := t.o.From
			if math.Abs(b.constant-t.o.To) < math.Abs(b.constant-t.o.From) {
				end = t.o.To
			}
			line = line[:len(line)-1]
			if last := t.goToConstant(b, end, t.o.Solve.Tol); last != nil {
				line = append(line, last)
			}
			break
		}
		d, _ := t.towards(a, b)
		c := t.goTo(b, d, step, t.o.Solve.Tol)
		if c == nil {
			if step /= 4; step < leastStep {
				break
			}
			continue
		}
		e, length := t.towards(b, c)
		cos := inner(e.weights, d.d, e.d) / math.Sqrt(inner(e.weights, d.d, d.d))
		if cos < turning || length > 3*step {
			if step /= 2; step < leastStep {
				break
			}
			continue
		}
		line = append(line, c)
		if cos > straight {
			step = math.Min(longestStep, 1.5*step)
		}
		if f, l := t.towards(from, c); len(line) > 5 && l < step && inner(f.weights, f.d, e.d) < 0 {
			break // back where it began
		}
	}
	return line
}

// passed reports whether a point lies on a branch that was followed.
func (t *tracer) passed(a *pathPoint) bool {
	const near = 1e-2
	w := t.metric(a)
	off, along := make([]float64, len(w)), make([]float64, len(w))
	for _, line := range t.lines {
		for i := 1; i < len(line); i++ {
			for k := range w {
				off[k] = a.sample[k] - line[i-1].sample[k]
				along[k] = line[i].sample[k] - line[i-1].sample[k]
			}
			whole := inner(w, along, along)
			s := math.Min(math.Max(inner(w, off, along)/whole, 0), 1)
			for k := range w {
				off[k] -= s * along[k]
			}
			if math.Sqrt(inner(w, off, off)) <= near*math.Sqrt(whole)+1e-6 {
				return true
			}
		}
	}
	return false
}

// record keeps a branch, and looks for folds and bifurcations on it.
func (t *tracer) record(line []*pathPoint, departs bool) {
	if len(line) < 2 {
		return
	}
	t.lines = append(t.lines, line)
	points := make([]Point, len(line))
	for i, a := range line {
		points[i] = Point{Constant: a.constant, ConstantError: a.err, Solution: a.s}
		if a.located != nil {
			points[i].Value, points[i].Error = a.located.Value, a.located.ValueError
		} else {
			points[i].Value, points[i].Error = t.against(a)
		}
	}
	t.out.Branches = append(t.out.Branches, points)
	t.special(line, departs)
}

// against is what a point is drawn against.
func (t *tracer) against(a *pathPoint) (value, err float64) {
	if t.o.Against != nil {
		return t.o.Against(a.s, a.constant)
	}
	p := t.base
	return a.s.Value(0, 0, p.A+(p.B-p.A)/2)
}
