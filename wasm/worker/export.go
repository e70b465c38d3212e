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
	var f made
	switch t.What {
	case "table":
		f, last.Rows = s.tableAs(t)
	case "figure", "ladder":
		f = h.picture(s, q)
	case "handout":
		f = s.handout(q)
	default:
		f = h.program(q)
	}
	last.Text, last.Words = f.text, f.fault
	if f.text != "" {
		last.File = wire.File{Name: f.name + "." + f.ending, Media: f.media}
	}
}

// made is a file, or the fault by which there is none.
type made struct {
	text                string
	name, ending, media string
	fault               string
}

// picture draws the solution or the ladder.
func (h *Handler) picture(s *solved, q wire.Request) made {
	t := *q.Export
	k := slices.IndexFunc(figure.Formats(), func(f figure.Format) bool { return f.Ending == t.Format })
	if k < 0 {
		return made{fault: "There is no such form of a figure."}
	}
	format := figure.Formats()[k]
	o := figure.Options{Width: t.Width, Title: t.Title, Derivatives: t.Derivatives && t.What == "figure"}
	if err := o.Check(); err != nil {
		return made{fault: words.Sentence(err.Error())}
	}
	var file []byte
	var err error
	if t.What == "figure" {
		file, err = format.Figure(figure.New(s.sheet, s.Solution, o), o)
	} else {
		l := ladder.Climb(s.Problem, h.doubt(context.Background(), q, s.sheet))
		picture := figure.NewLadder(l)
		if picture == nil {
			return made{fault: "There is no ladder to draw."}
		}
		file, err = format.Ladder(picture, l.Sentence, o)
	}
	if err != nil {
		return made{fault: words.Sentence(err.Error())}
	}
	return made{text: string(file), name: "nodespan-" + t.What, ending: format.Ending, media: format.Media}
}

// handout writes a document to be handed out.
func (s *solved) handout(q wire.Request) made {
	t := *q.Export
	at, fault := s.points(t)
	o := handout.Options{Title: t.Title, Note: t.Note, Blank: t.Blank, Preset: t.Preset, Solve: options(q.Method),
		At: at, Table: table.Options{Digits: t.Digits, Comma: t.Comma}}
	if err := o.Check(); err != nil && fault == "" {
		fault = words.Sentence(err.Error())
	}
	if fault != "" {
		return made{fault: fault}
	}
	f := made{name: "nodespan-handout", ending: "html", media: "text/html"}
	if t.Preset != "" {
		f.name += "-" + t.Preset
	}
	if len(t.Blank) > 0 {
		f.name += "-student"
	}
	write := handout.New(s.sheet, o)
	if t.Format == "latex" {
		f.text = string(write.LaTeX())
		f.ending, f.media = table.LaTeX.File()
	} else {
		f.text = string(write.HTML())
	}
	return f
}

// program writes the working as a program.
func (h *Handler) program(q wire.Request) made {
	language, ok := script.ByName(q.Export.What)
	if !ok {
		return made{}
	}
	l, fault := h.lesson(q)
	if l == nil {
		return made{fault: fault}
	}
	text, err := language.Write(l)
	if err != nil {
		return made{fault: words.Sentence(err.Error())}
	}
	return made{text: text, name: "nodespan", ending: language.Ending, media: language.Media}
}

// tableAs writes the node table for other programs, and counts its rows.
func (s *solved) tableAs(t wire.ExportOptions) (made, int) {
	if t.Format != "json" && !slices.Contains(table.Formats(), table.Format(t.Format)) {
		return made{fault: "There is no such form of a table."}, 0
	}
	at, fault := s.points(t)
	if fault != "" {
		return made{fault: fault}, 0
	}
	o := table.Options{Digits: t.Digits, Comma: t.Comma, Errors: t.Errors}
	if err := o.Check(); err != nil {
		return made{fault: words.Sentence(err.Error())}, 0
	}
	n := table.New(s.Solution, at)
	f := made{name: "nodespan-table", ending: "json", media: "application/json"}
	var b bytes.Buffer
	write := func() error { return report.Reply(s.sheet, s.Solution, n).WriteJSON(&b) }
	if t.Format != "json" {
		f.ending, f.media = table.Format(t.Format).File()
		write = func() error { return n.WriteWith(&b, table.Format(t.Format), o) }
	}
	if err := write(); err != nil {
		panic(err) // a buffer takes everything
	}
	f.text = b.String()
	return f, len(n.Rows)
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
