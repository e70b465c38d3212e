package worker

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"nodespan/expr/guess"
	"nodespan/expr/report"
	"nodespan/expr/sheet"
	"nodespan/expr/why"
	"nodespan/expr/words"
	"nodespan/solver/branches"
	"nodespan/solver/several"
	"nodespan/solver/table"
	"nodespan/wasm/wire"
)

// startWork is what is spent on looking for further solutions to begin from, as the command does.
const startWork = 250_000_000

// traced is the last trace, from which points are picked.
type traced struct {
	sheet *sheet.Sheet
	*branches.Trace
}

// follow answers a Follow request.
func (h *Handler) follow(q wire.Request) *wire.Trace {
	h.traced = nil
	s := h.find(q)
	if s == nil {
		if s, _ = h.work(q, func(wire.Reply) {}); s == nil {
			return &wire.Trace{Fault: "The sheet cannot be read."}
		}
	}
	p, o := s.sheet.Problem(), options(q.Method)
	bo := branches.Options{Constant: q.Name, From: q.From, To: q.To, Solve: o}
	label := why.Middle(p)
	if s.sheet.Eigenvalue {
		label = p.Parameters[0].Name
	}
	var err error
	if q.Point != "" {
		label = q.Point
		if bo.Against, err = report.Against(q.Sheet, label, q.Name, sheet.Options{}); err != nil {
			return &wire.Trace{Fault: firstFault(err)}
		}
	}
	t, lines, err := s.branches(bo, label)
	if err != nil {
		return &wire.Trace{Fault: words.Sentence(err.Error())}
	}
	h.traced = &traced{s.sheet, t}
	return drawn(t, label, lines)
}

// branches follows them and tells what is special about them.
func (s *solved) branches(o branches.Options, label string) (*branches.Trace, []string, error) {
	p := s.sheet.Problem()
	if s.sheet.Eigenvalue {
		t, crossings, err := branches.Family(p, o)
		if err != nil {
			return nil, nil, err
		}
		if len(crossings) == 0 {
			return t, []string{"no two of the eigenvalues come close to each other"}, nil
		}
		return t, []string{branches.SayCrossings(t.Constant, crossings)}, nil
	}
	o.Starts = several.Run(p, s.Solution, several.Options{Solve: o.Solve, Work: startWork}).Solutions
	t, err := branches.Follow(p, o)
	if err != nil {
		return nil, nil, err
	}
	return t, t.Sentences(label), nil
}

// drawn is a trace with its axes, and with every number in words.
func drawn(t *branches.Trace, label string, lines []string) *wire.Trace {
	w := &wire.Trace{Constant: t.Constant, Against: label}
	for _, l := range lines {
		w.Lines = append(w.Lines, said(l))
	}
	var x, y extent
	var rows strings.Builder
	fmt.Fprintf(&rows, "branch\t%s\t%s\terror\n", t.Constant, label)
	for i, line := range t.Branches {
		b := wire.Branch{}
		for _, p := range line {
			x.add(p.Constant)
			y.add(p.Value)
			b.X, b.Y = append(b.X, p.Constant), append(b.Y, p.Value)
			b.Words = append(b.Words, words.Numbers(fmt.Sprintf("branch %d: %s = %s, %s = %s", i+1, t.Constant,
				strconv.FormatFloat(p.Constant, 'g', 6, 64), label, table.Asked(p.Value, p.Error, 8))))
			fmt.Fprintf(&rows, "%d\t%.10g\t%s\t%.1e\n", i+1, p.Constant, table.Honest(p.Value, p.Error), p.Error)
		}
		w.Branches = append(w.Branches, b)
	}
	for _, f := range t.Folds {
		w.Specials = append(w.Specials, wire.Special{X: f.Constant, Y: f.Value, Fold: true})
	}
	for _, f := range t.Bifurcations {
		w.Specials = append(w.Specials, wire.Special{X: f.Constant, Y: f.Value})
	}
	w.X, w.Y, w.Table = x.axis(), y.axis(), rows.String()
	return w
}

// extent is the range of some numbers; the zero value has none.
type extent struct {
	low, high float64
	any       bool
}

func (r *extent) add(v float64) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return
	}
	if !r.any {
		*r = extent{v, v, true}
	}
	r.low, r.high = math.Min(r.low, v), math.Max(r.high, v)
}

// axis is the range with a little room, and round numbers in it.
func (r *extent) axis() wire.Axis {
	const most, room = 5, 0.04
	width := r.high - r.low
	if !(width > 0) {
		width = math.Max(math.Abs(r.high), 1)
	}
	a := wire.Axis{Low: r.low - room*width, High: r.high + room*width}
	step := math.Pow(10, math.Floor(math.Log10(width/most)))
	for _, factor := range []float64{2, 2.5, 2} {
		if width/step > most {
			step *= factor
		}
	}
	for k := int(math.Ceil(a.Low / step)); float64(k)*step <= a.High; k++ {
		v := table.Rounded(float64(k)*step, 6)
		a.At = append(a.At, v)
		a.Labels = append(a.Labels, words.Numbers(strconv.FormatFloat(v, 'g', -1, 64)))
	}
	return a
}

// pick is the sheet that leads to a point of the last trace: the constant has its value, and a guess leads to the
// solution. fault says why there is none.
func (h *Handler) pick(branch, place int) (text, fault string) {
	if h.traced == nil || branch < 0 || branch >= len(h.traced.Branches) ||
		place < 0 || place >= len(h.traced.Branches[branch]) {
		return "", "These branches are gone; follow them anew."
	}
	p := h.traced.Branches[branch][place]
	value := decimal(p.Constant)
	for _, c := range h.traced.sheet.Constants {
		if c.Name != h.traced.Constant || c.Derived {
			continue
		}
		before := h.traced.sheet.Text
		text = before[:c.ValueSpan.From.Offset] + value + before[c.ValueSpan.To:]
		sh, err := sheet.Read(text, sheet.Options{})
		if err != nil {
			return "", firstFault(err)
		}
		if p.Solution == nil { // of an eigenvalue there is nothing to guess
			return text, ""
		}
		if with, ok := guess.Sheet(sh, p.Solution); ok {
			return with, ""
		}
		return "", "No first guess of few digits leads to this solution."
	}
	return "", "The value of " + h.traced.Constant + " follows from others; give it one of its own."
}
