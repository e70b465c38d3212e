package figure

import (
	"math"
	"strconv"

	"nodespan/expr/plot"
	"nodespan/solver/ladder"
)

// NewLadder makes the picture of a ladder: error against number of unknowns. It returns nil where the ladder has no
// rungs.
func NewLadder(l *ladder.Ladder) *plot.Ladder {
	d := &plot.Ladder{Tol: l.Tol, From: math.Inf(1)}
	for i := range l.Series {
		s := &l.Series[i]
		p := plot.LadderSeries{Label: ladder.Label(s.Method, s.Family, s.Order), Rank: i, Note: s.Rate.String(),
			FirstMet: s.FirstMet, PlateauFrom: s.PlateauFrom, WiggleFrom: s.WiggleFrom, Plateau: s.Plateau}
		for _, r := range s.Rungs {
			n := float64(r.Unknowns)
			d.From, d.To = math.Min(d.From, n), math.Max(d.To, n)
			p.Points.X, p.Points.Y = append(p.Points.X, n), append(p.Points.Y, r.Relative)
			p.Names = append(p.Names, strconv.Itoa(r.Nodes)+" nodes")
		}
		d.Series = append(d.Series, p)
	}
	if !(0 < d.From && d.From < d.To) {
		return nil
	}
	return d
}

// DrawLadder lays a ladder out, with the widths of text that m knows.
func DrawLadder(d *plot.Ladder, o Options, m plot.Measurer) Drawing {
	o = o.filled()
	l := plot.NewLadderLayout(d, plot.Options{Width: o.Width, Palette: o.Palette}, m)
	return o.titled(l.Width, l.Height, l.Draw)
}
