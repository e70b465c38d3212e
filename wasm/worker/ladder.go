package worker

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"nodespan/expr/sheet"
	"nodespan/expr/words"
	"nodespan/solver"
	"nodespan/solver/agree"
	"nodespan/solver/ladder"
	"nodespan/solver/nodes"
	"nodespan/wasm/wire"
)

// The ladder: error against number of nodes, climbed in spare time.

// pace is how long a climb goes on without telling what it has and letting other requests through.
const pace = 25 * time.Millisecond

// mostUnknowns is how far pieces and differences are climbed, for each unknown function.
const mostUnknowns = 200

// Order of differences that the method sentence means when it names none.
const usualOrder = 2

// climbed is the last complete ladder, and what it was climbed for. Another number of nodes does not change it.
type climbed struct {
	text   string
	family string
	digits int
	others bool
	*wire.Ladder
}

// reference is the last verified solution that errors were measured against.
type reference struct {
	text string
	*solver.Solution
	exact bool // the sheet's exact solution may be measured against: it satisfies the problem
}

// Climb answers a Climb request: by what it has every so often, and at last by everything. rest lets other requests
// through; ctx ends the climb early, with an empty last reply. The request's method says which family is climbed, how
// many digits are wanted, and what number of nodes is shown, which is judged too.
func (h *Handler) Climb(ctx context.Context, q wire.Request, send func(wire.Reply), rest func()) {
	reply := func(l *wire.Ladder, last bool) {
		send(wire.Reply{ID: q.ID, Kind: wire.Climb, Last: last, Ladder: l})
	}
	sh, err := sheet.Read(q.Sheet, sheet.Options{})
	if err != nil {
		reply(&wire.Ladder{}, true) // the page has said what is wrong with it
		return
	}
	if c := h.climbed; c != nil && c.text == q.Sheet && c.family == q.Method.Family && c.digits == digits(q.Method) &&
		c.others == q.Others {
		out := *c.Ladder
		out.Resolution = h.resolution(ctx, q, sh)
		reply(&out, true)
		return
	}
	p := sh.Problem()
	family := familyOf(q.Method.Family)
	list := []nodes.Family{family}
	if q.Others {
		for _, f := range nodes.Families() {
			if f != family {
				list = append(list, f)
			}
		}
	}
	w := &wire.Ladder{Tol: math.Pow(10, -float64(digits(q.Method)))}
	last := time.Now()
	o := h.doubt(ctx, q, sh)
	o.Families, o.MostUnknowns = list, mostUnknowns
	o.Each = func(r ladder.Rung) {
		n := len(w.Series)
		if n == 0 {
			w.From = r.Unknowns
			w.To = r.Unknowns + len(p.Unknowns)*mostUnknowns
		}
		if n == 0 || !sameSeries(&w.Series[n-1], r) {
			w.Series = append(w.Series, newSeries(r, r.Method != solver.One || r.Family == family))
			n++
		}
		w.Series[n-1].Rungs = append(w.Series[n-1].Rungs, newRung(r))
		if time.Since(last) >= pace {
			reply(w, false)
			rest()
			last = time.Now()
		}
	}
	l := ladder.Climb(p, o)
	if ctx.Err() != nil {
		reply(nil, true)
		return
	}
	w.Reason = l.Reason
	if w.Reason != "" {
		w.Reason = words.Sentence(w.Reason)
	} else {
		w.Sentence = words.Sentence(l.Sentence)
		w.Against = "Errors are measured against a verified finer solution"
		if l.Against == "exact" {
			w.Against = "Errors are measured against the sheet’s exact solution"
		}
		w.Against += ", relative to the largest value."
		for i := range l.Series {
			finish(&w.Series[i], &l.Series[i], w.Tol)
		}
	}
	h.climbed = &climbed{q.Sheet, q.Method.Family, digits(q.Method), q.Others, w}
	out := *w
	out.Resolution = h.resolution(ctx, q, sh)
	reply(&out, true)
}

// doubt returns what a ladder and a verdict measure against.
func (h *Handler) doubt(ctx context.Context, q wire.Request, sh *sheet.Sheet) ladder.Options {
	o := ladder.Options{Tol: math.Pow(10, -float64(digits(q.Method))), Context: ctx}
	if h.reference == nil || h.reference.text != q.Sheet {
		p := sh.Problem()
		if len(p.Conditions) != p.State()+len(p.Parameters) {
			return o // an eigenvalue problem
		}
		s, judged := agree.Reference(ctx, p, sh.ExactJet())
		h.reference = &reference{text: q.Sheet, Solution: s, exact: judged != nil && judged.Satisfies}
	}
	if h.reference.exact {
		o.Exact = sh.Exact
	}
	if r := h.reference.Solution; r.Usable() && r.Status != solver.Failed && r.Error <= 1e-3 {
		o.Reference = r
	}
	return o
}

func sameSeries(s *wire.LadderSeries, r ladder.Rung) bool {
	c := choice(r)
	return s.Choice.Name == c.Name && s.Choice.Family == c.Family && s.Choice.Order == c.Order
}

// choice is what the method sentence says for a rung, but for its numbers.
func choice(r ladder.Rung) wire.Method {
	m := wire.Method{Name: string(r.Method)}
	if r.Method == solver.Differences {
		if m.Order = r.Order; r.Order == usualOrder {
			m.Order = 0
		}
		return m
	}
	if r.Family != nodes.Legendre {
		m.Family = r.Family.String()
	}
	return m
}

