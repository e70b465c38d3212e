package unbounded

import (
	"fmt"
	"math"
	"slices"

	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/eigen"
)

// EigenAnswer holds eigenvalues on an unbounded interval.
type EigenAnswer struct {
	*eigen.Answer
	// Problem is the one on the bounded interval.
	Problem *bvp.Problem
	Far     *Far

	x float64 // the length that the interval was to have
}

const (
	stride      = 2    // growth of the length while nothing has settled
	step        = 1.25 // growth close to the goal, where an interval longer than needed is expensive
	lookout     = 1.5  // and while waiting for more eigenvalues to settle
	lookRounds  = 4    // after so many (five times the length) the rest is taken for a continuous spectrum
	eigenRounds = 40
	beyond      = 1.5  // what a length a quarter longer changes, enlarged to what all longer ones may
	moving      = 1e-3 // relative change of a value that has not settled
)

// Eigen finds the first eigenvalues of a problem on an unbounded interval. Values that keep moving as infinity is moved
// out belong to a continuous spectrum and are not given.
func Eigen(p *bvp.Problem, o eigen.Options) *EigenAnswer {
	if o.Count <= 0 {
		o.Count = 5
	}
	o.Mode = max(o.Mode, 1)
	o.Count = max(o.Count, o.Mode)
	if o.Nodes > 0 || o.Elements > 0 {
		return given(p, o)
	}
	s := newLengthening(p, o)
	// First roughly: a length, and how many eigenvalues there are to settle.
	rough := math.Max(roughTol, o.Tol)
	n, first := s.survey(rough)
	if n == 0 {
		return s.failed()
	}
	// Then to the tolerance, for those only.
	s.x = first.x
	s.o.Count = n
	short := s.settle(o.Tol, first)
	if short == nil {
		return s.failed()
	}
	return short.finish(p, o, n, s.iterations)
}

// given solves with given numbers of nodes or elements, on the length that is found without them.
func given(p *bvp.Problem, o eigen.Options) *EigenAnswer {
	free := o
	free.Nodes, free.Elements = 0, 0
	found := Eigen(p, free)
	if found.Mode == nil {
		return found
	}
	o.Count = len(found.Values)
	a := eigen.Solve(found.Problem, o)
	a.Iterations += found.Iterations
	for i := range a.Values {
		if i < len(found.Values) {
			a.Values[i].Error += found.Values[i].Error
		}
	}
	if a.Mode != nil {
		reserve(a.Mode, found.Error)
		a.Error += found.Error
		a.Met = a.Met && a.Error <= o.Tol
	}
	return &EigenAnswer{Answer: a, Problem: found.Problem, Far: found.Far}
}

// lengthening is a sequence of truncations.
type lengthening struct {
	p          *bvp.Problem
	o          eigen.Options
	well       *well // nil where the equation does not tell
	work       float64
	x          float64
	rounds     int
	iterations int
	message    string
	stop       stop // why it ended, as message says in words
	last       *EigenAnswer
}

func newLengthening(p *bvp.Problem, o eigen.Options) *lengthening {
	s := &lengthening{p: p, o: o, well: newWell(o.Context, p), x: startLength(p, 4)}
	if w := s.well; w != nil && w.centre != base(p) {
		s.x = 4*w.length + math.Max(w.to, w.centre) - w.middle()
	}
	return s
}

// ends are those of the truncation of the present length: about the well where there is one, and no further than where
// the functions that were found have died away to less than rounding.
func (s *lengthening) ends() (a, b float64) {
	w := s.well
	if w == nil {
		return ends(s.p, s.x)
	}
	a, b = s.p.A, s.p.B
	left, right := math.Inf(-1), math.Inf(1)
	if s.last != nil {
		// A little further each time, so that there is something to compare.
		highest := s.last.Values[len(s.last.Values)-1].Value
		from, to := w.hull(highest)
		fall := diedAway + float64(s.rounds)
		left, right = w.wall(math.Min(from, w.from), -1, highest, fall), w.wall(math.Max(to, w.to), 1, highest, fall)
	}
	if math.IsInf(a, 0) {
		a = math.Max(math.Min(b, w.middle())-s.x, left)
	}
	if math.IsInf(b, 0) {
		b = math.Min(math.Max(s.p.A, w.middle())+s.x, right)
	}
	return a, b
}

