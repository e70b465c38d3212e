package plot

import (
	"math"
	"strconv"
)

// Ladder is error against number of unknowns, both on logarithmic axes, for several methods.
type Ladder struct {
	Series []LadderSeries
	// Tol is the error that was asked for, drawn as a line across; 0 for none.
	Tol float64
	// From and To are the ends of the axis of unknowns, 0 < From < To.
	From, To float64
	// Dimmed draws everything faintly: the ladder of a sheet that has changed since.
	Dimmed bool
}

// LadderSeries is one method. Indices of rungs are −1 where there is no such rung.
type LadderSeries struct {
	Label string
	// Note stands behind the label in the key: the rate.
	Note string
	// Muted takes the colour away, so that others stand out; line and marker stay.
	Muted bool
	// Rank chooses colour, dash and marker, from 0.
	Rank int
	// Points are unknowns and errors, ascending; an error that is not finite is a gap.
	Points Curve
	// Names are the numbers of nodes, by which rungs are called; one for each point.
	Names []string
	// Fit is the line that the rate stands for, drawn broad and faint under the points.
	Fit Curve
	// FirstMet is the first rung within the tolerance, PlateauFrom the first at the rounding plateau,
	// WiggleFrom the first from which on more nodes harm.
	FirstMet, PlateauFrom, WiggleFrom int
	Plateau                           float64
}

// Step is a rung: the index of its series and its own.
type Step struct{ Series, Rung int }

// LadderLayout is a ladder with every place decided.
type LadderLayout struct {
	Width, Height float64

	ladder      *Ladder
	l           *Layout // the vocabulary of the pen
	top, bottom float64
	y           axis
	key         []keyEntry
	notes       []float64 // where the note of each key entry begins
}

// Errors beyond these ends are drawn at the edge: below is rounding, above is nonsense.
const (
	ladderLow  = -16.5
	ladderHigh = 4.0
)

// NewLadderLayout lays a ladder out. It panics unless 0 < From < To.
func NewLadderLayout(d *Ladder, o Options, m Measurer) *LadderLayout {
	if !(0 < d.From && d.From < d.To) {
		panic("plot: ladder needs 0 < From < To")
	}
	if o.Palette == (Palette{}) {
		o.Palette = Light
	}
	if o.FontSize <= 0 {
		o.FontSize = 12
	}
	k := &LadderLayout{Width: math.Max(o.Width, 120), ladder: d}
	k.l = &Layout{Width: k.Width, fig: &Figure{Dimmed: d.Dimmed}, pal: o.Palette, font: o.FontSize,
		name: o.FontSize + 3}
	height := o.Height
	if height <= 0 {
		height = math.Min(math.Max(0.62*k.Width, 230), 380)
	}
	hi := 0.5
	for _, s := range d.Series {
		for _, e := range s.Points.Y {
			if finite(e) && e > 0 {
				hi = math.Max(hi, math.Min(math.Log10(e)+0.3, ladderHigh))
			}
		}
	}
	k.y = axis{lo: ladderLow, hi: hi, p0: height, p1: 0, log: true}
	k.y.setLogTicks(m, k.l.font)
	l := k.l
	l.Left = math.Ceil(k.y.widestLabel() + 12)
	l.Right = math.Max(math.Floor(k.Width-14), l.Left+40)
	l.View = View{math.Log10(d.From), math.Log10(d.To), math.Log10(d.From) - 0.02, math.Log10(d.To) + 0.02}
	l.x = axis{lo: l.View.X0, hi: l.View.X1, p0: l.Left, p1: l.Right, log: true}
	l.x.setCountTicks(m, l.font)
	k.setKey(m)
	rows := 0
	if n := len(k.key); n > 0 {
		rows = k.key[n-1].row + 1
	}
	k.top = padTop + float64(rows)*keyRow + keyGap + l.font
	k.bottom = k.top + height
	k.y.p0, k.y.p1 = k.bottom, k.top
	k.Height = math.Ceil(k.bottom + 8 + l.font*2.4 + 4)
	return k
}

// setCountTicks puts ticks on a logarithmic axis of counts that runs along its labels: 1, 2, 5, 10, … labelled where
// they have room.
func (a *axis) setCountTicks(m Measurer, size float64) {
	a.major, a.minor = nil, nil
	end := math.Inf(-1)
	for e := math.Floor(a.lo); e <= a.hi; e++ {
		for d := 1.0; d <= 9; d++ {
			at := e + math.Log10(d)
			if at < a.lo || at > a.hi || e < 0 {
				continue
			}
			if d == 1 || d == 2 || d == 5 {
				s := []run{{text: strconv.FormatFloat(math.Round(math.Pow(10, at)), 'f', -1, 64)}}
				w := runsWidth(m, s, size)
				if x := a.px(at); x-w/2 > end {
					a.major = append(a.major, tick{at, s, w})
					end = x + w/2 + size/2
					continue
				}
			}
			a.minor = append(a.minor, at)
		}
	}
}