func newSeries(r ladder.Rung, main bool) wire.LadderSeries {
	s := wire.LadderSeries{Label: ladder.Label(r.Method, r.Family, r.Order), Choice: choice(r), Main: main,
		FirstMet: -1, PlateauFrom: -1, WiggleFrom: -1}
	switch r.Method {
	case solver.One:
		s.Name = "one polynomial, " + s.Label + " nodes"
	case solver.Pieces:
		s.Name = fmt.Sprintf("pieces of %d %s nodes", r.Nodes, r.Family.Title())
	default:
		s.Name = s.Label
	}
	return s
}

func newRung(r ladder.Rung) wire.Rung {
	w := wire.Rung{Nodes: r.Nodes, Unknowns: r.Unknowns, Error: r.Relative}
	if r.Method == solver.Pieces {
		w.Elements = r.Steps
	}
	switch r.Method {
	case solver.One:
		w.Words = words.Count(r.Nodes, "interior "+r.Family.Title()+" node")
	case solver.Pieces:
		w.Words = fmt.Sprintf("%s of %s", words.Count(r.Steps, "piece"), words.Count(r.Nodes, r.Family.Title()+" node"))
	default:
		w.Words = fmt.Sprintf("differences of order %d on %s", r.Order, words.Count(r.Nodes, "interior point"))
	}
	if r.Solved() {
		w.Words += ": error " + rough(r.Relative) + ", " + digitsOf(ladder.Digits(r.Relative))
	} else {
		w.Words += ": no solution"
	}
	return w
}

//go:noinline
func digitsOf(n int) string {
	if n == 0 {
		return "no digit"
	}
	return words.Count(n, "digit")
}

// finish adds the marks of a complete series.
func finish(w *wire.LadderSeries, s *ladder.Series, tol float64) {
	w.FirstMet, w.PlateauFrom, w.WiggleFrom, w.Plateau = s.FirstMet, s.PlateauFrom, s.WiggleFrom, s.Plateau
	if w.Rate = s.Rate.String(); w.Rate != "" {
		w.FitX, w.FitY = fitted(s)
	}
	w.Met = "not met"
	if s.FirstMet >= 0 {
		w.Met, _, _ = strings.Cut(w.Rungs[s.FirstMet].Words, ":")
	}
	if best := s.Best(); best >= 0 {
		w.Best = rough(s.Rungs[best].Relative)
	} else {
		w.Best = "no solution"
	}
	switch {
	case s.WiggleFrom >= 0:
		w.Best += fmt.Sprintf("; wiggles from %s on", words.Count(s.Rungs[s.WiggleFrom].Nodes, "node"))
	case s.PlateauFrom >= 0:
		w.Best += fmt.Sprintf("; rounding from %s on", words.Count(max(s.Rungs[s.PlateauFrom].Nodes, 1), "node"))
	}
}

// fitted returns the line that a rate stands for, through the middle of the rungs that it was read from.
func fitted(s *ladder.Series) (x, y []float64) {
	rungs := s.Rungs[s.Rate.From : s.Rate.To+1]
	along := func(r ladder.Rung) float64 { // digits that the rate promises up to here
		if s.Rate.Kind == ladder.Geometric {
			return s.Rate.DigitsPerNode * float64(r.Nodes)
		}
		n := r.Steps
		if s.Method == solver.One {
			n = r.Nodes
		}
		return s.Rate.Order * math.Log10(float64(n))
	}
	sum, count := 0.0, 0.0
	for _, r := range rungs {
		if r.Relative > 0 && !math.IsInf(r.Relative, 0) {
			sum += math.Log10(r.Relative) + along(r)
			count++
		}
	}
	if count == 0 {
		return nil, nil
	}
	for _, r := range rungs {
		x = append(x, float64(r.Unknowns))
		y = append(y, math.Pow(10, sum/count-along(r)))
	}
	return x, y
}

// resolution says how well the polynomial that is shown stands for the solution.
func (h *Handler) resolution(ctx context.Context, q wire.Request, sh *sheet.Sheet) string {
	p := sh.Problem()
	if q.Method.Name != string(solver.One) || q.Method.Nodes < 1 || len(p.Conditions) != p.State()+len(p.Parameters) {
		return ""
	}
	r := ladder.Resolve(p, familyOf(q.Method.Family), q.Method.Nodes, h.doubt(ctx, q, sh))
	out := words.Sentence(r.Sentence)
	if r.Verdict == ladder.NoSolution || len(r.Coefficients) == 0 {
		return out
	}
	tail := r.Coefficients[max(len(r.Coefficients)-2, 0):]
	switch r.Trend {
	case ladder.Falling:
		out += " The Legendre coefficients fall to " + rough(slices.Max(tail)) + " of the largest."
	case ladder.AtRounding:
		out += " The Legendre coefficients have fallen to rounding."
	default:
		out += " The Legendre coefficients do not fall: the last are " + rough(slices.Max(tail)) + " of the largest."
	}
	return out + " Interpolation through these nodes magnifies an error up to " + rough(r.Lebesgue) +
		" times (the Lebesgue constant)."
}
