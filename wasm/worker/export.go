package worker

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"nodespan/expr/report"
	"slices"

	"nodespan/expr/figure"
	"nodespan/expr/handout"
	"nodespan/expr/script"
	"nodespan/expr/words"
	"nodespan/solver/ladder"
	"nodespan/solver/table"
	"nodespan/wasm/wire"
)

// What is taken away: the files that the native command writes, made by the same code.

// take makes a file. Where there is none, Words says why.
func (h *Handler) take(s *solved, q wire.Request, last *wire.Reply) {
	t := *q.Export
	var fault string
	switch t.What {
	case "table":
		last.Text, last.Rows, fault = s.tableAs(t)
	case "figure":
		o := figure.Options{Width: t.Width, Title: t.Title, Derivatives: t.Derivatives}
		if err := o.Check(); err != nil {
			fault = words.Sentence(err.Error())
			break
		}
		last.Text = string(figure.SVG(figure.New(s.sheet, s.Solution, o), o))
	case "ladder":
		o := figure.Options{Width: t.Width, Title: t.Title}
		if err := o.Check(); err != nil {
			fault = words.Sentence(err.Error())
			break
		}
		l := ladder.Climb(s.Problem, h.doubt(context.Background(), q, s.sheet))
		picture := figure.NewLadder(l)
		if picture == nil {
			fault = "There is no ladder to draw."
			break
		}
		last.Text = string(figure.LadderSVG(picture, l.Sentence, o))
	case "html", "latex":
		at, why := s.points(t)
		o := handout.Options{Title: t.Title, Note: t.Note, Blank: t.Blank, Solve: options(q.Method), At: at,
			Table: table.Options{Digits: t.Digits, Comma: t.Comma}}
		if err := o.Check(); err != nil && why == "" {
			why = words.Sentence(err.Error())
		}
		if fault = why; why == "" {
			h := handout.New(s.sheet, o)
			write := h.HTML
			if t.What == "latex" {
				write = h.LaTeX
			}
			last.Text = string(write())
		}
	default:
		language, ok := script.ByName(t.What)
		if !ok {
			break
		}
		l, why := h.lesson(q)
		if fault = why; l != nil {
			text, err := language.Write(l)
			if last.Text = text; err != nil {
				last.Text, fault = "", words.Sentence(err.Error())
			}
		}
	}
	last.Words = fault
}

// tableAs writes the node table for other programs, and counts its rows.
func (s *solved) tableAs(t wire.ExportOptions) (text string, rows int, fault string) {
	if t.Format != "json" && !slices.Contains(table.Formats(), table.Format(t.Format)) {
		return "", 0, "There is no such form of a table."
	}
	at, fault := s.points(t)
	if fault != "" {
		return "", 0, fault
	}
	o := table.Options{Digits: t.Digits, Comma: t.Comma, Errors: t.Errors}
	if err := o.Check(); err != nil {
		return "", 0, words.Sentence(err.Error())
	}
	n := table.New(s.Solution, at)
	var b bytes.Buffer
	write := func() error { return n.WriteWith(&b, table.Format(t.Format), o) }
	if t.Format == "json" {
		write = func() error { return report.Reply(s.sheet, s.Solution, n).WriteJSON(&b) }
	}
	if err := write(); err != nil {
		panic(err) // a buffer takes everything
	}
	return b.String(), len(n.Rows), ""
}

// points are those of the table that is taken away; nil for the nodes.
func (s *solved) points(t wire.ExportOptions) (at []float64, fault string) {
	switch {
	case t.Points > 0:
		if math.IsInf(s.Problem.A, 0) || math.IsInf(s.Problem.B, 0) {
			return nil, "An unbounded interval has no equally spaced points; give some of your own."
		}
		if t.Points < 2 || t.Points > table.MostSpaced {
			return nil, fmt.Sprintf("A table has between 2 and %d equally spaced points.", table.MostSpaced)
		}
		return table.Spaced(s.Problem, t.Points), ""
	}
	at, err := s.sheet.Points(t.At)
	if err != nil {
		return nil, firstFault(err)
	}
	return at, ""
}