func (k *LadderLayout) setKey(m Measurer) {
	l := k.l
	x, row := l.Left, 0
	for i, s := range k.ladder.Series {
		e := keyEntry{series: i, runs: []run{{text: s.Label}}}
		w := swatch + 6 + runsWidth(m, e.runs, l.font)
		note := 0.0
		if s.Note != "" {
			note = w + 6
			w = note + m.TextWidth(s.Note, run{}.style(l.font, ""))
		}
		if x > l.Left && x+w > l.Width-4 {
			x, row = l.Left, row+1
		}
		e.x, e.row = x, row
		k.key, k.notes = append(k.key, e), append(k.notes, x+note)
		x += w + 18
	}
}

func (k *LadderLayout) place(s Step) (x, y float64, ok bool) {
	if s.Series < 0 || s.Series >= len(k.ladder.Series) {
		return 0, 0, false
	}
	c := k.ladder.Series[s.Series].Points
	if s.Rung < 0 || s.Rung >= len(c.X) || math.IsNaN(c.Y[s.Rung]) {
		return 0, 0, false
	}
	return k.px(c.X[s.Rung]), k.py(c.Y[s.Rung]), true
}

func (k *LadderLayout) px(unknowns float64) float64 { return k.l.x.px(math.Log10(unknowns)) }

func (k *LadderLayout) py(e float64) float64 {
	return k.y.px(math.Min(math.Max(math.Log10(e), k.y.lo), k.y.hi))
}

func (k *LadderLayout) color(s *LadderSeries) string {
	if s.Muted {
		return k.l.pal.Muted
	}
	return k.l.pal.Curves[s.Rank%len(dashes)]
}

// Draw draws the ladder on a surface of Width × Height, background included.
func (k *LadderLayout) Draw(p Painter) {
	n := k.l.pen(p, 0)
	n.background(k.Height)
	k.axes(n)
	for i := range k.ladder.Series {
		k.inKey(n, i)
	}
	// From the back: the first series is the one that it is about.
	n.Clip(n.l.Left-4, k.top-3, n.l.Right-n.l.Left+8, k.bottom-k.top+6)
	for i := len(k.ladder.Series) - 1; i >= 0; i-- {
		k.series(n, &k.ladder.Series[i])
	}
	n.Unclip()
	k.labels(n)
}

func (k *LadderLayout) axes(n *pen) {
	l := k.l
	for _, t := range k.y.major {
		n.horizontal(l.Left, l.Right, k.y.px(t.at), l.pal.Dim, 1)
		n.tickLabel(l.Left-8, k.y.px(t.at)+middle*l.font, t, End)
	}
	for _, v := range k.y.minor {
		n.horizontal(l.Left-4, l.Left, k.y.px(v), l.pal.Rule, 0.8)
	}
	for _, t := range l.x.major {
		n.vertical(l.x.px(t.at), k.top, k.bottom, l.pal.Dim, 1)
		n.vertical(l.x.px(t.at), k.bottom, k.bottom+5, l.pal.Rule, 1)
		n.tickLabel(l.x.px(t.at), k.bottom+8+l.font*0.85, t, Middle)
	}
	for _, v := range l.x.minor {
		n.vertical(l.x.px(v), k.bottom, k.bottom+3, l.pal.Rule, 0.8)
	}
	n.vertical(l.Left, k.top, k.bottom, l.pal.Rule, 1)
	n.horizontal(l.Left, l.Right, k.bottom, l.pal.Rule, 1)
	n.runs(2, k.top-8, []run{{text: "error"}}, l.font, l.pal.Muted)
	name := []run{{text: "unknowns"}}
	n.runs(l.Right-runsWidth(n.Painter, name, l.font), k.bottom+8+l.font*2.2, name, l.font, l.pal.Muted)
}

func (k *LadderLayout) inKey(n *pen, i int) {
	l, e, s := k.l, k.key[i], &k.ladder.Series[i]
	base := padTop + keyRow*float64(e.row+1) - 5
	y := base - 0.3*l.font
	color := k.color(s)
	n.Line(e.x, y, e.x+swatch, y, Stroke{Color: color, Width: 1.5, Dash: dashes[s.Rank%len(dashes)], Alpha: n.alpha})
	n.shape(e.x+swatch/2, y, 3, s.Rank, color, l.pal.Paper)
	n.runs(e.x+swatch+6, base, e.runs, l.font, color)
	if s.Note != "" {
		n.runs(k.notes[i], base, []run{{text: s.Note}}, l.font, l.pal.Muted)
	}
}

// apart is how far in pixels drawn rungs are from each other; the line runs through all.
const apart = 8