// diedAway is the exponent of exp(−·) at which a function is less than rounding of its largest value.
const diedAway = 38

// waits reports that a well lies outside the interval of an answer whose bottom is below its highest eigenvalue, and
// lengthens to that.
func (s *lengthening) waits(now *EigenAnswer, count int) bool {
	w := s.well
	if w == nil || count == 0 {
		return false
	}
	from, to := w.hull(math.Min(now.Values[min(count, len(now.Values))-1].Value, w.free))
	reach := math.Max(now.Far.A-from, to-now.Far.B)
	if !(reach > 0) {
		return false
	}
	s.x = math.Max(s.x, math.Max(w.middle()-from, to-w.middle())+4*w.length)
	return true
}

// solve finds the eigenvalues on the truncation of the current length, starting from those on another one if there is
// one; nil when there are none to speak of.
func (s *lengthening) solve(tol float64, near *EigenAnswer) *EigenAnswer {
	if s.o.Progress != nil {
		s.o.Progress(fmt.Sprintf("infinity at a distance of %.4g", s.x))
	}
	a, b := s.ends()
	s.rounds++
	o := s.o
	o.Tol = math.Max(tol/4, 1e-13)
	t := Truncate(s.p, a, b)
	if s.well != nil {
		t.Breaks = append(slices.Clone(t.Breaks), s.well.edges(s.highest(), a, b)...)
		slices.Sort(t.Breaks)
		t.Breaks = slices.Compact(t.Breaks)
	}
	now := &EigenAnswer{Problem: t, Far: newFar(s.p, a, b), x: s.x}
	if near != nil {
		far := near.Far
		now.Answer = eigen.Continue(t, near.Answer, far.from, o)
	}
	if now.Answer == nil {
		now.Answer = eigen.Solve(t, o)
	}
	s.iterations += now.Iterations
	s.work += now.Work
	if len(now.Values) == 0 || now.Mode == nil {
		s.message, s.stop = now.Message, noEigenvalues
		return nil
	}
	s.last = now
	return now
}

// stop is what kept a lengthening from going on.
type stop int

const (
	unstopped     stop = iota
	noEigenvalues      // the last truncation has none
	stopped            // the work is done, or was cancelled
)

// mostWork bounds the search: a few seconds.
const mostWork = 5e8

// done reports that enough has been tried or the work was cancelled.
func (s *lengthening) done() bool {
	if s.o.Context != nil && s.o.Context.Err() != nil {
		s.message, s.stop = budget.Reason(s.o.Context), stopped
		return true
	}
	return s.work > mostWork
}

// survey lengthens until all the wanted eigenvalues have settled, or some have while the rest keeps moving. It returns
// how many, and the answer on the first length at which they had.
func (s *lengthening) survey(tol float64) (n int, at *EigenAnswer) {
	var short *EigenAnswer
	waited := 0
	for range eigenRounds {
		if s.done() {
			break
		}
		now := s.solve(tol, nil)
		if now == nil {
			if n > 0 && s.x > 2*at.x {
				break // the interval is too long for what is on it; what has settled stands
			}
			short = nil
			s.x *= step
			continue
		}
		factor := float64(stride)
		if short != nil {
			settled, first := compare(short, now, tol, s.o.Mode)
			if s.waits(now, settled) {
				short = now
				continue
			}
			if settled > n {
				n, at, waited = settled, short, 0
			}
			switch {
			case n >= s.o.Count:
				return n, at
			case n >= s.o.Mode && moves(short, now, n):
				factor = lookout
				if waited++; waited > lookRounds {
					return n, at
				}
			case first < 0.1:
				factor = step
			}
		}
		short = now
		s.x *= factor
	}
	if n < s.o.Mode {
		n = 0
	}
	return n, at
}

