package worker

import (
	"context"
	"math"
	"strconv"
	"time"

	"nodespan/expr/guess"
	"nodespan/expr/sheet"
	"nodespan/expr/why"
	"nodespan/expr/words"
	"nodespan/solver"
	"nodespan/solver/several"
	"nodespan/solver/table"
	"nodespan/wasm/wire"
)

// The search for further solutions, in spare time too.

// sketched is the number of points of a small curve, labelled the digits of the number below it.
const (
	sketched = 49
	labelled = 6
)

// Search answers a Search request: whenever a solution was found, and at last by everything and a sentence. Of a sheet
// without an answer it says why there is none, where that can be found out. rest lets other requests through; ctx ends
// the search early, with an empty last reply.
func (h *Handler) Search(ctx context.Context, q wire.Request, send func(wire.Reply), rest func()) {
	reply := func(f *wire.Findings, last bool) {
		send(wire.Reply{ID: q.ID, Kind: wire.Search, Last: last, Findings: f})
	}
	s := h.find(q)
	if s == nil {
		s, _ = h.work(q, func(wire.Reply) {})
	}
	if s == nil || s.Eigenvalues != nil || s.sheet.Eigenvalue || s.Status != solver.Solved && s.sheet.Linear {
		reply(nil, true)
		return
	}
	o := options(q.Method)
	o.Context = ctx
	f := &findings{solved: s}
	first := s.Solution
	if !s.Usable() {
		if first = why.Answer(s.sheet, first, o, sheet.Options{}); first.Message != s.Message {
			f.Sentence = said(first.Message)
			reply(&f.Findings, false)
			rest()
		}
	}
	search := several.New(s.sheet.Problem(), first, several.Options{Solve: o})
	for last := time.Now(); ctx.Err() == nil && search.Step(); {
		if time.Since(last) < pace {
			continue
		}
		if f.add(search.Solutions); len(f.Solutions) > 1 {
			reply(&f.Findings, false)
		}
		rest()
		last = time.Now()
	}
	if ctx.Err() != nil {
		reply(nil, true)
		return
	}
	f.add(search.Solutions)
	if f.Sentence == "" {
		f.Sentence = said(search.Message())
	}
	reply(&f.Findings, true)
}

// said is a message as a sentence, its numbers set for reading.
func said(message string) string { return words.Numbers(words.Sentence(message)) }

// findings gathers what a search finds.
type findings struct {
	*solved
	at entry // the number that tells them apart
	wire.Findings
}

// add tells of the solutions that are new.
func (f *findings) add(all []*solver.Solution) {
	few := func(value, err float64) []wire.Run { return inProse(table.Asked(value, err, labelled)) }
	for _, k := range all[len(f.Solutions):] {
		s := &solved{text: f.text, method: f.method, sheet: f.sheet, Solution: k}
		w := wire.Finding{Shown: k == f.Solution, Curves: s.sketch()}
		if len(f.Solutions) == 0 {
			f.at = s.notable()
		}
		w.Label = append(plain(strconv.Itoa(len(f.Solutions)+1)+": "), s.state(f.at, true, few)...)
		if !w.Shown {
			w.Sheet, _ = guess.Sheet(f.sheet, k)
		}
		for _, row := range w.Curves {
			for _, y := range row {
				f.Low, f.High = math.Min(f.Low, y), math.Max(f.High, y)
			}
		}
		f.Solutions = append(f.Solutions, w)
	}
}

// sketch samples the unknowns at equal steps.
func (s *solved) sketch() [][]float64 {
	p := s.Problem
	out := make([][]float64, len(p.Unknowns))
	jet := make([]float64, p.Jet())
	a, b := s.ab()
	for k := range sketched {
		s.At(a+(b-a)*float64(k)/(sketched-1), jet)
		for i := range out {
			out[i] = append(out[i], jet[p.JetOffset(i)])
		}
	}
	return out
}
