package branches

import (
	"fmt"
	"math"
	"slices"

	"nodespan/solver"
	"nodespan/solver/bvp"
	"nodespan/solver/table"
)

// Limits of the search for a reason.
const (
	whyWork   = 600_000_000 // units of package budget, for each constant
	whyShare  = 0.05        // of what is left, for a solution at an easier value
	whyPoints = 150
)

// Reason is why a problem has no solution that was found: the branch turns back before the value of a constant.
type Reason struct {
	Constant string
	// Value is that of the problem, From the one from which the branch was followed.
	Value, From float64
	Fold        Special
}

// easier are the values, in parts of that of the problem, at which a solution is looked for.
var easier = []float64{0.5, 0.1, 0.9, 0.01, 2, 10}

// Why follows the branch from easier values of each constant towards the problem's own. It returns a solution of the
// problem where a branch arrives, or else the reason where one turns back nearest; neither where nothing is learnt.
// failed is what solver.Solve gave.
func Why(p *bvp.Problem, failed *solver.Solution, o solver.Options) (*solver.Solution, *Reason) {
	var best *Reason
	for i := range p.Constants {
		s, r := WhyOf(p, i, failed, o)
		if s != nil {
			return s, nil
		}
		if r != nil && (best == nil || r.distance() < best.distance()) {
			best = r
		}
	}
	return nil, best
}

// WhyOf is Why for one constant.
func WhyOf(p *bvp.Problem, i int, failed *solver.Solution, o solver.Options) (*solver.Solution, *Reason) {
	c := p.Constants[i]
	if failed.Status == solver.Solved || p.With == nil || math.IsInf(p.A, 0) || math.IsInf(p.B, 0) ||
		len(p.Conditions) != p.State()+len(p.Parameters) || oneSided(p) || c.Value == 0 || math.IsInf(c.Value, 0) {
		return nil, nil
	}
	t, first := towardsValue(p, i, o)
	if first == nil {
		return nil, nil
	}
	if last := t.approach(first, c.Value); last != nil {
		q := *p
		q.Guess, q.Parameters = last.jet, slices.Clone(p.Parameters)
		for k, v := range last.parameters() {
			q.Parameters[k].Guess, q.Parameters[k].HasGuess = v, true
		}
		near := o
		near.Near = true
		if s, err := solver.Solve(&q, near); err == nil && s.Status == solver.Solved {
			s.Problem = p
			s.Message += fmt.Sprintf("; found by following the solutions from %s = %.6g", c.Name, first.constant)
			return s, nil
		}
		return nil, nil
	}
	var best *Reason
	for _, f := range t.out.Folds {
		between := (f.Constant-first.constant)*(c.Value-f.Constant) > 0
		r := &Reason{c.Name, c.Value, first.constant, f}
		if between && f.Error <= 1e-4*math.Abs(f.Constant) && (best == nil || r.distance() < best.distance()) {
			best = r
		}
	}
	return nil, best
}

// distance is how far the fold is from the value, relative to it.
func (r *Reason) distance() float64 { return math.Abs(r.Value-r.Fold.Constant) / math.Abs(r.Value) }

// towardsValue finds a solution at an easier value of a constant.
func towardsValue(p *bvp.Problem, i int, o solver.Options) (t *tracer, first *pathPoint) {
	for _, part := range easier {
		from := part * p.Constants[i].Value
		t, err := newTracer(p, Options{Constant: p.Constants[i].Name, From: from, To: p.Constants[i].Value, Solve: o,
			Most: whyPoints, Work: whyWork})
		if err != nil {
			return nil, nil
		}
		q := t.lift.of(from)
		if q == nil {
			continue
		}
		so := t.o.Solve
		so.Work = int64(whyShare * float64(t.within.Left()))
		if s, err := solver.Solve(q, so); err == nil && s.Status == solver.Solved {
			if a := t.adopt(s, from); a != nil {
				return t, a
			}
		}
	}
	return nil, nil
}

// approach follows the branch from a point towards a value of the constant, records it, and returns the point there;
// nil where the branch does not arrive.
func (t *tracer) approach(a *pathPoint, value float64) *pathPoint {
	d := direction{d: make([]float64, len(a.sample)), weights: t.metric(a),
		jet: func(_ float64, jet []float64) { clear(jet) }}
	d.d[len(d.d)-1] = math.Copysign(t.unit, value-a.constant)
	next := t.goTo(a, d, firstStep, t.o.Solve.Tol)
	if next == nil {
		return nil
	}
	line := t.run(a, next)
	last := line[len(line)-1]
	if last.constant == value {
		return last
	}
	t.lines = append(t.lines, line)
	for i := 2; i < len(line); i++ {
		a, b, c := line[i-2], line[i-1], line[i]
		if (b.constant-a.constant)*(c.constant-b.constant) < 0 {
			if f, _ := t.fold(a, b, c); f != nil {
				t.out.Folds = append(t.out.Folds, *f)
			}
		}
	}
	return nil
}

// oneSided reports whether all conditions stand at one point: what fails then is no question of how many solutions
// there are.
func oneSided(p *bvp.Problem) bool {
	at := math.NaN()
	for _, c := range p.Conditions {
		for _, v := range c.At {
			if !math.IsNaN(at) && v.X != at {
				return false
			}
			at = v.X
		}
	}
	return true
}

// Sentence says it. what is the constant with its value, or a number that stands in the equations without a name;
// against is what the value at the fold is called.
func (r *Reason) Sentence(what, against string) string {
	until, change := "up to", "smaller"
	if r.Value < r.Fold.Constant {
		until, change = "down to", "larger"
	}
	return fmt.Sprintf("no solution was found for %s: followed from %.6g in its place, solutions exist %s %s, where "+
		"the branch turns back (%s = %s there); a %s value has solutions", what, r.From, until,
		table.Honest(r.Fold.Constant, r.Fold.Error), against, table.Honest(r.Fold.Value, r.Fold.ValueError), change)
}