// settle lengthens until the wanted eigenvalues no longer change to the tolerance. It returns the shorter of the last
// two answers.
func (s *lengthening) settle(tol float64, near *EigenAnswer) *EigenAnswer {
	var short *EigenAnswer
	for range eigenRounds {
		if s.done() {
			break
		}
		now := s.solve(tol, near)
		if now != nil {
			near = now
		}
		if now != nil && short != nil {
			settled, _ := compare(short, now, tol, s.o.Mode)
			if settled >= s.o.Count && !s.waits(now, settled) {
				return short
			}
		}
		short = now
		s.x *= step
	}
	return nil
}

func (s *lengthening) failed() *EigenAnswer {
	out := &EigenAnswer{Answer: &eigen.Answer{Message: s.message, Iterations: s.iterations}}
	if s.last != nil && (s.stop == unstopped || !budget.Over(s.o.Context)) {
		out.Message = fmt.Sprintf("the eigenvalues do not settle as infinity is moved out to a distance of %.3g: the "+
			"spectrum may be continuous", s.x)
	}
	return out
}

// compare adds to the errors of a shorter solution what it differs from a longer one. It returns how many leading
// eigenvalues have settled to the tolerance, and the relative change of the first.
func compare(short, long *EigenAnswer, tol float64, mode int) (settled int, first float64) {
	leading := true
	for i := range short.Values {
		v := &short.Values[i]
		change := math.Inf(1)
		if i < len(long.Values) {
			change = math.Abs(v.Value - long.Values[i].Value)
		}
		if i == 0 {
			first = change / math.Max(math.Abs(v.Value), 1e-300)
		}
		v.Error += beyond * change
		good := v.Error <= tol*math.Max(1, math.Abs(v.Value))
		if i+1 == mode {
			alone := eigen.FunctionError(short.Mode)
			widen(short.Mode, long.Mode, beyond)
			short.Far.measure(short.Mode, long.Mode, nil)
			short.Mode.Error = eigen.FunctionError(short.Mode)
			// Eigenfunctions of nearly equal eigenvalues are hard to tell apart on any length: their error is said, and
			// not waited for.
			good = good && (short.Mode.Error <= tol || alone > tol/2)
		}
		leading = leading && good
		if leading {
			settled++
		}
	}
	return settled, first
}

// moves reports that the first value after the settled ones still changes.
func moves(short, long *EigenAnswer, settled int) bool {
	if settled >= len(short.Values) || settled >= len(long.Values) {
		return true
	}
	a, b := short.Values[settled].Value, long.Values[settled].Value
	return math.Abs(a-b) > moving*math.Max(math.Abs(a), math.Abs(b))
}

// finish keeps the settled values.
func (e *EigenAnswer) finish(p *bvp.Problem, o eigen.Options, settled, iterations int) *EigenAnswer {
	out := *e.Answer
	out.Values = out.Values[:settled]
	out.Iterations = iterations
	out.Error = out.Mode.Error
	for _, v := range out.Values {
		out.Error = math.Max(out.Error, v.Error/math.Max(1, math.Abs(v.Value)))
	}
	if settled < o.Count {
		out.Message = fmt.Sprintf("%d eigenvalues, each checked against a finer solution; what follows them moves "+
			"with the length of the interval, as a continuous spectrum does", settled)
		if settled == 1 {
			out.Message = "one eigenvalue, checked against a finer solution; what follows it moves with the length " +
				"of the interval, as a continuous spectrum does"
		}
	} else if !e.Answer.Met {
		out.Message = fmt.Sprintf("the first %d eigenvalues, each checked against a finer solution", settled)
	}
	out.Met = out.Error <= o.Tol
	if !out.Met {
		out.Message += fmt.Sprintf("; the eigenfunction has an estimated error of %.1g, and %.1g was asked",
			out.Mode.Error, o.Tol)
	}
	out.Message += "; " + where(p, e.Far)
	return &EigenAnswer{Answer: &out, Problem: e.Problem, Far: e.Far}
}

// highest is the largest eigenvalue of the last truncation; before there is one, the bottom of the well and a little
// more.
func (s *lengthening) highest() float64 {
	if s.last != nil {
		return s.last.Values[len(s.last.Values)-1].Value
	}
	v, f := s.well.at(s.well.from)
	return v + 4/(f*s.well.length*s.well.length)
}