func (k *LadderLayout) series(n *pen, s *LadderSeries) {
	color := k.color(s)
	var xy []float64
	line := func(c Curve, st Stroke) {
		flush := func() {
			if len(xy) > 2 {
				n.Polyline(xy, st)
			}
			xy = xy[:0]
		}
		for i, x := range c.X {
			if math.IsNaN(c.Y[i]) {
				flush()
				continue
			}
			xy = append(xy, k.px(x), k.py(c.Y[i]))
		}
		flush()
	}
	line(s.Fit, Stroke{Color: color, Width: 7, Alpha: 0.16 * n.alpha})
	line(s.Points, Stroke{Color: color, Width: 1.5, Dash: dashes[s.Rank%len(dashes)], Alpha: n.alpha})
	lastX, lastY := math.Inf(-1), 0.0
	for i := range s.Points.X {
		x, y, ok := s.at(k, i)
		if ok && i != s.FirstMet && math.Hypot(x-lastX, y-lastY) >= apart {
			n.shape(x, y, 2.6, s.Rank, color, k.l.pal.Paper)
			lastX, lastY = x, y
		}
	}
	if x, y, ok := s.at(k, s.FirstMet); ok {
		n.shape(x, y, 4.2, s.Rank, color, color)
	}
}

func (s *LadderSeries) at(k *LadderLayout, i int) (x, y float64, ok bool) {
	if i < 0 || i >= len(s.Points.X) || math.IsNaN(s.Points.Y[i]) {
		return 0, 0, false
	}
	return k.px(s.Points.X[i]), k.py(s.Points.Y[i]), true
}

// labels writes what the marks mean: the tolerance, the first rung that meets it, the plateau, where it wiggles.
func (k *LadderLayout) labels(n *pen) {
	l := k.l
	var placed [][3]float64 // left and right end and base line of each
	text := func(x, y float64, s, color string, a Align) {
		r := []run{{text: s}}
		w := runsWidth(n.Painter, r, l.font)
		if a == End {
			x -= w
		}
		x = math.Min(math.Max(x, l.Left+3), l.Right-w)
		y = k.clear(placed, x, y, w)
		placed = append(placed, [3]float64{x, x + w, y})
		n.rect(x-2, y-l.font*0.85, w+4, l.font*1.1, Fill{l.pal.Paper, 0.85})
		n.runs(x, y, r, l.font, color)
	}
	if t := k.ladder.Tol; t > 0 {
		y := k.py(t)
		n.Line(l.Left, n.crisp(y), l.Right, n.crisp(y), Stroke{Color: l.pal.Ink, Width: n.rule(), Dash: []float64{2, 4},
			Alpha: n.alpha})
		text(l.Left+3, y-4, "asked for", l.pal.Muted, Start)
	}
	plateau := false
	for i := range k.ladder.Series {
		s := &k.ladder.Series[i]
		if x, y, ok := s.at(k, s.FirstMet); ok && i == 0 && s.FirstMet < len(s.Names) {
			text(x-8, y+l.font+2, s.Names[s.FirstMet], k.color(s), End)
		}
		if x, y, ok := s.at(k, s.WiggleFrom); ok {
			text(x+8, y-6, "wiggles", k.color(s), Start)
		}
		if x, _, ok := s.at(k, s.PlateauFrom); ok && !plateau && s.Plateau > 0 {
			plateau = true
			y := math.Min(k.py(s.Plateau)+l.font+8, k.bottom-4)
			text(x, y, "rounding", l.pal.Muted, Start)
		}
	}
}

// clear returns the height nearest to y at which a label of width w that begins at x covers none of those that are
// placed: y itself where it covers none there, or none is free.
func (k *LadderLayout) clear(placed [][3]float64, x, y, w float64) float64 {
	line := 1.2 * k.l.font
	for step := range 7 {
		at := y - line*float64((step+1)/2) // above first
		if step%2 == 0 {
			at = y + line*float64(step/2)
		}
		free := at-k.l.font >= k.top && at <= k.bottom-2
		for _, p := range placed {
			free = free && (x+w+4 < p[0] || x > p[1]+4 || math.Abs(at-p[2]) >= line-1)
		}
		if free {
			return at
		}
	}
	return y
}

// DrawMarks draws what moves over the ladder: a ring around the rung that is shown, and a dot on the one that is
// pointed at. Either may be nil.
func (k *LadderLayout) DrawMarks(p Painter, shown, pointed *Step) {
	n := k.l.pen(p, 0)
	accent := k.l.pal.Accent
	if shown != nil {
		if x, y, ok := k.place(*shown); ok {
			n.Line(n.crisp(x), y+7, n.crisp(x), k.bottom, Stroke{Color: accent, Width: n.rule(), Alpha: n.alpha})
			n.Circle(x, y, 7, Fill{}, Stroke{Color: accent, Width: 2, Alpha: n.alpha})
		}
	}
	if pointed != nil {
		if x, y, ok := k.place(*pointed); ok {
			n.Circle(x, y, 3.6, Fill{accent, n.alpha}, n.halo())
		}
	}
}

// Nearest returns the rung nearest to a point of the picture, at most reach pixels away.
func (k *LadderLayout) Nearest(px, py, reach float64) (Step, bool) {
	best, found := Step{}, false
	for i, s := range k.ladder.Series {
		for j := range s.Points.X {
			if x, y, ok := k.place(Step{i, j}); ok {
				d := math.Hypot(x-px, y-py)
				if s.Muted || i > 0 {
					d += 1 // the first series lies in front
				}
				if d <= reach {
					best, found, reach = Step{i, j}, true, d
				}
			}
		}
	}
	return best, found
}
